"""A flag: words that stand beside a pointer, on its right or, near the edge, on its left."""

from __future__ import annotations

from matplotlib.axes import Axes

from rxlearn.figures.scene import LiveFigure

LETTER = 0.58
"""A letter's width as a share of the text size, on the wide side so that a browser's face fits."""

GAP = 6
"""Pixels between a pointer and its words."""


class Flag:
    """Words beside a place on the horizontal axis of ``axes``; a moving artist of ``figure``.

    ``name`` must be unique in the figure; ``role`` colours the words.
    """

    def __init__(
        self, figure: LiveFigure, axes: Axes, name: str, role: str, *, fontsize: float = 10.5
    ) -> None:
        self._axes = axes
        self._label = figure.label(axes, name, role, fontsize=fontsize)

    def place(self, x: float, y: float, words: str) -> None:
        """Put ``words`` beside ``x`` (data), their baseline at ``y`` (data).

        A place beyond the axis is taken as its end; words too long for either
        side end at the edge.
        """
        frame, to_pixels = self._axes.bbox, self._axes.transData
        across, up = to_pixels.transform((x, y))
        across = min(max(across, frame.x0), frame.x1)
        room = len(words) * LETTER * self._label.get_fontsize() + GAP
        turned = across + room > frame.x1
        if turned and across - room < frame.x0:
            turned, across = False, max(frame.x0, frame.x1 - room) - GAP
        across += -GAP if turned else GAP
        self._label.set(
            visible=True, text=words, ha="right" if turned else "left",
            position=tuple(to_pixels.inverted().transform((across, up))),
        )

    def hide(self) -> None:
        """Show nothing."""
        self._label.set_visible(False)


def width_of(words: str, fontsize: float, axes: Axes) -> float:
    """About how wide ``words`` are, in data of the (linear) horizontal axis of ``axes``."""
    low, high = axes.get_xlim()
    return len(words) * LETTER * fontsize * (high - low) / axes.bbox.width

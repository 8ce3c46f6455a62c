"""Which part matters most: a bar for each part's share of the scatter."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from rxlearn.compute.influence import DIAL_WIDTH, NARROW_WIDTH, OFF_CENTRE, TRIMMER_SETTING
from rxlearn.compute.quantities import show
from rxlearn.compute.receiver_parts import SPOKEN, Build
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

ASKED = {
    TRIMMER_SETTING: "where the trimmer stands", DIAL_WIDTH: "how wide the dial is",
    OFF_CENTRE: "how well the narrower band is centred",
    NARROW_WIDTH: "how wide the narrower dial is",
}
"""Output to words for it."""

LEAST = 0.005
"""A share below this is noise of the estimate, and shown as none."""


@dataclass(frozen=True)
class PartShares:
    """Of one ``output``, each part's share of the variance (ratios), for ``build``."""

    build: Build
    output: str
    shares: dict[str, float]


class InfluenceFigure(LiveFigure):
    """A bar for each of ``parts``, from the top down.  ``note`` opens every description."""

    name = "influence"
    size = (900, 320)

    def __init__(self, parts: tuple[str, ...], note: str = "") -> None:
        self._parts, self._note = parts, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Shares from 0 to 100 %, a row for each part."""
        axes = figure.add_axes((0.27, 0.15, 0.7, 0.76))
        rows = len(self._parts)
        axes.set(xlim=(0, 100), ylim=(-0.6, rows - 0.4), yticks=[],
                 xlabel="share of the scatter's variance (%)", title="Which part matters most")
        axes.title.set_fontsize(style.SIZE)
        axes.spines["left"].set_visible(False)
        self._bars, self._words = {}, {}
        for place, part in enumerate(self._parts):
            height = rows - 1 - place
            axes.text(-1, height, part, ha="right", va="center", fontsize=11)
            self._bars[part] = self.moving(f"bar-{place}", axes.add_patch(Polygon(
                _box(height, 1.0), closed=True, facecolor=style.LIGHT["signal"], alpha=0.45,
                edgecolor=style.LIGHT["signal"])))
            self._words[part] = self.label(axes, f"words-{place}", "ink", fontsize=10.5)

    def update(self, result: PartShares) -> None:
        """Stretch the bars and write the shares beside them."""
        rows = len(self._parts)
        for place, part in enumerate(self._parts):
            share = 100 * max(0.0, result.shares.get(part, 0.0))
            share = share if share >= 100 * LEAST else 0.0
            height = rows - 1 - place
            self._bars[part].set_xy(_box(height, share))
            fitted = result.build.part(part)
            tolerance = show(100 * fitted.tolerance, "%", digits=2)
            words = f"{share:.0f} %  (± {tolerance})" if fitted.nominal else "not fitted"
            inside = share > 78
            self._words[part].set_text(words)
            self._words[part].set_ha("right" if inside else "left")
            self._words[part].set_position((share - 1 if inside else share + 1, height - 0.16))

    def describe(self, result: PartShares) -> str:
        """The two parts that matter most."""
        named = sorted(result.shares, key=result.shares.get, reverse=True)
        first, second = named[:2]
        if not result.shares[first] > LEAST:
            words = f"No part changes {ASKED[result.output]}: all are exact."
        else:
            rest = (f", then {SPOKEN[second]}, {100 * result.shares[second]:.0f} %"
                    if result.shares[second] > LEAST else "")
            words = (f"On {ASKED[result.output]}, {SPOKEN[first]} matters most: "
                     f"{100 * result.shares[first]:.0f} % of the variance{rest}.")
        return f"{self._note} {words}".strip()

    def explain(self, result: PartShares) -> str:
        """What a better part would buy."""
        first = max(result.shares, key=result.shares.get)
        share = min(1.0, result.shares[first])
        if not share > LEAST:
            return "Where no part is off, nothing scatters, and no part is worth more money."
        half = 100 * math.sqrt(max(0.0, 1 - 0.75 * share))
        exact = 100 * math.sqrt(max(0.0, 1 - share))
        tail = ("The trimmer makes up for this scatter as far as it reaches." if
                result.output == TRIMMER_SETTING else "No trimmer makes up for this one.")
        return (
            f"Scatters add by their squares. Halve the tolerance of {SPOKEN[first]}, and the scatter falls "
            f"to {half:.0f} % of what it is; were it exact, to {exact:.0f} %. Money spent on a "
            f"part with a short bar buys next to nothing. {tail}"
        )


def _box(height: float, share: float) -> np.ndarray:
    """The outline of a bar."""
    low, high = height - 0.32, height + 0.32
    return np.array([(0, low), (share, low), (share, high), (0, high), (0, low)], dtype=float)

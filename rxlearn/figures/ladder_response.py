"""A ladder filter's response as built, over that as designed, and its measures."""

from __future__ import annotations

import math

from matplotlib.figure import Figure

from rxlearn.compute.ladder_setting import LadderSetting
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

LOWEST, HIGHEST = -80.0, 3.0
"""Ends of the level axis, dB."""


class LadderResponseFigure(LiveFigure):
    """Level over the distance from the crystals' series resonance, with the 6 dB width as a bar.

    ``centre`` (Hz), ``low`` and ``high`` (Hz from it) are the picture's; ``note`` opens every
    description.
    """

    name = "ladder-response"
    size = (900, 340)

    def __init__(self, centre: float, low: float, high: float, note: str = "") -> None:
        self._centre, self._ends, self._note = centre, (low, high), note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """One axis; two rows of words above it."""
        axes = figure.add_axes((0.075, 0.15, 0.905, 0.68))
        low, high = (end / 1e3 for end in self._ends)
        axes.set(xlim=(low, high), ylim=(LOWEST, HIGHEST), ylabel="level (dB)",
                 xlabel=f"distance from {_mhz(self._centre)}, the crystals' series resonance (kHz)")
        self._width = self.line(axes, "width", "intermediate", linewidth=6, solid_capstyle="butt")
        self._right = self.line(axes, "right", "oscillator", linewidth=1.5)
        self._built = self.line(axes, "built", "signal", linewidth=2.4)
        self._words = self.label(axes, "words", "ink", fontsize=11)
        self._words.set_position((low, HIGHEST + 8.5))
        self._more = self.label(axes, "more", "ink", fontsize=11)
        self._more.set_position((low, HIGHEST + 1.8))
        axes.text(high, HIGHEST + 8.5, "dashes: alike, ends right", ha="right", va="baseline",
                  fontsize=11, color=style.LIGHT["oscillator"])
        axes.text(high, HIGHEST + 1.8, "bar: 6 dB width", ha="right", va="baseline",
                  fontsize=11, color=style.LIGHT["intermediate"])

    def update(self, result: LadderSetting) -> None:
        """Move both curves, the bar and the words."""
        x = (result.frequencies - self._centre) / 1e3
        self._built.set_data(x, result.levels_db.clip(2 * LOWEST))
        self._right.set_data(x, result.right_db.clip(2 * LOWEST))
        found = result.measures
        edges = [min(max(edge - self._centre, self._ends[0]), self._ends[1]) / 1e3
                 for edge in (found.low[1], found.high[1])]
        self._width.set_data(edges, [LOWEST + 2] * 2)
        self._words.set_text(
            f"{len(result.design.ladder.crystals)} crystals, {_hz(found.width_6)} wide at 6 dB, "
            f"ripple {_db(found.ripple_db)}, loss {_db(found.insertion_loss_db)}")
        self._more.set_text(f"shape: {_shape(result)}")

    def describe(self, result: LadderSetting) -> str:
        """Number, width, shape, ripple and loss."""
        found, count = result.measures, len(result.design.ladder.crystals)
        words = (
            f"{count} crystals between {_ohms(result)}: {_hz(found.width_6)} wide at 6 dB, ripple "
            f"{_db(found.ripple_db)}, loss {_db(found.insertion_loss_db)}; {_shape(result)}. With "
            f"crystals alike and the ends right the ripple would be "
            f"{_db(result.designed.ripple_db)}, the loss {_db(result.designed.insertion_loss_db)}.")
        return f"{self._note} {words}".strip()

    def explain(self, result: LadderSetting) -> str:
        """Which fault shows, and the room that the crystals give."""
        design = result.design
        return (
            f"{_fault(result)} The pass band lies above the series resonance, and the upper slope is "
            f"steeper, since the parallel resonance waits {_hz(design.crystal.spacing)} up. From "
            f"there comes the limit: these crystals make no ladder wider than {_hz(design.widest)}. "
            f"A signal needs about {_time(result)} to build up in a filter this narrow: the "
            "narrower and the steeper, the longer it rings.")


def _fault(result: LadderSetting) -> str:
    width = result.design.wanted
    if result.spread > width / 10:
        return (
            f"The crystals differ by {_hz(result.spread)}, {_share(result.spread, width)} of the "
            "width: their humps stand apart instead of joining. A tenth of the width is a usual "
            "limit.")
    if result.termination < 75:
        return (
            f"The ends see {result.termination:.0f} % of what they should: they take too little, "
            "and what they leave echoes in the filter as ripple.")
    if result.termination > 140:
        return (
            f"The ends see {result.termination:.0f} % of what they should: the end crystals are "
            "damped away, the corners droop, and power is lost.")
    if not result.spread and result.termination == 100:
        return "The crystals are alike and the ends see what they should: this is the design."
    return (
        f"The crystals differ by {_hz(result.spread)} and the ends see {result.termination:.0f} % of "
        "what they should: the response is nearly as designed.")


def _time(result: LadderSetting) -> str:
    """Group delay in the middle, about N/(π·width) for N resonators (Butterworth's is near it)."""
    count = len(result.design.ladder.crystals)
    return show(count / (math.pi * result.design.wanted), "s", digits=2)


def _shape(result: LadderSetting) -> str:
    found = result.measures
    if math.isnan(found.shape_factor):
        return f"60 dB are not reached on both sides; ten widths off {found.ultimate_db:.0f} dB"
    return f"60 dB width over 6 dB width {found.shape_factor:.1f}"


def _share(part: float, whole: float) -> str:
    return f"{100 * part / whole:.0f} %"


def _ohms(result: LadderSetting) -> str:
    return f"two ends of {show(result.measures.ladder.source_resistance, 'Ω', digits=3)}"


def _db(level: float) -> str:
    return show(level, "dB", decimals=1)


def _hz(frequency: float) -> str:
    return show(frequency, "Hz", digits=3)


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", digits=8)

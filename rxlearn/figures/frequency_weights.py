"""Whoever weighs differently, ranks differently: points against each scheme as stacked bars."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.frequency_choice import FrequencyChoice
from rxlearn.compute.frequency_choice_views import GROUP_WEIGHT, GROUPS, Weighing
from rxlearn.compute.quantities import show
from rxlearn.figures.scene import LiveFigure

NAMES = {"dial": "the dial", "oscillator": "the oscillator", "rejection": "what is held down",
         "quiet": "neighbours and whistles"}
ROLES = {"dial": "signal", "oscillator": "oscillator", "rejection": "image",
         "quiet": "intermediate"}

SLOTS = 6
"""So many schemes are drawn, those with the fewest points."""


class FrequencyWeightsFigure(LiveFigure):
    """A bar for each scheme, fewest points on top; its parts say what the points are about.

    ``most`` is the largest number of points there can be, ``note`` a sentence that stands in
    the explanation.
    """

    name = "frequency-weights"
    size = (900, 320)

    def __init__(self, most: float, note: str = "") -> None:
        self._most, self._note = most, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Slots stand still; the bars and their words move between them."""
        axes = figure.add_axes((0.02, 0.14, 0.96, 0.75))
        axes.set(xlim=(0, self._most), ylim=(SLOTS - 0.25, -0.75), yticks=[],
                 xlabel="points against it")
        axes.spines["left"].set_visible(False)
        axes.grid(False, axis="y")
        self._bars = {
            group: self.line(axes, f"bar-{group}", role, linewidth=11, linestyle="-",
                             solid_capstyle="butt")
            for group, role in ROLES.items()
        }
        axes.legend(list(self._bars.values()), list(NAMES.values()), loc="lower left",
                    bbox_to_anchor=(-0.005, 1.0), ncols=4, fontsize=11, frameon=False,
                    handlelength=1.4, borderaxespad=0.1)
        self._words = [self.label(axes, f"words-{slot}", "ink", fontsize=10.5)
                       for slot in range(SLOTS)]

    def update(self, result: Weighing) -> None:
        """Lay the parts of each bar end to end; say them above it."""
        shown = min(SLOTS, len(result.rows))
        start = np.zeros(shown)
        height = np.arange(shown) + 0.2
        for group, bar in self._bars.items():
            end = start + result.points[group][:shown]
            x = np.stack([start, end, np.full(shown, np.nan)], axis=1).ravel()
            bar.set_data(x, np.repeat(height, 3))
            bar.set_visible(bool(result.points[group][:shown].any()))
            start = end
        for slot, words in enumerate(self._words):
            words.set_visible(slot < shown)
            if slot < shown:
                words.set_position((0.002 * self._most, slot - 0.17))
                words.set_text(_slot_words(result, slot))

    def describe(self, result: Weighing) -> str:
        """Who leads, by how much, and who comes next."""
        first = _scheme(result.choice, result.rows[0])
        totals = result.totals
        if len(result.rows) == 1:
            return (f"{first} is the only scheme of this pair that works, with "
                    f"{_points(totals[0])} against it.")
        second = _scheme(result.choice, result.rows[1])
        lead = totals[1] - totals[0]
        if lead < 1e-9:
            return (f"{first} and {second} stand level with {_points(totals[0])} each, of "
                    f"{len(result.rows)} schemes that work.")
        return (f"{first} leads with {_points(totals[0])} against it, {_points(lead)} fewer than "
                f"{second}; {len(result.rows)} schemes work.")

    def explain(self, result: Weighing) -> str:
        """Where the points come from, and whether the order would hold with equal weights."""
        words = ("A fair verdict counts 1 point, a poor one 3, times the weight of its group. ")
        equal = result.choice.ranked()
        if equal[0] != result.rows[0]:
            words += (f"With equal weights {_scheme(result.choice, equal[0])} would lead: what "
                      "matters to you has changed the order. ")
        elif len(result.rows) > 1:
            words += "With equal weights the same scheme leads. "
        heaviest = max(result.points, key=lambda group: result.points[group][0])
        if result.points[heaviest][0]:
            words += (f"Most of what stands against the leader is about {NAMES[heaviest]}: "
                      f"{_points(result.points[heaviest][0])} of {result.totals[0]:.3g}.")
        return f"{words} {self._note}".strip()


def most_points(choice: FrequencyChoice) -> float:
    """Room for the longest bar that the weights can make of ``choice``."""
    rows = choice.ranked()
    most = choice.points({key: GROUP_WEIGHT.high for keys in GROUPS.values() for key in keys})
    return 1.05 * max(1.0, float(most[rows].max()))


def _slot_words(result: Weighing, slot: int) -> str:
    parts = ", ".join(
        f"{NAMES[group]} {points[slot]:.3g}" for group, points in result.points.items())
    return f"{_scheme(result.choice, result.rows[slot])}:  {result.totals[slot]:.3g} = {parts}"


def _scheme(choice: FrequencyChoice, row: int) -> str:
    frequency = show(choice.crystals[choice.crystal[row]].frequency, "Hz", digits=8, prefix="M")
    return f"{frequency} by {'sum' if choice.summed[row] else 'difference'}"


def _points(number: float) -> str:
    return "1 point" if abs(number - 1) < 1e-9 else f"{number:.3g} points"

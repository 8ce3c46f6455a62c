"""A scheme's profile: how it stands in everything that is weighed, among its rivals."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.frequency_choice_cells import cell, verdict_of
from rxlearn.compute.frequency_choice_verdicts import COLUMN_OF, FAIR, GOOD, POOR
from rxlearn.compute.frequency_choice_views import PROFILE, Profile
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

ZONES = (POOR, FAIR, GOOD)

LABELS = {
    "miss": "middles apart", "capacitor": "switched capacitor", "share": "narrower band's share",
    "oscillator": "oscillator", "radiation": "in an amateur band", "image_lower": "image, {lower}",
    "image_upper": "image, {upper}", "breakthrough": "signal on the IF",
    "if_place": "the IF's neighbour", "beat_harmonic": "the IF's harmonics",
    "whistles": "a station's whistle",
}

MOST_DOTS = 12
"""So many rivals are drawn; a pair with more shows the first of them."""


class FrequencyChoiceFigure(LiveFigure):
    """A row for each column: rivals as open dots, the scheme looked at joined by a line."""

    name = "frequency-choice"
    size = (900, 300)

    def build(self, figure: Figure) -> None:
        """Three zones that stand still; dots, line and words move."""
        axes = figure.add_axes((0.185, 0.02, 0.5, 0.875))
        axes.set(xlim=(0, 3), ylim=(len(PROFILE) - 0.45, -0.6), xticks=[], yticks=[])
        axes.grid(False)
        for side in ("left", "bottom"):
            axes.spines[side].set_visible(False)
        for place, zone in enumerate(ZONES):
            if place != 1:
                axes.axvspan(place, place + 1, color=style.LIGHT["shade"], zorder=0)
            axes.text(place + 0.5, -0.75, zone, ha="center", fontsize=11,
                      color=style.LIGHT["quiet"])
        for row in range(len(PROFILE)):
            axes.axhline(row, color=style.LIGHT["grid"], linewidth=0.8)
        self._rivals = self.line(axes, "rivals", "quiet", linestyle="none", marker="o",
                                 markersize=6, fillstyle="none")
        self._joined = self.line(axes, "joined", "intermediate", linewidth=1.4)
        self._picked = self.line(axes, "picked", "intermediate", linestyle="none", marker="D",
                                 markersize=8)
        self._labels = [self.label(axes, f"label-{key}", "ink", fontsize=11, ha="right")
                        for key in PROFILE]
        self._values = [self.label(axes, f"value-{key}", "intermediate", fontsize=10.5)
                        for key in PROFILE]
        self._title = self.label(axes, "title", "intermediate", fontsize=11.5)
        self._title.set_position((3.06, -0.75))

    def update(self, result: Profile) -> None:
        """Put rivals and scheme in their places, and the scheme's values beside them."""
        choice, row = result.choice, int(result.rows[result.picked])
        height = np.arange(len(result.keys), dtype=float)
        others = np.delete(result.standings, result.picked, axis=0)[:MOST_DOTS]
        self._rivals.set_data(others.ravel(), np.tile(height, len(others)))
        self._rivals.set_visible(bool(len(others)))
        for line in (self._joined, self._picked):
            line.set_data(result.standings[result.picked], height)
        lower, upper = choice.pairs[choice.pair[row]]
        for place, key in enumerate(result.keys):
            self._labels[place].set_text(
                LABELS[key].format(lower=_cut(lower.name), upper=_cut(upper.name)))
            self._labels[place].set_position((-0.05, place + 0.2))
            self._values[place].set_text(cell(choice, row, key))
            self._values[place].set_position((3.06, place + 0.2))
        self._title.set_text(f"◆ {_crystal(choice, row)}")

    def describe(self, result: Profile) -> str:
        """How many columns are good, fair and poor, and what its rivals do better."""
        choice, row = result.choice, int(result.rows[result.picked])
        verdicts = [verdict_of(choice, row, key) for key in result.keys]
        counts = ", ".join(f"{verdicts.count(zone)} {zone}" for zone in reversed(ZONES))
        words = (f"{_crystal(choice, row)}: of the {len(verdicts)} things drawn here, out of {len(COLUMN_OF)} that "
                 f"are weighed, {counts}.")
        if len(result.rows) == 1:
            return f"{words} It is the only scheme of this pair that works."
        best = result.standings.max(axis=0)
        behind = [
            COLUMN_OF[key].label for place, key in enumerate(result.keys)
            if choice.verdicts[key][row] > choice.verdicts[key][result.rows].min()
            and best[place] > result.standings[result.picked][place]
        ]
        rivals = len(result.rows) - 1
        among = "its rival" if rivals == 1 else f"its {rivals} rivals"
        if not behind:
            return f"{words} Nothing is judged better with {among}."
        return f"{words} Judged better with {among}: {', '.join(behind)}."

    def explain(self, result: Profile) -> str:
        """What a place in a row means, and why none of them wins outright."""
        choice, row = result.choice, int(result.rows[result.picked])
        front = int(choice.on_front[result.rows].sum())
        words = ("To the right is better; the borders between poor, fair and good are rules of "
                 "thumb, so read the value before the verdict. ")
        if choice.on_front[row]:
            words += ("No scheme of this pair is as good in everything and better in something: "
                      "whoever leaves it gives something up")
        else:
            words += ("Another scheme of this pair is as good in everything and better in "
                      "something: there is no reason to take this one")
        return f"{words}. Schemes that no other outdoes: {front} of {len(result.rows)}."


def _crystal(choice, row: int) -> str:
    frequency = show(choice.crystals[choice.crystal[row]].frequency, "Hz", digits=8, prefix="M")
    return f"{frequency}, by {'sum' if choice.summed[row] else 'difference'}"


def _cut(name: str) -> str:
    return name if len(name) <= 14 else f"{name[:13]}…"

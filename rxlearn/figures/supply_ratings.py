"""Every known rating of a supply as a bar: how much of the limit is used, and what is beyond it."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.quantities import show
from rxlearn.compute.supply_parts import CAPACITOR_INPUT, CHOKE_INPUT
from rxlearn.compute.supply_ratings import EARTHED_HEATER, Finding, exceeded
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

ROWS = 14
"""Limits that the figure can list."""

MOST = 150.0
"""End of the axis, percent of the limit; a longer bar ends there."""

SAID = 3
"""Broken limits that are explained at a time; the rest is marked in the figure."""

SHORT = {
    EARTHED_HEATER: "cathode to earthed heater",
    "resistance in each plate's circuit": "resistance in a plate's lead",
    "r.m.s. current of the winding": "winding, r.m.s. current",
}
"""Shorter words for a row than the sentence has."""

Findings = tuple[Finding, ...]


class SupplyRatingsFigure(LiveFigure):
    """A row for each limit: its name, a bar up to its share of the limit, value and limit."""

    name = "supply-ratings"
    size = (900, 340)

    def build(self, figure: Figure) -> None:
        """Rows at fixed heights; the limit is one line for all."""
        axes = figure.add_axes((0.355, 0.115, 0.37, 0.81))
        axes.set(xlim=(0, MOST), ylim=(ROWS, 0), xlabel="percent of what is allowed")
        axes.set_title("Worst case: high mains, nothing drawn where that is worse")
        axes.title.set_position((-0.95, 1.0))
        axes.set_yticks([])
        axes.set_xticks([0, 50, 100, 150])
        axes.axvline(100, color=style.LIGHT["ink"], linewidth=1.6)
        bars = {"linewidth": 9, "linestyle": "-", "solid_capstyle": "butt"}
        self._kept = self.line(axes, "kept", "intermediate", **bars)
        self._broken = self.line(axes, "broken", "warning", **bars)
        self._names, self._values = [], []
        for i in range(ROWS):
            name = self.label(axes, f"name-{i}", "ink", fontsize=10.5, ha="right")
            name.set_position((-3, i + 0.68))
            value = self.label(axes, f"value-{i}", "ink", fontsize=10.5)
            value.set_position((MOST + 4, i + 0.68))
            self._names.append(name)
            self._values.append(value)

    def update(self, result: Findings) -> None:
        """Move both sets of bars and word the rows."""
        for broken, line in ((False, self._kept), (True, self._broken)):
            x, y = [], []
            for i, finding in enumerate(result[:ROWS]):
                if finding.exceeded == broken:
                    x += [0.0, min(_share(finding), MOST), np.nan]
                    y += [i + 0.5, i + 0.5, np.nan]
            line.set_data(x, y)
        for i in range(ROWS):
            finding = result[i] if i < len(result) else None
            self._names[i].set_text(_name(finding) if finding else "")
            self._values[i].set_text(_value(finding) if finding else "")

    def describe(self, result: Findings) -> str:
        """How many limits are broken, whose, and by how much."""
        broken = [finding for finding in result if finding.exceeded]
        if not broken:
            nearest = max(result, key=_share)
            return (f"All {len(result)} limits that are known here are kept at high mains; the "
                    f"nearest, {nearest.part}, {nearest.quantity}, is used to "
                    f"{show(_share(nearest), '%', digits=3)}.")
        parts = "; ".join(f"{f.part}, {f.quantity} ({_against(f)})" for f in broken)
        are = "is" if len(broken) == 1 else "are"
        return f"{len(broken)} of the {len(result)} limits known here {are} broken: {parts}."

    def explain(self, result: Findings) -> str:
        """What is broken in words, with its remedy; or which limit is nearest."""
        sentences = exceeded(result)
        if len(sentences) > SAID:
            return " ".join(sentences[:SAID]) + f" And {len(sentences) - SAID} more, marked above."
        if sentences:
            return " ".join(sentences)
        nearest = max(result, key=_share)
        return (f"The nearest is this. {nearest.sentence} A limit that is kept says nothing about "
                "age, heat in the cabinet, or a part that is not what is printed on it.")


def _share(finding: Finding) -> float:
    """Percent of the limit that is used; over 100 when it is broken, whichever way it counts."""
    value, limit = finding.value, finding.limit
    if finding.at_least:
        return 100 * limit / value if value > 0 else 10 * MOST
    return 100 * value / limit if limit > 0 else 10 * MOST


def _name(finding: Finding) -> str:
    quantity = SHORT.get(finding.quantity, finding.quantity)
    for which in (CAPACITOR_INPUT, CHOKE_INPUT):
        quantity = quantity.replace(f" ({which})", "")
    return f"{finding.part}: {quantity}"


def _value(finding: Finding) -> str:
    words = _against(finding)
    if not finding.exceeded:
        return words
    return f"{words}: too little" if finding.at_least else f"{words}: beyond"


def _against(finding: Finding) -> str:
    """The value against its limit."""
    value, limit = (show(number, finding.unit, digits=3) for number in (finding.value, finding.limit))
    return f"{value}, least {limit}" if finding.at_least else f"{value} of {limit}"

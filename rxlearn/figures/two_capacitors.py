"""A coil measured with two known capacitors, as the straight line that it is."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.practice_bench import CoilBench
from rxlearn.compute.quantities import show
from rxlearn.figures.scene import LiveFigure

LEFT, RIGHT = -60.0, 520.0
"""Ends of the capacitance axis, pF."""

PF, SQUARE = 1e12, 1e18
"""From F to pF, and from s² to µH·pF."""


class TwoCapacitorsFigure(LiveFigure):
    """1/(2πf)² over the known capacitance: slope is the coil, where it meets zero the strays."""

    name = "two-capacitors"
    size = (900, 340)

    def __init__(self, inductance: float, note: str = "") -> None:
        self._top = 1.15 * inductance * 1e6 * (RIGHT + 20)
        self._note = note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Fixed axes, one line with its two neighbours, two points with their bars."""
        axes = figure.add_axes((0.1, 0.15, 0.88, 0.64))
        axes.set(xlim=(LEFT, RIGHT), ylim=(0, self._top), xlabel="known capacitor, pF",
                 ylabel="1 / (2πf)², µH·pF", title="The coil is the slope of this line")
        axes.axvline(0, color="0.4", linewidth=1)
        self._edges = [self.line(axes, f"edge-{n}", "quiet", linewidth=1.2) for n in (0, 1)]
        self._line = self.line(axes, "fit", "signal", linewidth=2.4, linestyle="-")
        self._bars = self.line(axes, "bars", "warning", linewidth=3, linestyle="-")
        self._points = self.line(axes, "points", "warning", marker="o", markersize=8,
                                 linestyle="none")
        self._zero = self.line(axes, "zero", "oscillator", marker="D", markersize=8,
                               linestyle="none")
        self._words = [
            self.label(axes, f"words-{row}", role, fontsize=11, transform=figure.transFigure)
            for row, role in enumerate(("signal", "oscillator"))
        ]

    def update(self, result: CoilBench) -> None:
        """Move points, line and the lines at both ends of the interval."""
        coil, strays = (result.fit.estimates[name] for name in ("coil", "strays"))
        known = np.array([result.small, result.large])
        ordinates = result.inductance * (known + result.strays)
        sure = np.array([r.at_uncertainty for r in result.fit.readings])
        self._points.set_data(known * PF, ordinates * SQUARE)
        gap = np.full(2, np.nan)
        self._bars.set_data(
            np.column_stack((known - 2 * sure, known + 2 * sure, gap)).ravel() * PF,
            np.column_stack((ordinates, ordinates, gap)).ravel() * SQUARE)
        ends = np.array([-strays.value, RIGHT / PF])
        self._line.set_data(ends * PF, coil.value * (ends + strays.value) * SQUARE)
        # Through the readings' middle, with the steepest and the flattest slope of the interval.
        middle, there = known.mean(), ordinates.mean()
        for edge, sign in zip(self._edges, (-1, 1), strict=True):
            slope = coil.value + sign * coil.half_width
            edge.set_data(np.array([LEFT, RIGHT]),
                          (there + slope * (np.array([LEFT, RIGHT]) / PF - middle)) * SQUARE)
        self._zero.set_data([-strays.value * PF], [0.0])
        lines = (f"Slope: {coil.says()}", f"Where the line meets zero: {strays.says()}")
        for row, words in enumerate(lines):
            self._words[row].set_text(words)
            self._words[row].set_position((0.1, 0.945 - 0.065 * row))

    def describe(self, result: CoilBench) -> str:
        """Both results with their intervals, in hertz what was read."""
        coil, strays = (result.fit.estimates[name] for name in ("coil", "strays"))
        read = " and ".join(
            f"{show(r.frequency, 'Hz', digits=5)} with {show(r.at, 'F', digits=4)}"
            for r in result.fit.readings)
        words = (f"Resonances at {read} give {coil.says()} and {strays.says()}, with 95 % "
                 "confidence.")
        return f"{words} {self._note}".strip()

    def explain(self, result: CoilBench) -> str:
        """The lever: two points close together fix a slope badly."""
        coil = result.fit.estimates["coil"]
        share = 100 * coil.half_width / coil.value
        ratio = result.large / result.small
        return (
            f"The slope rests on the distance between the two points. With capacitors in a ratio "
            f"of {ratio:.3g} the coil is known to ± {share:.2g} %. A small capacitor's percentage "
            "is few picofarads and a large one's many, so the small one settles the strays, and "
            "the large one the coil. The thin lines are as steep and as flat as the interval "
            "allows."
        )

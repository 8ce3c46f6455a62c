"""A resistor's heat over the current, beside what each rating may carry with its margin."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.part_ratings import HeatedResistor
from rxlearn.compute.quantities import show
from rxlearn.data.parts_trade import POWER_MARGIN, RESISTOR_WATTS
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

MOST_TIMES = 2.5
"""End of the axis of currents, as a multiple of what is planned."""

LOW, HIGH = 1e-3, 20.0
"""Ends of the axis of heat, W."""


class ResistorHeatFigure(LiveFigure):
    """Heat (W) on a logarithmic axis, with a step for each rating that is sold."""

    name = "resistor-heat"
    size = (900, 320)

    def __init__(self, note: str = "") -> None:
        self._note = note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """One axis; the sums stand to its right."""
        axes = figure.add_axes((0.08, 0.17, 0.5, 0.69))
        axes.set(xlim=(0, MOST_TIMES), ylim=(LOW, HIGH), yscale="log",
                 xlabel="current over what is planned")
        axes.set_title("Heat in the resistor (W)")
        ticks = [1e-3, 1e-2, 0.1, 1, 10]
        axes.set_yticks(ticks, [f"{tick:g}" for tick in ticks])
        axes.minorticks_off()
        for watts in RESISTOR_WATTS:
            axes.axhline(watts / POWER_MARGIN, color=style.LIGHT["warning"], linewidth=0.9,
                         linestyle=style.DASHES["warning"])
            axes.text(MOST_TIMES * 1.01, watts / POWER_MARGIN, f"{watts:g} W part", fontsize=9.5,
                      va="center", color=style.LIGHT["warning"])
        self._curve = self.line(axes, "curve", "signal")
        self._planned = self.marker(axes, "planned", "quiet", linewidth=1.2)
        self._planned.set_xdata([1.0, 1.0])
        (here,) = axes.plot([], [], marker="o", markersize=9, linestyle="None",
                            color=style.LIGHT["ink"])
        self._here = self.moving("here", here)
        side = figure.add_axes((0.68, 0.0, 0.32, 1.0))
        side.set(xlim=(0, 1), ylim=(0, 1))
        side.set_axis_off()
        self._rows = []
        for row in range(6):
            label = self.label(side, f"row-{row}", "ink" if row % 2 else "quiet",
                               fontsize=13 if row % 2 else 11)
            label.set_position((0.0, 0.86 - 0.115 * row - 0.035 * (row // 2)))
            self._rows.append(label)
        if self._note:
            figure.text(0.01, 0.965, self._note, fontsize=8.5, color=style.LIGHT["warning"],
                        parse_math=False)

    def update(self, result: HeatedResistor) -> None:
        """Move curve and point, and write the sums."""
        times = np.linspace(0.02, MOST_TIMES, 80)
        heat = result.now.resistance * (times * result.planned) ** 2
        inside = (heat >= LOW) & (heat <= HIGH)
        self._curve.set_data(times[inside], heat[inside])
        shown = LOW <= result.now.power <= HIGH
        self._here.set_data([result.times] if shown else [], [result.now.power] if shown else [])
        now = result.now
        rows = (
            "current", _amperes(now.current),
            "heat, current² times resistance", f"{_watts(now.power)}, twice that {_watts(now.wanted)}",
            "rating to buy", _rating(result),
        )
        for label, words in zip(self._rows, rows, strict=True):
            label.set_text(words)

    def describe(self, result: HeatedResistor) -> str:
        """Current, heat and rating of the resistor."""
        now = result.now
        return (f"{result.name}: {_amperes(now.current)} through {show(now.resistance, 'Ω')} makes "
                f"{_watts(now.power)} of heat; buy {_rating(result)}.")

    def explain(self, result: HeatedResistor) -> str:
        """Why it goes with the square, why the margin, and what decides."""
        now = result.now
        words = "Heat goes with the square of the current"
        if abs(result.times - 1) > 1e-9:
            words += (f": {result.times:.2f} times the current is {result.times ** 2:.2f} times the heat "
                      f"of {_watts(result.before.power)}")
        words += (". A rating holds in free air; inside a warm cabinet a resistor lasts at half of it, "
                  f"so twice the heat, {_watts(now.wanted)}, must not be more than the rating.")
        if now.by_voltage:
            return words + " Here the voltage along its body asks for more than the heat does."
        if result.too_hot and now.rating is not None:
            return words + (f" The {_watts(result.before.rating)} part that the plan asks for would be "
                            "too small.")
        return words


def _rating(result: HeatedResistor) -> str:
    return "more than one resistor" if result.now.rating is None else _watts(result.now.rating)


def _watts(value: float) -> str:
    return show(value, "W", digits=2, prefix="" if value >= 0.1 else None)


def _amperes(value: float) -> str:
    return show(value, "A", digits=3)

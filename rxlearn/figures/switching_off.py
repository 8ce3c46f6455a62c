"""The last seconds of a supply: what the capacitors still hold, and whether the bleeder works."""

from __future__ import annotations

import math

from matplotlib.figure import Figure

from rxlearn.compute.quantities import show
from rxlearn.compute.supply_switch_off import SwitchOff
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

GRAVITY = 9.80665
"""Standard gravity, m/s² (3rd General Conference on Weights and Measures, 1901)."""


class SwitchingOffFigure(LiveFigure):
    """Voltage of the last capacitor over time, with the named threshold.

    ``volts`` and ``seconds`` are the ends of the axes.
    """

    name = "switching-off"
    size = (900, 320)

    def __init__(self, *, volts: float, seconds: float) -> None:
        self._ends = volts, seconds
        super().__init__()

    def build(self, figure: Figure) -> None:
        """One axis; the words stand to its right."""
        volts, seconds = self._ends
        axes = figure.add_axes((0.065, 0.16, 0.62, 0.74))
        axes.set(xlim=(0, seconds), ylim=(0, volts), xlabel="seconds after the plug is out",
                 title="What the capacitors still hold (V)")
        self._curve = self.line(axes, "curve", "oscillator", linewidth=2.6, linestyle="-")
        self._threshold = self.line(axes, "threshold", "warning", linewidth=1.4)
        (here,) = axes.plot([], [], marker="o", markersize=9, linestyle="None",
                            color=style.LIGHT["ink"])
        self._here = self.moving("here", here)
        self._threshold_words = self.label(axes, "threshold-words", "warning", fontsize=11, ha="right")
        side = figure.add_axes((0.70, 0.0, 0.30, 1.0))
        side.set(xlim=(0, 1), ylim=(0, 1))
        side.set_axis_off()
        self._rows = []
        for i in range(6):
            label = self.label(side, f"row-{i}", "ink" if i % 2 else "quiet", fontsize=13 if i % 2 else 11)
            label.set_position((0.02, 0.86 - 0.12 * i - 0.03 * (i // 2)))
            self._rows.append(label)

    def update(self, result: SwitchOff) -> None:
        """Move the curve, the threshold and the point where they meet."""
        volts, seconds = self._ends
        self._curve.set_data(result.time, result.voltages[-1])
        self._threshold.set_data([0, seconds], [result.threshold] * 2)
        self._threshold_words.set_text(f"named threshold, {_volts(result.threshold)}")
        self._threshold_words.set_position((0.99 * seconds, result.threshold + 0.02 * volts))
        time = result.time_to_threshold
        inside = time <= seconds
        self._here.set_data([time] if inside else [], [result.threshold] if inside else [])
        until = "never" if math.isinf(time) else _seconds(time)
        left = float(result.voltages[-1][-1])
        for label, words in zip(self._rows, (
                "at the start", f"{_volts(max(result.start))}, {_joules(result.energy)}",
                "below the threshold after", until,
                f"left after {_seconds(seconds)}", _volts(left)), strict=True):
            label.set_text(words)

    def describe(self, result: SwitchOff) -> str:
        """What is stored, and when it is below the threshold, if ever."""
        stored = (f"The capacitors hold {_joules(result.energy)} at {_volts(max(result.start))}")
        if math.isinf(result.time_to_threshold):
            return (f"{stored}, and with the bleeder failed open they keep it: never below "
                    f"{_volts(result.threshold)} by themselves.")
        return (f"{stored}. With a sound bleeder of {show(result.supply.bleeder, 'Ω', digits=3)} they "
                f"are below the named threshold of {_volts(result.threshold)} after "
                f"{_seconds(result.time_to_threshold)}.")

    def explain(self, result: SwitchOff) -> str:
        """The time constant and the logarithm, or why nothing happens."""
        height = 100 * result.energy / GRAVITY
        fall = f"That energy lifts a kilogram by {height:.0f} cm, and it is let go in a moment."
        if math.isinf(result.time_to_threshold):
            return (f"{fall} Nothing conducts, so nothing changes, for as long as you watch. The set "
                    "played as ever until you pulled the plug: an open bleeder gives no sign. Wait, "
                    "discharge through a resistor, then measure each capacitor, every time.")
        total = sum(section.capacitance for section in result.supply.sections)
        constant = result.supply.bleeder * total
        return (
            f"{fall} The time constant is {show(result.supply.bleeder, 'Ω', digits=3)} × "
            f"{show(total, 'F', digits=3)} = {show(constant, 's', digits=3)}; it takes "
            f"ln({_volts(max(result.start))} / {_volts(result.threshold)}) = "
            f"{math.log(max(result.start) / result.threshold):.2f} of them. That is what to wait for "
            "at least. It tells nothing about the bleeder in your set: measure."
        )


def _volts(value: float) -> str:
    return show(value, "V", prefix="", decimals=0)


def _joules(value: float) -> str:
    return show(value, "J", prefix="", decimals=1)


def _seconds(value: float) -> str:
    return show(value, "s", prefix="", decimals=1 if value < 100 else 0)

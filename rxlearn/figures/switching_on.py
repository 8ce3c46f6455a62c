"""The first seconds of a supply: the surge, and the voltage before the valves are warm."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.first_seconds import FirstSeconds
from rxlearn.compute.quantities import show
from rxlearn.compute.rectifiers import SiliconRectifier
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure


class SwitchingOnFigure(LiveFigure):
    """Left: the current of the first periods.  Right: both capacitors until all is warm.

    ``volts``, ``amperes``, ``surge`` (s) and ``seconds`` are the ends of the axes, ``rating``
    (V) the first capacitor's.
    """

    name = "switching-on"
    size = (900, 320)

    def __init__(self, *, volts: float, amperes: float, surge: float, seconds: float,
                 rating: float) -> None:
        self._ends = volts, amperes, surge, seconds
        self._rating = rating
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Two axes side by side with fixed ends."""
        volts, amperes, surge, seconds = self._ends
        left = figure.add_axes((0.06, 0.16, 0.34, 0.68))
        right = figure.add_axes((0.475, 0.16, 0.51, 0.68))
        left.set(xlim=(0, surge * 1e3), ylim=(0, amperes), xlabel="time (ms)")
        left.set_title("Current into the filter (A)", pad=20)
        right.set(xlim=(0, seconds), ylim=(0, volts), xlabel="time (s)")
        right.set_title("Capacitors (V)", pad=20)
        right.axhline(self._rating, color=style.LIGHT["warning"], linewidth=1.4,
                      linestyle=style.DASHES["warning"])
        right.text(0.99 * seconds, self._rating + 0.02 * volts, "rating of the first", ha="right",
                   fontsize=11, color=style.LIGHT["warning"])
        self._current = self.line(left, "current", "signal")
        self._first = self.line(right, "first", "oscillator")
        self._last = self.line(right, "last", "intermediate", linewidth=2.4)
        self._warm = self.marker(right, "warm", "quiet", linewidth=1.0)
        self._surge_words = self.label(left, "surge-words", "signal", fontsize=11)
        self._surge_words.set_position((0, 1.035 * amperes))
        self._peak_words = self.label(right, "peak-words", "ink", fontsize=11)
        self._peak_words.set_position((0, 1.035 * volts))
        names = (("first-name", "oscillator", "first capacitor", 0.14),
                 ("last-name", "intermediate", "at the load", 0.05))
        for name, role, words, y in names:
            label = self.label(right, name, role, ha="right", fontsize=11)
            label.set_text(words)
            label.set_position((0.99 * seconds, y * volts))
        self._warm_words = self.label(right, "warm-words", "quiet", fontsize=11, ha="right")

    def update(self, result: FirstSeconds) -> None:
        """Move the curves and the words."""
        volts, *_ = self._ends
        course, surge = result.course, result.surge
        self._current.set_data(surge.surge_time * 1e3, surge.surge_current)
        self._first.set_data(*_from_zero(course.time, course.highest[0]))
        self._last.set_data(*_from_zero(course.time, course.highest[-1]))
        self._warm.set_xdata([course.load_warm_up] * 2)
        self._warm_words.set_text("valves warm ")
        self._warm_words.set_position((course.load_warm_up, 0.3 * volts))
        self._surge_words.set_text(
            f"{_amperes(result.surge_peak)} at the most" if result.surge_peak > 0
            else "nothing yet: the rectifier is cold")
        self._peak_words.set_text(
            f"highest {_volts(course.peak_voltages[0])} after {_seconds(course.peak_voltage_times[0])}, "
            f"warm {_volts(course.final_voltages[0])}")

    def describe(self, result: FirstSeconds) -> str:
        """The surge, the highest voltage and when, and where it settles."""
        course = result.course
        mains = f"mains at {100 * course.mains:.0f} %"
        surge = (f"{_amperes(result.surge_peak)} flow when the switch closes at the peak"
                 if result.surge_peak > 0 else "nothing flows until the rectifier is warm")
        return (
            f"With {mains}, {surge}; the first capacitor climbs to {_volts(course.peak_voltages[0])} "
            f"after {_seconds(course.peak_voltage_times[0])}, and stands at "
            f"{_volts(course.final_voltages[0])} once the valves are warm."
        )

    def explain(self, result: FirstSeconds) -> str:
        """What limits the surge, and why the voltage is highest when nothing seems to happen."""
        course = result.course
        supply = course.supply
        over = course.peak_voltages[0] - course.final_voltages[0]
        if isinstance(supply.rectifier, SiliconRectifier):
            inside = supply.transformer.resistance + supply.series_resistance
            words = (
                f"An empty capacitor is a short circuit: only the winding and the resistor, "
                f"{show(inside, 'Ω', digits=3)} together, limit the current. Until the valves are "
                f"warm they draw nothing, so the voltage lies {_volts(over)} higher than later. ")
        else:
            words = (
                f"The rectifier's cathode warms up too, so the current comes in slowly, never more "
                f"than {_amperes(course.peak_current)}. Where it is warm before the other valves, the "
                f"voltage still rises {_volts(over)} above what it is later. ")
        spare = self._rating - course.peak_voltages[0]
        if spare < 0:
            return words + f"That is {_volts(-spare)} beyond the first capacitor's rating."
        return words + f"The first capacitor's rating lies {_volts(spare)} above that."


def _from_zero(time: np.ndarray, volts: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The course with the empty capacitor put before it."""
    return np.concatenate([[0.0], time]), np.concatenate([[0.0], volts])


def _volts(value: float) -> str:
    return show(value, "V", prefix="", decimals=0)


def _amperes(value: float) -> str:
    return show(value, "A", prefix="", decimals=2)


def _seconds(value: float) -> str:
    return show(value, "s", prefix="", decimals=1)

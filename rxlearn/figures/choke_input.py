"""Choke input: the choke's current over one period, and the output voltage over the load."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.quantities import show
from rxlearn.compute.choke_input import InputCompared
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure


class ChokeInputFigure(LiveFigure):
    """Left: the choke's current, which must not touch zero.  Right: both inputs over the load.

    ``volts``, ``amperes`` and ``load`` (A) are the ends of the axes, ``period`` (s) the mains'.
    """

    name = "choke-input"
    size = (900, 320)

    def __init__(self, *, volts: float, amperes: float, load: float, period: float) -> None:
        self._ends = volts, amperes, load, period
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Two axes side by side with fixed ends."""
        volts, amperes, load, period = self._ends
        left = figure.add_axes((0.07, 0.16, 0.4, 0.68))
        right = figure.add_axes((0.57, 0.16, 0.41, 0.68))
        left.set(xlim=(0, period), ylim=(-0.06 * amperes * 1e3, amperes * 1e3), xlabel="time (ms)")
        left.set_title("Current in the choke (mA)", pad=20)
        ticks = np.arange(0, period * 1e3 + 0.1, 5)
        left.set_xticks(ticks / 1e3, [f"{t:.0f}" for t in ticks])
        left.axhline(0, color=style.LIGHT["ink"], linewidth=1)
        right.set(xlim=(-0.015 * load * 1e3, load * 1e3), ylim=(0, volts), xlabel="load, bleeder left out (mA)")
        right.set_title("Voltage at the load (V)", pad=20)
        self._current = self.line(left, "current", "signal")
        self._mean = self.line(left, "mean", "quiet", linewidth=1.2)
        self._state = self.label(left, "state", "warning", fontsize=11)
        self._state.set_position((0, 1.035 * amperes * 1e3))
        self._capacitor = self.line(right, "capacitor", "oscillator")
        self._choke = self.line(right, "choke", "intermediate", linewidth=2.4)
        self._critical = self.line(right, "critical", "warning", linewidth=1.4)
        (here,) = right.plot([], [], marker="o", markersize=9, linestyle="None",
                             color=style.LIGHT["ink"])
        self._here = self.moving("here", here)
        words = (("capacitor-name", "oscillator", "capacitor first", 0.96, 0.9),
                 ("choke-name", "intermediate", "choke first", 0.96, 0.06))
        for name, role, text, x, y in words:
            label = self.label(right, name, role, ha="right", fontsize=11)
            label.set_text(text)
            label.set_position((x * load * 1e3, y * volts))
        self._rule = self.label(right, "rule", "warning", fontsize=11)
        self._rule.set_position((0, 1.035 * volts))

    def update(self, result: InputCompared) -> None:
        """Move the current, the curves, the critical load and the point."""
        volts, _, load, period = self._ends
        found = result.result
        self._current.set_data(found.time, found.branch_currents[0] * 1e3)
        mean = found.branches[0].direct * 1e3
        self._mean.set_data([0, period], [mean, mean])
        state = "it never stops" if found.continuous else "it stops in each half period"
        self._state.set_text(f"{state}; grey: its average, {mean:.0f} mA")
        self._choke.set_data(result.loads * 1e3, result.choke_volts)
        self._capacitor.set_data(result.loads * 1e3, result.capacitor_volts)
        at = result.critical_load * 1e3
        shown = math.isfinite(at) and at <= load * 1e3
        self._critical.set_data([at, at] if shown else [], [0, volts] if shown else [])
        self._rule.set_text(
            f"rule: the current stops below {at:.0f} mA" if math.isfinite(at)
            else "rule: the bleeder alone keeps it flowing")
        self._here.set_data([found.supply.load.current * 1e3], [found.output_voltage])

    def describe(self, result: InputCompared) -> str:
        """The load, what it gets, whether the current stops, and by what the choke misses."""
        found, choke = result.result, result.result.branches[0]
        state = ("never stops" if found.continuous else
                 "stops in each half period, so the capacitor charges towards the peak")
        other = _capacitor_at(result)
        beside = (f", where capacitor input would give {_volts(other)}" if math.isfinite(other)
                  else ", which is more than capacitor input could give")
        return (
            f"With the choke of {show(choke.inductance, 'H', digits=3)} first and a load of "
            f"{_milliamperes(found.supply.load.current)} its current {state}: "
            f"{_volts(found.output_voltage)} at the load{beside}."
        )

    def explain(self, result: InputCompared) -> str:
        """The critical inductance with the numbers on screen."""
        found, choke = result.result, result.result.branches[0]
        current = found.direct_current
        if current == 0:
            return ("Nothing draws current, no bleeder either: no choke is large enough, and the "
                    "capacitor stands at the peak.")
        frequency = found.supply.transformer.frequency
        resistance = found.capacitors[0].direct / current
        words = (
            f"Load and bleeder together are {show(resistance, 'Ω', digits=3)}. The rule asks for "
            f"R / (6π · {frequency:.0f} Hz) = {show(found.critical_inductance, 'H', digits=3)}; the "
            f"choke has {show(choke.inductance, 'H', digits=3)}. "
        )
        if found.continuous:
            return words + ("So the current only swells and ebbs, and the output is the average of "
                            "the wave, less what the resistances drop: it hardly moves with the load.")
        if choke.inductance > found.critical_inductance:
            return words + ("The rule reckons with one harmonic of an ideal wave only: just above "
                            "it the current still stops for a moment. Leave a margin.")
        return words + ("So the output soars as the load falls, and at no load the capacitors "
                        "stand at the peak: they are rated for it, whatever comes first.")


def _capacitor_at(result: InputCompared) -> float:
    return float(np.interp(result.result.supply.load.current, result.loads, result.capacitor_volts))


def _volts(value: float) -> str:
    return show(value, "V", prefix="", decimals=0)


def _milliamperes(value: float) -> str:
    return show(value, "A", prefix="m", decimals=0)

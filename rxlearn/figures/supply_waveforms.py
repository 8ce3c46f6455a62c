"""A supply over one period of the mains: voltages, rectifier current, and rules of thumb beside."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.quantities import show
from rxlearn.compute.supply_parts import BRIDGE, FULL_WAVE, HALF_WAVE
from rxlearn.compute.supply_result import SupplyResult
from rxlearn.compute.supply_rules import rules_for
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure
from rxlearn.figures.supply_table import CAPTION, COLUMNS, every_number

ROWS = 6
"""Rows of the table of numbers."""

NAMES = {FULL_WAVE: "Full wave", BRIDGE: "A bridge", HALF_WAVE: "Half wave"}


class SupplyWaveformsFigure(LiveFigure):
    """Above: winding and capacitors.  Below: the rectifier's current.  Right: numbers and rules.

    The table beside it has them all, with the heat, and says where each rule fails.  ``volts`` and ``amperes`` are the ends of the two axes, ``period`` (s) that of the mains.
    """

    name = "supply-waveforms"
    size = (900, 340)
    caption = CAPTION
    columns = COLUMNS

    def __init__(self, *, volts: float, amperes: float, period: float) -> None:
        self._ends = volts, amperes, period
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Two axes over one time, and a table of three columns."""
        volts, amperes, period = self._ends
        above = figure.add_axes((0.065, 0.47, 0.52, 0.44))
        below = figure.add_axes((0.065, 0.125, 0.52, 0.25))
        above.set(xlim=(0, period), ylim=(0, volts), title="Voltages (V)")
        below.set(xlim=(0, period), ylim=(0, amperes * 1e3), xlabel="time (ms)")
        below.set_title("Rectifier current into the filter (mA)")
        ticks = np.arange(0, period * 1e3 + 0.1, 5)
        for axes in (above, below):
            axes.set_xticks(ticks / 1e3, [f"{t:.0f}" for t in ticks])
        above.tick_params(labelbottom=False)
        self._winding = self.line(above, "winding", "quiet", linewidth=1.2)
        self._first = self.line(above, "first", "oscillator")
        self._last = self.line(above, "last", "intermediate", linewidth=2.4)
        self._current = self.line(below, "current", "signal")
        self._names = [
            self.label(above, "winding-name", "quiet", fontsize=11),
            self.label(above, "first-name", "oscillator", fontsize=11),
            self.label(above, "last-name", "intermediate", fontsize=11),
        ]
        for i, (label, words) in enumerate(zip(
                self._names, ("winding", "first capacitor", "at the load"), strict=True)):
            label.set_text(words)
            label.set_position((period * (0.3 + 0.22 * i), volts * 1.035))
        self._table(figure)

    def _table(self, figure: Figure) -> None:
        axes = figure.add_axes((0.605, 0.0, 0.395, 1.0))
        axes.set(xlim=(0, 1), ylim=(0, 1))
        axes.set_axis_off()
        for x, words in ((0.68, "here"), (0.99, "rule of thumb")):
            axes.text(x, 0.92, words, ha="right", color=style.LIGHT["quiet"], fontsize=11)
        self._labels, self._here, self._rules = [], [], []
        for i in range(ROWS):
            y = 0.81 - 0.135 * i
            self._labels.append(self.label(axes, f"what-{i}", "ink", fontsize=11))
            self._here.append(self.label(axes, f"here-{i}", "ink", ha="right", fontsize=12))
            self._rules.append(self.label(axes, f"rule-{i}", "quiet", ha="right", fontsize=11))
            for label, x in zip((self._labels[-1], self._here[-1], self._rules[-1]),
                                (0.0, 0.68, 0.99), strict=True):
                label.set_position((x, y))

    def update(self, result: SupplyResult) -> None:
        """Move the four curves and fill the table."""
        found = result
        winding = np.abs(found.winding_voltage)
        if found.supply.arrangement == HALF_WAVE:
            winding = np.where(found.winding_voltage > 0, found.winding_voltage, np.nan)
        self._winding.set_data(found.time, winding)
        self._first.set_data(found.time, found.capacitor_voltages[0])
        self._last.set_data(found.time, found.capacitor_voltages[-1])
        self._current.set_data(found.time, found.rectifier_current * 1e3)
        for labels, words in zip(
                (self._labels, self._here, self._rules), zip(*_rows(result), strict=True), strict=True):
            for label, text in zip(labels, words, strict=True):
                label.set_text(text)

    def rows(self, result: SupplyResult) -> list[list[str]]:
        """Every number of the supply, its rule, and where that fails."""
        return every_number(result)

    def describe(self, result: SupplyResult) -> str:
        """Direct voltage, both ripples, and what a rectifier carries and bears."""
        found = result
        first, last, element = found.capacitors[0], found.capacitors[-1], found.elements[0]
        if found.direct_current == 0:
            return (f"{NAMES[found.supply.arrangement]} with nothing drawing current: every capacitor "
                    f"stands at {_volts(first.direct)}, and a rectifier bears "
                    f"{_volts(found.peak_inverse_voltage)} in reverse.")
        return (
            f"{NAMES[found.supply.arrangement]}, {_milliamperes(found.direct_current)} in all: "
            f"{_volts(last.direct)} d.c. at the load, ripple {_volts(first.ripple_peak_to_peak, 1)} "
            f"peak to peak at the first capacitor and {_small(last.ripple_rms)} r.m.s. at the load. "
            f"Each rectifier carries peaks of {_milliamperes(element.peak)} and bears "
            f"{_volts(found.peak_inverse_voltage)} in reverse."
        )

    def explain(self, result: SupplyResult) -> str:
        """Where each rule of thumb fails, with the numbers on screen."""
        found, rules = result, {rule.key: rule.estimate for rule in rules_for(result)}
        first = found.capacitors[0]
        if found.direct_current == 0:
            return ("Without current nothing is lost, so the peak rule holds, and it is the highest "
                    "voltage that this supply makes: capacitors are chosen for it, at high mains. "
                    "Without current nothing empties the capacitors either.")
        share = _conducting(found.rectifier_current)
        words = (
            f"The rectifier conducts during {share:.0f} % of the time and must bring all the charge "
            f"in it, so the peaks are {found.elements[0].peak / found.direct_current:.1f} times the "
            "direct current. "
        )
        if first.direct < rules["peak"]:
            words += ("They drop voltage in winding and rectifier: the peak rule says "
                      f"{_volts(rules['peak'])}, the first capacitor gets {_volts(first.direct)}. ")
        else:
            words += ("So little is drawn that the winding gives more than its rated voltage: even "
                      f"the peak rule, {_volts(rules['peak'])}, says too little. ")
        if first.ripple_peak_to_peak < rules["sawtooth"]:
            words += (f"The ripple rule says {_volts(rules['sawtooth'], 1)}, since it lets the "
                      "capacitor discharge while it is being charged, too.")
        else:
            words += "Choke and capacitor swing here, so the ripple rule says too little."
        return words


def _rows(found: SupplyResult) -> list[tuple[str, str, str]]:
    """Words, number and rule, a row for each."""
    rules = {rule.key: rule.estimate for rule in rules_for(found)}

    def rule(key: str, shown) -> str:
        return shown(rules[key]) if key in rules else "none"

    first, last, element = found.capacitors[0], found.capacitors[-1], found.elements[0]
    return [
        ("d.c., first capacitor", _volts(first.direct), rule("peak", _volts)),
        ("its ripple, peak to peak", _volts(first.ripple_peak_to_peak, 1),
         rule("sawtooth", lambda value: _volts(value, 1))),
        ("ripple at the load, r.m.s.", _small(last.ripple_rms),
         rule(f"section {len(found.capacitors)}", _small)),
        ("rectifier's peak current", _milliamperes(element.peak), "none holds"),
        ("winding, r.m.s. current", _milliamperes(max(found.winding_rms)),
         rule("winding", _milliamperes)),
        ("borne in reverse", _volts(found.peak_inverse_voltage), rule("inverse", _volts)),
    ]


def _conducting(current: np.ndarray) -> float:
    """The share of the period (percent) in which current flows."""
    return 100 * float(np.mean(current > 1e-3 * max(float(current.max()), 1e-12)))


def _volts(value: float, decimals: int = 0) -> str:
    return show(value, "V", prefix="", decimals=decimals)


def _small(value: float) -> str:
    return show(value, "V", prefix="m", decimals=0) if value < 1 else _volts(value, 1)


def _milliamperes(value: float) -> str:
    return show(value, "A", prefix="m", decimals=0)

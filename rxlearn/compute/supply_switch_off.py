"""What the capacitors of a supply still hold after the plug is out, and for how long.  SI units.

The rectifier blocks, so the filter is left alone with its bleeder and
whatever load stays connected: a linear network, solved by its exponential.

Limits: capacitors without leakage and without dielectric absorption (a real
one creeps back up by a part of its voltage after it was emptied, and leakage
may be anything), a resistor for the load, the energy left in a choke ignored
(½·L·I², a few millijoule).  A time computed here is the time of intact
parts: it never replaces measuring each capacitor.

Source of the exponential law: T. R. Kuphaldt, *Lessons in Electric Circuits*,
vol. I, ch. 16.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.linalg import expm
from scipy.optimize import brentq

from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.supply_measures import highest_voltage
from rxlearn.compute.supply_network import Ladder
from rxlearn.compute.supply_parts import CAPACITANCE, Supply
from rxlearn.data.cautions import LIMIT

START = Range("The voltage at switching off", "V", 0.0, 10e3)
THRESHOLD = Range("The threshold", "V", 0.1, 10e3)
DISCHARGE_RESISTANCE = Range("The discharge resistance", "Ω", 0.1, 1e12)
TIME = Range("The time", "s", 1e-3, 1e6)
LONGEST = 1e7
"""Seconds (four months) up to which a threshold's time is looked for."""


def discharge_time(
    capacitance: float, resistance: float | None, start: float, threshold: float
) -> float:
    """Time (s) until ``capacitance`` (F) falls from ``start`` to ``threshold`` (V).

    t = RC·ln(V₀/V).  ``resistance`` None (a bleeder that failed open): it
    stays, the answer is infinite.  Zero if it starts at or below the threshold.
    Raises :class:`Unclear` for values outside their ranges.
    """
    CAPACITANCE.check(capacitance)
    start, threshold = START.check(start), THRESHOLD.check(threshold)
    if start <= threshold:
        return 0.0
    if resistance is None:
        return math.inf
    return DISCHARGE_RESISTANCE.check(resistance) * capacitance * math.log(start / threshold)


def bleeder_for(capacitance: float, start: float, threshold: float, time: float) -> float:
    """Largest bleeder (Ω) that brings ``capacitance`` (F) from ``start`` to ``threshold`` in time.

    R = t/(C·ln(V₀/V)); V and s.  Raises :class:`Unclear` where no bleeder is
    needed, and for values outside their ranges.
    """
    CAPACITANCE.check(capacitance)
    start, threshold, time = START.check(start), THRESHOLD.check(threshold), TIME.check(time)
    if start <= threshold:
        raise Unclear(
            f"{show(start, 'V')} is not above the threshold of {show(threshold, 'V')}, so this "
            "threshold sets no bleeder: give a higher voltage."
        )
    return time / (capacitance * math.log(start / threshold))


@dataclass(frozen=True, eq=False)
class SwitchOff:
    """The decay of a supply after it is switched off.

    ``time`` (s, points) and ``voltages`` (sections, points) in V from
    ``start`` (V, each capacitor).  ``times_to_threshold`` (s, each capacitor;
    infinite where it stays).  ``stays`` (V): where each capacitor ends for
    good, zero unless nothing drains it.  ``bleeder_works`` and
    ``load_connected`` repeat the question; ``energy`` (J) at the start.
    """

    supply: Supply
    start: tuple[float, ...]
    threshold: float
    bleeder_works: bool
    load_connected: bool
    time: np.ndarray
    voltages: np.ndarray
    times_to_threshold: tuple[float, ...]
    stays: tuple[float, ...]
    energy: float

    @property
    def time_to_threshold(self) -> float:
        """Time (s) until the last of all capacitors is below the threshold; may be infinite."""
        return max(self.times_to_threshold)


def switch_off(
    supply: Supply, *, start: float | tuple[float, ...] | None = None,
    threshold: float = LIMIT.volts, bleeder_works: bool = True, load_connected: bool = False,
    duration: float | None = None, points: int = 241,
) -> SwitchOff:
    """Let the capacitors of ``supply`` run down from ``start`` (V, one or one for each).

    ``start`` None takes the worst: high mains, nothing drawing current.
    ``threshold`` (V) is by default where the workbook's cautions begin.
    ``bleeder_works`` False: it has failed open.  ``load_connected``: the load
    drains too, its constant current taken as the resistor that draws it at
    ``start``; by default it does not, as valves gone cold or unplugged do not.
    A regulator drains nothing here.  ``duration`` (s) None: long enough to see
    the threshold passed.  Raises :class:`Unclear` for values out of range.
    """
    threshold = THRESHOLD.check(threshold)
    sections = len(supply.sections)
    if start is None:
        start = highest_voltage(supply, 1 + supply.transformer.mains_tolerance)
    levels = np.array(start if np.ndim(start) else [start] * sections, float)
    if len(levels) != sections:
        raise Unclear(
            f"{len(levels)} starting voltages were given for {sections} capacitors: "
            "give one for all, or one for each."
        )
    START.check_each(levels)
    conductance = _drain(supply, float(levels[-1]), bleeder_works, load_connected)
    matrix = _alone(supply, conductance)
    state = np.concatenate([levels, np.zeros(len(matrix) - sections)])
    stays = _resting(supply, levels, conductance)
    times = tuple(
        _time_below(matrix, state, k, threshold, stays[k], conductance, supply)
        for k in range(sections)
    )
    if duration is None:
        finite = [time for time in times if math.isfinite(time)]
        duration = max(1.5 * max(finite, default=0.0), TIME.low) if any(finite) else 30.0
    time = np.linspace(0.0, TIME.check(duration), points)
    return SwitchOff(
        supply, tuple(levels.tolist()), threshold, bleeder_works, load_connected, time,
        _course(matrix, state, time[1] - time[0], points)[:, :sections].T, times, stays,
        0.5 * sum(s.capacitance * v**2 for s, v in zip(supply.sections, levels, strict=True)),
    )


def _drain(supply: Supply, voltage: float, bleeder_works: bool, load_connected: bool) -> float:
    """Conductance (S) across the last capacitor with the mains off."""
    conductance = 0.0
    if bleeder_works and supply.bleeder is not None:
        conductance += 1 / supply.bleeder
    if load_connected:
        conductance += supply.load.conductance
        conductance += supply.load.current / voltage if voltage > 0 else 0.0
    return conductance


def _alone(supply: Supply, conductance: float) -> np.ndarray:
    """dx/dt = A·x of the filter with nothing coming in."""
    # Before the first capacitor nothing can flow once the rectifier blocks.
    series = [(0.0, 0.0)] + [(s.inductance, s.resistance) for s in supply.sections[1:]]
    filter_ = Ladder(
        tuple(series), tuple(s.capacitance for s in supply.sections), conductance, 0.0
    )
    return filter_.state_space()[0]


def _resting(supply: Supply, levels: np.ndarray, conductance: float) -> tuple[float, ...]:
    """Voltage (V) at which each capacitor ends: shared charge over all, or nothing if drained."""
    if conductance > 0:
        return (0.0,) * len(levels)
    capacitances = np.array([section.capacitance for section in supply.sections])
    shared = float(np.dot(capacitances, levels) / capacitances.sum())
    return (shared,) * len(levels)


def _course(matrix: np.ndarray, state: np.ndarray, step: float, points: int) -> np.ndarray:
    """States at ``points`` instants ``step`` s apart: (points, states)."""
    moved = expm(matrix * step)
    found = np.empty((points, len(state)))
    found[0] = state
    for number in range(1, points):
        found[number] = moved @ found[number - 1]
    return found


def _time_below(matrix, state, which: int, threshold: float, rest: float, conductance: float,
                supply: Supply) -> float:
    """Time (s) of the last crossing of ``threshold`` by capacitor ``which``; infinite if it stays.

    Looked for on a grid of a tenth of the slowest time constant's octave, then
    refined; a choke's swing above the threshold before it counts.
    """
    if rest > threshold:
        return math.inf
    if conductance == 0:
        return 0.0 if state[which] <= threshold else _crossing(matrix, state, which, threshold, 1.0)
    total = sum(section.capacitance for section in supply.sections)
    span = total / conductance * math.log(max(state[: len(supply.sections)].max(), threshold)
                                          / threshold) + 0.1
    if span > LONGEST:
        return math.inf
    return _crossing(matrix, state, which, threshold, 1.5 * span)


def _crossing(matrix, state, which: int, threshold: float, span: float) -> float:
    """Last time (s) within ``span`` at which state ``which`` falls through ``threshold``."""
    count = 400
    step = span / (count - 1)
    course = _course(matrix, state, step, count)
    above = np.flatnonzero(course[:, which] > threshold)
    if len(above) == 0:
        return 0.0
    last = int(above[-1])
    if last == count - 1:
        return math.inf

    def over(time: float) -> float:
        return float((expm(matrix * time) @ course[last])[which]) - threshold

    return last * step + brentq(over, 0.0, step, xtol=1e-12 + 1e-10 * span)

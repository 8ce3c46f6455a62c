"""The periodic steady state of a supply: one period, solved as a whole.

Everything but the rectifier (and a regulator that falls out of regulation) is
linear.  So the unknowns are the voltages before the filter at equally spaced
instants of one period; the linear network answers the rectifier's current
through its impedance at each harmonic (by FFT), and Newton's steps touch only
the instants at which something may conduct.  The method is harmonic balance
(K. S. Kundert and A. Sangiovanni-Vincentelli, IEEE Trans. CAD 5 (1986) 521).

Three starts lead there.  A reservoir capacitor: steady voltage, on as many
instants as the pulse of current needs.  A choke whose current never stops:
steady current, put right by substitution, since a choke hardly lets it change.
All else: backward differences of first order on few instants settle when the
rectifier conducts, then a smoother derivative on more of them refines.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.linalg.lapack import dgesv

from rxlearn.compute.quantities import Unclear
from rxlearn.compute.rectifiers import SiliconRectifier, ValveRectifier
from rxlearn.compute.supply_estimates import without_ripple
from rxlearn.compute.supply_harmonics import harmonics, spectrum, two_ports
from rxlearn.compute.supply_network import (
    EXACT,
    FIRST,
    SMOOTH,
    Ladder,
    Source,
    derivative,
)

INSTANTS = tuple(
    part << doublings for doublings in range(10) for part in (32, 36, 40, 48, 54, 60)
)
"""Numbers of instants in a period from which the pulse's length chooses: quick to transform."""
PULSE_INSTANTS = {SiliconRectifier: 28, ValveRectifier: 16}
"""How many instants shall conduct while a reservoir is charged: in silicon, or in a valve.

A valve's current sets in gently, so that fewer will do."""
ENOUGH_INSTANTS = 1024
"""How far a small first capacitor may raise the number of instants."""
SHORT_STEP = 0.5
"""Longest step between instants, in the time constant with which that capacitor charges."""
STEADY_INSTANTS = {True: 64, False: 128}
"""Instants where a choke's current never stops: in half a mains period if symmetrical, else one."""
ROUGH_INSTANTS = {True: 24, False: 48}
"""Instants of backward differences, likewise."""
FINE_INSTANTS = {True: 64, False: 96}
"""Least instants of the solution that starts from those, likewise."""
MOST_CONDUCTING = 96
"""How many conducting instants are enough for anything.

Newton's matrix grows with them, and common linear algebra libraries share a matrix of more than
about 100 by 100 among threads, which on a busy machine costs a hundred times what it gains."""
MOST_WITH_KINK = {True: 60, False: 120}
"""Most instants where each counts twice, before the filter and at its end."""
SETTLED = 2e-5
"""Largest change of current between two steps, relative to the peak, that ends the iteration.

Newton's steps about square it; only the start of a finer solution may be rougher."""


@dataclass(frozen=True)
class Kink:
    """A regulator's branch below ``threshold`` (V) takes ``slope``·(v − threshold) A more.

    "More" than the straight line that holds above the threshold; ``slope`` is
    not positive (S).
    """

    threshold: float
    slope: float


@dataclass(frozen=True, eq=False)
class Balance:
    """A steady state on ``instants`` equally spaced instants of one period.

    ``period`` (s) is half a mains period where both halves are alike.
    ``voltage`` (V) and ``current`` (A) before the filter, ``emfs`` (V) of the
    legs, a row for each; ``output`` (V) the direct voltage at the end; ``correction`` (A) what
    a regulator out of regulation takes beyond its straight line, or None.
    ``spectra`` are those of :func:`~rxlearn.compute.supply_harmonics.harmonics`, ``waves`` the
    same in time: voltages of the capacitors, then currents of the branches.
    """

    period: float
    sine: np.ndarray
    emfs: np.ndarray
    voltage: np.ndarray
    current: np.ndarray
    output: float
    correction: np.ndarray | None
    spectra: np.ndarray
    waves: np.ndarray

    @property
    def instants(self) -> int:
        """Number of instants in one period."""
        return len(self.voltage)


@lru_cache(maxsize=32)
def _circle(instants: int, turns: float) -> tuple[np.ndarray, np.ndarray]:
    """Sine over so many ``turns`` of the mains; 2π times the harmonics' numbers.  Read-only."""
    sine = np.sin(2 * np.pi * turns / instants * np.arange(instants))
    numbers = 2 * np.pi * np.arange(1, instants // 2 + 1)
    sine.flags.writeable = numbers.flags.writeable = False
    return sine, numbers


class _Problem:
    """One supply on one grid of instants: its kernels and the iterations on it."""

    def __init__(self, source: Source, filter_: Ladder, period: float, turns: float,
                 instants: int, order: str, kink: Kink | None, share: float = 1.0) -> None:
        self.source, self.filter, self.period = source, filter_, period
        self.kink, self.share, self.instants = kink, share, instants
        self.sine, numbers = _circle(instants, turns)
        self.emfs = source.emfs(self.sine)
        self.forward = np.maximum(self.emfs[0], self.emfs[-1])
        self.symbol = derivative(numbers / period, period / instants, order)
        self.branches = filter_.branches(self.symbol)

    def _kernels(self, where: np.ndarray) -> np.ndarray:
        """What each current makes of each voltage, less the output's mean (Ω).

        Currents and voltages before the filter at the instants ``where``; then,
        with a kink, those at the end at all instants.
        """
        def block(kernel, rows, columns):
            return kernel[rows[:, None] - columns]  # an index below zero counts from the end

        _, admittance = self.branches[0]
        impedance = spectrum(self.filter.resistance, 1 / admittance)
        near = block(np.fft.irfft(impedance, self.instants), where, where)
        if self.kink is None:
            return near
        every = np.arange(self.instants)
        across, end = (np.fft.irfft(s, self.instants)
                       for s in two_ports(self.filter, self.symbol, self.branches))
        return np.block([[near, block(across, where, every)],
                         [block(across, every, where), block(end, every, every)]])

    def _law(self, emfs: np.ndarray, voltage: np.ndarray):
        """Currents (A) that the elements send in at these voltages, and slopes −di/dv (S)."""
        if self.kink is None:
            return self.source.total(emfs, voltage, self.share)
        count = emfs.shape[1]
        current, slope = self.source.total(emfs, voltage[:count], self.share)
        below = np.minimum(voltage[count:] - self.kink.threshold, 0.0)
        return (np.concatenate([current, -self.kink.slope * below]),
                np.concatenate([slope, self.kink.slope * (below < 0)]))

    def iterate(self, output: float, voltage: np.ndarray, most: int,
                where: np.ndarray | None = None, settled: float = SETTLED) -> Balance | None:
        """Newton's steps from a start; the steady state, or None if they do not settle.

        ``voltage`` (V) stands at the instants ``where`` (all), the only ones at
        which the rectifier is taken to conduct.
        """
        if where is None:
            where, emfs = np.arange(self.instants), self.emfs
        else:
            emfs = self.emfs[:, where]
            if len(emfs) == 2 and emfs[1].max() <= 0:
                emfs = emfs[:1]
        if self.kink is not None:
            voltage = np.append(voltage, np.full(self.instants, output))
        conductance, drawn, count = self.filter.conductance, self.filter.current, len(voltage)
        # One row and column more: what flows in on average is drawn at the output's voltage.
        kernels = np.empty((count + 1, count), order="F")
        kernels[:count], kernels[count] = self._kernels(where), 1 / self.instants
        matrix = np.empty((count + 1, count + 1), order="F")
        diagonal = matrix.T.reshape(-1)[: count * (count + 2) : count + 2]
        current, slope = self._law(emfs, voltage)
        for _ in range(most):
            np.multiply(kernels, slope, out=matrix[:, :count])
            diagonal += 1.0
            matrix[:count, count], matrix[count, count] = -1.0, conductance
            error = kernels @ current
            error[:count] += output - voltage
            error[count] -= conductance * output + drawn
            _, _, step, fault = dgesv(matrix, error, overwrite_a=True, overwrite_b=True)
            if fault:
                return None
            straight = current - slope * step[:count]
            voltage, output = voltage + step[:count], output + float(step[count])
            current, slope = self._law(emfs, voltage)
            if np.abs(current - straight).max() <= settled * current.max():
                return self.balance(output, voltage, current, where)
        return None

    def balance(self, output: float, voltage: np.ndarray, current: np.ndarray,
                where: np.ndarray) -> Balance:
        """Spread what was found at the instants ``where`` over the period."""
        count = len(where)
        whole = np.zeros(self.instants)
        whole[where] = current[:count]
        correction = None if self.kink is None else -current[count:]
        spectra = harmonics(self.filter, self.symbol, self.branches, whole, output, correction)
        waves = np.fft.irfft(spectra, self.instants, axis=1)
        # Elsewhere nothing flows, and the first capacitor's voltage stands there.
        before = waves[0].copy()
        before[where] = voltage[:count]
        return Balance(self.period, self.sine, self.emfs, before, whole, output, correction,
                       spectra, waves)


def steady_state(source: Source, filter_: Ladder, frequency: float, symmetrical: bool, *,
                 kink: Kink | None = None, share: float = 1.0) -> Balance:
    """The steady state of ``source`` into ``filter_`` on mains of ``frequency`` Hz.

    ``symmetrical``: both halves of the mains period are alike, so half a period
    is enough.  ``share`` scales a valve's perveance (warming up).  The filter
    must draw some current: with none there is nothing to iterate, the
    capacitors stand at the peak.  Raises :class:`Unclear` if the constant
    current asked for is more than the supply can give.
    """
    period, turns = (0.5 / frequency, 0.5) if symmetrical else (1.0 / frequency, 1.0)

    def problem(count: int, order: str) -> _Problem:
        return _Problem(source, filter_, period, turns, count, order, kink, share)

    if filter_.series[0][0] == 0:
        found = _from_capacitor(problem, source, filter_, period, symmetrical, kink, share)
    else:
        found = None
        if kink is None and _never_stops(source, filter_, frequency):
            found = _from_choke(problem(STEADY_INSTANTS[symmetrical], EXACT))
    found = found or _from_anything(problem, symmetrical)
    if found is None:
        raise Unclear(
            "These values lie so far from a working supply that no steady state was found: "
            "bring the load or the filter nearer to ordinary values."
        )
    return found


def _from_capacitor(problem, source, filter_, period, symmetrical, kink, share) -> Balance | None:
    """Start from steady direct voltage before the filter, on a grid that fits the pulse."""
    output, reservoir, conducting = without_ripple(source, filter_, share)
    drawn = filter_.conductance * output + filter_.current
    swing = drawn * period / filter_.capacitances[0]
    if swing > reservoir:
        # It would be empty before the next pulse: no reservoir, and no start for this method.
        return None
    threshold = source.count * source.rectifier.threshold
    lowest = reservoir - 0.6 * swing - 0.01 * source.highest
    pulses = 2 if source.rectified else len(source.legs)
    open_ = pulses / math.pi * math.acos(min(max((lowest + threshold) / source.highest, -1), 1))
    wanted = PULSE_INSTANTS[type(source.rectifier)] / conducting
    if pulses == 2 and not symmetrical:
        wanted *= 2  # both pulses lie in the period
    wanted = max(wanted, _short_enough(source, filter_, period))
    most = MOST_CONDUCTING / open_ if kink is None else MOST_WITH_KINK[symmetrical]
    grid = problem(_instants(wanted, most), EXACT)
    for _ in range(3):
        where = np.flatnonzero(grid.forward > lowest + threshold)
        found = grid.iterate(output, np.full(len(where), reservoir), 12, where)
        if found is None or found.waves[0].min() > lowest:
            return found
        lowest = float(found.waves[0].min()) - 0.1 * swing
    return None


def _never_stops(source: Source, filter_: Ladder, frequency: float) -> bool:
    """Whether a first choke's current is likely not to stop: the mean current above the swing.

    Full wave only; the rectified sine's second harmonic, 4E/3π, makes most of the swing.
    """
    if len(source.legs) == 1 and not source.rectified:
        return False
    swing = source.highest / (3 * math.pi**2 * frequency * filter_.series[0][0])
    return filter_.current + filter_.conductance * 0.6 * source.highest > swing


def _from_choke(grid: _Problem) -> Balance | None:
    """Start from a choke that carries steady current; None if its current stops.

    The rectifier is taken as an e.m.f. behind the resistance that it shows at
    the mean current.  What the current's ripple makes of that is put right by
    substitution: quick, for the choke's impedance is far above the difference.
    """
    filter_, source, share = grid.filter, grid.source, grid.share
    every = np.arange(grid.instants)
    current = filter_.current + filter_.conductance * 0.6 * source.highest
    inside = source.legs[0].resistance + (
        source.count * source.rectifier.resistance_at(current, share))
    _, admittance = grid.branches[0]
    scale = 1 / (1 / admittance + inside)
    scale[-1] = scale[-1].real
    voltage, change = source.before(grid.emfs, current, share), 1.0
    for _ in range(14):
        flow = np.fft.rfft(voltage + inside * current)
        driven = flow[0].real / grid.instants
        direct = (driven * filter_.conductance + filter_.current) / (
            1 + filter_.conductance * (filter_.resistance + inside))
        flow[0] = direct * grid.instants
        flow[1:] *= scale
        last, current = current, np.fft.irfft(flow, grid.instants)
        if current.min() <= 0:
            return None
        if change > 0.5:
            voltage = source.before(grid.emfs, current, share)
        before, change = change, np.abs(current - last).max() / current.max()
        # At commutation both legs share the current: Newton's step for each instant by itself.
        total, slope = source.total(grid.emfs, voltage, share)
        if slope.min() <= 0:
            return None
        voltage = voltage + (total - current) / slope
        if change * change < 1e-4 * before:  # what is left falls by the same factor again
            output = driven - (filter_.resistance + inside) * direct
            return grid.balance(output, voltage, current, every)
    return None


def _from_anything(problem, symmetrical: bool) -> Balance | None:
    """Backward differences settle when the rectifier conducts; a finer solution starts from them."""
    rough = problem(ROUGH_INSTANTS[symmetrical], FIRST)
    filter_, feed = rough.filter, rough.source
    drawn = filter_.current + filter_.conductance * 0.6 * feed.highest
    voltage = rough.forward - feed.legs[0].resistance * drawn - feed.count * float(
        feed.rectifier.drop_at(drawn, rough.share)
    )
    found = rough.iterate(float(voltage.mean()) - filter_.resistance * drawn, voltage, 60,
                          settled=0.05)
    if found is None:
        return None
    final = SMOOTH if filter_.series[0][0] > 0 else EXACT
    fine = FINE_INSTANTS[symmetrical]
    if rough.kink is not None:
        fine = min(fine, MOST_WITH_KINK[symmetrical])
    else:
        part = np.count_nonzero(_wide(found)) / found.instants
        wanted = max(fine, 36 / part)
        if final == EXACT:
            wanted = max(96, wanted, _short_enough(feed, filter_, rough.period))
        fine = _instants(wanted, max(96, MOST_CONDUCTING / part))
    second = _again(problem(fine, final), found, 12)
    if second is None:
        found = _again(problem(fine, FIRST), found, 60)
        second = found and _again(problem(fine, final), found, 30)
    if second is None:
        return found and _again(problem(4 * fine, FIRST), found, 60)
    if final == SMOOTH and second.current.all():
        # Without an instant at which a choke's current stops, harmonics are smooth.
        return _again(problem(fine, EXACT), second, 8) or second
    return second


def _short_enough(source: Source, filter_: Ladder, period: float) -> float:
    """Instants in a period that the charging of the first capacitor asks for."""
    least = min(leg.resistance for leg in source.legs) + filter_.series[0][1]
    return min(ENOUGH_INSTANTS, period / (SHORT_STEP * least * filter_.capacitances[0]))


def _instants(wanted: float, most: float) -> int:
    """The least number of instants that is enough, or else the largest up to ``most``."""
    enough, largest = bisect_left(INSTANTS, wanted), bisect_right(INSTANTS, most) - 1
    return INSTANTS[max(0, min(enough, largest))]


def _wide(found: Balance) -> np.ndarray:
    """Where a coarse solution conducts, and one instant to each side."""
    flows = found.current > 0
    return flows | np.roll(flows, 1) | np.roll(flows, -1)


def _again(fine: _Problem, rough: Balance, most: int) -> Balance | None:
    """Solve again on ``fine``, starting from ``rough``.

    What is carried over between instants is the voltage from e.m.f. to filter:
    small and straight where the rectifier conducts, unlike either of the two.
    """
    at = np.arange(fine.instants) * (rough.instants / fine.instants)

    def carried(samples: np.ndarray) -> np.ndarray:
        return np.interp(at, np.arange(rough.instants + 1), np.append(samples, samples[0]))

    voltage = fine.forward - carried(np.maximum(rough.emfs[0], rough.emfs[-1]) - rough.voltage)
    where = np.flatnonzero(carried(_wide(rough)))
    found = fine.iterate(rough.output, voltage[where], most, where)
    if found is not None and len(where) < fine.instants:
        over = fine.forward - found.voltage - fine.source.count * fine.source.rectifier.threshold
        over[where] = 0.0
        if over.max() > 0:
            return fine.iterate(rough.output, voltage, most)
    return found

"""The periodic steady state of a supply: one period, solved as a whole.

Everything but the rectifier (and a regulator that falls out of regulation) is
linear.  So the unknowns are the voltages before the filter at equally spaced
instants of one period; the linear network answers the rectifier's current
through its impedance at each harmonic (by FFT), and Newton's steps touch only
the instants at which something conducts.  The method is harmonic balance
(K. S. Kundert and A. Sangiovanni-Vincentelli, IEEE Trans. CAD 5 (1986) 521).

A first solution on few instants tells how long the rectifier conducts; the
final one uses as many as that needs.  Where a choke meets the rectifier, first
backward differences settle when it conducts, then second-order ones refine.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rxlearn.compute.quantities import Unclear
from rxlearn.compute.supply_network import (
    EXACT,
    FIRST,
    SECOND,
    Ladder,
    Source,
    derivative,
)

FIRST_INSTANTS = {True: 64, False: 96}
"""Instants of the first, rough solution: in half a mains period if symmetrical, else in one."""
MOST_INSTANTS = 8192
CONDUCTING_INSTANTS = {EXACT: 32, SECOND: 64}
"""How many instants of a period shall conduct in the final solution, by method."""
ENOUGH_INSTANTS = 1024
"""How far a fast resonance or a small capacitor may raise that number."""
MOST_CONDUCTING = 96
"""How many conducting instants are enough for anything.

Newton's matrix grows with them, and common linear algebra libraries share a matrix of more than
about 100 by 100 among threads, which on a busy machine costs a hundred times what it gains."""
SHORT_STEP = {EXACT: 0.5, SECOND: 0.15}
"""Longest step between instants, in the fastest time constant of the filter, by method."""
SETTLED = 1e-7
"""Largest change of current between two steps, relative to the peak, that ends the iteration."""


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
    legs; ``output`` (V) the direct voltage at the end; ``correction`` (A) what
    a regulator out of regulation takes beyond its straight line, or None.
    ``order`` is how derivatives were taken, ``branches`` the filter's
    impedances with it (:meth:`~rxlearn.compute.supply_network.Ladder.branches`).
    """

    period: float
    sine: np.ndarray
    emfs: list[np.ndarray]
    voltage: np.ndarray
    current: np.ndarray
    output: float
    correction: np.ndarray | None
    order: str
    branches: list[tuple[np.ndarray, np.ndarray]]

    @property
    def instants(self) -> int:
        """Number of instants in one period."""
        return len(self.voltage)


class _Problem:
    """One supply on one grid of instants: its kernels and the Newton iteration on it."""

    def __init__(self, source: Source, filter_: Ladder, period: float, turns: float,
                 instants: int, order: str, kink: Kink | None, share: float = 1.0) -> None:
        self.source, self.filter, self.period, self.turns = source, filter_, period, turns
        self.order, self.kink, self.share, self.instants = order, kink, share, instants
        self.sine = np.sin(2 * np.pi * turns / instants * np.arange(instants))
        self.emfs = source.emfs(self.sine)

    def _connect(self) -> None:
        """What the filter answers on this grid; needed only once something is solved on it."""
        omega = 2 * np.pi / self.period * np.arange(1, self.instants // 2 + 1)
        symbol = derivative(omega, self.period / self.instants, self.order)
        self.branches = self.filter.branches(symbol)
        along, onward = self.branches[0]
        self.impedance = self._spectrum(self.filter.resistance, along + onward)
        self.kernel = np.fft.irfft(self.impedance, self.instants)
        if self.kink is not None:
            self._two_ports(symbol)

    @property
    def fastest_rate(self) -> float:
        """Rate (1/s) that a step between instants must follow.

        Exact: the first capacitor charging through the least leg, the only
        thing that is sampled.  Differences: the filter's fastest as well.
        """
        least = min(leg.resistance for leg in self.source.legs)
        if self.order == EXACT:
            return 1 / ((least + self.filter.series[0][1]) * self.filter.capacitances[0])
        return self.filter.fastest_rate(least)

    def _spectrum(self, direct: float, values: np.ndarray) -> np.ndarray:
        """Harmonics 0, 1, 2 … of a response; the last one can only be real."""
        spectrum = np.empty(len(values) + 1, complex)
        spectrum[0], spectrum[1:] = direct, values
        spectrum[-1] = spectrum[-1].real
        return spectrum

    def _two_ports(self, symbol: np.ndarray) -> None:
        """Kernels from the rectifier to the last capacitor, and of that capacitor itself."""
        along, onward = self.branches[0]
        through, admittance = onward, symbol * self.filter.capacitances[0]
        for (along, onward), capacitance in zip(
            self.branches[1:], self.filter.capacitances[1:], strict=True
        ):
            through = through * onward / (along + onward)
            admittance = 1 / (along + 1 / admittance) + symbol * capacitance
        admittance = admittance + self.filter.conductance
        self.transfer = self._spectrum(0.0, through)
        self.end = self._spectrum(0.0, 1 / admittance)
        self.transfer_kernel = np.fft.irfft(self.transfer, self.instants)
        self.end_kernel = np.fft.irfft(self.end, self.instants)

    def respond(self, spectrum: np.ndarray, current: np.ndarray) -> np.ndarray:
        """Voltage (V) less the output's mean that a periodic ``current`` (A) makes."""
        return np.fft.irfft(spectrum * np.fft.rfft(current), self.instants)

    def _block(self, kernel: np.ndarray, rows: np.ndarray, columns: np.ndarray) -> np.ndarray:
        return kernel[(rows[:, None] - columns) % self.instants]

    def iterate(self, output: float, voltage: np.ndarray, most: int) -> Balance | None:
        """Newton's steps from a start; the steady state, or None if they do not settle."""
        self._connect()
        if self.kink is not None:
            return self._iterate_two(output, voltage, most)
        current, slope = self.source.total(self.emfs, voltage, self.share)
        conductance, drawn = self.filter.conductance, self.filter.current
        for _ in range(most):
            where = np.flatnonzero(slope)
            count = len(where)
            steep = slope[where]
            matrix = np.empty((count + 1, count + 1))
            matrix[:count, :count] = self._block(self.kernel, where, where) * steep
            matrix.flat[: count * (count + 2) : count + 2] += 1.0
            matrix[:count, count] = -1.0
            matrix[count, :count] = steep / self.instants
            matrix[count, count] = conductance
            error = np.empty(count + 1)
            response = self.respond(self.impedance, current)
            error[:count] = output + response[where] - voltage[where]
            error[count] = current.sum() / self.instants - conductance * output - drawn
            try:
                step = np.linalg.solve(matrix, error)
            except np.linalg.LinAlgError:
                return None
            straight = current.copy()
            straight[where] -= steep * step[:count]
            output += step[count]
            moved = voltage[where] + step[:count]
            voltage = output + self.respond(self.impedance, straight)
            # The same in exact arithmetic; a large choke makes the transform's the rougher one.
            voltage[where] = moved
            current, slope = self.source.total(self.emfs, voltage, self.share)
            if np.abs(current - straight).max() <= SETTLED * np.abs(current).max():
                return self._balance(output, voltage, current, None)
        return None

    def _iterate_two(self, output: float, voltage: np.ndarray, most: int) -> Balance | None:
        """The same with a second place that is not linear: the regulator at the end."""
        kink, count = self.kink, self.instants
        end = np.full(count, output)
        current, slope = self.source.total(self.emfs, voltage, self.share)
        for _ in range(most):
            out = end < kink.threshold
            extra = kink.slope * np.where(out, end - kink.threshold, 0.0)
            one, two = np.flatnonzero(slope), np.flatnonzero(out)
            first, total = len(one), len(one) + len(two)
            matrix = np.eye(total + 1)
            matrix[:first, :first] += self._block(self.kernel, one, one) * slope[one]
            matrix[:first, first:total] = self._block(self.transfer_kernel, one, two) * kink.slope
            matrix[first:total, :first] = self._block(self.transfer_kernel, two, one) * slope[one]
            matrix[first:total, first:total] += self._block(self.end_kernel, two, two) * kink.slope
            matrix[:total, total] = -1.0
            matrix[total, :first] = slope[one] / count
            matrix[total, first:total] = kink.slope / count
            matrix[total, total] = self.filter.conductance
            before, at_end = self._respond_two(current, extra)
            error = np.concatenate([
                output + before[one] - voltage[one], output + at_end[two] - end[two],
                [current.mean() - extra.mean() - self.filter.conductance * output
                 - self.filter.current],
            ])
            step = np.linalg.solve(matrix, error)
            straight, straight_extra = current.copy(), extra.copy()
            straight[one] -= slope[one] * step[:first]
            straight_extra[two] += kink.slope * step[first:total]
            output += step[total]
            moved = voltage[one] + step[:first]
            before, at_end = self._respond_two(straight, straight_extra)
            voltage, end = output + before, output + at_end
            voltage[one] = moved
            current, slope = self.source.total(self.emfs, voltage, self.share)
            extra = kink.slope * np.minimum(end - kink.threshold, 0.0)
            change = max(np.abs(current - straight).max(), np.abs(extra - straight_extra).max())
            if change <= SETTLED * np.abs(current).max():
                return self._balance(output, voltage, current, extra)
        return None

    def _respond_two(self, current: np.ndarray, extra: np.ndarray):
        """Voltages before the filter and at its end, less the output's mean."""
        into, out = np.fft.rfft(current), np.fft.rfft(extra)
        before = self.impedance * into - self.transfer * out
        at_end = self.transfer * into - self.end * out
        return np.fft.irfft(before, self.instants), np.fft.irfft(at_end, self.instants)

    def _balance(self, output, voltage, current, correction) -> Balance:
        return Balance(self.period, self.sine, self.emfs, voltage, current, float(output),
                       correction, self.order, self.branches)


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
    instants = FIRST_INSTANTS[symmetrical]

    def problem(count: int, order: str) -> _Problem:
        return _Problem(source, filter_, period, turns, count, order, kink, share)

    if filter_.series[0][0] == 0:
        found = _from_capacitor(problem, instants)
        if found is not None:
            return found
    found = _from_choke(problem, instants)
    if found is None:
        raise Unclear(
            "These values lie so far from a working supply that no steady state was found: "
            "bring the load or the filter nearer to ordinary values."
        )
    return found


def _from_capacitor(problem, instants: int) -> Balance | None:
    """Start from steady direct voltage before the filter, on a grid that fits the pulse."""
    rough = problem(instants, EXACT)
    output, before, conducting = _without_ripple(rough)
    drawn = rough.filter.conductance * output + rough.filter.current
    if drawn * rough.period > before * rough.filter.capacitances[0]:
        # It would be empty before the next pulse: no reservoir, and no start for this method.
        return None
    count = _instants_for(conducting, rough, EXACT)
    if count <= 2 * instants:
        return problem(count, EXACT).iterate(output, np.full(count, before), 12)
    # Where many instants are wanted, few of them show first whether this start leads anywhere.
    found = rough.iterate(output, np.full(instants, before), 10)
    return found and _again(problem, found, count, EXACT, 10)


def _from_choke(problem, instants: int) -> Balance | None:
    """Start from a choke that carries steady current; settle when it conducts, then refine."""
    rough = problem(instants, FIRST)
    filter_, feed = rough.filter, rough.source
    drawn = filter_.current + filter_.conductance * 0.6 * feed.highest
    voltage = _forward(rough.emfs) - feed.legs[0].resistance * drawn - feed.count * float(
        feed.rectifier.drop_at(drawn, rough.share)
    )
    found = rough.iterate(float(voltage.mean()) - filter_.resistance * drawn, voltage, 60)
    if found is None:
        return None
    wanted = _instants_for(np.count_nonzero(found.current) / instants, rough, SECOND)
    while found is not None and 4 * found.instants <= wanted:
        found = _again(problem, found, 4 * found.instants, FIRST, 60)
    if found is None:
        return None
    second = _again(problem, found, wanted, SECOND, 12)
    if second is None:
        found = _again(problem, found, wanted, FIRST, 60)
        if found is None:
            return None
        second = _again(problem, found, wanted, SECOND, 30)
    if second is None:
        return _again(problem, found, min(4 * wanted, MOST_INSTANTS), FIRST, 60)
    if filter_.series[0][0] > 0 and not second.current.all():
        return second
    # Without an instant at which a choke's current stops, harmonics are smooth: no differences.
    return _again(problem, second, wanted, EXACT, 8) or second


def _forward(emfs: list[np.ndarray]) -> np.ndarray:
    """The e.m.f. (V) that drives at each instant: the highest of all legs."""
    return np.maximum.reduce(emfs)


def _instants_for(conducting: float, rough: _Problem, order: str) -> int:
    """How many instants the final solution needs: a power of two times those of ``rough``.

    Enough of them conduct (``conducting`` is the part of them that does) but
    not too many, and a step is short against what is fastest in the filter.
    """
    count = 2 * rough.instants
    while count < MOST_INSTANTS and count * conducting < CONDUCTING_INSTANTS[order]:
        count *= 2
    while count < ENOUGH_INSTANTS and rough.fastest_rate * rough.period / count > SHORT_STEP[order]:
        count *= 2
    if count * conducting > MOST_CONDUCTING:
        part = rough.instants // 2
        count = max(rough.instants, int(MOST_CONDUCTING / conducting / part) * part)
    return count


def _again(problem, rough: Balance, count: int, order: str, most: int) -> Balance | None:
    """Solve again on ``count`` instants, starting from ``rough``.

    What is carried over between instants is the voltage from e.m.f. to filter:
    small and straight where the rectifier conducts, unlike either of the two.
    """
    fine = problem(count, order)
    across = _forward(rough.emfs) - rough.voltage
    at = np.arange(count) * (rough.instants / count)
    across = np.interp(at, np.arange(rough.instants + 1), np.append(across, across[0]))
    return fine.iterate(rough.output, _forward(fine.emfs) - across, most)


def _without_ripple(rough: _Problem) -> tuple[float, float, float]:
    """(output, voltage before the filter, part of time with current) if there were no ripple.

    Endless capacitors would take all of it.  Between zero and the peak the
    rectifier's mean current only falls and the filter's demand only rises, so
    Newton's steps, or halving where they leave the bracket, find where they
    meet; a hundredth of the peak is near enough to start from.
    """
    filter_, count = rough.filter, rough.instants
    scale = 1 + filter_.conductance * filter_.resistance
    low, high = 0.0, rough.source.highest
    before, mean, conducting = 0.85 * high, 0.0, 0.0
    for _ in range(12):
        current, slope = rough.source.total(rough.emfs, np.full(count, before), rough.share)
        total = float(current.sum()) / count
        more = total * scale - filter_.current - filter_.conductance * before
        if more > 0:
            low, mean, conducting = before, total, np.count_nonzero(slope) / count
        else:
            high = before
        step = more / (float(slope.sum()) / count * scale + filter_.conductance + 1e-15)
        aim = before + step
        if more > 0 and abs(step) < 0.01 * rough.source.highest:
            break
        before = aim if low < aim < high else (low + high) / 2
    return low - filter_.resistance * mean, low, conducting


def most_current(source: Source, resistance: float) -> float:
    """Mean current (A) into a short circuit behind ``resistance`` (Ω) of filter, no ripple.

    An upper bound of what a constant-current load can draw; half wave into a
    choke passes far less.
    """
    emfs = source.emfs(np.sin(2 * np.pi / 128 * np.arange(128)))
    low, high, before, mean = 0.0, source.highest, 0.0, 0.0
    for _ in range(24):
        current, slope = source.total(emfs, np.full(128, before))
        mean = float(current.sum()) / 128
        surplus = mean * resistance - before
        if abs(surplus) < 1e-3 * source.highest:
            break
        low, high = (before, high) if surplus > 0 else (low, before)
        aim = before + surplus / (float(slope.sum()) / 128 * resistance + 1)
        before = aim if low < aim < high else (low + high) / 2
    return mean

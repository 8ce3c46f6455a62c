"""A supply in time: from the switch to the steady state.  SI units.

The filter moves from instant to instant by its exact exponential, the
rectifier's drive taken as the mean over each step; a stretch without current
is taken at one stride.  What it settles to lies within 0.3 % of the steady
state that :mod:`rxlearn.compute.power_supply` finds by another way.

Limits: the parts' own, and no inrush of the transformer's iron, no cold
resistance of heaters.  Warm-up follows an assumed smooth curve; a constant
load current falls in proportion below :data:`KNEE` of the highest voltage, as
valves without plate voltage draw nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from operator import mul

import numpy as np
from scipy.linalg import expm

from rxlearn.compute.quantities import Range
from rxlearn.compute.rectifiers import SiliconRectifier, ValveRectifier
from rxlearn.compute.supply_measures import highest_voltage
from rxlearn.compute.supply_network import Ladder, Source, ladder, source
from rxlearn.compute.supply_parts import CHOKE_INPUT, Supply
from rxlearn.compute.supply_regulator import NO_BRANCH, lines
from rxlearn.compute.supply_standing import Standing
from rxlearn.compute.supply_warm_up import warm_up_share

KNEE = 0.2
"""Part of the highest voltage below which a constant-current load draws in proportion."""
LOOKS = 8
"""Every so many mains periods it is looked whether the supply stands in its steady state."""
WARM_UP_STAGES = 32
"""How many steps a warming resistive load takes."""

DURATION = Range("The time after switching on", "s", 1e-3, 120.0)
STEPS = Range("The number of steps in a mains period", "", 24, 4000)
WARM_UP = Range("The warm-up time", "s", 0.0, 120.0)
ANGLE = Range("The angle at which the switch closes", "°", 0.0, 360.0)
MAINS = Range("The mains as a ratio of nominal", "", 0.3, 1.5)


@dataclass(frozen=True, eq=False)
class SwitchOn:
    """The first seconds after the mains switch closes at ``angle`` degrees.

    One value for each mains period: ``time`` (s, its end), and
    ``highest``/``lowest`` (sections, periods) in V.  ``surge_time`` (s),
    ``surge_current`` (A, into the filter) and ``surge_voltages`` (sections,
    points) show the first periods in full.  ``peak_current`` (A) and the
    overall ``peak_voltages`` (V) with ``peak_voltage_times`` (s, first within 0.5 % of them).
    ``final_voltages`` (V): means over the last period, ``settled`` whether
    they still moved by more than 0.1 % in the last tenth of the time.
    """

    supply: Supply
    mains: float
    angle: float
    rectifier_warm_up: float
    load_warm_up: float
    time: np.ndarray
    highest: np.ndarray
    lowest: np.ndarray
    surge_time: np.ndarray
    surge_current: np.ndarray
    surge_voltages: np.ndarray
    peak_current: float
    peak_current_time: float
    peak_voltages: tuple[float, ...]
    peak_voltage_times: tuple[float, ...]
    final_voltages: tuple[float, ...]
    settled: bool

    @property
    def overshoot(self) -> float:
        """How far (V) the last capacitor rose above its final mean."""
        return self.peak_voltages[-1] - self.final_voltages[-1]


def switch_on(
    supply: Supply, *, mains: float = 1.0, duration: float = 3.0, angle: float = 90.0,
    rectifier_warm_up: float | None = None, load_warm_up: float = 0.0, steps: int = 64,
    surge_periods: int = 6, quasi_steady: bool = False,
) -> SwitchOn:
    """Switch on empty capacitors and follow them for ``duration`` s (rounded up to periods).

    ``rectifier_warm_up`` (s): None takes the published valve's time, zero for
    silicon.  ``load_warm_up`` (s): until the load's heaters let it draw.
    ``angle`` (degrees of the mains sine) 90 is the worst for silicon.
    ``steps`` in each mains period.  A regulator conducts as soon as its
    voltage is there.  ``quasi_steady``: once the supply stands in its steady state
    and follows it, take that (:mod:`rxlearn.compute.supply_standing`).  Raises :class:`Unclear` for values outside the ranges.
    """
    DURATION.check(duration)
    WARM_UP.check(load_warm_up)
    ANGLE.check(angle)
    steps = int(STEPS.check(steps))
    if rectifier_warm_up is None:
        rectifier_warm_up = _own_warm_up(supply)
    WARM_UP.check(rectifier_warm_up)
    periods = max(1, math.ceil(duration * supply.transformer.frequency - 1e-9))
    walk = _Walk(supply, MAINS.check(mains), steps, angle, rectifier_warm_up, load_warm_up)
    detail = min(surge_periods, periods)
    highs, lows, means, surges = [], [], [], []
    peak_current, peak_time = walk.at_once(), 0.0
    times = np.arange(1, periods + 1) * walk.period_length
    standing = Standing(supply, mains, rectifier_warm_up, load_warm_up, float(times[-1]))
    for period in range(periods):
        currents, voltages = walk.period()
        highs.append(voltages.max(axis=0))
        lows.append(voltages.min(axis=0))
        means.append(voltages.mean(axis=0))
        where = int(np.argmax(currents))
        if currents[where] > peak_current:
            peak_current = float(currents[where])
            peak_time = (period * steps + where + 1) * walk.step
        if period < detail:
            surges.append((currents, voltages))
        elif quasi_steady and period % LOOKS == 0 and standing.serves(times[period], means[-1]):
            break
    high, low, mean = (np.array(rows).T for rows in (highs, lows, means))
    if high.shape[1] < periods:
        rest = standing.voltages(times[high.shape[1]:])
        high, low, mean = (np.hstack(both) for both in zip((high, low, mean), rest))
    return _gathered(walk, times, (high, low, mean), surges, (peak_current, peak_time))


def _own_warm_up(supply: Supply) -> float:
    rectifier = supply.rectifier
    if isinstance(rectifier, ValveRectifier) and rectifier.published is not None:
        return rectifier.published.warm_up
    return 0.0


def _gathered(walk: _Walk, time, voltages, surges, peak) -> SwitchOn:
    """The records of all periods as one result."""
    high, low, mean = voltages
    # The top may be flat for seconds: when it is reached is what can be told.
    where = np.argmax(high >= 0.995 * high.max(axis=1, keepdims=True), axis=1)
    currents = np.concatenate([[walk.at_once()], *(current for current, _ in surges)])
    voltages = np.concatenate([np.zeros((1, len(high))), *(voltage for _, voltage in surges)])
    periods = len(time)
    final, before = mean[:, -1], mean[:, max(-periods, -max(2, periods // 10))]
    settled = bool(np.all(np.abs(final - before) <= 1e-3 * np.abs(final).max()))
    return SwitchOn(
        walk.supply, walk.mains, walk.angle, walk.rectifier_warm_up, walk.load_warm_up,
        time, high, low, np.arange(len(currents)) * walk.step, currents, voltages.T,
        *peak, tuple(high.max(axis=1).tolist()), tuple(time[where].tolist()),
        tuple(final.tolist()), settled,
    )


class _Stride:
    """Exact steps of one filter: by one step with a drive, by any number without.

    ``moved`` (n, n), ``driven`` (n,) per unit of drive and ``pulled`` (n,) per
    ampere drawn at the end make one step; ``coasts`` (steps, n, n) and
    ``falls`` (steps, n) make 1, 2 … steps while nothing comes from the rectifier.
    """

    def __init__(self, filter_: Ladder, step: float, steps: int, choke_input: bool) -> None:
        matrix, drive, _ = filter_.state_space()
        size, sections = len(drive), len(filter_.capacitances)
        pull = np.zeros(size)
        pull[sections - 1] = -1.0 / filter_.capacitances[-1]
        # Lists: a step has so few numbers that Python's own are quicker than arrays.
        self.moved, self.driven, self.pulled = (
            part.tolist() for part in _exponential(matrix, drive, pull, step))
        self.node = sections if choke_input else 0
        self.gain = self.driven[self.node]
        self.series = 0.0 if choke_input else filter_.series[0][1]
        free = matrix.copy()
        if choke_input:
            free[sections], free[:, sections] = 0.0, 0.0
        coast, _, fall = _exponential(free, drive, pull, step)
        self.coasts, self.falls = np.empty((steps, size, size)), np.empty((steps, size))
        power, sum_ = np.eye(size), np.zeros(size)
        for number in range(steps):
            sum_ = coast @ sum_ + fall
            power = coast @ power
            self.coasts[number], self.falls[number] = power, sum_


def _exponential(matrix, drive, pull, step: float):
    """(state, drive and pull) over one ``step`` with both held: one exponential for all three."""
    size = len(drive)
    whole = np.zeros((size + 2, size + 2))
    whole[:size, :size], whole[:size, size], whole[:size, size + 1] = matrix, drive, pull
    moved = expm(whole * step)
    return moved[:size, :size], moved[:size, size], moved[:size, size + 1]


class _Walk:
    """Steps through time: the state, and the matrices of whatever is connected just now."""

    def __init__(self, supply: Supply, mains: float, steps: int, angle: float,
                 rectifier_warm_up: float, load_warm_up: float) -> None:
        self.supply, self.mains, self.steps, self.angle = supply, mains, steps, angle
        self.rectifier_warm_up, self.load_warm_up = rectifier_warm_up, load_warm_up
        self.period_length = 1.0 / supply.transformer.frequency
        self.step = self.period_length / steps
        self.sections, self.periods = len(supply.sections), 0
        self.choke_input = supply.input == CHOKE_INPUT
        self.knee = max(KNEE * highest_voltage(supply, mains), 1e-6)
        self.lines = lines(supply.regulator) if supply.regulator else None
        self.perveance = getattr(supply.rectifier, "perveance", 0.0)
        self._paths(source(supply, mains))
        self.strides: dict[tuple[int, bool], _Stride] = {}
        self.state = np.zeros(len(self._stride(0.0, 0.0)[0].driven))
        self.drive = self.at_once()

    def _paths(self, feed: Source) -> None:
        """E.m.f. less drop over a period, and resistance, of each way through the rectifier."""
        turn = math.radians(self.angle) + 2 * np.pi * np.arange(1, self.steps + 1) / self.steps
        rectifier = self.supply.rectifier
        silicon = isinstance(rectifier, SiliconRectifier)
        drop, own = (feed.count * rectifier.drop, feed.count * rectifier.resistance) if silicon \
            else (0.0, 0.0)
        emfs = [emf - drop for emf in feed.emfs(np.sin(turn))]
        self.resistances = [leg.resistance + own for leg in feed.legs]
        if feed.rectified:
            emfs.append(np.full(self.steps, -drop))
            self.resistances.append(rectifier.resistance)
        self.forward = np.maximum.reduce(emfs)
        self.emfs = [emf.tolist() for emf in emfs]

    def _stride(self, end: float, load_share: float) -> tuple[_Stride, float]:
        """The matrices that hold now, and the constant current that is drawn (A)."""
        load = self.supply.load
        stage = round(load_share * WARM_UP_STAGES) if load.conductance else 0
        drawn = load_share * min(1.0, max(end, 0.0) / self.knee) * load.current
        lit = False
        branch = NO_BRANCH
        if self.lines is not None:
            inside, outside, meet = self.lines
            lit = end >= meet
            branch = inside if lit else outside
            drawn += branch.current if lit else branch.current * min(1.0, max(end, 0) / self.knee)
        if (stage, lit) not in self.strides:
            conductance = load.conductance * stage / WARM_UP_STAGES + branch.conductance
            if self.supply.bleeder is not None:
                conductance += 1 / self.supply.bleeder
            self.strides[stage, lit] = _Stride(
                ladder(self.supply, conductance, 0.0), self.step, self.steps, self.choke_input
            )
        return self.strides[stage, lit], drawn

    def period(self) -> tuple[np.ndarray, np.ndarray]:
        """One mains period: current into the filter (steps,), voltages (steps, sections)."""
        currents, states = np.zeros(self.steps), np.empty((self.steps, len(self.state)))
        time = self.periods * self.period_length
        load_share = warm_up_share(time, self.load_warm_up)
        perveance = self.perveance * warm_up_share(time, self.rectifier_warm_up)
        if self.perveance and perveance == 0 and not self.state.any():
            self.periods += 1  # a cold valve before empty capacitors
            return currents, np.zeros((self.steps, self.sections))
        done = 0
        while done < self.steps:
            stride, drawn = self._stride(float(self.state[self.sections - 1]), load_share)
            count = self._coast(stride, drawn, done, states, perveance)
            if count == 0:
                count = self._conduct(stride, drawn, done, currents, states, perveance)
            done += count
            self.state = states[done - 1]
        self.periods += 1
        return currents, states[:, : self.sections]

    def _coast(self, stride, drawn: float, done: int, states: np.ndarray, perveance) -> int:
        """Take as many steps as pass before the rectifier conducts again; return their number."""
        if self.choke_input and self.state[self.sections] > 0:
            return 0
        left = self.steps - done
        ahead = stride.coasts[:left] @ self.state + stride.falls[:left] * drawn
        opens = self.forward[done:] > ahead[:, 0]
        count = left
        if opens.any() and (perveance > 0 or self.perveance == 0):
            count = int(np.argmax(opens))
        # A load that sets in with the voltage is looked at again before long.
        if ahead[0, self.sections - 1] < self.knee:
            count = min(count, 4)
        states[done:done + count] = ahead[:count]
        if count:
            self.drive = float(ahead[count - 1, 0]) if self.choke_input else 0.0
        return count

    def _conduct(self, stride, drawn, done, currents, states, perveance) -> int:
        """Steps with current, one by one, until it stops or a few are done; return their number.

        The drive is taken as the mean of its values at both ends of a step,
        or at the end alone where the step is long against the time constant.
        """
        weight = self._weight(stride)
        gain, driven, node = weight * stride.gain, stride.driven, stride.node
        pull = [part * drawn for part in stride.pulled]
        state = self.state.tolist()
        most = min(self.steps - done, 4 if state[self.sections - 1] < self.knee else 16)
        taken = []
        for instant in range(done, done + most):
            before = (1 - weight) * self.drive
            base = [sum(map(mul, row, state)) + pulled + part * before
                    for row, pulled, part in zip(stride.moved, pull, driven)]
            there = base[node]
            current = self._current(gain, stride.series, there, instant, perveance)
            self.drive = (current - there) / gain if self.choke_input else current
            now = weight * self.drive
            state = [plain + part * now for plain, part in zip(base, driven)]
            if self.choke_input:
                state[node] = current
            taken.append(state)
            currents[instant] = current
            if current <= 0:
                break
        states[done:done + len(taken)] = taken
        return len(taken)

    def _weight(self, stride: _Stride) -> float:
        """Weight of a step's end: ½, or 1 where the mean of both ends would swing to and fro."""
        least = min(self.resistances)
        swings = stride.gain * least if self.choke_input else stride.gain / (least + stride.series)
        return 0.5 if swings < 0.5 else 1.0

    def _current(self, gain: float, series: float, there: float, instant: int,
                 perveance: float) -> float:
        """Current (A, not negative) that fits rectifier and filter at the end of a step.

        The filter would be at ``there`` without drive: volts of the first
        capacitor, or amperes of the first choke; ``gain`` is what one ampere
        or volt of drive adds.
        """
        best = 0.0
        for emfs, resistance in zip(self.emfs, self.resistances, strict=True):
            if self.choke_input:
                push, straight, bent = there + gain * emfs[instant], 1 + gain * resistance, gain
            else:
                push, straight, bent = emfs[instant] - there, resistance + gain + series, 1.0
            if push <= 0:
                continue
            if self.perveance == 0:
                best = max(best, push / straight)
            elif perveance > 0:
                best = max(best, perveance * _root(perveance * straight, bent, push) ** 3)
        return best

    def at_once(self) -> float:
        """Current (A) the moment the switch closes onto empty capacitors."""
        share = warm_up_share(0.0, self.rectifier_warm_up)
        if self.choke_input:
            return 0.0
        return self._current(0.0, self.supply.sections[0].resistance, 0.0, self.steps - 1,
                             self.perveance * share)


def _root(cubic: float, square: float, push: float) -> float:
    """The positive s with cubic·s³ + square·s² = push, by three of Newton's steps."""
    root = math.sqrt(push / (square + math.cbrt(cubic * cubic * push)))
    for _ in range(3):
        slope = (3 * cubic * root + 2 * square) * root
        root -= ((cubic * root + square) * root * root - push) / slope
    return root

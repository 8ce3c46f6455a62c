"""From a steady state to the numbers: what each part of a supply carries, bears and heats.

SI units.  Means and r.m.s. values are over one mains period; extremes are
refined by a parabola through the highest sample and its neighbours.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from rxlearn.compute.quantities import Unclear
from rxlearn.compute.supply_network import Source, source
from rxlearn.compute.supply_parts import (
    BLEEDER_NAME,
    BRIDGE,
    CHOKE_INPUT,
    HALF_WAVE,
    Supply,
    series_resistors,
)
from rxlearn.compute.supply_regulator import (
    Operating,
    branch_waves,
    regulator_state,
)
from rxlearn.compute.supply_result import (
    BranchCurrent,
    CapacitorState,
    Dissipation,
    ElementCurrent,
    SupplyResult,
)

STOPPED = 1e-6
"""A choke's current below this part of its peak counts as stopped."""


def highest_voltage(supply: Supply, mains: float = 1.0) -> float:
    """Voltage (V) to which every capacitor charges when nothing draws current.

    The peak of the larger half's e.m.f. (√2 times r.m.s.), less silicon's drop
    (a valve's falls to nothing with the current).  Choke input included: with
    no current the choke drops nothing.  DERIVED: the limit of no current.
    """
    return _highest(source(supply), mains)


def _highest(nominal: Source, mains: float) -> float:
    return max(nominal.highest * mains - nominal.count * nominal.rectifier.threshold, 0.0)


def critical_inductance(voltage: float, current: float, frequency: float) -> float:
    """Inductance (H) below which a first choke's current stops in each half period.

    Full wave or bridge, ``voltage`` (V) and ``current`` (A) of what hangs on
    the filter, ``frequency`` (Hz) of the mains: L = R/(6πf).  The second
    harmonic of the ideal rectified sine alone, its peak equal to the direct
    current: R/1131 at 60 Hz, R/942 at 50 Hz (common engineering formula,
    DERIVED from the Fourier series).  No current: infinite.
    """
    if min(voltage, current, frequency) < 0 or frequency == 0 or not math.isfinite(voltage):
        raise Unclear(
            "Critical inductance wants a positive frequency, and voltage and current that are "
            "not negative."
        )
    return voltage / current / (6 * math.pi * frequency) if current > 0 else math.inf


def extremes(rows: np.ndarray) -> np.ndarray:
    """Largest value of each row, a periodic wave of equally spaced samples, also between them."""
    number, at = np.arange(len(rows)), rows.argmax(axis=1)
    centre, before = rows[number, at], rows[number, at - 1]
    after = rows[number, (at + 1) % rows.shape[1]]
    bend = np.minimum(before - 2 * centre + after, -1e-300)
    return centre - (after - before) ** 2 / (8 * bend)


class _Waves:
    """All waves of one solved supply on its own instants, row by row, and their figures.

    Rows: voltage and current before the filter; voltages of the capacitors;
    currents of the branches; currents of the elements (of a bridge's two
    pairs); inverse voltages of the elements.  ``mean``, ``square`` (mean
    square), ``highest`` and ``lowest`` hold a number for each.
    """

    def __init__(self, supply: Supply, feed: Source, found: Operating) -> None:
        self.supply, self.feed, self.found = supply, feed, found
        self.state = state = found.balance
        self.sections = len(supply.sections)
        self.branch = supply.regulator and branch_waves(found, supply.regulator)
        self.strings = self.windings = self._legs()
        bridge = supply.arrangement == BRIDGE
        if bridge:
            self._bridge()
        voltage = state.voltage
        if supply.input == CHOKE_INPUT:
            # While nothing flows the choke drops nothing: the node follows the capacitor.
            voltage = np.where(state.current > 0, voltage, state.waves[0])
        if bridge:
            # A resting diode hangs across the output and its conducting neighbour's drop.
            inverses = [voltage + supply.rectifier.drop_at(state.current)] * 2
        else:
            inverses = [voltage - emf for emf in state.emfs]
        self.shown, count = 2 + 2 * self.sections + len(self.strings), state.instants
        self.rows = np.concatenate(
            [voltage, state.current, state.waves.reshape(-1), *self.strings, *inverses]
        ).reshape(-1, count)
        self.mean = (self.rows.sum(axis=1) / count).tolist()
        self.square = (np.einsum("ij,ij->i", self.rows, self.rows) / count).tolist()
        top = extremes(np.concatenate([self.rows, -self.rows[: self.shown]])).tolist()
        self.highest, self.lowest = top, [-value for value in top[len(self.rows):]]

    @property
    def currents(self) -> np.ndarray:
        """Currents (A) of the elements: (elements, instants)."""
        return self.rows[self.shown - len(self.strings) : self.shown]

    def _legs(self) -> list[np.ndarray]:
        """Current (A) of each leg; where but one can conduct it is the total."""
        state, legs = self.state, self.feed.legs
        if len(legs) == 1:
            return [state.current]
        forward = state.emfs[1] - state.voltage
        if not forward.max() > self.supply.rectifier.threshold:
            return [state.current, np.zeros(state.instants)]
        second, _ = self.supply.rectifier.conduct(forward, legs[1].resistance)
        second = np.minimum(second, state.current)
        return [state.current - second, second]

    def _bridge(self) -> None:
        """Currents of the two strings of two diodes, and of the winding between them.

        Both strings conduct only while a choke drives the output below zero;
        the winding, short-circuited by them, then carries e/(R + r).  DERIVED (Kirchhoff).
        """
        state, leg, diode = self.state, self.feed.legs[0], self.supply.rectifier
        total = winding = state.current
        if state.voltage.min() < 0:
            past = -state.voltage - self.feed.count * diode.drop
            alone, _ = diode.conduct(
                state.emfs[0] - state.voltage, leg.resistance, self.feed.count)
            circling = state.emfs[0] / (leg.resistance + diode.resistance)
            winding = np.where(past > alone * diode.resistance, circling, total)
        self.windings = [winding]
        self.strings = [(total + winding) / 2, (total - winding) / 2]

    def spread(self, points: int) -> np.ndarray:
        """The shown rows on ``points`` of one mains period, both ends included."""
        twice = self.supply.symmetrical
        before, after, part = _between(points, self.state.instants, 2 if twice else 1)
        rows = self.rows[: self.shown]
        left = rows.take(before, axis=1)
        spread = left + (rows.take(after, axis=1) - left) * part
        if twice:  # in the second half of the period each element takes the other's place
            strings, half = spread[-2:], points // 2
            strings[:, half:] = strings[::-1, half:].copy()
        return spread


@lru_cache(maxsize=32)
def _between(points: int, instants: int, periods: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Instants before and after each of ``points`` over ``periods``, and the way between them."""
    at = np.linspace(0.0, periods * instants, points)
    before = at.astype(int)
    return before % instants, (before + 1) % instants, at - before


@lru_cache(maxsize=8)
def _turn(points: int) -> tuple[np.ndarray, np.ndarray]:
    """Parts of a mains period, both ends included, and the sine over it."""
    time = np.linspace(0.0, 1.0, points)
    return time, np.sin(2 * np.pi * time)


def measure(supply: Supply, mains: float, feed: Source, found: Operating,
            points: int) -> SupplyResult:
    """All numbers of a solved supply as a :class:`SupplyResult` with waveforms of ``points``."""
    waves = _Waves(supply, feed, found)
    capacitors, branches = _capacitors(waves), _branches(waves)
    frequency = supply.transformer.frequency
    critical = None
    if _has_critical(supply):
        critical = critical_inductance(capacitors[0].direct, branches[0].direct, frequency)
    elements = _elements(waves)
    winding, winding_direct = _winding_currents(waves, elements)
    dissipation, power = _powers(waves, branches)
    (time, sine), shown, sections = _turn(points), waves.spread(points), len(supply.sections)
    return SupplyResult(
        supply=supply, mains=mains, time=time / frequency,
        winding_voltage=feed.legs[0].emf * sine,
        input_voltage=shown[0], rectifier_current=shown[1],
        capacitor_voltages=shown[2 : 2 + sections],
        branch_currents=shown[2 + sections : 2 + 2 * sections],
        element_currents=shown[2 + 2 * sections :],
        elements=elements, capacitors=capacitors, branches=branches,
        dissipation=dissipation, winding_rms=winding, winding_direct=winding_direct,
        primary_current=_primary(waves, mains),
        heater_voltage=supply.heater and supply.heater.terminal_voltage(mains),
        input_power=power, critical_inductance=critical,
        unloaded_voltage=_highest(feed, (1 + supply.transformer.mains_tolerance) / mains),
        regulator=supply.regulator and regulator_state(found, supply.regulator, waves.branch),
        instants=waves.state.instants,
    )


def _capacitors(waves: _Waves) -> tuple[CapacitorState, ...]:
    """By Parseval's theorem the harmonics give both r.m.s. values, voltage's and current's."""
    state, found = waves.state, []
    harmonics = state.spectra[: waves.sections, 1:]
    swift = harmonics * np.arange(1, harmonics.shape[1] + 1)
    scale = math.sqrt(2) / state.instants
    rate = scale * 2 * math.pi / state.period
    for k, section in enumerate(waves.supply.sections):
        high, low = waves.highest[2 + k], waves.lowest[2 + k]
        found.append(CapacitorState(
            section.capacitance, waves.mean[2 + k], high - low, scale * _length(harmonics[k]),
            high, low, section.capacitance * rate * _length(swift[k]),
            0.5 * section.capacitance * high**2,
        ))
    return tuple(found)


def _length(harmonics: np.ndarray) -> float:
    return math.sqrt(np.vdot(harmonics, harmonics).real)


def _branches(waves: _Waves) -> tuple[BranchCurrent, ...]:
    found = []
    for k, section in enumerate(waves.supply.sections):
        row = 2 + waves.sections + k
        high, low = waves.highest[row], waves.lowest[row]
        found.append(BranchCurrent(
            k, section.inductance, section.resistance, waves.mean[row],
            math.sqrt(waves.square[row]), high, low, low > STOPPED * high,
        ))
    return tuple(found)


def _elements(waves: _Waves) -> tuple[ElementCurrent, ...]:
    """Average, r.m.s., peak and inverse voltage of each element (bridge: of each pair's one)."""
    first, count = 2 + 2 * waves.sections, len(waves.strings)
    total = waves.highest[1]  # no element carries more: a jump between samples is no peak
    found = tuple(
        ElementCurrent(waves.mean[row], math.sqrt(waves.square[row]),
                       min(waves.highest[row], total), waves.highest[row + count])
        for row in range(first, first + count)
    )
    if not waves.supply.symmetrical:
        return found
    # Each element lives through both halves of the mains period in turn.
    one, two = found
    both = ElementCurrent(
        (one.average + two.average) / 2, math.hypot(one.rms, two.rms) / math.sqrt(2),
        max(one.peak, two.peak), max(one.peak_inverse_voltage, two.peak_inverse_voltage),
    )
    return (both, both)


def _winding_currents(waves: _Waves, elements) -> tuple[tuple[float, ...], float]:
    """R.m.s. current (A) in each half in use; net direct current that magnetises the core."""
    if waves.supply.arrangement == BRIDGE:
        winding = waves.windings[0]
        return (math.sqrt(float(winding @ winding) / len(winding)),), 0.0
    averages = [element.average for element in elements]
    net = averages[0] - averages[1] if len(averages) == 2 else averages[0]
    return tuple(element.rms for element in elements), net


def _primary(waves: _Waves, mains: float) -> float:
    """Primary current (A r.m.s.): the ampere-turns of all windings, direct current left out.

    Ratios of turns are those of the e.m.f.s, so iron and leakage are left out.
    """
    supply, transformer, state = waves.supply, waves.supply.transformer, waves.state
    reflected = np.zeros(state.instants)
    for leg, current in zip(waves.feed.legs, waves.windings, strict=True):
        ratio = leg.emf / mains / math.sqrt(2) / transformer.mains_voltage
        reflected = reflected + leg.sign * ratio * current
    if not supply.symmetrical:
        reflected = reflected - reflected.sum() / state.instants
    heater = supply.heater
    if heater is not None:
        ratio = heater.voltage * (1 + heater.regulation) / transformer.mains_voltage
        reflected = reflected + ratio * heater.load_current * math.sqrt(2) * state.sine
    if transformer.magnetising_current:
        turn = 2 * np.pi * transformer.frequency * state.period / state.instants
        cosine = np.cos(turn * np.arange(state.instants))
        reflected = reflected - transformer.magnetising_current * math.sqrt(2) * mains * cosine
    return math.sqrt(float(reflected @ reflected) / state.instants)


def _powers(waves: _Waves, branches) -> tuple[tuple[Dissipation, ...], float]:
    """Mean power (W) in each part, and what the windings' e.m.f.s deliver."""
    supply, state, rectifier = waves.supply, waves.state, waves.supply.rectifier
    count, currents = state.instants, waves.currents
    delivered = copper = leads = 0.0
    for leg, current, emf in zip(waves.feed.legs, waves.windings, state.emfs, strict=True):
        delivered += float(emf @ current) / count
        square = float(current @ current) / count
        copper, leads = copper + leg.winding * square, leads + supply.series_resistance * square
    lost = waves.feed.count * rectifier.loss(currents) / count
    parts = [Dissipation("winding", copper), Dissipation(series_resistors(supply), leads),
             Dissipation("rectifier", lost)]
    for branch in branches:
        if branch.resistance > 0:
            name = supply.series_name(branch.section + 1)
            parts.append(Dissipation(name, branch.resistance * branch.rms**2))
    end = 1 + waves.sections
    mean, square = waves.mean[end], waves.square[end]
    if supply.bleeder is not None:
        parts.append(Dissipation(BLEEDER_NAME, square / supply.bleeder))
    load = supply.load.current * mean + supply.load.conductance * square
    parts.extend([Dissipation("load", load), *_regulator_powers(waves)])
    return tuple(parts), delivered


def _regulator_powers(waves: _Waves) -> list[Dissipation]:
    regulator = waves.supply.regulator
    if regulator is None:
        return []
    branch, voltage, tube = waves.branch
    series = regulator.series_resistance * float(branch @ branch) / len(branch)
    return [
        Dissipation("regulator resistor", series),
        Dissipation("regulator", float((voltage * tube).mean())),
        Dissipation("regulated load", float((voltage * regulator.load.at(voltage)).mean())),
    ]


def measure_unloaded(supply: Supply, mains: float, feed: Source, points: int) -> SupplyResult:
    """The limit of no current: every capacitor at the peak, nothing flows, nothing heats."""
    time = np.linspace(0.0, 1.0 / supply.transformer.frequency, points)
    sine = np.sin(2 * np.pi * supply.transformer.frequency * time)
    level = highest_voltage(supply, mains)
    sections = len(supply.sections)
    flat, nothing = np.full((sections, points), level), np.zeros((sections, points))
    bridge = supply.arrangement == BRIDGE
    inverse = [level] * 2 if bridge else [level + leg.emf for leg in feed.legs]
    legs = len(feed.legs)
    return SupplyResult(
        supply=supply, mains=mains, time=time, winding_voltage=feed.legs[0].emf * sine,
        input_voltage=flat[0], rectifier_current=nothing[0],
        element_currents=np.zeros((len(inverse), points)),
        capacitor_voltages=flat, branch_currents=nothing,
        elements=tuple(ElementCurrent(0.0, 0.0, 0.0, value) for value in inverse),
        capacitors=tuple(
            CapacitorState(section.capacitance, level, 0.0, 0.0, level, level, 0.0,
                           0.5 * section.capacitance * level**2)
            for section in supply.sections
        ),
        branches=tuple(
            BranchCurrent(k, section.inductance, section.resistance, 0.0, 0.0, 0.0, 0.0, False)
            for k, section in enumerate(supply.sections)
        ),
        dissipation=(), winding_rms=(0.0,) * legs, winding_direct=0.0,
        primary_current=_idle_primary(supply, mains),
        heater_voltage=supply.heater and supply.heater.terminal_voltage(mains),
        input_power=0.0,
        critical_inductance=math.inf if _has_critical(supply) else None,
        unloaded_voltage=highest_voltage(supply, 1 + supply.transformer.mains_tolerance),
        regulator=None, instants=0,
    )


def _has_critical(supply: Supply) -> bool:
    return supply.input == CHOKE_INPUT and supply.arrangement != HALF_WAVE


def _idle_primary(supply: Supply, mains: float) -> float:
    """Primary current (A r.m.s.) of heaters and magnetising alone."""
    heater = supply.heater
    warm = 0.0
    if heater is not None:
        warm = heater.load_current * heater.voltage * (1 + heater.regulation)
    return math.hypot(
        warm / supply.transformer.mains_voltage, supply.transformer.magnetising_current * mains
    )

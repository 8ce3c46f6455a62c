"""From a steady state to the numbers: what each part of a supply carries, bears and heats.

SI units.  Means and r.m.s. values are over one mains period; extremes are
refined by a parabola through the highest sample and its neighbours.
"""

from __future__ import annotations

import math

import numpy as np

from rxlearn.compute.quantities import Unclear
from rxlearn.compute.rectifiers import SiliconRectifier
from rxlearn.compute.supply_network import Source, source
from rxlearn.compute.supply_parts import BRIDGE, CHOKE_INPUT, HALF_WAVE, Supply
from rxlearn.compute.supply_regulator import (
    Operating,
    branch_waves,
    end_and_spectra,
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
    feed = source(supply, mains)
    drop = supply.rectifier.drop if isinstance(supply.rectifier, SiliconRectifier) else 0.0
    return max(feed.highest - feed.count * drop, 0.0)


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


def extreme(samples: np.ndarray, sign: int = 1) -> float:
    """Largest (``sign`` 1) or smallest (−1) value of a periodic wave between its samples."""
    where = int(np.argmax(samples) if sign > 0 else np.argmin(samples))
    centre, after = float(samples[where]), float(samples[(where + 1) % len(samples)])
    before = float(samples[where - 1])
    bend = before - 2 * centre + after
    return centre - (after - before) ** 2 / (8 * bend) if sign * bend < 0 else centre


def mean(samples: np.ndarray) -> float:
    """Mean of equally spaced samples."""
    return float(samples.sum()) / len(samples)


def rms(samples: np.ndarray) -> float:
    """Root of the mean square of equally spaced samples."""
    return math.sqrt(float(np.dot(samples, samples)) / len(samples))


class _Waves:
    """One solved supply on its own instants, and spread over a whole mains period."""

    def __init__(self, supply: Supply, feed: Source, found: Operating, points: int) -> None:
        state = found.balance
        self.supply, self.feed, self.found, self.state = supply, feed, found, state
        self.end, self.voltages, self.currents = end_and_spectra(found)
        self.capacitors = np.fft.irfft(self.voltages, state.instants, axis=1)
        self.branches = np.fft.irfft(self.currents, state.instants, axis=1)
        self.legs = [current for current, _ in feed.currents(state.emfs, state.voltage)]
        self.strings = self.windings = self.legs
        if supply.arrangement == BRIDGE:
            self._bridge()
        self.input = state.voltage
        if supply.input == CHOKE_INPUT:
            # While nothing flows the choke drops nothing: the node follows the capacitor.
            self.input = np.where(state.current > 0, state.voltage, self.capacitors[0])
        self.points = points
        self.copies = 2 if supply.symmetrical else 1
        at = np.linspace(0.0, self.copies * state.instants, points)
        self.whole = at.astype(int)
        self.part = at - self.whole
        self.whole %= state.instants

    def _bridge(self) -> None:
        """Currents of the two strings of two diodes, and of the winding between them.

        Both strings conduct only while a choke drives the output below zero;
        the winding, short-circuited by them, then carries e/(R + r).  DERIVED (Kirchhoff).
        """
        leg, diode = self.feed.legs[0], self.supply.rectifier
        total, alone = self.state.current, self.legs[0]
        circling = self.state.emfs[0] / (leg.resistance + diode.resistance)
        winding = np.where(total > alone * (1 + 1e-9), circling, alone)
        self.windings = [winding]
        self.strings = [(total + winding) / 2, (total - winding) / 2]

    def spread(self, samples: np.ndarray) -> np.ndarray:
        """Samples of one period of the circuit on the result's points of one mains period."""
        left = samples[..., self.whole]
        if not self.part.any():
            return left
        return left + (samples[..., (self.whole + 1) % samples.shape[-1]] - left) * self.part

    def elements(self) -> np.ndarray:
        """Currents (A) of the elements over the mains period: (elements, points)."""
        if not self.supply.symmetrical:
            return np.stack([self.spread(string) for string in self.strings])
        first_half = np.linspace(0, 2, self.points) < 1
        one, two = self.spread(self.strings[0]), self.spread(self.strings[1])
        return np.stack([np.where(first_half, one, two), np.where(first_half, two, one)])


def measure(supply: Supply, mains: float, feed: Source, found: Operating,
            points: int) -> SupplyResult:
    """All numbers of a solved supply as a :class:`SupplyResult` with waveforms of ``points``."""
    waves = _Waves(supply, feed, found, points)
    capacitors, branches = _capacitors(waves), _branches(waves)
    regulator = supply.regulator and regulator_state(found, supply.regulator, waves.end)
    time = np.linspace(0.0, 1.0 / supply.transformer.frequency, points)
    critical = None
    if _has_critical(supply):
        critical = critical_inductance(
            capacitors[0].direct, branches[0].direct, supply.transformer.frequency
        )
    elements = _elements(waves)
    winding, winding_direct = _winding_currents(waves, elements)
    dissipation, power = _powers(waves, branches)
    return SupplyResult(
        supply=supply, mains=mains, time=time,
        winding_voltage=feed.legs[0].emf * np.sin(2 * np.pi * supply.transformer.frequency * time),
        input_voltage=waves.spread(waves.input),
        rectifier_current=waves.spread(waves.state.current),
        element_currents=waves.elements(),
        capacitor_voltages=waves.spread(waves.capacitors),
        branch_currents=waves.spread(waves.branches),
        elements=elements, capacitors=capacitors, branches=branches,
        dissipation=dissipation, winding_rms=winding, winding_direct=winding_direct,
        primary_current=_primary(waves, mains),
        heater_voltage=supply.heater and supply.heater.terminal_voltage(mains),
        input_power=power, critical_inductance=critical,
        unloaded_voltage=highest_voltage(supply, 1 + supply.transformer.mains_tolerance),
        regulator=regulator, instants=waves.state.instants,
    )


def _capacitors(waves: _Waves) -> tuple[CapacitorState, ...]:
    found = []
    count = waves.state.instants
    for k, section in enumerate(waves.supply.sections):
        samples = waves.capacitors[k]
        alternating = waves.voltages[k, 1:]
        omega = 2 * np.pi / waves.state.period * np.arange(1, len(alternating) + 1)
        high, low = extreme(samples), extreme(samples, -1)
        found.append(CapacitorState(
            section.capacitance, mean(samples), high - low,
            _spectral_rms(alternating, count),
            high, low, _spectral_rms(omega * section.capacitance * alternating, count),
            0.5 * section.capacitance * high**2,
        ))
    return tuple(found)


def _spectral_rms(alternating: np.ndarray, count: int) -> float:
    """R.m.s. of harmonics 1, 2 … as rfft gives them for ``count`` samples (Parseval)."""
    return math.sqrt(2 * float(np.vdot(alternating, alternating).real)) / count


def _branches(waves: _Waves) -> tuple[BranchCurrent, ...]:
    found = []
    for k, section in enumerate(waves.supply.sections):
        samples = waves.branches[k]
        high, low = extreme(samples), extreme(samples, -1)
        found.append(BranchCurrent(
            k, section.inductance, section.resistance, mean(samples), rms(samples),
            high, low, low > STOPPED * high,
        ))
    return tuple(found)


def _elements(waves: _Waves) -> tuple[ElementCurrent, ...]:
    """Average, r.m.s., peak and inverse voltage of each element (bridge: of each pair's one)."""
    voltage, supply, strings = waves.input, waves.supply, waves.strings
    if supply.arrangement == BRIDGE:
        # A resting diode hangs across the output and its conducting neighbour's drop.
        drops = supply.rectifier.drop_at(waves.state.current)
        inverses = [extreme(voltage + drops)] * 2
    else:
        inverses = [extreme(voltage - emf) for emf in waves.state.emfs]
    found = [
        ElementCurrent(mean(string), rms(string), extreme(string), inverse)
        for string, inverse in zip(strings, inverses, strict=True)
    ]
    if not supply.symmetrical:
        return tuple(found)
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
        return (rms(waves.windings[0]),), 0.0
    averages = [element.average for element in elements]
    net = averages[0] - averages[1] if len(averages) == 2 else averages[0]
    return tuple(element.rms for element in elements), net


def _primary(waves: _Waves, mains: float) -> float:
    """Primary current (A r.m.s.): the ampere-turns of all windings, direct current left out.

    Ratios of turns are those of the e.m.f.s, so iron and leakage are left out.
    """
    supply, transformer = waves.supply, waves.supply.transformer
    reflected = np.zeros(waves.state.instants)
    for leg, current in zip(waves.feed.legs, waves.windings, strict=True):
        ratio = leg.emf / mains / math.sqrt(2) / transformer.mains_voltage
        reflected = reflected + leg.sign * ratio * current
    if not supply.symmetrical:
        reflected = reflected - mean(reflected)
    heater = supply.heater
    if heater is not None:
        ratio = heater.voltage * (1 + heater.regulation) / transformer.mains_voltage
        reflected = reflected + ratio * heater.load_current * math.sqrt(2) * waves.state.sine
    angle = 2 * np.pi * np.arange(waves.state.instants) / waves.state.instants / waves.copies
    magnetising = transformer.magnetising_current * math.sqrt(2) * mains * np.cos(angle)
    return rms(reflected - magnetising)


def _powers(waves: _Waves, branches) -> tuple[tuple[Dissipation, ...], float]:
    """Mean power (W) in each part, and what the windings' e.m.f.s deliver."""
    supply, state, end = waves.supply, waves.state, waves.end
    pairs = list(zip(waves.feed.legs, waves.windings, state.emfs, strict=False))
    delivered = sum(float(np.dot(emf, current)) / state.instants for _, current, emf in pairs)
    per_string = waves.feed.count
    parts = [
        Dissipation("winding", sum(leg.winding * rms(i) ** 2 for leg, i, _ in pairs)),
        Dissipation("series resistor", supply.series_resistance * sum(
            rms(i) ** 2 for _, i, _ in pairs
        )),
        Dissipation("rectifier", per_string * sum(
            float(np.dot(supply.rectifier.drop_at(i), i)) / state.instants for i in waves.strings
        )),
    ]
    for branch in branches:
        if branch.resistance > 0:
            kind = "choke" if branch.inductance > 0 else "filter resistor"
            power = branch.resistance * branch.rms**2
            parts.append(Dissipation(f"{kind} {branch.section + 1}", power))
    if supply.bleeder is not None:
        parts.append(Dissipation("bleeder", rms(end) ** 2 / supply.bleeder))
    parts.append(Dissipation("load", mean(end * supply.load.at(end))))
    parts.extend(_regulator_powers(waves))
    return tuple(parts), delivered


def _regulator_powers(waves: _Waves) -> list[Dissipation]:
    regulator = waves.supply.regulator
    if regulator is None:
        return []
    branch, voltage, tube = branch_waves(waves.found, regulator, waves.end)
    return [
        Dissipation("regulator resistor", regulator.series_resistance * rms(branch) ** 2),
        Dissipation("regulator", mean(voltage * tube)),
        Dissipation("regulated load", mean(voltage * regulator.load.at(voltage))),
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

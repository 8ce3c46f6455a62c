"""What :func:`rxlearn.compute.power_supply.solve` hands back: plain frozen records in SI units."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rxlearn.compute.supply_parts import Supply
from rxlearn.compute.supply_regulator import RegulatorState


@dataclass(frozen=True)
class ElementCurrent:
    """What one rectifier element carries and bears: A, and ``peak_inverse_voltage`` in V."""

    average: float
    rms: float
    peak: float
    peak_inverse_voltage: float


@dataclass(frozen=True)
class BranchCurrent:
    """Current (A) through one section's choke or resistor.

    ``section`` counts from 0; ``inductance`` (H) and ``resistance`` (Ω) repeat
    the part.  ``continuous``: it never falls to zero within the period.
    ``voltage_peak`` (V) is the largest alternating voltage across it.
    """

    section: int
    inductance: float
    resistance: float
    direct: float
    rms: float
    highest: float
    lowest: float
    continuous: bool


@dataclass(frozen=True)
class CapacitorState:
    """One filter capacitor in the steady state.

    ``direct`` (V), ``ripple_peak_to_peak`` and ``ripple_rms`` (V),
    ``highest`` and ``lowest`` (V) within the period, ``ripple_current``
    (A r.m.s.) through it, ``energy`` (J) at its highest voltage.
    """

    capacitance: float
    direct: float
    ripple_peak_to_peak: float
    ripple_rms: float
    highest: float
    lowest: float
    ripple_current: float
    energy: float


@dataclass(frozen=True)
class Dissipation:
    """Mean power (W) that goes into ``part`` (its name in the trade)."""

    part: str
    power: float


@dataclass(frozen=True, eq=False)
class SupplyResult:
    """The periodic steady state of ``supply`` at ``mains`` times nominal mains.  SI units.

    Waveforms, all of one length, over one mains period, both ends included:
    ``time`` (s); ``winding_voltage``, the first half's e.m.f. (V);
    ``input_voltage`` before the filter (V); ``rectifier_current`` into the
    filter (A); ``element_currents`` (elements, points) in A: two for full
    wave, the two pairs for a bridge, one for half wave; ``capacitor_voltages``
    and ``branch_currents`` (sections, points).

    ``elements``, ``capacitors``, ``branches``, ``dissipation`` hold the
    numbers; ``winding_rms`` (A, each half), ``primary_current`` (A r.m.s.,
    heater winding included).  ``critical_inductance`` (H) is for choke input
    on full wave or bridge, else None.  ``unloaded_voltage`` (V): what every
    capacitor charges to at *high* mains with nothing drawing current.
    ``unsettled_power`` (W): input less all dissipation, the method's own error, below 0.1 % of
    the input; with a choke input on unlike halves of the mains period, below 0.2 %.
    """

    supply: Supply
    mains: float
    time: np.ndarray
    winding_voltage: np.ndarray
    input_voltage: np.ndarray
    rectifier_current: np.ndarray
    element_currents: np.ndarray
    capacitor_voltages: np.ndarray
    branch_currents: np.ndarray
    elements: tuple[ElementCurrent, ...]
    capacitors: tuple[CapacitorState, ...]
    branches: tuple[BranchCurrent, ...]
    dissipation: tuple[Dissipation, ...]
    winding_rms: tuple[float, ...]
    winding_direct: float
    primary_current: float
    heater_voltage: float | None
    input_power: float
    critical_inductance: float | None
    unloaded_voltage: float
    regulator: RegulatorState | None
    instants: int

    @property
    def output_voltage(self) -> float:
        """Direct voltage (V) at the last capacitor."""
        return self.capacitors[-1].direct

    @property
    def direct_current(self) -> float:
        """Direct current (A) that the rectifier delivers: load, bleeder and regulator together."""
        return sum(element.average for element in self.elements)

    @property
    def load_current(self) -> float:
        """Direct current (A) of the load at the last capacitor."""
        return self.supply.load.at(self.output_voltage)

    @property
    def bleeder_current(self) -> float:
        """Direct current (A) of the bleeder; 0 without one."""
        return self.output_voltage / self.supply.bleeder if self.supply.bleeder else 0.0

    @property
    def peak_inverse_voltage(self) -> float:
        """Largest inverse voltage (V) on any element."""
        return max(element.peak_inverse_voltage for element in self.elements)

    @property
    def stored_energy(self) -> float:
        """Energy (J) in all filter capacitors at their highest voltage."""
        return sum(capacitor.energy for capacitor in self.capacitors)

    @property
    def continuous(self) -> bool | None:
        """Choke input: whether the first choke's current never stops; None for capacitor input."""
        first = self.branches[0]
        return first.continuous if first.inductance > 0 else None

    @property
    def regulation(self) -> float:
        """Rise of the output from this load to no load at the same mains, as a ratio."""
        nominal = self.unloaded_voltage * self.mains / (1 + self.supply.transformer.mains_tolerance)
        return nominal / self.output_voltage - 1

    @property
    def unsettled_power(self) -> float:
        """Input power less all dissipation (W): zero but for the method's own error."""
        return self.input_power - sum(part.power for part in self.dissipation)

    def power_in(self, part: str) -> float:
        """Mean power (W) in the part of this name; 0 if there is none."""
        return sum(entry.power for entry in self.dissipation if entry.part == part)

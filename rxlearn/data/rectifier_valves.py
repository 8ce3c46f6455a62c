"""Published figures of rectifier valves and glow-discharge regulator tubes.  SI units.

Generic type numbers only.  ``source`` of each row says where its figures were
read; a figure marked "from memory" there wants a look at the maker's sheet
before a part is bought.  Ratings are limits that the makers printed, under the
system of ratings that the sheet names: nothing may exceed them, mains
tolerance and spread of parts included.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class RectifierValve:
    """A full-wave rectifier valve as its maker describes it.  V, A, Ω, F, s.

    ``drop`` (V) is what one plate drops at ``drop_current`` (A).  ``None``
    stands where no figure is at hand.  ``capacitor_input`` and
    ``choke_input`` are the largest (r.m.s. volts per plate, direct current out
    of both plates) of the service concerned; ``least_plate_resistance`` is the
    smallest total resistance in each plate's circuit (winding with the
    primary's share, plus any resistor) at that capacitor-input point.
    ``warm_up`` (s) until it delivers: common practice, no single source.
    """

    name: str
    heater_voltage: float
    heater_current: float
    directly_heated: bool
    drop: float
    drop_current: float
    peak_inverse_voltage: float
    steady_peak_current: float
    transient_peak_current: float | None
    capacitor_input: tuple[float, float]
    choke_input: tuple[float, float]
    least_plate_resistance: float | None
    largest_first_capacitor: float | None
    heater_cathode_voltage: float | None
    warm_up: float
    source: str


RECTIFIER_VALVES: Mapping[str, RectifierValve] = MappingProxyType({
    valve.name: valve
    for valve in (
        RectifierValve(
            "6X4", 6.3, 0.6, False, 22.0, 0.070, 1250.0, 0.245, 1.0,
            (325.0, 0.070), (450.0, 0.070), 525.0, None, 450.0, 12.0,
            "General Electric data sheet 6X4 (design-maximum system, rating chart I)",
        ),
        RectifierValve(
            "6X5-GT", 6.3, 0.6, False, 22.0, 0.070, 1250.0, 0.210, None,
            (325.0, 0.070), (450.0, 0.070), 525.0, None, 450.0, 15.0,
            "RCA receiving-tube manuals, from memory",
        ),
        RectifierValve(
            "5Y3-GT", 5.0, 2.0, True, 50.0, 0.125, 1400.0, 0.440, 2.5,
            (350.0, 0.125), (500.0, 0.125), 50.0, 20e-6, None, 3.0,
            "RCA receiving-tube manuals: drop, 125 mA and 20 µF read there; the rest from memory",
        ),
        RectifierValve(
            "5V4-G", 5.0, 2.0, False, 25.0, 0.175, 1400.0, 0.525, None,
            (375.0, 0.175), (500.0, 0.175), 100.0, None, None, 15.0,
            "RCA receiving-tube manuals, from memory",
        ),
    )
})
"""Type to what its maker printed."""


@dataclass(frozen=True)
class RegulatorTube:
    """A glow-discharge regulator tube: V and A.

    Between ``least_current`` and ``most_current`` its voltage rises by about
    ``regulation`` volts; it needs up to ``striking_voltage`` to light.
    """

    name: str
    voltage: float
    least_current: float
    most_current: float
    regulation: float
    striking_voltage: float
    source: str


_TUBES = "RCA receiving-tube manuals, from memory"

REGULATOR_TUBES: Mapping[str, RegulatorTube] = MappingProxyType({
    tube.name: tube
    for tube in (
        RegulatorTube("0A2", 150.0, 0.005, 0.030, 2.0, 185.0, _TUBES),
        RegulatorTube("0B2", 108.0, 0.005, 0.030, 1.0, 133.0, _TUBES),
        RegulatorTube("0C3", 105.0, 0.005, 0.040, 1.0, 133.0, _TUBES),
        RegulatorTube("0D3", 150.0, 0.005, 0.040, 2.0, 185.0, _TUBES),
    )
})
"""Type to what its maker printed."""

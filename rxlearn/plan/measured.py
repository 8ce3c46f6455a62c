"""The learner's readings as ``compute`` wants them, what they say, and the dial that is true now.

Everything here raises :class:`~rxlearn.compute.quantities.Unclear` with the
reason where the readings do not say it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rxlearn.compute.band_spread import Network
from rxlearn.compute.bench_fit import (
    COUNTER,
    Adjustment,
    BenchFit,
    Reading,
    adjust,
    fit_coil,
    fit_dial,
)
from rxlearn.compute.power_supply import solve
from rxlearn.compute.quantities import Unclear
from rxlearn.plan.band_spread import OTHER, band_of, built, narrow_band, offset_of, shape
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.measured_fields import BAND_OF, SIGNAL
from rxlearn.plan.power_supply import supply_of

WITHIN = 0.1
"""A supply voltage is as expected within a tenth (common practice, no source)."""

HEATER = 6.3
"""Nominal heater voltage, V."""

ORIGIN = "measured at the bench"


def coil_readings(plan: Plan) -> tuple[Reading, ...]:
    """The readings of the coil with known capacitors."""
    return tuple(
        Reading(capacitance, frequency, uncertainty or COUNTER * frequency)
        for capacitance, frequency, uncertainty in plan.value("measured.coil")
    )


def dial_readings(plan: Plan, band: str, *, step: float | None = None) -> tuple[Reading, ...]:
    """The readings of ``band``'s dial as frequencies of the oscillator.

    ``step`` (degrees) is how finely the dial was read; the plan's own without it.
    """
    step = (plan.value("measured.dial_step") if step is None else step) / math.sqrt(12)
    return tuple(
        Reading(shaft, frequency - (offset_of(plan, band) if heard == SIGNAL else 0.0),
                uncertainty or COUNTER * frequency, step)
        for name, shaft, heard, frequency, uncertainty in plan.value("measured.dial")
        if BAND_OF[name] == band
    )


def measured_coil(plan: Plan) -> BenchFit:
    """What the coil's readings say of it."""
    return fit_coil(coil_readings(plan), strays=plan.value("oscillator.stray_capacitance") or None)


def measured_dial(plan: Plan, band: str, *, step: float | None = None) -> BenchFit:
    """What ``band``'s readings, taken with ``step``, say of its dial."""
    return fit_dial(dial_readings(plan, band, step=step), shape(plan, band))


def dial_network(plan: Plan, band: str) -> Network:
    """The dial that is true now: as measured, or else as the plan works it out.

    Readings that are there but do not settle a dial are no reason to print another one: they
    raise :class:`Unclear`.
    """
    if not dial_readings(plan, band):
        return built(plan, band)
    network = measured_dial(plan, band).network
    assert network is not None  # a fitted dial always has one
    return network


def adjustment(plan: Plan, band: str) -> Adjustment:
    """What to turn so that ``band``'s measured dial covers the band; the coil on the wider only."""
    found = band_of(plan, band)
    network = measured_dial(plan, band).network
    assert network is not None
    return adjust(network, found.oscillator_low, found.oscillator_high,
                  coil=band == OTHER[narrow_band(plan)])


@dataclass(frozen=True)
class SupplyReading:
    """One supply voltage against what the plan expects at that mains voltage, V."""

    place: str
    voltage: float
    expected: float

    @property
    def off(self) -> float:
        """Measured over expected, less one."""
        return self.voltage / self.expected - 1

    @property
    def as_expected(self) -> bool:
        """Whether it lies within a tenth."""
        return abs(self.off) <= WITHIN


def supply_readings(plan: Plan) -> tuple[SupplyReading, ...]:
    """Every supply voltage read, with the plan's own beside it."""
    found = []
    for place, voltage, mains in plan.value("measured.supply"):
        ratio = 1.0 if mains is None else mains / 100
        if place == "heater":
            expected = HEATER * ratio
        else:
            capacitors = solve(supply_of(plan), mains=ratio).capacitors
            expected = capacitors[0 if place == "first" else -1].direct
        found.append(SupplyReading(place, voltage, expected))
    return tuple(found)


def measured_changes(plan: Plan) -> dict[str, Change]:
    """What the readings put into the plan as measured; empty if they settle nothing."""
    changes: dict[str, Change] = {}
    try:
        coil = measured_coil(plan).estimates["coil"]
    except Unclear:
        pass
    else:
        changes["oscillator.inductance"] = Change(
            value=coil.value, status="measured", origin=ORIGIN, uncertainty=coil.half_width)
    return changes

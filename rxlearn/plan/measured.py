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
    BenchFit,
    Estimate,
    PartsKnown,
    Quarrel,
    Reading,
    fit_coil,
    fit_dial,
    quarrel,
)
from rxlearn.compute.power_supply import solve
from rxlearn.compute.quantities import Unclear, show
from rxlearn.plan.band_spread import OTHER, built, narrow_band, offset_of, shape
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.measured_fields import BAND_OF, SIGNAL
from rxlearn.plan.oscillator_advice import Advice, advise, coil_words
from rxlearn.plan.power_supply import supply_of
from rxlearn.plan.reading_slips import slip_in_coil, slip_in_dial

WITHIN = 0.1
"""A supply voltage is as expected within a tenth (common practice, no source)."""

HEATER = 6.3
"""Nominal heater voltage, V."""

ORIGIN = "measured at the bench"


CAPACITOR = 1.0
"""How well a capacitor is known of which nothing is said, % (standard; the lesson asks for 1 %)."""

OPEN = 0.5
"""A coil known no better than to this part of itself is not measured (a choice)."""

LEAST_END = 0.5e-12
"""How well a variable's smallest capacitance is known, F (standard; common practice, no source)."""

POINTER = 1.0
"""How well a pointer stands on zero, degrees (standard; common practice, no source)."""


def coil_readings(plan: Plan) -> tuple[Reading, ...]:
    """The readings of the coil with known capacitors."""
    return tuple(
        Reading(capacitance, frequency, uncertainty or COUNTER * frequency,
                (CAPACITOR if known is None else known) / 100 * capacitance, row)
        for row, (capacitance, frequency, uncertainty, known) in enumerate(
            plan.value("measured.coil"), start=1)
    )


def dial_readings(plan: Plan, band: str, *, step: float | None = None) -> tuple[Reading, ...]:
    """The readings of ``band``'s dial as frequencies of the oscillator.

    ``step`` (degrees) is how finely the dial was read; the plan's own without it.  Raises
    :class:`Unclear` for a signal that no oscillator could have brought.
    """
    step = (plan.value("measured.dial_step") if step is None else step) / math.sqrt(12)
    found = []
    for row, (name, shaft, heard, frequency, uncertainty) in enumerate(
            plan.value("measured.dial"), start=1):
        if BAND_OF[name] != band:
            continue
        oscillator = frequency - (offset_of(plan, band) if heard == SIGNAL else 0.0)
        if oscillator <= 0:
            raise Unclear(f"Row {row}, {show(frequency, 'Hz')}, cannot be a signal on "
                          f"{plan.value(f'{band}.name')}: write “oscillator” if a counter read it.")
        found.append(Reading(shaft, oscillator, uncertainty or COUNTER * frequency, step, row))
    return tuple(found)


def known_parts(plan: Plan) -> PartsKnown:
    """How well the plan knows what stands round the variable.

    A tolerance is spread evenly, so its standard uncertainty is a root of three less (GUM, 4.3.7).
    """
    variable = plan.value("tolerance.variable") / 100 * plan.value("tuning_capacitor.maximum")
    return PartsKnown(
        series=plan.value("tolerance.capacitors") / 100 / math.sqrt(3), minimum=LEAST_END,
        maximum=variable / math.sqrt(3), zero=POINTER)


def measured_coil(plan: Plan) -> BenchFit:
    """What the coil's readings say of it; readings that leave it open say nothing."""
    readings = coil_readings(plan)
    if slip := slip_in_coil(plan):
        raise Unclear(slip)
    found = fit_coil(readings, strays=plan.value("oscillator.stray_capacitance") or None)
    coil = found.estimates["coil"]
    if coil.half_width > OPEN * coil.value:
        raise Unclear(f"These readings leave the coil open: {coil.says()}. Take capacitors farther "
                      "apart, or know them better.")
    return found


def measured_dial(plan: Plan, band: str, *, step: float | None = None) -> BenchFit:
    """What ``band``'s readings, taken with ``step``, say of its dial."""
    readings = dial_readings(plan, band, step=step)
    if slip := slip_in_dial(plan, band):
        raise Unclear(slip)
    return fit_dial(readings, shape(plan, band), known=known_parts(plan))


def measured_dials(plan: Plan) -> dict[str, BenchFit]:
    """The fit of each band whose readings settle its dial."""
    found = {}
    for band in OTHER:
        try:
            found[band] = measured_dial(plan, band)
        except Unclear:
            continue
    return found


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


def advice(plan: Plan, fits: dict[str, BenchFit] | None = None) -> dict[str, Advice]:
    """What to do on each band that has been read, the wider one first.

    ``fits`` are those of :func:`measured_dials`, where they are at hand.
    """
    return advise(plan, measured_dials(plan) if fits is None else fits)


def dials_quarrel(plan: Plan, fits: dict[str, BenchFit] | None = None) -> Quarrel | None:
    """Whether the two dials give their one coil two values; the narrower band's is the second.

    ``fits`` as for :func:`advice`.
    """
    found, narrow = measured_dials(plan) if fits is None else fits, narrow_band(plan)
    if len(found) < 2:
        return None
    return quarrel(found[OTHER[narrow]], found[narrow])


def coil_says(plan: Plan) -> str:
    """The coil as measured beside the plan's, and what to do; empty while it is not measured."""
    entry, planned = plan.entry("measured.inductance"), plan.value("oscillator.inductance")
    if not entry.value:
        return ""
    off = entry.value / planned - 1
    half = entry.uncertainty or 0.0
    measured = Estimate("coil", "H", entry.value, half / 2, half).says() if half else (
        f"coil {show(entry.value, 'H', digits=4)}")
    words = f"Measured: {measured}; your plan wants {show(planned, 'H', digits=4)}"
    if abs(off) < 5e-4:
        return f"{words}: it is right."
    words += f", so it is {100 * abs(off):.2g} % too {'large' if off > 0 else 'small'}"
    if abs(off) * planned <= half:
        words += f" (the measurement leaves ± {100 * half / entry.value:.2g} % open: let the dial decide)"
    return " ".join([f"{words}.", *coil_words(plan, planned / entry.value - 1)])


def as_entered(plan: Plan, text: str) -> str:
    """Dial readings as typed, with each band's own name turned into ``lower`` or ``upper``."""
    names = {plan.value(f"{band}.name").strip().lower(): short for short, band in BAND_OF.items()}
    lines = []
    for line in text.splitlines():
        cell, stroke, rest = line.partition("|")
        lines.append(f"{names.get(' '.join(cell.split()).lower(), cell)}{stroke}{rest}")
    return "\n".join(lines)


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
    """What the readings put into the plan as measured; empty if they settle nothing.

    The coil that was planned stays: capacitors and dial were worked out for it, and it is what the
    alignment brings the measured one to.
    """
    changes: dict[str, Change] = {}
    try:
        coil = measured_coil(plan).estimates["coil"]
    except Unclear:
        pass
    else:
        changes["measured.inductance"] = Change(
            value=coil.value, status="measured", origin=ORIGIN, uncertainty=coil.half_width)
    return changes

"""Which rating a part needs, and which parts together do the work of one.  SI units.

Resistors: the heat ``I² R`` times a margin of two, and the voltage along the body, to the next
rating that is sold.  Capacitors: the highest direct voltage that they meet, with a margin.  The
margins and the steps are common practice, no source (:mod:`rxlearn.data.parts_trade`).
Limits: steady currents in free air; pulses, ripple current and a hot cabinet ask for more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations_with_replacement

from rxlearn.compute.preferred_values import VALUE, nearest_preferred, preferred_below
from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.data.parts_trade import (
    ELECTROLYTIC_MARGIN,
    ELECTROLYTIC_VOLTS,
    FILM_MARGIN,
    FILM_VOLTS,
    POWER_MARGIN,
    RESISTOR_VOLTS,
    RESISTOR_WATTS,
)
from rxlearn.data.preferred_values import SERIES

RESISTANCE = Range("The resistance", "Ω", 1e-3, 1e12)
CURRENT = Range("The current", "A", 0.0, 100.0)
VOLTAGE = Range("The voltage", "V", 0.0, 10e3)
RATED = Range("The rated voltage", "V", 1.0, 10e3)
CAPACITANCE = Range("The capacitance", "F", 1e-15, 1.0)

ON_VALUE = 0.01
"""A value within this part of a preferred one is called that value."""

LEAKAGE = 0.01
"""Leakage (A) of an electrolytic for each farad and volt of its rating, 1/s (makers' sheets give
0.01 to 0.03, from memory)."""


@dataclass(frozen=True)
class ResistorRating:
    """A resistor of ``resistance`` (Ω) that carries ``current`` (A).

    ``power`` (W) is what it turns into heat, ``wanted`` (W) with the margin, ``across`` (V) what
    lies along it; ``rating`` (W) the step sold that stands both, None where none does.
    """

    resistance: float
    current: float
    power: float
    wanted: float
    across: float
    rating: float | None

    @property
    def by_voltage(self) -> bool:
        """Whether the voltage along the body decides, not the heat."""
        return self.rating is not None and any(
            watts >= self.wanted for watts in RESISTOR_WATTS if watts < self.rating)


def rate_resistor(resistance: float, current: float) -> ResistorRating:
    """The rating for a resistor of ``resistance`` (Ω) that carries ``current`` (A)."""
    resistance, current = RESISTANCE.check(resistance), CURRENT.check(current)
    power, across = current**2 * resistance, current * resistance
    wanted = POWER_MARGIN * power
    # A sum that rounding has spoilt in its last digit still fits the step that it is.
    rating = next((watts for watts in RESISTOR_WATTS if watts * (1 + 1e-9) >= wanted
                   and RESISTOR_VOLTS[watts] * (1 + 1e-9) >= across), None)
    return ResistorRating(resistance, current, power, wanted, across, rating)


def rate_capacitor(voltage: float, *, electrolytic: bool = False) -> float:
    """The rating (V) for a capacitor that meets at most ``voltage`` (V): the next step with margin.

    Raises :class:`Unclear` where no step is high enough.
    """
    voltage = VOLTAGE.check(voltage)
    steps, margin = ((ELECTROLYTIC_VOLTS, ELECTROLYTIC_MARGIN) if electrolytic
                     else (FILM_VOLTS, FILM_MARGIN))
    wanted = margin * voltage
    found = next((volts for volts in steps if volts * (1 + 1e-9) >= wanted), None)
    if found is None:
        kind = "electrolytic" if electrolytic else "film capacitor"
        raise Unclear(
            f"No {kind} is sold for {show(voltage, 'V', digits=3, prefix='')} with a margin of "
            f"{margin:g}: {show(wanted, 'V', digits=3, prefix='')} is above the highest step of "
            f"{show(steps[-1], 'V', prefix='')}; put two in series, or lower the voltage.")
    return found


@dataclass(frozen=True)
class PairOfParts:
    """Two preferred values ``first`` and ``second`` that make ``made`` for ``wanted`` (SI, alike).

    ``single`` is the nearest preferred value alone.
    """

    wanted: float
    series: str
    single: float
    first: float
    second: float
    made: float

    @property
    def error(self) -> float:
        """``made`` over ``wanted``, less 1: a ratio."""
        return self.made / self.wanted - 1

    @property
    def single_error(self) -> float:
        """The single part over ``wanted``, less 1: a ratio."""
        return self.single / self.wanted - 1


def preferred_pair(wanted: float, series: str) -> PairOfParts:
    """The two values of ``series`` whose sum comes nearest to ``wanted`` (any unit, above zero).

    Two capacitors in parallel or two resistors in series.  Both lie within the two decades below
    ``wanted``, so that one part alone may come nearer; ties go to the more equal pair.  Raises :class:`Unclear` for an unknown series.
    """
    wanted = VALUE.check(wanted)
    single = nearest_preferred(wanted, series)
    steps = _steps_below(wanted, series)
    first, second = min(
        combinations_with_replacement(steps, 2),
        key=lambda pair: (round(abs(sum(pair) / wanted - 1), 12), abs(pair[1] - pair[0])))
    return PairOfParts(wanted, series, single, second, first, first + second)


def _steps_below(wanted: float, series: str) -> list[float]:
    """The values of two decades up to ``wanted``, rising."""
    top = preferred_below(wanted, series)
    power = math.floor(math.log10(wanted)) + 1
    return [value for exponent in range(power - 3, power + 1) for step in SERIES[series]
            if wanted / 110 <= (value := float(f"{step:.2f}e{exponent}")) <= top * (1 + 1e-12)]


def is_preferred(value: float, series: str) -> bool:
    """Whether ``value`` (any unit) lies within a hundredth of one of ``series``."""
    return abs(nearest_preferred(value, series) / value - 1) <= ON_VALUE


@dataclass(frozen=True)
class SeriesElectrolytics:
    """Two alike electrolytics in series that meet ``voltage`` (V) together.

    ``each`` (F) and ``rated`` (V) are one part's, ``capacitance`` (F) the two together; ``leakage`` (A) is by how much their leakage may
    differ; ``balance`` (Ω) lies across each, takes ``power`` (W), and keeps the higher of the two
    below ``highest`` (V).
    """

    capacitance: float
    voltage: float
    each: float
    rated: float
    leakage: float
    balance: float
    power: float
    highest: float


def electrolytics_in_series(
    each: float, voltage: float, rated: float
) -> SeriesElectrolytics:
    """Two electrolytics of ``each`` (F) and ``rated`` (V) in series at ``voltage`` (V).

    With resistors R across both and leakages that differ by I, the two voltages differ by R I, so
    the higher is (V + R I)/2 (DERIVED from Kirchhoff's current law).  R is the preferred value
    below the one that brings it to the rating less its margin.  Raises :class:`Unclear` where
    the two cannot stand it.
    """
    each, voltage = CAPACITANCE.check(each), VOLTAGE.check(voltage)
    rated = RATED.check(rated)
    allowed = rated / ELECTROLYTIC_MARGIN
    if not allowed > voltage / 2:
        raise Unclear(
            f"Two capacitors of {show(rated, 'V', prefix='')} in series stand "
            f"{show(2 * allowed, 'V', digits=3, prefix='')} with their margin, and "
            f"{show(voltage, 'V', digits=3, prefix='')} are met: take a higher rating.")
    leakage = LEAKAGE * each * rated
    balance = preferred_below((2 * allowed - voltage) / leakage, "E12")
    highest = (voltage + balance * leakage) / 2
    return SeriesElectrolytics(each / 2, voltage, each, rated, leakage, balance,
                               highest**2 / balance, highest)


@dataclass(frozen=True)
class PreferredChoice:
    """A value that is wanted, and what a counter sells for it: ``pair`` holds one and two parts.

    ``steps`` is the whole of the decade from ``low`` (in the unit of ``wanted``, SI), ``tolerance``
    the part by which a part of that series may be off, as a ratio; ``two`` whether two are taken.
    """

    wanted: float
    low: float
    series: str
    steps: tuple[float, ...]
    tolerance: float
    two: bool
    pair: PairOfParts

    @property
    def made(self) -> float:
        """What the part, or the two together, are marked with."""
        return self.pair.made if self.two else self.pair.single

    @property
    def error(self) -> float:
        """``made`` over ``wanted``, less 1: a ratio."""
        return self.made / self.wanted - 1


TOLERANCES = {"E6": 0.20, "E12": 0.10, "E24": 0.05}
"""The tolerance that each series was made for, as a ratio (IEC 60063)."""


def choose_preferred(wanted: float, series: str, *, two: bool = False) -> PreferredChoice:
    """One part, or ``two``, of ``series`` (E6, E12, E24) for ``wanted`` (any unit, above zero)."""
    pair = preferred_pair(wanted, series)
    low = 10.0 ** math.floor(math.log10(wanted) + 1e-12)
    steps = tuple(low * step for step in (*SERIES[series], 10.0))
    return PreferredChoice(wanted, low, series, steps, TOLERANCES[series], two, pair)


def widest_miss(series: str) -> float:
    """The farthest that a value can lie from the nearest of ``series``, as a ratio less 1.

    Half a step in ratio: the root of the widest step (DERIVED from nearest in ratio).
    """
    steps = (*SERIES[series], 10.0)
    return max(math.sqrt(above / below) for below, above in zip(steps, steps[1:], strict=False)) - 1


@dataclass(frozen=True)
class HeatedResistor:
    """The resistor called ``name`` at ``times`` its ``planned`` current (A): ``now`` and ``before``."""

    name: str
    planned: float
    times: float
    before: ResistorRating
    now: ResistorRating

    @property
    def too_hot(self) -> bool:
        """Whether the part chosen for the planned current is too small now."""
        return self.now.rating is None or (
            self.before.rating is not None and self.now.rating > self.before.rating)


def heat_resistor(name: str, resistance: float, planned: float, times: float) -> HeatedResistor:
    """``name``, of ``resistance`` (Ω), at ``times`` its ``planned`` current (A)."""
    times = Range("The current over what is planned", "", 0.0, 10.0).check(times)
    return HeatedResistor(name, planned, times, rate_resistor(resistance, planned),
                          rate_resistor(resistance, times * planned))

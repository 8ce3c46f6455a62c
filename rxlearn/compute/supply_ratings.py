"""Are the parts of a supply within what they are rated for?  In words, part by part.  SI units.

Each check takes the worst that the supply itself can bring: high mains, and
nothing drawing current where that is worse.  A rating that is not known is
not judged, and a check that passes says only that this limit is kept.

The rules about margins are common practice, no single source, unless said.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.quantities import show
from rxlearn.compute.rectifiers import SiliconRectifier
from rxlearn.compute.supply_measures import highest_voltage
from rxlearn.compute.supply_network import source
from rxlearn.compute.supply_parts import (
    BLEEDER_NAME,
    BRIDGE,
    CAPACITOR_INPUT,
    Supply,
    capacitor_name,
)
from rxlearn.compute.supply_result import SupplyResult

HEATER_TOLERANCE = 0.10
"""Heater voltage may differ by this part (makers' receiving-tube manuals, from memory)."""
FUSE_LOADING = 0.75
"""Fuses of UL types are used at this part of their rating at 25 °C (makers' practice)."""
FUSE_RATINGS = (0.032,) + tuple(
    round(step * 10.0**power, 6)
    for power in (-2, -1, 0, 1)
    for step in (1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0)
    if 0.035 <= step * 10.0**power <= 10.0
)
"""Preferred fuse ratings, A (IEC 60127-2, R10 series)."""

EARTHED_HEATER = "voltage between cathode and an earthed heater"
"""A limit that a rectifier valve with a heater winding of its own does not meet."""


@dataclass(frozen=True)
class Finding:
    """One limit of one ``part``: ``value`` against ``limit`` in ``unit``.

    ``exceeded`` says whether it is broken; ``sentence`` says it in words, with
    what to change if it is.  ``at_least``: the limit is the smallest allowed.
    """

    part: str
    quantity: str
    value: float
    limit: float
    unit: str
    exceeded: bool
    sentence: str
    at_least: bool = False


@dataclass(frozen=True)
class Fuse:
    """``current`` (A r.m.s. of the primary) and the preferred ``rating`` (A) above current/0.75."""

    current: float
    least_rating: float
    rating: float
    sentence: str


def check_ratings(result: SupplyResult) -> tuple[Finding, ...]:
    """All limits that are known of the supply in ``result``, kept or broken."""
    supply = result.supply
    found = [*_capacitors(result), *_chokes(result), *_transformer(result)]
    if isinstance(supply.rectifier, SiliconRectifier):
        found += _silicon(result)
    elif supply.rectifier.published is not None:
        found += _valve(result)
    found += _bleeder(result) + _regulator(result)
    return tuple(found)


def exceeded(findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """The sentences of all broken limits."""
    return tuple(finding.sentence for finding in findings if finding.exceeded)


def _finding(part: str, quantity: str, value: float, limit: float, unit: str, remedy: str,
             *, at_least: bool = False, when: str = "") -> Finding:
    """Compare and say it; ``remedy`` is said only if the limit is broken."""
    broken = value < limit if at_least else value > limit * (1 + 1e-9)
    given, bound = show(value, unit, digits=3), show(limit, unit, digits=3)
    if given == bound and broken:
        given, bound = show(value, unit, digits=5), show(limit, unit, digits=5)
    name = f"{part[0].upper()}{part[1:]}: {quantity}"
    at = f" {when}" if when else ""
    word = "at least" if at_least else "at most"
    if broken:
        sentence = f"{name} is {given}{at}, but {word} {bound} is allowed: {remedy}."
    else:
        sentence = f"{name} is {given}{at}, {word} {bound} is allowed."
    return Finding(part, quantity, value, limit, unit, broken, sentence, at_least)


HIGH_IDLE = "with high mains and nothing drawing current"


def _capacitors(result: SupplyResult) -> list[Finding]:
    found = []
    for number, (section, state) in enumerate(
        zip(result.supply.sections, result.capacitors, strict=True), start=1
    ):
        part = capacitor_name(number)
        if section.rated_voltage is not None:
            found.append(_finding(
                part, "voltage", max(result.unloaded_voltage, state.highest),
                section.rated_voltage, "V", "take one of higher voltage", when=HIGH_IDLE,
            ))
            # An electrolytic stands about a volt the wrong way; a choke can swing it there.
            if state.lowest < -1:
                found.append(_finding(
                    part, "lowest voltage", state.lowest, -1.0, "V",
                    "an electrolytic is destroyed by reversal, take more capacitance",
                    at_least=True,
                ))
        if section.ripple_current is not None:
            found.append(_finding(
                part, "ripple current", state.ripple_current, section.ripple_current, "A",
                "take a larger type or less capacitance",
            ))
    return found


def _chokes(result: SupplyResult) -> list[Finding]:
    return [
        _finding(
            result.supply.series_name(branch.section + 1), "direct current", branch.direct,
            section.rated_current, "A", "it would lose inductance and run hot, take one for more current",
        )
        for branch, section in zip(result.branches, result.supply.sections, strict=True)
        if section.rated_current is not None
    ]


def _transformer(result: SupplyResult) -> list[Finding]:
    transformer, heater = result.supply.transformer, result.supply.heater
    found = []
    if transformer.rated_current > 0:
        found.append(_finding(
            "transformer", "r.m.s. current of the winding", max(result.winding_rms),
            transformer.rated_current, "A",
            "copper heats with the r.m.s. value, not with the direct current, so draw less or "
            "take a larger one",
        ))
    if heater is not None:
        found.append(_finding(
            "heater winding", "current", heater.load_current, heater.rated_current, "A",
            "take a larger winding",
        ))
        tolerance = transformer.mains_tolerance
        nominal = heater.voltage
        found += [
            _finding("heater winding", "highest voltage", heater.terminal_voltage(1 + tolerance),
                     nominal * (1 + HEATER_TOLERANCE), "V", "add a small resistor in series",
                     when="at high mains"),
            _finding("heater winding", "lowest voltage", heater.terminal_voltage(1 - tolerance),
                     nominal * (1 - HEATER_TOLERANCE), "V", "valves give less when cool",
                     at_least=True, when="at low mains"),
        ]
    return found


def highest_inverse(supply: Supply) -> float:
    """Largest inverse voltage (V) on one element: high mains, nothing drawing current.

    Twice the peak for full wave and half wave into a capacitor, the peak alone
    for a bridge.  DERIVED.
    """
    high = 1 + supply.transformer.mains_tolerance
    level = highest_voltage(supply, high)
    if supply.arrangement == BRIDGE:
        return level + supply.rectifier.drop
    return level + max(leg.emf for leg in source(supply, high).legs)


def first_surge(supply: Supply) -> float:
    """Largest current (A) that an empty first capacitor can draw: peak at high mains over R.

    R is that of winding, lead and first section; an upper bound that holds when
    the switch closes at the peak of the sine.  Choke input: the choke prevents it, so
    zero is returned.
    """
    if supply.input != CAPACITOR_INPUT:
        return 0.0
    feed = source(supply, 1 + supply.transformer.mains_tolerance)
    return max(leg.emf / (leg.resistance + supply.sections[0].resistance) for leg in feed.legs)


def _silicon(result: SupplyResult) -> list[Finding]:
    diode, supply, found = result.supply.rectifier, result.supply, []
    if diode.peak_inverse_voltage is not None:
        found.append(_finding(
            "rectifier", "inverse voltage", highest_inverse(supply), diode.peak_inverse_voltage,
            "V", "take diodes for more, or a bridge", when=HIGH_IDLE,
        ))
    if diode.average_current is not None:
        found.append(_finding(
            "rectifier", "average current",
            max(element.average for element in result.elements), diode.average_current, "A",
            "take larger diodes",
        ))
    if diode.surge_current is not None:
        found.append(_finding(
            "rectifier", "first surge", first_surge(supply), diode.surge_current, "A",
            "add resistance in the winding's lead",
            when="into empty capacitors at the worst moment",
        ))
    return found


def _valve(result: SupplyResult) -> list[Finding]:
    supply = result.supply
    valve = supply.rectifier.published
    name = f"rectifier {valve.name}"
    capacitor = supply.input == CAPACITOR_INPUT
    volts, amperes = valve.capacitor_input if capacitor else valve.choke_input
    emf = max(leg.emf for leg in source(supply).legs) / 2**0.5
    kind = "capacitor input" if capacitor else "choke input"
    share = 2 if len(result.elements) == 2 else 1
    peak = max(element.peak for element in result.elements)
    found = [
        _finding(name, "inverse voltage", highest_inverse(supply), valve.peak_inverse_voltage,
                 "V", "take a lower winding voltage", when=HIGH_IDLE),
        _finding(name, "peak current of a plate", peak, valve.steady_peak_current, "A",
                 "take a smaller first capacitor or more resistance"),
        _finding(name, f"direct current ({kind})", result.direct_current, amperes * share / 2,
                 "A", "draw less, or take a larger type"),
        _finding(name, f"winding voltage of a plate ({kind}), r.m.s.", emf, volts, "V",
                 "take a lower winding voltage"),
    ]
    if capacitor and valve.least_plate_resistance is not None:
        resistance = min(leg.resistance for leg in source(supply).legs)
        # The printed resistance belongs to the printed voltage: the surge is their quotient.
        least = valve.least_plate_resistance * emf / volts
        found.append(_finding(
            name, "resistance in each plate's circuit", resistance, least, "Ω",
            "add resistors in the plate leads, or the surge will harm the cathode", at_least=True,
        ))
    if capacitor and valve.largest_first_capacitor is not None:
        found.append(_finding(
            name, "first capacitor, C1", supply.sections[0].capacitance,
            valve.largest_first_capacitor, "F", "take less before the choke",
        ))
    return found + _cathode(result)


def _cathode(result: SupplyResult) -> list[Finding]:
    valve = result.supply.rectifier.published
    if valve.heater_cathode_voltage is None:
        return []
    return [_finding(
        f"rectifier {valve.name}", EARTHED_HEATER,
        result.unloaded_voltage, valve.heater_cathode_voltage, "V",
        "give it a heater winding of its own, tied to its cathode", when=HIGH_IDLE,
    )]


def _bleeder(result: SupplyResult) -> list[Finding]:
    supply = result.supply
    if supply.bleeder is None or supply.bleeder_rating is None:
        return []
    power = result.unloaded_voltage**2 / supply.bleeder
    return [_finding(
        BLEEDER_NAME, "dissipation", power, supply.bleeder_rating / 2, "W",
        "a resistor that lasts runs at half its rating, take a larger one", when=HIGH_IDLE,
    )]


def _regulator(result: SupplyResult) -> list[Finding]:
    regulator, state = result.supply.regulator, result.regulator
    if regulator is None or state is None:
        return []
    return [
        _finding("regulator", "highest current", state.highest, regulator.most_current, "A",
                 "raise its series resistor"),
        _finding("regulator", "lowest current", state.lowest, regulator.least_current, "A",
                 "it no longer regulates, lower its series resistor or its load", at_least=True),
    ]


def primary_fuse(result: SupplyResult) -> Fuse:
    """The smallest preferred fuse that carries the primary's r.m.s. current for good.

    Rating ≥ I/0.75, rounded up to the R10 series.  A time-lag type: the surge
    at switching on is left to its delay.  A fuse protects wiring against fire
    and nobody against shock.  Beyond the series the largest rating is returned with the reason.
    """
    least = result.primary_current / FUSE_LOADING
    rating = next((value for value in FUSE_RATINGS if value >= least), FUSE_RATINGS[-1])
    current = show(result.primary_current, "A", digits=3)
    if rating < least:
        sentence = f"The primary carries {current}, more than any fuse of this series is made for."
    else:
        sentence = (
            f"The primary carries {current} r.m.s.; divided by {FUSE_LOADING} and rounded up to a "
            f"preferred value that asks for a time-lag fuse of {show(rating, 'A')}."
        )
    return Fuse(result.primary_current, least, rating, sentence)

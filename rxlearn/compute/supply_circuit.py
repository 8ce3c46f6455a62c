"""The circuit of a mains power supply, part by part, from the plug to the high tension.

What a supply has decides what is drawn: connection, rectifier, series resistors, sections of the
filter, bleeder.  Before it stand what keeps people alive: a cord with protective earth, the fuse
in the line ahead of a switch that opens both conductors.  A valve's heater has a winding of its
own, joined to its cathode, so that no voltage stands between the two (common practice).  Half
wave with a double diode uses one plate, as the computation does.

Limits: a regulator is left out; what the transformer's windings give is not in the drawing.
"""

from __future__ import annotations

from collections.abc import Iterator

from rxlearn.compute.circuits import MAINS_SWITCH, Circuit, Part
from rxlearn.compute.quantities import show
from rxlearn.compute.rectifiers import ValveRectifier
from rxlearn.compute.supply_parts import BRIDGE, CAPACITOR_INPUT, FULL_WAVE, HALF_WAVE, Supply

CORD, FUSE, SWITCH = "mains cord with earth", "line fuse, time-lag", "mains switch"
PRIMARY, WINDING = "mains winding", "high-tension winding"
HEATER, RECTIFIER_HEATER = "heater winding", "heater winding of the rectifier"
DIODE, DOUBLE_DIODE, FILAMENT_DIODE = (
    "silicon rectifier", "rectifier valve, two plates", "rectifier valve, two plates and a filament")
RECTIFIER_MARK = "V0"
"""Mark of a rectifier valve: the receiver's valves count from V1."""

SURGE, CHOKE, FILTER_RESISTOR, BLEEDER = (
    "series resistor", "choke", "filter resistor", "bleeder")
"""What each part is called; capacitors by their place in the filter."""

PLACES = ("first", "second", "third", "fourth")

ELEMENTS = {FULL_WAVE: 2, BRIDGE: 4, HALF_WAVE: 1}
"""How many elements rectify in each connection."""

_SAID = {FULL_WAVE: "full wave from a centre tap", BRIDGE: "a bridge", HALF_WAVE: "half wave"}


def supply_circuit(supply: Supply, fuse: float) -> Circuit:
    """The circuit of ``supply`` behind a line fuse of ``fuse`` (A)."""
    valve = _valve(supply)
    parts = (*_mains(supply, fuse), *_rectifier(supply), *_filter(supply))
    return Circuit("rectifier", valve, tuple(Part(*row) for row in parts), _note(supply))


def _valve(supply: Supply) -> str:
    rectifier = supply.rectifier
    if not isinstance(rectifier, ValveRectifier):
        return ""
    return rectifier.published.name if rectifier.published else "valve"


def _mains(supply: Supply, fuse: float) -> Iterator[tuple[str, str, str]]:
    yield "W1", CORD, "three cores"
    yield "F1", FUSE, show(fuse, "A")
    yield MAINS_SWITCH, SWITCH, "double pole"
    yield "L1", PRIMARY, "primary"
    if supply.arrangement == FULL_WAVE:
        yield "L2", WINDING, "half"
        yield "L3", WINDING, "half"
    else:
        yield "L2", WINDING, "whole"
    if supply.heater is not None:
        yield "L5", HEATER, show(supply.heater.rated_current, "A")


def _rectifier(supply: Supply) -> Iterator[tuple[str, str, str]]:
    valve, rectifier = _valve(supply), supply.rectifier
    if valve:
        published = rectifier.published
        direct = published is not None and published.directly_heated
        current = show(published.heater_current, "A") if published else "as the valve asks"
        yield "L6", RECTIFIER_HEATER, current
        yield RECTIFIER_MARK, FILAMENT_DIODE if direct else DOUBLE_DIODE, valve
    else:
        for number in range(1, ELEMENTS[supply.arrangement] + 1):
            yield f"D{number}", DIODE, "1 A"
    if supply.series_resistance:
        ohms = show(supply.series_resistance, "Ω")
        for ref in supply.lead_marks:
            yield ref, SURGE, ohms


def _filter(supply: Supply) -> Iterator[tuple[str, str, str]]:
    for number, section in enumerate(supply.sections, start=1):
        if series := series_of(supply, number):
            yield series
        words = (f"{PLACES[number - 1]} capacitor" if len(supply.sections) > 1
                 else "filter capacitor")
        yield f"C{number}", words, show(section.capacitance, "F", digits=3)
    if supply.bleeder is not None:
        watts = f", {show(supply.bleeder_rating, 'W')}" if supply.bleeder_rating else ""
        yield "R1", BLEEDER, f"{show(supply.bleeder, 'Ω')}{watts}"


def series_of(supply: Supply, number: int) -> tuple[str, str, str] | None:
    """What lies in series before capacitor ``number`` (from 1), as a row; None where nothing does."""
    section, mark = supply.sections[number - 1], supply.series_mark(number)
    if section.inductance > 0:
        return mark, CHOKE, show(section.inductance, "H")
    return (mark, FILTER_RESISTOR, show(section.resistance, "Ω")) if mark else None


def _note(supply: Supply) -> str:
    """The circuit in one sentence."""
    valve = _valve(supply)
    count = ELEMENTS[supply.arrangement]
    what = f"a double diode {valve}" if valve else (
        "one silicon diode" if count == 1 else
        f"{'two' if count == 2 else 'four'} silicon diodes")
    if valve and supply.arrangement == HALF_WAVE:
        what += " with one plate in use"
    first = "the capacitor" if supply.input == CAPACITOR_INPUT else "the choke"
    bleeder = "a bleeder" if supply.bleeder is not None else "no bleeder"
    return (f"It rectifies by {_SAID[supply.arrangement]} with {what}, {first} first, and has "
            f"{bleeder} across the last capacitor; protective earth goes to the chassis, the fuse "
            "is in the line, and the switch opens both conductors.")

"""Where each part of a power supply is drawn, whatever connection, rectifier and filter it has.

Units and items are those of :mod:`rxlearn.figures.circuit_layouts`; besides, a ``cord`` has line,
neutral and earth, a ``gang`` joins two poles of a switch, a ``free`` end goes nowhere, and a valve
with two plates has the ends of :data:`DIODE_ENDS`.
"""

from __future__ import annotations

from rxlearn.compute.circuits import MAINS_SWITCH, Circuit
from rxlearn.compute.supply_circuit import (
    CHOKE,
    FILAMENT_DIODE,
    FILTER_RESISTOR,
    RECTIFIER_MARK,
)

Item = tuple

DIODE_ENDS = {
    "double diode": ("plate 1", "plate 2", "heater", "heater", "cathode"),
    "filament diode": ("plate 1", "plate 2", "filament", "filament"),
}
"""What the ends of a rectifier valve's symbol are called, in the order of its points."""

TOP, LOW = 6.6, 4.0
"""Height of the two ends of the high-tension winding; the filter's rail runs at the upper."""

NEUTRAL, EARTH, BOTTOM = 2.4, 1.2, 2.0
"""Height of neutral and earth, and of what goes from the rail to the chassis."""

BEFORE, AFTER, FIRST = 8.3, 10.2, 13.4
"""Where series resistors begin and end, and where the filter begins, across."""

CENTRE = (11.4, 5.3)
"""Middle of the rectifier valve."""

REACH = 6.3
"""Room for the filter's series parts, units."""


def supply_layout(circuit: Circuit) -> tuple[Item, ...]:
    """Every symbol, wire and mark of a power supply's circuit."""
    refs = {part.ref for part in circuit.parts}
    return (*_mains(refs), *_rectifier(circuit, refs), *_filter(circuit))


def _mains(refs: set[str]) -> tuple[Item, ...]:
    """From the plug to the windings, and the winding of the heaters."""
    items = (
        ("cord", "W1", (0.6, TOP), (0.6, NEUTRAL), (0.6, EARTH)),
        ("wire", (0.6, EARTH), (1.8, EARTH)), ("chassis", (1.8, EARTH)),
        ("wire", (0.6, TOP), (1.9, TOP)), ("F", "F1", (1.9, TOP), (3.5, TOP)),
        ("S", MAINS_SWITCH, (3.5, TOP), (5.1, TOP)),
        ("wire", (0.6, NEUTRAL), (3.5, NEUTRAL)), ("S", MAINS_SWITCH, (3.5, NEUTRAL), (5.1, NEUTRAL)),
        ("gang", (4.3, TOP + 0.12), (4.3, NEUTRAL + 0.12)),
        ("wire", (5.1, TOP), (5.4, TOP), (5.4, 5.4)), ("L", "L1", (5.4, 5.4), (5.4, 3.6)),
        ("wire", (5.4, 3.6), (5.4, NEUTRAL), (5.1, NEUTRAL)),
        ("core", (7.15, TOP), (7.15, 0.3)),
    )
    if "L5" not in refs:
        return items
    return (*items, ("L", "L5", (7.6, 1.4), (7.6, 0.3)), ("wire", (7.6, 1.4), (9.6, 1.4)),
            ("out", (9.6, 1.4), "to all heaters"),
            ("wire", (7.6, 0.3), (8.6, 0.3)), ("chassis", (8.6, 0.3)))


def _rectifier(circuit: Circuit, refs: set[str]) -> tuple[Item, ...]:
    if "D4" in refs:
        return _bridge(refs)
    valve = next((part for part in circuit.parts if part.ref == RECTIFIER_MARK), None)
    two = "L3" in refs
    items = [*_winding(two, "R3" in refs), *_lead(refs, "R2", TOP)]
    if two:
        items += [("wire", (7.6, LOW), (BEFORE, LOW)), *_lead(refs, "R3", LOW)]
    if valve:
        return (*items, *_valve(valve.kind == FILAMENT_DIODE, two))
    items += [("D", "D1", (AFTER, TOP), (12.4, TOP)), ("wire", (12.4, TOP), (FIRST, TOP))]
    if two:
        items += [("D", "D2", (AFTER, LOW), (12.4, LOW)), ("wire", (12.4, LOW), (12.4, TOP)),
                  ("dot", (12.4, TOP))]
    return tuple(items)


def _winding(two: bool, resistors: bool) -> tuple[Item, ...]:
    """The high-tension winding, its tap or its other end at the chassis, clear of all words."""
    to_lead = ("wire", (7.6, TOP), (BEFORE, TOP))
    if not two:
        return (("L", "L2", (7.6, TOP), (7.6, LOW)), to_lead, ("wire", (7.6, LOW), (8.6, LOW)),
                ("chassis", (8.6, LOW)))
    middle, tap = (TOP + LOW) / 2, 8.75 if resistors else 9.2
    return (("L", "L2", (7.6, TOP), (7.6, middle)), ("L", "L3", (7.6, middle), (7.6, LOW)),
            ("dot", (7.6, middle)), to_lead, ("wire", (7.6, middle), (tap, middle)),
            ("chassis", (tap, middle)))


def _lead(refs: set[str], ref: str, y: float) -> tuple[Item, ...]:
    """A series resistor in a rectifier's lead, or a wire in its place."""
    ends = (BEFORE, y), (AFTER, y)
    return (("R", ref, *ends) if ref in refs else ("wire", *ends)),


def _valve(filament: bool, two: bool) -> tuple[Item, ...]:
    x, y = CENTRE
    plates = (x - 1.0, y + 0.4), (x - 1.0, y - 0.4)
    heater = (x + 0.1, y - 1.0), (x + 0.5, y - 1.0)
    cathode = (x + 1.0, y + 0.45)
    out = x + 1.5
    symbol = (("filament diode", RECTIFIER_MARK, *plates, *heater) if filament else
              ("double diode", RECTIFIER_MARK, *plates, *heater, cathode))
    items = [
        symbol, ("wire", (AFTER, TOP), (AFTER, plates[0][1]), plates[0]),
        ("L", "L6", (7.6, 3.2), (7.6, 2.1)),
        ("wire", (7.6, 3.2), (heater[0][0], 3.2), heater[0]),
        ("wire", (7.6, 2.1), (heater[1][0], 2.1), heater[1]),
        ("wire", (heater[1][0], 2.8), (out, 2.8), (out, TOP), (FIRST, TOP)),
        ("dot", (heater[1][0], 2.8)), ("wire", (heater[1][0], 2.8), (heater[1][0], 2.1)),
    ]
    if not filament:
        items += [("wire", cathode, (out, cathode[1])), ("dot", (out, cathode[1])),
                  ("wire", (out, cathode[1]), (out, TOP))]
    if two:
        items.append(("wire", (AFTER, LOW), (AFTER, plates[1][1]), plates[1]))
    else:
        items.append(("free", plates[1], "nothing: left free"))
    return tuple(items)


def _bridge(refs: set[str]) -> tuple[Item, ...]:
    """Four diodes: each end of the winding goes by one to the rail, by one from the chassis."""
    one, other, middle, bottom = 10.7, 12.3, 4.7, 2.8
    return (
        ("L", "L2", (7.6, TOP), (7.6, LOW)), ("wire", (7.6, TOP), (BEFORE, TOP)),
        *((("R", "R2", (BEFORE, TOP), (9.9, TOP)),) if "R2" in refs else
          (("wire", (BEFORE, TOP), (9.9, TOP)),)),
        ("wire", (9.9, TOP), (9.9, middle), (one, middle)), ("dot", (one, middle)),
        ("D", "D1", (one, middle), (one, TOP)), ("D", "D3", (one, bottom), (one, middle)),
        ("D", "D2", (other, middle), (other, TOP)), ("D", "D4", (other, bottom), (other, middle)),
        ("wire", (7.6, LOW), (7.6, 3.6), (8.6, 3.6), (8.6, 4.25), (11.9, 4.25), (11.9, middle),
         (other, middle)), ("dot", (other, middle)),
        ("wire", (one, TOP), (other, TOP)), ("dot", (other, TOP)), ("wire", (other, TOP), (FIRST, TOP)),
        ("wire", (one, bottom), (other, bottom)), ("chassis", (other, bottom)),
    )


def _filter(circuit: Circuit) -> tuple[Item, ...]:
    """Series parts along the rail, a capacitor down behind each, the bleeder, the way out."""
    series = [part for part in circuit.parts if part.kind in (CHOKE, FILTER_RESISTOR)]
    capacitors = [part.ref for part in circuit.parts if part.ref[0] == "C"]
    pitch = min(3.0, REACH / max(1, len(series)))
    x, items = FIRST, []
    for place, ref in enumerate(capacitors):
        # With the capacitor first there is one series part less than capacitors.
        number = place - (len(capacitors) - len(series))
        if number >= 0:
            symbol = "L" if series[number].kind == CHOKE else "R"
            items.append((symbol, series[number].ref, (x, TOP), (x + pitch, TOP)))
            x += pitch
        items += [("dot", (x, TOP)), ("C", ref, (x, TOP), (x, BOTTOM)), ("chassis", (x, BOTTOM))]
    end = x + 2.3
    items.append(("wire", (x, TOP), (end, TOP)))
    if any(part.ref == "R1" for part in circuit.parts):
        items += [("dot", (end, TOP)), ("R", "R1", (end, TOP), (end, BOTTOM)),
                  ("chassis", (end, BOTTOM))]
    return (*items, ("wire", (end, TOP), (end + 1.0, TOP)), ("high tension", (end + 1.0, TOP)))

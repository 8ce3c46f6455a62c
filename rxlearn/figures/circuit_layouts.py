"""Where each part of each circuit is drawn: tables of symbols and wires on a grid.

One unit is the side of a small square, y upwards; the chassis is drawn where a wire ends in it,
the high-tension rail runs along the top.  An item is ``(symbol, ref, start, end)``, a wire ``("wire",
point, point, …)``, a mark ``(mark, point[, words])``.  A point is (x, y), or an electrode such as
``"V.anode"`` of the one valve.  What is connected follows from the points alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from rxlearn.compute.circuits import (
    AERIAL_POLE,
    BAND_SWITCH,
    COIL_POLES,
    HEPTODE,
    PENTODE,
    TAPPED,
    Circuit,
)
from rxlearn.figures.converter_layout import input_layout, mixer_layout, oscillator_layout
from rxlearn.figures.filter_layout import filter_layout
from rxlearn.figures.supply_layout import supply_layout

Item = tuple
RAIL, FLOOR = 7.0, 0.9
"""Height of the high-tension rail, and of the ends that go to the chassis."""

VALVE = (11.0, 4.9)
"""Where a valve's anode lead is, if its item does not say otherwise."""

GRIDS = {"triode": 1, "pentode": 3, "pentagrid": 5}

_STEP = 1.75 / 9  # between grids, as the symbol library draws them


def electrodes(kind: str, at: tuple[float, float] = VALVE) -> dict[str, tuple[float, float]]:
    """Where the leads of a valve of this ``kind`` end, by electrode; grids from the cathode up.

    ``at`` is where its anode lead is.
    """
    grids = GRIDS[kind]
    x, y = at
    height = max(1.75, 1.75 + (grids - 4) * _STEP)
    top = y - height / 2 + (grids - 1) * _STEP / 2
    found = {"anode": at, "cathode": (x - 0.35, top - grids * _STEP - 0.15)}
    for place in range(grids):
        number = grids - place
        found[f"grid {number}"] = (x - 0.49, top - place * _STEP)
        found[f"grid {number} right"] = (x + 0.49, top - place * _STEP)
    return found


def leads_of(items: tuple[Item, ...]) -> dict[str, tuple[float, float]]:
    """The electrodes of the valve among ``items``; empty if there is none."""
    valve = next((item for item in items if item[0] in GRIDS), None)
    return electrodes(*valve) if valve else {}


def _down(symbol: str, ref: str, x: float, top: float) -> tuple[Item, Item]:
    """A part from (x, top) down to the chassis."""
    return (symbol, ref, (x, top), (x, FLOOR)), ("chassis", (x, FLOOR))


def _up(symbol: str, ref: str, x: float, bottom: float) -> tuple[Item, Item]:
    """A part from (x, bottom) up to the rail."""
    return (symbol, ref, (x, bottom), (x, RAIL)), ("high tension", (x, RAIL))


def _cathode(ref: str, bypass: str) -> tuple[Item, ...]:
    """Resistor and bypass under the cathode."""
    x = VALVE[0] - 0.35
    return (("wire", "V.cathode", (x, 2.5)), *_down("R", ref, x, 2.5), ("dot", (x, 2.5)),
            ("wire", (x, 2.5), (13.4, 2.5)), *_down("C", bypass, 13.4, 2.5))


def _screen(resistor: str, bypass: str, grid: str, x: float = 21.8) -> tuple[Item, ...]:
    """Resistor to the rail and bypass to the chassis at the screen."""
    y = electrodes("pentode" if grid == "grid 2" else "pentagrid")[grid][1]
    return (("wire", f"V.{grid} right", (x, y)), ("dot", (x, y)), *_up("R", resistor, x, y),
            *_down("C", bypass, x, y))


def _suppressor(grid: str, x: float = 12.3) -> tuple[Item, ...]:
    """The grid next to the anode, joined to the cathode."""
    y = electrodes("pentode" if grid == "grid 3" else "pentagrid")[grid][1]
    return (("wire", f"V.{grid} right", (x, y), (x, 2.5), (VALVE[0] - 0.35, 2.5)),)


_FED = 6.4
"""Height of what a feed resistor feeds."""


def _feed(resistor: str, capacitor: str, *ends: float) -> tuple[Item, ...]:
    """A resistor from the rail and a capacitor to the chassis, and a wire to the parts at ``ends``."""
    return (("wire", (4.4, RAIL), (4.4, _FED), (6.2, _FED)), ("high tension", (4.4, RAIL)),
            ("R", resistor, (6.2, _FED), (8.4, _FED)), ("dot", (8.4, _FED)),
            ("C", capacitor, (8.4, _FED), (8.4, 5.2)), ("chassis", (8.4, 5.2)),
            ("wire", (8.4, _FED), *((x, _FED) for x in ends)))


def _has(circuit: Circuit, ref: str) -> bool:
    return any(part.ref == ref for part in circuit.parts)


def _input(kind: str, capacitor: str, leak: str, words: str) -> tuple[Item, ...]:
    """Coupling capacitor and grid leak at the first grid."""
    y = electrodes(kind)["grid 1"][1]
    return (("in", (3.4, y), words), ("C", capacitor, (3.4, y), (6.0, y)),
            ("wire", (6.0, y), (7.6, y)), ("dot", (7.6, y)), ("wire", (7.6, y), "V.grid 1"),
            *_down("R", leak, 7.6, y))


def _anode(load: str, ref: str, capacitor: str, words: str) -> tuple[Item, ...]:
    """Load to the rail, and a coupling capacitor onward."""
    return (("wire", "V.anode", (11.0, 5.3), (13.4, 5.3)), ("dot", (13.4, 5.3)),
            *_up(load, ref, 13.4, 5.3), ("wire", (13.4, 5.3), (15.0, 5.3)),
            ("C", capacitor, (15.0, 5.3), (17.0, 5.3)), ("out", (17.0, 5.3), words))


def _preselector(circuit: Circuit) -> tuple[Item, ...]:
    y, two = _HOT, _has(circuit, "L3")
    items = [
        ("in", (2.9, y), "from the aerial"), ("wire", (2.9, y), (3.6, y)),
        *_chosen(circuit, AERIAL_POLE, "L1", 3.6), *_down("L", "L1", 3.6, _COLD),
        *_tuned_by_ear(circuit, COIL_POLES[0], ("L2", "C4", "C1"), 7.4)]
    end = 12.0
    if two:
        items += [("dot", (end, y)), ("C", "C2", (end, y), (14.8, y)),
                  *_tuned_by_ear(circuit, COIL_POLES[1], ("L3", "C5", "C3"), 14.8)]
        end = 19.4
    return (*items, ("dot", (end, y)), ("wire", (end, y), (end + 1.2, y)),
            ("out", (end + 1.2, y), "to the mixer"))


_HOT, _COLD = 5.0, 3.4
"""Height of the preselector's line, and of what hangs below the band switch's contacts."""


def _chosen(circuit: Circuit, letters: str, hung: str, x: float) -> tuple[Item, ...]:
    """A pole of the band switch on the line: down to what is drawn, up to what the other band has."""
    here, there = (part for part in circuit.parts if part.ref in [f"{BAND_SWITCH}{one}" for one in letters])
    return (("S", here.ref, (x, _HOT), (x, _COLD)), ("S", there.ref, (x, _HOT), (x, _HOT + 1.6)),
            ("dot", (x, _HOT)),
            ("out", (x, _HOT + 1.6), f"{hung} for {there.value.removeprefix('on ')}"))


def _tuned_by_ear(circuit: Circuit, letters: str, refs: tuple[str, str, str], x: float) -> tuple[Item, ...]:
    """Contact, coil and trimmer of a band, and the variable on the line behind them."""
    coil, trimmer, variable = refs
    return (*_chosen(circuit, letters, f"{coil}, {trimmer}", x), *_down("L", coil, x, _COLD),
            ("dot", (x, _COLD)), ("wire", (x, _COLD), (x + 2.1, _COLD)),
            *_down("VC", trimmer, x + 2.1, _COLD), ("wire", (x, _HOT), (x + 4.6, _HOT)),
            *_down("VC", variable, x + 4.6, _HOT))


def _mixer(circuit: Circuit) -> tuple[Item, ...]:
    at = electrodes("pentagrid")
    third, first = at["grid 3"][1], at["grid 1"][1]
    if circuit.form == HEPTODE:
        inputs = (
            ("in", (3.4, third), "oscillator"), ("C", "C1", (3.4, third), (6.0, third)),
            ("wire", (6.0, third), (7.6, third), "V.grid 3"), ("dot", (7.6, third)),
            ("R", "R1", (7.6, third), (7.6, 2.6)), ("chassis", (7.6, 2.6)),
            ("in", (3.4, 1.6), "signal"),
            ("wire", (3.4, 1.6), (9.3, 1.6), (9.3, first), "V.grid 1"))
    else:
        inputs = (
            ("in", (3.4, third), "signal"), ("wire", (3.4, third), "V.grid 3"),
            ("in", (3.4, 2.7), "oscillator"), ("C", "C1", (3.4, 2.7), (6.0, 2.7)),
            ("wire", (6.0, 2.7), (7.6, 2.7), (9.3, 2.7), (9.3, first), "V.grid 1"),
            ("dot", (7.6, 2.7)), *_down("R", "R1", 7.6, 2.7))
    return (
        ("pentagrid",), *inputs, *_cathode("R2", "C2"), *_suppressor("grid 5", 12.6),
        ("wire", "V.grid 4 right", (12.2, at["grid 4"][1]), (12.2, at["grid 2"][1])),
        ("dot", (12.2, at["grid 2"][1])), ("wire", "V.grid 2 right", (12.2, at["grid 2"][1]),
        (21.8, at["grid 2"][1])),
        ("dot", (21.8, at["grid 2"][1])), *_up("R", "R3", 21.8, at["grid 2"][1]),
        *_down("C", "C3", 21.8, at["grid 2"][1]), *_anode("R", "R4", "C4", "to the filter"))


_OSCILLATOR_VALVE = (15.2, 4.9)
_TOP = 6.3
"""Height of the bus at the top of the oscillator's coil."""


def _oscillator(circuit: Circuit) -> tuple[Item, ...]:
    """Tank on the left with a branch for each capacitor, valve on the right."""
    refs = {part.ref for part in circuit.parts}
    kind = "pentode" if "R3" in refs else "triode"
    at = electrodes(kind, _OSCILLATOR_VALVE)
    (x, anode), grid, coil, behind = at["anode"], at["grid 1"][1], 0.6, 13.4
    branches, across = _variable(refs)
    for contact, capacitor, place in _across_the_coil(refs):
        branches.append(place)
        across += _switched(contact, capacitor, place)
    bus = [(place, _TOP) for place in (coil, *sorted(branches), 12.0)]
    items = [
        (kind, _OSCILLATOR_VALVE), ("L", "L1", bus[0], (coil, 2.9)), ("dot", (coil, 2.9)),
        ("words", (coil, 2.9), next(part.kind.removeprefix(TAPPED) for part in circuit.parts
                                    if part.ref == "L1")),
        *_down("L", "L1", coil, 2.9),
        ("wire", (coil, 2.9), (-0.2, 2.9), (-0.2, -0.3), (at["cathode"][0], -0.3), "V.cathode"),
        ("wire", *bus), *(("dot", point) for point in bus[1:-1]), *across,
        ("C", "C5", bus[-1], (behind, _TOP)), ("wire", (behind, _TOP), (behind, grid), "V.grid 1"),
        ("dot", (behind, grid)), *_down("R", "R1", behind, grid),
        ("wire", "V.anode", (x, anode + 0.4), (x + 1.9, anode + 0.4)), ("dot", (x + 1.9, anode + 0.4)),
        *_up("R", "R2", x + 1.9, anode + 0.4),
        ("wire", (x + 1.9, anode + 0.4), (x + 3.1, anode + 0.4)),
        ("C", "C7", (x + 3.1, anode + 0.4), (x + 4.7, anode + 0.4)),
        ("out", (x + 4.7, anode + 0.4), "to the mixer"),
    ]
    if kind == "pentode":
        y, far = at["grid 2"][1], x + 7.2
        items += [("wire", "V.grid 2 right", (far, y)), ("dot", (far, y)), *_up("R", "R3", far, y),
                  *_down("C", "C6", far, y),
                  ("wire", "V.grid 3 right", (x + 1.2, at["grid 3"][1]), (x + 1.2, FLOOR)),
                  ("chassis", (x + 1.2, FLOOR))]
    return tuple(items)


def _across_the_coil(refs: set[str]) -> list[tuple[str, str, float]]:
    """Contact (or none), capacitor and place of each branch across the coil."""
    branches = [("S1c", "C3", 7.2), ("S1d", "C8", 9.5)] if "S1d" in refs else [
        ("", "C3", 7.8), ("S1a", "C4", 9.8)]  # or one for both bands, and what recentres it
    branches.append(("", "C10", 11.8))
    return [branch for branch in branches if branch[1] in refs]


def _variable(refs: set[str]) -> tuple[list[float], list[Item]]:
    """The variable below the series capacitor of each band, or straight across the coil.

    Returns the places of its branches on the bus, and its items.
    """
    low, x = 3.1, 4.6
    items: list[Item] = [*_down("VC", "C1", x, low)]
    if "S1b" in refs:
        places = [2.2, x]
        for contact, series, place in (("S1a", "C2", 2.2), ("S1b", "C4", x)):
            items += [("S", contact, (place, _TOP), (place, _TOP - 1.5)),
                      _part_or_wire(series, refs, (place, _TOP - 1.5), (place, low))]
        items.append(("wire", (2.2, low), (x, low)))
    else:
        places = [x]
        items.append(_part_or_wire("C2", refs, (x, _TOP), (x, low)))
    if "C9" in refs:
        items += [("dot", (x, low)), ("wire", (x, low), (6.1, low)),
                  ("S", "S1e", (6.1, low), (6.1, 2.0)), *_down("C", "C9", 6.1, 2.0)]
    return places, items


def _part_or_wire(ref: str, refs: set[str], start: tuple, end: tuple) -> Item:
    return ("C", ref, start, end) if ref in refs else ("wire", start, end)


def _switched(contact: str, capacitor: str, x: float) -> list[Item]:
    """A capacitor across the coil, behind a contact of the switch if there is one."""
    if not contact:
        return [*_down("C", capacitor, x, _TOP)]
    return [("S", contact, (x, _TOP), (x, _TOP - 1.7)), *_down("C", capacitor, x, _TOP - 1.7)]


def _amplifier(circuit: Circuit) -> tuple[Item, ...]:
    if circuit.stage == "signal_amplifier":
        return _signal_amplifier(circuit)
    if _has(circuit, "R4"):
        tuned = (("L", "L1", (13.4, 5.3), (13.4, _FED)), ("C", "C4", (16.0, 5.3), (16.0, _FED)),
                 ("dot", (13.4, _FED)), *_feed("R4", "C6", 13.4, 16.0))
    else:
        tuned = (*_up("L", "L1", 13.4, 5.3), *_up("C", "C4", 16.0, 5.3))
    return (*_pentode(), ("wire", "V.anode", (11.0, 5.3), (13.4, 5.3)), ("dot", (13.4, 5.3)),
            ("wire", (13.4, 5.3), (16.0, 5.3)), *tuned,
            ("out", (16.2, 4.7), "L1 couples to the second coil"))


def _pentode() -> tuple[Item, ...]:
    """A pentode amplifier but for what is in its anode."""
    return (("pentode",), *_input("pentode", "C1", "R1", "signal"), *_cathode("R2", "C2"),
            *_suppressor("grid 3"), *_screen("R3", "C3", "grid 2"))


def _signal_amplifier(circuit: Circuit) -> tuple[Item, ...]:
    """Its anode goes on to the mixer, and by the band switch to the coil of the band."""
    contact = next(part.ref for part in circuit.parts if part.ref.startswith(BAND_SWITCH))
    fed = _has(circuit, "R4")
    top = _FED if fed else RAIL
    feed = (*_feed("R4", "C6", 16.2, 18.4), ("dot", (16.2, top))) if fed else (
        ("high tension", (16.2, top)), ("wire", (16.2, top), (18.4, top)))
    y = 5.1
    return (*_pentode(), ("wire", "V.anode", (11.0, y), (14.0, y)), ("dot", (14.0, y)),
            ("S", contact, (14.0, y), (15.8, y)), ("wire", (15.8, y), (16.2, y), (18.4, y)),
            ("dot", (16.2, y)), ("L", "L1", (16.2, y), (16.2, top)),
            ("VC", "C4", (18.4, y), (18.4, top)), *feed,
            ("wire", (14.0, y), (14.0, 4.7), (16.6, 4.7)), ("C below", "C5", (16.6, 4.7), (18.4, 4.7)),
            ("out", (18.4, 4.7), "to the mixer"))


def _detector(circuit: Circuit) -> tuple[Item, ...]:
    return (
        ("L", "L1", (4.6, 6.4), (4.6, 4.3)), ("L", "L2", (4.6, 4.3), (4.6, 2.2)),
        ("dot", (4.6, 4.3)),
        ("wire", (4.6, 6.4), (2.2, 6.4)), ("dot", (4.6, 6.4)), ("C", "C4", (2.2, 6.4), (2.2, 2.2)),
        ("wire", (2.2, 2.2), (4.6, 2.2)), ("dot", (4.6, 2.2)),
        ("link", (4.4, 1.2), "coupled to the first coil"),
        ("wire", (4.6, 4.3), (6.6, 4.3)), ("dot", (6.6, 4.3)), ("C", "C1", (6.6, 4.3), (9.4, 4.3)),
        ("in right", (9.4, 4.3), "beat oscillator"), *_down("R", "R1", 6.6, 4.3),
        ("wire", (4.6, 6.4), (10.4, 6.4)), ("D", "D1", (10.4, 6.4), (13.4, 6.4)),
        ("wire", (4.6, 2.2), (5.4, 2.2), (5.4, -0.3), (13.4, -0.3)), ("wire", (13.4, -0.3),
        (13.4, 0.6)),
        ("D", "D2", (13.4, 3.4), (13.4, 0.6)), ("wire", (13.4, 6.4), (13.4, 3.4)),
        ("dot", (13.4, 4.8)),
        ("wire", (13.4, 6.4), (13.4, 4.8)), ("wire", (13.4, 4.8), (15.4, 4.8)),
        ("dot", (15.4, 4.8)),
        *_down("R", "R2", 15.4, 4.8), ("wire", (15.4, 4.8), (18.2, 4.8)), ("dot", (18.2, 4.8)),
        *_down("C", "C2", 18.2, 4.8), ("C", "C3", (18.2, 4.8), (21.0, 4.8)),
        ("out", (21.0, 4.8), "to the amplifier"))


def _beat(circuit: Circuit) -> tuple[Item, ...]:
    y = electrodes("triode")["grid 1"][1]
    trimmer = _down("VC", "C3", 4.0, 5.4)
    if any(part.ref == "C7" for part in circuit.parts):
        trimmer = (("C", "C7", (4.0, 5.4), (4.0, 3.5)), *_down("VC", "C3", 4.0, 3.5))
    return (
        ("triode",), *_down("L", "L1", 1.6, 5.4), ("wire", (1.6, 5.4), (4.0, 5.4)),
        ("dot", (4.0, 5.4)),
        *trimmer, ("wire", (4.0, 5.4), (6.2, 5.4)), ("dot", (6.2, 5.4)),
        ("C", "C1", (6.2, 5.4), (6.2, 2.6)), ("dot", (6.2, 2.6)), *_down("C", "C2", 6.2, 2.6),
        ("C", "C4", (6.2, 5.4), (8.6, 5.4)), ("wire", (8.6, 5.4), (8.6, y), "V.grid 1"),
        ("dot", (8.6, y)),
        ("R", "R1", (8.6, y), (8.6, 2.6)), ("dot", (8.6, 2.6)), ("wire", (6.2, 2.6),
        (8.6, 2.6), (10.65, 2.6), "V.cathode"),
        ("dot", (10.65, 2.6)), *_down("L", "L2", 10.65, 2.6),
        ("wire", (10.65, 2.6), (14.6, 2.6)), ("C", "C6", (14.6, 2.6), (17.0, 2.6)),
        ("out", (17.0, 2.6), "to the detector"),
        ("wire", "V.anode", (11.0, 5.3), (13.4, 5.3)), ("dot", (13.4, 5.3)),
        *_up("R", "R2", 13.4, 5.3),
        ("wire", (13.4, 5.3), (17.6, 5.3)), ("C", "C5", (17.6, 5.3), (17.6, 3.9)),
        ("chassis", (17.6, 3.9)))


def _audio(circuit: Circuit) -> tuple[Item, ...]:
    y = electrodes("triode")["grid 1"][1]
    return (
        ("triode",), ("in", (3.4, 5.6), "from the detector"), ("C", "C1", (3.4, 5.6), (6.0, 5.6)),
        ("wire", (6.0, 5.6), (7.6, 5.6)), *_down("P", "R1", 7.6, 5.6),
        ("slider", "R1", (7.6, (5.6 + FLOOR) / 2)), ("wire", (8.25, (5.6 + FLOOR) / 2),
        (9.3, (5.6 + FLOOR) / 2), (9.3, y), "V.grid 1"),
        *_cathode("R2", "C2"), *_anode("R", "R3", "C3", "to the output stage"))


def _output(circuit: Circuit) -> tuple[Item, ...]:
    pentode, fed = circuit.form == PENTODE, _has(circuit, "R3")
    kind, top = "pentode" if pentode else "triode", _FED if fed else RAIL
    at = electrodes(kind)
    y = at["grid 1"][1]
    screen = (("wire", "V.grid 2 right", (14.0, at["grid 2"][1]), (14.0, top)),
              *_suppressor("grid 3")) if pentode else ()
    if fed:
        feed = _feed("R3", "C2", *((14.0,) if pentode else ()), 15.6)
        feed += (("dot", (14.0, top)),) if pentode else ()
    else:
        feed = tuple(("high tension", (x, top)) for x in ((14.0,) if pentode else ()) + (15.6,))
        if pentode:  # side by side their words would meet: one mark for both
            feed = (("wire", (14.0, top), (15.6, top)), feed[-1])
    return (
        (kind,), ("in", (3.4, y), "from the amplifier"), ("wire", (3.4, y), (7.6, y)),
        ("dot", (7.6, y)),
        ("wire", (7.6, y), "V.grid 1"), *_down("R", "R1", 7.6, y), *_cathode("R2", "C1"),
        ("wire", "V.anode", (11.0, 5.3), (14.6, 5.3), (14.6, 3.4), (15.6, 3.4)), *screen,
        ("L", "L1", (15.6, 3.4), (15.6, 5.4)), ("wire", (15.6, 5.4), (15.6, top)), *feed,
        ("core", (17.8, 5.2), (17.8, 3.6)),
        ("L", "L2", (18.4, 5.4), (18.4, 3.4)), ("wire", (18.4, 5.4), (21.2, 5.4)),
        ("LS", "LS", (21.2, 5.4), (21.2, FLOOR)), ("chassis", (21.2, FLOOR)),
        ("wire", (18.4, 3.4), (18.4, FLOOR)), ("chassis", (18.4, FLOOR)))


_LAYOUTS: Mapping[str, Callable[[Circuit], tuple[Item, ...]]] = MappingProxyType({
    "preselector": _preselector, "signal_amplifier": _amplifier, "mixer": _mixer,
    "oscillator": _oscillator, "filter": filter_layout, "intermediate_amplifier": _amplifier,
    "detector": _detector, "beat_oscillator": _beat, "audio_amplifier": _audio, "output": _output,
    "rectifier": supply_layout, "converter_input": input_layout,
    "converter": lambda circuit: mixer_layout(circuit, electrodes("pentagrid")),
    "crystal_oscillator": lambda circuit: oscillator_layout(circuit, electrodes("triode")),
})


def layout_of(circuit: Circuit) -> tuple[Item, ...]:
    """Every symbol, wire and mark of ``circuit``."""
    return _LAYOUTS[circuit.stage](circuit)

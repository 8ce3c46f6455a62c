"""Drawing, parts list and netlist of a power supply are one circuit, whatever the plan has.

The drawing is read as points and wires, by a tracer of this file's own, made into a deck and run in
ngspice, an outside source; what it gives must be what the workbook computes.
"""

import re
from collections import Counter

import pytest

from rxlearn.compute.power_supply import solve
from rxlearn.compute.quantities import Unclear, parse
from rxlearn.compute.supply_circuit import supply_circuit
from rxlearn.compute.supply_ratings import check_ratings
from rxlearn.figures.circuit_layouts import layout_of
from rxlearn.figures.supply_table import every_number
from rxlearn.plan.circuits import circuit_in
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.parts import uses_of
from rxlearn.plan.power_supply import marks_of, supply_of
from rxlearn.sheets.netlists import supply_netlist

CONNECTIONS = ("full wave", "bridge", "half wave")
WAYS = [(connection, rectifier, first, ohms)
        for connection in CONNECTIONS for rectifier in ("silicon", "6X4", "5Y3-GT")
        for first in ("capacitor input", "choke input") for ohms in (0.0, 220.0)
        if not (connection == "bridge" and rectifier != "silicon")
        and not (connection == "half wave" and first == "choke input")]


def planned(connection, rectifier, first, ohms):
    changes = {"supply.connection": connection, "supply.rectifier": rectifier,
               "supply.input": first, "supply.series_resistance": ohms}
    if first == "choke input":
        changes["supply.choke"] = 12.0
    return Plan.demo().changed({key: Change(value=value, status="wished", origin="test")
                                for key, value in changes.items()})


def drawn_kinds(items):
    """Parts behind the mains, by kind, each once: the high-tension side of the transformer."""
    found = Counter()
    for ref in {item[1] for item in items if item[0] in (
            "R", "C", "L", "D", "double diode", "filament diode")}:
        if ref in ("L1", "L2", "L3", "L5", "L6"):
            continue
        found["rectifier" if ref[0] in "DV" else ref[0]] += 1
    return found


def netlist_kinds(deck):
    """The same of a netlist: copper, the choke's own resistance and sources are no parts."""
    lines = [line.split()[0] for line in deck.splitlines() if line and line[0] not in "*."]
    found = Counter()
    for name in lines:
        if name.startswith("Rx") or name == "Rb":
            found["R"] += 1
        elif re.fullmatch(r"[LC]\d+", name):
            found[name[0]] += 1
        elif re.fullmatch(r"B\w", name):
            found["rectifier"] += 1
    return found


def listed_kinds(plan):
    """The same of the parts list."""
    found = Counter()
    kinds = {"rectifier": "rectifier", "resistor": "R", "choke": "L", "electrolytic": "C"}
    for use in uses_of(plan):
        if not use.where.startswith("power supply "):
            continue
        if use.kind in kinds:
            found[kinds[use.kind]] += use.count
        elif use.what == "valve":
            found["rectifier"] += use.count
    return found


@pytest.mark.parametrize("way", WAYS, ids=str)
def test_as_many_parts_of_each_kind_are_drawn_listed_and_computed(way):
    # Counting, no source; a valve is one part, and each of its plates in use one law of the netlist.
    plan = planned(*way)
    drawn = drawn_kinds(layout_of(circuit_in(plan, "rectifier", "lower_band")))
    computed = netlist_kinds(supply_netlist("test", supply_of(plan)))
    if way[1] != "silicon":
        assert computed.pop("rectifier") == {"full wave": 2, "half wave": 1}[way[0]]
        assert drawn.pop("rectifier") == 1
        computed["rectifier"] = drawn["rectifier"] = 1
    assert drawn == computed == listed_kinds(plan)


MARK = re.compile(r"\b[A-Z]\d+\b")


@pytest.mark.parametrize("way", WAYS)
def test_tables_and_ratings_name_parts_by_the_marks_of_the_drawing(way):
    # DERIVED: whoever looks a mark up in the drawing must find that very part there.
    plan = planned(*way)
    drawn = {part.ref: part.kind for part in circuit_in(plan, "rectifier", "lower_band").parts}
    found = solve(supply_of(plan))
    kinds = {"choke": "choke", "bleeder": "bleeder", "capacitor": "capacitor",
             "series resistor": "series resistor"}
    named = [judged.part for judged in check_ratings(found)]
    named += [row[0] for row in every_number(found)]
    for words in named:
        for mark in MARK.findall(re.sub(r"rectifier \S+", "rectifier", words)):
            assert any(kind in words and drawn[mark].endswith(kind) for kind in kinds), words
    for key, marks in marks_of(plan).items():
        assert set(MARK.findall(marks)) <= drawn.keys(), key
    # By hand: the choke first leaves one capacitor only, and that is the one behind it.
    last = "C1" if way[2] == "choke input" else "C2"
    assert marks_of(plan)["supply.second_rating"] == last and marks_of(plan)["supply.choke"] == "L4"
    assert {f"capacitor {last}", "choke L4", "bleeder R1"} <= {one.split(", ")[-1] for one in named} | set(named)


def test_the_list_has_what_keeps_people_alive():
    for way in WAYS:
        uses = uses_of(planned(*way))
        places = {use.where: use for use in uses}
        transformer = next(use for use in uses if use.kind == "mains transformer")
        assert places["power supply S2"].value == "double pole"
        assert "time-lag" in places["power supply F1"].value
        assert "earth" in places["power supply W1"].what
        assert ("5 V 2 A" in transformer.value) == (way[1] == "5Y3-GT"), way


@pytest.mark.parametrize(("way", "words", "diodes"), [
    (("bridge", "6X4", "capacitor input", 0.0), "several heater windings", 4),
    (("half wave", "silicon", "choke input", 0.0), "hardly any voltage", 1),
])
def test_what_cannot_be_made_is_refused_where_the_circuit_would_stand(way, words, diodes):
    plan = planned(*way)
    with pytest.raises(Unclear, match=words):
        circuit_in(plan, "rectifier", "lower_band")
    found = [use for use in uses_of(plan) if use.kind == "rectifier"]
    assert len(found) == diodes and words in found[0].note


def traced(items):
    """Which net each end of each part lies on: union of points along the wires."""
    parent = {}

    def root(point):
        while parent.setdefault(point, point) != point:
            point = parent[point]
        return point

    def at(point):
        return round(point[0], 3), round(point[1], 3)

    for item in items:
        if item[0] == "wire":
            for one, other in zip(item[1:], item[2:]):
                parent[root(at(one))] = root(at(other))
        elif item[0] == "chassis":
            parent[root(at(item[1]))] = root("0")
        elif item[0] == "high tension":
            parent[root(at(item[1]))] = root("out")
    return {item[1]: (item[0], [root(at(point)) for point in item[2:]])
            for item in items if len(item) > 3 and item[0] in (
                "R", "C", "L", "D", "double diode", "filament diode")}, root


def deck_of(plan):
    """A deck from the drawing's points, values as the drawing words them, laws as published."""
    supply = supply_of(plan)
    circuit = supply_circuit(supply, 0.5)
    parts, root = traced(layout_of(circuit))
    names = {root("0"): "0", root("out"): "out"}

    def net(point):
        return names.setdefault(point, f"n{len(names)}")

    emf, copper = supply.transformer.emf, supply.transformer.resistance
    hertz = supply.transformer.frequency
    level = solve(supply).capacitors[-1].direct
    lines = ["* the drawing", f"Il out 0 {supply.load.current!r}", "Rall out 0 1e9"]
    for ref, (symbol, points) in parts.items():
        nets = [net(point) for point in points]
        if ref in ("L1", "L5", "L6"):
            continue
        if ref in ("L2", "L3"):
            # A winding: its e.m.f. and copper, the same sense from top to bottom in both halves.
            lines += [f"V{ref} m{ref} {nets[1]} SIN(0 {emf * 2 ** 0.5!r} {hertz!r})",
                      f"Rm{ref} m{ref} {nets[0]} {copper!r}", f"Rf{ref} {nets[1]} 0 1e9"]
        elif symbol == "D":
            across = f"v({nets[0]},{nets[1]})"
            lines.append(f"B{ref} {nets[0]} {nets[1]} I=uramp({across}-0.8)/0.1")
        elif "diode" in symbol:
            drop, current = {"6X4": (22.0, 0.070), "5Y3-GT": (50.0, 0.125)}[circuit.valve]
            cathode = nets[4] if symbol == "double diode" else nets[3]
            for place in (0, 1):
                across = f"v({nets[place]},{cathode})"
                lines.append(f"B{ref}{place} {nets[place]} {cathode} "
                             f"I={current / drop ** 1.5!r}*(uramp({across}))^1.5")
                lines.append(f"Rp{place} {nets[place]} 0 1e9")
        elif symbol == "L":
            amperes = supply.load.current + level / supply.bleeder
            lines += [f"{ref} {nets[0]} x{ref} {parse(circuit.value(ref), 'H')!r} ic={amperes!r}",
                      f"Rx{ref} x{ref} {nets[1]} {supply.sections[-1].resistance!r}"]
        else:
            value = circuit.value(ref).partition(",")[0]
            start = f" ic={level!r}" if symbol == "C" else ""
            lines.append(f"{ref} {nets[0]} {nets[1]} {parse(value, 'F' if start else 'Ω')!r}{start}")
    stop, step = 1.0, 1 / hertz / 400
    return "\n".join([
        *lines, ".options method=trap reltol=1e-4 abstol=1e-9 vntol=1e-6 numdgt=8", ".control",
        f"tran {step!r} {stop!r} {stop - 2 / hertz!r} {step!r} uic",
        f"meas tran avg avg v(out) from={stop - 2 / hertz!r} to={stop!r}",
        f"meas tran pp pp v(out) from={stop - 2 / hertz!r} to={stop!r}", "quit 0", ".endc", ".end", ""])


@pytest.mark.parametrize("way", [
    way for way in WAYS if way[3] and way[1] != "5Y3-GT"
] + [("full wave", "5Y3-GT", "choke input", 0.0)], ids=str)
def test_the_drawing_run_in_ngspice_gives_what_the_workbook_says(run, way):
    # A circuit simulator as the source; the accuracy that the power supply's lesson promises.
    plan = planned(*way)
    last = solve(supply_of(plan)).capacitors[-1]
    found = run(deck_of(plan))
    assert found["avg"] == pytest.approx(last.direct, rel=2e-3, abs=0)
    assert found["pp"] == pytest.approx(last.ripple_peak_to_peak, rel=2e-2, abs=0)

"""Circuit diagrams: symbols where the library puts them, words and drawing that agree."""

import re
from xml.etree import ElementTree

import pytest

from rxlearn.compute.circuits import CIRCUITS
from rxlearn.compute.stages import CONVERTER_STAGES
from rxlearn.figures import style
from rxlearn.figures.circuit_layouts import GRIDS, VALVE, electrodes, layout_of
from rxlearn.figures.circuits import HEIGHT, WIDTH, circuit_svg, connections
from rxlearn.plan.circuits import circuit_in
from rxlearn.plan.document import Plan

SVG = "{http://www.w3.org/2000/svg}"


def circuit(stage, **changes):
    from rxlearn.plan.document import Change

    plan = Plan.demo().changed({
        key: Change(value=value, status="wished", origin="test") for key, value in changes.items()})
    return circuit_in(plan, stage, "lower_band")


SUPPLIES = {
    "bridge": {"supply.connection": "bridge", "supply.series_resistance": 47.0},
    "half wave": {"supply.connection": "half wave", "supply.series_resistance": 1000.0},
    "valve": {"supply.rectifier": "6X4", "supply.series_resistance": 100.0},
    "valve, half wave": {"supply.rectifier": "5V4-G", "supply.connection": "half wave"},
    "filament, choke first": {"supply.rectifier": "5Y3-GT", "supply.input": "choke input"},
    "bridge, choke first": {"supply.connection": "bridge", "supply.input": "choke input"},
}
"""Ways to make a supply, changes from the demo."""

FILTERS = {
    **{f"{count} crystals": {"crystal_filter.crystals": count, "intermediate_frequency": 9e6}
       for count in (2, 3, 5, 8)},
    "8 narrow": {"crystal_filter.crystals": 8, "crystal_filter.width": 500.0},
    "8 alike": {"crystal_filter.crystals": 8, "crystal_filter.kind": "alike"},
    "high ends": {"crystal_filter.width": 2.5e3, "crystal_filter.kind": "butterworth"},
    **{f"{count} crystals between transformers": {
        "crystal_filter.crystals": count, "intermediate_frequency": 10.7e6, "upper_band.injection": "high",
        "crystal_filter.ends": "transformers"} for count in (2, 3, 4, 5, 6, 7, 8)},
    **{f"{count} crystals and a transformer": {
        "crystal_filter.crystals": count, "crystal_filter.ends": "transformers",
        "crystal_filter.width": 2.2e3} for count in (2, 4, 5, 6, 8)},
    "narrow between transformers": {
        "crystal_filter.crystals": 8, "crystal_filter.width": 500.0, "crystal_filter.ends": "transformers"},
    "no values": {"crystal_filter.width": 20e3, "crystal_filter.crystals": 6},
}
"""Crystal filters, changes from the demo."""


THIRD = {"third_band.wanted": "yes"}
CONVERTERS = {"three input circuits": "converter_input", "overtone": "crystal_oscillator"}
OTHERWISE = {
    "three input circuits": {"converter.circuits": 3},
    "overtone": {"third_band.low": 28.0e6, "third_band.high": 28.5e6, "converter.crystal": 32.0e6},
}
"""Converters, changes from the demo with a third band."""


@pytest.fixture(params=[*CIRCUITS, *SUPPLIES, *FILTERS, *CONVERTERS])
def drawn(request):
    if request.param in SUPPLIES:
        return circuit("rectifier", **SUPPLIES[request.param])
    if request.param in FILTERS:
        return circuit("filter", **FILTERS[request.param])
    if stage := CONVERTERS.get(request.param, request.param if request.param in CONVERTER_STAGES else ""):
        return circuit(stage, **THIRD, **OTHERWISE.get(request.param, {}))
    return circuit(request.param)


@pytest.mark.parametrize("kind", GRIDS)
def test_electrodes_are_where_the_library_draws_them(kind):
    import schemdraw.elements as elements

    anchors = elements.VacuumTube(grids=GRIDS[kind], heater=False).anchors
    here = {name: (x - VALVE[0], y - VALVE[1]) for name, (x, y) in electrodes(kind).items()}
    assert here["anode"] == anchors["anode"] == (0, 0)
    assert here["cathode"] == pytest.approx(anchors["cathode"])
    for number in range(1, GRIDS[kind] + 1):
        theirs = "grid" if GRIDS[kind] == 1 else f"grid_{GRIDS[kind] + 1 - number}"
        assert here[f"grid {number}"] == pytest.approx(anchors[theirs])


def test_each_part_is_drawn_and_each_drawn_part_is_listed(drawn):
    marks = {"wire", "dot", "words", "chassis", "high tension", "core", "gang", "free", "in", "in right", "out", "link", *GRIDS}
    shown = {item[1] for item in layout_of(drawn) if item[0] not in marks}
    assert shown == {part.ref for part in drawn.parts}
    words = [text.text for text in ElementTree.fromstring(circuit_svg(drawn)).iter(f"{SVG}text")]
    for part in drawn.parts:
        assert any(part.ref in (word, word.split(" ")[0]) for word in words), part.ref
        first = part.value.split(" ")[0]
        assert not first or any(first in word for word in words), part.value


def test_no_end_hangs_in_the_air(drawn):
    for row in connections(drawn):
        if row.ref != "V":
            # The mains winding lies between the two poles of one switch.
            assert len(row.ends) >= 2 or row.ends == ("S2",), row
            assert "nothing" not in row.ends, row


def test_words_stay_on_the_sheet_and_do_not_collide(drawn):
    boxes = []
    for text in ElementTree.fromstring(circuit_svg(drawn)).iter(f"{SVG}text"):
        look = text.attrib["style"]
        wide = 6.2 * len(text.text) * (1.08 if "bold" in look else 0.95)
        x, y = float(text.attrib["x"]), float(text.attrib["y"])
        x -= {"start": 0, "middle": wide / 2, "end": wide}[re.search("anchor: (\\w+)", look)[1]]
        boxes.append((text.text, x, y - 8, x + wide, y + 1))
    for words, left, top, right, bottom in boxes:
        assert -1 <= left and right <= WIDTH + 1 and top >= 20 and bottom <= HEIGHT, words
    for i, (words, left, top, right, bottom) in enumerate(boxes):
        for other, left2, top2, right2, bottom2 in boxes[i + 1:]:
            apart = right <= left2 or right2 <= left or bottom <= top2 or bottom2 <= top
            assert apart, (words, other)


def test_no_voltage_is_named_and_colours_are_by_role(drawn):
    svg = circuit_svg(drawn)
    assert not re.search(r"\d\s?V\b", svg)
    assert set(re.findall(r"#[0-9a-f]{6}", svg)) <= set(style.LIGHT.values())


# Netlists written by hand from the text on each circuit; independent of the layout's points.
WANTED = {
    "preselector": {
        "S1f": {"from the aerial, S1g", "L1"}, "L1": {"S1f", "chassis"},
        "S1g": {"from the aerial, S1f", "L1 for 30 m"}, "L2": {"S1h, C4", "chassis"},
        "C4": {"S1h, L2", "chassis"}, "S1h": {"S1i, C1, to the mixer", "L2, C4"},
        "S1i": {"S1h, C1, to the mixer", "L2, C4 for 30 m"},
        "C1": {"S1h, S1i, to the mixer", "chassis"}},
    "audio_amplifier": {
        "R1": {"C1", "chassis", "slider: the valve's grid 1"},
        "R2": {"the valve's cathode", "chassis"}, "C2": {"the valve's cathode", "chassis"},
        "R3": {"the valve's anode", "high tension"},
        "C3": {"the valve's anode", "to the output stage"}},
    "oscillator": {
        "L1": {"S1a, S1b, S1c, S1d, C5", "the valve's cathode", "chassis"},
        "C1": {"S1a, C4", "chassis"}, "C4": {"S1b", "C1, S1a"}, "S1b": {"L1, S1a, S1c, S1d, C5", "C4"},
        "C3": {"S1c", "chassis"}, "C8": {"S1d", "chassis"},
        "C5": {"L1, S1a, S1b, S1c, S1d", "the valve's grid 1"}, "R1": {"the valve's grid 1", "chassis"},
        "R3": {"the valve's grid 2", "high tension"}},
    "beat_oscillator": {
        "C1": {"L1, C7, C4", "the valve's cathode"}, "C7": {"L1, C1, C4", "C3"}, "C2": {"the valve's cathode", "chassis"},
        "R1": {"the valve's grid 1", "the valve's cathode"},
        "R2": {"the valve's anode", "high tension"}},
    "mixer": {"C1": {"oscillator", "the valve's grid 1"},
              "R3": {"the valve's grid 4", "high tension"}},
    "rectifier": {"D1": {"L2", "D2, C1, L4"}, "R1": {"high tension", "chassis"},
                  "F1": {"W1", "S2"}, "S2": {"F1", "L1", "W1"}, "W1": {"F1", "S2", "chassis"},
                  "L2": {"D1", "chassis"}, "L3": {"D2", "chassis"},
                  "L5": {"to all heaters", "chassis"}},
}


@pytest.mark.parametrize("stage", WANTED)
def test_connections_are_the_circuits(stage):
    found = {row.ref: set(row.ends) for row in connections(circuit(stage))}
    for ref, ends in WANTED[stage].items():
        assert found[ref] == ends, ref


def test_a_second_tuned_circuit_is_drawn_when_the_plan_has_one():
    two = {row.ref: row.ends for row in connections(circuit("preselector", **{"preselector.circuits": 2}))}
    assert two["L3"] == ("S1j, C5", "chassis") and two["C2"] == ("S1h, S1i, C1", "S1j, S1k, C3, to the mixer")
    assert two["S1j"] == ("C2, S1k, C3, to the mixer", "L3, C5")


AMPLIFIED = (Plan.demo().value("stages.list")[0], ("signal_amplifier", "V6 6BA6", 0.3, 15.2e-3, 20.0, "test"),
             *Plan.demo().value("stages.list")[1:])


@pytest.mark.parametrize("drawn", [
    circuit("signal_amplifier", **{"stages.list": AMPLIFIED}),
    circuit("signal_amplifier", **{"stages.list": AMPLIFIED, "supply.winding_voltage": 150.0}),
    circuit("preselector", **{"preselector.circuits": 2, "upper_band.name": "the evening contacts"}),
], ids=["fed", "straight", "two circuits"])
def test_circuits_before_the_mixer_are_whole_and_their_words_apart(drawn):
    test_each_part_is_drawn_and_each_drawn_part_is_listed(drawn)
    test_no_end_hangs_in_the_air(drawn)
    test_words_stay_on_the_sheet_and_do_not_collide(drawn)


def test_a_signal_amplifier_is_tuned_on_the_band_by_the_switch():
    rows = {row.ref: row.ends for row in connections(circuit(
        "signal_amplifier", **{"stages.list": AMPLIFIED, "supply.winding_voltage": 150.0}))}
    assert rows["S1l"] == ("the valve's anode", "L1, C4")
    assert set(rows["L1"]) == {"S1l, C4", "high tension"} and set(rows["C4"]) == {"S1l, L1", "high tension"}
    assert rows["C5"] == ("the valve's anode", "to the mixer")


def test_tap_and_link_are_drawn_as_the_coil_cards_say():
    from rxlearn.plan.coil_cards import coil_card

    demo = Plan.demo()
    words = [text.text for text in ElementTree.fromstring(
        circuit_svg(circuit("oscillator"))).iter(f"{SVG}text")]
    turns = dict(coil_card(demo, "oscillator_coil").lines)["tap"].split(" ")[0]
    assert f"tap at turn {turns} of 11" in " ".join(words)
    for band in ("lower", "upper"):
        lines = dict(coil_card(demo, f"{band}_coil").lines)
        link, coil = (lines[what].partition(" over")[0] for what in ("aerial winding", "winding"))
        drawn = circuit_in(demo, "preselector", f"{band}_band").value("L1")
        assert drawn == f"{link} to {coil.split(' ')[0]} of L2"

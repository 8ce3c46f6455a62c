"""The plan's crystal filter: its fields, what is chosen and built, rows, circuit and parts."""

import json
import math

import pytest

from rxlearn.compute.crystal import typical_crystal
from rxlearn.compute.crystal_ladder import design_ladder
from rxlearn.compute.quantities import Unclear, parse
from rxlearn.plan.alignment import alignment_steps
from rxlearn.plan.circuits import circuit_in
from rxlearn.plan.consequences import derive
from rxlearn.plan.crystal_filter import (
    beat_of,
    chosen_crystals,
    crystal_of,
    filter_of,
    other_sideband_db,
)
from rxlearn.plan.crystal_filter_fields import CRYSTAL_FILTER_FIELDS
from rxlearn.plan.crystal_filter_rows import CRYSTAL_FILTER_ROWS, NO_FILTER
from rxlearn.plan.document import Change, Plan, PlanFault
from rxlearn.plan.filter_coils import filter_cards
from rxlearn.plan.parts import parts_of
from rxlearn.plan.proposals import proposal
from rxlearn.plan.stage_reach import short_of
from rxlearn.plan.stages import STAGES, stages_of
from rxlearn.sheets.build_sheet import build_sheet
from tests.any_plans import PLANS

HANDFUL = tuple((9e6 + hertz, f"no. {place}") for place, hertz in enumerate(
    (120.0, -40.0, 35.0, 300.0, 10.0, -260.0, 60.0)))


def planned(**changes):
    """The demo with changes; two underscores stand for a point."""
    return Plan.demo().changed({
        key.replace("__", "."): Change(value=value, status="wished", origin="test")
        for key, value in changes.items()})


def test_every_field_survives_the_file_and_its_ends():
    for field in CRYSTAL_FILTER_FIELDS:
        assert field.why and field.section == "crystal filter"
        if field.range is not None:
            for end in (field.range.low, field.range.high):
                value = int(end) if field.kind == "count" else end
                plan = Plan.demo().changed({
                    field.key: Change(value=value, status="measured", origin="test")})
                assert Plan.from_text(plan.to_text()).value(field.key) == value
    plan = planned(crystal_filter__measured=HANDFUL)
    assert Plan.from_text(plan.to_text()).value("crystal_filter.measured") == HANDFUL
    with pytest.raises(PlanFault):
        planned(crystal_filter__crystals=9)


def test_an_older_file_without_the_fields_still_opens():
    document = json.loads(Plan.demo().to_text())
    document["values"] = {key: node for key, node in document["values"].items()
                          if not key.startswith("crystal_filter.")}
    plan = Plan.from_text(json.dumps(document))
    assert plan.value("crystal_filter.crystals") == 4


def test_the_demo_is_the_design_of_its_typical_crystals():
    plan = Plan.demo()
    built = filter_of(plan)
    assert crystal_of(plan) == typical_crystal(3.2768e6)
    wanted = design_ladder(typical_crystal(3.2768e6), 4, 2.4e3)
    assert built.design.ladder == wanted.ladder
    # IEC 60063: the nearest of E12 to 11.0 and 13.9 pF, by hand.
    assert [round(c * 1e12, 6) for c in built.ladder.couplings] == [12.0, 15.0, 12.0]
    # 4.69 kΩ is within a twentieth of the mixer's 4.7 kΩ; across 100 kΩ by 1/(1/4.69 − 1/100) =
    # 4.92 kΩ, nearest of E24 5.1 kΩ; together 4.853 kΩ (DERIVED).
    assert built.source.resistor is None and built.load.resistor == 5.1e3
    assert built.ladder.source_resistance == 4.7e3
    assert built.ladder.load_resistance == pytest.approx(5.1e3 * 100e3 / 105.1e3)


def test_measured_figures_are_taken_when_the_plan_says_so():
    changes = {"crystal_filter__inductance": 0.15, "crystal_filter__resistance": 25.0,
               "crystal_filter__capacitance": 3e-12}
    assert crystal_of(planned(**changes)) == typical_crystal(3.2768e6)
    found = crystal_of(planned(**changes, crystal_filter__figures="measured"))
    assert (found.motional_inductance, found.resistance, found.parallel_capacitance) == (
        0.15, 25.0, 3e-12)


def test_of_a_handful_the_closest_are_taken():
    plan = planned(intermediate_frequency=9e6, crystal_filter__measured=HANDFUL)
    chosen = chosen_crystals(plan)
    assert chosen.places == (1, 4, 2, 6)  # −40, 10, 35, 60 Hz: by hand
    assert chosen.frequency == pytest.approx(9e6 + 16.25, rel=1e-12)
    assert chosen.offsets == pytest.approx((-56.25, -6.25, 18.75, 43.75), abs=1e-6)
    found = [crystal.frequency for crystal in filter_of(plan).ladder.crystals]
    assert found == pytest.approx([9e6 - 40, 9e6 + 10, 9e6 + 35, 9e6 + 60], rel=1e-12)
    assert "within 100 Hz" in derive(plan)["Crystal filter, each crystal"].text
    fewer = planned(intermediate_frequency=9e6, crystal_filter__measured=HANDFUL[:3])
    assert chosen_crystals(fewer).places == () and filter_of(fewer).ladder


def test_crystals_for_another_frequency_are_noticed():
    plan = planned(crystal_filter__measured=HANDFUL)
    with pytest.raises(Unclear, match="put one of the two right"):
        filter_of(plan)
    assert not derive(plan)["Crystal filter, width"].possible


@pytest.mark.parametrize("frequency, words", [
    (50e3, "make no ladder 2.4 kHz wide"), (455e3, "make no ladder 2.4 kHz wide"),
    (1.7e6, "make no ladder 2.4 kHz wide"), (4e6, None), (9e6, None), (27e6, None),
])
def test_any_intermediate_frequency_has_a_filter_or_a_reason(frequency, words):
    plan = planned(intermediate_frequency=frequency, upper_band__injection="high",
                   lower_band__low=3.2e6, lower_band__high=3.3e6)
    found = derive(plan)["Crystal filter, width"]
    circuit = circuit_in(plan, "filter", "lower_band")
    listed = {part.kind: part for part in parts_of(plan) if part.kind in ("crystal", "cut crystal")}
    assert sum(part.quantity for part in listed.values()) >= 4
    if words is None:
        assert found.possible and "3 dB down" in found.text and not circuit.note
        assert all(parse(circuit.value(f"C{n}"), "F") > 0 for n in (1, 2, 3))
    else:
        assert not found.possible and words in found.text and words in circuit.note
        assert circuit.value("C1") == "none yet"


@pytest.mark.parametrize("name", PLANS)
def test_every_plan_gets_words(name):
    plan = Plan.demo().changed({
        key: Change(value=value, status="wished", origin="test")
        for key, value in PLANS[name].items()})
    for label, row in CRYSTAL_FILTER_ROWS.items():
        try:
            text = row(plan)
        except Unclear as reason:
            text = str(reason)
        assert text and "nan" not in text.split() and "not a number" not in text, label


def test_a_plan_without_a_filter_is_told_so():
    rows = tuple(row for row in Plan.demo().value(STAGES) if row[0] != "filter")
    found = derive(planned(**{STAGES: rows}))
    assert {found[label].text for label in CRYSTAL_FILTER_ROWS} == {NO_FILTER}


def test_the_beat_oscillator_stands_its_offset_from_the_filter_as_built():
    plan = Plan.demo()
    middle = filter_of(plan).measures.centre
    assert beat_of(plan, "above") - middle == pytest.approx(1.5e3)
    assert middle - beat_of(plan, "below") == pytest.approx(1.5e3)
    # High-side injection inverts, so the upper sideband arrives as a lower one, its carrier above.
    side, down = other_sideband_db(plan, "lower_band")
    assert side == "above" and down > other_sideband_db(plan, "upper_band")[1] > 0
    ladder = filter_of(plan).ladder
    assert down == pytest.approx(float(ladder.loss_db(middle + 2.5e3)[0] - ladder.loss_db(
        middle + 0.5e3)[0]))


def test_the_lesson_proposes_its_fields_and_keeps_them():
    proposed = {one.key: one for one in proposal("crystal_filter", Plan.demo())}
    assert {field.key for field in CRYSTAL_FILTER_FIELDS} < set(proposed)
    assert all(one.value == Plan.demo().value(key) for key, one in proposed.items())


LOW = {"intermediate_frequency": 10.7e6, "upper_band__injection": "high"}
"""Ends of 117 Ω."""


def test_transformers_bring_the_levels_back():
    """DERIVED: 120 Ω across 4.7 kΩ and across 100 kΩ lose 10·log(4700/117) + 10·log(100 000/117),
    45 dB; with both ends transformed less than a tenth of that is left of the loss."""
    levels = {}
    for ends in ("resistors", "transformers"):
        plan = planned(**LOW, crystal_filter__ends=ends)
        stages = {stage.function: stage.gain_db for stage in stages_of(plan, "lower_band")}
        levels[ends] = stages["mixer"] + stages["filter"]
        found = derive(plan)["Stages, mixer and filter together"].text
        assert ("choose transformers" in found) == (ends == "resistors")
        assert bool(short_of(plan)) == (ends == "resistors")
    built = filter_of(planned(**LOW, crystal_filter__ends="transformers"))
    # The network's gain is g·√(R₁R₂)/2 less the losses (DERIVED); 475 µS is the 6BE6's (RCA manual).
    wanted = 20 * math.log10(475e-6 * math.sqrt(4.7e3 * 100e3) / 2) - built.loss_db
    assert levels["transformers"] == pytest.approx(wanted, abs=0.11)
    assert levels["transformers"] - levels["resistors"] == pytest.approx(37.4, abs=0.5)


def test_an_older_file_keeps_its_resistors():
    document = json.loads(planned(crystal_filter__ends="transformers").to_text())
    del document["values"]["crystal_filter.ends"]
    assert Plan.from_text(json.dumps(document)).value("crystal_filter.ends") == "resistors"


def test_the_transformers_are_listed_carded_drawn_and_set():
    plan = planned(**LOW, crystal_filter__ends="transformers")
    drawn = {part.ref: part for part in circuit_in(plan, "filter", "lower_band").parts}
    cards = filter_cards(plan)
    places = {place: part for part in parts_of(plan) for place in part.where}
    for card, winding, link in zip(cards, ("L1", "L4"), ("L2", "L3"), strict=True):
        turns = card.way.turns
        assert drawn[winding].value == f"{turns} turns on T50-6" and card.on == "ring core T50-6"
        assert drawn[link].value in dict(card.lines)[f"link {link}"]
        assert places[f"crystal filter {winding} and {link}"].value == "ring core T50-6"
        tuning = next(part for part in drawn.values() if part.kind.endswith(f"across {winding}"))
        lines = [part for part in parts_of(plan) if f"crystal filter {tuning.ref}" in part.where]
        assert {part.kind for part in lines} == {"capacitor", "trimmer"}
    reels = []
    for one in (plan, planned(**LOW)):
        reel = next(part for part in parts_of(one) if part.key == "enamelled wire 0.5 mm, a reel")
        reels.append(parse(" ".join(reel.notes[0].split()[2:4]), "m"))  # “In all 2.3 m of 0.5 mm.”
    assert reels[0] - reels[1] == pytest.approx(sum(card.cut for card in cards), abs=0.11)
    told = [" ".join(step.text for step in alignment_steps(one)) for one in (plan, Plan.demo())]
    assert "the trimmer across L1 and then L4" in told[0] and "across L1" not in told[1]


@pytest.mark.parametrize("name", PLANS)
def test_no_plan_with_transformers_crashes(name):
    plan = Plan.demo().changed({
        key: Change(value=value, status="wished", origin="test")
        for key, value in {**PLANS[name], "crystal_filter.ends": "transformers"}.items()})
    assert derive(plan) and parts_of(plan)
    assert build_sheet(plan).blocks


@pytest.mark.parametrize("crystals", [2, 6])
def test_the_parts_list_has_the_very_parts_of_the_circuit(crystals):
    plan = planned(intermediate_frequency=9e6, crystal_filter__crystals=crystals)
    circuit = circuit_in(plan, "filter", "lower_band")
    lines = [part for part in parts_of(plan)
             if any(place.startswith("crystal filter ") for place in part.where)]
    listed = {place.removeprefix("crystal filter "): part
              for part in lines for place in part.where if place.startswith("crystal filter ")}
    assert set(listed) == {part.ref for part in circuit.parts}
    for part in circuit.parts:
        if part.ref[0] in "CR":
            unit = {"C": "F", "R": "Ω"}[part.ref[0]]
            assert listed[part.ref].amount == pytest.approx(parse(part.value, unit), rel=1e-3, abs=0)
    line = listed["Y1"]
    assert line.quantity == crystals
    assert f"Buy at least {crystals + 6} of one lot" in " ".join(line.notes)

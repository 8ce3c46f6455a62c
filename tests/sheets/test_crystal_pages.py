"""The build sheet's pages on the crystal filter: the circuit's values, the response, room to write."""

import pytest

from rxlearn.compute.quantities import parse
from rxlearn.plan.circuits import circuit_in
from rxlearn.plan.consequences import derive
from rxlearn.plan.crystal_filter import filter_of
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.stages import STAGES
from rxlearn.sheets.build_sheet import SECTIONS, build_sheet
from rxlearn.sheets.pages import Table


def planned(**changes):
    return Plan.demo().changed({
        key.replace("__", "."): Change(value=value, status="measured", origin="test")
        for key, value in changes.items()})


def pages(plan):
    """Tables of the section by caption, and all its words."""
    blocks = SECTIONS["Crystal filter"](plan, derive(plan))
    tables = {block.caption: block for block in blocks if isinstance(block, Table)}
    return tables, " ".join(block.text for block in blocks if hasattr(block, "text"))


@pytest.mark.parametrize("changes", [
    {}, {"crystal_filter__crystals": 6, "intermediate_frequency": 9e6},
    {"crystal_filter__width": 2.5e3, "crystal_filter__kind": "butterworth"},
    {"intermediate_frequency": 9e6, "crystal_filter__ends": "transformers"},
])
def test_the_sheet_has_the_parts_of_the_circuit_with_the_same_values(changes):
    plan = planned(**changes)
    tables, _ = pages(plan)
    printed = {row[0]: row for row in tables["Parts of the crystal filter"].rows}
    drawn = {p.ref: p.value for p in circuit_in(plan, "filter", "lower_band").parts
             if p.ref[0] != "Y"}
    assert drawn == {ref: row[3] for ref, row in printed.items() if row[3] != "none"}
    for ref, row in printed.items():
        assert len(row) == len(tables["Parts of the crystal filter"].head)
        if row[3] != "none" and ref[0] != "L":
            unit = "F" if ref[0] == "C" else "Ω"
            # IEC 60063: E12 and E24 are at most 10 % and 5 % from any value.
            assert parse(row[3], unit) == pytest.approx(parse(row[2], unit), rel=0.11, abs=0)


def test_the_response_printed_is_the_built_filters():
    plan = planned(intermediate_frequency=9e6, crystal_filter__crystals=6)
    tables, _ = pages(plan)
    built = filter_of(plan)
    for level, low, high, width, *room in tables["Response to expect"].rows:
        down = built.measures.down_db([parse(low, "Hz"), parse(high, "Hz")])
        assert down == pytest.approx([parse(level, "dB")] * 2, abs=0.1)
        assert parse(width, "Hz") == pytest.approx(parse(high, "Hz") - parse(low, "Hz"), rel=1e-2)
        assert room == ["", ""]


def test_transformers_stand_there_with_what_to_do():
    tables, words = pages(planned(intermediate_frequency=9e6, crystal_filter__ends="transformers"))
    printed = {row[0]: row for row in tables["Parts of the crystal filter"].rows}
    for winding, link in (("L1", "L2"), ("L4", "L3")):
        turns, over = (int(printed[ref][3].split()[0]) for ref in (winding, link))
        # Whole turns: the ratio fitted is within half a link's turn of what is wanted.
        wanted = float(printed[winding][2].split()[0])
        assert abs(turns / wanted - over) < 0.5, winding
    assert "In place of the end resistors, for more gain" not in tables
    assert "Set each trimmer for the most" in words


def test_where_no_core_will_do_the_resistors_stay_and_it_is_said():
    plan = planned(
        intermediate_frequency=240e3, crystal_filter__width=50.0, crystal_filter__figures="measured",
        crystal_filter__inductance=9.0, crystal_filter__resistance=100.0,
        crystal_filter__capacitance=8e-12, crystal_filter__ends="transformers")
    assert {end.way for end in (filter_of(plan).source, filter_of(plan).load)} == {"shunt"}
    # The iron with the number 2 is meant for 250 kHz and more (the makers' figures).
    assert "No common ring core takes 312 µH at 240 kHz" in pages(plan)[1]
    assert "keep their resistors" in derive(plan)["Crystal filter, ends"].text
    assert build_sheet(plan).blocks


def test_a_slope_that_ends_early_is_said_so():
    rows = {row[0]: row for row in pages(Plan.demo())[0]["Response to expect"].rows}
    assert rows["60 dB"][1] == rows["60 dB"][3] == "not reached"


def test_there_is_room_for_a_handful_and_the_chosen_are_marked():
    empty = pages(Plan.demo())[0]["Your crystals"].rows
    assert len(empty) == 10 and all(not any(row[1:]) for row in empty)
    handful = tuple((9e6 + hertz, None if hertz else "red dot")
                    for hertz in (0.0, 500.0, 20.0, 40.0, 60.0, 900.0))
    rows = pages(planned(intermediate_frequency=9e6,
                         crystal_filter__measured=handful))[0]["Your crystals"].rows
    assert [row[4] for row in rows[:6]] == ["Y1", "spare", "Y2", "Y3", "Y4", "spare"]
    assert rows[0][:2] == ("red dot", "9 MHz") and len(rows) == 10


def test_crystal_figures_stand_there_only_if_they_count():
    def labels(plan):
        return [row[0] for row in pages(plan)[0]["Wanted of the crystal filter"].rows]

    assert "Crystal, resistance" not in labels(Plan.demo())
    assert "Crystal, resistance" in labels(planned(crystal_filter__figures="measured"))


def test_a_filter_that_cannot_be_made_is_missing_from_the_sheet_once():
    sheet = build_sheet(planned(intermediate_frequency=455e3))
    lines = [line for line in sheet.missing if "make no ladder" in line]
    assert len(lines) == 1 and lines[0].startswith("Crystal filter; Stages: ")
    rows = tuple(row for row in Plan.demo().value(STAGES) if row[0] != "filter")
    assert "list no crystal filter" in pages(planned(**{STAGES: rows}))[1]

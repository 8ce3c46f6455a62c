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
        if row[3] != "none":
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

"""The parts list as CSV: out and in again, as a spreadsheet leaves it, and every way it can be damaged.

What a CSV file is: RFC 4180 (quotes doubled inside a quoted cell, CRLF between records).
"""

import csv
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.plan.document import Change, Plan
from rxlearn.plan.parts import parts_of
from rxlearn.plan.parts_fields import OWNED
from rxlearn.sheets.files import FILES
from rxlearn.sheets.parts_csv import (
    HEAD,
    DamagedFile,
    as_written,
    harmless,
    parts_csv,
    read_csv,
    write_csv,
)
from rxlearn.sheets.parts_pages import parts_blocks, shorter

KEY, OTHER = "capacitor 10 nF", "crystal 3.2768 MHz"


def owned(*rows):
    return Plan.demo().changed({OWNED: Change(value=rows, status="wished", origin="test")})


def table(content):
    return list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))


def file(*lines, head="key,have,price,note"):
    return "\r\n".join((head, *lines)) + "\r\n"


# Out -----------------------------------------------------------------------------------------

def test_it_has_a_head_and_a_line_for_each_part():
    rows = table(parts_csv(Plan.demo()))
    assert tuple(rows[0]) == HEAD
    assert [row[0] for row in rows[1:]] == [part.key for part in parts_of(Plan.demo())]
    assert {len(row) for row in rows} == {len(HEAD)}
    assert parts_csv(Plan.demo()).startswith(b"\xef\xbb\xbf") and b"\r\n" in parts_csv(Plan.demo())
    assert FILES["parts-list.csv"](Plan.demo()) == parts_csv(Plan.demo())


def test_what_holds_the_set_together_goes_out_in_a_group_of_its_own():
    rows = table(parts_csv(Plan.demo()))
    groups = {row[HEAD.index("what")]: row[HEAD.index("group")] for row in rows[1:]}
    assert groups["knob"] == groups["chassis"] == "what holds it together"
    assert groups["resistor"] == groups["mains transformer"] == "circuits"


def test_what_is_too_small_goes_out_as_such():
    rows = {row[HEAD.index("what")]: row for row in table(parts_csv(Plan.demo()))}
    assert "TOO SMALL for this plan" in rows["mains transformer"][HEAD.index("rating")]


@pytest.mark.parametrize("cell", ["=cmd|' /C calc'!A0", "+1", "-2+3", "@SUM(A1)", "\t=1", "'=1", "'"])
def test_no_cell_is_run_by_a_spreadsheet(cell):
    assert harmless(cell).startswith("'") and as_written(harmless(cell)) == cell


def test_a_note_that_is_a_formula_goes_out_as_text_and_comes_back_as_it_was():
    plan = owned((KEY, "yes", 0.5, "=HYPERLINK(1)"))
    row = next(row for row in table(parts_csv(plan)) if row[0] == KEY)
    assert row[HEAD.index("note")] == "'=HYPERLINK(1)"
    assert read_csv(parts_csv(plan), Plan.demo()) == plan.value(OWNED)


@given(st.text(st.characters(blacklist_categories=("Cs",)), max_size=30))
def test_harmless_can_always_be_undone(cell):
    assert as_written(harmless(cell)) == cell
    assert not harmless(cell).startswith(("=", "+", "-", "@", "\t", "\r"))


# In ------------------------------------------------------------------------------------------

def test_out_and_in_again_is_the_same():
    rows = ((KEY, "yes", 0.05, "a, \"good\" one; Ω"), (OTHER, "no", 1.25, None))
    plan = owned(*rows)
    assert read_csv(parts_csv(plan), Plan.demo()) == rows
    assert read_csv(parts_csv(plan), plan) == rows


def test_parts_that_the_file_leaves_out_stay():
    plan = owned((KEY, "yes", 0.05, None))
    assert read_csv(file(f"{OTHER},yes,,"), plan) == (
        (KEY, "yes", 0.05, None), (OTHER, "yes", None, None))


def test_no_price_no_note_and_not_at_hand_is_nothing_to_keep():
    assert read_csv(file(f"{KEY},no,,"), owned((KEY, "yes", 0.05, None))) == ()


@pytest.mark.parametrize("text", [
    f"key;have;price\r\n{KEY};yes;0,5\r\n", f"key\thave\tprice\n{KEY}\tYES\t0.5\n",
    f"\ufeffhave,price,key\n1,0.5,{KEY}", f"\n\nkey,have,price\n\n{KEY},x,0.5\n\n",
    f'"key","have","price"\r"{KEY}","y","0.50"\r', f"key,colour,have,price\n{KEY},red,yes,0.5\n"])
def test_as_spreadsheets_leave_it(text):
    assert read_csv(text, Plan.demo()) == ((KEY, "yes", 0.5, None),)
    assert read_csv(text.encode(), Plan.demo()) == ((KEY, "yes", 0.5, None),)


def test_an_empty_list_of_lines_changes_nothing():
    plan = owned((KEY, "yes", 0.05, None))
    assert read_csv(file(), plan) == plan.value(OWNED)


@pytest.mark.parametrize(("content", "line", "reason"), [
    ("", 1, "the file is empty"), (b"", 1, "the file is empty"), (" \r\n ", 1, "the file is empty"),
    ("part,have\nx,yes\n", 1, "“key” is not among them; it begins “part”"),
    ("\n\nkey,price\nx,1\n", 3, "“have” is not among them"),
    ("key,have,have\nx,yes,no\n", 1, "the column “have” is there twice"),
    (file(f"{KEY},yes,,", f"{KEY},no,,"), 3, "stands on line 2 already"),
    (file(f"{KEY},yes,,", "capacitor 11 nF,yes,,"), 3, "has no part “capacitor 11 nF”"),
    (file(f"{KEY},yes,cheap,"), 2, "must begin with a number"),
    (file(f'{KEY},yes,"3,500",'), 2, "can be read two ways"),
    (file(f"{KEY},yes,-1,"), 2, "below what is allowed"),
    (file(f"{KEY},yes,1e999,"), 2, "too large"),
    (file(f"{KEY},yes,nan,"), 2, "must begin with a number"),
    (file(f"{KEY},yes,=1+1,"), 2, "must begin with a number"),
    (file(f"{KEY},perhaps,,"), 2, "“have” is “perhaps”: write no or yes"),
    (file(f"{KEY},yes"), 2, "it has 2 cells where the first line has 4"),
    (file(f"{KEY},yes,,,,"), 2, "it has 6 cells"),
    (file(f"{KEY},yes,,a|b"), 2, "leave the upright stroke out"),
    (file(f"{KEY},yes,,{'x' * 81}"), 2, "too long"),
    (file(f'{KEY},yes,,"never closed', f"{OTHER},yes,,"), 2, "a quotation mark is opened"),
    (file(f'{KEY},yes,,"a"b'), 2, "a quotation mark"),
    (file(f'"{KEY}",yes,,"two\r\nlines"', "x,y,,"), 2, "control character or a line break"),
    (file(f"{KEY},yes,,a\0b"), 2, "an empty byte"),
    (file(f"{KEY},yes,,").encode() + b"\xff\xfe,no,,\r\n", 3, "not written in UTF-8"),
    (file(f"{KEY},yes,,").encode("utf-16"), 1, "not written in UTF-8"),
    (file(f"{KEY},yes,,gr\ufffdn"), 2, "a letter that was lost"),
    (b"x" * 200_001, 1, "more than 200 kilobytes"),
    ("%PDF-1.7 binary", 1, "“key” is not among them"),
])
def test_damage_is_met_with_the_line_and_the_reason(content, line, reason):
    plan = owned((KEY, "yes", 0.05, "kept"))
    before = plan.to_text()
    with pytest.raises(DamagedFile) as met:
        read_csv(content, plan)
    assert met.value.line == line and reason in str(met.value)
    assert str(met.value).startswith(f"Line {line}: ")
    assert str(met.value).endswith("Nothing was changed.") and plan.to_text() == before


@settings(max_examples=150, deadline=None)
@given(st.one_of(st.binary(max_size=300), st.text(max_size=300),
                 st.text(alphabet='key,have\r\n";|=\t\0yesno0.5', max_size=200)))
def test_whatever_comes_in_is_read_or_refused_in_one_sentence(content):
    try:
        rows = read_csv(content, Plan.demo())
    except DamagedFile as fault:
        assert str(fault).endswith("Nothing was changed.") and len(str(fault)) < 400
        assert "\n" not in str(fault)
    else:
        assert all(row[0] in {part.key for part in parts_of(Plan.demo())} for row in rows)


def test_a_name_with_a_quotation_mark_survives():
    part = parts_of(Plan.demo())[0]
    rows = table(write_csv([part]))
    assert rows[1][0] == part.key


# On the sheet ------------------------------------------------------------------------------------

def test_the_sheet_has_every_line_and_says_what_stops_the_build():
    blocks = parts_blocks(owned((KEY, "yes", 0.5, None)))
    words = " ".join(getattr(block, "text", "") for block in blocks)
    lines = len(parts_of(Plan.demo()))
    assert f"{lines - 1} of {lines} lines" in words and "Stops the build while it is missing: mains transf" in words
    tables = {getattr(block, "caption", ""): getattr(block, "rows", ()) for block in blocks}
    rows, holding = tables["Parts list"], tables["Parts list: what holds it together"]
    assert len(rows) + len(holding) == lines
    # The demo's winding is rated 55 mA and carries 78 mA (see the supply's own tests).
    transformer = next(row for row in rows if row[0] == "mains transformer")
    assert transformer[2].startswith("230 V each half; TOO SMALL for this plan: ")
    # By hand: the demo's shafts with a plain knob are four, its tag strips eleven (see the plan's tests).
    assert {(row[0], row[3]) for row in holding} >= {("knob", "4"), ("tag strip", "11")}
    assert next(row for row in rows if row[1] == "10 nF")[-2:] == ("yes", "0.5")


def test_places_name_their_stage_once():
    assert shorter(("mixer C2", "mixer C3", "oscillator C6", "dial", "power supply R1, bleeder")) == (
        "mixer C2, C3; oscillator C6; dial; power supply R1, bleeder")

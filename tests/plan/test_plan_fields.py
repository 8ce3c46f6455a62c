"""The registry of fields: every row whole, every value of a wrong kind refused in a sentence."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.compute.quantities import UNITS, Unclear
from rxlearn.plan.field import LONGEST_NAME, STATUSES, clean_text, quantity, table, text
from rxlearn.plan.fields import FIELDS, SECTIONS, field_of

anything = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.text(), st.binary(),
    st.complex_numbers(), st.lists(st.integers()), st.dictionaries(st.text(), st.integers()),
    st.decimals(),
)


@pytest.mark.parametrize("row", FIELDS.values(), ids=FIELDS)
def test_every_row_is_whole(row):
    assert row.check(row.demo) == row.demo
    assert row.demo_status in STATUSES
    assert row.unit in UNITS
    assert row.section in SECTIONS
    # A table's columns may need a second sentence.
    assert row.why.endswith(".") and row.why.count(". ") <= (row.kind == "table")
    assert row.label and row.show(row.demo)
    assert (row.range is not None) == (row.kind in ("quantity", "count"))
    assert bool(row.choices) == (row.kind == "choice")
    assert bool(row.columns) == (row.kind == "table")


@pytest.mark.parametrize("row", FIELDS.values(), ids=FIELDS)
def test_what_is_shown_can_be_read_back(row):
    assert row.read(row.show(row.demo)) == row.demo
    for choice in row.choices:
        assert row.read(str(choice)) == row.read(row.show(choice)) == choice


@pytest.mark.parametrize("row", FIELDS.values(), ids=FIELDS)
@given(value=anything)
@settings(max_examples=40)
def test_nothing_but_a_good_value_passes(row, value):
    try:
        taken = row.check(value)
    except Unclear as fault:
        assert str(fault).startswith(row.label) and str(fault).endswith(".")
        assert "\n" not in str(fault)
        return
    assert type(taken) in (float, int, str, tuple)
    if row.kind == "quantity":
        assert row.range.low <= taken <= row.range.high and math.copysign(1, taken) == 1
    if row.kind == "count":
        assert type(value) is int and row.range.low <= taken <= row.range.high
    if row.kind == "choice":
        assert taken in row.choices and type(value) is type(taken)
    if row.kind == "text":
        assert 1 <= len(taken) <= LONGEST_NAME and "\n" not in taken


@pytest.mark.parametrize("value", [True, "3.5 MHz", "3500000", None, math.nan, math.inf, -1.0,
                                   1e12])
def test_a_quantity_refuses_what_is_no_number_in_range(value):
    with pytest.raises(Unclear, match="^Intermediate frequency"):
        field_of("intermediate_frequency").check(value)


@pytest.mark.parametrize("value", [0, 3, 1.0, 1.5, True, "1", None])
def test_a_count_refuses_what_is_no_whole_number_in_range(value):
    with pytest.raises(Unclear, match="whole number from 1 to 2"):
        field_of("preselector.circuits").check(value)


@pytest.mark.parametrize("value", [0, 4, True, 1.0, "1", "Region 1", None, [1]])
def test_a_region_is_one_of_three_whole_numbers(value):
    with pytest.raises(Unclear, match="ITU region must be one of these: 1 "):
        field_of("region").check(value)


def test_typed_text_is_read_with_its_unit():
    assert field_of("intermediate_frequency").read("3.276 8 MHz") == 3_276_800.0
    assert field_of("oscillator.capacitance_swing").read("40 pF") == 40e-12
    assert field_of("preselector.circuits").read("2") == 2
    assert field_of("region").read(" 3 ") == 3
    assert field_of("upper_band.injection").read("High") == "high"
    assert field_of("upper_band.injection").read("low side") == "low"
    with pytest.raises(Unclear, match="what\\? Add the unit"):
        field_of("lower_band.low").read("3.5")
    with pytest.raises(Unclear, match="two ways"):
        field_of("lower_band.low").read("3,500 kHz")
    with pytest.raises(Unclear, match="whole number"):
        field_of("preselector.circuits").read("1.5")


MARKUP = ["<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "$\\frac{1}{2}$", "**bold**",
          "](javascript:alert(1))", "&lt;b&gt;", "'; DROP TABLE", "{{ 7*7 }}", "=1+1"]


@pytest.mark.parametrize("text", MARKUP)
def test_markup_is_kept_as_the_plain_text_it_is(text):
    assert field_of("receiver.name").check(text) == text


@pytest.mark.parametrize("text", [
    "", " ", "\u200d", "a\nb", "a\tb", "a\x00b", "a\x1b[31mb", "a\u202eb", "a\u2028b", "a\ud800",
    "x" * 81, "\u0344" * 80,
])
def test_text_that_would_mislead_or_break_a_line_is_refused(text):
    with pytest.raises(Unclear, match="^Receiver name"):
        field_of("receiver.name").check(text)


@given(st.text(max_size=200))
@settings(max_examples=150)
def test_cleaning_text_twice_changes_nothing_more(text):
    try:
        once = clean_text(text, "Name", 80)
    except Unclear:
        return
    assert clean_text(once, "Name", 80) == once


def test_an_unknown_field_is_named():
    with pytest.raises(KeyError, match="no field “nonsense”"):
        field_of("nonsense")


CRYSTALS = table(
    "drawer", "Crystals in your drawer",
    (quantity("frequency", "Frequency", "Hz", 100e3, 60e6),
     text("note", "Note", optional=True)),
    section="crystals", why="What you have costs nothing.",
)


def test_rows_of_a_table_are_typed_a_line_each_and_read_back():
    typed = "3.2768 MHz | from a clock\n\n4 MHz\n"
    rows = CRYSTALS.read(typed)
    assert rows == ((3.2768e6, "from a clock"), (4e6, None))
    assert CRYSTALS.show(rows) == "3.2768 MHz | from a clock\n4 MHz"
    assert CRYSTALS.read(CRYSTALS.show(rows)) == rows
    assert CRYSTALS.show(()) == "none" and CRYSTALS.read("none") == CRYSTALS.read(" \n") == ()
    assert CRYSTALS.hint == "A row on each line: frequency | note (may be blank)"


@pytest.mark.parametrize(("typed", "says"), [
    ("4 MHz\nfour | old", "row 2"),
    ("| no frequency", "row 1"),
    ("4 MHz | a | b", "has 3 cells"),
    ("4 Mhz | a\x07", "row 1"),
    ("900 MHz", "60 MHz"),
    ("4 MHz\n" * 201, "at most 200 rows"),
])
def test_a_table_names_the_row_that_will_not_do(typed, says):
    with pytest.raises(Unclear, match=says) as fault:
        CRYSTALS.read(typed)
    assert str(fault.value).startswith(CRYSTALS.label) and str(fault.value).endswith(".")


@pytest.mark.parametrize("value", [
    4e6, "4 MHz", None, [4e6], [(4e6,)], [(4e6, "a", "b")], [("4 MHz", "a")], [(math.nan, "a")],
    [(None, "a")], [(4e6, "a|b")], {"frequency": 4e6}, [{"frequency": 4e6}],
])
def test_nothing_but_rows_of_its_cells_makes_a_table(value):
    with pytest.raises(Unclear):
        CRYSTALS.check(value)

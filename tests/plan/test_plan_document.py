"""The plan as a value and as a file: exact there and back, nonsense refused, nothing lost."""

import json
import math
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.plan.document import (
    DEMO_ORIGIN,
    FORMAT,
    LARGEST_TEXT,
    Change,
    NewerPlan,
    Plan,
    PlanFault,
    migrated,
)
from rxlearn.plan.fields import FIELDS

QUANTITIES = [row for row in FIELDS.values() if row.kind == "quantity"]


def document():
    """The demo plan's file as plain data, to be spoilt."""
    return json.loads(Plan.demo().to_text())


def fault_of(text):
    with pytest.raises(PlanFault) as caught:
        Plan.from_text(text)
    assert_sentences(caught.value)
    return caught.value


def assert_sentences(fault):
    assert fault.sentences
    for sentence in fault.sentences:
        assert sentence.endswith(".") and "\n" not in sentence and len(sentence) < 400


def test_the_demo_plan_is_complete_and_says_where_it_comes_from():
    plan = Plan.demo()
    assert list(plan.entries) == list(FIELDS)
    assert {plan.entry(key).origin for key in FIELDS} == {DEMO_ORIGIN}
    assert plan.shown("intermediate_frequency") == "3.2768 MHz"
    assert plan.shown("oscillator.inductance") == "1.83 µH"
    assert plan.shown("upper_band.injection") == "low side"
    assert plan.value("region") == 2 and plan.value("preselector.circuits") == 1


def test_a_quantity_reads_like_the_trade_writes_it():
    line = '"intermediate_frequency": {"value": 3.2768, "unit": "MHz", "status": "wished"'
    assert line in Plan.demo().to_text()
    assert document()["values"]["oscillator.capacitance_swing"]["value"] == 40
    assert document()["values"]["oscillator.capacitance_swing"]["unit"] == "pF"


def test_there_and_back_the_demo_plan_is_the_same():
    assert Plan.from_text(Plan.demo().to_text()) == Plan.demo()


def in_range(row):
    return st.floats(row.range.low, row.range.high)


@given(st.data())
@settings(max_examples=50)
def test_every_float_comes_back_exactly(data):
    """Edges of the bands aside, which have rules: any float in any quantity, with uncertainty."""
    changes = {
        row.key: Change(
            value=data.draw(in_range(row)), status=data.draw(st.sampled_from(
                ["wished", "computed", "measured"])),
            origin="a test", uncertainty=data.draw(st.none() | in_range(row)),
        )
        for row in QUANTITIES if "band" not in row.key and row.key != "intermediate_frequency"
    }
    plan = Plan.demo().changed(changes)
    again = Plan.from_text(plan.to_text())
    assert again == plan
    for key, change in changes.items():
        assert again.value(key) == change.value
        assert again.entry(key).uncertainty == change.uncertainty


@given(st.floats(4.1e6, 10.0e6), st.floats(100e3, 3.49e6))
@settings(max_examples=50)
def test_every_frequency_comes_back_exactly_and_means_what_is_written(high, intermediate):
    plan = Plan.demo().changed({
        "lower_band.high": Change(value=high, status="measured", origin="bench"),
        "intermediate_frequency": Change(value=intermediate, status="measured", origin="bench"),
    })
    text = plan.to_text()
    assert Plan.from_text(text) == plan
    written = json.loads(text, parse_float=Decimal)["values"]["lower_band.high"]
    assert written["unit"] == "MHz"
    assert float(Decimal(written["value"]) * 1_000_000) == high


@pytest.mark.parametrize("unit, number", [
    ("Hz", "3276800"), ("kHz", "3276.8"), ("MHz", "3.2768"), ("GHz", "0.0032768"),
    ("MHz", "3.27680000"), ("kHz", "3.2768e3"),
])
def test_any_prefix_that_a_hand_may_write_is_read(unit, number):
    text = Plan.demo().to_text().replace(
        '"value": 3.2768, "unit": "MHz"', f'"value": {number}, "unit": "{unit}"')
    assert Plan.from_text(text) == Plan.demo()


def test_changes_come_with_status_origin_and_uncertainty_and_leave_the_old_plan_alone():
    before = Plan.demo()
    after = before.changed({"intermediate_frequency": Change(
        value=3.276812e6, status="measured", origin="my counter", uncertainty=5.0)})
    entry = after.entry("intermediate_frequency")
    assert (entry.value, entry.unit, entry.status) == (3.276812e6, "Hz", "measured")
    assert (entry.origin, entry.uncertainty) == ("my counter", 5.0)
    assert after.shown("intermediate_frequency") == "3.276812 MHz"
    assert before == Plan.demo() != after
    with pytest.raises(TypeError):
        after.entries["region"] = entry


def test_every_fault_of_a_change_is_listed():
    with pytest.raises(PlanFault) as caught:
        Plan.demo().changed({
            "lower_band.low": Change(value=5.0, status="hoped", origin=""),
            "preselector.circuits": Change(value=3, status="wished", origin="x", uncertainty=1.0),
            "no.such": Change(value=1.0, status="wished", origin="x"),
            "region": "2",
        })
    told = caught.value.sentences
    assert len(told) == 7
    for part in ("5 Hz is below", "“status” must be one of", "origin is empty", "from 1 to 2",
                 "leave its uncertainty out", "no field “no.such”", "give a Change"):
        assert sum(part in sentence for sentence in told) == 1, part
    assert str(caught.value) == " ".join(told)


@pytest.mark.parametrize("uncertainty", [-1.0, math.nan, math.inf, True, "1", 1e12])
def test_an_uncertainty_is_a_width(uncertainty):
    with pytest.raises(PlanFault, match="uncertainty must be from 0"):
        Plan.demo().changed({"intermediate_frequency": Change(
            value=3.2768e6, status="measured", origin="x", uncertainty=uncertainty)})


@pytest.mark.parametrize("key", ["no.such", "", 3, None])
def test_an_unknown_key_is_named(key):
    with pytest.raises(KeyError, match="no field"):
        Plan.demo().value(key)


# Reading what others wrote ------------------------------------------------------------------


def test_missing_fields_get_their_demo_values():
    spoilt = document()
    spoilt["values"] = {"preselector.loaded_q": {"value": 80, "status": "measured", "origin": "me"}}
    plan = Plan.from_text(json.dumps(spoilt))
    assert plan.value("preselector.loaded_q") == 80.0
    assert plan.value("intermediate_frequency") == 3_276_800.0
    assert plan.entry("intermediate_frequency").origin == DEMO_ORIGIN


def test_what_a_newer_rxlearn_wrote_is_kept_through_changes():
    newer = document()
    newer["made_with"] = {"deep": [1, {"x": None}, 2.50]}
    newer["model_config"] = "a name that means something to the reader's library"
    newer["values"]["detector.kind"] = {"value": 1e-7, "unit": "F", "status": "new", "<b>": True}
    newer["values"]["region"]["chosen_on"] = "2027-01-01"
    newer["values"]["preselector.loaded_q"]["chosen_on"] = "2027-01-01"
    plan = Plan.from_text(json.dumps(newer))
    plan = plan.changed({"preselector.loaded_q": Change(value=60.0, status="measured", origin="x")})
    again = json.loads(plan.to_text())
    assert again["made_with"] == newer["made_with"]
    assert again["model_config"] == newer["model_config"]
    assert again["values"]["detector.kind"] == newer["values"]["detector.kind"]
    assert again["values"]["region"] == newer["values"]["region"]
    # The old value's extra says nothing about the new value.
    assert "chosen_on" not in again["values"]["preselector.loaded_q"]
    assert Plan.from_text(plan.to_text()) == plan


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=8,
)


@given(st.dictionaries(st.text(), json_values, max_size=5),
       st.dictionaries(st.text(), json_values, max_size=5))
@settings(max_examples=50)
def test_any_unknown_member_comes_back_or_is_refused(outer, values):
    newer = document()
    for name, node in outer.items():
        newer.setdefault(name, node)
    for name, node in values.items():
        newer["values"].setdefault(name, node)
    try:
        plan = Plan.from_text(json.dumps(newer))
    except PlanFault as fault:  # halves of characters, numbers out of all reason
        assert all(sentence.endswith(".") for sentence in fault.sentences)
        return
    assert json.loads(plan.to_text()) == newer


def test_a_newer_version_is_refused_but_not_as_damaged():
    newer = document() | {"version": 3}
    with pytest.raises(NewerPlan, match="version 3 .* bring rxlearn up to date"):
        Plan.from_text(json.dumps(newer))


@pytest.mark.parametrize("version", [None, True, 1.0, "1", [], {}, 0, -3])
def test_a_version_that_never_was_is_refused(version):
    assert "version" in str(fault_of(json.dumps(document() | {"version": version})))


def test_older_versions_are_brought_up_step_by_step():
    """Two invented steps: each sees what the one before it made."""
    def to_2(old):
        return {**old, "values": {"name": old["title"]}}

    def to_3(old):
        return {**old, "values": {"receiver." + key: at for key, at in old["values"].items()}}

    old = {"format": FORMAT, "version": 1, "title": "first"}
    new = migrated(old, migrations={1: to_2, 2: to_3}, version=3)
    assert new["version"] == 3 and new["values"] == {"receiver.name": "first"}
    assert old == {"format": FORMAT, "version": 1, "title": "first"}
    with pytest.raises(PlanFault, match="never been a version 1"):
        migrated(old, migrations={2: to_3}, version=3)
    with pytest.raises(NewerPlan):
        migrated(old | {"version": 4}, migrations={1: to_2, 2: to_3}, version=3)


@pytest.mark.parametrize("node", [None, True, 3, 3.5, "plan", [], [1], {}, {"format": "x"}])
def test_other_documents_are_no_plan(node):
    assert "format" in str(fault_of(json.dumps(node)))


@pytest.mark.parametrize("text", [None, b"{}", 3])
def test_only_text_is_read(text):
    fault_of(text)


OF_A_KIND = list({row.kind: key for key, row in reversed(FIELDS.items())}.values())
"""The first field of each kind: all of a kind are read by the same lines."""
PLACES = [("values",), *(("values", key) for key in OF_A_KIND),
          *(("values", key, "value") for key in FIELDS), *(
    ("values", key, member) for key in OF_A_KIND for member in ("unit", "status", "origin")
    if member in document()["values"][key]
), ("values", "oscillator.inductance", "uncertainty")]
WRONG = [None, True, False, -1, 10**50, 0.123, -2.5, 1e299, "", "<b>x</b>", "NaN", [], [1], {},
         {"a": 1}]


@pytest.mark.parametrize("place", PLACES, ids=".".join)
def test_every_type_in_every_place_is_taken_or_refused_in_sentences(place):
    refused = 0
    tries = WRONG if place == ("values",) or place[1] in OF_A_KIND else WRONG[::4]
    for wrong in tries:
        spoilt = document()
        node = spoilt
        for name in place[:-1]:
            node = node[name]
        node[place[-1]] = wrong
        try:
            plan = Plan.from_text(json.dumps(spoilt))
        except PlanFault as fault:
            assert_sentences(fault)
            refused += 1
            if len(place) > 1:
                assert FIELDS[place[1]].label.split(",")[0].lower() in str(fault).lower()
            continue
        assert Plan.from_text(plan.to_text()) == plan
    # Only a name, an origin or a number in range may take one or two of these.
    assert refused >= len(tries) - (4 if tries is WRONG else 2)


@given(st.sampled_from(PLACES), json_values)
@settings(max_examples=50)
def test_anything_anywhere_is_taken_whole_or_refused_in_sentences(place, wrong):
    spoilt = document()
    node = spoilt
    for name in place[:-1]:
        node = node[name]
    node[place[-1]] = wrong
    try:
        plan = Plan.from_text(json.dumps(spoilt))
    except PlanFault:
        fault_of(json.dumps(spoilt))
    else:
        assert Plan.from_text(plan.to_text()) == plan


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e400", "-3.5", "1e99",
                                    "9" * 70, "0"])
def test_absurd_numbers_are_refused(number):
    fault_of(Plan.demo().to_text().replace("3.2768", number))


@pytest.mark.parametrize("unit, says", [
    ("mHz", "millihertz"), ("", "what\\? Add the unit"), ("pF", "unit of capacitance"),
    ("furlong", "no unit that I know"), ("M", "no whole unit"),
])
def test_a_wrong_unit_is_refused_with_its_reason(unit, says):
    text = Plan.demo().to_text().replace('3.2768, "unit": "MHz"', f'3.2768, "unit": "{unit}"')
    with pytest.raises(PlanFault, match=says):
        Plan.from_text(text)


def test_a_quantity_written_in_quotes_is_told_how_to_be_written():
    text = Plan.demo().to_text().replace('"value": 3.2768,', '"value": "3.2768",')
    assert '{"value": 3.2768, "unit": "MHz"}' in str(fault_of(text))


def test_keys_given_twice_are_refused():
    text = Plan.demo().to_text().replace('"values": {', '"values": {"region": 1,', 1)
    assert "“region” twice" in str(fault_of(text))


def test_a_huge_text_is_refused_without_being_read():
    assert "too large" in str(fault_of(Plan.demo().to_text() + " " * LARGEST_TEXT))
    assert "too large" in str(fault_of("[" * 100_000_000))


def test_every_fault_of_a_file_is_listed():
    spoilt = document()
    spoilt["values"]["region"]["value"] = 9
    spoilt["values"]["receiver.name"]["value"] = ""
    del spoilt["values"]["lower_band.low"]["status"]
    spoilt["values"]["lower_band.high"]["origin"] = 3
    assert len(fault_of(json.dumps(spoilt)).sentences) == 4


@pytest.mark.parametrize("text", ["<script>alert(1)</script>", "&amp;<b>", "`rm`", "$x$",
                                  "“”'\"\\"])
def test_markup_stays_plain_text_in_names_and_origins(text):
    plan = Plan.demo().changed({
        key: Change(value=text, status="wished", origin=text)
        for key, row in FIELDS.items() if row.kind == "text"
    })
    again = Plan.from_text(plan.to_text())
    assert again == plan and again.shown("receiver.name") == text


@given(st.integers(0, 1900), st.integers(0, 7))
@settings(max_examples=50)
def test_a_file_with_one_bit_turned_is_refused_or_still_a_plan(at, bit):
    data = bytearray(Plan.demo().to_text().encode())
    data[at % len(data)] ^= 1 << bit
    try:
        text = data.decode()
        plan = Plan.from_text(text)
    except UnicodeDecodeError:
        return
    except PlanFault:
        fault_of(text)
        return
    assert Plan.from_text(plan.to_text()) == plan


@given(st.floats(0, 1, exclude_max=True))
@settings(max_examples=80)
def test_a_file_cut_short_is_refused(part):
    text = Plan.demo().to_text().rstrip()
    fault_of(text[: int(part * len(text))])


@given(rows=st.lists(st.tuples(
    st.floats(100e3, 60e6), st.one_of(st.none(), st.sampled_from(["a clock", "<b>", "3 for 1"]))
), max_size=5))
def test_the_rows_of_a_table_come_back_from_the_file_to_the_last_digit(rows):
    plan = Plan.demo().changed({
        "crystals.drawer": Change(value=rows, status="wished", origin="test")
    })
    again = Plan.from_text(plan.to_text())
    assert again.value("crystals.drawer") == tuple(rows)
    assert again.to_text() == plan.to_text()


@pytest.mark.parametrize(("rows", "says"), [
    ([{"frequency": "4 MHz", "colour": "red"}], "row 1: “colour” is no cell"),
    ([{"frequency": "4 MHz"}, {"note": "lost"}], "row 2: Frequency"),
    ([{"frequency": 4e6}], "row 1: Frequency must stand in quotes"),
    ([{"frequency": "four"}], "row 1"),
    (["4 MHz"], "a list of rows in braces"),
    ("4 MHz", "must be a list of rows"),
])
def test_a_damaged_table_is_met_with_its_row(rows, says):
    document = json.loads(Plan.demo().to_text())
    document["values"]["crystals.drawer"]["value"] = rows
    with pytest.raises(PlanFault, match=says):
        Plan.from_text(json.dumps(document))

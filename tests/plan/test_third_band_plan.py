"""A third band in the plan: its rows by hand, its rules, and files from before."""

import json

import pytest

from rxlearn.plan import rules
from rxlearn.plan.consequences import compare, derive
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.fields import FIELDS
from rxlearn.plan.proposals import proposal
from rxlearn.plan.third_band import converter_of, example_of
from rxlearn.plan.third_band_fields import THIRD_BAND_FIELDS
from rxlearn.plan.third_band_rows import NONE_WANTED, THIRD_BAND_ROWS

PAIRS = {
    # lower band, upper band (Hz) and intermediate frequency, Hz
    "demo": (3.5e6, 4.0e6, 10.1e6, 10.15e6, 3.2768e6),
    "20 m + 17 m": (14.0e6, 14.35e6, 18.068e6, 18.168e6, 2.0e6),
    "160 m + 30 m": (1.8e6, 2.0e6, 10.1e6, 10.15e6, 4.096e6),
    "17 m + 10 m": (18.068e6, 18.168e6, 28.0e6, 29.7e6, 5.0e6),
    "80 m + 12 m": (3.5e6, 4.0e6, 24.89e6, 24.99e6, 10.7e6),
    "no oscillator for the lower band": (3.5e6, 3.501e6, 10.1e6, 10.15e6, 3.499e6),
}


def changed(plan=None, **values):
    return (plan or Plan.demo()).changed({
        key.replace("__", "."): Change(value=at, status="wished", origin="a test")
        for key, at in values.items()
    })


def pair(name, **more):
    keys = ("lower_band__low", "lower_band__high", "upper_band__low", "upper_band__high",
            "intermediate_frequency")
    return changed(**dict(zip(keys, PAIRS[name])), **more)


def rows(plan):
    return {label: row for label, row in derive(plan).items() if label in THIRD_BAND_ROWS}


def test_the_demo_converter():
    """DERIVED: 18.068 − 14.31818 = 3.74982 MHz; image 14.31818 − 3.84982 = 10.46836 MHz."""
    text = {label: row.text for label, row in rows(changed(third_band__wanted="yes")).items()}
    assert text["Third band, on the main dial"] == (
        "18.068 to 18.168 MHz on 3.74982 to 3.84982 MHz of the 80 m dial, tuning upwards")
    assert text["Third band, shares"] == (
        "100 % of the band, on 20 % of the dial, from 50 % to 70 %")
    marks = text["Third band, marks on the main dial"]
    assert marks.startswith("18.07 at 3.75182, 18.08 at 3.76182, ")
    assert marks.endswith(", 18.16 at 3.84182 MHz") and marks.count(" at ") == 10
    assert text["Third band, sideband"] == "comes out inverted"
    assert text["Third band, beat oscillator for an upper sideband"] == "3.279895 MHz"
    assert text["Third band, the converter's image"] == "10.46836 to 10.56836 MHz"
    assert text["Third band, image rejection at the worse edge"] == "35 dB"
    assert text["Third band, amateur bands that the crystal falls into"] == (
        "20 m (the crystal itself); 10 m (its harmonic 2)")
    assert text["Third band, next best crystal at hand"].startswith("22.1184 MHz, 50 %")


def test_15_m_turned_round():
    """DERIVED: 25 − 21 = 4.0 and 25 − 21.45 = 3.55 MHz; two inversions make it upright again."""
    text = {label: row.text for label, row in rows(changed(
        third_band__wanted="yes", third_band__name="15 m", third_band__low=21.0e6,
        third_band__high=21.45e6, converter__crystal=25e6)).items()}
    assert text["Third band, on the main dial"].startswith("21 to 21.45 MHz on 3.55 to 4 MHz")
    assert text["Third band, on the main dial"].endswith("tuning backwards")
    assert text["Third band, sideband"] == "comes out upright"
    assert text["Third band, the converter's image"] == "28.55 to 29 MHz, where the table has 10 m"
    # 3·O on the IF by hand: 21.03573 MHz (see the compute tests).
    assert text["Third band, whistles between the two oscillators"].startswith("21.03573 MHz, ")


def test_no_third_band_is_wanted_until_the_learner_says_so():
    assert {row.text for row in rows(Plan.demo()).values()} == {NONE_WANTED}
    differences = compare(Plan.demo(), changed(third_band__wanted="yes"))
    # A converter's parts are to be bought, too, and its stages draw current.
    assert {row.label for row in differences if not row.direct
            and not row.label.startswith(("Parts", "Stages, "))} == set(THIRD_BAND_ROWS)
    assert {row.label for row in differences if row.label.startswith("Stages, ")} == {
        "Stages, heaters together", "Stages, anodes and screens together",
        "Stages, heaters against published figures"}


@pytest.mark.parametrize("more, reason", [
    ({"converter__crystal": 9e6}, "beyond the tunable range 3.5 to 4 MHz"),
    ({"third_band__low": 10e6, "third_band__high": 10.2e6, "converter__crystal": 6.4e6},
     "The receiver tunes 17 m already"),
    ({"lower_band__injection": "low", "intermediate_frequency": 1e6,
      "converter__main_band": "upper_band"}, "beyond the tunable range 10.1 to 10.15 MHz"),
])
def test_a_wish_that_cannot_work_is_kept_and_told_once(more, reason):
    found = list(rows(changed(third_band__wanted="yes", **more)).values())
    assert reason in found[0].text and not found[0].possible
    assert sum(reason in row.text for row in found) <= 2


@pytest.mark.parametrize("name", PAIRS)
@pytest.mark.parametrize("main", ["lower_band", "upper_band"])
@pytest.mark.parametrize("wanted", ["no", "yes"])
def test_any_pair_of_bands_has_something_to_draw(name, main, wanted):
    plan = pair(name, converter__main_band=main, third_band__wanted=wanted)
    third = example_of(plan)
    assert third.planned().works
    assert third.own == (third.note == "")
    assert third.main_name == plan.value(f"{main}.name")
    if third.own and wanted == "yes":
        assert converter_of(plan) == third.planned()
    if not third.own:
        assert "stand in." in third.note or "stands in." in third.note
    for row in rows(plan).values():
        assert row.possible or row.text.endswith(".")


def test_the_learners_drawer_is_used():
    plan = changed(third_band__wanted="yes", crystals__drawer=((14.4e6, None),),
                   converter__crystal=9e6)
    assert example_of(plan).crystal == 14.4e6
    row = rows(plan)["Third band, next best crystal at hand"].text
    assert row.startswith("14.4 MHz, 100 %")


def test_a_crystal_inside_the_band_is_refused_only_where_the_band_is_wanted():
    values = {key: row.demo for key, row in FIELDS.items()} | {"converter.crystal": 18.1e6}
    assert rules.faults(values) == []
    [fault] = rules.faults(values | {"third_band.wanted": "yes"})
    assert "inside the third band (17 m)" in fault and "fold over itself" in fault
    [fault] = rules.faults(values | {"third_band.low": 19e6})
    assert fault.startswith("The third band (17 m) has its low edge at 19 MHz")


def test_a_file_from_before_opens_and_wants_no_third_band():
    document = json.loads(pair("160 m + 30 m").to_text())
    for field in THIRD_BAND_FIELDS:
        del document["values"][field.key]
    plan = Plan.from_text(json.dumps(document))
    assert plan.value("lower_band.low") == 1.8e6
    assert plan.value("third_band.wanted") == "no"
    assert plan.value("converter.crystal") == 14.31818e6
    assert Plan.from_text(plan.to_text()) == plan


def test_the_lesson_proposes_its_own_fields():
    assert [row.key for row in proposal("third_band", Plan.demo())] == [
        field.key for field in THIRD_BAND_FIELDS]

"""Answers on a third band against arithmetic written out; the expected numbers use no rxlearn."""

import math

import pytest

from rxlearn.exercises import registry
from rxlearn.exercises.questions import fresh_numbers, judge
from rxlearn.exercises.worked_examples import worked_steps
from rxlearn.plan.document import Change, Plan

# Invented for the workbook: the demo's converter with a station on 18.1 MHz.
DEMO = {"own": False, "name": "17 m", "low": 18.068e6, "high": 18.168e6, "crystal": 14.31818e6,
        "main_low": 3.5e6, "main_high": 4.0e6, "main_name": "80 m", "injection": "high",
        "intermediate_frequency": 3.2768e6, "loaded_q": 50.0, "circuits": 1, "signal": 18.1e6}
TURNED = DEMO | {"name": "15 m", "low": 21e6, "high": 21.45e6, "crystal": 25e6, "signal": 21.2e6}


def answer(key, **numbers):
    return registry.find(key).answer(numbers)


def truth(key):
    return registry.find_prediction(key).truth()


def changed(**values):
    return Plan.demo().changed({
        key.replace("__", "."): Change(value=at, status="wished", origin="a test")
        for key, at in values.items()
    })


def test_landing_and_image():
    """DERIVED: 18.1 − 14.31818 and 2·14.31818 − 18.1; 25 − 21.2 and 2·25 − 21.2 MHz."""
    assert answer("third.landing", **DEMO) == pytest.approx(3.78182e6, rel=1e-6, abs=0)
    assert answer("third.image", **DEMO) == pytest.approx(10.53636e6, rel=1e-6, abs=0)
    assert answer("third.landing", **TURNED) == pytest.approx(3.8e6, rel=1e-6, abs=0)
    assert answer("third.image", **TURNED) == pytest.approx(28.8e6, rel=1e-6, abs=0)


def test_rejection():
    """One resonator; Terman, *Radio Engineering*."""
    rho = 10.53636 / 18.1 - 18.1 / 10.53636
    assert answer("third.rejection", **DEMO) == pytest.approx(
        20 * math.log10(math.hypot(1, 50 * rho)), rel=1e-6, abs=0)


@pytest.mark.parametrize("numbers, side, expected", [
    # DERIVED: a minus sign before the signal turns it over; each of the two steps has one or none.
    (DEMO, "high", "upwards_inverted"), (DEMO, "low", "upwards_upright"),
    (TURNED, "high", "backwards_upright"), (TURNED, "low", "backwards_inverted"),
])
def test_sideband(numbers, side, expected):
    # On the low side the main band must lie above its intermediate frequency, as it does here.
    assert answer("third.sideband", **(numbers | {"injection": side})) == expected


def test_crystals():
    """DERIVED: 21 − 3.5; 32 − 3.5; 80 ppm of 25 MHz; (25 − 3.2768)/3 − 3.2768 MHz."""
    assert answer("third.crystal", low=21e6, high=21.45e6, main_low=3.5e6, main_high=4e6) == 17.5e6
    assert answer("third.reach", low=28e6, high=29.7e6, crystal=32e6, main_low=3.5e6,
                  main_high=4e6) == pytest.approx(28.5e6, rel=1e-6, abs=0)
    assert answer("third.off", crystal=25e6, reading=3.7e6, parts=80.0) == pytest.approx(2000, rel=1e-6, abs=0)
    assert answer("third.whistle", crystal=25e6, harmonic=3, intermediate_frequency=3.2768e6) == (
        pytest.approx(21.7232e6 / 3 - 3.2768e6, rel=1e-6, abs=0))


def test_the_bench():
    """DERIVED: 0.01² × 30 = 3 mW."""
    assert answer("third.overtone", crystal=27e6) == 9e6
    assert answer("third.drive", current=10e-3, resistance=30.0, rating=1e-3) == pytest.approx(3, rel=1e-6, abs=0)
    assert answer("third.direct") == "direct" and answer("third.order") == "low_first"


def test_predictions():
    """DERIVED as above; the whistle moves by ⅔ of the crystal's step: f = X − (X − IF)/3 + IF."""
    assert truth("third.predict_landing") == pytest.approx(3.78182e6, rel=1e-6, abs=0)
    assert truth("third.predict_image") == pytest.approx(10.51836e6, rel=1e-6, abs=0)
    assert truth("third.predict_direction") == "turned"
    assert truth("third.predict_whistle") == "less"


def test_the_worked_example_works_the_demo():
    text = " ".join(worked_steps("third_band", Plan.demo()))
    for part in ("the crystal on 14.31818 MHz stands below it",
                 "18.068 MHz - 14.31818 MHz = 3.74982 MHz to 18.168 MHz - 14.31818 MHz = "
                 "3.84982 MHz",
                 "which is 20 % of it", "The dial runs upwards",
                 "Only the main receiver turns the sidebands over: they come out inverted",
                 "belongs on 3.279895 MHz", "10.46836 MHz to 10.56836 MHz", "held down 35.0 dB",
                 "The crystal falls into 20 m (itself), 10 m (its harmonic 2)"):
        assert part in text
    assert "Here it stops" not in text


@pytest.mark.parametrize("values, first", [
    (dict(third_band__wanted="yes", converter__crystal=9e6), "Your plan's converter cannot work."),
    (dict(lower_band__low=1.8e6, lower_band__high=2e6, intermediate_frequency=4.096e6),
     "Your plan wants no third band yet. A crystal on 20 MHz stands in."),
])
def test_what_stands_in_comes_first(values, first):
    steps = worked_steps("third_band", changed(**values))
    assert steps[0].startswith(first) and len(steps) >= 7


PAIRS = {
    "20 m and 17 m": (14e6, 14.35e6, 18.068e6, 18.168e6, 2e6),
    "160 m and 30 m": (1.8e6, 2e6, 10.1e6, 10.15e6, 4.096e6),
    "17 m and 10 m": (18.068e6, 18.168e6, 28e6, 29.7e6, 5e6),
    "80 m and 12 m": (3.5e6, 4e6, 24.89e6, 24.99e6, 10.7e6),
}


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("main", ["lower_band", "upper_band"])
def test_questions_follow_any_pair_of_bands(pair, main):
    keys = ("lower_band__low", "lower_band__high", "upper_band__low", "upper_band__high",
            "intermediate_frequency")
    plan = changed(**dict(zip(keys, PAIRS[pair])), converter__main_band=main)
    for question in registry.for_lesson("third_band"):
        for seed in range(10):
            numbers = fresh_numbers(question, seed, plan)
            shown = question.answer(numbers) if question.options else question.show_answer(numbers)
            assert judge(question, numbers, shown).state == "right"
            if question.uses_plan:
                assert numbers["own"] and numbers["main_low"] == plan.value(f"{main}.low")
                assert numbers["main_low"] - 1 <= abs(numbers["signal"] - numbers["crystal"]) <= (
                    numbers["main_high"] + 1)


def test_a_plan_without_a_main_dial_asks_of_the_demo():
    plan = changed(lower_band__high=3.6e6, intermediate_frequency=3.4e6,
                   lower_band__injection="low")
    numbers = fresh_numbers(registry.find("third.landing"), 1, plan)
    assert numbers["own"] is True
    bands_crossed = AnotherPlan({"upper_band.low": 3.6e6, "upper_band.high": 3.7e6})
    assert fresh_numbers(registry.find("third.landing"), 1, bands_crossed)["own"] is False


class AnotherPlan:
    """The demo with some values changed that no rule has seen."""

    def __init__(self, values):
        self._values = values

    def value(self, key):
        return self._values.get(key) or Plan.demo().value(key)


def test_a_plan_without_a_third_band_is_asked_to_suppose_one():
    for wanted in ("no", "yes"):
        question = registry.find("third.landing")
        n = fresh_numbers(question, 1, changed(third_band__wanted=wanted))
        assert question.prompt(n).startswith("Suppose your") == (wanted == "no")
        assert ("wants no third band" in n["about"]) == (wanted == "no")

"""Answers of the coils' bank against arithmetic written out here, and its worked example for any plan."""

import math

import pytest

from rxlearn.exercises import registry
from rxlearn.exercises.questions import fresh_numbers, judge
from rxlearn.exercises.worked_examples import worked_steps
from rxlearn.plan.document import Change, Plan
from tests.plan.test_coils_plan import PAIRS


def plan_of(values):
    return Plan.demo().changed({
        key: Change(value=at, status="wished", origin="a test") for key, at in values.items()})


def numbers_of(key, plan=None, seed=3):
    question = registry.find(key)
    return question, fresh_numbers(question, seed, plan)


def test_turns_on_a_ring():
    """The trade's rule, N = √(L/A)."""
    question, n = numbers_of("coils.ring")
    factor = {"T37-2": 4.0, "T50-2": 4.9, "T50-6": 4.0, "T68-2": 5.7, "T68-6": 4.7}[n["core"]]
    assert question.answer(n) == pytest.approx(math.sqrt(1830 / factor), rel=1e-9, abs=0)


def test_wheelers_rule_in_millimetres():
    """H. A. Wheeler 1928, r²N²/(9r + 10l) in inches, turned into millimetres of diameter."""
    question, n = numbers_of("coils.wheeler")
    d, l = 1e3 * n["diameter"], 1e3 * n["length"]
    assert question.answer(n) == pytest.approx(
        1e-6 * d**2 * n["turns"] ** 2 / (457.2 * d + 1016 * l), rel=1e-4, abs=0)


def test_skin_and_tap_and_coupling():
    """DERIVED: √f; (n/N)²; B = √2·f/Q with k = 1/Q."""
    question, n = numbers_of("coils.skin")
    assert question.answer(n) == pytest.approx(math.sqrt(n["high"] / n["low"]), rel=1e-6, abs=0)
    question, n = numbers_of("coils.tap")
    assert question.answer(n) == pytest.approx(n["top"] * (n["tap"] / n["turns"]) ** 2, rel=1e-6, abs=0)
    question, n = numbers_of("coils.critical")
    assert question.answer(n) == pytest.approx(
        100 * n["width"] / (math.sqrt(2) * n["centre"]), rel=1e-3, abs=0)
    question, n = numbers_of("coils.dip")
    x = n["index"]
    assert question.answer(n) == pytest.approx(-20 * math.log10(2 * x / (1 + x * x)), rel=1e-6, abs=0)


@pytest.mark.parametrize("key, right", [
    ("coils.humps", "damp"), ("coils.trim", "spread"), ("coils.order", "right"),
    ("coils.meter", "more"), ("coils.read_spacing", "double"),
])
def test_choices_come_out_as_the_trade_says(key, right):
    """Common practice, no source; each is worked out, so that a fault in compute shows here."""
    question, n = numbers_of(key)
    assert judge(question, n, right).state == "right"


@pytest.mark.parametrize("pair", PAIRS)
def test_questions_on_the_plan_follow_it(pair):
    plan = plan_of(PAIRS[pair])
    for seed in range(3):
        question, n = numbers_of("coils.ring", plan, seed)
        own = PAIRS[pair].get("oscillator.inductance", 1.83e-6)
        assert n["inductance"] == own
        question, n = numbers_of("coils.critical", plan, seed)
        if pair != "cannot share":
            assert n["own"] and n["centre"] == plan.value("intermediate_frequency")
        question, n = numbers_of("coils.read_spacing", plan, seed)
        assert judge(question, n, question.answer(n)).state == "right"


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("kind", ["air", "slug", "layers", "T50-6", "own ring"])
def test_the_worked_example_works_for_any_plan_and_kind(pair, kind):
    steps = worked_steps("coils", plan_of({**PAIRS[pair], "oscillator_coil.kind": kind}))
    assert len(steps) >= 4 and not steps[-1].startswith("Here it stops")
    for step in steps:
        assert step.endswith(".") and "nan" not in step and "inf" not in step.split()


def test_the_worked_example_stops_with_its_reason():
    steps = worked_steps("coils", plan_of({"oscillator.inductance": 10e-9}))
    assert steps[-1].startswith("Here it stops: One turn on")


def test_a_factor_read_for_a_hundred_turns_is_known():
    """The trade's other unit, µH for a hundred turns: 4 nH are 40 µH, so reading 4 as 4 µH makes
    100·√(1.83/4) = 67.6 turns of 1.83 µH; DERIVED from L = A·N²."""
    question, n = numbers_of("coils.ring")
    n = n | {"core": "T50-6", "inductance": 1.83e-6}
    found = judge(question, n, "67.6")
    assert found.state == "known_slip" and "40 µH" in found.sentence
    assert "ten turns" in judge(question, n, f"{10 * math.sqrt(1830 / 4):.1f}").sentence


def test_numbers_that_are_the_demos_are_not_called_the_plans():
    plan = plan_of({"oscillator.inductance": 105e-9})
    for key in ("coils.ring", "coils.read_spacing"):
        question, n = numbers_of(key, plan)
        assert not n["own"] and "105 nH" in n["why"] or "turns" in n["why"]
        assert question.prompt(n).startswith("The demo receiver")
        assert not n["why"].startswith("So ")


def test_the_tap_is_that_of_the_circuit():
    """DERIVED: 39 turns of Q 150 at 3.74 MHz; all but a tenth of 9 µH is what Wheeler's rule gives, so
    the circuit has about 31 kΩ, and the rule of turns sees (4/39)² of it, 6.6 times 50 Ω."""
    prediction = registry.find_prediction("coils.predict_tap")
    wheeler = 12.4**2 * 39**2 / (457 * 12.4 + 1016 * 20) * 1e-6
    turns = (4 / 39) ** 2 * 150 * 2 * math.pi * 3.74e6 * wheeler / 50
    said = float(prediction.because().split("would be ")[1].split(" times")[0])
    assert said == pytest.approx(turns, rel=0.03)
    assert 100 * 4 * turns / (1 + turns) ** 2 < prediction.truth() < 75

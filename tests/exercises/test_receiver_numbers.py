"""Whose receiver a question is about: the learner's plan, or the demo where that can't work."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.exercises import registry
from rxlearn.exercises.questions import fresh_numbers, judge, worked
from rxlearn.exercises.receiver_numbers import DEMO, dial_frequency, one_band, receiver
from rxlearn.plan.document import Plan

PLANNED = [question for lesson in registry.lessons()
           for question in registry.for_lesson(lesson) if question.uses_plan]


class Values:
    """A plan of given values, as they might stand in somebody's file."""

    def __init__(self, **values):
        self._values = DEMO | {key.replace("__", "."): value for key, value in values.items()}

    def value(self, key):
        return self._values[key]


def test_the_demo_is_the_demo_plan():
    plan = Plan.demo()
    assert {key: plan.value(key) for key in DEMO} == dict(DEMO)


@pytest.mark.parametrize("question", PLANNED, ids=lambda question: question.key)
def test_a_real_plan_is_asked_about_as_ones_own(question):
    numbers = fresh_numbers(question, 11, Plan.demo())
    assert numbers["own"] and question.prompt(numbers).startswith(("Your receiver", "Suppose your receiver"))
    assert question.prompt(fresh_numbers(question, 11)).startswith(
        ("The demo receiver", "Suppose the demo receiver"))
    assert judge(question, numbers, question.show_answer(numbers)).state == "right"


@pytest.mark.parametrize(
    "values",
    [dict(intermediate_frequency=3.7e6), dict(lower_band__low=4.2e6),
     dict(upper_band__low=3.6e6, upper_band__high=3.7e6), dict(intermediate_frequency=11e6)],
)
@pytest.mark.parametrize("question", PLANNED, ids=lambda question: question.key)
def test_a_plan_that_cannot_work_gives_way_as_a_whole(question, values):
    plan = Values(**values)
    why = receiver(plan)["why"]
    assert why.endswith(".") and receiver(plan) == dict(DEMO, own=False, why=why)
    for seed in range(5):
        numbers = fresh_numbers(question, seed, plan)
        assert {**numbers, "why": ""} == {**fresh_numbers(question, seed), "why": ""}
        assert question.prompt(numbers).startswith(("The demo receiver", "Suppose the demo receiver"))


def test_an_ordinary_receiver_is_one_s_own_but_swaps_nothing():
    plan = Values(upper_band__injection="high")
    assert receiver(plan)["own"]
    assert fresh_numbers(registry.find("injection.image"), 1, plan)["own"]
    numbers = fresh_numbers(registry.find("swap.dial_share"), 1, plan)
    assert not numbers["own"] and "Both bands use high injection" in numbers["why"]


def test_a_coil_that_no_hand_tunes_is_said_to_be_why():
    numbers = fresh_numbers(registry.find("spread.swing"), 1, Values(oscillator__inductance=10e-3))
    assert not numbers["own"] and "Your coil of 10 mH would want" in numbers["why"]


def test_a_plan_of_ones_own_needs_no_reason():
    assert receiver(Values())["why"] == receiver(None)["why"] == ""


def test_a_missing_value_is_filled_from_the_demo():
    assert receiver(Values(preselector__loaded_q=None))["preselector.loaded_q"] == 50.0


def test_signals_lie_inside_the_band_on_a_dial_step():
    for seed in range(50):
        numbers = one_band(np.random.default_rng(seed))
        assert numbers["low"] < numbers["signal"] < numbers["high"]
        assert numbers["signal"] % 1e3 == 0


@pytest.mark.parametrize(("low", "high"), [(3.5e6, 4e6), (10.1e6, 10.11e6), (7e6, 7.001e6),
                                           (7e6, 7.0001e6)])
def test_dial_frequency_in_narrow_bands(low, high):
    found = {dial_frequency(np.random.default_rng(seed), low, high) for seed in range(40)}
    assert all(low < value < high for value in found)


_EDGE = st.floats(100e3, 60e6)


@settings(max_examples=25, deadline=None, database=None)
@given(_EDGE, _EDGE, _EDGE, _EDGE, st.floats(50e3, 30e6), st.sampled_from(["high", "low"]),
       st.sampled_from(["high", "low"]), st.floats(10e-9, 10e-3), st.floats(2.0, 1000.0))
def test_any_plan_can_be_asked_about(a, b, c, d, intermediate, one, other, inductance, loaded_q):
    edges = sorted((a, b, c, d))
    plan = Values(lower_band__low=edges[0], lower_band__high=edges[1], upper_band__low=edges[2],
                  upper_band__high=edges[3], intermediate_frequency=intermediate,
                  lower_band__injection=one, upper_band__injection=other,
                  oscillator__inductance=inductance, preselector__loaded_q=loaded_q)
    for question in PLANNED:
        numbers = fresh_numbers(question, 3, plan)
        assert question.prompt(numbers).endswith((".", "?"))
        if question.options:
            assert judge(question, numbers, question.answer(numbers)).state == "right"
            continue
        assert math.isfinite(question.answer(numbers))
        assert worked(question, numbers)[-1].endswith(f"{question.show_answer(numbers)}.")
        assert judge(question, numbers, f"{question.answer(numbers):.12e} {question.unit}").state \
            == "right"

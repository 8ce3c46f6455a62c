"""Find the fault: fair draws, readings that tell, verdicts that say what would have shown."""

import re

import pytest

from rxlearn.compute.faults import KINDS
from rxlearn.exercises.fault_finding import (
    NAMES,
    draw_case,
    measurements,
    reading,
    telling,
    verdict,
)
from rxlearn.plan.document import Plan
from rxlearn.plan.fault_finding import patient_of
from tests.voltages import volts_in

SEEDS = range(24)


@pytest.fixture(scope="module")
def cases():
    patient = patient_of(Plan.demo())
    return [draw_case(patient, seed) for seed in SEEDS]


def test_each_fault_comes_once_before_any_comes_again(cases):
    for start in range(0, len(cases), len(KINDS)):
        assert {case.kind for case in cases[start:start + len(KINDS)]} == set(KINDS)
    assert [case.kind for case in cases[:8]] != [case.kind for case in cases[8:16]]


def test_the_same_seed_breaks_the_same_thing(cases):
    again = draw_case(cases[5].patient, 5)
    assert again.found == cases[5].found and again.symptom == cases[5].symptom


def test_at_least_one_measurement_tells(cases):
    for case in cases:
        assert telling(case), case.kind
        for row in measurements(case.patient):
            words = reading(case, row)
            assert words.endswith(".") and ".." not in words
            assert ("it should be:" in words) == (row.key in telling(case))


def test_the_right_name_is_taken_and_every_wrong_one_is_answered_by_a_reading(cases):
    for case in cases:
        for kind in NAMES:
            right, words = verdict(case, kind)
            assert right == (kind == case.kind)
            assert words.endswith(".") and len(words.split()) <= 70, words
            if not right:
                assert "one reading would be another" in words and "Here: " in words, words


def test_no_measurement_is_by_hand_in_a_set_with_power(cases):
    for row in measurements(cases[0].patient):
        assert row.how.startswith(("No hand in the set", "Plug out")), row.text
        if "voltage" in row.text:
            assert "discharge" in row.how and "stand back" in row.how


def test_no_high_voltage_is_named(cases):
    for case in cases:
        said = [case.symptom, *(reading(case, row) for row in measurements(case.patient)),
                *(verdict(case, kind)[1] for kind in NAMES)]
        assert not [volts for words in said for volts in volts_in(words) if volts > 50]
        assert not re.search(r"\bsafe\b", " ".join(said))

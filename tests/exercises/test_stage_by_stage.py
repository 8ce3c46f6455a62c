"""Answers on the stages held against formulas written anew, and the worked example's numbers."""

import math

import pytest

from rxlearn.exercises import registry
from rxlearn.exercises.questions import fresh_numbers
from rxlearn.exercises.worked_examples import worked_steps
from rxlearn.plan.document import Plan


def asked(key, seeds=range(12)):
    question = registry.find(key)
    return [(question, fresh_numbers(question, seed)) for seed in seeds]


def test_noise_figures_are_friis_formula():
    """H. T. Friis, Proc. IRE 32 (1944) 419: F = F1 + (F2 - 1)/G1, powers as ratios."""
    for question, n in asked("stages.noise"):
        first, second, gain = (10 ** (n[key] / 10) for key in ("first", "second", "gain"))
        assert question.answer(n) == pytest.approx(10 * math.log10(first + (second - 1) / gain), rel=1e-6, abs=0)


def test_levels_add_in_decibels():
    """DERIVED: 20 dB are a factor of ten in voltage."""
    for question, n in asked("stages.level"):
        volts = n["aerial"]
        for decibels in (n["before"], n["filter"], n["after"]):
            volts *= 10 ** (decibels / 20)
        assert question.answer(n) == pytest.approx(volts, rel=1e-6, abs=0)


def test_cathodes_by_the_printed_currents():
    """RCA receiving-tube manuals, typical operation (from memory), mA: remote cut-off pentode
    11 + 4.2, sharp cut-off pentode at 100 V 5.0 + 2.1, pentagrid 2.9 + 6.8; then Ohm's law."""
    printed = {"remote cut-off pentode": 15.2e-3, "sharp cut-off pentode": 7.1e-3,
               "pentagrid mixer": 9.7e-3}
    seen = set()
    for question, n in asked("stages.cathode", range(30)):
        seen.add(n["kind"])
        assert question.answer(n) == pytest.approx(printed[n["kind"]] * n["resistor"], rel=1e-6, abs=0)
    assert seen == set(printed)


def test_heaters_in_parallel_add():
    for question, n in asked("stages.heaters"):
        total = n["bulbs"] * 0.3 + n["output"] + n["lamp"]
        assert question.answer(n) == pytest.approx(100 * total / n["winding"], rel=1e-6, abs=0)


def test_the_oscillator_is_listened_for_beside_the_signal():
    """DERIVED: above the signal by the intermediate frequency on the high side, else below."""
    for question, n in asked("stages.listen"):
        sign = 1 if n["injection"] == "high" else -1
        assert question.answer(n) == n["signal"] + sign * n["intermediate_frequency"]


def test_the_demos_example_says_its_numbers():
    steps = " ".join(worked_steps("stage_by_stage", Plan.demo()))
    for words in ("= 1.8 A.", "= 49 mA", "oscillator on 7.0268 MHz", "oscillator on 6.8482 MHz",
                  "= +106.7 dB", "Own noise figure 15.8 dB", "for the upper sideband", "turn the volume down"):
        assert words in steps, words


def test_predictions_come_out_as_the_demo_has_it():
    told = {item.key: item.truth() for item in registry.predictions_for("stage_by_stage")}
    assert told == {
        "stages.predict_open_heater": "others", "stages.predict_noise": "outside",
        "stages.predict_frequency": "before", "stages.predict_dark_valve": "rises"}

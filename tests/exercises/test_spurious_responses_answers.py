"""Answers of the lesson on spurious responses, against sums worked out by hand."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from rxlearn.exercises.questions import fresh_numbers, judge
from rxlearn.exercises.registry import find, find_prediction
from rxlearn.exercises.worked_examples import worked_steps
from rxlearn.plan.document import Change, Plan

BAND = {"own": False, "band": "lower", "low": 3.5e6, "high": 4.0e6, "injection": "high",
        "intermediate_frequency": 3.2768e6, "signal": 3.7e6}


@pytest.mark.parametrize("key, numbers, answer", [
    # DERIVED: 2·(O − f) = IF, so f = O − IF/2 = 3.7 + 1.6384 MHz; mirrored on the low side.
    ("spurs.half_if", BAND, 5.3384e6),
    ("spurs.half_if", BAND | {"injection": "low", "signal": 10.12e6, "low": 10.1e6,
                              "high": 10.15e6}, 8.4816e6),
    # DERIVED: with f = O − IF, 2·f − O = IF makes f = 2·IF; with f = O + IF, 3·O − 2·f = IF makes
    # f = 4·IF and 2·O − f = IF makes f = 3·IF.
    ("spurs.place", {"product": "2·signal − oscillator", "injection": "high",
                     "intermediate": 455e3}, 910e3),
    ("spurs.place", {"product": "3·oscillator − 2·signal", "injection": "low",
                     "intermediate": 455e3}, 1820e3),
    ("spurs.place", {"product": "2·oscillator − signal", "injection": "low",
                     "intermediate": 2e6}, 6e6),
    # DERIVED: dial up by d: 2f−O falls by d, O−f rises by d; 3O−2f rises by 3d, f−O falls by d;
    # 3f−2O falls by 2d, O−f rises by d; 4O−2f rises by 4d, f−O falls by d.
    ("spurs.pitch", {"whistle": 0, "offset": 500.0}, 1000.0),
    ("spurs.pitch", {"whistle": 1, "offset": 500.0}, 2000.0),
    ("spurs.pitch", {"whistle": 2, "offset": 500.0}, 1500.0),
    ("spurs.pitch", {"whistle": 3, "offset": 500.0}, 2500.0),
    ("spurs.harmonic", {"intermediate": 2.048e6, "low": 14.0e6, "high": 14.35e6}, 14.336e6),
    ("spurs.harmonic", {"intermediate": 455e3, "low": 1.8e6, "high": 2.0e6}, 1.82e6),
    # DERIVED: 2 × 7.0268 − 3.2768 MHz.
    ("spurs.read", BAND | {"signal": 3.75e6}, 10.7768e6),
    ("spurs.worth", {"order": 2, "more": 10.0}, 20.0),
    ("spurs.worth", {"order": 3, "more": 6.0}, 18.0),
])
def test_answers_are_those_of_a_sum_by_hand(key, numbers, answer):
    question = find(key)
    # A bend that is not quite weak costs a thousandth of a decibel.
    assert question.answer(numbers) == pytest.approx(answer, rel=1e-4, abs=0)
    shown = f"{answer:.6e} {question.unit}"
    assert judge(question, numbers, shown).state == "right"


@pytest.mark.parametrize("numbers, kind", [
    # DERIVED: one circuit of Q 50 takes 41.5 dB off the image at 10.3 MHz; the second harmonic's
    # response at 10.4196 MHz is 0.29 MHz from 10.125 MHz and loses only 9.7 dB.
    (BAND | {"signal": 3.75e6, "loaded_q": 50.0, "circuits": 1}, "image"),
    (BAND | {"signal": 10.125e6, "low": 10.1e6, "high": 10.15e6, "injection": "low",
             "loaded_q": 50.0, "circuits": 1}, "harmonic"),
    # DERIVED: 0.2 MHz from the IF the one circuit takes 16 dB, and the switch 24 dB.
    (BAND | {"signal": 3.501e6, "loaded_q": 50.0, "circuits": 1}, "through"),
])
def test_the_strongest_kind(numbers, kind):
    assert find("spurs.strongest").answer(numbers) == kind


@pytest.mark.parametrize("key, truth", [
    ("spurs.predict_strongest", "harmonic"), ("spurs.predict_line", "half"),
    ("spurs.predict_pitch", 1000.0), ("spurs.predict_width", "narrow"),
    # As far as a transform of steps of 10 kHz can tell: 40 kHz are four of them, twice over.
    ("spurs.predict_half", pytest.approx(80e3, rel=0.01, abs=0)),
])
def test_what_happens_is_what_the_definitions_say(key, truth):
    assert find_prediction(key).truth() == truth


def _spoilt(low, high, side):
    """Share (%) of 1 to 5 MHz of IF that whistles up to order nine, by trying every product.

    DERIVED: with O = f + side·IF, m·O ± n·f = ±IF (a station) and m·O ± k·IF = ±IF (no station)
    are each met by one f, which spoils the IF where it lies in the band.
    """
    places = np.linspace(1e6, 5e6, 8001)
    spoilt = np.zeros(len(places), dtype=bool)
    for m, n in itertools.product(range(10), range(10)):
        for sign, landing in itertools.product((1, -1), repeat=2):
            if m + n > 9:
                continue
            if n and (m, n, sign) != (1, 1, -1) and m + sign * n:
                signal = (landing - m * side) * places / (m + sign * n)
                spoilt |= (low <= signal) & (signal <= high)
            if m:
                signal = ((landing - sign * n) / m - side) * places
                spoilt |= (low <= signal) & (signal <= high)
    return 100 * spoilt.mean()


def test_each_band_is_spoilt_as_its_own_side_spoils_it():
    words = find_prediction("spurs.predict_width").because()
    for share in (_spoilt(10.1e6, 10.15e6, -1), _spoilt(3.5e6, 4.0e6, 1)):
        assert f"{share:.2g} %" in words, (share, words)


def test_the_demo_worked_by_hand():
    words = "\n".join(worked_steps("spurious_responses", Plan.demo()))

    def down(frequency, centre):
        """F. E. Terman, Radio Engineering: 10·lg(1 + Q²ρ²)."""
        return 10 * math.log10(1 + (50 * (frequency / centre - centre / frequency)) ** 2)

    for part in (
        "3.75 MHz + 3.2768 MHz = 7.0268 MHz", "on 10.3036 MHz; the preselector takes "
        f"{down(10.3036, 3.75):.1f} dB", "half an IF (1.6384 MHz) from the oscillator, on "
        "5.3884 MHz", f"on 3.2768 MHz; the preselector takes {down(3.2768, 3.75):.1f} dB",
        "10.125 MHz - 3.2768 MHz = 6.8482 MHz", "2·oscillator − signal on 10.4196 MHz",
        "No product up to order 7 crosses this band: no whistle.", "ten decibels either way",
    ):
        assert part in words, part


def test_a_pair_with_twice_the_if_in_its_band_is_told_so():
    plan = Plan.demo().changed({
        key: Change(value=value, status="wished", origin="test") for key, value in {
            "lower_band.low": 7.0e6, "lower_band.high": 7.3e6, "upper_band.low": 14.0e6,
            "upper_band.high": 14.35e6, "intermediate_frequency": 3.579545e6}.items()})
    words = "\n".join(worked_steps("spurious_responses", plan))
    # DERIVED: 2 × 3.579545 and 4 × 3.579545 MHz.
    assert "7159.1 kHz by 2·signal − oscillator, pitch 2 kHz" in words
    assert "14318.2 kHz by 3·oscillator − 2·signal, pitch 4 kHz" in words


@pytest.mark.parametrize("key, numbers, typed, slip", [
    # DERIVED: 3·O − 2·f rises by 3d, and the carrier, f − O, falls by d: with its sign mistaken 2d.
    ("spurs.pitch", {"whistle": 1, "offset": 700.0}, "1400 Hz", "wrong_way"),
    # DERIVED: 2·f − (f + IF) = IF at f = 2·IF, the high side's place.
    ("spurs.place", {"product": "3·oscillator − 2·signal", "injection": "low",
                     "intermediate": 2e6}, "4 MHz", "other_product"),
    # DERIVED: 3.75 + 2 × 3.2768 MHz.
    ("spurs.read", BAND | {"signal": 3.75e6}, "10.3036 MHz", "image"),
    # DERIVED: 6 × 4.194304 MHz is 25.165824, and a reader writes four digits of it.
    ("choice.harmonic", {"intermediate_frequency": 4.194304e6, "low": 28e6, "high": 29.7e6,
                         "order": 7}, "25.17 MHz", "one_low"),
])
def test_the_slips_that_the_lesson_is_about_are_known(key, numbers, typed, slip):
    found = judge(find(key), numbers, typed)
    assert (found.state, found.misconception) == ("known_slip", slip)


def test_a_wrong_choice_does_not_give_the_numbers_away():
    for key in ("choice.fails", "choice.nearer"):
        question = find(key)
        numbers = fresh_numbers(question, 1, None)
        right = question.answer(numbers)
        for option in question.options:
            if option.key != right:
                assert "kHz" not in judge(question, numbers, option.key).sentence

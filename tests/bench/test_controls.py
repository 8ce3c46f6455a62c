"""Knobs and choices: what a position means, what a text means, and that both agree."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.bench.controls import Choice, Knob
from rxlearn.compute.quantities import Unclear, parse
from tests.nasty import TEXTS, texts
from tests.workbench import LIVE_FIGURES, open_figure

FREQUENCY = dict(key="f", label="Frequency", unit="Hz", low=1e6, high=8e6, start=3.5e6, fine=1e4,
                 coarse=1e5, prefix="M", decimals=3)


@pytest.fixture(scope="module", params=LIVE_FIGURES)
def controls(request):
    opened = open_figure(request.param)
    yield list(opened.controls.values())
    opened.close()


def test_positions_and_values_are_one_to_one(controls):
    for control in controls:
        if isinstance(control, Choice):
            assert [control.position_of(control.value_at(i)) for i in range(len(control.options))] \
                == list(range(len(control.options)))
            continue
        step = max(1, control.stops // 400)
        for stop in [*range(0, control.stops, step), control.stops]:
            value = control.value_at(stop)
            assert control.position_of(value) == stop
            assert control.low <= value <= control.high
        assert control.value_at(0) == control.low
        assert control.value_at(control.stops) == pytest.approx(control.high, rel=1e-11)


def test_what_is_shown_can_be_typed_back(controls):
    for knob in controls:
        if isinstance(knob, Knob):
            for stop in {0, 1, knob.stops // 3, knob.stops - 1, knob.stops}:
                value = knob.value_at(stop)
                assert knob.read(knob.shown(value)) == pytest.approx(value, rel=1e-12, abs=1e-30)
            assert knob.read(knob.shown(knob.start)) == pytest.approx(knob.start, rel=1e-11)


def test_each_control_says_its_name_unit_and_range(controls):
    keys = [control.key for control in controls]
    assert len(set(keys)) == len(keys) <= 4
    for control in controls:
        part = control.part(off=False)
        assert part["label"].strip() and part["key"] == control.key
        if isinstance(control, Knob):
            low, high = part["range_text"].split(";")[0].split(" to ")
            unit = high.partition(" ")[2]
            for end in (f"{low} {unit}".strip(), high):
                assert math.isfinite(parse(end, control.unit))
            assert "steps of" in part["range_text"] and "Shift" in part["range_text"]
            assert 1 <= part["coarse"] <= part["stops"]
            assert 0 <= part["position"] <= part["stops"]
            assert 10 <= part["stops"] or control.fine >= 1, "a knob with hardly any stops"
        else:
            assert all(words.strip() for words in part["options"])


@given(st.floats(min_value=1e6, max_value=8e6))
def test_any_value_in_range_keeps_its_digits(value):
    knob = Knob(**FREQUENCY)
    value = float(f"{value:.9g}")
    assert knob.read(knob.shown(value)) == pytest.approx(value, rel=1e-12)
    assert knob.value_at(knob.position_of(value)) == pytest.approx(value, rel=1e-8)


@given(st.floats(allow_nan=False))
def test_positions_beyond_the_ends_stay_at_the_ends(position):
    knob = Knob(**FREQUENCY)
    assert knob.low <= knob.value_at(position) <= knob.high


@pytest.mark.parametrize("position", [math.nan, "NaN", "here", None, [], {}])
def test_a_position_that_is_no_number_is_refused(position):
    with pytest.raises((ValueError, TypeError)):
        Knob(**FREQUENCY).value_at(position)


@pytest.mark.parametrize("position", [-1, 2, 10**9])
def test_an_option_that_is_not_there_is_refused(position):
    with pytest.raises(IndexError):
        Choice(key="c", label="C", options={"a": "A", "b": "B"}, start="a").value_at(position)


@given(texts)
def test_any_text_is_a_value_in_range_or_one_sentence(text):
    knob = Knob(**FREQUENCY)
    try:
        value = knob.read(text)
    except Unclear as problem:
        assert str(problem).startswith("Frequency") and "\n" not in str(problem)
        assert len(str(problem)) < 300
    else:
        assert knob.low <= value <= knob.high


def test_the_list_of_bad_texts_is_bad():
    """So that the tests that use it cannot pass for want of bad input."""
    knob, refused = Knob(**FREQUENCY), 0
    for text in TEXTS:
        try:
            knob.read(text)
        except Unclear:
            refused += 1
    assert refused >= len(TEXTS) - 2


@pytest.mark.parametrize(("change", "complaint"), [
    ({"high": 8.005e6}, "whole number of fine steps"), ({"start": 9e6}, "outside its range"),
    ({"coarse": 1e3}, "finer than its fine step"), ({"high": 1e6, "start": 1e6}, "fine steps"),
])
def test_a_knob_that_could_not_be_turned_is_refused(change, complaint):
    with pytest.raises(ValueError, match=complaint):
        Knob(**{**FREQUENCY, **change})

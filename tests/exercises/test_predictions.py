"""Predictions: read, kept, and compared with what happens, without marking."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.exercises.predictions import Prediction, commit, reveal
from rxlearn.exercises.questions import Tolerance

VALUE = Prediction(
    key="toy.value", lesson="toy", prompt="Where will it land?", unit="Hz",
    truth=lambda: 3.5e6, because=lambda: "It follows the oscillator.",
    near=Tolerance("A guess is a guess.", relative=0.1),
)
CHOICE = Prediction(
    key="toy.choice", lesson="toy", prompt="Which way will it move?",
    options=(("up", "It moves up."), ("down", "It moves down.")),
    truth=lambda: "up", because=lambda: "The oscillator pulls it.",
)


def test_a_value_is_kept_or_asked_for_again():
    assert commit(VALUE, "3,6 MHz").value == 3.6e6
    assert commit(VALUE, "").state == "blank"
    assert commit(VALUE, "3.6").state == "unclear" and "unit" in commit(VALUE, "3.6").sentence


def test_a_choice_is_kept_by_key_or_text():
    assert commit(CHOICE, "up").value == commit(CHOICE, "It moves up.").value == "up"
    assert commit(CHOICE, "left").state == "unclear"


@pytest.mark.parametrize(
    ("prediction", "text", "sentence"),
    [(VALUE, "3.6 MHz", "You said “3.6 MHz” and it is 3.5 MHz: well foreseen. It follows the "
                        "oscillator."),
     (VALUE, "7 MHz", "You said “7 MHz”; it is less, 3.5 MHz. It follows the oscillator."),
     (VALUE, "1 MHz", "You said “1 MHz”; it is more, 3.5 MHz. It follows the oscillator."),
     (VALUE, "", "It is: 3.5 MHz. It follows the oscillator."),
     (CHOICE, "up", "As you said: It moves up. The oscillator pulls it."),
     (CHOICE, "down", "You said: It moves down. It is: It moves up. The oscillator pulls it.")],
)
def test_reveal(prediction, text, sentence):
    assert reveal(prediction, text) == sentence


def test_a_prediction_that_cannot_be_compared_is_refused():
    with pytest.raises(ValueError, match="needs options, or a unit and a tolerance"):
        Prediction(key="k", lesson="l", prompt="p", truth=lambda: 1.0, because=lambda: "b")


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=300))
def test_any_text_is_answered(text):
    for prediction in (VALUE, CHOICE):
        assert commit(prediction, text).state in ("blank", "unclear", "kept")
        assert reveal(prediction, text).endswith(".")

"""The judge itself, on toy questions: states, order of judging, help, text that is only text."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.compute.quantities import UNITS, show
from rxlearn.exercises.questions import (
    Help,
    Misconception,
    Option,
    Question,
    Tolerance,
    collisions,
    fresh_numbers,
    help_after,
    judge,
    planned,
)
from rxlearn.exercises.reading import LONGEST_QUOTE, quote, read_quantity, tidy

TOLERANCE = Tolerance("A dial is read to a kilohertz.", absolute=1e3)


def toy(**changes):
    """A question on a sum of two frequencies, changed as asked."""
    parts = dict(
        key="toy.sum",
        lesson="toy",
        prompt=lambda n: f"Add {show(n['one'], 'Hz')} and {show(n['two'], 'Hz')}.",
        draw=lambda rng, plan: {"one": float(rng.integers(1, 9)) * 1e6, "two": 2e6},
        answer=lambda n: n["one"] + n["two"],
        working=lambda n: [f"The sum is {show(n['one'] + n['two'], 'Hz')}."],
        hints=("Add them.", lambda n: f"Begin with {show(n['one'], 'Hz')}."),
        unit="Hz",
        tolerance=TOLERANCE,
        misconceptions=(
            Misconception("difference", lambda n: abs(n["one"] - n["two"]), "You subtracted."),
            Misconception("product", lambda n: n["one"] * n["two"] / 1e6, "You multiplied."),
        ),
    )
    return Question(**(parts | changes))


CHOICE = Question(
    key="toy.choice",
    lesson="toy",
    prompt=lambda n: "Which way does it go?",
    draw=lambda rng, plan: {},
    answer=lambda n: "up",
    working=lambda n: ["It goes up."],
    hints=("Look.",),
    options=(Option("up", "It goes up", "No."), Option("down", "It goes down", "Down is wrong.")),
)
NUMBERS = {"one": 5e6, "two": 2e6}


@pytest.mark.parametrize("text", ["", "   ", "\n\t", "\u200b", None, 7])
def test_nothing_is_blank(text):
    assert judge(toy(), NUMBERS, text).state == "blank"
    assert judge(CHOICE, {}, text).state == "blank"


@pytest.mark.parametrize("text", ["7 MHz", "7000 kHz", "7e6 Hz", "7,0 MHz", "7 000 000 Hz",
                                  "7.0009 MHz", "6.9991 MHz"])
def test_right_however_it_is_written(text):
    verdict = judge(toy(), NUMBERS, text)
    assert verdict.state == "right" and "7 MHz" in verdict.sentence
    assert TOLERANCE.reason in verdict.sentence


@pytest.mark.parametrize(
    ("text", "part"),
    [("7", "unit"), ("7,000 kHz", "two ways"), ("7 mHz", "millihertz"), ("7 pF", "capacitance"),
     ("nan", "begin with a number"), ("inf Hz", "begin with a number"), ("1e999 Hz", "too large"),
     ("<b>7 MHz</b>", "begin with a number"), ("7 MHz or 8 MHz", "no unit")],
)
def test_unclear_says_what_to_change(text, part):
    verdict = judge(toy(), NUMBERS, text)
    assert verdict.state == "unclear" and part in verdict.sentence
    assert verdict.sentence.endswith(".")


@pytest.mark.parametrize(
    ("text", "name"),
    [("3 MHz", "difference"), ("10 MHz", "product"), ("-7 MHz", "sign"), ("7 kHz", "prefix_down"),
     ("7 GHz", "prefix_up"), ("7 Hz", "prefixes_down"), ("7e6 MHz", "prefixes_up")],
)
def test_known_slip_is_named(text, name):
    verdict = judge(toy(), NUMBERS, text)
    assert (verdict.state, verdict.misconception) == ("known_slip", name)


def test_wrong_says_which_way_or_how_near():
    assert "too high" in judge(toy(), NUMBERS, "9.3 MHz").sentence
    assert "too low" in judge(toy(), NUMBERS, "1.3 MHz").sentence
    assert "near" in judge(toy(), NUMBERS, "7.003 MHz").sentence
    assert judge(toy(), NUMBERS, "9.3 MHz").state == "wrong"


def test_right_wins_over_a_misconception_with_the_same_value():
    numbers = {"one": 2e6, "two": 2e6}  # sum and product / MHz are both 4 MHz
    assert collisions(toy(), numbers) == (("answer", "product"),)
    assert judge(toy(), numbers, "4 MHz").state == "right"


def test_fresh_numbers_avoid_collisions_and_follow_the_seed():
    for seed in range(200):
        numbers = fresh_numbers(toy(), seed)
        assert not collisions(toy(), numbers)
        assert numbers == fresh_numbers(toy(), seed)
    assert len({fresh_numbers(toy(), seed)["one"] for seed in range(50)}) > 3


def test_a_draw_that_cannot_tell_ideas_apart_is_refused():
    stuck = toy(draw=lambda rng, plan: {"one": 2e6, "two": 2e6})
    with pytest.raises(RuntimeError, match=r"toy\.sum: no numbers tell its wrong ideas apart"):
        fresh_numbers(stuck, 1)


@pytest.mark.parametrize("seed", [-1, 1.5, "1", None, True])
def test_bad_seed_is_refused(seed):
    with pytest.raises(ValueError, match="seed must be a whole number"):
        fresh_numbers(toy(), seed)


def test_a_misconception_that_leads_nowhere_is_passed_over():
    nowhere = toy(misconceptions=(Misconception("nowhere", lambda n: math.nan, "Nowhere."),))
    assert judge(nowhere, NUMBERS, "3 MHz").state == "wrong"
    assert collisions(nowhere, NUMBERS) == ()


def test_choice_by_key_or_text():
    assert judge(CHOICE, {}, "up").state == "right"
    assert judge(CHOICE, {}, " It goes  up ").state == "right"
    assert judge(CHOICE, {}, "down").sentence == "Down is wrong."
    assert judge(CHOICE, {}, "down").misconception == "down"
    assert judge(CHOICE, {}, "sideways").state == "unclear"


def test_help_comes_in_steps():
    steps = [help_after(toy(), NUMBERS, ["9 MHz"] * count) for count in range(5)]
    assert steps[0] == steps[1] == Help()
    assert steps[2] == Help(hint="Add them.")
    assert steps[3] == Help(hint="Begin with 5 MHz.")
    assert steps[4].working == ("The sum is 7 MHz.",)
    assert help_after(toy(), NUMBERS, ["", "7", "3 MHz", "7,000 kHz"]) == Help()
    assert help_after(toy(), NUMBERS, ["9 MHz", "7 MHz"]).working == ("The sum is 7 MHz.",)


def test_plan_value_or_demo():
    class Plan:
        """Stands in for the learner's plan: one value known."""

        def value(self, key):
            return {"intermediate_frequency": 4e6}.get(key)

    assert planned(None, "intermediate_frequency", 1.0) == 1.0
    assert planned(Plan(), "intermediate_frequency", 1.0) == 4e6
    assert planned(Plan(), "oscillator.inductance", 1.0) == 1.0


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [(dict(tolerance=None), "needs a tolerance"), (dict(unit="parsec"), "a unit of UNITS"),
     (dict(options=CHOICE.options), "no tolerance"),
     (dict(options=CHOICE.options[:1] * 2, tolerance=None, misconceptions=()), "share a key")],
)
def test_a_question_that_cannot_be_judged_is_refused(changes, sentence):
    with pytest.raises(ValueError, match=sentence):
        toy(**changes)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=300) | st.from_regex(r"[-+]?\d{1,40}([., ]\d{0,40})* ?[kMmGz<&]*.*"))
def test_any_text_gets_one_sentence_and_little_of_it_is_repeated(text):
    for question, numbers in ((toy(), NUMBERS), (CHOICE, {})):
        verdict = judge(question, numbers, text)
        assert verdict.state in ("blank", "unclear", "known_slip", "wrong", "right")
        assert verdict.sentence.endswith(".")
        clean = tidy(text)
        length = LONGEST_QUOTE + 1
        assert not any(clean[at : at + length] in verdict.sentence
                       for at in range(len(clean) - LONGEST_QUOTE)) or verdict.state == "right"


def test_quotes_are_short_and_tidy():
    assert quote("3\u202e.5\nMHz") == "“3.5 MHz”"
    assert len(quote("x" * 500)) == LONGEST_QUOTE + 2
    assert len(tidy("x" * 10_000_000)) == 200


def test_every_unit_can_be_asked_for():
    for unit, (_, example) in UNITS.items():
        assert math.isfinite(read_quantity(example, unit, name="Your answer"))

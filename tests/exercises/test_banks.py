"""Every question of every bank, failed on purpose: blank, slipped, wrong, junk, and right."""

import math
import re
from decimal import Decimal
from types import MappingProxyType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.compute.quantities import PREFIXES, UNITS, show
from rxlearn.exercises import registry
from rxlearn.exercises.predictions import commit, reveal
from rxlearn.exercises.questions import (
    collisions,
    fresh_numbers,
    help_after,
    judge,
    say,
    worked,
)
from rxlearn.exercises.reading import LONGEST_QUOTE, tidy

QUESTIONS = [question for lesson in registry.lessons() for question in registry.for_lesson(lesson)]
QUANTITIES = [question for question in QUESTIONS if question.kind == "quantity"]
CHOICES = [question for question in QUESTIONS if question.kind == "choice"]
PLANNED = [question for question in QUESTIONS if question.uses_plan]
PREDICTIONS = [
    item for lesson in registry.lessons() for item in registry.predictions_for(lesson)
]
MAIN = ("superheterodyne_basics", "injection_side", "image_swapping", "band_spread",
        "spurious_responses", "tolerances")

by_key = {"ids": lambda item: item.key}


class AnotherPlan:
    """Stands in for a learner's plan that differs from the demo: 40 m and 20 m on 3.579545 MHz."""

    _values = MappingProxyType({
        "lower_band.name": "40 m", "lower_band.low": 7.0e6, "lower_band.high": 7.3e6,
        "lower_band.injection": "high", "upper_band.name": "20 m", "upper_band.low": 14.0e6,
        "upper_band.high": 14.35e6, "upper_band.injection": "low",
        "intermediate_frequency": 3.579545e6, "oscillator.inductance": 2.2e-6,
        "oscillator.capacitance_swing": 25e-12, "preselector.loaded_q": 80.0,
        "preselector.circuits": 2,
    })

    def value(self, key):
        return self._values[key]


PLANS = (None, AnotherPlan())


def asked(question, seeds=range(5)):
    """Every asking worth trying: some seeds, without and with a plan."""
    plans = PLANS if question.uses_plan else (None,)
    return [fresh_numbers(question, seed, plan) for seed in seeds for plan in plans]


def written(value, unit, prefix="", digits=12):
    """A value as somebody might write it, exactly enough, never as d,ddd."""
    number = f"{Decimal(repr(float(value))).scaleb(-PREFIXES[prefix]):.{digits}f}"
    return f"{number} {prefix}{unit}".strip()


# The registry

def test_keys_are_unique_and_belong_to_their_lesson():
    keys = [item.key for item in QUESTIONS + PREDICTIONS]
    assert len(set(keys)) == len(keys)
    for lesson in registry.lessons():
        for item in registry.for_lesson(lesson) + registry.predictions_for(lesson):
            assert item.lesson == lesson


def test_every_item_is_found_by_its_key():
    assert all(registry.find(question.key) is question for question in QUESTIONS)
    assert all(registry.find_prediction(item.key) is item for item in PREDICTIONS)


@pytest.mark.parametrize("ask", [registry.find, registry.find_prediction, registry.for_lesson])
def test_an_unknown_key_names_what_there_is(ask):
    with pytest.raises(KeyError, match="There is no .* choose one of .*"):
        ask("no.such")


@pytest.mark.parametrize("lesson", MAIN)
def test_each_lesson_has_enough_of_each_kind(lesson):
    questions = registry.for_lesson(lesson)
    assert len(questions) >= 6
    assert {question.kind for question in questions} == {"quantity", "choice"}
    assert sum(question.uses_plan for question in questions) >= 2
    assert len(registry.predictions_for(lesson)) >= 4


def test_start_here_has_five():
    assert len(registry.for_lesson("start_here")) >= 5


# Judging

@pytest.mark.parametrize("question", QUESTIONS, **by_key)
def test_blank(question):
    for text in ("", "  ", "\u200b", None):
        assert judge(question, asked(question)[0], text).state == "blank"


@pytest.mark.parametrize("question", QUANTITIES, **by_key)
def test_right_in_every_writing(question):
    for numbers in asked(question):
        answer, unit = question.answer(numbers), question.unit
        texts = [question.show_answer(numbers), f"{answer:.9e} {unit}",
                 f"{answer:.9e}".replace("e", " x 10^") + f" {unit}"]
        prefixes = {"Hz": ("M", "k", ""), "F": ("p", "n"), "V": ("m", "µ", "")}.get(unit, ("",))
        texts += [written(answer, unit, prefix) for prefix in prefixes]
        texts += [written(answer, unit, prefix).replace(".", ",") for prefix in prefixes]
        for text in texts:
            assert judge(question, numbers, text).state == "right", text


@pytest.mark.parametrize("question", QUANTITIES, **by_key)
def test_right_to_the_edge_of_the_tolerance_and_not_beyond(question):
    numbers = asked(question)[0]
    answer = question.answer(numbers)
    width = question.tolerance.width(answer)
    for side in (-1, 1):
        inside = written(answer + side * 0.99 * width, question.unit, digits=18)
        outside = written(answer + side * 1.2 * width, question.unit, digits=18)
        assert judge(question, numbers, inside).state == "right"
        assert judge(question, numbers, outside).state != "right"


@pytest.mark.parametrize("question", [q for q in QUANTITIES if q.unit], **by_key)
def test_a_bare_number_is_asked_for_its_unit(question):
    numbers = asked(question)[0]
    verdict = judge(question, numbers, f"{question.answer(numbers):.6e}")
    assert verdict.state == "unclear"
    assert "unit" in verdict.sentence


@pytest.mark.parametrize("question", QUANTITIES, **by_key)
def test_each_wrong_idea_meets_its_own_sentence(question):
    met = set()
    for numbers in asked(question, range(20)):
        if question.uses_plan and collisions(question, numbers):
            continue
        for misconception in question.misconceptions:
            value = misconception.wrong(numbers)
            if not math.isfinite(value):
                continue
            verdict = judge(question, numbers, f"{value:.12e} {question.unit}".strip())
            assert (verdict.state, verdict.misconception) == ("known_slip", misconception.name)
            assert verdict.sentence == say(misconception.sentence, numbers)
            met.add(misconception.name)
    assert met == {misconception.name for misconception in question.misconceptions}


@pytest.mark.parametrize("question", QUANTITIES, **by_key)
def test_sign_and_prefix_slips(question):
    numbers = asked(question)[0]
    answer, unit = question.answer(numbers), question.unit
    assert judge(question, numbers, f"{-answer:.9e} {unit}".strip()).misconception == "sign"
    if question.takes_prefix:
        for factor in (1e3, 1e-3, 1e6, 1e-6):
            verdict = judge(question, numbers, f"{answer * factor:.9e} {unit}")
            assert verdict.state == "known_slip"
            own = {item.name: item.wrong(numbers) for item in question.misconceptions}
            if verdict.misconception in own:  # an idea of the question's own goes first
                assert question.tolerance.holds(verdict.value, own[verdict.misconception])
            else:
                assert "prefix" in verdict.misconception


@pytest.mark.parametrize("question", QUANTITIES, **by_key)
def test_plain_wrong(question):
    numbers = asked(question)[0]
    ideas = [item.wrong(numbers) for item in question.misconceptions]
    answer = question.answer(numbers)
    value = next(
        value for value in (answer * factor for factor in (1.773, 1.911, 2.337, 2.713))
        if not any(question.tolerance.holds(value, idea) for idea in ideas)
    )
    verdict = judge(question, numbers, f"{value:.9e} {question.unit}".strip())
    assert verdict.state == "wrong" and "too high" in verdict.sentence


@pytest.mark.parametrize("question", QUESTIONS, **by_key)
@pytest.mark.parametrize("text", ["NaN", "nan Hz", "inf", "-inf Hz", "1e999 Hz", "1e-999 pF x",
                                  "<script>alert(1)</script>", "<b>3.5 MHz</b>", "$3.5$ MHz",
                                  "__import__('os')", "3.5 MHz; 4 MHz", "{numbers}", "%s"])
def test_what_is_no_quantity_is_unclear(question, text):
    assert judge(question, asked(question)[0], text).state == "unclear"


@pytest.mark.parametrize("question", CHOICES, **by_key)
def test_each_choice(question):
    for numbers in asked(question):
        right = question.answer(numbers)
        for option in question.options:
            verdict = judge(question, numbers, option.key)
            assert verdict == judge(question, numbers, option.text)
            assert verdict.state == ("right" if option.key == right else "known_slip")
            if option.key != right:
                assert verdict.sentence == say(option.sentence, numbers)
    wrong = [say(o.sentence, numbers) for o in question.options if o.key != right]
    assert len(question.options) >= 3 and len(wrong) == len(question.options) - 1


_JUNK = (
    st.text(max_size=80)
    | st.from_regex(r"-?\d{1,9}([.,]\d{1,9})?(e[+-]?\d{1,2})? ?([kMmpnµu]?(Hz|F|H|V|dB|%))?",
                    fullmatch=True)
    | st.text(alphabet="0123456789.,eE+- kMHzpF<>&\"'`$\\{}", max_size=40)
)


@pytest.mark.parametrize("question", QUESTIONS, **by_key)
def test_junk_texts(question):
    numbers = fresh_numbers(question, 1)

    @settings(max_examples=40, deadline=None, database=None)
    @given(_JUNK)
    def try_one(text):
        verdict = judge(question, numbers, text)
        assert verdict.state in ("blank", "unclear", "known_slip", "wrong", "right")
        assert verdict.sentence.endswith(".")
        if verdict.state in ("unclear", "wrong"):
            clean, length = tidy(text), LONGEST_QUOTE + 1
            assert not any(clean[at : at + length] in verdict.sentence
                           for at in range(len(clean) - LONGEST_QUOTE))
        if verdict.state == "right" and question.kind == "quantity":
            assert question.tolerance.holds(verdict.value, question.answer(numbers))

    try_one()


# Numbers

@pytest.mark.parametrize("question", QUESTIONS, **by_key)
def test_twenty_seeds_give_sensible_answers(question):
    low, high = {"Hz": (1e3, 60e6), "F": (0.5e-12, 2e-8), "dB": (0.05, 150), "%": (0.1, 100),
                 "": (1, 100), "V": (1e-9, 1e3), "W": (1e-3, 100), "Ω": (1, 1e6), "H": (1e-8, 20), "J": (0.1, 20), "s": (0.5, 100),
                 "°": (0.05, 90), "m": (1e-3, 1)}[question.unit]
    for numbers in asked(question, range(20)):
        answer = question.answer(numbers)
        if question.options:
            assert question.option(answer)
        else:
            assert low <= answer <= high
        assert judge(question, numbers,
                     answer if question.options else question.show_answer(numbers)).state == "right"


@pytest.mark.parametrize("question", QUANTITIES, **by_key)
def test_wrong_ideas_are_apart_over_120_seeds(question):
    """Drawn numbers always tell the ideas apart, and so do the demo's where the plan is asked."""
    apart = [not collisions(question, fresh_numbers(question, seed)) for seed in range(120)]
    assert all(apart)
    assert len(question.misconceptions) >= 2


@pytest.mark.parametrize("question", PLANNED, **by_key)
def test_the_learners_plan_is_asked_about(question):
    demo, own = fresh_numbers(question, 4), fresh_numbers(question, 4, AnotherPlan())
    assert dict(demo) != dict(own)
    assert question.prompt(demo) != question.prompt(own)


@pytest.mark.parametrize("question", QUESTIONS, **by_key)
def test_numbers_are_plain_enough_to_keep(question):
    for numbers in asked(question):
        assert all(type(value) in (float, int, str, bool) for value in numbers.values())


# Words

def sentences_of(question, numbers):
    """Everything but the prompt that a learner may be shown."""
    yield from worked(question, numbers)
    hints = (say(hint, numbers) for hint in question.hints)
    yield from (f"{hint[:-1]}." if hint.endswith("?") else hint for hint in hints)  # hints may ask
    yield from (say(item.sentence, numbers) for item in question.misconceptions)
    yield from (say(option.sentence, numbers) for option in question.options)
    if question.tolerance:
        yield question.tolerance_reason


@pytest.mark.parametrize("question", QUESTIONS, **by_key)
def test_working_ends_in_the_answer(question):
    for numbers in asked(question, range(20)):
        steps = worked(question, numbers)
        assert len(steps) >= 2
        if question.kind == "quantity":
            assert steps[-1].endswith(f"{question.show_answer(numbers)}.")
        assert help_after(question, numbers, ["no such"] * 9).working is None


@pytest.mark.parametrize("question", QUESTIONS, **by_key)
def test_hints_come_in_order_and_then_the_working(question):
    numbers = fresh_numbers(question, 1)
    if question.options:
        miss = next(o.key for o in question.options if o.key != question.answer(numbers))
    else:
        miss = f"{-7.77 * question.answer(numbers):.6e} {question.unit}".strip()
    hints = [help_after(question, numbers, [miss] * count).hint
             for count in range(2, len(question.hints) + 2)]
    assert hints == [say(hint, numbers) for hint in question.hints] and hints
    last = help_after(question, numbers, [miss] * (len(question.hints) + 2))
    assert last.working == worked(question, numbers)


@pytest.mark.parametrize("question", QUESTIONS, **by_key)
def test_sentences_are_finished_and_short(question):
    for numbers in asked(question):
        for sentence in sentences_of(question, numbers):
            assert sentence.endswith(".") and not sentence.endswith(".."), sentence
            assert len(sentence.split()) <= 60 and "  " not in sentence
            assert "nan" not in sentence.split() and "not a number" not in sentence


_UNIT = "|".join(sorted((re.escape(p + u) for u in UNITS if u for p in PREFIXES), key=len,
                        reverse=True))
_NUMBER = re.compile(
    r"(?<![\w.])(?<!\d-)(?P<before>(?:[Qq] (?:of )?|order )?)"
    rf"(?P<number>\d[\d.,]*\d|\d)(?P<unit> (?:{_UNIT})\b| [%°]| to \d| and \d| turns\b| times\b|-fold|·(?:signal|oscillator)\b)?"
)


@pytest.mark.parametrize("question", QUESTIONS, **by_key)
def test_prompts_are_short_and_every_number_has_its_unit(question):
    for numbers in asked(question):
        prompt = question.prompt(numbers)
        assert len(prompt.split()) <= 60
        assert prompt.endswith((".", "?"))
        for found in _NUMBER.finditer(prompt):
            assert found["before"] or found["unit"], (found[0], prompt)


def test_the_unit_rule_can_fail():
    found = next(_NUMBER.finditer("Tune to 3.5 and listen."))
    assert not found["unit"] and not found["before"]


# Predictions

@pytest.mark.parametrize("prediction", PREDICTIONS, **by_key)
def test_prediction_meets_its_truth(prediction):
    truth = prediction.truth()
    told = prediction.text(truth)
    right = truth if prediction.options else told
    assert commit(prediction, right).state == "kept"
    assert reveal(prediction, right).startswith(("As you said", "You said"))
    assert told.rstrip(".") in reveal(prediction, "")
    if prediction.options:
        assert len(prediction.options) >= 3
        others = [key for key, _ in prediction.options if key != truth]
        assert all("You said" in reveal(prediction, key) for key in others)
    else:
        assert "well foreseen" in reveal(prediction, right)
        assert "it is more" in reveal(prediction, show(truth / 3, prediction.unit))
        assert "it is less" in reveal(prediction, show(truth * 3, prediction.unit))
    for sentence in (prediction.because(), reveal(prediction, ""), reveal(prediction, right)):
        assert sentence.endswith(".")


@pytest.mark.parametrize("prediction", PREDICTIONS, **by_key)
def test_prediction_prompts(prediction):
    assert len(prediction.prompt.split()) <= 60 and prediction.prompt.endswith((".", "?"))
    for found in _NUMBER.finditer(prediction.prompt):
        assert found["before"] or found["unit"], found[0]

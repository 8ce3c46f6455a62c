"""Questions in the page: every state shown, helped with, kept, and taken up again."""

from __future__ import annotations

import pytest
from hypothesis import given

from rxlearn import bench
from rxlearn.bench.desk import Desk
from rxlearn.bench.questions import QuestionPanel
from rxlearn.compute.quantities import show
from rxlearn.exercises import registry
from rxlearn.exercises.questions import help_after, judge, say, worked
from rxlearn.plan.document import Change
from rxlearn.store.desk import save_changes
from rxlearn.store.folder import FolderStore, MemoryStore
from tests.bench.toy import parts_of, words_of
from tests.nasty import hundreds, texts

QUESTIONS = [question for lesson in registry.lessons() for question in registry.for_lesson(lesson)]
NUMBERS = [q for q in QUESTIONS if not q.options]
CHOICES = [q for q in QUESTIONS if q.options]
FRESH = [q for q in NUMBERS if not q.uses_plan]
PLANNED = [q for q in NUMBERS if q.uses_plan]
SPAN = registry.find("start.span")

by_key = {"ids": lambda question: question.key}


def verdict_of(panel):
    """The words and the tone of the verdict shown, or None."""
    shown = parts_of(panel.panel, "verdict")
    return (shown[0]["text"], shown[0]["tone"]) if shown else None


def labels_of(panel):
    """The buttons' labels by key."""
    return {item["key"]: item["label"] for part in parts_of(panel.panel, "buttons")
            for item in part["items"]}


def wrong_for(panel):
    """A value that is wrong for no known reason."""
    answer = panel.question.answer(panel.numbers)
    for factor in (1.37, 2.73, 3.91, 5.3, 0.619):
        text = show(answer * factor if answer else factor, panel.question.unit, digits=6)
        if judge(panel.question, panel.numbers, text).state == "wrong":
            return text
    raise AssertionError("no wrong value was found")


@pytest.mark.parametrize("question", NUMBERS, **by_key)
def test_right_answer(desk, question):
    panel = QuestionPanel(question, desk)
    assert verdict_of(panel) is None and not parts_of(panel.panel, "steps")
    panel.type(question.show_answer(panel.numbers))
    words, tone = verdict_of(panel)
    assert tone == "good" and words.startswith("Right")
    assert parts_of(panel.panel, "steps")[0]["items"] == list(worked(question, panel.numbers))


@pytest.mark.parametrize("question", CHOICES, **by_key)
def test_every_option(store, question):
    for number, option in enumerate(question.options):
        panel = QuestionPanel(question, Desk(MemoryStore()))
        panel.pick(number)
        words, tone = verdict_of(panel)
        if option.key == question.answer(panel.numbers):
            assert tone == "good"
        else:
            assert tone == "bad" and words == "Not yet. " + say(option.sentence, panel.numbers)
        assert parts_of(panel.panel, "options")[0]["value"] == number


@pytest.mark.parametrize("question", CHOICES, **by_key)
def test_checking_without_a_choice_is_blank(desk, question):
    panel = QuestionPanel(question, desk)
    panel.press("check")
    assert verdict_of(panel)[1] == "ask" and "choose one" in verdict_of(panel)[0]
    assert not desk.recall("answer", question.key)


def test_blank_is_asked_for_and_not_kept(desk):
    panel = QuestionPanel(SPAN, desk)
    panel.type("   ")
    assert verdict_of(panel) == (
        "Nothing here yet: type a value with its unit, or ask for the working.", "ask")
    assert panel.attempts == [] and not desk.recall("answer", SPAN.key)


def test_a_missing_unit_is_asked_for_and_costs_no_attempt(desk):
    panel = QuestionPanel(SPAN, desk)
    panel.type("350")
    words, tone = verdict_of(panel)
    assert tone == "ask" and "Add the unit" in words
    assert "Hint" not in words_of(panel.panel) and not parts_of(panel.panel, "steps")
    assert parts_of(panel.panel, "entry")[0]["value"] == "350"


@pytest.mark.parametrize("question", FRESH, **by_key)
def test_wrong_answers_earn_each_hint_and_then_the_working(question):
    panel = QuestionPanel(question, Desk(MemoryStore()))
    wrong = wrong_for(panel)
    for attempt in range(1, len(question.hints) + 3):
        panel.type(wrong)
        words, tone = verdict_of(panel)
        assert tone == "bad" and words.startswith("Not yet. ")
        hints = [say(hint, panel.numbers) for hint in question.hints]
        shown = [hint for hint in hints if f"Hint: {hint}" in words_of(panel.panel)]
        last = attempt == len(question.hints) + 2
        assert shown == ([] if last or attempt == 1 else [hints[attempt - 2]])
        assert bool(parts_of(panel.panel, "steps")) == last


@pytest.mark.parametrize("question", NUMBERS, **by_key)
def test_each_wrong_idea_meets_its_own_sentence(question):
    for idea in question.misconceptions:
        panel = QuestionPanel(question, Desk(MemoryStore()))
        value = idea.wrong(panel.numbers)
        text = show(value, question.unit, digits=9)
        if judge(question, panel.numbers, text).misconception == idea.name:
            panel.type(text)
            assert verdict_of(panel) == ("Not yet. " + say(idea.sentence, panel.numbers), "bad")


def test_the_working_is_there_for_whoever_asks_and_goes_again(desk):
    panel = QuestionPanel(SPAN, desk)
    assert labels_of(panel)["working"] == "Show the working"
    panel.press("working")
    assert parts_of(panel.panel, "steps")[0]["items"] == list(worked(SPAN, panel.numbers))
    assert labels_of(panel)["working"] == "Hide the working"
    panel.press("working")
    assert not parts_of(panel.panel, "steps")
    assert not desk.recall("answer", SPAN.key), "looking is no attempt"


@pytest.mark.parametrize("question", FRESH, **by_key)
def test_other_numbers_begin_afresh_and_say_their_seed(question):
    panel = QuestionPanel(question, Desk(MemoryStore()))
    first, prompt = panel.numbers, question.prompt(panel.numbers)
    panel.type(wrong_for(panel))
    panel.press("again")
    assert panel.seed == 2 and panel.attempts == [] and verdict_of(panel) is None
    assert "Numbers: set 2." in words_of(panel.panel)
    if question.prompt(panel.numbers) == prompt:
        assert panel.numbers == first  # a question without numbers says so by staying
    panel.type(question.show_answer(panel.numbers))
    assert verdict_of(panel)[1] == "good"


@pytest.mark.parametrize("question", CHOICES + PLANNED, **by_key)
def test_where_nothing_is_drawn_no_other_numbers_are_offered(desk, question, page):
    panel = QuestionPanel(question, desk)
    assert "again" not in labels_of(panel)
    page.tell(panel.panel, {"event": "press", "key": "again"})
    assert panel.seed == 1


# Kept between sessions -----------------------------------------------------------------


def test_numbers_attempts_and_verdict_are_taken_up_again(tmp_path):
    panel = QuestionPanel(SPAN, Desk(FolderStore(tmp_path)))
    panel.press("again")
    panel.type(wrong_for(panel))
    panel.type(wrong_for(panel))
    later = QuestionPanel(SPAN, Desk(FolderStore(tmp_path)))
    assert (later.seed, later.numbers, later.attempts, later.verdict) == (
        panel.seed, panel.numbers, panel.attempts, panel.verdict)
    assert later.panel.parts == panel.panel.parts
    assert help_after(SPAN, later.numbers, later.attempts).hint in words_of(later.panel)


@pytest.mark.parametrize("question", CHOICES, **by_key)
def test_a_choice_is_taken_up_again(store, question):
    panel = QuestionPanel(question, Desk(store))
    panel.pick(1)
    later = QuestionPanel(question, Desk(store))
    assert parts_of(later.panel, "options")[0]["value"] == 1
    assert later.panel.parts == panel.panel.parts


@pytest.mark.parametrize("record", [
    {"seed": "two", "text": "x"}, {"seed": -4, "text": "x"}, {"seed": 10**9, "text": "x"},
    {"text": "x"}, {}, {"seed": True, "text": 7}, {"seed": 2.5, "text": None},
])
def test_a_strange_record_is_passed_over(desk, record):
    desk.remember("answer", SPAN.key, record)
    panel = QuestionPanel(SPAN, desk)
    panel.type(SPAN.show_answer(panel.numbers))
    assert verdict_of(panel)[1] == "good"


def test_attempts_on_an_older_plan_are_not_held_against_the_learner(desk):
    assert PLANNED
    changed = 0
    for question in PLANNED:
        panel = QuestionPanel(question, desk)
        asked = question.prompt(panel.numbers)
        panel.type(wrong_for(panel))
        save_changes(desk.store, {
            key: Change(value=value, status="wished", origin="test") for key, value in {
                "lower_band.low": 3.6e6, "upper_band.low": 10.11e6,
                "intermediate_frequency": 3.25e6, "preselector.loaded_q": 71.0,
                "oscillator.capacitance_swing": 33e-12,
            }.items()}, seen=desk.plan())
        later = QuestionPanel(question, desk)
        if question.prompt(later.numbers) != asked:
            changed += 1
            assert later.attempts == [] and verdict_of(later) is None
        save_changes(desk.store, {
            key: Change(value=value, status="wished", origin="test") for key, value in {
                "lower_band.low": 3.5e6, "upper_band.low": 10.1e6,
                "intermediate_frequency": 3.2768e6, "preselector.loaded_q": 50.0,
                "oscillator.capacitance_swing": 40e-12,
            }.items()}, seen=desk.plan())
    assert changed


def test_an_answer_that_cannot_be_kept_is_judged_all_the_same(tmp_path):
    (tmp_path / "file").write_text("in the way")
    panel = QuestionPanel(SPAN, Desk(FolderStore(tmp_path / "file" / "below")))
    panel.type(SPAN.show_answer(panel.numbers))
    assert verdict_of(panel)[1] == "good"
    assert "This is not kept:" in words_of(panel.panel)


@hundreds
@given(texts)
def test_any_text_is_judged_in_words(text):
    store = MemoryStore()
    panel = QuestionPanel(SPAN, Desk(store))
    panel.type(text)
    state = judge(SPAN, panel.numbers, text).state
    words, tone = verdict_of(panel)
    assert tone == {"right": "good", "wrong": "bad", "known_slip": "bad"}.get(state, "ask")
    assert words and "\n" not in words and len(words) < 400
    later = QuestionPanel(SPAN, Desk(store))
    if state != "blank" and "This is not kept" not in words_of(panel.panel):
        assert verdict_of(later) == (words, tone)


def test_ask_opens_in_the_cell_and_closes_what_was_there(shell):
    first = bench.ask("start.span")
    second = bench.ask("start.span")
    assert first.panel.comm is None and second.panel.comm is not None
    with pytest.raises(KeyError, match="start.span"):
        bench.ask("start.spam")
    assert repr(second) == second.panel.plain_text == SPAN.prompt(second.numbers)


def test_what_is_stored_does_not_depend_on_what_was_answered(desk):
    panel = QuestionPanel(SPAN, desk)
    panel.press("again")
    panel.type(wrong_for(panel))
    assert QuestionPanel(SPAN, desk).panel.plain_text == QuestionPanel(
        SPAN, Desk(MemoryStore())).panel.plain_text

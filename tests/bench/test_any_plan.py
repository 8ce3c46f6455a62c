"""Lessons 00 to 05 with any plan: its own bands, or the reason in words; never a traceback.

Each live figure is opened, predicted and turned to both ends and the middle of every knob; each
question on the plan asked, each example worked, each proposal put to the form.
"""

from __future__ import annotations

import html
import re

import nbformat
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn import bench
from rxlearn.bench import desk as desk_module
from rxlearn.bench.controls import Knob
from rxlearn.bench.desk import Desk
from rxlearn.exercises import registry
from rxlearn.exercises.worked_examples import EXAMPLES, worked_steps
from rxlearn.plan.document import Change, Plan, PlanFault
from rxlearn.plan.consequences import derive
from rxlearn.store import desk as shelf
from rxlearn.store.folder import MemoryStore
from tests.any_plans import (
    ABOUT_THE_PLAN, DEAD_SUPPLIES, FREQUENCIES, MISSED, NAMED, NARROWER, PF, PLANS, REFUSED,
    SUPPLIES, UNSHARED, WITHOUT_DIAL, WORKING, chessboard,
)
from tests.bench.toy import Shell, parts_of
from tests.workbench import LESSONS, LIVE_FIGURES

FIRST_LESSONS = ("start_here", "superheterodyne_basics", "injection_side", "image_swapping",
                 "band_spread", "power_supply")
STANDS_IN = "The demo receiver stands in."
MEASURED = re.compile(r"\d\s?(?:%|°|dB|ppm|[pnµmkM]?(?:Hz|F|H|V|A|Ω|W|s|J|m)\b)")
NONSENSE = re.compile(r"\bnan\b|not a number|\bNone\b|infinite|\d[eE][+-]?\d")
OUR_FAULT = ("could not follow", "Something went wrong")

GATED = ("supply_waveforms", "choke_input", "switching_on", "switching_off", "supply_ratings")
"""Figures that name high voltages: they have supplies of their own below."""


def figures_of_the_first_lessons() -> list[str]:
    """Ungated live figures that lessons 00 to 05 open (the gated ones have plans of their own)."""
    code = "\n".join(cell.source for path in LESSONS[:6]
                     for cell in nbformat.read(path, as_version=4).cells
                     if cell.cell_type == "code")
    called = dict.fromkeys(re.findall(r"\bbench\.(\w+)\(", code))
    return [name for name in called if name in LIVE_FIGURES
            and name not in GATED]


FIGURES = figures_of_the_first_lessons()
CASES = [
    *chessboard([name for name in FIGURES if name in ABOUT_THE_PLAN], PLANS),
    *((name, plan) for name in FIGURES if name not in ABOUT_THE_PLAN
      for plan in ("demo", "17 m and 10 m")),
]


def saved(changes: dict) -> Desk:
    """A desk whose plan holds ``changes``, as if a learner had saved them."""
    desk = Desk(MemoryStore())
    wished = {key: Change(value=value, status="wished", origin="test")
              for key, value in changes.items()}
    shelf.save_changes(desk.store, wished, Plan.demo())
    return desk


@pytest.fixture
def use(monkeypatch):
    """A function that saves a plan for the lesson that runs next."""
    shell = Shell()
    monkeypatch.setattr(desk_module, "get_ipython", lambda: shell)

    def choose(changes):
        shell._rxlearn_desk = saved(changes)
        return shell._rxlearn_desk

    return choose


def guess(opened) -> None:
    """Commit to the first option, or to a number, where a prediction is asked for."""
    if opened.guess is not None:
        return
    if opened.prediction.options:
        opened.pick("prediction", 0)
        opened.press("commit")
    else:
        opened.type("prediction", f"1 {opened.prediction.unit}")
    assert opened.guess, parts_of(opened.panel, "verdict")


def places(opened) -> list[dict]:
    """The start, each knob at both ends and in the middle, and each choice."""
    start = {key: control.start for key, control in opened.controls.items()}
    return [start] + [
        {**start, key: value} for key, control in opened.controls.items()
        for value in ((control.low, control.value_at(control.stops // 2), control.high)
                      if isinstance(control, Knob) else control.options)
    ]


def words_of(opened) -> str:
    """Every word that the figure shows: title, controls, picture, sentence, explanation."""
    controls = [words for control in opened.controls.values() for words in (
        [control.label] if isinstance(control, Knob) else [control.label, *control.options.values()])]
    drawn = map(html.unescape, re.findall(r">([^<>]+)</text>", opened.panel.picture["svg"]))
    return "\n".join([opened.title, *controls, *drawn, *opened.figure.texts(), opened.sentence,
                      opened.explanation])


def begins(words: str, name: str) -> bool:
    """Whether the words hold the name, or its first letters where it was cut short."""
    return name in words or (len(name) > 10 and f"{name[:7]}" in words and "…" in words)


@pytest.mark.parametrize(("figure", "plan"), CASES)
def test_every_figure_opens_with_the_plans_bands_and_can_be_turned_anywhere(use, figure, plan):
    planned = use(PLANS[plan]).plan()
    opened = getattr(bench, figure)()
    guess(opened)
    if figure in ABOUT_THE_PLAN:
        expect_own_bands(opened, figure, planned)
    expect_words_everywhere(opened)
    if opened.prediction:
        assert parts_of(opened.panel, "verdict")[-1]["text"].strip()
    opened.close()


def expect_words_everywhere(opened) -> None:
    """Turn the figure everywhere; fail where it says nothing, nonsense, or that we are at fault."""
    for setting in places(opened):
        opened.turn(**setting)
        for key in opened.controls:
            fault = opened.fault(key)
            assert not fault or fault.endswith("."), (setting, fault)
            assert not any(ours in fault for ours in OUR_FAULT), (setting, fault)
        assert MEASURED.search(opened.sentence), (setting, opened.sentence)
        table = [cell for row in opened.figure.rows(opened.result) for cell in row]
        said = " ".join([opened.sentence, opened.explanation, *opened.figure.texts(), *table])
        assert not NONSENSE.search(said), (setting, said)


def expect_own_bands(opened, figure: str, planned: Plan) -> None:
    """Fail unless the figure shows the plan's bands, or says why the demo's stand in."""
    words = words_of(opened)
    if STANDS_IN in opened.sentence:
        assert figure not in NAMED - {"dial_rates"} and figure not in FREQUENCIES
        assert opened.sentence.startswith("Your plan gives no dial to draw. ")
        return
    names = [planned.value(f"{band}.name") for band in ("lower_band", "upper_band")]
    found = [begins(words, name) for name in names]
    # Bands that no one setting receives are met one at a time.
    assert figure not in NAMED or (any if figure == "image_swapping" else all)(found), words
    assert figure not in NARROWER or any(found), words
    low, high = planned.value("lower_band.low"), planned.value("lower_band.high")
    if figure in FREQUENCIES and planned.value("intermediate_frequency") < 100 * low:
        said = float(re.search(r"(\d+\.\d+)\sMHz", opened.sentence)[1]) * 1e6
        assert abs(said - (low + high) / 2) <= 6e3, opened.sentence
    if figure != "multiband" and planned.value("intermediate_frequency") != 3.2768e6:
        assert "3.2768" not in words or figure == "meeting"  # it lists crystals, that one too
        for name in {"80 m", "30 m"} - set(names):
            left = re.sub(rf"in {name}|{name} amateur", "", words)  # who else is on the air there
            assert not re.search(rf"\b{name}\b", left), words


@pytest.mark.parametrize("plan", UNSHARED)
@pytest.mark.parametrize("figure", ["image_swapping", "meeting", "recentring"])
def test_bands_that_cannot_share_an_oscillator_are_met_with_the_reason(use, figure, plan):
    changes, reason = UNSHARED[plan]
    use(changes)
    assert getattr(bench, figure)().sentence.startswith(reason)


@pytest.mark.parametrize("plan", [*UNSHARED, *MISSED])
@pytest.mark.parametrize("figure", ["spread_network", "switched_capacitor"])
def test_one_dial_for_both_is_not_pretended(use, figure, plan):
    use(PLANS[plan])
    sentence = getattr(bench, figure)().sentence
    assert ("So each of your bands needs a dial of its own." in sentence
            or sentence.startswith("Your plan gives no dial to draw."))
    if plan in UNSHARED and STANDS_IN not in sentence:
        assert sentence.startswith(UNSHARED[plan][1])


@pytest.mark.parametrize("plan", WITHOUT_DIAL)
@pytest.mark.parametrize("figure", ["spread_network", "spread_parts", "dial_rates",
                                    "switched_capacitor", "drift"])
def test_a_plan_without_a_dial_is_met_with_the_reason(use, figure, plan):
    changes, reason = WITHOUT_DIAL[plan]
    use(changes)
    sentence = getattr(bench, figure)().sentence
    assert reason in sentence and STANDS_IN in sentence


@pytest.mark.parametrize("plan", REFUSED)
def test_nonsense_is_refused_with_the_reason(plan):
    changes, reason = REFUSED[plan]
    with pytest.raises(PlanFault, match=re.escape(reason)):
        saved(changes)


# The power supply --------------------------------------------------------------------------


@pytest.mark.parametrize(("figure", "supply"), chessboard(GATED, SUPPLIES))
def test_every_supply_opens_and_can_be_turned_anywhere(use, figure, supply):
    use(SUPPLIES[supply])
    opened = getattr(bench, figure)()
    guess(opened)
    assert "demo" not in opened.title and "stands in" not in opened.sentence
    expect_words_everywhere(opened)
    opened.close()


@pytest.mark.parametrize("supply", DEAD_SUPPLIES)
@pytest.mark.parametrize("figure", GATED)
def test_a_supply_that_cannot_work_is_met_with_the_reason(use, figure, supply):
    changes, reason = DEAD_SUPPLIES[supply]
    use(changes)
    opened = getattr(bench, figure)()
    # The last seconds need no load: whatever is wrong with it, that figure can be drawn.
    assert figure == "switching_off" and "demo" not in opened.title or (
        opened.sentence.startswith("Your plan's supply cannot work. ") and reason in opened.sentence
        and "The demo supply stands in." in opened.sentence)
    guess(opened)
    expect_words_everywhere(opened)
    opened.close()
    steps = worked_steps("power_supply", saved(changes).plan())
    assert steps[-1].startswith("Here it stops: ") and reason in steps[-1]


# Questions, examples, proposals ------------------------------------------------------------


ASKED = [question.key for lesson in FIRST_LESSONS for question in registry.for_lesson(lesson)
         if question.uses_plan]


@pytest.mark.parametrize("plan", PLANS)
def test_every_question_on_the_plan_is_asked_and_answered(use, plan):
    desk = use(PLANS[plan])
    for key in ASKED:
        panel = bench.ask(key)
        numbers, question = panel.numbers, panel.question
        shown = question.show_answer(numbers)
        (panel.pick([o.key for o in question.options].index(question.answer(numbers)))
         if question.options else panel.type(shown))
        assert panel.verdict.state == "right", (key, shown, panel.verdict.sentence)
        (steps,) = parts_of(panel.panel, "steps")
        said = " ".join([question.prompt(numbers), shown, *steps["items"]])
        assert not NONSENSE.search(said), said
        note = parts_of(panel.panel, "text")[-1]["text"]
        assert numbers["own"] == (note == "The numbers are those of your plan."), (key, note)
        assert numbers["own"] or re.search(r"\w.*\. So the numbers are those of the demo", note)
        assert numbers["own"] == question.prompt(numbers).startswith("Your receiver")
        panel.close()
    assert desk.recall("answer", ASKED[0])


@pytest.mark.parametrize("plan", [*UNSHARED])
def test_a_question_on_the_demo_says_why_it_is_not_on_the_plan(use, plan):
    changes, reason = UNSHARED[plan]
    use(changes)
    panel = bench.ask("swap.dial_share")
    assert reason in parts_of(panel.panel, "text")[-1]["text"]
    panel.close()


@pytest.mark.parametrize("plan", PLANS)
@pytest.mark.parametrize("lesson", [name for name in EXAMPLES if name in FIRST_LESSONS])
def test_every_example_is_worked_or_ends_with_the_reason(use, lesson, plan):
    planned = use(PLANS[plan]).plan()
    steps = worked_steps(lesson, planned)
    assert steps and not NONSENSE.search(" ".join(steps)), steps
    stopped = [step for step in steps if step.startswith("Here it stops: ")]
    assert stopped in ([], [steps[-1]]) and all(step.endswith(".") for step in stopped)
    assert MEASURED.search(" ".join(steps)), steps
    if lesson != "power_supply" and not stopped:
        assert planned.value("lower_band.name") in " ".join(steps) or (
            planned.value("upper_band.name") in " ".join(steps))
    if lesson == "image_swapping" and plan in UNSHARED:
        assert UNSHARED[plan][1] in steps[-1]
    if lesson == "band_spread" and plan in WITHOUT_DIAL and plan != "tiny coil":
        assert stopped


@pytest.mark.parametrize("plan", PLANS)
def test_every_proposal_can_be_taken_as_it_stands(use, plan):
    use(PLANS[plan])
    for lesson in FIRST_LESSONS:
        panel = bench.keep(lesson)
        panel.submit()
        assert not [part for part in parts_of(panel.panel, "verdict") if part["tone"] == "ask"], (
            lesson, parts_of(panel.panel, "verdict"))
        if parts_of(panel.panel, "table"):
            panel.press("save")
            assert parts_of(panel.panel, "verdict")[-1]["text"].startswith("Saved."), lesson
        panel.close()


@pytest.mark.parametrize("plan", PLANS)
def test_what_follows_from_a_plan_is_said_for_all_of_it(plan):
    for label, follows in derive(saved(PLANS[plan]).plan()).items():
        assert follows.text.strip() and not NONSENSE.search(follows.text), (label, follows.text)
        assert follows.possible or follows.text.endswith("."), (label, follows.text)


# Drawn plans -------------------------------------------------------------------------------


MHZ = st.floats(0.1, 60.0)


@st.composite
def drawn_plans(draw):
    """Two bands anywhere, an intermediate frequency, sides, a coil and a capacitor."""
    edges = sorted(draw(st.lists(MHZ, min_size=4, max_size=4, unique=True)))
    changes = {"intermediate_frequency": draw(st.floats(0.05, 30.0)) * 1e6,
               "oscillator.inductance": 10 ** draw(st.floats(-8, -2)),
               "tuning_capacitor.maximum": draw(st.floats(11, 2000)) * PF}
    for at, band in enumerate(("lower_band", "upper_band")):
        changes |= {f"{band}.low": edges[2 * at] * 1e6, f"{band}.high": edges[2 * at + 1] * 1e6,
                    f"{band}.injection": draw(st.sampled_from(["high", "low"]))}
    return changes


@settings(max_examples=25, deadline=None, database=None)
@given(drawn_plans(), st.data())
def test_any_plan_that_can_be_saved_opens_every_figure(changes, data):
    shell = Shell()
    try:
        shell._rxlearn_desk = saved(changes)
    except PlanFault as refused:
        assert all(sentence.endswith(".") for sentence in refused.sentences)
        return
    figure = data.draw(st.sampled_from(sorted(ABOUT_THE_PLAN)))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(desk_module, "get_ipython", lambda: shell)
        opened = getattr(bench, figure)()
        guess(opened)
        for setting in places(opened):
            opened.turn(**setting)
            faults = " ".join(opened.fault(key) for key in opened.controls)
            assert not any(ours in faults for ours in OUR_FAULT), (figure, setting, faults)
            assert MEASURED.search(opened.sentence), (figure, setting, opened.sentence)
        opened.close()


def test_the_cases_are_not_empty():
    assert len(FIGURES) > 15 and ABOUT_THE_PLAN <= set(FIGURES) and len(PLANS) > 25
    assert len(ASKED) >= 9 and set(WORKING) <= set(PLANS)

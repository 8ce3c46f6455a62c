"""A live figure without a page: one path from the hand to the picture, and every way off it."""

from __future__ import annotations

import gc
import itertools
import logging
import math

import pytest
from hypothesis import given
from ipywidgets.widgets.widget import _instances

from rxlearn import bench
from rxlearn.bench.controls import Knob
from rxlearn.bench.desk import Desk
from rxlearn.bench.live import LiveBench, Setting, live
from rxlearn.bench.panel import STRAY_NOTE, Stray
from rxlearn.compute.quantities import Unclear
from rxlearn.exercises.predictions import Prediction, reveal
from rxlearn.exercises.questions import Tolerance
from rxlearn.exercises.registry import find_prediction
from rxlearn.plan.document import Change
from rxlearn.store.desk import save_changes
from rxlearn.store.folder import FolderStore, MemoryStore
from tests.any_plans import ABOUT_THE_PLAN
from tests.bench.toy import ToyFigure, parts_of, toy_compute, toy_controls, words_of
from tests.nasty import TEXTS, hundreds, texts
from tests.workbench import LIVE_FIGURES, decode, open_figure

CHOICE = find_prediction("basics.predict_products")
NUMBER = Prediction(
    key="toy.length", lesson="toy", prompt="How long?", truth=lambda: 20e-3,
    because=lambda: "Twice ten.", unit="m", near=Tolerance("A tenth is near.", relative=0.1),
)


def make_toy(desk, prediction=None, compute=toy_compute):
    """A toy bench on ``desk``."""
    return LiveBench("A toy", Setting(toy_controls(), compute, ToyFigure), prediction=prediction, desk=desk)


@pytest.fixture
def toy(desk):
    bench = make_toy(desk)
    yield bench
    bench.close()


def shown(bench):
    """Everything that the page is shown, but for the step number and the faults."""
    texts = {k: v for k, v in bench.panel.texts.items()
             if k not in ("step", "fault") and not k.endswith(":fault")}
    return texts, bench.panel.frame, bench.panel.parts


def state(bench):
    """What must not change when something is refused."""
    return dict(bench.values), bench.sentence, bench.result, shown(bench)


def line_at(bench):
    """Where the toy's line stands, mm, read from the frame (axes from 40 to 360 px, 0 to 100)."""
    nodes = decode(bench.figure.nodes, bench.panel.frame)
    return (nodes["rxid-line"]["points"][0, 0] - 40) / 3.2


# One path ---------------------------------------------------------------------------


def test_a_turn_moves_value_picture_sentence_and_texts(toy):
    toy.turn(length=20e-3)
    assert toy.values["length"] == 20e-3
    assert toy.sentence == repr(toy) == toy.panel.texts["sentence"] == "once length 20.0 mm."
    assert toy.panel.texts["explanation"] == "It is 20.0 mm, once."
    assert toy.panel.texts["length"] == "20.0 mm"
    assert toy.panel.texts["picture"] == ["20.0 mm"]
    assert line_at(toy) == pytest.approx(20, abs=0.01)


def test_the_page_turns_as_python_does(toy, page):
    page.turn(toy.panel, {"step": 1, "positions": {"length": 78, "kind": 1}})
    assert toy.values == {"length": 40e-3, "turns": 3, "kind": "twice"}
    assert line_at(toy) == pytest.approx(80, abs=0.01)


def test_a_choice_and_two_knobs_turned_together(toy):
    toy.turn(length=5e-3, turns=7, kind="twice")
    assert toy.values == {"length": 5e-3, "turns": 7, "kind": "twice"}
    assert toy.sentence == "twice length 10.0 mm."


def test_each_turn_is_one_message(toy, monkeypatch):
    sent = []
    monkeypatch.setattr(toy.panel, "send_state", lambda key=None: sent.append(set(key or ())))
    toy.turn(length=20e-3)  # the first turn also lays out the page anew
    sent.clear()
    toy.turn(length=21e-3)
    assert sent == [{"texts", "frame"}]


@pytest.mark.parametrize(("text", "value"), [
    ("20 mm", 20e-3), ("0.02 m", 20e-3), (" 20,5 mm ", 20.5e-3),
    ("12345 µm", 12.345e-3), ("1.5e-2 m", 15e-3),
])
def test_a_typed_value_is_taken_exactly(toy, text, value):
    toy.type("length", text)
    assert toy.fault("length") == ""
    assert toy.values["length"] == pytest.approx(value, rel=1e-12)
    assert toy.panel.knobs["length"] == pytest.approx((value - 1e-3) / 0.5e-3)
    assert "turns" not in toy.panel.knobs, "another knob may be in the learner's hand"


def test_a_typed_value_between_stops_survives_the_turn_of_another_knob(toy, page):
    toy.type("length", "12345.6789123 µm")
    page.turn(toy.panel, {"step": 1, "positions": {"turns": 5}})
    # The page may still hold where it was told that the slider stands.
    page.turn(toy.panel, {"step": 2, "positions": {
        "turns": 6, "length": toy.panel.texts["at"]["length"]}})
    assert toy.values["length"] == pytest.approx(12.3456789123e-3, rel=1e-12)
    assert toy.values["turns"] == 7
    assert toy.panel.texts["length"] == "12.3456789123 mm"


def test_reset_puts_one_control_back(toy):
    toy.turn(length=20e-3, turns=8, kind="twice")
    before = toy.panel.knobs
    toy.press("reset:length")
    assert toy.values == {"length": 10e-3, "turns": 8, "kind": "twice"}
    assert toy.panel.knobs["length"] == 18 and toy.panel.knobs != before
    again = toy.panel.knobs
    toy.press("reset:length")
    assert toy.panel.knobs != again, "a reset to where the kernel is must still move the slider"


# Bad input --------------------------------------------------------------------------


@hundreds
@given(texts)
def test_bad_text_says_why_and_changes_nothing(desk, text):
    toy = make_toy(desk)
    toy.turn(length=20e-3)
    before = state(toy)
    knob = toy.controls["length"]
    toy.type("length", text)
    try:
        value = knob.read(text)
    except Unclear as problem:
        assert toy.fault("length") == str(problem) != ""
        assert state(toy) == before
        assert toy.fault("turns") == "", "the sentence belongs under its own control"
    else:
        assert toy.values["length"] == value and knob.low <= value <= knob.high
    toy.turn(turns=5)
    assert toy.fault("length") == ""
    toy.close()


@pytest.mark.parametrize("name", LIVE_FIGURES)
def test_bad_text_in_every_knob_of_the_lessons(shell, name):
    bench = open_figure(name)
    bench.turn(**bench.values)
    for key, control in bench.controls.items():
        if not isinstance(control, Knob):
            continue
        for text in TEXTS:
            try:
                control.read(text)
            except Unclear as problem:
                before = state(bench)
                bench.type(key, text)
                assert bench.fault(key) == str(problem)
                assert state(bench) == before
    bench.close()


def test_unclear_from_compute_is_its_own_sentence_and_no_fault_of_ours(toy, caplog):
    toy.turn(length=20e-3)
    frame, sentence = toy.panel.frame, toy.sentence
    with caplog.at_level(logging.WARNING, "rxlearn"):
        toy.type("length", "13 mm")
    assert toy.fault("length").startswith("13 mm is unlucky: choose another length.")
    assert "last setting that works" in toy.fault("length")
    assert (toy.panel.frame, toy.sentence) == (frame, sentence)
    assert not caplog.records
    toy.turn(length=21e-3)
    assert toy.fault("length") == "" and toy.sentence == "once length 21.0 mm."


@pytest.mark.expects_fault
def test_a_fault_in_compute_is_one_sentence_and_an_error_in_the_log(toy, caplog):
    toy.turn(length=20e-3)
    frame, sentence = toy.panel.frame, toy.sentence
    toy.turn(length=17e-3)
    assert "last one that works" in toy.fault("length")
    assert "Traceback" not in toy.fault("length") and "Zero" not in toy.fault("length")
    assert (toy.panel.frame, toy.sentence) == (frame, sentence)
    (record,) = [r for r in caplog.records if r.levelno >= logging.ERROR]
    assert record.exc_info[0] is ZeroDivisionError
    toy.turn(length=18e-3)
    assert toy.fault("length") == "" and line_at(toy) == pytest.approx(18, abs=0.01)


@pytest.mark.expects_fault
def test_a_figure_that_fails_half_way_is_put_back(toy):
    toy.turn(length=20e-3)
    frame = toy.panel.frame
    toy.figure.fails_after_moving = True
    toy.turn(length=30e-3)
    assert toy.panel.frame == frame and toy.fault("length")


# Stray messages ---------------------------------------------------------------------


@pytest.mark.parametrize("turned", [
    {"positions": {"length": math.nan}}, {"positions": {"length": math.inf}},
    {"positions": {"length": "12"}}, {"positions": {"length": None}},
    {"positions": {"length": True}}, {"positions": {"length": [1]}},
    {"positions": {"length": 10**400}}, {"positions": {"lenght": 3}}, {"positions": [1, 2]},
    {"positions": {"kind": 7}}, {"positions": {"kind": -1}},
    {"positions": {"length": 40, "kind": 7}}, {"positions": "length"}, [], "turned", None, 7,
])
def test_a_stray_turn_changes_nothing_and_says_so(toy, page, turned, caplog):
    before = state(toy)
    with caplog.at_level(logging.WARNING, "rxlearn"):
        page.turn(toy.panel, turned)
    assert state(toy) == before
    assert toy.panel.texts["fault"] == STRAY_NOTE
    assert [r.levelno for r in caplog.records] == [logging.WARNING]
    page.turn(toy.panel, {"step": 9, "positions": {"length": 38}})
    assert toy.values["length"] == 20e-3 and not toy.panel.texts.get("fault")


@pytest.mark.parametrize("content", [
    {"event": "type", "key": "length", "value": 12}, {"event": "type", "key": "length"},
    {"event": "type", "key": "kind", "value": "two times"},
    {"event": "type", "key": "nobody", "value": "1 mm"},
    {"event": "press", "key": "reset:"}, {"event": "press", "key": "reset:nobody"},
    {"event": "press", "key": "length"}, {"event": "pick", "key": "length", "value": 0},
    {"event": "fly", "key": "length"}, {"event": ["press"], "key": {}}, {}, [], "press", None, 3,
])
def test_a_stray_message_changes_nothing_and_says_so(toy, page, content):
    toy.turn(length=20e-3)
    before = state(toy)
    page.tell(toy.panel, content)
    assert state(toy) == before
    assert toy.panel.texts["fault"] == STRAY_NOTE


# The prediction ---------------------------------------------------------------------


def resting(bench):
    """Whether every control is switched off."""
    (controls,) = parts_of(bench.panel, "controls")
    assert len({item["off"] for item in controls["items"]}) == 1
    return controls["items"][0]["off"]


def test_without_a_prediction_the_controls_are_awake(toy):
    assert not resting(toy)


def test_the_controls_rest_until_there_is_a_prediction(desk, page):
    bench = make_toy(desk, CHOICE)
    before = state(bench)
    assert resting(bench) and CHOICE.because() not in words_of(bench.panel)
    assert "explanation" not in [part.get("key") for part in bench.panel.parts]
    page.turn(bench.panel, {"step": 1, "positions": {"length": 3}})
    page.tell(bench.panel, {"event": "type", "key": "length", "value": "20 mm"})
    page.tell(bench.panel, {"event": "press", "key": "reset:length"})
    with pytest.raises(Stray):
        bench.turn(length=20e-3)
    assert state(bench) == before
    bench.pick("prediction", 1)
    bench.press("commit")
    assert not resting(bench)
    bench.type("length", "20 mm")
    assert bench.values["length"] == 20e-3


def test_committing_to_nothing_asks_again(desk):
    for prediction, empty in ((CHOICE, lambda b: b.press("commit")),
                              (NUMBER, lambda b: b.type("prediction", "  "))):
        bench = make_toy(desk, prediction)
        empty(bench)
        assert resting(bench) and bench.guess is None
        assert "Commit yourself first" in words_of(bench.panel)
        assert not desk.recall("prediction", prediction.key)


def test_a_number_is_read_with_its_unit_and_kept_as_typed(desk):
    bench = make_toy(desk, NUMBER)
    bench.type("prediction", "20")
    assert resting(bench) and "Add the unit" in words_of(bench.panel)
    (entry,) = parts_of(bench.panel, "entry")
    assert entry["value"] == "20", "what was typed stays, to be mended"
    bench.type("prediction", "25 mm")
    assert not resting(bench) and desk.recall("prediction", NUMBER.key) == [{"text": "25 mm"}]


@pytest.mark.parametrize(("prediction", "commit", "text"), [
    (CHOICE, lambda b: (b.pick("prediction", 0), b.press("commit")), CHOICE.options[0][0]),
    (NUMBER, lambda b: b.type("prediction", "25 mm"), "25 mm"),
])
def test_a_guess_is_shown_beside_the_result_after_the_first_move_and_kept(
    desk, store, prediction, commit, text
):
    bench = make_toy(desk, prediction)
    commit(bench)
    assert "Kept:" in words_of(bench.panel) and prediction.because() not in words_of(bench.panel)
    bench.turn(length=20e-3)
    assert reveal(prediction, text) in words_of(bench.panel)
    bench.turn(length=21e-3)
    assert reveal(prediction, text) in words_of(bench.panel)
    # A new session on the same store: nothing is asked again, the guess is still there.
    later = make_toy(Desk(store), prediction)
    assert not resting(later) and "Kept:" in words_of(later.panel)
    later.turn(length=20e-3)
    assert reveal(prediction, text) in words_of(later.panel)


def test_a_kept_guess_cannot_be_changed(desk, page):
    bench = make_toy(desk, NUMBER)
    bench.type("prediction", "25 mm")
    page.tell(bench.panel, {"event": "type", "key": "prediction", "value": "20 mm"})
    page.tell(bench.panel, {"event": "press", "key": "commit"})
    page.tell(bench.panel, {"event": "press", "key": "skip"})
    assert bench.guess == "25 mm" and desk.recall("prediction", NUMBER.key) == [{"text": "25 mm"}]


def test_going_on_without_a_guess_is_not_kept(desk, store):
    bench = make_toy(desk, CHOICE)
    bench.press("skip")
    assert not resting(bench) and "No guess is kept." in words_of(bench.panel)
    bench.turn(length=20e-3)
    assert CHOICE.because() in words_of(bench.panel)
    assert resting(make_toy(Desk(store), CHOICE)), "in the next session it may be asked again"


@pytest.mark.parametrize("value", [99, -1, True, "0", None, 1.0, [0]])
def test_a_stray_option_is_left_alone(desk, page, value):
    bench = make_toy(desk, CHOICE)
    page.tell(bench.panel, {"event": "pick", "key": "prediction", "value": value})
    assert bench.panel.texts["fault"] == STRAY_NOTE
    bench.press("commit")
    assert bench.guess is None and resting(bench)


@hundreds
@given(texts)
def test_any_text_as_a_prediction_is_kept_or_answered(text):
    bench = make_toy(Desk(MemoryStore()), NUMBER)
    bench.type("prediction", text)
    assert words_of(bench.panel)
    if bench.guess is None:
        assert resting(bench) and parts_of(bench.panel, "verdict")
    else:
        bench.turn(length=20e-3)
        assert NUMBER.because() in words_of(bench.panel)
    bench.close()


def test_a_guess_that_cannot_be_kept_says_so_and_goes_on(tmp_path):
    (tmp_path / "file").write_text("in the way")
    bench = make_toy(Desk(FolderStore(tmp_path / "file" / "below")), CHOICE)
    bench.pick("prediction", 0)
    bench.press("commit")
    assert not resting(bench) and "This is not kept:" in words_of(bench.panel)


# Opening, closing, opening again -----------------------------------------------------


def open_toy(predict=""):
    return live("A toy", toy_controls(), toy_compute, ToyFigure, predict=predict)


def test_running_a_cell_again_leaves_nothing_behind(shell):
    open_toy()
    gc.collect()
    before = len(_instances)
    panels = [open_toy().panel for _ in range(20)]
    assert len(_instances) == before
    assert [panel.comm is None for panel in panels] == [True] * 19 + [False]


def test_another_cell_keeps_its_own(shell):
    first = open_toy()
    shell.cell = "cell-2"
    second = open_toy()
    assert first.panel.comm is not None and second.panel.comm is not None
    second.turn(length=30e-3)
    assert first.values["length"] == 10e-3 and first.sentence == "once length 10.0 mm."


def test_a_closed_figure_lets_go(shell):
    bench = open_toy()
    bench.close()
    assert bench.panel.comm is None and bench.panel.still is None
    bench.close()  # twice does no harm


def test_a_bench_opens_with_its_first_words_and_still(toy):
    assert toy.panel.plain_text == "once length 10.0 mm.\nIt is 10.0 mm, once."
    toy.turn(length=20e-3)
    assert toy.panel.plain_text.startswith("once length 10.0 mm."), "what is stored stays stable"


PLANS = {
    "40 m and 20 m": {
        "lower_band.name": "40 m", "lower_band.low": 7.0e6, "lower_band.high": 7.3e6,
        "upper_band.name": "20 m", "upper_band.low": 14.0e6, "upper_band.high": 14.35e6,
        "intermediate_frequency": 3.579545e6,
    },
    "markup": {"lower_band.name": "<b>80 $\\frac{ m</b>", "receiver.name": "<script>x</script>"},
    "no swapping": {"lower_band.injection": "low", "upper_band.injection": "high"},
}


# Figures about the plan are tried with many more plans in test_any_plan and in their own files.
@pytest.mark.parametrize(("name", "plan"), list(zip(
    [name for name in LIVE_FIGURES if name not in ABOUT_THE_PLAN], itertools.cycle(PLANS))))
def test_every_figure_opens_and_turns_with_any_plan(shell, desk, name, plan):
    changes = {key: Change(value=value, status="wished", origin="test")
               for key, value in PLANS[plan].items()}
    save_changes(desk.store, changes, seen=desk.plan())
    bench = open_figure(name)
    bench.figure.still()
    for key, control in bench.controls.items():
        ends = (control.low, control.high) if isinstance(control, Knob) else control.options
        for value in ends:
            bench.turn(**{key: value})
            assert bench.panel.texts["sentence"]
    bench.close()


@pytest.mark.parametrize("name", LIVE_FIGURES)
def test_every_figure_names_a_prediction_that_exists(shell, name):
    opened = getattr(bench, name)()
    assert opened.prediction is None or opened.guess is None
    assert resting(opened) == (opened.prediction is not None)
    opened.close()

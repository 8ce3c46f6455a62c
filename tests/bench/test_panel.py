"""The one widget: what is stored in a notebook, and what it makes of messages from the page."""

from __future__ import annotations

import base64
import logging
import re
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn import bench
from rxlearn.bench.live import LiveBench, Setting
from rxlearn.bench.panel import STILL_NOTE, STRAY_NOTE, Panel
from rxlearn.bench.plan import PlanPanel
from rxlearn.bench.questions import QuestionPanel
from rxlearn.data.cautions import COVERED
from rxlearn.exercises.registry import find
from tests.bench.toy import ToyFigure, toy_compute, toy_controls
from tests.nasty import MARKUP, hundreds, json_values, texts
from tests.workbench import LIVE_FIGURES, open_figure

VIEW = "application/vnd.jupyter.widget-view+json"


class Reader(HTMLParser):
    """Tags, their attributes, and the words between them."""

    def __init__(self, source: str) -> None:
        super().__init__()
        self.tags, self.words = [], ""
        self.feed(source)

    def handle_starttag(self, tag, attributes):
        self.tags.append((tag, dict(attributes)))

    def handle_data(self, data):
        self.words += data


def stored(panel: Panel) -> dict:
    """What a notebook stores of ``panel``."""
    data, metadata = panel._repr_mimebundle_()
    assert metadata["rxlearn"] == {"still": True}
    return data


@pytest.mark.parametrize("name", LIVE_FIGURES)
def test_a_figure_is_stored_with_its_words_and_a_still_with_alt(shell, name):
    figure = getattr(bench, name)()
    data = stored(figure.panel)
    assert data["text/plain"] == repr(figure.panel) and VIEW in data
    page = Reader(data["text/html"])
    if figure.panel.gated:  # high voltages: what is stored is the cover
        assert COVERED in data["text/plain"] and COVERED in page.words
        assert figure.sentence not in data["text/plain"] + page.words
        assert not [tag for tag, _ in page.tags if tag == "img"]
        return
    assert data["text/plain"] == figure.panel.plain_text
    (image,) = [attributes for tag, attributes in page.tags if tag == "img"]
    assert image["alt"] == figure.panel.plain_text and STILL_NOTE in page.words
    kind, _, picture = image["src"].partition("base64,")
    assert kind == "data:image/svg+xml;"
    assert base64.b64decode(picture).decode() == figure.figure.still()
    figure.close()


@pytest.mark.parametrize("open_panel", [
    bench.ready, bench.show_plan, lambda: bench.keep("start_here"),
    lambda: bench.ask("start.span"), lambda: bench.worked_example("superheterodyne_basics"),
])
def test_what_has_no_picture_is_stored_with_its_words(shell, open_panel):
    opened = open_panel()
    panel = opened if isinstance(opened, Panel) else opened.panel
    data = stored(panel)
    assert data["text/plain"] == panel.plain_text and len(panel.plain_text) > 20
    assert not re.search(r"0x[0-9a-f]{6}|object at", data["text/plain"])
    assert STILL_NOTE in Reader(data["text/html"]).words


@pytest.mark.parametrize("words", MARKUP)
def test_markup_stays_text_in_what_is_stored(words):
    panel = Panel("label", lambda *event: None)
    panel.plain_text = words
    for still in (None, lambda: f"<svg><text>{words}</text></svg>"):
        panel.still = still
        page = Reader(stored(panel)["text/html"])
        assert {tag for tag, _ in page.tags} <= {"p", "em", "img", "br"}
        assert words in page.words
        for tag, attributes in page.tags:
            assert set(attributes) <= ({"alt", "style", "src"} if tag == "img" else set())
            assert attributes.get("alt", words) == words


# Any message at all -----------------------------------------------------------------


def open_all(desk):
    """One panel of each kind that listens, and what must not change behind its back."""
    live = LiveBench("A toy", Setting(toy_controls(), toy_compute, ToyFigure), prediction=None, desk=desk)
    number, choice = (QuestionPanel(find(key), desk) for key in ("start.span", "start.discharge"))
    plan = PlanPanel("superheterodyne_basics", desk)
    return {
        "live": (live.panel, lambda: (dict(live.values), live.sentence, live.panel.frame)),
        "number": (number.panel, lambda: (number.attempts[:], number.verdict, number.seed)),
        "choice": (choice.panel, lambda: (choice.attempts[:], choice.verdict, choice._picked)),
        "plan": (plan.panel, lambda: (plan.plan, dict(plan.typed), desk.plan())),
    }


KINDS = ("live", "number", "choice", "plan")

KNOWN = {"answer", "check", "working", "again", "plan", "save", "leave", "reset:length",
         "reset:turns", "reset:kind", "length", "turns"}

stray = st.one_of(
    json_values,
    st.fixed_dictionaries({
        "event": st.sampled_from(["turn", "type", "press", "pick"]) | json_values,
        "key": st.text(max_size=12).filter(lambda key: key not in KNOWN) | json_values.filter(
            lambda key: not isinstance(key, str)),
        "value": json_values | texts,
    }).filter(lambda content: not (content["event"] == "turn" and isinstance(content["value"], dict))),
)


@pytest.mark.parametrize("kind", KINDS)
def test_no_stray_message_changes_anything(desk, page, kind, caplog):
    panel, look = open_all(desk)[kind]
    before = look()

    @hundreds
    @given(stray)
    def try_it(content):
        page.tell(panel, content)
        assert look() == before
        assert panel.texts["fault"] == STRAY_NOTE

    try_it()


@pytest.mark.parametrize("kind", KINDS)
def test_known_keys_with_values_of_the_wrong_kind_change_nothing(desk, page, kind):
    panel, look = open_all(desk)[kind]
    before = look()
    for event, values in {
        "type": [None, 3, 1.5, True, [], ["1 mm"], {"length": 3}, {"nobody": "x"}, {3: "x"}],
        "pick": [None, "0", -1, 99, 0.0, True, [], {}],
        "turn": [None, "length", 3, [], {"positions": {"length": float("nan")}}],
        "fly": [None],
    }.items():
        for key in sorted(KNOWN):
            for value in values:
                page.tell(panel, {"event": event, "key": key, "value": value})
                assert look() == before, (event, key, value)
                assert panel.texts["fault"] == STRAY_NOTE


@hundreds
@given(json_values)
def test_whatever_the_sliders_are_said_to_be_the_panel_lives_on(desk, page, turned):
    panel, look = open_all(desk)["live"]
    before = look()
    page.turn(panel, turned)
    assert look() == before
    page.turn(panel, {"step": 1, "positions": {"length": 38}})
    assert look()[0]["length"] == 20e-3 and not panel.texts.get("fault")
    panel.close()


@pytest.mark.expects_fault
def test_a_listener_that_fails_is_logged_and_said_in_one_sentence(page, caplog):
    def listener(event, key, value):
        raise KeyError("ours")

    panel = Panel("label", listener)
    page.tell(panel, {"event": "press", "key": "any"})
    assert panel.texts["fault"].startswith("Something went wrong here;")
    assert "KeyError" not in panel.texts["fault"]
    assert [r.exc_info[0] for r in caplog.records if r.levelno == logging.ERROR] == [KeyError]


def test_the_sentence_of_a_fault_goes_when_the_next_thing_works(page):
    heard = []
    panel = Panel("label", lambda event, key, value: heard.append((event, key, value)))
    page.tell(panel, {"event": "fly"})
    assert panel.texts["fault"] == STRAY_NOTE
    page.tell(panel, {"event": "type", "key": "any", "value": "words"})
    assert heard == [("type", "any", "words")] and panel.texts["fault"] == ""


# The page's own files ---------------------------------------------------------------


def test_the_page_sets_words_as_text_only():
    script = str(Panel._esm)
    for way in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(",
                "text/html", "setHTML", "createContextualFragment"):
        assert way not in script, way


def test_the_kernel_sends_only_kinds_of_part_that_the_page_draws(desk, shell):
    script = str(Panel._esm)
    kinds = script.split("const kinds = {")[1].split("\n  };")[0]
    drawn = set(re.findall(r"^    (\w+)[:(]", kinds, re.MULTILINE))
    panels = [panel for panel, _ in open_all(desk).values()]
    panels += [open_figure(name).panel for name in LIVE_FIGURES]
    panels += [bench.ready(), bench.show_plan().panel, bench.worked_example("injection_side")]
    sent = {part["kind"] for panel in panels for part in panel.parts}
    assert sent <= drawn and len(sent) > 6

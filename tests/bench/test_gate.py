"""The safety list: nothing of what it covers leaves the kernel before every line is ticked."""

from __future__ import annotations

import json

import pytest

from rxlearn import bench
from rxlearn.bench.cautions import SafetyPanel
from rxlearn.bench.desk import Desk
from rxlearn.bench.gate import Gate, cover_text
from rxlearn.bench.live import LiveBench, Setting
from rxlearn.bench.panel import Panel
from rxlearn.bench.plan import COVERED_VALUE
from rxlearn.data.cautions import CAUTIONS, COVERED, GROUPS, LIMIT, SAFETY_LIST
from rxlearn.plan.fields import FIELDS
from rxlearn.store.folder import FolderStore
from tests.bench.toy import ToyFigure, parts_of, toy_compute, toy_controls, words_of
from tests.voltages import volts_in

KEYS = [row.key for row in SAFETY_LIST]
SYNCED = ("parts", "texts", "knobs", "picture", "frame")


class SecretFigure(ToyFigure):
    """A figure whose every word is a high voltage."""

    name = "secret"

    def describe(self, result):
        return f"The winding gives {230 + result.value * 1e3:.0f} V."

    def explain(self, result):
        return "The capacitor holds 325 V."


def secret(desk):
    return LiveBench("Rectifier", Setting(toy_controls(), toy_compute, SecretFigure), desk=desk, gated=True)


@pytest.fixture
def figure(desk):
    figure = secret(desk)
    yield figure
    figure.close()


@pytest.fixture
def sent(monkeypatch):
    """Every state that any panel sends to the page, as it is sent."""
    log = []
    real = Panel._send

    def send(panel, message, buffers=None):
        log.append((panel.label, message, buffers))
        return real(panel, message, buffers=buffers)

    monkeypatch.setattr(Panel, "_send", send)
    return log


def tick_all(desk):
    for key in KEYS:
        desk.tick(key)


def page_of(panel):
    """What the page has of ``panel`` when it asks for everything."""
    return panel.get_state(list(SYNCED))


def is_covered(panel):
    page = page_of(panel)
    text = json.dumps(page["parts"], ensure_ascii=False)
    return (page["texts"], page["knobs"], page["picture"], page["frame"]) == ({}, {}, {}, b"") and (
        COVERED in text and max(volts_in(text)) <= LIMIT.volts)


def test_the_search_for_voltages_finds_them():
    assert volts_in("230-0-230 V r.m.s., 1.2 kV, 6.3 V, 300 to 400 V and 2 volts") == [
        230.0, 1200.0, 6.3, 400.0, 2.0, 300.0, 230.0]
    assert volts_in("<td>450&nbsp;V</td> 22 µF 47 kΩ 100 MHz V4 5 VA 1 mA") == [450.0]


# The gate itself -----------------------------------------------------------------------


def test_a_gate_begins_locked_and_is_cleared_by_the_last_line_only():
    gate = Gate()
    for key in reversed(KEYS):
        assert not gate.cleared
        gate.tick(key)
    assert gate.cleared and gate.ticked == tuple(KEYS)


@pytest.mark.parametrize("key", KEYS)
def test_unticking_any_line_locks_again(desk, key):
    tick_all(desk)
    desk.tick(key, False)
    assert not desk.cleared and key not in desk.gate.ticked
    desk.tick(key)
    assert desk.cleared


def test_ticking_twice_counts_once_and_tells_nobody_twice():
    gate, told = Gate(), []
    gate.watch(lambda: told.append(gate.ticked))
    gate.tick(KEYS[0])
    gate.tick(KEYS[0])
    gate.tick(KEYS[1], False)
    assert told == [(KEYS[0],)]


def test_an_unknown_statement_is_named(desk):
    with pytest.raises(KeyError, match="no statement 'all'.*company"):
        desk.tick("all")
    assert desk.gate.ticked == ()


# What is covered -------------------------------------------------------------------------


def test_a_gated_figure_is_covered_until_all_is_ticked_and_then_alive_without_running_again(
        desk, figure, page):
    assert is_covered(figure.panel)
    for key in KEYS[:-1]:
        desk.tick(key)
        assert is_covered(figure.panel)
    desk.tick(KEYS[-1])
    shown = page_of(figure.panel)
    assert shown["texts"]["sentence"] == "The winding gives 240 V." and shown["picture"]["nodes"]
    page.turn(figure.panel, {"step": 1, "positions": {"length": 78, "kind": 1}})
    assert page_of(figure.panel)["texts"]["sentence"] == "The winding gives 310 V."
    desk.tick(KEYS[2], False)
    assert is_covered(figure.panel)


def test_covered_controls_are_dead_and_leave_no_trace(desk, figure, page):
    page.turn(figure.panel, {"step": 1, "positions": {"length": 78}})
    page.tell(figure.panel, {"event": "type", "key": "length", "value": "12 mm"})
    page.tell(figure.panel, {"event": "press", "key": "reset:length"})
    tick_all(desk)
    assert figure.values["length"] == 10e-3 and not page_of(figure.panel)["texts"].get("fault")


def test_nothing_covered_is_ever_sent(desk, sent):
    """Not at opening, not at a change, not when the page asks for the whole state."""
    figure = secret(desk)
    figure._hear("turn", "", {"positions": {"length": 60}})
    figure.panel._handle_msg({"content": {"data": {"method": "request_state"}}, "buffers": []})
    for key in KEYS[:-1]:
        desk.tick(key)
    assert sent, "the log of what is sent is empty, so this test would see nothing"
    everything = repr([message for _, message, _ in sent]) + repr([b for *_, b in sent if b])
    assert "winding" not in everything and "holds 325 V" not in everything
    assert "<svg" not in everything
    desk.tick(KEYS[-1])
    assert "winding" in repr(sent)
    figure.close()


def test_the_page_gets_one_message_when_the_cover_goes_and_none_for_the_other_ticks(
        desk, figure, sent):
    for key in KEYS[:-1]:
        desk.tick(key)
    assert not sent
    desk.tick(KEYS[-1])
    ((_, message, buffers),) = sent
    assert message["state"].keys() == set(SYNCED) - {"frame"} and message["buffer_paths"] == [["frame"]]
    assert buffers == [figure.panel.frame]


def test_what_a_notebook_stores_is_the_cover_ticked_or_not(desk, figure):
    for _ in range(2):
        data, metadata = figure.panel._repr_mimebundle_()
        assert metadata["rxlearn"] == {"still": True}
        assert data["text/plain"] == repr(figure) == cover_text("Rectifier")
        assert COVERED in data["text/html"] and "<img" not in data["text/html"]
        for words in (data["text/plain"], data["text/html"]):
            assert "winding" not in words and "holds 325 V" not in words
        tick_all(desk)
    assert figure.sentence == "The winding gives 240 V."


def test_a_closed_figure_is_told_nothing_more(desk, figure, sent):
    figure.close()
    tick_all(desk)
    assert not sent and desk.gate._watchers == []


def test_a_panel_without_gate_is_never_covered(desk, sent):
    figure = LiveBench("A toy", Setting(toy_controls(), toy_compute, ToyFigure), desk=desk)
    assert page_of(figure.panel)["texts"]["sentence"] == "once length 10.0 mm."
    sent.clear()
    tick_all(desk)
    assert not [s for s in sent if s[0] == "A toy" and "parts" in s[1].get("state", {}) and
                "picture" in s[1]["state"]]
    figure.close()


# The list ----------------------------------------------------------------------------------


@pytest.fixture
def safety(shell):
    panel = bench.safety_list()
    yield panel
    panel.close()


def test_the_list_shows_each_statement_and_the_limit_with_its_source(safety):
    (ticks,) = parts_of(safety.panel, "ticks")
    assert ticks["items"] == [row.text for row in SAFETY_LIST]
    assert LIMIT.source in words_of(safety.panel) and LIMIT.name in words_of(safety.panel)
    assert safety.panel.texts["list"] == [False] * len(KEYS)
    for row in SAFETY_LIST:
        assert row.text in repr(safety)
        assert row.text.replace("'", "&#x27;") in safety.panel._repr_mimebundle_()[0]["text/html"]


def test_ticking_in_the_page_opens_figures_and_unticking_covers_them(desk, safety, figure, page):
    for number in range(len(KEYS)):
        assert is_covered(figure.panel) and "covered" in safety.panel.texts["state"]
        page.tell(safety.panel, {"event": "tick", "key": "list",
                                 "value": {"number": number, "on": True}})
    assert desk.cleared and not is_covered(figure.panel)
    assert "All ticked" in safety.panel.texts["state"] and all(safety.panel.texts["list"])
    page.tell(safety.panel, {"event": "tick", "key": "list", "value": {"number": 3, "on": False}})
    assert not desk.cleared and is_covered(figure.panel)
    assert safety.panel.texts["list"][3] is False


@pytest.mark.parametrize("value", [
    {"number": 99, "on": True}, {"number": -1, "on": True}, {"number": True, "on": True},
    {"number": 0, "on": "yes"}, {"number": 0}, {"on": True}, {}, None, 7, "0", [0, True],
])
def test_stray_ticks_tick_nothing(desk, safety, page, value):
    page.tell(safety.panel, {"event": "tick", "key": "list", "value": value})
    page.tell(safety.panel, {"event": "tick", "key": "nosuch", "value": {"number": 0, "on": True}})
    assert desk.gate.ticked == ()


def test_two_copies_of_the_list_agree(shell, desk, safety):
    shell.cell = "another"
    copy = bench.safety_list()
    copy.tick(1)
    assert safety.panel.texts["list"] == copy.panel.texts["list"] and safety.panel.texts["list"][1]
    copy.close()
    safety.tick(1, False)
    assert desk.gate.ticked == ()


def test_ticks_are_never_stored_and_end_with_the_kernel(tmp_path):
    store = FolderStore(tmp_path / "home")
    first = Desk(store)
    list_panel = SafetyPanel(first)
    before = sorted(tmp_path.rglob("*"))
    for number in range(len(KEYS)):
        list_panel.tick(number)
    assert first.cleared
    assert sorted(tmp_path.rglob("*")) == before
    restarted = Desk(FolderStore(tmp_path / "home"))
    assert not restarted.cleared and restarted.gate.ticked == ()
    list_panel.close()


# Cautions ------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", CAUTIONS)
def test_a_caution_is_shown_and_stored_with_its_words_and_sources(shell, key):
    row = CAUTIONS[key]
    panel = bench.caution(key)
    (part,) = parts_of(panel, "caution")
    assert (part["title"], part["short"], part["text"]) == (row.title, row.short, row.text)
    data = panel._repr_mimebundle_()[0]
    assert f"Caution: {row.title}. {row.short}" in data["text/plain"]
    stored = data["text/html"].replace("&#x27;", "'").replace("&amp;", "&")
    for words in (row.title, row.short, row.text, *row.sources):
        assert words in stored
    assert "turn the knobs" not in stored and "<img" not in stored
    panel.close()


@pytest.mark.parametrize("group", GROUPS)
def test_a_group_shows_all_its_cautions_and_defers(shell, group):
    panel = bench.cautions(group)
    assert [p["title"] for p in parts_of(panel, "caution")] == [
        CAUTIONS[key].title for key in GROUPS[group]]
    assert "local electrical code" in words_of(panel) and "local electrical code" in repr(panel)
    panel.close()


def test_a_caution_takes_no_message(shell, page, caplog):
    panel = bench.caution("mains")
    page.tell(panel, {"event": "press", "key": "go"})
    assert "nothing to turn" in caplog.text
    panel.close()


def test_currents_stand_beside_their_sources(shell):
    panel = bench.current_through_a_body()
    (table,) = parts_of(panel, "table")
    assert ["20 mA", "the muscles that breathe are paralysed"] in [row[:2] for row in table["rows"]]
    assert all(len(row) == 3 and row[2] for row in table["rows"])
    assert "20 mA" in repr(panel) and "98-131" in panel._repr_mimebundle_()[0]["text/html"]
    panel.close()


# The plan --------------------------------------------------------------------------------------


def test_the_plan_sheet_covers_high_voltages_until_all_is_ticked(shell, desk):
    sheet = bench.show_plan()

    def values():
        (table,) = parts_of(sheet.panel, "table")
        return {row[0]: row[1] for row in table["rows"]}

    high = [row for row in FIELDS.values() if row.high_voltage]
    assert len(high) >= 4
    assert {values()[row.label] for row in high} == {COVERED_VALUE}
    assert values()["Choke"] == "3 H"
    tick_all(desk)
    assert values()[FIELDS["supply.winding_voltage"].label] == "230 V"
    stored = sheet.panel._repr_mimebundle_()[0]
    for words in (stored["text/plain"], stored["text/html"], repr(sheet)):
        assert COVERED_VALUE in words and max(volts_in(words), default=0) <= LIMIT.volts
    desk.tick(KEYS[0], False)
    assert {values()[row.label] for row in high} == {COVERED_VALUE}
    sheet.close()


def test_every_field_that_can_hold_a_high_voltage_is_marked():
    for row in FIELDS.values():
        if row.unit == "V" and row.range.high > LIMIT.volts:
            assert row.high_voltage, row.key

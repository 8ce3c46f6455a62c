"""The build sheet's panel: covered until ticked, a file for each button, reasons in words."""

from importlib import import_module

import pytest

from rxlearn import bench
from rxlearn.bench.panel import Stray
from rxlearn.data.cautions import SAFETY_LIST
from rxlearn.sheets.files import FILES
from rxlearn.store import desk as shelf
from rxlearn.plan.document import Change, Plan


def tick(desk):
    for statement in SAFETY_LIST:
        desk.tick(statement.key)


def words(panel):
    return " ".join(str(part) for part in panel.parts)


@pytest.fixture
def sent(monkeypatch):
    """What the panel hands to the page."""
    found = []
    monkeypatch.setattr("rxlearn.bench.panel.Panel.send",
                        lambda self, content, buffers=None: found.append((content, buffers)))
    return found


def test_it_is_covered_until_the_list_is_ticked(desk, sent, page, tmp_path):
    sheet = bench.build_sheet()
    assert sheet.panel.covered and "370" not in repr(sheet)
    page.tell(sheet.panel, {"event": "press", "key": "build-sheet.pdf", "value": None})
    assert not sent
    with pytest.raises(PermissionError, match="Tick the list"):
        sheet.save(tmp_path)
    tick(desk)
    page.tell(sheet.panel, {"event": "press", "key": "build-sheet.pdf", "value": None})
    assert sent[0][0] == {"save": "build-sheet.pdf", "kind": "application/pdf"}
    assert bytes(sent[0][1][0]).startswith(b"%PDF-")


@pytest.mark.parametrize("name", FILES)
def test_every_file_has_its_button_and_is_handed_over(desk, sent, name):
    tick(desk)
    sheet = bench.build_sheet()
    assert f"'{name}'" in words(sheet.panel)
    sheet.press(name)
    assert sent[-1][0]["save"] == name and len(sent[-1][1][0]) > 100


def test_one_call_saves_all(desk, tmp_path):
    tick(desk)
    assert bench.build_sheet().save(tmp_path) == tuple(FILES)
    assert {path.name for path in tmp_path.iterdir()} == set(FILES)


def test_what_the_plan_has_not_is_said_and_nothing_is_handed_over(desk, sent):
    shelf.save_changes(desk.store, {"oscillator.inductance": Change(
        value=50e-6, status="wished", origin="test")}, Plan.demo())
    tick(desk)
    sheet = bench.build_sheet()
    sheet.press("tank-lower-band.cir")
    assert not sent and "There is no tank-lower-band.cir yet." in words(sheet.panel)


def test_a_stray_message_changes_nothing(desk):
    tick(desk)
    with pytest.raises(Stray):
        bench.build_sheet().press("../../etc/passwd")


def test_the_paper_dial_shows_how_far_apart_marks_stand(desk):
    figure = bench.paper_dial()
    figure.press("skip")
    figure.turn(radius=70e-3, angle=90.0)
    # DERIVED: half a circle of 70 mm is 219.9 mm for about 500 kHz, so 10 kHz are about 4.4 mm.
    assert figure.result.apart == pytest.approx(4.4e-3, rel=0.05)
    near = figure.result.apart
    figure.turn(radius=35e-3)
    assert figure.result.apart == pytest.approx(near / 2, rel=1e-9)
    figure.turn(band="upper_band")
    assert "10.1" in figure.sentence


def test_a_plan_without_a_dial_says_so_on_paper_too(desk):
    shelf.save_changes(desk.store, {"oscillator.inductance": Change(
        value=50e-6, status="wished", origin="test")}, Plan.demo())
    assert "The demo receiver stands in." in bench.paper_dial().sentence


def test_a_press_is_answered_before_the_file_is_made(desk, sent, monkeypatch):
    tick(desk)
    sheet = bench.build_sheet()
    said = []
    monkeypatch.setattr(import_module("rxlearn.bench.build_sheet"), "PRINTED", {
        "build-sheet.pdf": lambda made: said.append(words(sheet.panel)) or b"%PDF-"})
    sheet.press("build-sheet.pdf")
    assert "Making build-sheet.pdf …" in said[0] and sent[-1][0]["save"] == "build-sheet.pdf"
    assert "Making" not in words(sheet.panel)

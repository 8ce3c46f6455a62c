"""The plan in the page: propose, show what follows, ask, save; and everything that can hinder it."""

from __future__ import annotations

import pytest
from hypothesis import given

from rxlearn import bench
from rxlearn.bench.desk import Desk
from rxlearn.bench.plan import PlanPanel, PlanSheet
from rxlearn.exercises.registry import lessons
from rxlearn.data.cautions import SAFETY_LIST
from rxlearn.plan.document import Plan
from rxlearn.plan.fields import FIELDS
from rxlearn.sheets.build_sheet import build_sheet
from rxlearn.store.desk import PLAN_NAME
from rxlearn.store.folder import FolderStore, MemoryStore, StoreFault
from tests.bench.toy import parts_of, words_of
from tests.nasty import MARKUP, hundreds, texts

BASICS = "superheterodyne_basics"
LESSONS = lessons()


def buttons_of(panel):
    """Keys of the buttons shown."""
    return [item["key"] for part in parts_of(panel.panel, "buttons") for item in part["items"]]


def rows_of(panel):
    """The table of what changes: label to (now, then, why)."""
    return {row[0]: tuple(row[1:]) for part in parts_of(panel.panel, "table") for row in part["rows"]}


@pytest.mark.parametrize("lesson", LESSONS)
def test_a_lesson_offers_its_fields_with_their_reasons(desk, lesson):
    panel = PlanPanel(lesson, desk)
    (form,) = parts_of(panel.panel, "form")
    assert [field["key"] for field in form["fields"]] == list(panel.typed)
    for field in form["fields"]:
        assert field["label"] == FIELDS[field["key"]].label and field["why"].strip()
        if "options" in field:
            assert field["value"] in [key for key, _ in field["options"]]
    assert buttons_of(panel) == [] and not desk.store.read(PLAN_NAME), "nothing is saved unasked"
    assert desk.store.place in words_of(panel.panel)


@pytest.mark.parametrize("lesson", LESSONS)
def test_what_a_lesson_proposes_can_be_saved_as_it_is(lesson):
    desk = Desk(MemoryStore())
    panel = PlanPanel(lesson, desk)
    (form,) = parts_of(panel.panel, "form")
    # A page sends texts only, also for a choice whose key is a number.
    panel.submit(**{field["key"].replace(".", "__"): str(field["value"]) for field in form["fields"]})
    assert "ask" not in [part.get("tone") for part in parts_of(panel.panel, "verdict")]
    panel.press("save")
    assert not any("Nothing was saved" in part["text"] for part in parts_of(panel.panel, "verdict"))
    again = PlanPanel(lesson, desk)
    again.submit()
    assert "holds these values already" in words_of(again.panel)


def test_show_then_save_then_the_next_lesson_reads_it_back(store):
    panel = PlanPanel(BASICS, Desk(store))
    panel.submit(lower_band__low="3.6 MHz", lower_band__high="3800 kHz")
    rows = rows_of(panel)
    low = FIELDS["lower_band.low"].label
    assert rows[low] == ("3.5 MHz", "3.6 MHz", "you change it")
    assert "follows from it" in {why for *_, why in rows.values()}, "what else changes is shown"
    assert buttons_of(panel) == ["save", "leave"] and not store.read(PLAN_NAME)
    panel.press("save")
    assert "Saved." in words_of(panel.panel) and buttons_of(panel) == []
    plan = Desk(store).plan()
    assert (plan.value("lower_band.low"), plan.value("lower_band.high")) == (3.6e6, 3.8e6)
    assert plan.entry("lower_band.low").status == "wished"
    assert plan.entry("lower_band.low").origin == BASICS


def test_leaving_leaves_all_as_it_was(store):
    panel = PlanPanel(BASICS, Desk(store))
    panel.submit(lower_band__low="3.6 MHz")
    panel.press("leave")
    assert "Your plan stays as it was." in words_of(panel.panel)
    assert buttons_of(panel) == [] and store.read(PLAN_NAME) is None
    panel.press("save")
    assert store.read(PLAN_NAME) is None, "what was left cannot be saved by a late press"


def test_saving_twice_saves_once(store):
    panel = PlanPanel(BASICS, Desk(store))
    panel.submit(lower_band__low="3.6 MHz")
    panel.press("save")
    kept = store.read(PLAN_NAME)
    panel.press("save")
    assert store.read(PLAN_NAME) == kept and "Saved." in words_of(panel.panel)


@pytest.mark.parametrize(("field", "text", "word"), [
    ("lower_band__low", "3.6", "Add the unit"), ("lower_band__low", "3,500 kHz", "two ways"),
    ("lower_band__low", "3.6 pF", "unit of capacitance"), ("lower_band__low", "9 GHz", "above"),
    ("lower_band__low", "5 MHz", "the lower one"), ("lower_band__name", "", "name"),
    ("lower_band__low", "nan", "number"),
])
def test_nonsense_is_answered_and_kept_in_the_field(store, field, text, word):
    panel = PlanPanel(BASICS, Desk(store))
    panel.submit(**{field: text})
    verdicts = parts_of(panel.panel, "verdict")
    assert [part["tone"] for part in verdicts] == ["ask"]
    assert buttons_of(panel) == []
    values = {f["key"]: f["value"] for f in parts_of(panel.panel, "form")[0]["fields"]}
    assert values[field.replace("__", ".")] == text, "what was typed stays, to be mended"
    assert word in verdicts[0]["text"]
    panel.press("save")
    assert store.read(PLAN_NAME) is None


def test_several_faults_are_told_together(store):
    panel = PlanPanel(BASICS, Desk(store))
    panel.submit(lower_band__low="3.6", upper_band__low="much")
    (verdict,) = parts_of(panel.panel, "verdict")
    for key in ("lower_band.low", "upper_band.low"):
        assert FIELDS[key].label in verdict["text"]


@pytest.mark.parametrize("lesson", LESSONS[::4])  # one form serves them all
def test_any_text_in_any_field_is_read_or_answered(lesson):
    store = MemoryStore()
    desk = Desk(store)
    keys = list(PlanPanel(lesson, desk).typed)

    @hundreds
    @given(texts)
    def try_it(text):
        panel = PlanPanel(lesson, desk)
        for key in keys[:: max(1, len(keys) // 3)]:
            panel.submit(**{key.replace(".", "__"): text})
            asks = [part for part in parts_of(panel.panel, "verdict") if part["tone"] == "ask"]
            assert (buttons_of(panel) == ["save", "leave"]) == bool(
                panel._changes and rows_of(panel))
            assert bool(asks) == (panel._changes is None)
            assert store.read(PLAN_NAME) is None
        panel.close()

    try_it()


@pytest.mark.parametrize("words", MARKUP)
def test_markup_as_a_name_stays_text_or_is_refused(words):
    desk = Desk(MemoryStore())
    panel = PlanPanel(BASICS, desk)
    panel.submit(lower_band__name=words)
    if panel._changes is None:
        return
    panel.press("save")
    assert desk.plan().value("lower_band.name") == words.strip()
    assert words.strip() in PlanSheet(desk).panel.plain_text


# Two notebooks, and disks that will not ----------------------------------------------------


def test_two_notebooks_that_change_different_fields_lose_nothing(store):
    one, other = PlanPanel(BASICS, Desk(store)), PlanPanel("injection_side", Desk(store))
    one.submit(lower_band__low="3.6 MHz")
    other.submit(lower_band__injection="low")
    one.press("save")
    other.press("save")
    plan = Desk(store).plan()
    assert plan.value("lower_band.low") == 3.6e6 and plan.value("lower_band.injection") == "low"


def test_two_notebooks_that_change_one_field_are_told_and_choose_again(store):
    one, other = PlanPanel(BASICS, Desk(store)), PlanPanel(BASICS, Desk(store))
    one.submit(lower_band__low="3.6 MHz")
    other.submit(lower_band__low="3.55 MHz")
    one.press("save")
    other.press("save")
    assert "was changed in another notebook" in words_of(other.panel)
    for value in ("3.5 MHz", "3.6 MHz", "3.55 MHz"):
        assert value in words_of(other.panel)
    assert Desk(store).plan().value("lower_band.low") == 3.6e6, "the first is not overwritten"
    assert rows_of(other)[FIELDS["lower_band.low"].label][:2] == ("3.6 MHz", "3.55 MHz")
    other.press("save")
    assert Desk(store).plan().value("lower_band.low") == 3.55e6, "chosen again, it is saved"


def test_a_change_elsewhere_that_makes_ours_impossible_is_said(store):
    one, other = PlanPanel(BASICS, Desk(store)), PlanPanel(BASICS, Desk(store))
    one.submit(lower_band__high="3.7 MHz")
    other.submit(lower_band__low="3.8 MHz")
    one.press("save")
    other.press("save")
    assert "Nothing was saved." in words_of(other.panel)
    assert Desk(store).plan().value("lower_band.low") == 3.5e6


def test_a_store_that_cannot_be_written_in_says_so(tmp_path):
    (tmp_path / "file").write_text("in the way")
    panel = PlanPanel(BASICS, Desk(FolderStore(tmp_path / "file" / "below")))
    panel.submit(lower_band__low="3.6 MHz")
    panel.press("save")
    assert "Nothing was saved." in words_of(panel.panel)
    assert buttons_of(panel) == ["save", "leave"], "it can be tried again"
    assert (tmp_path / "file").read_text() == "in the way"


def test_a_disk_that_fills_up_says_so_and_keeps_the_old_plan(monkeypatch):
    store = MemoryStore()
    panel = PlanPanel(BASICS, Desk(store))
    panel.submit(lower_band__low="3.6 MHz")
    panel.press("save")
    kept = store.read(PLAN_NAME)

    def full(name, function):
        raise StoreFault("The disk is full: make room and save again.")

    monkeypatch.setattr(store, "update", full)
    panel.submit(lower_band__low="3.65 MHz")
    panel.press("save")
    assert "Nothing was saved. The disk is full" in words_of(panel.panel)
    assert store.read(PLAN_NAME) == kept
    monkeypatch.undo()
    panel.press("save")
    assert Desk(store).plan().value("lower_band.low") == 3.65e6


def test_a_damaged_plan_is_named_in_every_panel(tmp_path):
    (tmp_path / PLAN_NAME).write_text("{ not a plan")
    desk = Desk(FolderStore(tmp_path))
    panel = PlanPanel(BASICS, desk)
    assert "set aside" in words_of(panel.panel)
    assert any("not a plan" in path.read_text() for path in tmp_path.glob("*damaged*"))


def test_the_sheet_shows_every_value_with_its_status(desk):
    sheet = PlanSheet(desk)
    for statement in SAFETY_LIST:
        desk.tick(statement.key)
    (table,) = parts_of(sheet.panel, "table")
    demo = Plan.demo()
    assert [row[1] for row in table["rows"]] == [
        field.show(demo.value(key)) for key, field in FIELDS.items()]
    assert {row[2] for row in table["rows"]} <= {"wished", "computed", "measured"}
    assert all(row[0] in repr(sheet) for row in table["rows"])
    stored = [field.show(demo.value(key)) for key, field in FIELDS.items() if not field.high_voltage]
    assert all(words in repr(sheet) for words in stored)


def test_keep_and_show_plan_close_what_the_cell_had(shell):
    first, second = bench.keep(BASICS), bench.keep(BASICS)
    sheet = bench.show_plan()
    assert first.panel.comm is None
    assert second.panel.comm is not None and sheet.panel.comm is not None
    with pytest.raises(KeyError):
        bench.keep("nobody")


def test_what_follows_from_the_form_is_worked_out_anew_in_it(desk):
    panel = PlanPanel("choosing_the_intermediate_frequency", desk)
    panel.submit(lower_band__name="20 m", lower_band__low="14 MHz", lower_band__high="14.35 MHz",
                 upper_band__name="17 m", upper_band__low="18.068 MHz",
                 upper_band__high="18.168 MHz", intermediate_frequency="2.048 MHz")
    # DERIVED: L = (1/f1² - 1/f2²)/(4π²·swing) for 16.048 to 16.398 MHz and 40 pF.
    wanted = (1 / 16.048e6**2 - 1 / 16.398e6**2) / (4 * 3.141592653589793**2 * 40e-12)
    assert panel.typed["oscillator.inductance"].startswith(f"{wanted * 1e9:.2f}"[:5])
    panel.press("save")
    assert desk.plan().value("oscillator.inductance") == pytest.approx(wanted, rel=1e-9, abs=0)
    assert desk.plan().entry("oscillator.inductance").status == "computed"


def test_what_one_typed_over_stays_as_typed(desk):
    panel = PlanPanel("choosing_the_intermediate_frequency", desk)
    panel.submit(oscillator__inductance="2 µH", intermediate_frequency="3.2 MHz")
    panel.press("save")
    assert desk.plan().value("oscillator.inductance") == pytest.approx(2e-6, abs=0)
    assert desk.plan().entry("oscillator.inductance").status == "wished"


def test_keeping_the_demo_s_values_makes_them_one_s_own(desk):
    panel = PlanPanel("superheterodyne_basics", desk)
    panel.submit()
    assert "they are your own" in words_of(panel.panel)
    panel.press("save")
    entry = desk.plan().entry("lower_band.low")
    assert entry.origin == "superheterodyne_basics" and entry.value == 3.5e6
    panel.submit()
    assert "holds these values already" in words_of(panel.panel)


def test_what_is_only_kept_gives_way_to_what_another_notebook_set(store):
    mine, other = PlanPanel(BASICS, Desk(store)), PlanPanel(BASICS, Desk(store))
    other.submit(upper_band__name="the other's")
    other.press("save")
    mine.submit(lower_band__name="mine")
    mine.press("save")
    plan = Desk(store).plan()
    assert (plan.value("lower_band.name"), plan.value("upper_band.name")) == ("mine", "the other's")


def test_a_plan_kept_in_every_lesson_is_nobody_else_s():
    desk = Desk(MemoryStore())
    for lesson in LESSONS:
        panel = PlanPanel(lesson, desk)
        panel.submit()
        panel.press("save")
    assert not [line for line in build_sheet(desk.plan()).missing if "demo receiver" in line]

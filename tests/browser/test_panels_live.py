"""Predictions, questions and the plan in a real page; markup, focus, a kernel that goes away."""

from __future__ import annotations

import json
import re
import time

import pytest

from rxlearn import bench
from rxlearn.exercises.predictions import reveal
from rxlearn.exercises.questions import fresh_numbers
from rxlearn.exercises.registry import find
from tests.browser.lab import Figure, Reader
from tests.workbench import LESSONS

pytestmark = pytest.mark.browser

MARKUP = "<img src=x onerror='document.title=\"broken\"'>"


@pytest.fixture(scope="module")
def start_page(browser, lab):
    """The first lesson, run."""
    reader = Reader(browser, lab, LESSONS[0].name)
    reader.run()
    yield reader
    reader.page.close()
    lab.end_kernels()


@pytest.fixture(scope="module")
def basics(browser, lab):
    """The lesson on the basics, run."""
    reader = Reader(browser, lab, LESSONS[1].name)
    reader.run()
    yield reader
    reader.page.close()
    lab.end_kernels()


def test_an_untrusted_lesson_shows_its_stills_too(browser, lab):
    copy = lab.root / "lessons" / "copy.ipynb"
    stored = json.loads((lab.root / "lessons" / LESSONS[1].name).read_text())
    stored["cells"][0]["source"] = ["# A copy that was never run here"]
    copy.write_text(json.dumps(stored))
    reader = Reader(browser, lab, "copy.ipynb")
    images = reader.page.locator(".jp-OutputArea img")
    images.first.wait_for()
    assert images.count() >= 3
    assert all(image.get_attribute("alt") for image in images.all())
    assert "model not found" not in reader.page.locator(".jp-Notebook").inner_text()
    reader.page.close()
    lab.end_kernels()
    copy.unlink()


def test_the_controls_rest_until_a_guess_is_in_and_it_is_shown_beside_the_result(basics):
    twin = bench.mixing()
    figure = Figure(basics.panel(twin.title), twin)
    slider, knob = figure.slider(figure.knobs[0]), figure.knobs[0]
    assert slider.is_disabled() and figure.entry(knob).is_disabled()
    assert figure.panel.locator(".rx-picture svg").count() == 0
    figure.panel.get_by_role("button", name="Commit to this").click()
    figure.panel.get_by_text("Commit yourself first").wait_for()
    assert slider.is_disabled()
    figure.panel.get_by_role("radio").nth(1).check()
    figure.panel.get_by_role("button", name="Commit to this").click()
    figure.panel.get_by_text("Kept:").wait_for()
    assert slider.is_enabled()
    twin.press("skip")
    slider.focus()
    slider.press("ArrowRight")
    key = twin.prediction.options[1][0]
    figure.panel.get_by_text(reveal(twin.prediction, key)).wait_for()
    figure.expect_agreement()
    kept = json.loads((basics.lab.root / "own" / "RXLEARN_HOME" / "progress.json").read_text())
    (record,) = kept["records"]["prediction"][twin.prediction.key]
    assert record["record"] == {"text": key}
    assert slider.evaluate("node => node === document.activeElement")
    twin.close()


def test_tab_leaves_a_slider_and_arrow_keys_stay_in_it(basics):
    twin = bench.mixing()
    figure = Figure(basics.panel(twin.title), twin)
    slider = figure.slider(figure.knobs[0])
    slider.focus()
    cell = basics.page.locator(".jp-Cell.jp-mod-active").first.get_attribute("class")
    for key in ("ArrowDown", "ArrowUp", "j", "k", "d", "d", "b"):
        slider.press(key)
    assert slider.evaluate("node => node === document.activeElement")
    assert basics.page.locator(".jp-Cell.jp-mod-active").first.get_attribute("class") == cell
    assert basics.page.locator(".rx-panel").count() == basics.page.locator(".jp-CodeCell").count()
    for wanted in (figure.entry(figure.knobs[0]), figure.panel.locator(".rx-reset").first):
        basics.page.keyboard.press("Tab")
        assert wanted.evaluate("node => node === document.activeElement")
    twin.close()


def test_number_and_unit_never_part_at_a_line_end(basics):
    """Every place in the panels where an ordinary space stands between the two is told."""
    parted = basics.page.evaluate("""() => {
      const found = [];
      for (const panel of document.querySelectorAll('.rx-panel')) {
        const walk = document.createTreeWalker(panel, NodeFilter.SHOW_TEXT);
        while (walk.nextNode()) {
          const parent = walk.currentNode.parentElement;
          if (parent.closest('svg, option, .rx-spoken')) continue;
          found.push(walk.currentNode.data);
        }
      }
      return found; }""")
    unit = r"(?:[pnµmkM]?(?:Hz|F|H|V|A|Ω|W|s)|dB|%|°)(?!\w)"
    assert [text for text in parted if re.search(rf"\d {unit}", text)] == []
    assert sum(bool(re.search(rf"\d\u00a0{unit}", text)) for text in parted) > 20


def test_saving_works_with_the_hand_on_a_control(basics):
    twin = bench.mixing()
    figure = Figure(basics.panel(twin.title), twin)
    path = basics.lab.root / "lessons" / LESSONS[1].name
    for control in (figure.slider(figure.knobs[0]), figure.entry(figure.knobs[0])):
        before = path.stat().st_mtime_ns
        control.focus()
        control.press("Control+s")
        end = time.monotonic() + 10
        while path.stat().st_mtime_ns == before:
            assert time.monotonic() < end, "the lesson was not saved"
            time.sleep(0.1)
        assert control.evaluate("node => node === document.activeElement")
    twin.close()


def test_a_question_judges_what_is_typed_and_markup_stays_text(basics):
    asked = re.findall(r'bench\.ask\(\\"([^"]+)\\"\)', LESSONS[1].read_text())
    question = next(q for q in map(find, asked) if q.unit and not q.uses_plan)
    panel = basics.panel(f"Question {question.key}")
    entry = panel.get_by_role("textbox", name="Your answer")
    entry.fill(MARKUP)
    entry.press("Enter")
    panel.locator(".rx-verdict.rx-ask").wait_for()
    assert basics.page.title() != "broken"
    assert panel.locator("img, script").count() == 0
    assert entry.input_value() == MARKUP
    entry.fill(question.show_answer(fresh_numbers(question, 1)))
    panel.get_by_role("button", name="Check").click()
    panel.locator(".rx-verdict.rx-good").wait_for()
    assert panel.get_by_role("listitem").count() >= 1, "a right answer shows the working"
    inside = panel.evaluate("panel => panel.contains(document.activeElement)")
    assert inside, "focus fell out of the panel"


def test_the_plan_is_shown_asked_about_saved_and_read_back(start_page):
    panel = start_page.panel("Into your plan")
    name = panel.get_by_role("textbox").first
    name.fill("A <b>bold</b> set")
    panel.get_by_role("button", name="Show what changes").click()
    table = panel.get_by_role("table")
    table.wait_for()
    assert "A <b>bold</b> set" in table.inner_text() and table.locator("b").count() == 0
    plan = start_page.lab.root / "own" / "RXLEARN_HOME" / "receiver-plan.json"
    assert not plan.exists()
    panel.get_by_role("button", name="Save to my plan").click()
    panel.get_by_text("Saved.").wait_for()
    assert "A <b>bold</b> set" in plan.read_text()
    start_page.run()
    ready = start_page.panel("This lesson")
    ready.get_by_text("A <b>bold</b> set").first.wait_for()
    plan.unlink()
    for left in plan.parent.glob("receiver-plan*"):
        left.unlink()


def test_a_kernel_that_is_gone_is_said_and_one_press_mends_it(start_page):
    twin = bench.first_knob()
    figure = Figure(start_page.panel(twin.title), twin)
    figure.wake()
    figure.expect_agreement()
    start_page.choose("Kernel", "Restart Kernel…")
    start_page.page.get_by_role("button", name="Confirm Kernel Restart").click()
    lost = figure.panel.locator(".rx-lost")
    lost.wait_for(state="visible", timeout=20_000)
    assert "The kernel behind this figure is gone." in lost.inner_text()
    start_page.shoot("kernel-gone", figure.panel)
    start_page.run()
    again = Figure(start_page.panel(twin.title), bench.first_knob())
    again.wake()
    again.slider(again.knobs[0]).focus()
    again.slider(again.knobs[0]).press("ArrowRight")
    again.expect_agreement()
    assert again.panel.locator(".rx-lost").is_hidden()
    again.twin.close()
    twin.close()

"""Every lesson in a real JupyterLab: asleep, woken by one press, turned by hand, and kept.

The picture's nodes and the sentence are compared with what the same library
computes here for the setting that the page then shows.
"""

from __future__ import annotations

import json
import os
import re
import time

import nbformat
import pytest

from rxlearn import bench
from rxlearn.bench.panel import STILL_NOTE
from rxlearn.data.cautions import SAFETY_LIST
from tests.browser.lab import Figure, Reader, plain
from tests.workbench import LESSONS, LIVE_FIGURES

pytestmark = pytest.mark.browser

VIEW = "application/vnd.jupyter.widget-view+json"


def figures_of(path) -> list[str]:
    """Names of the live figures that a lesson opens, in order."""
    code = "\n".join(c.source for c in nbformat.read(path, as_version=4).cells
                     if c.cell_type == "code")
    return [name for name in re.findall(r"\bbench\.(\w+)\(", code) if name in LIVE_FIGURES]


class Woken:
    """A lesson that was opened, looked at asleep, and woken."""

    def __init__(self, browser, lab, path) -> None:
        self.path, self.lab = path, lab
        lab.trust(path.name)  # untrusted ones are tried on their own
        self.reader = Reader(browser, lab, path.name)
        self.page = self.reader.page
        self.asleep = self.page.evaluate("""() => ({
          words: document.querySelector('.jp-Notebook').innerText,
          panels: document.querySelectorAll('.rx-panel').length,
          stills: [...document.querySelectorAll('.jp-OutputArea img')].map(image =>
            [image.alt, image.src.slice(0, 26), image.naturalWidth]),
          hidden: [...document.querySelectorAll('.jp-CodeCell')].every(cell =>
            cell.querySelector('.jp-InputCollapser, .jp-Placeholder') !== null)})""")
        self.reader.shoot(f"{path.stem}-asleep")
        began = time.monotonic()
        self.reader.run()
        self.seconds = time.monotonic() - began
        self.figures = []
        for name in figures_of(path):
            twin = getattr(bench, name)()
            self.figures.append(Figure(self.reader.panel(twin.title), twin))
        self.gated = [figure for figure in self.figures if figure.twin.panel.gated]
        self.shown_locked = self._pictures()
        if self.gated:
            self._tick_the_safety_list()
        self.covered = self.page.locator(".rx-covered").count()
        # A panel that is no live figure may show a picture too.
        self.others = self.page.locator(".rx-picture").count() - self._pictures()

    def _pictures(self) -> int:
        """How many of the live figures show their picture."""
        return sum(figure.panel.locator(".rx-picture").count() for figure in self.figures)

    def _tick_the_safety_list(self) -> None:
        """Tick it in the page, and for the twins, so that the gated figures may be looked at."""
        for box in self.page.get_by_role("checkbox").all():
            box.check()
        for figure in self.gated:
            for statement in SAFETY_LIST:
                figure.twin.desk.tick(statement.key)
        for figure in self.figures:
            figure.panel.locator(".rx-picture").wait_for()

    def wake(self) -> Woken:
        """Go on without a guess everywhere; return itself."""
        for figure in self.figures:
            figure.wake()
        return self

    def close(self) -> None:
        """Leave the page."""
        self.page.close()
        for figure in self.figures:
            figure.twin.close()
        self.lab.end_kernels()


HANDLED = LESSONS if os.environ.get("RXLEARN_ALL_LESSONS") else [
    path for path in LESSONS if path.stem[:2] in ("01", "05", "14")]
"""Lessons handled in the page, all of them if RXLEARN_ALL_LESSONS is set.

The others show panels of the same kinds, and are replayed in the kernel every time.
"""


@pytest.fixture(scope="module", params=HANDLED, ids=lambda path: path.stem)
def woken(request, browser, lab):
    opened = Woken(browser, lab, request.param)
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def turned(woken):
    """The same lesson with its knobs freed."""
    return woken.wake()


# Asleep, and woken ---------------------------------------------------------------------


def test_a_lesson_opens_asleep_with_its_stills_and_says_what_to_press(woken):
    asleep = woken.asleep
    assert asleep["panels"] == 0 and asleep["hidden"]
    assert "model not found" not in asleep["words"].lower()
    assert "Loading widget" not in asleep["words"]
    assert "press “Run this lesson” in the bar above" in asleep["words"]
    open_ones = [figure for figure in woken.figures if figure not in woken.gated]
    assert asleep["words"].count(STILL_NOTE) >= len(open_ones)
    assert len(asleep["stills"]) == len(open_ones) + woken.others > 0
    for alt, source, width in asleep["stills"]:
        assert alt and width > 0 and source == "data:image/svg+xml;base64,"
    alts = iter(alt for alt, *_ in asleep["stills"])
    for figure in open_ones:  # in order, whatever stands between
        assert any(alt.startswith(figure.twin.sentence) for alt in alts), figure.twin.title


def test_one_press_wakes_everything_and_the_page_stays_where_it_is(woken):
    assert woken.reader.errors == []
    assert woken.page.locator("[data-mime-type='application/vnd.jupyter.error']").count() == 0
    assert woken.page.locator(".jp-RenderedText[data-mime-type*='stderr']").count() == 0
    assert woken.page.locator(".jp-OutputArea img").count() == 0, "a still is left beside a panel"
    assert woken.page.get_by_text(re.compile("Something went wrong|model not found")).count() == 0
    assert woken.page.evaluate("document.querySelector('.jp-WindowedPanel-outer, "
                               ".jp-Notebook').scrollTop") == 0
    assert woken.seconds < 40


def test_a_gated_figure_shows_no_picture_until_the_safety_list_is_ticked(woken):
    assert woken.shown_locked == len(woken.figures) - len(woken.gated)


def test_a_figure_is_covered_until_the_guess_is_in(woken):
    asked = [figure for figure in woken.figures if figure.twin.prediction]
    assert woken.covered == len(asked)


def test_every_panel_shows_what_was_computed(turned):
    for figure in turned.figures:
        figure.expect_agreement()


# By hand -------------------------------------------------------------------------------


def test_keys_turn_every_knob_fine_and_coarse(turned):
    for figure in turned.figures:
        for knob in figure.knobs:
            slider = figure.slider(knob)
            start = knob.position_of(knob.start)
            figure.expect_place(knob, start)
            coarse = round(knob.coarse / knob.fine)
            slider.focus()
            turned.page.keyboard.press("Home")
            figure.expect_place(knob, 0)
            keys = (
                ("ArrowRight", 1), ("ArrowUp", 2), ("ArrowLeft", 1), ("ArrowDown", 0),
                ("Shift+ArrowRight", min(coarse, knob.stops)), ("PageDown", 0),
                ("PageUp", min(coarse, knob.stops)), ("End", knob.stops),
                ("PageDown", max(0, knob.stops - coarse)),
            )
            # One file serves every knob: all keys on one of a figure, two on the others.
            for key, place in keys if knob is figure.knobs[0] else (keys[0], keys[7]):
                turned.page.keyboard.press(key)
                figure.expect_place(knob, place)
            assert slider.evaluate("node => node === document.activeElement"), "focus was lost"
            figure.reset(knob).click()
            figure.expect_place(knob, start)
        figure.expect_agreement()


def test_a_typed_value_is_exact_and_outlives_another_knob(turned):
    for figure in turned.figures[:2]:
        knob = figure.knobs[0]
        between = knob.value_at(knob.stops // 3) + 0.37 * knob.fine
        figure.entry(knob).fill(knob.shown(between))
        # No Enter: the pointer goes straight to another slider.
        others = [other for other in figure.knobs if other is not knob]
        if others:
            figure.slider(others[0]).click(position={"x": 40, "y": 8})
        else:
            figure.entry(knob).press("Enter")
        figure.expect_place(knob, knob.position_of(between))
        figure.expect_agreement()
        for other in [knob, *others]:
            figure.reset(other).click()
            figure.expect_place(other, other.position_of(other.start))


def test_a_bad_typed_value_is_answered_and_changes_nothing(turned):
    for figure in turned.figures[:2]:
        for knob in figure.knobs[:1]:  # the others are refused in the kernel's own tests
            before = figure.state()
            for text in ("<b>3</b>", "3,500 kHz"):
                entry = figure.entry(knob)
                entry.fill(text)
                entry.press("Enter")
                figure.fault(knob).wait_for(state="visible")
                assert plain(figure.fault(knob).inner_text()).startswith(knob.label)
                assert figure.fault(knob).locator("*").count() == 0, "markup became an element"
            assert figure.state() == before
            assert entry.input_value() == text, "what was typed stays, to be mended"
            figure.reset(knob).click()
            figure.fault(knob).wait_for(state="hidden")
            figure.expect_place(knob, knob.position_of(knob.start))


def test_a_choice_follows_its_words(turned):
    for figure in turned.figures:
        for key, control in figure.twin.controls.items():
            if control in figure.knobs:
                continue
            box = figure.panel.get_by_role("combobox", name=control.label, exact=True)
            for words in [*control.options.values(), control.options[control.start]]:
                box.select_option(label=words)
                figure.expect_agreement()
                assert figure.twin.values[key] in control.options


def test_the_last_picture_of_a_fast_drag_is_right(turned):
    for figure in turned.figures[:3]:
        for knob in figure.knobs[:1]:
            figure.drag(turned.page, knob)
            figure.expect_agreement()
            place = figure.state()["places"][knob.key]
            assert place != knob.position_of(knob.start), "the drag did not take hold"
            figure.reset(knob).click()
            figure.expect_place(knob, knob.position_of(knob.start))


def test_two_figures_never_disturb_each_other(turned):
    if len(turned.figures) < 2:
        pytest.skip("this lesson has one figure")
    for moved, still in (turned.figures[:2], turned.figures[1::-1]):
        before = still.panel.evaluate("panel => panel.outerHTML")
        moved.drag(turned.page, moved.knobs[0], seconds=0.3)
        moved.expect_agreement()
        assert still.panel.evaluate("panel => panel.outerHTML") == before
        moved.reset(moved.knobs[0]).click()


def test_the_sentence_is_spoken_at_rest_only(turned):
    figure = turned.figures[0]
    turned.page.wait_for_timeout(900)
    figure.panel.evaluate("""panel => { window.rxSpoken = []; window.rxSaid = 0;
      const spoken = panel.querySelector('.rx-spoken');
      new MutationObserver(() => window.rxSpoken.push(spoken.textContent)).observe(
        spoken, { childList: true, characterData: true, subtree: true });
      new MutationObserver(() => { window.rxSaid += 1; }).observe(
        panel.querySelector('.rx-sentence'), { childList: true, characterData: true, subtree: true });
    }""")
    spoken = figure.panel.locator(".rx-spoken")
    assert spoken.get_attribute("aria-live") == "polite"
    figure.drag(turned.page, figure.knobs[0], seconds=1.5)
    during, said = turned.page.evaluate("[window.rxSpoken.length, window.rxSaid]")
    assert said > 10 and during == 0
    figure.expect_agreement()
    turned.page.wait_for_timeout(1200)
    assert turned.page.evaluate("window.rxSpoken") == [figure.twin.sentence]
    figure.reset(figure.knobs[0]).click()


def test_ids_are_unique_and_labels_lead_to_controls(turned):
    twice, lost = turned.page.evaluate("""() => {
      const ids = [...document.querySelectorAll('.rx-panel [id]')].map(node => node.id);
      const all = ids.filter(id => document.querySelectorAll(`[id="${id}"]`).length > 1);
      const lost = [...document.querySelectorAll('.rx-panel label[for]')].filter(
        label => !document.getElementById(label.getAttribute('for'))).map(label => label.outerHTML);
      return [all, lost]; }""")
    assert twice == [] and lost == []


def test_every_live_panel_fits_the_window(turned):
    """At 1366 by 768 a figure with its controls is seen whole; nothing is cut at the side."""
    turned.page.set_viewport_size({"width": 1366, "height": 768})
    for number, figure in enumerate(turned.figures):
        figure.panel.scroll_into_view_if_needed()
        controls = figure.panel.locator(".rx-controls").bounding_box()
        sentence = figure.panel.locator(".rx-sentence").bounding_box()
        assert sentence["y"] + sentence["height"] - controls["y"] < 768 - 60, figure.twin.title
        turned.reader.shoot(f"{turned.path.stem}-{number}", figure.panel)
    assert _sticking_out(turned.page) == []


def _sticking_out(page) -> list[str]:
    """Elements of panels that reach beyond their panel, or texts beyond their picture."""
    return page.evaluate("""() => {
      const out = [];
      for (const panel of document.querySelectorAll('.rx-panel')) {
        for (const node of panel.querySelectorAll('*')) {
          const box = node.getBoundingClientRect();
          if (!box.width || node.closest('.rx-scroll table, .rx-spoken, defs')) continue;
          // A picture keeps a width at which it can be read, and is pushed sideways if need be.
          const picture = node.closest('svg');
          if (picture && node.tagName !== 'text') continue;
          const edge = (picture || panel).getBoundingClientRect();
          if (box.right > edge.right + 1 || box.left < edge.left - 1)
            out.push(`${panel.getAttribute('aria-label')}: ${node.tagName} ${node.className.baseVal ?? node.className} ${(node.textContent || '').slice(0, 40)}`);
        }
      }
      return out; }""")


# For everyone ---------------------------------------------------------------------------


def axe_violations(page, *rules: str) -> list[str]:
    """What axe-core finds in our panels (WCAG 2.x A and AA, and best practice), by ``rules`` or all."""
    from axe_core_python.sync_playwright import Axe

    options = {"runOnly": {"type": "rule", "values": list(rules)}} if rules else None
    result = Axe().run(page, context=".rx-panel", options=options)
    assert result["passes"], "axe looked at nothing"
    return [f"{violation['id']}: {node['html'][:160]} {node['failureSummary'][:200]}"
            for violation in result["violations"] for node in violation["nodes"]]


def test_axe_finds_nothing_in_the_light(turned):
    assert axe_violations(turned.page) == []


def test_axe_finds_nothing_in_the_dark_and_the_picture_is_dark_too(turned):
    figure = turned.figures[0]
    ground = """panel => [panel, panel.querySelector('.rx-picture svg path')].map((node, i) =>
      getComputedStyle(node)[i ? 'fill' : 'backgroundColor'])"""
    light = figure.panel.evaluate(ground)
    turned.reader.theme("JupyterLab Dark")
    try:
        assert axe_violations(turned.page, "color-contrast") == []
        dark = figure.panel.evaluate(ground)
        assert dark[0] == dark[1] == "rgb(20, 23, 29)" and light[0] == light[1] != dark[0]
        figure.expect_agreement()
        for number, shown in enumerate(turned.figures):
            turned.reader.shoot(f"{turned.path.stem}-{number}-dark", shown.panel)
    finally:
        turned.reader.theme("JupyterLab Light")


def test_at_twice_the_size_nothing_is_cut_off(turned):
    """At 200 % the window is 683 pixels wide; only pictures and tables may need a push sideways
    (WCAG 2.2, 1.4.10, which exempts what needs two dimensions)."""
    turned.page.set_viewport_size({"width": 683, "height": 384})
    try:
        turned.page.wait_for_timeout(300)
        assert _sticking_out(turned.page) == []
        assert axe_violations(turned.page, "scrollable-region-focusable") == []
        for number, shown in enumerate(turned.figures):
            turned.reader.shoot(f"{turned.path.stem}-{number}-twice", shown.panel)
        turned.figures[0].expect_agreement()
    finally:
        turned.page.set_viewport_size({"width": 1366, "height": 768})


def test_nothing_is_fetched_from_elsewhere(turned):
    own = f"http://127.0.0.1:{turned.lab.port}/"
    assert len(turned.reader.asked) > 20
    assert [url for url in turned.reader.asked if not url.startswith((own, "data:", "blob:"))] == []


# Running again, saving, coming back ------------------------------------------------------


def test_running_a_cell_again_leaves_one_panel(turned):
    page, figure = turned.page, turned.figures[0]
    figure.panel.locator(".rx-heading").first.click()
    for _ in range(3):
        page.keyboard.press("Escape")
        page.keyboard.press("Control+Enter")
        page.wait_for_timeout(700)
    figure.wake()
    assert figure.panel.count() == 1
    figure.expect_agreement()
    twice = page.evaluate("""() => { const ids = [...document.querySelectorAll('[id]')].map(n => n.id);
      return ids.filter((id, i) => id && ids.indexOf(id) !== i); }""")
    assert twice == []
    figure.slider(figure.knobs[0]).focus()
    figure.slider(figure.knobs[0]).press("ArrowRight")
    figure.expect_agreement()
    figure.reset(figure.knobs[0]).click()
    assert turned.reader.errors == []


def test_a_saved_lesson_keeps_its_stills_and_opens_with_them(turned, browser):
    path = turned.lab.root / "lessons" / turned.path.name
    before = path.stat().st_mtime_ns
    turned.page.locator(".jp-RenderedMarkdown h1").first.click()
    turned.page.keyboard.press("Control+s")
    end = time.monotonic() + 10
    while path.stat().st_mtime_ns == before:
        assert time.monotonic() < end, "the lesson was not saved"
        time.sleep(0.1)
    time.sleep(0.3)
    stored = json.loads(path.read_text())
    assert "widgets" not in stored["metadata"]
    outputs = [o for cell in stored["cells"] for o in cell.get("outputs", [])]
    assert outputs and all("text/html" in o["data"] and VIEW not in o["data"] for o in outputs)
    images = ["".join(o["data"]["text/html"]).count("<img alt=") for o in outputs]
    # What is gated stores its caution card, though it was open when the lesson was saved.
    stills = len(turned.figures) - len(turned.gated) + turned.others
    assert sum(images) == stills
    turned.lab.end_kernels()
    again = Reader(browser, turned.lab, turned.path.name)
    again.page.locator(".jp-OutputArea img").first.wait_for()
    assert again.page.locator(".jp-OutputArea img").count() == stills
    assert again.page.get_by_text(re.compile("model not found", re.IGNORECASE)).count() == 0
    assert again.page.locator(".rx-panel").count() == 0
    again.page.close()

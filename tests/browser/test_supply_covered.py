"""However the kernel goes, nothing of the power supply lesson that the reader sees is high.

Ticked, opened, and then: restarted from the menu, shut down, or killed.  What counts is what
stands in the page for eyes and for a screen reader, and what the saved file holds.
"""

from __future__ import annotations

import json
import os
import signal
import time
import urllib.error
from pathlib import Path

import pytest

from rxlearn.bench.cautions import LIST_TITLE
from rxlearn.data.cautions import COVERED
from tests.browser.lab import plain, running_copy
from tests.lessons.test_power_supply_lesson import GATED_CALLS, PATH, high

pytestmark = pytest.mark.browser

NAME = "supply-copy.ipynb"
SHEET_CELL = {"cell_type": "code", "execution_count": None, "id": "the-plan-sheet",
              "metadata": {}, "outputs": [], "source": ["bench.show_plan()"]}
SEEN = """() => {
  const said = [];
  const walk = (node) => {
    if (node.nodeType === Node.TEXT_NODE) { said.push(node.data); return; }
    if (node.nodeType !== Node.ELEMENT_NODE || !node.checkVisibility()) return;
    for (const name of ['aria-label', 'aria-valuetext', 'alt', 'title'])
      if (node.hasAttribute(name)) said.push(node.getAttribute(name));
    if (typeof node.value === 'string') said.push(node.value);
    if (node.tagName === 'SELECT') said.push(node.selectedOptions[0]?.textContent);
    node.childNodes.forEach(walk);
  };
  document.querySelectorAll('.jp-OutputArea').forEach(walk);
  return said.join('\\n');
}"""
"""All words in the outputs that are visible or read aloud; a line for each."""


def kernel_process(lab) -> int:
    """The process of the one kernel that the server runs."""
    for place in Path("/proc").iterdir():
        if not place.name.isdigit():
            continue
        try:
            parent = int((place / "stat").read_text().rpartition(")")[2].split()[1])
            command = (place / "cmdline").read_text()
        except OSError:
            continue
        if parent == lab.process_id and "ipykernel" in command:
            return int(place.name)
    raise AssertionError("the server has no kernel")


def restart(reader) -> None:
    """As a reader restarts it."""
    reader.choose("Kernel", "Restart Kernel…")
    reader.page.get_by_role("button", name="Confirm Kernel Restart").click()


def shut_down(reader) -> None:
    """As a reader shuts it down."""
    reader.choose("Kernel", "Shut Down Kernel")


def kill(reader) -> None:
    """As a machine short of memory does; the server starts another kernel by itself."""
    os.kill(kernel_process(reader.lab), signal.SIGKILL)


@pytest.fixture
def opened(browser, lab):
    """A copy of the lesson with the plan sheet at its end: run, all ticked, all open."""
    stored = json.loads(PATH.read_text(encoding="utf-8"))
    stored["cells"].append(SHEET_CELL)
    with running_copy(browser, lab, NAME, stored) as reader:
        reader.page.wait_for_function("document.querySelectorAll('.rx-covered').length > 3")
        # Asked again and again: a busy kernel brings some of the figures late.
        reader.page.wait_for_function("""() => {
          document.querySelectorAll('.rx-panel button').forEach(
            button => button.textContent === 'Go on without a guess' && button.click());
          return document.querySelectorAll('.rx-covered').length === 0;
        }""", polling=500, timeout=60_000)
        yield reader
    _end_kernels(lab)


def _end_kernels(lab) -> None:
    """End them, which the server refuses while it is still restarting one."""
    end = time.monotonic() + 30
    while True:
        try:
            lab.end_kernels()
            return
        except urllib.error.HTTPError:
            if time.monotonic() > end:
                raise
            time.sleep(1)


def _await_kernel(lab) -> None:
    """Wait until the kernel has come back: twice idle, a second apart."""
    end, quiet = time.monotonic() + 60, 0
    while quiet < 2:
        assert time.monotonic() < end, "the kernel did not come back"
        time.sleep(1)
        states = [(s["kernel"] or {}).get("execution_state") for s in lab.ask("/api/sessions")]
        quiet = quiet + 1 if states and set(states) == {"idle"} else 0


def seen(reader) -> list[float]:
    """Voltages above the limit that the reader now sees or hears."""
    return high(plain(reader.page.evaluate(SEEN)))


@pytest.mark.parametrize("gone", [restart, shut_down, kill], ids=lambda way: way.__name__)
def test_when_the_kernel_goes_every_high_voltage_goes_with_it(opened, gone):
    page = opened.page
    labels = ("What a supply gives", "Worked example", "Into your plan", "Your receiver plan",
              "Question supply.energy")
    for label in labels:
        assert high(opened.panel(label).inner_text()) or label == "Into your plan", label
    assert len(seen(opened)) > 20
    gone(opened)
    lost = opened.panel("What a supply gives").locator(".rx-lost")
    lost.wait_for(state="visible", timeout=20_000)
    assert seen(opened) == []
    for label in labels:
        panel = opened.panel(label)
        assert panel.locator(".rx-lost").is_visible(), label
        assert panel.locator("svg:visible, table:visible, input:visible").count() == 0, label
    assert opened.panel(LIST_TITLE).locator("input:visible").count() == 0, "ticks are left"
    opened.shoot(f"supply-{gone.__name__}")
    dialog = page.locator(".jp-Dialog").get_by_role("button", name="Ok")
    if gone is kill:  # JupyterLab says so in a box
        dialog.click()
    _save(opened)
    assert page.locator(".rx-panel").count() > 20, "nothing was there to be covered"


def test_after_a_restart_the_lesson_runs_covered_with_no_tick_left(opened):
    restart(opened)
    opened.panel("What a supply gives").locator(".rx-lost").wait_for(timeout=20_000)
    _await_kernel(opened.lab)
    opened.run()
    opened.page.wait_for_function(
        f"""[...document.querySelectorAll('.rx-panel')].filter(panel =>
        panel.innerText.replaceAll('\u00a0', ' ').includes({json.dumps(COVERED)})).length >=
        {len(GATED_CALLS)} && document.querySelectorAll('.rx-gone').length === 0""", timeout=60_000)
    boxes = opened.page.get_by_role("checkbox").all()
    assert boxes and not any(box.is_checked() for box in boxes)
    assert seen(opened) == []
    _save(opened)


def _save(reader) -> None:
    """Save, and find nothing high in the file but the card in place of what is covered."""
    path = reader.lab.root / "lessons" / NAME
    before = path.stat().st_mtime_ns
    reader.page.locator(".jp-RenderedMarkdown h1").first.click()
    reader.page.keyboard.press("Control+s")
    end = time.monotonic() + 10
    while path.stat().st_mtime_ns == before:
        assert time.monotonic() < end, "the lesson was not saved"
        time.sleep(0.1)
    time.sleep(0.3)
    written = path.read_text(encoding="utf-8")
    assert not high(written)
    assert written.count("This part names voltages above 50 V") >= len(GATED_CALLS)

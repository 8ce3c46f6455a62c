"""A real JupyterLab on a copy of the lessons, and what a reader does in it."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import time
import urllib.error
import urllib.request
from contextlib import contextmanager
from pathlib import Path

import numpy as np

from rxlearn.bench.controls import Knob
from rxlearn.bench.live import LiveBench
from rxlearn.figures.scene import ID_PREFIX
from tests.jupyter_lab import JupyterLab
from tests.workbench import ROOT, decode

SHOTS = Path(__file__).parent / "shots"
PATIENT = 10_000
"""Milliseconds that anything in a page may take."""


class Lab(JupyterLab):
    """JupyterLab on a copy of the lessons in ``root``."""

    def __init__(self, root: Path) -> None:
        self.root = root
        shutil.copytree(ROOT / "lessons", root / "lessons",
                        ignore=shutil.ignore_patterns(".ipynb_checkpoints"))
        super().__init__(root, root / "own")

    def ask(self, path: str, method: str = "GET", body: object = None):
        """One request to the server's own interface; returns the JSON answer, if any."""
        request = urllib.request.Request(
            f"{self.address}{path}", method=method,
            data=None if body is None else json.dumps(body).encode(),
            headers={"Authorization": f"token {self.token}", "Content-Type": "application/json"},
        )
        with urllib.request.urlopen(request, timeout=20) as answer:
            text = answer.read()
        return json.loads(text) if text else None

    def trust(self, name: str) -> None:
        """Trust the lesson ``name``, as if it had been run here before."""
        subprocess.run([sys.executable, "-m", "jupyter", "trust", str(self.root / "lessons" / name)],
                       env=self.environment, check=True, capture_output=True, timeout=60)

    def end_kernels(self) -> None:
        """End every kernel, as a learner does who comes back tomorrow."""
        for session in self.ask("/api/sessions"):
            self.ask(f"/api/sessions/{session['id']}", "DELETE")


@contextmanager
def running_copy(browser, lab: Lab, name: str, stored: dict):
    """A reader of the notebook ``stored``, put in as ``name``: run, every box ticked; taken out again."""
    copy = lab.root / "lessons" / name
    copy.write_text(json.dumps(stored), encoding="utf-8")
    lab.trust(name)
    reader = Reader(browser, lab, name)
    reader.run()
    for box in reader.page.get_by_role("checkbox").all():
        box.check()
    yield reader
    reader.page.close()
    copy.unlink()


class Reader:
    """Somebody with one lesson open in a window of 1366 by 768."""

    def __init__(self, browser, lab: Lab, name: str, *, zoom: float = 1.0) -> None:
        self.lab, self.name = lab, name
        self.page = browser.new_page(
            viewport={"width": int(1366 / zoom), "height": int(768 / zoom)},
            device_scale_factor=zoom,
        )
        self.page.set_default_timeout(PATIENT)
        self.errors: list[str] = []
        self.asked: set[str] = set()
        self.page.on("request", lambda request: self.asked.add(request.url))
        self.page.on("console", lambda m: m.type == "error" and self.errors.append(m.text))
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.open()

    def open(self) -> None:
        """Open the lesson afresh."""
        self.page.goto(f"http://127.0.0.1:{self.lab.port}/lab/tree/lessons/{self.name}"
                       f"?reset&token={self.lab.token}")
        self.page.wait_for_selector(".jp-Notebook .jp-CodeCell", timeout=60_000)
        self.page.get_by_role("button", name="Run this lesson").wait_for(timeout=60_000)
        self.page.wait_for_selector(".jp-MarkdownCell .jp-RenderedMarkdown h1", timeout=60_000)
        # The last cell has its words too.
        self.page.wait_for_function(
            "() => [...document.querySelectorAll('.jp-MarkdownCell')].every("
            "cell => cell.querySelector('.jp-RenderedMarkdown')?.textContent.trim())")

    def run(self) -> None:
        """Press the one button and wait until every cell shows its panel."""
        self.page.get_by_role("button", name="Run this lesson").click()
        self.page.wait_for_function(
            "() => document.querySelectorAll('.rx-panel').length === "
            "document.querySelectorAll('.jp-CodeCell').length", timeout=60_000)

    def theme(self, name: str) -> None:
        """Choose JupyterLab's theme from its menu, as a reader does."""
        self.choose("Settings", "Theme", name)
        light = "true" if "Light" in name else "false"
        self.page.wait_for_selector(f"body[data-jp-theme-light='{light}']", state="attached")
        # The start picture covers the page while a theme is fetched, and fades.
        self.page.wait_for_selector("#jupyterlab-splash", state="detached")

    def choose(self, menu: str, *labels: str) -> None:
        """Choose from JupyterLab's menu bar."""
        self.page.locator(".lm-MenuBar-itemLabel").get_by_text(menu, exact=True).click()
        for label in labels:
            self.page.locator(".lm-Menu-itemLabel").get_by_text(label, exact=True).click()

    def panel(self, label: str):
        """The panel called ``label``."""
        return self.page.get_by_role("region", name=label, exact=True).and_(
            self.page.locator(".rx-panel"))

    def shoot(self, name: str, element=None) -> None:
        """Keep a screenshot for eyes, if RXLEARN_SHOTS is set; an element's in a window that holds it."""
        if not os.environ.get("RXLEARN_SHOTS"):
            return
        SHOTS.mkdir(exist_ok=True)
        size = self.page.viewport_size
        if element is not None:
            self.page.set_viewport_size({**size, "height": 2000})
        (element or self.page).screenshot(path=SHOTS / f"{name}.png")
        self.page.set_viewport_size(size)


def plain(words: str) -> str:
    """``words`` as the kernel sent them: the page holds number and unit together."""
    return words.replace("\u00a0", " ")


READ = """(panel, wanted) => {
  const first = panel.querySelector('.rx-knob');
  const uid = first.querySelector('label').getAttribute('for').slice(0, -first.dataset.key.length);
  const nodes = {};
  for (const [name, kind] of wanted) {
    const group = panel.querySelector(`[id="${uid}picture-${name}"]`);
    if (!group) { nodes[name] = null; continue; }
    const text = group.querySelector('text');
    const path = [...group.children].find(child => child.tagName === 'path');
    nodes[name] = {
      shown: group.style.display !== 'none',
      d: kind === 'path' ? path.getAttribute('d') : null,
      text: kind === 'text' ? [text.textContent, +text.getAttribute('x'), +text.getAttribute('y'),
                               text.style.textAnchor] : null,
      marks: kind === 'marks' ? [...group.querySelectorAll('use')].filter(
        use => use.style.display !== 'none').map(
        use => [+use.getAttribute('x'), +use.getAttribute('y')]) : null,
    };
  }
  const places = {};
  for (const knob of panel.querySelectorAll('.rx-knob'))
    places[knob.dataset.key] = +knob.querySelector('input[type=range], select').value;
  const said = panel.querySelector('.rx-sentence')?.textContent;
  return { nodes, places, sentence: said?.replaceAll('\\u00a0', ' '), // number and unit hold together
           alt: panel.querySelector('.rx-picture').getAttribute('aria-label') };
}"""


class Figure:
    """A live figure in the page, beside its twin in this process: the two must agree."""

    def __init__(self, panel, twin: LiveBench) -> None:
        self.panel, self.twin = panel, twin
        self._node = None
        self.knobs = [c for c in twin.controls.values() if isinstance(c, Knob)]

    def wake(self) -> None:
        """Go on without a guess, where one is asked for."""
        self.panel.scroll_into_view_if_needed()
        skip = self.panel.get_by_role("button", name="Go on without a guess")
        if skip.count():
            skip.click()
        self.panel.locator(".rx-picture svg").wait_for()
        # Held on to, since finding by role looks through the whole page each time.
        self._node = self.panel.element_handle()
        if self.twin.guess is None:
            self.twin.press("skip")

    def slider(self, knob: Knob):
        """The slider of ``knob``, found by its label as a screen reader would."""
        return self.panel.get_by_role("slider", name=knob.label, exact=True)

    def entry(self, knob: Knob):
        """The exact entry of ``knob``."""
        return self.panel.get_by_role("textbox", name=f"{knob.label}: exact value with its unit")

    def reset(self, knob: Knob):
        """The reset of ``knob``."""
        return self.panel.get_by_role(
            "button", name=f"Reset {knob.label} to {knob.shown(knob.start)}", exact=True)

    def fault(self, knob: Knob):
        """What is said under ``knob``."""
        return self.panel.locator(f".rx-knob[data-key='{knob.key}'] [role=alert]")

    def state(self) -> dict:
        """What the page shows."""
        wanted = [(node["id"].removeprefix(ID_PREFIX), node["kind"])
                  for node in self.twin.figure.nodes]
        return (self._node or self.panel).evaluate(READ, wanted)

    def differences(self) -> list[str]:
        """Turn the twin to where the page's controls stand; say where the two differ."""
        state, twin = self.state(), self.twin
        # A slider rests between two stops where a value was typed exactly.
        twin.turn(**{key: control.value_at(state["places"][key])
                     for key, control in twin.controls.items()})
        found = []
        if state["sentence"] != twin.sentence:
            found.append(f"sentence: {state['sentence']!r}, computed {twin.sentence!r}")
        if state["alt"] != twin.sentence:
            found.append(f"alt: {state['alt']!r}")
        texts = iter(twin.figure.texts())
        for identity, computed in decode(twin.figure.nodes, twin.figure.frame()).items():
            name = identity.removeprefix(ID_PREFIX)
            found += [f"{name}: {what}"
                      for what in _differences(state["nodes"][name], computed, texts)]
        return found

    def expect_agreement(self, *, within: float = 3.0) -> None:
        """Fail unless page and twin agree soon and then stay so."""
        end = time.monotonic() + within
        while found := self.differences():
            assert time.monotonic() < end, "\n".join(found)
            time.sleep(0.03)

    def expect_place(self, knob: Knob, place: float) -> None:
        """Fail unless the slider's value, its value text and the entry say ``place`` soon."""
        words, end = knob.shown(knob.value_at(place)), time.monotonic() + 3
        while True:
            shown = (self._node or self.panel).evaluate("""(panel, key) => {
              const [slider, entry] = panel.querySelector(
                `.rx-knob[data-key="${key}"]`).querySelectorAll('input');
              return [+slider.value, slider.getAttribute('aria-valuetext'), entry.value]; }""",
              knob.key)
            if abs(shown[0] - place) < 1e-6 and shown[1:] == [words, words]:
                return
            assert time.monotonic() < end, f"{knob.key}: {shown} is not {(place, words)}"
            time.sleep(0.02)

    def drag(self, page, knob: Knob, *, seconds: float = 0.35, pauses: float = 0.012) -> None:
        """Drag ``knob``'s slider there and back and let go somewhere in between."""
        slider = self.slider(knob)
        slider.scroll_into_view_if_needed()
        box = slider.bounding_box()
        y = box["y"] + box["height"] / 2
        page.mouse.move(box["x"] + 0.3 * box["width"], y)
        page.mouse.down()
        began = time.monotonic()
        while (gone := (time.monotonic() - began) / seconds) < 1:
            page.mouse.move(box["x"] + box["width"] * (0.1 + 0.8 * abs(1 - 2 * gone)), y)
            time.sleep(pauses)
        page.mouse.move(box["x"] + 0.62 * box["width"], y)
        page.mouse.up()


def _differences(node: dict | None, computed: dict, texts) -> list[str]:
    """Where one node of the page differs from what was computed, by more than 0.1 px."""
    words = next(texts) if "xy" in computed else ""
    if node is None:
        return ["is not in the page"]
    if node["shown"] != computed["visible"]:
        return [f"shown: {node['shown']}"]
    if not node["shown"]:
        return []
    if node["text"]:
        said, x, y, anchor = node["text"]
        there = said == words and anchor == computed["anchor"] and np.allclose(
            (x, y), computed["xy"], rtol=0, atol=0.1)
        return [] if there else [f"{node['text']}, computed {words!r} {computed}"]
    points = computed["points"]
    kept = points[np.isfinite(points).all(axis=1)]
    if node["marks"] is not None:
        drawn = np.array(node["marks"]).reshape(-1, 2)
    else:
        drawn = np.array(re.findall(r"-?[\d.]+(?:e-?\d+)?", node["d"]), float).reshape(-1, 2)
        strokes = len(re.findall("M", node["d"]))
        good = np.isfinite(points).all(axis=1).astype(int)
        if strokes != int((np.diff(np.concatenate([[0], good])) == 1).sum()):
            return [f"{strokes} strokes"]
    if drawn.shape != kept.shape:
        return [f"{len(drawn)} points, computed {len(kept)}"]
    off = float(np.abs(drawn - kept).max()) if len(kept) else 0.0
    return [f"off by {off:.2f} px"] if off > 0.1 else []

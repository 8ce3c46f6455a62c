"""The page that the start command gives, in a real JupyterLab and browser.

The button and the settings come with the installed package, so this needs it
installed (``python3 -m rxlearn test`` does that).
"""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import time
import urllib.request
from importlib import metadata
from pathlib import Path

import nbformat
import pytest

pytestmark = pytest.mark.browser
SHOTS = Path(__file__).resolve().parents[1] / "browser" / "shots"
LESSON_CELL = """\
import ipywidgets
from IPython.display import display

class Figure(ipywidgets.IntSlider):
    def _repr_mimebundle_(self, **options):
        data = super()._repr_mimebundle_(**options)
        return {**data, "text/html": "<b>the still</b>"}, {"rxlearn": {"still": True}}

Figure()"""


@pytest.fixture(scope="module")
def lab(tmp_path_factory):
    """A JupyterLab over a folder with one long notebook; yields (address, notebook path)."""
    try:
        metadata.distribution("rxlearn")
    except metadata.PackageNotFoundError:
        refuse = pytest.fail if os.environ.get("CI") else pytest.skip
        refuse("rxlearn is not installed here: run python3 -m rxlearn test")
    folder = tmp_path_factory.mktemp("lab")
    cells = [nbformat.v4.new_markdown_cell("# A lesson"), nbformat.v4.new_code_cell(LESSON_CELL)]
    cells += [nbformat.v4.new_code_cell(f"{n} + {n}") for n in range(30)]
    made = nbformat.v4.new_notebook(cells=cells)
    made.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3"}
    nbformat.write(made, folder / "lesson.ipynb")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "jupyterlab", "--no-browser", "--allow-root"]
    command += [f"--port={port}", f"--ServerApp.root_dir={folder}", "--IdentityProvider.token="]
    with open(folder / "server.log", "w") as log:
        environment = {**os.environ, "JUPYTER_CONFIG_DIR": str(folder / "none")}
        process = subprocess.Popen(command, stdout=log, stderr=log, env=environment)
        try:
            _wait(f"http://127.0.0.1:{port}/api")
            yield f"http://127.0.0.1:{port}", folder / "lesson.ipynb"
        finally:
            process.terminate()
            process.wait(20)


def _wait(address: str) -> None:
    for _ in range(240):
        try:
            urllib.request.urlopen(address, timeout=2)
            return
        except OSError:
            time.sleep(0.25)
    pytest.fail(f"JupyterLab did not answer at {address}")


@pytest.fixture
def page(browser):
    opened = browser.new_page(viewport={"width": 1366, "height": 768})
    opened.set_default_timeout(60_000)
    yield opened
    opened.close()


COUNT_RUN = """() => [...document.querySelectorAll('.jp-CodeCell .jp-InputPrompt')]
    .filter((prompt) => /\\[\\d+\\]/.test(prompt.innerText)).length"""


def test_one_button_runs_the_lesson_where_the_reader_is(lab, page):
    address, path = lab
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(f"{address}/lab/tree/lesson.ipynb?reset")
    button = page.get_by_role("button", name="Run this lesson")
    button.wait_for()
    box = button.bounding_box()
    assert 0 <= box["x"] and box["x"] + box["width"] <= 1366 and box["y"] < 200
    page.locator(".jp-Cell").first.wait_for()
    # Windowing is off: every cell is in the page, so a live figure stays alive out of sight.
    page.wait_for_function("() => document.querySelectorAll('.jp-CodeCell').length === 31")
    button.click()
    page.wait_for_function(f"() => ({COUNT_RUN})() === 31")
    page.locator(".widget-slider").wait_for()
    top = page.evaluate("document.querySelector('.jp-WindowedPanel-outer').scrollTop")
    assert top == 0
    assert page.locator(".jp-Cell.jp-mod-active").locator("h1").count() == 1
    SHOTS.mkdir(parents=True, exist_ok=True)
    page.screenshot(path=SHOTS / "run-this-lesson.png")
    assert page.locator(".jp-Dialog, .Toastify__toast").count() == 0

    page.keyboard.press("Control+s")
    for _ in range(80):
        saved = json.loads(path.read_text())
        if saved["cells"][1]["outputs"]:
            break
        time.sleep(0.25)
    [kept] = saved["cells"][1]["outputs"]
    assert "the still" in "".join(kept["data"]["text/html"])
    assert "application/vnd.jupyter.widget-view+json" not in kept["data"]
    assert "widgets" not in saved["metadata"]
    # The figure on the screen is untouched by what was saved.
    assert page.locator(".widget-slider").count() == 1

    elsewhere = [url for url in asked if not url.startswith((address, "data:", "blob:"))]
    assert elsewhere == []
    assert [url for url in asked if "/api/news" in url or "/api/update" in url] == []


def test_the_kernels_messages_are_sent_at_once(lab):
    log = (lab[1].parent / "server.log").read_text()
    assert "kernel websockets send small messages at once" in log

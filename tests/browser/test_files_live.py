"""The build sheet's buttons in a real page: what the browser keeps is the file."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.browser.lab import running_copy
from tests.workbench import LESSONS

pytestmark = pytest.mark.browser

NAME = "sheet-copy.ipynb"
CALLS = ("bench.ready", "bench.safety_list", "bench.build_sheet()")
"""The cells of the lesson that the buttons need."""


@pytest.fixture
def opened(browser, lab):
    """The lesson of the build sheet, cut down to its buttons: run, the safety list ticked."""
    lesson = next(path for path in LESSONS if path.name.endswith("-build-sheet.ipynb"))
    stored = json.loads(lesson.read_text(encoding="utf-8"))
    title, *rest = stored["cells"]
    stored["cells"] = [title, *(cell for cell in rest if cell["cell_type"] == "code" and any(
        call in "".join(cell["source"]) for call in CALLS))]
    with running_copy(browser, lab, NAME, stored) as reader:
        yield reader
    lab.end_kernels()


def kept(reader, label: str) -> tuple[str, bytes]:
    """Name and bytes of what the browser keeps when the button ``label`` is pressed."""
    button = reader.panel("Your build sheet").get_by_role("button", name=label, exact=True)
    with reader.page.expect_download(timeout=60_000) as waiting:
        button.click()
    return waiting.value.suggested_filename, Path(waiting.value.path()).read_bytes()


def test_a_press_brings_the_file_and_says_at_once_that_it_is_made(opened):
    name, content = kept(opened, "tank-lower-band.cir")
    assert name == "tank-lower-band.cir"
    # A deck for a circuit simulator: its title, and its last line.
    assert content.startswith(b"* ") and content.rstrip().endswith(b".end")
    opened.page.evaluate("""() => { window.said = []; new MutationObserver(() => {
      const words = document.body.innerText.match(/Making [\\w.-]+/);
      if (words) window.said.push(words[0]); }).observe(
        document.body, { childList: true, subtree: true, characterData: true }); }""")
    name, content = kept(opened, "Build sheet as PDF")
    assert name == "build-sheet.pdf"
    # ISO 32000-1, 7.5.2 and 7.5.5: the header first, the end-of-file marker last.
    assert content.startswith(b"%PDF-") and content.rstrip().endswith(b"%%EOF")
    assert "Making build-sheet.pdf" in opened.page.evaluate("window.said")
    assert not opened.errors

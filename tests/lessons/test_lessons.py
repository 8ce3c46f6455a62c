"""The lessons as they are stored: what a reader without a kernel sees, and how a lesson reads.

That the stored outputs are those of today is strict nbval's part, which the test
command runs over ``lessons``; here stands the guard that there is something to compare.
"""

from __future__ import annotations

import ast
import base64
import os
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import nbformat
import pytest

from rxlearn.bench.panel import STILL_NOTE
from rxlearn.data.cautions import COVERED
from rxlearn.exercises import registry
from rxlearn.installing import Checkout
from rxlearn.workshop import test_command as command_of_tests
from tests.bench.test_panel import Reader
from tests.lessons.refresh import cleaned, run
from tests.workbench import LESSONS, LIVE_FIGURES, ROOT, open_figure

LONGEST_CELL, USUAL_CELL, LONGEST_PROSE = 8, 2.5, 120
VIEW = "application/vnd.jupyter.widget-view+json"


class Lesson:
    """A notebook as read from disk."""

    def __init__(self, path: Path) -> None:
        self.path, self.notebook = path, nbformat.read(path, as_version=4)
        self.cells = self.notebook.cells
        self.code = [cell for cell in self.cells if cell.cell_type == "code"]
        self.prose = "\n\n".join(c.source for c in self.cells if c.cell_type == "markdown")
        self.is_first = path == LESSONS[0]

    def calls(self, name: str | None = None) -> list[tuple[str, str | None]]:
        """Calls of ``bench`` in order: name and first argument, if it is a text."""
        found = []
        for cell in self.code:
            for node in ast.walk(ast.parse(cell.source)):
                if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
                    first = node.args[0].value if node.args and isinstance(
                        node.args[0], ast.Constant) else None
                    found.append((node.func.attr, first))
        return [call for call in found if name in (None, call[0])]


@pytest.fixture(scope="module", params=LESSONS, ids=lambda path: path.stem)
def lesson(request):
    return Lesson(request.param)


PAGES = (LESSONS[0].stem, "15-build-sheet")
"""The first page, and the last, where all is printed: they teach less and have rules of their own."""

FULL = [path for path in LESSONS if path.stem not in PAGES]


@pytest.fixture(scope="module", params=FULL, ids=lambda path: path.stem)
def full_lesson(request):
    """A lesson with all its parts, not the first page nor the one that prints."""
    return Lesson(request.param)


def calls_of(cell) -> set[str]:
    """What a code cell calls of ``bench``."""
    return set(re.findall(r"\bbench\.(\w+)\(", cell.source))


def code_lines(cell) -> int:
    """Lines of a code cell that are not empty."""
    return sum(bool(line.strip()) for line in cell.source.splitlines())


def anchors(path: Path) -> set[str]:
    """Link targets of a notebook's headings, as JupyterLab names them: spaces become hyphens."""
    return {
        heading.strip().replace(" ", "-")
        for cell in nbformat.read(path, as_version=4).cells if cell.cell_type == "markdown"
        for heading in re.findall(r"^#+ (.+)$", cell.source, re.MULTILINE)
    }


def prose_words(source: str) -> int:
    """Words of a cell's prose: not headings, formulas, link targets or tables (looked up in)."""
    text = re.sub(r"\$\$.*?\$\$|\$[^$\n]+\$", " ", source, flags=re.DOTALL)
    text = re.sub(r"\]\([^)]*\)", "]", text)
    text = "\n".join(line for line in text.splitlines() if not line.startswith(("|", "#")))
    return len(re.findall(r"[^\W_]+(?:[.'’-]\w+)*", text))


# What is stored -------------------------------------------------------------------------


def test_the_lessons_are_numbered_without_a_gap():
    assert len(LESSONS) >= 2
    assert [path.name[:3] for path in LESSONS] == [f"{n:02d}-" for n in range(len(LESSONS))]


def test_each_code_cell_has_stored_outputs_with_stable_words(lesson):
    for cell in lesson.code:
        assert cell.outputs, f"{cell.id}: nothing is stored; run tests.lessons.refresh"
        words = [output.data.get("text/plain", "") for output in cell.outputs
                 if output.output_type in ("display_data", "execute_result")]
        assert len(words) == len(cell.outputs), f"{cell.id} prints or fails instead of showing"
        for text in words:
            assert len(text) > 15, cell.id
            assert not re.search(r"0x[0-9a-f]{5,}|object at|Panel\(|/tmp/|/home/|\bnan\b", text), cell.id


def test_each_figure_is_stored_with_its_sentence_still_and_alt(lesson):
    figures = [cell for cell in lesson.code if calls_of(cell) & set(LIVE_FIGURES)]
    assert figures
    for cell in figures:
        (output,) = cell.outputs
        page = Reader(output.data["text/html"])
        if COVERED in page.words:  # high voltages: its own tests say that it must be so
            continue
        (image,) = [attributes for tag, attributes in page.tags if tag == "img"]
        assert image["alt"] == output.data["text/plain"] and re.search(r"\d", image["alt"])
        still = base64.b64decode(image["src"].removeprefix("data:image/svg+xml;base64,"))
        assert ElementTree.fromstring(still).tag.endswith("svg") and len(still) > 3000
        assert STILL_NOTE in page.words


def test_no_widget_state_timing_or_python_version_is_stored(lesson):
    assert set(lesson.notebook.metadata) == {"kernelspec", "language_info"}
    assert lesson.notebook.metadata.language_info == {"name": "python"}
    for cell in lesson.cells:
        assert set(cell.metadata) <= {"jupyter", "tags"}
        for output in cell.get("outputs", ()):
            assert VIEW not in output.data and set(output.metadata) == {"rxlearn"}
    assert lesson.path.stat().st_size < 600_000, "stills are small"


def test_code_is_folded_and_ids_are_names(lesson):
    for cell in lesson.code:
        assert cell.metadata.jupyter.source_hidden is True
    ids = [cell.id for cell in lesson.cells]
    assert len(set(ids)) == len(ids)
    assert not any(re.fullmatch("[0-9a-f]{8}", name) for name in ids), "an id made by chance"


def test_a_lesson_refreshed_twice_is_the_same_to_the_byte():
    path = LESSONS[1]
    once, again = (nbformat.writes(cleaned(run(nbformat.read(path, as_version=4))))
                   for _ in range(2))
    assert once == again
    stored = nbformat.writes(nbformat.read(path, as_version=4))
    hidden = re.compile(r"base64,[A-Za-z0-9+/=]+")
    assert hidden.sub("", once) == hidden.sub("", stored), "run tests.lessons.refresh"


# How a lesson reads ---------------------------------------------------------------------


def test_code_cells_are_short(lesson):
    lines = [code_lines(cell) for cell in lesson.code]
    assert max(lines) <= LONGEST_CELL
    assert sum(lines) / len(lines) <= USUAL_CELL


def test_lessons_import_the_bench_and_nothing_else(lesson):
    imports = [
        ast.unparse(node) for cell in lesson.code for node in ast.walk(ast.parse(cell.source))
        if isinstance(node, ast.Import | ast.ImportFrom)
    ]
    assert imports == ["from rxlearn import bench"]
    assert lesson.code[0].source.split() == "from rxlearn import bench bench.ready()".split()
    for cell in lesson.code:
        assert not re.search(r"[%!]|__|open\(|exec|eval", cell.source)


def test_prose_between_two_figures_is_short(full_lesson):
    words, between, longest = 0, False, []
    for cell in full_lesson.cells:
        if cell.cell_type == "markdown":
            words += prose_words(cell.source)
        elif calls_of(cell) & set(LIVE_FIGURES):
            longest.append((words if between else 0, cell.id))
            words, between = 0, True
        else:
            words, between = 0, False
    assert max(longest)[0] <= LONGEST_PROSE, max(longest)


def test_title_goals_and_how_to_wake_it_come_first(lesson):
    first = lesson.cells[0]
    assert first.cell_type == "markdown" and first.source.startswith("# ")
    goals = first.source.split("you can", 1)
    assert len(goals) == 2 and len(re.findall(r"^- ", goals[1], re.MULTILINE)) >= 2
    assert re.search(r"\*\*To wake .*press “Run this lesson” in the bar above", first.source)
    assert lesson.cells[1].cell_type == "code"
    assert len(re.findall(r"^# ", lesson.prose, re.MULTILINE)) == 1


def test_there_is_something_to_predict(full_lesson):
    figures = [name for name, _ in full_lesson.calls() if name in LIVE_FIGURES]
    assert len(figures) >= 3
    asked = set()
    for name in figures:
        figure = open_figure(name)
        asked |= {figure.prediction.key} if figure.prediction else set()
        figure.close()
    assert len(asked) >= 2
    assert {registry.find_prediction(key).lesson for key in asked} == {name_of(full_lesson)}


def name_of(lesson: Lesson) -> str:
    """The lesson's name in the banks: its file name without the number."""
    return lesson.path.stem[3:].replace("-", "_")


def test_there_are_five_questions_of_its_own_one_to_a_cell(full_lesson):
    keys = [key for _, key in full_lesson.calls("ask")]
    assert len(keys) >= 5 and len(set(keys)) == len(keys)
    assert {registry.find(key).lesson for key in keys} == {name_of(full_lesson)}
    assert "## Check yourself" in full_lesson.prose
    for cell in full_lesson.code:
        assert len(calls_of(cell)) == 1


def test_each_section_is_there_and_in_order(full_lesson):
    headings = re.findall(r"^## (.+)$", full_lesson.prose, re.MULTILINE)
    wanted = ["Worked example", "Check yourself", "At the bench", "Into your plan"]
    assert [heading for heading in headings if heading in wanted] == wanted
    ideas = headings[: headings.index("Worked example")]
    assert len(ideas) >= 3
    assert len(re.findall(r"\*Limits of (?:this|these) figures?", full_lesson.prose)) >= 3


def test_each_section_makes_its_call(full_lesson):
    assert full_lesson.calls("ready") and full_lesson.calls("worked_example") == [
        ("worked_example", name_of(full_lesson))]
    kept = [name for _, name in full_lesson.calls("keep")]
    assert kept.count(name_of(full_lesson)) == 1
    # What must stay covered until the list is ticked has a form of its own.
    assert set(kept) <= {name_of(full_lesson), "supply_measured"}


def test_the_bench_carries_its_caution_at_the_place(full_lesson):
    bench = re.search(r"## At the bench\n(.*?)(?=\n## |\Z)", full_lesson.prose, re.DOTALL)[1]
    assert "> **Caution" in bench
    caution = bench[bench.index("> **Caution"):]
    assert re.search(r"licen[cs]e|local (?:electrical )?(?:codes?|rules?)|mentor", caution)
    assert not re.search(r"\bis safe\b|\bare safe\b|safe voltage", bench)


def test_links_lead_somewhere(lesson):
    links = re.findall(r"\]\(([^)\s]+)\)", lesson.prose)
    for link in links:
        name, _, anchor = link.partition("#")
        target = lesson.path.parent / name if name else lesson.path
        assert target.is_file(), link
        if anchor:
            assert anchor in anchors(target), f"{link} names no heading"
    later = LESSONS[LESSONS.index(lesson.path) + 1:]
    if later:
        assert f"({later[0].name})" in lesson.cells[-1].source, "the last cell leads on"
        assert lesson.cells[-1].source.startswith("Next:")


def test_a_glossary_word_is_linked_from_each_full_lesson(full_lesson):
    assert len(re.findall(rf"\({LESSONS[0].name}#", full_lesson.prose)) >= 3


# What must not be there -----------------------------------------------------------------

# ITU Radio Regulations, article 19, section III: one or two characters (a letter among
# them), a digit, and a suffix that ends in a letter.  Valve types such as 6V6GT and the
# temperature codes of capacitors such as U2J (EIA-198) look alike.
CALLSIGN = re.compile(r"\b(?:[A-Z]{1,2}|[A-Z]\d|\d[A-Z])\d[A-Z]{1,4}\b")
PART = re.compile(r"\d{1,2}[A-Z]{1,2}\d{1,2}(?:G|GT|GTA|GTB|A|B)|[A-Z]\d[A-Z]")


def callsigns(text: str) -> list[str]:
    """What looks like an amateur's callsign."""
    return [found for found in CALLSIGN.findall(text) if not PART.fullmatch(found)]


def all_words() -> dict[str, str]:
    """Everything that a learner can read, by file: lessons with outputs, package, pictures."""
    words = {}
    for path in LESSONS:
        lesson = Lesson(path)
        shown = [o.data["text/plain"] for c in lesson.code for o in c.outputs if "data" in o]
        shown += [base64.b64decode(found).decode() for c in lesson.code for o in c.outputs
                  for found in re.findall(r"base64,([A-Za-z0-9+/=]+)", o.data.get("text/html", ""))]
        words[path.name] = "\n".join([lesson.prose, *(c.source for c in lesson.code), *shown])
    for pattern in ("*.py", "*.js", "*.css", "*.json"):
        for path in (ROOT / "rxlearn").rglob(pattern):
            words[str(path.relative_to(ROOT))] = path.read_text(encoding="utf-8")
    return words


def test_no_callsign_anywhere():
    # Made up, and put together here so that this file holds none itself.
    assert callsigns("de " + "Q1" + "ABC k") and callsigns("QQ" + "0" + "X")
    assert not callsigns("TEST1 BENCH2 6V6GT 12AX7 EF183 ECC83 80 m 1N4148 TEST1 3.5 MHz")
    found = {name: callsigns(words) for name, words in all_words().items() if callsigns(words)}
    assert not found


def test_nothing_is_fetched_from_elsewhere():
    remote = re.compile(r"(?:https?:)?//[a-z0-9.-]+\.[a-z]{2,}", re.IGNORECASE)
    names_only = re.compile(r"http://www\.w3\.org/(?:2000/svg|1999/xlink)|<!DOCTYPE[^>]*>")
    for name, words in all_words().items():
        if not name.endswith(".py"):
            assert not remote.findall(names_only.sub("", words)), name


# The comparison itself can fail -----------------------------------------------------------


def compare(notebook: nbformat.NotebookNode, folder: Path) -> subprocess.CompletedProcess:
    """Replay ``notebook`` against what it stores, with the options of the test command."""
    path = folder / "canary.ipynb"
    nbformat.write(notebook, path)
    command = command_of_tests(Checkout(ROOT), [str(path)])
    options = [word for word in command[1:] if word not in ("tests", "lessons")]
    workers = options.index("-n")
    del options[workers : workers + 2]
    return subprocess.run(
        [sys.executable, *options, "-q", "-p", "no:cacheprovider", "--rootdir", str(folder)],
        cwd=ROOT, capture_output=True, text=True, timeout=120,
        env={**os.environ, "RXLEARN_HOME": str(folder / "home")},
    )


def first_figure_only() -> nbformat.NotebookNode:
    """The set-up cell and the first live figure of a lesson, as stored."""
    lesson = Lesson(LESSONS[1])
    figure = next(cell for cell in lesson.code if calls_of(cell) & set(LIVE_FIGURES))
    lesson.notebook.cells = [lesson.code[0], figure]
    return lesson.notebook


def test_the_canary_sings_as_long_as_nothing_is_changed(tmp_path):
    result = compare(first_figure_only(), tmp_path)
    assert result.returncode == 0 and "2 passed" in result.stdout, result.stdout


@pytest.mark.parametrize("where", ["text/plain", "text/html"])
def test_one_digit_changed_in_a_stored_sentence_fails_the_test_command(tmp_path, where):
    notebook = first_figure_only()
    data = notebook.cells[1].outputs[0].data
    words = data["text/plain"]
    digit = re.search(r"\d(?= [kM]?Hz)", words)
    changed = words[: digit.start()] + str((int(digit[0]) + 1) % 10) + words[digit.end():]
    data[where] = data[where].replace(words.split("\n")[0], changed.split("\n")[0])
    result = compare(notebook, tmp_path)
    assert result.returncode == 1 and "1 failed, 1 passed" in result.stdout, result.stdout


def test_a_cell_that_fails_fails_the_test_command(tmp_path):
    notebook = first_figure_only()
    notebook.cells[1].source = "bench.no_such_figure()"
    result = compare(notebook, tmp_path)
    assert result.returncode == 1 and "1 failed, 1 passed" in result.stdout, result.stdout


# The page that prints -------------------------------------------------------------------


def test_the_page_that_prints_asks_warns_and_leads_back():
    page = Lesson(next(path for path in LESSONS if path.stem == "15-build-sheet"))
    calls = [name for name, _ in page.calls()]
    assert {"build_sheet", "safety_list", "paper_dial", "show_plan", "worked_example"} <= set(calls)
    assert calls.index("safety_list") < calls.index("build_sheet")
    assert page.calls("keep") == [("keep", "build_sheet")]
    keys = [key for _, key in page.calls("ask")]
    assert keys == [q.key for q in registry.for_lesson("build_sheet")] and len(keys) >= 5
    assert "> **Caution." in page.prose and "licensed practice" in page.prose
    assert "(00-start-here.ipynb)" in page.cells[-1].source

"""The power supply lesson, run in kernels of its own: locked, unlocked, locked again.

Locked, nothing that leaves the kernel names a voltage above the limit: not the
outputs, and not the state of any widget.
"""

from __future__ import annotations

import json
import os

import nbformat
import pytest
from nbclient import NotebookClient
from nbformat.v4 import new_code_cell

from rxlearn.bench.cautions import LIST_TITLE
from rxlearn.data.cautions import CAUTIONS, COVERED, EFFECTS, LIMIT, SAFETY_LIST, THRESHOLDS
from tests.voltages import volts_in
from tests.workbench import ROOT

PATH = ROOT / "lessons" / "05-power-supply.ipynb"
TICK = """
from rxlearn import bench
safety = bench.safety_list()
for number in range({count}):
    safety.tick(number)
safety
"""
GATED_CALLS = ("supply_waveforms", "choke_input", "switching_on", "switching_off",
               "supply_ratings", "worked_example", "keep")

# What a covered lesson may name: the cautions, and the thresholds, by their own words.
ALLOWED = [source for row in CAUTIONS.values() for source in row.sources] + [
    words for row in THRESHOLDS.values() for words in (row.name, row.source)
] + [row.text for row in CAUTIONS.values()] + [row.source for row in EFFECTS]


def run(home, *, tick: bool):
    """The lesson run in a fresh kernel with ``home`` as the learner's folder, with widget state."""
    notebook = nbformat.read(PATH, as_version=4)
    if tick:
        notebook.cells.append(new_code_cell(TICK.format(count=len(SAFETY_LIST))))
    environment = {**os.environ, "RXLEARN_HOME": str(home), "IPYTHONDIR": str(home / "ipython")}
    client = NotebookClient(
        notebook, timeout=120, kernel_name="python3", store_widget_state=True,
        resources={"metadata": {"path": str(PATH.parent)}})
    return client.execute(env=environment)


def outputs_of(notebook) -> dict[str, str]:
    """All that each code cell shows, by its id."""
    shown = {}
    for cell in notebook.cells:
        if cell.cell_type == "code":
            shown[cell.id] = "\n".join(
                str(words) for output in cell.outputs
                for kind, words in output.get("data", {"text": output.get("text", "")}).items()
                if "widget" not in kind)
    return shown


def widgets_of(notebook) -> list[dict]:
    """The state of every panel."""
    state = notebook.metadata["widgets"]["application/vnd.jupyter.widget-state+json"]["state"]
    return [one["state"] for one in state.values() if "parts" in one["state"]]


def words_of(widget: dict) -> str:
    """All words in a panel's state: parts, texts, picture; not the program that draws it."""
    kept = {key: widget[key] for key in ("label", "parts", "texts", "picture", "knobs")
            if key in widget}
    return json.dumps(kept, ensure_ascii=False)


def high(words: str) -> list[float]:
    """Voltages above the limit in ``words``, cautions left out."""
    for allowed in (*ALLOWED, *(json.dumps(a, ensure_ascii=False)[1:-1] for a in ALLOWED)):
        words = words.replace(allowed, " ")
    return [volts for volts in volts_in(words) if volts > LIMIT.volts]


@pytest.fixture(scope="module")
def home(tmp_path_factory):
    return tmp_path_factory.mktemp("supply-home")


@pytest.fixture(scope="module")
def locked(home):
    return run(home, tick=False)


@pytest.fixture(scope="module")
def unlocked(home, locked):
    return run(home, tick=True)


@pytest.fixture(scope="module")
def restarted(home, unlocked):
    """The lesson once more, in a new kernel, after all had been ticked in the last."""
    return run(home, tick=False)


def test_the_file_itself_names_no_high_voltage():
    assert not high(PATH.read_text(encoding="utf-8"))
    prose = "\n".join(cell.source for cell in nbformat.read(PATH, as_version=4).cells)
    assert not high(prose) and "safety_list" in prose


@pytest.mark.parametrize("when", ["locked", "restarted"])
def test_nothing_shown_names_a_high_voltage_before_the_list_is_ticked(when, request):
    notebook = request.getfixturevalue(when)
    outputs = outputs_of(notebook)
    assert len(outputs) > 20
    assert {name: high(words) for name, words in outputs.items() if high(words)} == {}
    panels = widgets_of(notebook)
    assert len(panels) > 20
    assert {p["label"]: high(words_of(p)) for p in panels if high(words_of(p))} == {}
    for panel in panels:
        if panel.get("gated"):
            assert not panel.get("picture") and not panel.get("texts"), panel["label"]


def test_what_is_covered_shows_its_card(locked):
    for cell in locked.cells:
        if cell.cell_type == "code" and any(f"bench.{name}(" in cell.source for name in GATED_CALLS):
            (output,) = cell.outputs
            assert COVERED in output.data["text/plain"] and COVERED in output.data["text/html"]
            assert "Caution" in output.data["text/plain"] and "<img" not in output.data["text/html"]
    gated = [panel for panel in widgets_of(locked) if panel.get("gated")]
    assert len(gated) >= len(GATED_CALLS)
    assert all(COVERED in words_of(panel) for panel in gated)


def test_ticking_every_line_opens_everything_that_has_been_run(unlocked):
    gated = [panel for panel in widgets_of(unlocked) if panel.get("gated")]
    assert gated and not any(COVERED in words_of(panel) for panel in gated)
    named = [panel["label"] for panel in gated if high(words_of(panel))]
    assert len(named) >= len(GATED_CALLS)
    assert {panel["label"] for panel in widgets_of(unlocked)} >= {LIST_TITLE}


def test_what_is_stored_stays_covered_even_when_all_is_ticked(unlocked):
    outputs = outputs_of(unlocked)
    assert {name: high(words) for name, words in outputs.items() if high(words)} == {}


def test_the_cards_do_not_change_with_the_ticks(locked, unlocked, restarted):
    first = outputs_of(locked)
    for other in (outputs_of(unlocked), outputs_of(restarted)):
        assert {name: other[name] for name in first} == first


def test_the_list_comes_before_anything_covered():
    calls = [cell.source for cell in nbformat.read(PATH, as_version=4).cells
             if cell.cell_type == "code"]
    at = next(i for i, source in enumerate(calls) if "safety_list" in source)
    for i, source in enumerate(calls):
        if any(f"bench.{name}(" in source for name in GATED_CALLS):
            assert i > at


def test_the_search_would_see_a_high_voltage(unlocked):
    assert high("The winding gives 230 V.") == [230.0]
    assert high("50 V and 6.3 V") == []
    assert any(high(words_of(panel)) for panel in widgets_of(unlocked))

"""Run the lessons and store what they print, so that a reader without a kernel sees it.

The one command, after a change of a lesson or of what it shows:

    .venv/bin/python -m tests.lessons.refresh            every lesson
    .venv/bin/python -m tests.lessons.refresh 01 02      those that begin so

Each lesson runs in a fresh kernel with an empty RXLEARN_HOME, so it starts
from the demo plan.  Kept are the cells with their ids, and their outputs: words
and stills.  Left out are references to live widgets, widget state, timings and
the Python version, so that running it twice gives the same bytes.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

import nbformat
from nbclient import NotebookClient

from rxlearn.server.saving import drop_dead_widgets

LESSONS = Path(__file__).resolve().parents[2] / "lessons"
METADATA = {
    "kernelspec": {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"},
    "language_info": {"name": "python"},
}
PATIENCE = 120
"""Seconds that a cell may take."""


def run(notebook: nbformat.NotebookNode, *, folder: Path = LESSONS) -> nbformat.NotebookNode:
    """Run every cell of ``notebook`` in place as if it lay in ``folder``, and return it.

    Raises nbclient's CellExecutionError with the traceback if a cell fails.
    """
    with tempfile.TemporaryDirectory(prefix="rxlearn-refresh-") as own:
        environment = {**os.environ, "RXLEARN_HOME": f"{own}/home", "IPYTHONDIR": f"{own}/ipython"}
        client = NotebookClient(
            notebook, timeout=PATIENCE, kernel_name="python3", record_timing=False,
            store_widget_state=False, resources={"metadata": {"path": str(folder)}},
        )
        return client.execute(env=environment)


def cleaned(notebook: nbformat.NotebookNode) -> nbformat.NotebookNode:
    """Leave out of ``notebook``, in place, what differs from run to run; return it."""
    drop_dead_widgets(notebook)
    notebook.metadata = nbformat.from_dict(METADATA)
    for cell in notebook.cells:
        for name in ("execution", "trusted", "collapsed"):
            cell.metadata.pop(name, None)
    return notebook


def refresh(path: Path) -> bool:
    """Run the lesson at ``path`` and write it if anything changed; return whether it did."""
    before = path.read_text(encoding="utf-8")
    notebook = cleaned(run(nbformat.reads(before, as_version=4), folder=path.parent))
    nbformat.validate(notebook)
    after = nbformat.writes(notebook) + "\n"
    if after == before:
        return False
    fresh = path.with_suffix(".new")
    fresh.write_text(after, encoding="utf-8")
    os.replace(fresh, path)
    return True


def main(beginnings: Sequence[str]) -> int:
    """Refresh the lessons whose names begin so (all without any); return the exit status."""
    chosen = [path for path in sorted(LESSONS.glob("*.ipynb"))
              if not beginnings or path.name.startswith(tuple(beginnings))]
    for path in chosen:
        print(f"{path.name}: {'written' if refresh(path) else 'as it was'}", flush=True)
    return 0 if chosen else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

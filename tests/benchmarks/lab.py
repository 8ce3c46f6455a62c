"""A real JupyterLab under the command that we ship, and a page that has a notebook open."""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import nbformat

from tests.benchmarks.report import RESULTS
from tests.jupyter_lab import ROOT, JupyterLab



class Lab(JupyterLab):
    """JupyterLab over this checkout, with a home that goes when it is closed."""

    def __init__(self, *, websocket: str = "") -> None:
        self._home = Path(tempfile.mkdtemp(prefix="rxlearn-benchmark-"))
        super().__init__(ROOT, self._home, websocket=websocket)

    async def open(self, browser, notebook: Path):
        """Open ``notebook`` (under the root) in a new page and run all of it; return the page."""
        page = await browser.new_page(viewport={"width": 1366, "height": 900})
        place = notebook.relative_to(ROOT).as_posix()
        await page.goto(f"{self.address}/lab/tree/{place}?reset&token={self.token}")
        await page.wait_for_selector(".jp-Notebook .jp-CodeCell", timeout=90_000)
        await page.get_by_role("button", name="Run this lesson").click()
        return page

    def close(self) -> None:
        """Stop the server and its kernels; remove its home."""
        super().close()
        shutil.rmtree(self._home, ignore_errors=True)

    def __enter__(self) -> Lab:
        return self

    def __exit__(self, *_) -> None:
        self.close()


@contextlib.contextmanager
def written_notebook(cells: list[str]) -> Iterator[Path]:
    """A notebook of code ``cells``, among the results and only for now."""
    RESULTS.mkdir(exist_ok=True)
    notebook = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_code_cell(cell) for cell in cells],
        metadata={"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}},
    )
    path = RESULTS / f"page-{os.getpid()}-{secrets.token_hex(3)}.ipynb"
    nbformat.write(notebook, path)
    try:
        yield path
    finally:
        path.unlink(missing_ok=True)

"""A real JupyterLab under the command that we ship, and a page that has a notebook open."""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import nbformat

from rxlearn.installing import Checkout
from rxlearn.workshop import lab_command

ROOT = Path(__file__).resolve().parents[2]
RESULTS = ROOT / "tests" / "benchmarks" / "results"
BROWSER_OPTIONS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)


class Lab:
    """JupyterLab as ``python3 -m rxlearn open`` starts it, with a home and settings of its own.

    The command is the shipped one; only the Python is the one that runs this,
    so that the benchmark needs no second environment.  ``websocket`` is the
    value of ``RXLEARN_WEBSOCKET``: empty as shipped, or ``plain``.
    """

    def __init__(self, *, websocket: str = "") -> None:
        port, self.token = _free_port(), secrets.token_hex(8)
        self.address = f"http://127.0.0.1:{port}"
        self._home = Path(tempfile.mkdtemp(prefix="rxlearn-benchmark-"))
        user_id = os.getuid() if hasattr(os, "getuid") else None
        command = lab_command(Checkout(ROOT), [
            "--no-browser", f"--ServerApp.port={port}", "--ServerApp.port_retries=0",
            f"--IdentityProvider.token={self.token}",
        ], user_id=user_id)
        places = ("RXLEARN_HOME", "JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR",
                  "JUPYTERLAB_WORKSPACES_DIR", "JUPYTERLAB_SETTINGS_DIR", "IPYTHONDIR")
        environment = dict(os.environ) | {name: str(self._home / name) for name in places}
        environment |= {"RXLEARN_WEBSOCKET": websocket, "PYTHONPATH": str(ROOT),
                        "JUPYTER_PREFER_ENV_PATH": "1"}
        self._log = open(self._home / "log", "w", encoding="utf-8")
        self._process = subprocess.Popen([sys.executable, *command[1:]], cwd=ROOT, env=environment,
                                         stdout=self._log, stderr=subprocess.STDOUT)
        self._await_answer()

    def _await_answer(self) -> None:
        for _ in range(300):
            if self._process.poll() is not None:
                break
            try:
                urllib.request.urlopen(f"{self.address}/api?token={self.token}")
                return
            except OSError:
                time.sleep(0.2)
        log = (self._home / "log").read_text(encoding="utf-8")
        self.close()
        raise RuntimeError(f"JupyterLab did not start:\n{log[-3000:]}")

    @property
    def log(self) -> str:
        """What the server has said so far."""
        return (self._home / "log").read_text(encoding="utf-8")

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
        self._process.terminate()
        try:
            self._process.wait(20)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        self._log.close()
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


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]

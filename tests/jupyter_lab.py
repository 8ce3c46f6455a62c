"""JupyterLab as the shipped command starts it, for browser tests and benchmarks alike."""

from __future__ import annotations

import os
import secrets
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

from rxlearn.installing import Checkout
from rxlearn.workshop import lab_command

ROOT = Path(__file__).resolve().parents[1]
BROWSER_OPTIONS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)
"""What headless Chromium is started with."""

_OWN = ("RXLEARN_HOME", "JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR",
        "JUPYTERLAB_WORKSPACES_DIR", "JUPYTERLAB_SETTINGS_DIR", "IPYTHONDIR")


class JupyterLab:
    """A server over the folder ``root``, with home, settings and trust of its own in ``home``.

    The command is that of ``python3 -m rxlearn open``; only the Python is the
    one that runs this, so that no second environment is needed.  ``websocket``
    is the value of ``RXLEARN_WEBSOCKET``: empty as shipped, or ``plain``.
    """

    def __init__(self, root: Path, home: Path, *, websocket: str = "") -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.token = secrets.token_hex(8)
        self.address = f"http://127.0.0.1:{self.port}"
        user_id = os.getuid() if hasattr(os, "getuid") else None
        command = lab_command(Checkout(root), [
            "--no-browser", f"--ServerApp.port={self.port}", "--ServerApp.port_retries=0",
            f"--IdentityProvider.token={self.token}",
        ], user_id=user_id)
        self.environment = dict(os.environ) | {name: str(home / name) for name in _OWN} | {
            "RXLEARN_WEBSOCKET": websocket, "PYTHONPATH": str(ROOT), "JUPYTER_PREFER_ENV_PATH": "1",
        }
        home.mkdir(parents=True, exist_ok=True)
        self._log_path = home / "log"
        self._log = self._log_path.open("w", encoding="utf-8")
        self._process = subprocess.Popen([sys.executable, *command[1:]], cwd=root,
                                         env=self.environment, stdout=self._log,
                                         stderr=subprocess.STDOUT)
        self._await_answer()

    def _await_answer(self) -> None:
        for _ in range(300):
            if self._process.poll() is not None:
                break
            try:
                urllib.request.urlopen(f"{self.address}/api?token={self.token}", timeout=20)
                return
            except OSError:
                time.sleep(0.2)
        log = self.log
        self.close()
        raise RuntimeError(f"JupyterLab did not start:\n{log[-3000:]}")

    @property
    def process_id(self) -> int:
        """The server's process."""
        return self._process.pid

    @property
    def log(self) -> str:
        """What the server has said so far."""
        return self._log_path.read_text(encoding="utf-8")

    def close(self) -> None:
        """Stop the server and its kernels."""
        self._process.terminate()
        try:
            self._process.wait(20)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        self._log.close()

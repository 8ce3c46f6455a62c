"""A circuit simulator to hold what leaves the house against."""

import os
import re
import subprocess

import pytest

from tests.compute.supply_circuits import ngspice_or_reason


@pytest.fixture
def run(tmp_path):
    """Run a deck in ngspice; its measured names and numbers."""
    program = ngspice_or_reason()

    def run(deck):
        path = tmp_path / "deck.cir"
        path.write_text(deck, encoding="utf-8")
        done = subprocess.run([program, "-b", str(path)], capture_output=True, text=True,
                              timeout=60, env={**os.environ, "HOME": str(tmp_path)})
        assert done.returncode == 0, done.stdout + done.stderr
        assert "rror" not in done.stdout + done.stderr, done.stdout + done.stderr
        return {name: float(value) for name, value in
                re.findall(r"^(\w+)\s*=\s*([-+0-9.eE]+)", done.stdout, re.MULTILINE)}

    return run

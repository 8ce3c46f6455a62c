"""What every benchmark ends with: its table printed, its numbers in a file."""

from __future__ import annotations

import json
from pathlib import Path

RESULTS = Path(__file__).with_name("results")


def put_down(name: str, table: str, measured: dict) -> None:
    """Print ``table`` and write ``measured`` to ``results/<name>.json``, named at the end."""
    print(table)
    RESULTS.mkdir(exist_ok=True)
    target = RESULTS / f"{name}.json"
    target.write_text(json.dumps(measured, indent=1) + "\n", encoding="utf-8")
    print(f"\nThe numbers: {target}")

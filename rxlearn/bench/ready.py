"""The first cell of a lesson: is everything here, and whose plan is in use?"""

from __future__ import annotations

import sys
from importlib.metadata import PackageNotFoundError, version

from rxlearn.bench.desk import the_desk
from rxlearn.bench.panel import Panel

NEEDED = ("anywidget", "ipywidgets", "matplotlib", "numpy", "scipy")
"""Packages without which no lesson runs."""


def ready() -> Panel:
    """Say that the lesson is awake and whose plan it uses, or what is missing and how to mend it."""
    desk = the_desk()
    return desk.place("ready", lambda: _panel(desk))


def missing() -> list[str]:
    """Names of the :data:`NEEDED` packages that this Python does not have."""
    absent = []
    for name in NEEDED:
        try:
            version(name)
        except PackageNotFoundError:
            absent.append(name)
    return absent


def _panel(desk) -> Panel:
    panel = Panel("This lesson", lambda event, key, value: None)
    absent = missing()
    if absent:
        words = (
            f"{', '.join(absent)} is missing from {sys.executable}. Close this window and start "
            "the workbook with: python3 -m rxlearn open"
        )
        panel.parts = [{"kind": "verdict", "text": words, "tone": "bad"}]
        panel.plain_text = words
        return panel
    plan = desk.plan()
    words = f"The plan in use: {plan.shown('receiver.name')}."
    panel.plain_text = words
    panel.parts = [
        {"kind": "text", "text": f"This lesson is awake. {words}"},
        {"kind": "text", "tone": "quiet", "text":
            "Drag a slider, or click it and use the arrow keys (Shift for big steps). "
            "Type an exact value with its unit. Tab leaves a control."},
    ] + ([{"kind": "verdict", "text": desk.notice, "tone": "ask"}] if desk.notice else [])
    return panel

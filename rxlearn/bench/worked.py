"""A worked example in the page, recomputed from the plan as it is now."""

from __future__ import annotations

from rxlearn.bench.desk import the_desk
from rxlearn.bench.panel import Panel
from rxlearn.exercises.worked_examples import worked_steps

GATED = frozenset({"power_supply"})
"""Lessons whose example names voltages that are covered until the safety list is ticked."""


def worked_example(lesson: str) -> Panel:
    """Work ``lesson``'s example with the numbers of the plan in use, step by step."""
    desk = the_desk()
    return desk.place(f"worked {lesson}", lambda: _panel(lesson, desk))


def _panel(lesson: str, desk) -> Panel:
    steps = list(worked_steps(lesson, desk.plan()))
    panel = Panel("Worked example", lambda event, key, value: None,
                  gate=desk.gate if lesson in GATED else None)
    panel.plain_text = "\n".join(steps)
    panel.parts = [
        {"kind": "heading", "text": "Worked with your plan"},
        {"kind": "steps", "items": steps},
        {"kind": "text", "tone": "quiet",
         "text": "Change your plan, run this cell again, and the steps follow."},
    ]
    return panel

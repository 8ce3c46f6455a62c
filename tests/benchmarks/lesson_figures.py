"""Which figure of the lessons costs the kernel most per step?  Measured, not listed.

Every function that ``rxlearn.bench`` exports and that says it returns a
``LiveBench`` is opened without a page; each of its knobs is turned as the
figure opens, and again under each other option of one choice at a time.
"""

from __future__ import annotations

import inspect
import statistics
import time
import typing
from dataclasses import dataclass

from rxlearn import bench
from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.live import LiveBench
from rxlearn.data.cautions import SAFETY_LIST


UNLOCK = """\
from rxlearn.bench.desk import the_desk
from rxlearn.data.cautions import SAFETY_LIST
for statement in SAFETY_LIST: the_desk().tick(statement.key)
"""
"""Ticks the safety list, so that the gated figures are measured too; run in the lab."""


@dataclass(frozen=True)
class Cost:
    """Median kernel time of one step of ``knob`` in ``figure`` under ``choices``."""

    figure: str
    knob: str
    choices: dict[str, str]
    kernel_ms: float


def live_figures() -> list[str]:
    """Names in ``rxlearn.bench`` that open a live figure without being told anything."""
    return [
        name for name in bench.__all__
        if typing.get_type_hints(function := getattr(bench, name)).get("return") is LiveBench
        and all(p.default is not p.empty for p in inspect.signature(function).parameters.values())
    ]


def costs(*, steps: int = 25) -> list[Cost]:
    """The dearest knob and choices of each figure, dearest figure first."""
    dearest = [max(_costs_of(name, steps), key=lambda cost: cost.kernel_ms)
               for name in live_figures()]
    return sorted(dearest, key=lambda cost: -cost.kernel_ms)


def _costs_of(name: str, steps: int) -> list[Cost]:
    figure = getattr(bench, name)()
    for statement in SAFETY_LIST:
        figure.desk.tick(statement.key)
    figure.press("skip")
    choices = [c for c in figure.controls.values() if isinstance(c, Choice)]
    knobs = [c for c in figure.controls.values() if isinstance(c, Knob)]
    found = []
    opening = {choice.key: choice.start for choice in choices}
    others = [opening | {choice.key: option} for choice in choices for option in choice.options
              if option != choice.start]
    for setting in (opening, *others):
        figure.turn(**{k.key: k.start for k in knobs}, **setting)
        for knob in knobs:
            found.append(Cost(name, knob.key, setting, _step_ms(figure, knob, steps)))
            figure.turn(**{knob.key: knob.start})
    figure.close()
    return found


def _step_ms(figure: LiveBench, knob: Knob, steps: int) -> float:
    stride = max(1, knob.stops // steps)
    taken = []
    for position in range(0, knob.stops, stride):
        value = knob.value_at(position)
        began = time.perf_counter()
        figure.turn(**{knob.key: value})
        taken.append(1e3 * (time.perf_counter() - began))
    return statistics.median(taken)

"""Walk over every live figure and every lesson there is, whoever added it.

Used by the tests of figures, bench, lessons and browser.
"""

from __future__ import annotations

import inspect
import random
import typing
from pathlib import Path

import numpy as np

from rxlearn import bench
from rxlearn.bench.controls import Knob
from rxlearn.bench.live import LiveBench

ROOT = Path(__file__).resolve().parents[1]
LESSONS = sorted((ROOT / "lessons").glob("*.ipynb"))


def _is_live(name: str) -> bool:
    function = getattr(bench, name)
    needed = [p for p in inspect.signature(function).parameters.values() if p.default is p.empty]
    return typing.get_type_hints(function).get("return") is LiveBench and not needed


LIVE_FIGURES = [name for name in bench.__all__ if _is_live(name)]
"""Names in ``rxlearn.bench`` that open a live figure without being told anything."""


def open_figure(name: str) -> LiveBench:
    """Open the live figure ``name``, its controls awake."""
    figure = getattr(bench, name)()
    figure.press("skip")
    return figure


def settings_of(figure: LiveBench, *, drawn: int = 3, seed: int = 1) -> list[dict]:
    """Settings worth a look: both ends of each knob, each choice, and some drawn at random."""
    start = {key: control.start for key, control in figure.controls.items()}
    chance = random.Random(seed)
    found = [start]
    for key, control in figure.controls.items():
        for value in (control.low, control.high) if isinstance(control, Knob) else control.options:
            found.append({**start, key: value})
    for _ in range(drawn):
        found.append({
            key: control.value_at(chance.randint(0, control.stops)) if isinstance(control, Knob)
            else chance.choice(list(control.options))
            for key, control in figure.controls.items()
        })
    return found


def decode(nodes: list[dict], frame: bytes) -> dict[str, dict]:
    """A frame by node id: ``visible``; ``points`` (n by 2) of a line, or ``anchor`` and ``xy``.

    Written from the layout that ``LiveFigure.frame`` documents.
    """
    state = np.frombuffer(frame, "<f4").tolist()
    found = {}
    for node in nodes:
        shown = {"visible": bool(state.pop(0))}
        if node["kind"] == "text":
            shown["anchor"] = ("start", "middle", "end")[int(state.pop(0))]
            shown["xy"] = (state.pop(0), state.pop(0))
        else:
            count = int(state.pop(0))
            shown["points"] = np.array(state[: 2 * count]).reshape(count, 2)
            del state[: 2 * count]
        found[node["id"]] = shown
    assert not state, f"{len(state)} numbers of the frame belong to no node"
    return found

"""A small figure whose every answer can be worked out by hand, and what reads a panel."""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.bench.controls import Choice, Knob
from rxlearn.compute.quantities import Unclear
from rxlearn.figures.scene import LiveFigure


@dataclass(frozen=True)
class Product:
    """What the toy computes."""

    length: float
    kind: str
    value: float


class ToyFigure(LiveFigure):
    """One line and one label, at the product."""

    name = "toy"
    size = (400, 200)
    fails_after_moving = False

    def build(self, figure):
        axes = figure.add_axes((0.1, 0.1, 0.8, 0.8))
        axes.set(xlim=(0, 100), ylim=(0, 1))
        self._line = self.marker(axes, "line", "signal")
        self._words = self.label(axes, "words")

    def update(self, result):
        self._line.set_xdata([result.value * 1e3] * 2)
        if self.fails_after_moving and result.length > 0.02:
            raise RuntimeError("half way")
        self._words.set_text(f"{result.value * 1e3:.1f} mm")
        self._words.set_position((result.value * 1e3, 0.5))

    def describe(self, result):
        return f"{result.kind} length {result.value * 1e3:.1f} mm."

    def explain(self, result):
        return f"It is {result.length * 1e3:.1f} mm, {result.kind}."


def toy_controls():
    """A knob of 1 mm to 50 mm by 0.5 mm, and a choice."""
    return [
        Knob(key="length", label="Length", unit="m", low=1e-3, high=50e-3, start=10e-3,
             fine=0.5e-3, coarse=5e-3, prefix="m", decimals=1),
        Knob(key="turns", label="Turns", unit="", low=1, high=9, start=3, fine=1, coarse=2),
        Choice(key="kind", label="Kind", options={"once": "once", "twice": "two times"},
               start="once"),
    ]


def toy_compute(length, turns, kind):
    """Multiply; 13 mm is refused in words, 17 mm is a fault of ours."""
    if length == 13e-3:
        raise Unclear("13 mm is unlucky: choose another length.")
    if length == 17e-3:
        raise ZeroDivisionError("a fault of ours")
    return Product(length, kind, length * (2 if kind == "twice" else 1))


class Shell:
    """As much of a kernel's shell as the desk looks at: which cell is running."""

    def __init__(self) -> None:
        self.kernel, self.cell = self, "cell-1"

    def get_parent(self, channel):
        return {"metadata": {"cellId": self.cell}}


def parts_of(panel, kind):
    """The parts of ``kind`` that the panel shows."""
    return [part for part in panel.parts if part["kind"] == kind]


def words_of(panel):
    """Everything that the panel says in text and verdicts."""
    return " ".join(part["text"] for part in panel.parts if part["kind"] in ("text", "verdict"))

"""The dial scale as it will be printed, with a pointer over it."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.printed_dial import MAJOR, MINOR, PaperPlace, place_of
from rxlearn.compute.quantities import show
from rxlearn.figures.scene import LiveFigure

WIDE, HIGH = 112.0, 106.0
"""What the picture shows, mm: to either side and above the shaft."""

NUMBERS = 12
AWAY = 10.5


class PaperDialFigure(LiveFigure):
    """Arc, marks and numbers grow with the radius; the pointer turns with the shaft."""

    name = "paper-dial"
    size = (820, 430)

    def __init__(self, degrees: float, note: str = "") -> None:
        # A dial of more than half a turn reaches below the shaft.
        self._low = -12.0 if degrees <= 185 else -HIGH
        self._note = note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """One square-scaled space in millimetres round the shaft."""
        axes = figure.add_axes((0.0, 0.0, 1.0, 0.9))
        axes.set(xlim=(-WIDE, WIDE), ylim=(self._low, HIGH), aspect="equal")
        axes.axis("off")
        axes.plot([0], [0], marker="+", markersize=14, color="0.4")
        self._arc = self.line(axes, "arc", "ink", linewidth=1.2, linestyle="-")
        self._band = self.line(axes, "band", "signal", linewidth=4, linestyle="-")
        self._minor = self.line(axes, "minor", "ink", linewidth=0.9, linestyle="-")
        self._major = self.line(axes, "major", "ink", linewidth=1.6, linestyle="-")
        self._pointer = self.line(axes, "pointer", "oscillator", linewidth=2.2, linestyle="-")
        self._numbers = [self.label(axes, f"number-{n}", "ink", fontsize=9, ha="center")
                         for n in range(NUMBERS)]
        self._head = self.label(axes, "head", "oscillator", fontsize=12,
                                transform=figure.transFigure)

    def update(self, result: PaperPlace) -> None:
        """Lay arc, marks, numbers and pointer out on the radius."""
        scale, radius = result.scale, 1000 * result.radius
        degrees = scale.coverage.network.variable.degrees

        def at(angle: float, away: float) -> tuple[float, float]:
            return place_of(angle, degrees, away, result.sense)

        whole = np.array([at(a, radius) for a in np.linspace(0, degrees, 91)])
        self._arc.set_data(whole[:, 0], whole[:, 1])
        first, last = scale.wanted_angles
        inside = np.array([at(a, radius - 2) for a in np.linspace(first, last, 61)])
        self._band.set_data(inside[:, 0], inside[:, 1])
        self._marks(self._minor, scale.minor_angles, radius, MINOR, at)
        self._marks(self._major, scale.major_angles, radius, MAJOR, at)
        for n, label in enumerate(self._numbers):
            shown = n < len(scale.major)
            label.set_visible(shown)
            if shown:
                x, y = at(float(scale.major_angles[n]), radius + AWAY)
                label.set_text(f"{scale.major[n] / 1e6:.6g}")
                label.set_position((x, y - 1.5))
        x, y = at(result.angle, radius + MAJOR)
        self._pointer.set_data([0, x], [0, y])
        self._head.set_text(f"{show(result.signal, 'Hz', digits=7)}: "
                            f"{show(result.per, 'Hz')} are {_mm(result.apart)} of the arc")
        self._head.set_position((0.03, 0.93))

    @staticmethod
    def _marks(line, angles, radius: float, length: float, at) -> None:
        points = []
        for angle in angles:
            if math.isfinite(angle):
                points += [at(angle, radius), at(angle, radius + length), (np.nan, np.nan)]
        line.set_data(np.array(points).reshape(-1, 2).T if points else ([], []))

    def describe(self, result: PaperPlace) -> str:
        """Pointer's frequency and how closely the marks stand there."""
        words = (f"At {show(round(result.angle, 1), '°', digits=4)} of the shaft the pointer stands "
                 f"on {show(result.signal, 'Hz', digits=7)}. On a radius of {_mm(result.radius)}, "
                 f"{show(result.per, 'Hz')} are {_mm(result.apart)} of the arc there.")
        return f"{words} {self._note}".strip()

    def explain(self, result: PaperPlace) -> str:
        """Twice the radius, twice the distance; what a pencil line hides."""
        hidden = 0.3e-3 / result.apart * result.per
        return (
            f"A degree of the shaft is {_mm(math.pi * result.radius / 180)} on this radius, and "
            "that grows with the radius alone. A pencil line of 0.3 mm hides "
            f"{show(hidden, 'Hz', digits=2)} here. A larger scale shows more, but a pointer shows "
            "no better than its drive turns."
        )


def _mm(length: float) -> str:
    return show(length, "m", prefix="m", digits=3)

"""How far the oscillators of many receivers wander as they warm up."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from rxlearn.compute.adding_tolerances import tally
from rxlearn.compute.quantities import show
from rxlearn.compute.receiver_parts import COIL, FIXED
from rxlearn.compute.tolerances import Tolerances
from rxlearn.figures import style
from rxlearn.figures.adding_tolerances import hill_outline
from rxlearn.figures.scene import LiveFigure
from rxlearn.figures.tolerances import of_hundred

BINS = 80


class WarmedReceiversFigure(LiveFigure):
    """A hill of drifts, with zero and the span of 99 of 100 marked.

    ``farthest`` (Hz) is either end of the picture, ``wide`` the wider band's name.  ``note``
    opens every description.
    """

    name = "warmed-receivers"
    size = (900, 300)

    def __init__(self, farthest: float, wide: str, note: str = "") -> None:
        self._farthest, self._wide, self._note = farthest / 1e3, wide, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """As far one way as the other."""
        axes = figure.add_axes((0.03, 0.17, 0.94, 0.58))
        axes.set(xlim=(-self._farthest, self._farthest), ylim=(0, 1.12), yticks=[],
                 xlabel="oscillator moved by (kHz)", title="Each receiver, warmed up")
        axes.title.set_fontsize(style.SIZE)
        axes.spines["left"].set_visible(False)
        axes.axvline(0, color=style.LIGHT["ink"], linewidth=1.2)
        self._hill = self.moving("hill", axes.add_patch(Polygon(
            hill_outline(np.ones(BINS), 0, 1), closed=True, facecolor=style.LIGHT["oscillator"],
            alpha=0.35, edgecolor=style.LIGHT["oscillator"])))
        self._span = self.line(axes, "span", "signal", linewidth=2.4)
        self._middle = self.line(axes, "middle", "oscillator", linewidth=1.8)
        top = figure.add_axes((0.03, 0.845, 0.94, 0.14))
        top.set(xlim=(0, 1), ylim=(0, 1))
        top.set_axis_off()
        self._words = [self.label(top, f"words-{i}", role, fontsize=11)
                       for i, role in enumerate(("oscillator", "signal"))]
        self._words[0].set_position((0, 0.3))
        self._words[1].set_position((0.42, 0.3))

    def update(self, result: Tolerances) -> None:
        """Move the hill, its middle and the span of 99 of 100."""
        moved = moved_khz(result)
        found = tally(moved, -self._farthest, self._farthest, bins=BINS)
        self._hill.set_xy(hill_outline(
            found.shares / max(found.shares.max(), 1e-9), -self._farthest, self._farthest))
        low, middle, high = np.quantile(moved, (0.005, 0.5, 0.995))
        a, m, b = (end if abs(end) <= self._farthest else math.nan for end in (low, middle, high))
        self._span.set_data([a, a, math.nan, b, b], [0, 1.0, math.nan, 0, 1.0])
        self._span.set_visible(not (math.isnan(a) and math.isnan(b)))
        self._middle.set_data([m, m], [0, 1.08])
        self._middle.set_visible(not math.isnan(m))
        self._words[0].set_text(f"– – the middle one moves by {_khz(middle)}")
        self._words[1].set_text(f"—— 99 of 100 move by {_khz(low)} to {_khz(high)}")

    def describe(self, result: Tolerances) -> str:
        """How far they move, and how many keep the band."""
        low, middle, high = np.quantile(moved_khz(result), (0.005, 0.5, 0.995))
        words = (
            f"Warmer by {result.warming_high:.0f} °C, 99 of 100 oscillators (seed {result.seed}) move "
            f"by {_khz(low)} to {_khz(high)}, the middle one by {_khz(middle)}. "
            f"{of_hundred(result.covers)} had all of {self._wide} cold, "
            f"{of_hundred(result.covers_warm)} keep it."
        )
        return f"{self._note} {words}".strip()

    def explain(self, result: Tolerances) -> str:
        """Tolerance against coefficient, with the present numbers."""
        coil, fixed = result.build.part(COIL), result.build.part(FIXED)
        low, middle, high = np.quantile(moved_khz(result), (0.005, 0.5, 0.995))
        spread = max(high - middle, middle - low)
        return (
            f"The trimmer was set cold, so the tolerances are gone. What is left are coefficients: "
            f"the coil's {_ppm(coil.coefficient)} ± {_ppm(coil.coefficient_spread)}, the fixed "
            f"capacitor's {_ppm(fixed.coefficient)} ± {_ppm(fixed.coefficient_spread)} ppm/°C. A "
            f"compensating capacitor moves the middle; the ± {_khz(spread)} about it stay, and only "
            "measuring your own receiver removes them."
        )


def moved_khz(result: Tolerances) -> np.ndarray:
    """How far each receiver's oscillator moves when it warms as far as any does, kHz."""
    return result.drift * result.warming_high / 1e3


def _khz(value: float) -> str:
    return show(1e3 * value, "Hz", prefix="k", decimals=2)


def _ppm(coefficient: float) -> str:
    return f"{1e6 * coefficient:.0f}"

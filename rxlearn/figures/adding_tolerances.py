"""Sums of capacitors that are each a little off: how they scatter, and how far they could."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from rxlearn.compute.adding_tolerances import MOST_PARTS, Tally, ToleranceSum, tally
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

BINS = 66
TALLEST = 2.6
"""Top of the picture, as a density times the tolerance: twelve alike reach 2.4."""


class AddingTolerancesFigure(LiveFigure):
    """A hill of sums between the worst that could be, with the shares as a strip below.

    ``tolerance`` is that of one capacitor, a fraction.
    """

    name = "adding-tolerances"
    size = (900, 320)

    def __init__(self, tolerance: float) -> None:
        self._tolerance = 100 * tolerance
        super().__init__()

    def build(self, figure: Figure) -> None:
        """The axis reaches a tenth beyond the worst case."""
        edge = 1.1 * self._tolerance
        axes = figure.add_axes((0.03, 0.29, 0.94, 0.5))
        axes.set(xlim=(-edge, edge), ylim=(0, TALLEST), yticks=[],
                 xlabel="the sum is off by (%)", title="Many sums, each of newly drawn capacitors")
        axes.title.set_fontsize(style.SIZE)
        axes.spines["left"].set_visible(False)
        self._hill = self.moving("hill", axes.add_patch(Polygon(
            hill_outline(np.ones(BINS), -1, 1), closed=True, facecolor=style.LIGHT["signal"],
            alpha=0.3, edgecolor=style.LIGHT["signal"])))
        self._lines = {
            "worst": self.line(axes, "worst", "warning", linewidth=2.4),
            "root": self.line(axes, "root", "oscillator", linewidth=1.8),
            "likely": self.line(axes, "likely", "signal", linewidth=2.4),
        }
        top = figure.add_axes((0.03, 0.865, 0.94, 0.12))
        top.set(xlim=(0, 1), ylim=(0, 1))
        top.set_axis_off()
        self._words = {}
        for place, (name, role) in enumerate(
                (("worst", "warning"), ("root", "oscillator"), ("likely", "signal"))):
            self._words[name] = self.label(top, f"words-{name}", role, fontsize=11)
            self._words[name].set_position((place * 0.345, 0.3))
        strip = figure.add_axes((0.2, 0.03, 0.77, 0.075))
        strip.set(xlim=(0, 1), ylim=(0, 1))
        strip.set_axis_off()
        strip.text(-0.015, 0.3, "shares of the total", ha="right", fontsize=11)
        strip.add_patch(Polygon([(0, 0), (1, 0), (1, 1), (0, 1)], closed=True,
                                facecolor=style.LIGHT["shade"], edgecolor=style.LIGHT["quiet"]))
        self._cuts = self.line(strip, "cuts", "ink", linewidth=1.6)

    def update(self, result: ToleranceSum) -> None:
        """Move the hill, the three pairs of lines and the cuts of the strip."""
        found = self._tally(result)
        density = found.shares * BINS * self._tolerance / (found.high - found.low)
        self._hill.set_xy(hill_outline(np.minimum(density, TALLEST), found.low, found.high))
        for name, reach in (("worst", result.worst), ("root", result.root_sum_square),
                            ("likely", result.likely)):
            height = {"worst": 0.62, "root": 0.8, "likely": 1.0}[name] * TALLEST
            at = 100 * reach
            self._lines[name].set_data([-at, -at, math.nan, at, at], [0, height, math.nan, 0, height])
        cuts = np.cumsum(result.shares)[:-1]
        cuts = np.concatenate([cuts, np.full(MOST_PARTS - 1 - len(cuts), math.nan)])
        x = np.repeat(cuts, 3)
        self._cuts.set_data(x, np.tile([0.0, 1.0, math.nan], MOST_PARTS - 1))
        self._cuts.set_visible(result.count > 1)
        self._words["worst"].set_text(f"··· at worst ± {_percent(result.worst)}")
        self._words["root"].set_text(f"– – root of squares ± {_percent(result.root_sum_square)}")
        self._words["likely"].set_text(f"—— 99 of 100 within ± {_percent(result.likely)}")

    def _tally(self, result: ToleranceSum) -> Tally:
        edge = 1.1 * self._tolerance
        return tally(100 * result.off, -edge, edge, bins=BINS)

    def describe(self, result: ToleranceSum) -> str:
        """How far sums lie off, and how far they could."""
        many = ("One capacitor" if result.count == 1 else
                f"{result.count} capacitors {'from one reel' if result.one_reel else 'bought apart'}")
        return (f"{many}, each ± {_percent(result.tolerance)}: 99 of 100 sums lie within "
                f"± {_percent(result.likely)}, where ± {_percent(result.worst)} is possible.")

    def explain(self, result: ToleranceSum) -> str:
        """Why the worst case overstates here, or why it does not."""
        largest = result.shares[0]
        if result.one_reel and result.count > 1:
            return ("From one reel all are off by the same and the same way. Nothing cancels: "
                    "their errors add as they are, and the worst case is what you get.")
        if result.count == 1:
            return ("With one part there is nothing to cancel: it may lie anywhere within its "
                    "tolerance, its ends as likely as its middle.")
        squares = f"√(Σ share²) × {_percent(result.tolerance)} = {_percent(result.root_sum_square)}"
        words = (f"Some are too large and some too small. The root of the squares, {squares}, "
                 f"holds {100 * result.within:.0f} of 100 sums. ")
        if largest > 0.5:
            return words + (f"One capacitor makes {100 * largest:.0f} % of the total, so the others "
                            "can do little: look how near the worst case is.")
        return words + ("For the worst case all must be at the same end at once, and that hardly "
                        "ever happens.")


def hill_outline(heights: np.ndarray, low: float, high: float) -> np.ndarray:
    """Corners of a row of touching bars from ``low`` to ``high``, from the ground up and back."""
    edges = np.linspace(low, high, len(heights) + 1)
    x = np.repeat(edges, 2)
    y = np.concatenate([[0.0], np.repeat(heights, 2), [0.0]])
    return np.stack([x, y], axis=1)


def _percent(fraction: float) -> str:
    return show(100 * fraction, "%", decimals=1)

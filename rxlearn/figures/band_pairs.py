"""Every pair of amateur bands: is there a crystal, and how much stands against it?"""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.frequency_choice import Band
from rxlearn.compute.frequency_choice_views import Survey
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

MOST = 36.0
"""Points at which a cell's bar is full."""

LEAST = 0.06
"""Room on either side of a cell's bar, as a share of the cell."""


class BandPairsFigure(LiveFigure):
    """A table of pairs: crystal and points in each cell, and a bar as long as the points.

    ``bands`` are the region's, ``own`` the names of the plan's two bands; their cell is framed
    if both are among them.
    """

    name = "band-pairs"
    size = (900, 345)

    def __init__(self, bands: tuple[Band, ...], own: tuple[str, str]) -> None:
        self._bands = bands
        names = [band.name for band in bands]
        self._own = tuple(names.index(name) for name in own if name in names)
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Rows are lower bands, columns upper ones; words and bars of the cells move."""
        count = len(self._bands) - 1
        axes = figure.add_axes((0.075, 0.02, 0.915, 0.83))
        axes.set(xlim=(1, count + 1), ylim=(count, 0), xticks=[], yticks=[],
                 title="Upper band in the columns, lower band in the rows: "
                       "crystal (MHz) · points against it")
        axes.set_title(axes.get_title(loc="left"), pad=26, fontsize=style.SIZE, loc="left")
        axes.grid(False)
        for side in ("left", "bottom"):
            axes.spines[side].set_visible(False)
        for place, band in enumerate(self._bands):
            if place:
                axes.text(place + 0.5, -0.18, band.name, ha="center", fontsize=11)
            if place < count:
                axes.text(0.97, place + 0.62, band.name, ha="right", fontsize=11)
        self._words = {}
        for lower in range(count):
            for upper in range(lower + 1, count + 1):
                axes.plot([upper, upper + 1, upper + 1, upper, upper],
                          [lower, lower, lower + 1, lower + 1, lower],
                          color=style.LIGHT["grid"], linewidth=0.8)
                self._words[lower, upper] = self.label(
                    axes, f"cell-{lower}-{upper}", "ink", fontsize=10, ha="center")
        if len(self._own) == 2:
            lower, upper = sorted(self._own)
            axes.plot([upper + 0.02, upper + 0.98, upper + 0.98, upper + 0.02, upper + 0.02],
                      [lower + 0.03, lower + 0.03, lower + 0.97, lower + 0.97, lower + 0.03],
                      color=style.LIGHT["intermediate"], linewidth=2.4)
            axes.text(1.03, count - 0.3, "framed: your pair; Σ: by the sum", fontsize=10.5,
                      color=style.LIGHT["intermediate"])
        else:
            axes.text(1.03, count - 0.3, "Σ: by the sum", fontsize=10.5,
                      color=style.LIGHT["quiet"])
        self._bars = self.line(axes, "bars", "oscillator", linewidth=3.5, linestyle="-",
                               solid_capstyle="butt")

    def update(self, result: Survey) -> None:
        """Say crystal and points in each cell; a dash where no crystal serves."""
        points = result.choice.points()
        x, y = [], []
        for (lower, upper), row in result.best.items():
            words = self._words[lower, upper]
            words.set_position((upper + 0.5, lower + 0.58))
            words.set_text("–" if row is None else _cell_words(result, row, points[row]))
            if row is not None:
                start = upper + LEAST
                length = min(points[row] / MOST, 1.0) * (1 - 2 * LEAST)
                x += [start, start + length, np.nan]
                y += [lower + 0.82] * 3
        self._bars.set_data(x, y)
        self._bars.set_visible(bool(x))

    def describe(self, result: Survey) -> str:
        """How many pairs are served, and the pair with the least against it."""
        words = (f"For {result.served} of {len(result.best)} pairs of amateur bands in region "
                 f"{result.choice.at_hand.region} a crystal serves.")
        rows = [row for row in result.best.values() if row is not None]
        if not rows:
            return words
        points = result.choice.points()
        best = min(rows, key=lambda row: points[row])
        lower, upper = result.choice.pairs[result.choice.pair[best]]
        return (f"{words} The least stands against {lower.name} with {upper.name} on "
                f"{_crystal(result, best)}: {points[best]:.0f} points.")

    def explain(self, result: Survey) -> str:
        """What decides whether a pair is served at all, and what the points then say."""
        at_hand = result.choice.at_hand
        total = sum(result.works.values())
        return (
            f"Two bands need a crystal near half their distance or half their sum. "
            f"With {len(result.choice.crystals)} crystals, and a switched capacitor that moves the "
            f"oscillator by {show(100 * at_hand.reach, '%', digits=3)} at most, {total} schemes "
            "work. A larger reach lets more of them in, at the cost of a larger capacitor and a "
            "dial that shrinks; a sharper preselector lets none in, but takes points away."
        )


def _cell_words(result: Survey, row: int, points: float) -> str:
    summed = "Σ " if result.choice.summed[row] else ""
    return f"{summed}{_frequency(result, row) / 1e6:.6g} · {points:.0f}"


def _crystal(result: Survey, row: int) -> str:
    arrangement = "sum" if result.choice.summed[row] else "difference"
    return f"{show(_frequency(result, row), 'Hz', digits=8, prefix='M')} by {arrangement}"


def _frequency(result: Survey, row: int) -> float:
    return result.choice.crystals[result.choice.crystal[row]].frequency

"""Two schemes over the intermediate frequency: where they would whistle, and where they stand."""

from __future__ import annotations

from math import inf, log, nan
from collections.abc import Sequence

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.quantities import show
from rxlearn.compute.whistle_map import Schemes, Side
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure
from rxlearn.figures.spur_words import khz, listed, whistle_key, whistle_words

CLASSES = ((4, "warning", 15.0), (7, "oscillator", 9.0), (inf, "quiet", 4.0))
"""Highest order of a class, the role that colours it, and how thick it is drawn."""

SIDES = ("yours-lower", "yours-upper", "other-lower", "other-upper")
HEIGHTS = (3.3, 2.3, 1.0, 0.0)
THINNEST = 1.6
"""Pixels across which a stretch is drawn at least, so that it can be seen."""

LISTED = 8
"""Rows of the table."""


class CleanAndDirtyFigure(LiveFigure):
    """Four rows of stretches that whistle, with a line where each scheme stands.

    ``low`` and ``high`` are the ends of the axis (intermediate frequency, Hz).
    """

    name = "clean-and-dirty"
    size = (900, 320)
    caption = "Whistles in the four bands, the likely loudest first"
    columns = ("Band", "Whistle on", "Product", "Pitch moves, for each kHz tuned")

    def __init__(self, low: float, high: float) -> None:
        self._limits = low, high
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Fixed logarithmic axis; three paths to a row, and a marker for each scheme."""
        axes = figure.add_axes((0.03, 0.145, 0.95, 0.77))
        axes.set_xscale("log")
        axes.set(xlim=self._limits, ylim=(-0.45, 4.3), yticks=[],
                 xlabel="intermediate frequency (MHz)")
        axes.set_title("Intermediate frequencies that whistle; the gaps are clean",
                       fontsize=style.SIZE)
        axes.spines["left"].set_visible(False)
        ticks = [d * 10.0**p for p in range(4, 9) for d in (1, 1.5, 2, 3, 4, 5, 7)
                 if self._limits[0] <= d * 10.0**p <= self._limits[1]]
        axes.set_xticks(ticks, [f"{tick / 1e6:g}" for tick in ticks])
        axes.set_xticks([], minor=True)
        self._bars, self._words = {}, []
        for side, height in zip(SIDES, HEIGHTS):
            for i, (_, role, width) in enumerate(CLASSES):
                self._bars[side, i] = self.line(axes, f"{side}-{i}", role, linewidth=width,
                                                linestyle="-", solid_capstyle="butt")
            words = self.label(axes, f"{side}-words", "ink", fontsize=10.5)
            words.set_position((self._limits[0], height + 0.36))
            self._words.append(words)
        self._stands = [
            self.line(axes, f"stands-{name}", "ink", linewidth=1.6, linestyle="-")
            for name in ("yours", "other")
        ]
        # The least step of the axis that is as wide as a visible stretch.
        self._least = log(self._limits[1] / self._limits[0]) * THINNEST / axes.bbox.width

    def update(self, result: Schemes) -> None:
        """Lay the stretches, the words over them and where the schemes stand."""
        for i, (side, name) in enumerate(zip(result.sides, SIDES)):
            least = 0
            for j, (highest, _, _) in enumerate(CLASSES):
                chosen = (side.stretches.orders > least) & (side.stretches.orders <= highest)
                self._bars[name, j].set_data(*self._broken(side, chosen, HEIGHTS[i]))
                least = highest
            self._words[i].set_text(f"{self._title(side, i)}: {_count(side, result.order)}")
        for artist, place, heights in (
                (self._stands[0], result.sides[0], HEIGHTS[:2]),
                (self._stands[1], result.sides[2], HEIGHTS[2:])):
            frequency = place.plan.intermediate_frequency
            inside = self._limits[0] <= frequency <= self._limits[1]
            artist.set_visible(inside)
            artist.set_data([frequency] * 2, [heights[1] - 0.38, heights[0] + 0.3])

    def _broken(self, side: Side, chosen: np.ndarray, height: float):
        """The chosen stretches as one broken line, none thinner than can be seen."""
        low, high = side.stretches.low[chosen], side.stretches.high[chosen]
        middle = np.sqrt(low * high)
        low = np.minimum(low, middle * np.exp(-self._least / 2))
        high = np.maximum(high, middle * np.exp(self._least / 2))
        low, high = (np.clip(edge, *self._limits) for edge in (low, high))
        seen = high > low
        x = np.column_stack((low[seen], high[seen], np.full(seen.sum(), nan))).ravel()
        return x, np.where(np.isnan(x), nan, height)

    def _title(self, side: Side, row: int) -> str:
        plan = side.plan
        whose = "yours" if row < 2 else "beside it"
        return (f"{whose}, {_mhz(plan.band_low)} to {_mhz(plan.band_high)} MHz, {plan.injection} "
                f"side, IF {show(plan.intermediate_frequency, 'Hz', prefix='M', digits=7)}")

    def describe(self, result: Schemes) -> str:
        """How many whistles either scheme has, and the likely loudest of them."""
        words = " ".join(
            f"{name}, IF {show(sides[0].plan.intermediate_frequency, 'Hz', prefix='M', digits=7)}: "
            f"{_told(sides)}." for name, sides in (
                ("Yours", result.sides[:2]), ("Beside it", result.sides[2:])))
        return f"Products up to order {result.order}. {words}"

    def explain(self, result: Schemes) -> str:
        """Why wide bands are dirtier, and what the order has to do with it."""
        wide = max(result.sides, key=lambda side: side.plan.band_high / side.plan.band_low)
        stretches = wide.stretches
        inside = (stretches.high >= self._limits[0]) & (stretches.low <= self._limits[1])
        return (
            "A crossing sits at a fixed ratio of oscillator to intermediate frequency, a fraction "
            "of small whole numbers. So each spoils one stretch of intermediate frequencies, as "
            "wide, in percent, as the band, and a wide band leaves little between them. "
            f"{_mhz(wide.plan.band_low)} to {_mhz(wide.plan.band_high)} MHz has "
            f"{int(inside.sum())} spoilt stretches on this axis up to order {result.order}. The thick ones "
            "are of order four and less and the loudest; the thin ones, above seven, are often "
            "under the noise. Harmonics of the intermediate frequency that fall into the band are "
            "among them."
        )

    def rows(self, result: Schemes) -> list[list[str]]:
        """The whistles of all four bands."""
        rows = []
        for side in result.sides:
            span = f"{_mhz(side.plan.band_low)} to {_mhz(side.plan.band_high)} MHz"
            rows += [(whistle_key(w), [span, khz(w.signal), w.name, f"{w.pitch_slope} kHz"])
                     for w in side.whistles]
        rows.sort(key=lambda row: row[0])
        return [row for _, row in rows[:LISTED]] or [["none", "–", "–", "–"]]


def _count(side: Side, order: int) -> str:
    if not side.whistles:
        return f"no whistle up to order {order}"
    return "1 whistle" if len(side.whistles) == 1 else f"{len(side.whistles)} whistles"


def _told(sides: Sequence[Side]) -> str:
    """A scheme's whistles in a sentence."""
    found = sorted((w for side in sides for w in side.whistles), key=whistle_key)
    if not found:
        return "no whistle in either band"
    count = "1 whistle" if len(found) == 1 else f"{len(found)} whistles"
    return f"{count}, such as {listed([whistle_words(w) for w in found[:2]])}"


def _mhz(frequency: float) -> str:
    return f"{frequency / 1e6:.6g}"

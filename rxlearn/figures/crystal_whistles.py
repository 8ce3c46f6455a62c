"""Whistles of two oscillators in the third band, and where a crystal makes none."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.converter_choice import WhistleSetting
from rxlearn.compute.converter_plan import ConverterPlan, CrystalWhistle
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.flag import Flag
from rxlearn.figures.scene import LiveFigure

MOST = 24
"""Whistles drawn: the lowest orders of them."""

LISTED = 5
"""Whistles in the table."""


class CrystalWhistlesFigure(LiveFigure):
    """Above: whistles over the third band, taller where the order is lower.  Below: the map.

    ``main_name`` is the band on whose dial the third is read, ``main_low`` and ``main_high`` its
    edges (Hz), ``highest`` the highest order that is mapped.  ``note``, if there is one, opens
    every description.
    """

    name = "crystal-whistles"
    size = (900, 310)
    caption = "The lowest orders"
    columns = ("heard on", "main dial reads", "what meets", "order", "its pitch moves")

    def __init__(
        self, main_name: str, main_low: float, main_high: float, highest: int, note: str = ""
    ) -> None:
        self._main_name, self._edges = main_name, (main_low, main_high)
        self._highest, self._note = highest, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """The band is laid out from end to end, whichever it is; below stands the main dial."""
        axes = figure.add_axes((0.105, 0.625, 0.87, 0.285))
        axes.set(xlim=(0, 1), ylim=(0, 1.3), yticks=[], xticks=[])
        axes.set_title("Whistles in the third band: the taller, the lower the order",
                       fontsize=style.SIZE)
        axes.spines["left"].set_visible(False)
        self._ends = [self.label(axes, f"end-{i}", "ink", ha=ha, fontsize=10.5)
                      for i, ha in enumerate(("left", "right"))]
        for i, label in enumerate(self._ends):
            label.set_position((i, -0.22))
        self._which = self.label(axes, "which", "image", ha="right", fontsize=11,
                                 transform=axes.transAxes)
        self._which.set_position((1.0, 1.05))
        self._reached = self.line(axes, "reached", "signal", linewidth=5, solid_capstyle="butt")
        self._lines = self.line(axes, "lines", "warning", linewidth=2.4, linestyle="-")
        self._tops = self.line(axes, "tops", "warning", marker="o", linestyle="None", markersize=6)
        self._flag = Flag(self, axes, "flag", "warning")
        self._empty = self.label(axes, "empty", "quiet", ha="center")
        self._empty.set_position((0.5, 0.5))
        self._build_map(figure)

    def _build_map(self, figure: Figure) -> None:
        axes = figure.add_axes((0.105, 0.16, 0.87, 0.25))
        top = self._highest + 2
        axes.set(xlim=self._edges, ylim=(1.4, top + 0.8),
                 xlabel=f"the third band's middle is read here on the {_short(self._main_name)} "
                        "dial (MHz)")
        axes.set_title("Lowest order in the band, wherever the crystal stands on this side",
                       fontsize=style.SIZE)
        axes.xaxis.label.set_parse_math(False)
        axes.xaxis.set_major_formatter(lambda f, _: f"{f / 1e6:.8g}")
        axes.set_yticks([3, 5, 8, self._highest, top], ["3", "5", "8", str(self._highest), "none"])
        axes.tick_params(labelsize=10.5)
        self._map = self.line(axes, "map", "warning", linestyle="-", linewidth=1.6)
        self._limit = self.line(axes, "limit", "quiet", linewidth=1.0, linestyle=(0, (4, 3)))
        self._crystal = self.line(axes, "crystal", "image", linewidth=3.2, linestyle="-")

    def update(self, result: WhistleSetting) -> None:
        """Move the whistles, draw this side's map and point at the crystal."""
        plan, found = result.plan, self._lowest(result, MOST)
        self._lines.set_visible(bool(found))
        self._tops.set_visible(bool(found))
        if found:
            places = np.array([self._share(plan, whistle.frequency) for whistle in found])
            tall = np.array([self._height(whistle) for whistle in found])
            self._lines.set_data(np.repeat(places, 3), np.column_stack(
                [np.zeros(len(tall)), tall, np.full(len(tall), np.nan)]).ravel())
            self._tops.set_data(places, tall)
            self._flag.place(places[0], 1.14, _mhz(found[0].frequency))
        else:
            self._flag.hide()
        band = plan.converted
        self._reached.set_visible(plan.works)
        if plan.works:
            self._reached.set_data([self._share(plan, band.covered_low),
                                    self._share(plan, band.covered_high)], [0.02] * 2)
        self._empty.set_text("" if found else (
            f"none up to order {plan.order}" if plan.works else "nothing of the band is reached"))
        for label, edge in zip(self._ends, (band.band_low, band.band_high)):
            label.set_text(f"{edge / 1e6:.8g} MHz")
        self._which.set_text(f"crystal {show(band.crystal, 'Hz', prefix='M', digits=8)}")
        self._draw_map(result)

    def _share(self, plan: ConverterPlan, frequency: float) -> float:
        band = plan.converted
        return (frequency - band.band_low) / (band.band_high - band.band_low)

    def _draw_map(self, result: WhistleSetting) -> None:
        mapped, top = result.map, self._highest + 2
        lowest = np.where(np.isnan(mapped.lowest_order), top, mapped.lowest_order)
        self._map.set_data(mapped.distances, np.where(mapped.covered > 0, lowest, np.nan))
        self._limit.set_data(self._edges, [result.plan.order + 0.5] * 2)
        self._crystal.set_data([result.distance] * 2, [1.6, top + 0.6])

    def _height(self, whistle: CrystalWhistle) -> float:
        return 1.05 - 0.85 * (whistle.order - 1) / (self._highest - 1)

    def _lowest(self, result: WhistleSetting, most: int) -> list[CrystalWhistle]:
        return sorted(result.plan.whistles, key=lambda row: (row.order, row.frequency))[:most]

    def describe(self, result: WhistleSetting) -> str:
        """How many there are and which is the lowest."""
        plan = result.plan
        crystal = show(plan.converted.crystal, "Hz", digits=8)
        if not plan.works:
            words = f"With a crystal on {crystal}: {plan.reasons[0]}"
        elif not plan.whistles:
            words = (f"With a crystal on {crystal} no whistle up to order {plan.order} falls into "
                     f"the part of {result.band} that is reached.")
        else:
            lowest = self._lowest(result, 1)[0]
            number = len(plan.whistles)
            words = (f"With a crystal on {crystal} {number} whistle{'s' if number > 1 else ''} up "
                     f"to order {plan.order} fall{'' if number > 1 else 's'} into "
                     f"{result.band}. The lowest order, {lowest.order}, is heard on "
                     f"{_mhz(lowest.frequency)}: {lowest.name}.")
        return f"{self._note} {words}".strip()

    def explain(self, result: WhistleSetting) -> str:
        """How two harmonics meet, with the lowest one worked out."""
        opening = ("Two oscillators run at once, and each has harmonics. Where a sum or difference "
                   "of two of them lands on what the main receiver listens to, it whistles. ")
        if not result.plan.whistles:
            return opening + ("Here none does, up to this order. Screening, and a filter in each "
                              "supply lead, still decide what the higher ones do.")
        lowest = self._lowest(result, 1)[0]
        return (
            f"{opening}With the main oscillator on {_mhz(lowest.oscillator)}: "
            f"{self._sum(lowest, result.plan.converted.crystal)}, which is "
            f"{'the reading itself' if lowest.on_signal else 'the intermediate frequency'}. Tune "
            f"one kilohertz away and its pitch moves by {lowest.pitch_slope} kHz, so that is how "
            "you know it from a station. How loud it is, no arithmetic says: screening decides.")

    def _sum(self, whistle: CrystalWhistle, crystal: float) -> str:
        """The two harmonics as a sum worked out, in MHz."""
        q, p = whistle.oscillator_order, whistle.crystal_order
        landed = whistle.sign * (q * whistle.oscillator + p * crystal)
        terms = [(whistle.sign * q, whistle.oscillator), (whistle.sign * p, crystal)]
        parts = sorted((t for t in terms if t[0]), key=lambda t: -t[0])
        words = " ".join(
            f"{'' if i == 0 and n > 0 else '+ ' if n > 0 else '- '}{abs(n)} × {_mhz(f)}"
            for i, (n, f) in enumerate(parts))
        return f"{words} = {_mhz(landed)}"

    def rows(self, result: WhistleSetting) -> list[list[str]]:
        """The lowest orders, one to a row."""
        return [
            [_mhz(row.frequency), _mhz(row.reading), row.name, str(row.order),
             f"{row.pitch_slope} times as fast as you tune"]
            for row in self._lowest(result, LISTED)
        ] or [["none", "", "", "", ""]]


def _short(name: str, most: int = 12) -> str:
    return name if len(name) <= most else f"{name[:most - 1]}…"


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)

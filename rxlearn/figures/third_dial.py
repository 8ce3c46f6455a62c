"""The main dial with a second scale for the third band, and the crystals that would move it."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rxlearn.compute.converter_choice import CrystalShelf
from rxlearn.compute.converter_setting import ConverterSetting
from rxlearn.compute.quantities import show, show_span
from rxlearn.compute.tuning import BandPlan
from rxlearn.figures import style
from rxlearn.figures.flag import Flag, width_of
from rxlearn.figures.scene import LiveFigure

MARGIN = 0.14
"""How far the picture reaches beyond each end of the main dial, as a share of it."""

NUMBERS = 14
"""Numbers on the third band's scale: one more than the compute side asks for."""

POINTER = (0.13, 0.23, np.nan, 0.38, 0.61, np.nan, 0.74, 0.83)
"""Heights of the pointer's ends; it leaves both rows of numbers free."""

ROWS = {"below": 0.62, "above": 0.14}
"""Height of the two rows of crystals."""


class ThirdDialFigure(LiveFigure):
    """Above: both scales and the pointer.  Below: where the crystal stands, among those in stock.

    ``band`` is the third band's name, ``main_name`` and ``main`` the band whose dial it is,
    ``shelf`` the crystals in reach.  ``note``, if there is one, opens every description.
    """

    name = "third-dial"
    size = (900, 330)

    def __init__(
        self, band: str, main_name: str, main: BandPlan, shelf: CrystalShelf, note: str = ""
    ) -> None:
        self._band, self._main_name, self._main = band, main_name, main
        self._shelf, self._note = shelf, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """The main scale and the crystals stand; the third scale and two pointers move."""
        span = self._main.band_high - self._main.band_low
        dial = figure.add_axes((0.03, 0.44, 0.945, 0.49))
        dial.set(xlim=(self._main.band_low - MARGIN * span, self._main.band_high + MARGIN * span),
                 ylim=(0, 1), xticks=[], yticks=[])
        # A learner's name for a band is plain text: a dollar sign must not start a formula.
        dial.set_title(f"{_short(self._main_name)} dial above, {_short(self._band)} below (MHz)",
                       fontsize=style.SIZE, parse_math=False)
        dial.grid(False)
        dial.spines[:].set_visible(False)
        dial.plot([self._main.band_low, self._main.band_high], [0.5] * 2, linewidth=74,
                  color=style.LIGHT["shade"], solid_capstyle="butt", zorder=0)
        dial.plot([self._main.band_low, self._main.band_high], [0.5] * 2, linewidth=1.2,
                  color=style.LIGHT["ink"])
        self._fixed_scale(dial)
        self._bar = self.line(dial, "bar", "signal", linewidth=4, linestyle="-",
                              solid_capstyle="butt")
        self._ticks = self.line(dial, "ticks", "signal", linewidth=1.6, linestyle="-")
        self._numbers = [self.label(dial, f"number-{i}", "signal", fontsize=10, ha="center")
                         for i in range(NUMBERS)]
        self._pointer = self.line(dial, "pointer", "oscillator", linewidth=2, linestyle="-")
        self._which = self.label(dial, "which", "image", ha="right", fontsize=11,
                                 transform=dial.transAxes)
        self._which.set_position((1.0, 1.04))
        self._above = Flag(self, dial, "above", "ink")
        self._below = Flag(self, dial, "below", "signal")
        self._build_crystals(figure)

    def _fixed_scale(self, axes: Axes) -> None:
        """The main dial's ticks and numbers."""
        low, high = self._main.band_low, self._main.band_high
        for place in _round_places(low, high):
            axes.plot([place] * 2, [0.5, 0.6], color=style.LIGHT["ink"], linewidth=1.6)
            axes.text(place, 0.63, f"{place / 1e6:.6g}", ha="center", fontsize=10)

    def _build_crystals(self, figure: Figure) -> None:
        """A row for each side: crystals at hand at their distance, amateur bands in grey."""
        shelf = self._shelf
        axes = figure.add_axes((0.135, 0.1, 0.84, 0.22))
        axes.set(xlim=(shelf.nearest, shelf.farthest), ylim=(0, 1))
        axes.set_title("Crystal's distance from the middle of the band (MHz); ticks: at hand; "
                       "grey: inside an amateur band", fontsize=11)
        axes.xaxis.set_major_formatter(lambda f, _: f"{f / 1e6:g}")
        axes.tick_params(labelsize=10)
        axes.set_yticks([height + 0.12 for height in ROWS.values()],
                        ["below the band", "above the band"])
        axes.tick_params(axis="y", length=0)
        axes.grid(False)
        for side, height in ROWS.items():
            for low, high in shelf.occupied[side]:
                axes.plot([low, high], [height] * 2, linewidth=10, color=style.LIGHT["grid"],
                          solid_capstyle="butt")
            taken = -math.inf
            for distance, crystal in shelf.at_hand[side]:
                axes.plot([distance] * 2, [height - 0.1, height + 0.1], linewidth=2,
                          color=style.LIGHT["ink"])
                words = f"{crystal / 1e6:.8g}"
                half = width_of(words, 9.5, axes) / 2
                if distance - half > taken and half < distance - shelf.nearest and (
                        distance + half < shelf.farthest):
                    axes.text(distance, height + 0.17, words, ha="center", fontsize=9.5)
                    taken = distance + half
        self._crystal = self.line(axes, "crystal", "image", linewidth=3.4, linestyle="-")

    def update(self, result: ConverterSetting) -> None:
        """Slide the third scale, point at the reading, and stand the crystal on its row."""
        plan, axes = result.plan, self._pointer.axes
        left, right = axes.get_xlim()
        band = plan.converted
        landing = [min(right, max(left, edge)) for edge in (band.landing_low, band.landing_high)]
        self._bar.set_visible(landing[1] > landing[0])
        self._bar.set_data(landing, [0.485] * 2)
        places = np.array([mark.reading for mark in plan.marks])
        self._ticks.set_visible(len(places) > 0)
        if len(places):
            self._ticks.set_data(np.repeat(places, 3),
                                 np.tile([0.5, 0.4, np.nan], len(places)))
        self._place_numbers(plan.marks)
        self._pointer.set_data([result.reading] * len(POINTER), POINTER)
        self._above.place(result.reading, 0.86, f"{_mhz(result.reading)}")
        self._below.place(result.reading, 0.04, self._third_words(result))
        self._which.set_text(f"crystal {show(band.crystal, 'Hz', prefix='M', digits=8)}")
        side, distance = self._side_of(result)
        height = ROWS[side]
        self._crystal.set_data([distance] * 2, [height - 0.14, height + 0.14])

    def _side_of(self, result: ConverterSetting) -> tuple[str, float]:
        band = result.plan.converted
        middle = (band.band_low + band.band_high) / 2
        return ("above" if band.crystal > middle else "below"), abs(band.crystal - middle)

    def _place_numbers(self, marks) -> None:
        """Numbers under the ticks; one that would touch its neighbour is left out."""
        axes, labels, taken = self._pointer.axes, iter(self._numbers), -math.inf
        for mark in sorted(marks, key=lambda mark: mark.reading):
            words = f"{mark.frequency / 1e6:.7g}"
            half = 0.55 * width_of(words, 10, axes)
            if mark.reading - half < taken:
                continue
            taken = mark.reading + half
            next(labels).set(visible=True, text=words, position=(mark.reading, 0.27))
        for label in labels:
            label.set_visible(False)

    def _third_words(self, result: ConverterSetting) -> str:
        band = result.plan.converted
        heard = _mhz(result.signal)
        if band.band_low - 0.5 <= result.signal <= band.band_high + 0.5:
            return f"{self._short_band()} {heard}"
        return f"{heard}, outside {self._short_band()}"

    def _short_band(self) -> str:
        return _short(self._band)

    def describe(self, result: ConverterSetting) -> str:
        """Where the third band stands on the dial, and what the pointer reads."""
        plan, crystal = result.plan, show(result.plan.converted.crystal, "Hz", digits=8)
        if not plan.works:
            words = f"With a crystal on {crystal}: {plan.reasons[0]}"
        else:
            way = "running backwards" if plan.dial_reversed else "running upwards"
            part = "" if plan.covered_share > 0.9999 else (
                f"{100 * plan.covered_share:.0f} % of ")
            low, high = plan.stretch_share
            words = (
                f"A crystal on {crystal} lays {part}{self._band} on "
                f"{show_span(*plan.stretch, 'Hz', digits=7)}, {100 * (high - low):.0f} % of the "
                f"{self._main_name} dial, {way}. Where that reads {_mhz(result.reading)} "
                f"you hear {_mhz(result.signal)}.")
        return f"{self._note} {words}".strip()

    def explain(self, result: ConverterSetting) -> str:
        """Add below, subtract above; and a kilohertz of the crystal is one of the scale."""
        band = result.plan.converted
        side, distance = self._side_of(result)
        sign = "+" if side == "below" else "-"
        return (
            f"Main reading {_mhz(result.reading)} and crystal: {_mhz(band.crystal)} {sign} "
            f"{_mhz(result.reading)} = {_mhz(result.signal)}. The band's middle is read at the "
            f"crystal's distance from it, {_mhz(distance)}. A kilohertz more of crystal moves the "
            f"whole scale by one kilohertz, {'down' if side == 'below' else 'up'} the main dial, "
            "and leaves its marks as far apart as they were. "
            + ("Above the band the greater frequency leaves the smaller difference, so the scale "
               "is turned round." if side == "above" else
               "Below the band the greater frequency leaves the greater difference: upright."))


def _round_places(low: float, high: float) -> list[float]:
    """About eight round frequencies from ``low`` to ``high``."""
    least = (high - low) / 8
    decade = 10.0 ** math.floor(math.log10(least))
    step = next(s * decade for s in (1, 2, 5, 10) if s * decade >= least * (1 - 1e-9))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [number * step for number in range(first, last + 1)]


def _short(name: str, most: int = 12) -> str:
    return name if len(name) <= most else f"{name[:most - 1]}…"


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)

"""Where two bands lie on one dial, without and with a capacitor switched across the tank."""

from __future__ import annotations

import math

from matplotlib.figure import Figure

from rxlearn.compute.image_swapping import SwapScheme
from rxlearn.compute.quantities import show, show_span
from rxlearn.compute.recentring import BandOnDial, SwitchedDial
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

LOW, HIGH = -0.4, 1.4
"""Ends of the picture, in shares of the dial."""

ROWS = {"wide": 2.0, "before": 1.0, "after": 0.0}


class RecentringFigure(LiveFigure):
    """Three rows over one dial: the wider band, the narrower one as it falls, and recentred.

    ``scheme`` holds the two bands, ``names`` the lower and the upper band's name.
    """

    name = "recentring"
    size = (900, 310)

    def __init__(self, scheme: SwapScheme, names: tuple[str, str]) -> None:
        self._names = dict(zip(("lower", "upper"), names))
        self._wide = self._names[scheme.wider]
        self._narrow = self._names["lower" if scheme.wider == "upper" else "upper"]
        self._works = scheme.works
        super().__init__()

    def build(self, figure: Figure) -> None:
        """The dial from 0 to 100 %, some room beside it, and its middle."""
        axes = figure.add_axes((0.155, 0.16, 0.825, 0.75))
        axes.set(xlim=(LOW, HIGH), ylim=(-0.45, 2.75), yticks=[],
                 xlabel="place on the dial (%); 0 % is the low end",
                 title=f"The dial, laid out for {self._wide}")
        axes.title.set_parse_math(False)
        axes.title.set_fontsize(style.SIZE)
        axes.spines["left"].set_visible(False)
        axes.set_xticks([t / 100 for t in range(-25, 126, 25)],
                        [str(t) for t in range(-25, 126, 25)])
        axes.axvspan(0, 1, color=style.LIGHT["shade"], zorder=0)
        # The dial's middle, at the bars only: words stand between them.
        heights = [h for row in ROWS.values() for h in (row - 0.35, row + 0.2, math.nan)]
        axes.plot([0.5] * len(heights), heights, color=style.LIGHT["quiet"], linewidth=1,
                  linestyle=(0, (3, 2)))
        labels = {"wide": self._wide, "before": f"{self._narrow},\nno capacitor",
                  "after": f"{self._narrow},\ncapacitor fitted"}
        for row, height in ROWS.items():
            axes.text(LOW - 0.015, height, labels[row], ha="right", va="center", fontsize=11,
                      parse_math=False)
        self._bars, self._middles, self._words, self._stations = {}, {}, {}, {}
        for row, role in (("wide", "signal"), ("before", "image"), ("after", "image")):
            self._bars[row] = self.line(axes, f"bar-{row}", role, linewidth=9, linestyle="-",
                                        solid_capstyle="butt")
            self._middles[row] = self.line(axes, f"middle-{row}", "ink", linewidth=2)
            self._words[row] = self.label(axes, f"words-{row}", role, fontsize=10.5)
            self._words[row].set_position((LOW + 0.01, ROWS[row] + 0.27))
        for row in ("before", "after"):
            self._stations[row] = self.line(axes, f"station-{row}", "warning", linestyle="none",
                                            marker="D", markersize=7)
        if not self._works:
            axes.text(0.5, 0.5, "These two bands cannot share a dial: the sentence below says why.",
                      ha="center", color=style.LIGHT["warning"])

    def update(self, result: SwitchedDial) -> None:
        """Move the narrower band's bars, its middles and the time station."""
        self._bars["wide"].set_data([0, 1], [ROWS["wide"]] * 2)
        self._middles["wide"].set_data([0.5, 0.5], [ROWS["wide"] - 0.17, ROWS["wide"] + 0.17])
        scheme = result.scheme
        wide = scheme.upper if result.narrow_band == "lower" else scheme.lower
        self._words["wide"].set_text(
            f"oscillator {show_span(wide.oscillator_low, wide.oscillator_high, 'Hz', digits=7)}"
        )
        for row, band in (("before", result.before), ("after", result.after)):
            shown = band is not None
            for artist in (self._bars[row], self._middles[row], self._words[row]):
                artist.set_visible(shown)
            self._stations[row].set_visible(shown and band.station is not None)
            if shown:
                self._place(row, band, result)

    def _place(self, row: str, band: BandOnDial, result: SwitchedDial) -> None:
        """One row of the narrower band; what lies beyond the picture is left to the words."""
        height = ROWS[row]
        inside = band.high >= LOW and band.low <= HIGH
        ends = [min(max(end, LOW), HIGH) for end in (band.low, band.high)]
        self._bars[row].set_data(ends, [height] * 2)
        self._bars[row].set_visible(inside)
        self._middles[row].set_visible(LOW <= band.middle <= HIGH)
        self._middles[row].set_data([band.middle] * 2, [height - 0.17, height + 0.17])
        words = _short(band)
        if row == "after":
            words = f"{_pf(result.capacitance)}: {words}"
        if band.station is not None:
            seen = LOW <= band.station <= HIGH
            self._stations[row].set_visible(seen)
            self._stations[row].set_data([band.station], [height])
            there = f"at {_percent(band.station)}" if 0 <= band.station <= 1 else "off the dial"
            words += f"; ◆ time station {result.station / 1e6:.6g} MHz {there}"
        self._words[row].set_text(words)

    def describe(self, result: SwitchedDial) -> str:
        """Where the middle now stands, what the dial covers, and the value that is wanted."""
        if result.after is None:
            return f"{result.reasons[0]} So there is no dial on which to bring the two together."
        coil = show(result.inductance, "H", digits=4)
        words = (
            f"With {_pf(result.capacitance)} switched in on {self._names[result.switched_on]}, "
            f"{self._narrow} {_where(result.after)}. "
        )
        if result.wanted is None:
            return f"{words}{result.reasons[0]}"
        if result.centred:
            return f"{words}That is centred: the {coil} tank asks for {_pf(result.wanted)}."
        return f"{words}The {coil} tank asks for {_pf(result.wanted)} to centre it."

    def explain(self, result: SwitchedDial) -> str:
        """The tank's arithmetic, and what the capacitor does to the dial's span."""
        if result.after is None:
            return ("A capacitor pulls an oscillator by a few percent. The two ranges here are "
                    "another matter: go back to the sides and the intermediate frequency.")
        scheme = result.scheme
        middles = sorted(plan.oscillator_centre for plan in (scheme.lower, scheme.upper))
        words = (
            f"C = 1/((2πf)²L): the coil needs less capacitance at {_mhz(middles[1])} than at "
            f"{_mhz(middles[0])}, the two middles, and the switched capacitor is the difference. "
        )
        if math.isfinite(result.span):
            words += (
                f"With it in, the whole dial receives "
                f"{show_span(result.signal_low, result.signal_high, 'Hz', digits=6)} on "
                f"{self._narrow}, {_khz(result.span)} from end to end. "
            )
        return words + (
            "The same swing of the tuning capacitor moves a tank with more capacitance less. A "
            "larger coil needs less of everything."
        )


def _where(band: BandOnDial) -> str:
    if math.isinf(band.middle) or band.high < 0 or band.low > 1:
        return "is off the dial"
    words = (
        f"has its middle at {_percent(band.middle)} of the dial and fills {_percent(band.width)}")
    return words if band.on_dial else f"{words}, partly off the dial"


def _short(band: BandOnDial) -> str:
    """The same in a few words, for the picture."""
    if band.high < 0 or band.low > 1:
        return "off the dial"
    words = f"middle at {_percent(band.middle)}, fills {_percent(band.width)}"
    return words if band.on_dial else f"partly off the dial, {words}"


def _percent(share: float) -> str:
    return "no place" if math.isinf(share) else show(100 * share, "%", decimals=1)


def _pf(capacitance: float) -> str:
    return show(capacitance, "F", prefix="p", decimals=1)


def _khz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="k", decimals=0)


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)

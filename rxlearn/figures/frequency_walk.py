"""The axis of the intermediate frequency: who lives there, and what the preselector holds down."""

from __future__ import annotations

from matplotlib.figure import Figure

from rxlearn.compute.frequency_walk import Walk, axis_of
from rxlearn.compute.image_neighbourhood import short_waves
from rxlearn.compute.quantities import show
from rxlearn.data.crystals import StockCrystal
from rxlearn.data.spectrum import AMATEUR, BROADCAST, STANDARD_FREQUENCY, TIME
from rxlearn.figures import style
from rxlearn.figures.flag import Flag
from rxlearn.figures.scene import LiveFigure

LANES = {"your bands": 3.0, BROADCAST: 2.0, AMATEUR: 1.0, "time": 0.0, "other": -1.0,
         "crystals": -2.0}
"""Height of each lane of the upper axes."""

TOP_DB = 90.0
"""Where the scale of decibels ends: no bench holds down more."""

LIMITS_DB = {60.0: "60: good", 40.0: "40: fair"}
"""Rules of thumb (common practice, no source), as in the table of schemes."""

ROLES = {"image_lower": "image", "image_upper": "signal", "breakthrough": "oscillator"}

NARROWEST = 0.0025
"""Least width of a bar as a share of the axis, so that it can be seen."""


class FrequencyWalkFigure(LiveFigure):
    """Above: who is on the air.  Below: three rejections over the intermediate frequency.

    ``start`` is a first walk of the pair of bands that is drawn, ``crystals`` what can be
    bought, ``note`` a sentence that stands in the explanation.
    """

    name = "frequency-walk"
    size = (900, 345)

    def __init__(self, start: Walk, crystals: tuple[StockCrystal, ...], note: str = "") -> None:
        self._start, self._crystals, self._note = start, crystals, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Lanes and limits are fixed; the window, the curves and the pointer move."""
        self._low, self._high = axis_of(self._start.upper)
        top = figure.add_axes((0.115, 0.605, 0.81, 0.325))
        top.set(xlim=(0, self._high), ylim=(-2.7, 3.7),
                title="Who is on the air along the axis of the intermediate frequency")
        top.set_yticks(list(LANES.values()),
                       ["your bands", "broadcast", "amateur", "time", "others", "crystals"])
        top.tick_params(axis="y", length=0, labelsize=10)
        top.tick_params(axis="x", labelbottom=False, length=0)
        top.grid(False, axis="y")
        self._fill_lanes(top)
        below = figure.add_axes((0.115, 0.125, 0.81, 0.39))
        below.set(xlim=(0, self._high), ylim=(0, TOP_DB + 22), yticks=range(0, 81, 20),
                  xlabel="intermediate frequency (MHz)")
        below.set_ylabel("held down (dB)", labelpad=10)
        below.xaxis.set_major_formatter(lambda f, _: f"{f / 1e6:g}")
        below.tick_params(labelsize=10)
        for level, words in LIMITS_DB.items():
            below.axhline(level, color=style.LIGHT["quiet"], linewidth=1, linestyle=(0, (1, 3)))
            below.text(1.008 * self._high, level, words, va="center", fontsize=10,
                       color=style.LIGHT["quiet"])
        self._windows = [
            self.moving(f"window-{place}", axes.axvspan(
                0, 1, color=style.LIGHT["shade"], zorder=0.5))
            for place, axes in (("top", top), ("below", below))
        ]
        self._curves = {
            key: self.line(below, f"curve-{key}", role) for key, role in ROLES.items()}
        self._pointers = [
            self.line(axes, f"pointer-{place}", "intermediate", linewidth=2.2)
            for place, axes in (("top", top), ("below", below))
        ]
        self._meeting = self.line(below, "meeting", "warning", linewidth=2)
        below.legend(
            [*self._curves.values(), self._meeting],
            [f"image, {self._start.lower.name}", f"image, {self._start.upper.name}",
             "signal on the IF", "middles meet"],
            loc="upper right", bbox_to_anchor=(1.01, 1.03), ncols=4, fontsize=10, frameon=False,
            handlelength=2.4, borderaxespad=0.1, columnspacing=1.4,
        )
        self._flag = Flag(self, below, "flag", "intermediate")
        self._below = below

    def _fill_lanes(self, axes) -> None:
        """Bars of the spectrum, the two bands and the crystals; none of them moves."""
        least = NARROWEST * self._high
        start = self._start
        for band, role in ((start.lower, "image"), (start.upper, "signal")):
            self._bar(axes, band.low, max(band.high, band.low + least), "your bands", role)
        for row in short_waves(start.at_hand.region):
            lane = {TIME: "time", STANDARD_FREQUENCY: "time"}.get(row.service, row.service)
            lane = lane if lane in LANES else "other"
            self._bar(axes, row.low, max(row.high, row.low + least), lane, "ink")
        for crystal in self._crystals:
            if crystal.frequency < self._high:
                own = crystal.reason.startswith("your ")
                axes.plot([crystal.frequency] * 2, [-2.7 if own else -2.45, -1.35 if own else -1.6],
                          color=style.LIGHT["intermediate" if own else "ink"],
                          linewidth=2.6 if own else 1.2)

    def _bar(self, axes, low: float, high: float, lane: str, role: str) -> None:
        if low < self._high:
            axes.plot([low, min(high, self._high)], [LANES[lane]] * 2, color=style.LIGHT[role],
                      linewidth=6, solid_capstyle="butt")

    def update(self, result: Walk) -> None:
        """Move window, meeting, curves and pointer."""
        for key, curve in self._curves.items():
            curve.set_data(result.axis, getattr(result, key).clip(max=TOP_DB))
        low, high = (min(max(edge, 0.0), self._high) for edge in result.window)
        for window in self._windows:
            window.set_visible(high > low)
            window.set_bounds(low, 0, max(high - low, 1.0), 1)
        here = result.intermediate
        self._pointers[0].set_data([here] * 2, [-2.7, 3.7])
        self._pointers[1].set_data([here] * 2, [0, TOP_DB + 4])
        self._meeting.set_visible(0 < result.meeting < self._high)
        self._meeting.set_data([result.meeting] * 2, [0, TOP_DB])
        self._flag.place(here, TOP_DB - 3, f"{_mhz(here)}, {_dial_words(result)}")

    def describe(self, result: Walk) -> str:
        """Dial, three rejections and neighbour at this intermediate frequency."""
        lower, upper = result.lower.name, result.upper.name
        if not result.has_oscillator:
            return (f"At {_mhz(result.intermediate)} there is no oscillator that makes this sum on "
                    f"{lower}: it would have to run below zero.")
        here = result.here
        words = (
            f"At {_mhz(result.intermediate)} {_dial_words(result)} ({_percent(result.away)} of the "
            f"oscillator frequency). The image is {_db(here['image_lower'])} down at worst on "
            f"{lower} and {_db(here['image_upper'])} on {upper}, a signal on the intermediate "
            f"frequency {_db(here['breakthrough'])}; {_occupant_words(result)}."
        )
        if result.in_band:
            words += " It lies inside one of your bands, so nothing would hold it down."
        return words

    def explain(self, result: Walk) -> str:
        """Where they meet, how wide the stretch is, and what else would have to give."""
        first = "half the sum" if result.summed else "half the distance"
        low, high = result.window
        words = (
            f"{result.lower.name} and {result.upper.name} meet at {first} of their middles, "
            f"{_mhz(result.meeting)}. Within {_percent(result.at_hand.reach)} of the oscillator "
            "frequency a switched capacitor brings the middles together: that leaves "
            f"{_mhz(max(low, 0.0))} to {_mhz(high)}, shaded, and in it "
        )
        inside = [row for row in self._crystals if low <= row.frequency <= high]
        words += (
            f"{_crystals(len(inside))}: {', '.join(_mhz(row.frequency) for row in inside[:4])}"
            f"{' and more' if len(inside) > 4 else ''}. " if inside else "no crystal. ")
        nearest = result.crystal
        words += (
            "The bands have fixed where you may stand; the image is what it is there, and only "
            "the preselector can mend it. The nearest crystal is "
            f"{_mhz(nearest.frequency)} ({nearest.reason})."
        )
        return f"{words} {self._note}".strip()


def _dial_words(result: Walk) -> str:
    if not result.has_oscillator:
        return "no oscillator"
    if abs(result.shift) < 500:
        return "the middles agree on the dial"
    reach = "within reach" if result.within_reach else "out of reach"
    return f"the middles lie {show(abs(result.shift), 'Hz', digits=4)} apart, {reach}"


def _occupant_words(result: Walk) -> str:
    there = result.occupant
    if not result.distance:
        return f"it lies on {there.name}"
    side = "below" if result.distance > 0 else "above"
    return f"it lies {show(abs(result.distance), 'Hz', digits=3)} {side} {there.name}"


def _crystals(count: int) -> str:
    return "1 crystal" if count == 1 else f"{count} crystals"


def _percent(share: float) -> str:
    return show(100 * share, "%", digits=3)


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", digits=6)


def _db(level: float) -> str:
    return "far more than 90 dB" if level > 200 else show(level, "dB", digits=3)

"""One oscillator, two signals: three scales under one pointer."""

from __future__ import annotations

import math
from math import nan

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rxlearn.compute.quantities import show, show_span
from rxlearn.compute.swap_setting import DialView, Heard, SwapSetting
from rxlearn.figures import style
from rxlearn.figures.flag import Flag, width_of
from rxlearn.figures.scene import LiveFigure

LEFT, WIDTH = 0.175, 0.805
ROWS = (0.735, 0.415, 0.095)
HEIGHT = 0.205
BAR = (0.0, 0.3)
NAMES_AT = 0.4
POINTER = (0.0, 0.35, nan, 0.62, 0.8)
"""Heights of a pointer's ends; it leaves the names' row free."""

FLAG_AT = 0.87
NO_SWAP = "These sides make no image swapping: the sentence below says why."


class ImageSwappingFigure(LiveFigure):
    """Top: the oscillator's dial.  Below it, on the same grid, oscillator less and plus the IF.

    ``view`` says what to show, ``names`` are the lower and the upper band's.
    """

    name = "image-swapping"
    size = (900, 330)

    def __init__(self, view: DialView, names: tuple[str, str]) -> None:
        self._view = view
        self._names = dict(zip(("lower", "upper"), names))
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Three scales that differ by the intermediate frequency, and one pointer across."""
        scheme = self._view.scheme
        intermediate = scheme.intermediate_frequency
        self._shift = {"dial": 0.0, "below": -intermediate, "above": intermediate}
        self._axes = {
            row: self._scale(figure, bottom, shift)
            for (row, shift), bottom in zip(self._shift.items(), ROWS)
        }
        self._thread = self.line(self._across(figure), "thread", "quiet", linewidth=0.8)
        # From each row's numbers down to the flag of the next.
        span = ROWS[0] - ROWS[-1] + HEIGHT
        self._thread_at = [
            (height - ROWS[-1]) / span
            for row in (0, 1) for height in (ROWS[row], ROWS[row + 1] + 0.8 * HEIGHT, nan)
        ]
        _bar(self._axes["dial"], scheme.dial_low, scheme.dial_high, "shade",
             f"dial {show_span(scheme.dial_low, scheme.dial_high, 'Hz', digits=7)}")
        for row in ("below", "above"):
            self._mark_bands(row)
            self._mark_stations(row)
        for row, words in (("dial", "oscillator (MHz)"),
                           ("below", f"oscillator less\n{_mhz(intermediate)}"),
                           ("above", f"oscillator plus\n{_mhz(intermediate)}")):
            self._axes[row].text(-0.02, 0.2, words, transform=self._axes[row].transAxes,
                                 ha="right", va="center", fontsize=11)
        if not scheme.works:
            figure.text(LEFT, 0.965, NO_SWAP, color=style.LIGHT["warning"], va="center")
        self._pointer = self.line(self._axes["dial"], "pointer", "oscillator", linewidth=2.6)
        self._flag = Flag(self, self._axes["dial"], "flag", "oscillator")
        self._lines, self._flags = {}, {}
        for row in ("below", "above"):
            for role in ("signal", "image"):
                self._lines[row, role] = self.line(
                    self._axes[row], f"{row}-{role}", role, linewidth=2.6)
                self._flags[row, role] = Flag(self, self._axes[row], f"{row}-{role}-flag", role)

    def _scale(self, figure: Figure, bottom: float, shift: float) -> Axes:
        """A scale over the same stretch of oscillator, numbered ``shift`` away from it."""
        axes = figure.add_axes((LEFT, bottom, WIDTH, HEIGHT))
        axes.set(xlim=(self._view.low + shift, self._view.high + shift), ylim=(0, 1), yticks=[])
        axes.spines["left"].set_visible(False)
        axes.xaxis.set_major_formatter(lambda f, _: f"{abs(f) / 1e6:.7g}")
        axes.grid(False)
        return axes

    def _across(self, figure: Figure) -> Axes:
        """An invisible sheet over all three rows, for the thread that joins the pointers."""
        axes = figure.add_axes((LEFT, ROWS[-1], WIDTH, ROWS[0] - ROWS[-1] + HEIGHT))
        axes.set(xlim=(self._view.low, self._view.high), ylim=(0, 1))
        axes.set_axis_off()
        axes.set_zorder(-1)
        return axes

    def _mark_bands(self, row: str) -> None:
        """Shade the scheme's bands where they fall on the scale ``row``."""
        axes = self._axes[row]
        low, high = axes.get_xlim()
        scheme = self._view.scheme
        for band, plan in (("lower", scheme.lower), ("upper", scheme.upper)):
            edges = max(low, plan.band_low), min(high, plan.band_high)
            if edges[0] < edges[1]:
                _bar(axes, *edges, "shade", self._names[band])

    def _mark_stations(self, row: str) -> None:
        """Mark the time stations that one of the two signals can reach, where there is room."""
        axes = self._axes[row]
        low, high = axes.get_xlim()
        taken = [(text.get_position()[0], width_of(text.get_text(), 10, axes) / 2)
                 for text in axes.texts]
        for signal, oscillator in self._view.stations:
            place = oscillator + self._shift[row]
            if abs(place - signal) > 1.0:
                continue
            axes.plot([place, place], [0, 0.34], color=style.LIGHT["warning"], linewidth=2.0)
            words = f"time station {signal / 1e6:.6g} MHz"
            half = width_of(words, 10, axes) / 2
            inside = min(max(place, low + half), high - half)
            if all(abs(inside - other) > 1.1 * (half + wide) for other, wide in taken):
                axes.text(inside, NAMES_AT, words, ha="center", fontsize=10,
                          color=style.LIGHT["warning"])
                taken.append((inside, half))

    def update(self, result: SwapSetting) -> None:
        """Move all pointers to ``result`` and say at each what is there."""
        oscillator = result.oscillator
        self._thread.set_data([oscillator] * len(self._thread_at), self._thread_at)
        self._pointer.set_data([oscillator] * len(POINTER), POINTER)
        self._flag.place(oscillator, FLAG_AT, f"oscillator {_mhz(oscillator)}")
        for row, heard in (("below", result.below), ("above", result.above)):
            wanted = heard is result.wanted
            place = oscillator + self._shift[row]
            for role in ("signal", "image"):
                shown = (role == "signal") == wanted
                self._lines[row, role].set_visible(shown)
                self._lines[row, role].set_data([place] * len(POINTER), POINTER)
                if not shown:
                    self._flags[row, role].hide()
                    continue
                words = "wanted" if wanted else f"image, {_held(result)}"
                self._flags[row, role].place(
                    place, FLAG_AT, f"{_mhz(heard.frequency)}  {words}, {self._where(heard)}")

    def _where(self, heard: Heard) -> str:
        return "out of band" if heard.band is None else f"in {self._names[heard.band]}"

    def describe(self, result: SwapSetting) -> str:
        """Both signals, which is wanted, and how far the other is held down."""
        wanted, image = result.wanted, result.image
        words = (
            f"Oscillator on {_mhz(result.oscillator)}: the preselector picks "
            f"{_mhz(wanted.frequency)} ({self._where(wanted)}), and the image on "
            f"{_mhz(image.frequency)} ({self._where(image)}) is {_held(result)}"
            f"{_what_is_there(image)}."
        )
        reasons = result.scheme.reasons
        return f"{reasons[0]} {words}" if reasons else words

    def explain(self, result: SwapSetting) -> str:
        """Each keeps its distance, so both move together; the preselector alone decides."""
        intermediate = _mhz(result.scheme.intermediate_frequency)
        oscillator = _mhz(result.oscillator)
        circuits = "one circuit" if result.circuits == 1 else f"{result.circuits} circuits"
        words = (
            f"{oscillator} - {intermediate} = {_mhz(result.below.frequency)} and "
            f"{oscillator} + {intermediate} = {_mhz(result.above.frequency)}. Both give "
            f"{intermediate} after the mixer, so nothing behind it can tell them apart. Only the "
            f"preselector can: {circuits} of loaded Q {result.loaded_q:g}, tuned to the wanted "
            f"one, 2 × {intermediate} away from the other."
        )
        if result.oscillator_in:
            words += (f" The oscillator itself now stands in {result.oscillator_in[0]}: none of it "
                      "may reach the aerial.")
        if result.scheme.works and not result.scheme.overlap:
            words += (" On this intermediate frequency the two oscillator ranges have nothing in "
                      "common: the next figure shows where they meet.")
        return words


def _bar(axes: Axes, low: float, high: float, role: str, words: str) -> None:
    """A shaded stretch with its edges drawn and its name above, kept inside the scale."""
    bottom, top = BAR
    axes.fill_between([low, high], bottom, top, color=style.LIGHT[role], linewidth=0)
    for edge in (low, high):
        axes.plot([edge, edge], [bottom, top], color=style.LIGHT["quiet"], linewidth=1.2)
    left, right = axes.get_xlim()
    half = width_of(words, 10, axes) / 2
    middle = min(max((low + high) / 2, left + half), max(left + half, right - half))
    axes.text(middle, NAMES_AT, words, ha="center", fontsize=10, parse_math=False)


def _held(result: SwapSetting) -> str:
    if math.isinf(result.image_rejection_db):
        return "on zero frequency, where there is nothing to hold down"
    return f"held down {show(result.image_rejection_db, 'dB', decimals=1)}"


def _what_is_there(image: Heard) -> str:
    """What the spectrum table holds on an image that lies in neither band."""
    if image.band is not None or not image.there:
        return ""
    return f"; the workbook's table has {', '.join(image.there[:2])} there"


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)

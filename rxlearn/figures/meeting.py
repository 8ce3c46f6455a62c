"""Two oscillator ranges that slide past each other, over a scale of intermediate frequencies."""

from __future__ import annotations

from math import inf, nan

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rxlearn.compute.image_swapping import SwapScheme
from rxlearn.compute.meeting import Meeting, MeetingView, meeting_of
from rxlearn.compute.quantities import show, show_span
from rxlearn.compute.tuning import BandPlan
from rxlearn.figures import style
from rxlearn.figures.flag import GAP, LETTER, Flag, width_of
from rxlearn.figures.scene import LiveFigure

LEFT, WIDTH = 0.03, 0.945
BARS = {"lower": 0.47, "upper": 0.15}
"""Height of each band's bar on the upper scale."""

WORDS_AT = {"lower": 0.88, "upper": 0.71}
"""Height of each band's words, above both bars, where nothing moves through them."""

POINTER = (0.0, 0.22, nan, 0.4, 0.52, nan, 0.7, 0.82)
"""Heights of the pointer's ends; it leaves the rows of fixed words free."""

ROLES = {"lower": "signal", "upper": "image"}
TAG_SIZE = 10.5

SAME = 500.0
"""Middles this near (Hz) are said to agree."""


class MeetingFigure(LiveFigure):
    """Above: both oscillator ranges.  Below: the intermediate frequency among the crystals.

    ``scheme`` holds the two bands, ``view`` the intermediate frequencies on offer,
    ``names`` the lower and the upper band's name.
    """

    name = "meeting"
    size = (900, 340)

    def __init__(self, scheme: SwapScheme, view: MeetingView, names: tuple[str, str]) -> None:
        self._scheme, self._view = scheme, view
        self._names = dict(zip(("lower", "upper"), names))
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Limits hold all that the knob can reach."""
        self._ranges = figure.add_axes((LEFT, 0.54, WIDTH, 0.375))
        self._ranges.set(xlim=self._reach(), ylim=(0, 1), yticks=[],
                         title="Oscillator ranges (MHz)")
        _plain(self._ranges)
        self._bars, self._middles, self._words, self._tags = {}, {}, {}, {}
        for band in BARS:
            role = ROLES[band]
            self._bars[band] = self.line(self._ranges, f"bar-{band}", role, linewidth=9,
                                         linestyle="-", solid_capstyle="butt")
            self._middles[band] = self.line(self._ranges, f"middle-{band}", role, linewidth=2,
                                            linestyle="-")
            self._words[band] = self.label(self._ranges, f"words-{band}", role, fontsize=10.5)
            self._words[band].set_position((self._ranges.get_xlim()[0], WORDS_AT[band]))
            self._tags[band] = Flag(self, self._ranges, f"tag-{band}", role, fontsize=TAG_SIZE)
        self._apart = self.line(self._ranges, "apart", "warning", linewidth=1.6)

        self._scale = figure.add_axes((LEFT, 0.075, WIDTH, 0.3))
        self._scale.set(xlim=(self._view.low, self._view.high), ylim=(0, 1), yticks=[],
                        title="Intermediate frequency (MHz), and the crystals that can be bought")
        _plain(self._scale)
        for axes in (self._ranges, self._scale):
            axes.title.set_fontsize(style.SIZE)
        self._mark_crystals()
        meeting = meeting_of(self._scheme)
        if meeting is not None:
            self._scale.plot([meeting] * 2, [0, 0.5], color=style.LIGHT["warning"], linewidth=2,
                             linestyle=style.DASHES["warning"])
            self._put_centred(meeting, 0.56, "they meet", "warning")
        self._pointer = self.line(self._scale, "pointer", "intermediate", linewidth=3.4)
        self._flag = Flag(self, self._scale, "flag", "intermediate")

    def _reach(self) -> tuple[float, float]:
        """The oscillator frequencies in reach, with room for a name at the end."""
        edges = []
        for plan in (self._scheme.lower, self._scheme.upper):
            away = 1 if plan.injection == "high" else -1
            edges += [edge + away * intermediate for edge in (plan.band_low, plan.band_high)
                      for intermediate in (self._view.low, self._view.high)]
        span = max(edges) - min(edges)
        name = max(len(words) for words in self._names.values()) * LETTER * TAG_SIZE + 3 * GAP
        share = name / (WIDTH * self.size[0])
        return min(edges) - 0.02 * span, min(edges) + span / (1 - share)

    def _mark_crystals(self) -> None:
        """A tick for each crystal in stock, numbered where there is room."""
        taken = -inf
        for crystal in self._view.crystals:
            place = crystal.frequency
            self._scale.plot([place] * 2, [0, 0.22], color=style.LIGHT["ink"], linewidth=2)
            words = f"{place / 1e6:.7g}"
            half = 0.6 * width_of(words, 10, self._scale)
            if place - half > taken:
                self._put_centred(place, 0.28, words, "ink")
                taken = place + half

    def _put_centred(self, place: float, height: float, words: str, role: str) -> None:
        """Fixed words over ``place`` on the lower scale, kept inside it."""
        half = width_of(words, 10, self._scale) / 2
        inside = min(max(place, self._view.low + half), self._view.high - half)
        self._scale.text(inside, height, words, ha="center", fontsize=10, color=style.LIGHT[role])

    def update(self, result: Meeting) -> None:
        """Slide both bars, mark their middles and how far apart they stand."""
        scheme = result.scheme
        for band, plan in (("lower", scheme.lower), ("upper", scheme.upper)):
            height, middle = BARS[band], plan.oscillator_centre
            self._bars[band].set_data([plan.oscillator_low, plan.oscillator_high], [height] * 2)
            self._middles[band].set_data([middle] * 2, [height - 0.11, height + 0.11])
            self._tags[band].place(plan.oscillator_high, height - 0.045, self._names[band])
            self._words[band].set_text(self._range_words(band, plan, scheme))
        middles = scheme.lower.oscillator_centre, scheme.upper.oscillator_centre
        # Down from one middle, across, and down to the other: what has to be made good.
        between = (BARS["lower"] + BARS["upper"]) / 2
        self._apart.set_data(
            [middles[0], middles[0], middles[1], middles[1]],
            [BARS["lower"] - 0.07, between, between, BARS["upper"] + 0.07],
        )
        self._pointer.set_data([scheme.intermediate_frequency] * len(POINTER), POINTER)
        self._flag.place(scheme.intermediate_frequency, 0.86,
                         f"{_mhz(scheme.intermediate_frequency)}{_miss_words(result)}")

    def _range_words(self, band: str, plan: BandPlan, scheme: SwapScheme) -> str:
        share = scheme.lower_share if band == "lower" else scheme.upper_share
        return (
            f"{self._names[band]}, {plan.injection} side: "
            f"{show_span(plan.oscillator_low, plan.oscillator_high, 'Hz', digits=7, prefix='M')}, "
            f"{_percent(share)} of the dial"
        )

    def describe(self, result: Meeting) -> str:
        """How far apart the middles stand, and what the nearest crystal would do."""
        scheme = result.scheme
        apart = abs(scheme.centre_shift)
        words = (
            f"With {_mhz(scheme.intermediate_frequency)} the middles of the two oscillator ranges "
            + ("agree" if apart < SAME else f"lie {_khz(apart)} apart")
            + f"; {self._names['lower']} fills {_percent(scheme.lower_share)} of the dial and "
            f"{self._names['upper']} {_percent(scheme.upper_share)}. {_crystal_words(result)}"
        )
        return f"{scheme.reasons[0]} {words}" if scheme.reasons else words

    def explain(self, result: Meeting) -> str:
        """Why the two slide in opposite directions, and why a miss counts twice."""
        scheme = result.scheme
        if result.meeting is None:
            return (
                "With these sides both ranges do not slide towards each other, so no intermediate "
                "frequency brings them together. High side on the lower band and low side on the "
                "upper would: change that in your plan, lesson 2."
            )
        lower, upper = (
            (plan.band_low + plan.band_high) / 2 for plan in (scheme.lower, scheme.upper))
        words = (
            f"The middle of the lower band is {_mhz(lower)}, of the upper {_mhz(upper)}. Half-way "
            f"between them stands the oscillator, so they meet at half their distance, "
            f"{_mhz(result.meeting)}. "
        )
        if abs(scheme.centre_shift) < SAME:
            found = abs(result.crystal_from_meeting) < SAME
            words += f"You are there, {'and so is' if found else 'but not'} a crystal in stock. "
        else:
            words += (
                f"You are {_khz(abs(scheme.miss))} off that: it pushes one range up and pulls the "
                "other down, so the middles part by twice as much, "
                f"{_khz(abs(scheme.centre_shift))}. "
            )
        return f"{words}A range's width stays what the band's is."


def _plain(axes: Axes) -> None:
    axes.grid(False)
    axes.spines["left"].set_visible(False)
    axes.xaxis.set_major_formatter(lambda f, _: f"{f / 1e6:.7g}")


def _miss_words(result: Meeting) -> str:
    miss = result.scheme.miss
    if miss is None:
        return ", and they never meet"
    if abs(miss) < SAME / 2:
        return ", where they meet"
    return f", {_khz(abs(miss))} {'above' if miss > 0 else 'below'} where they meet"


def _crystal_words(result: Meeting) -> str:
    crystal = result.crystal.crystal
    frequency = show(crystal.frequency, "Hz", digits=8, prefix="M")
    words = f"The nearest crystal in stock is {frequency} ({crystal.reason})"
    if result.crystal_from_meeting is None:
        return f"{words}."
    return f"{words}, {_khz(abs(result.crystal_from_meeting))} from where they meet."


def _percent(share: float) -> str:
    return show(100 * share, "%", decimals=1)


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)


def _khz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="k", decimals=1)

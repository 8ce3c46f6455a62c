"""Where the image lies in the short-wave spectrum, and who is on the air around it."""

from __future__ import annotations

from math import isinf

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rxlearn.compute.image_neighbourhood import (
    REACH,
    Allocation,
    Neighbourhood,
    kind_of,
    short_waves,
)
from rxlearn.compute.quantities import show, show_span
from rxlearn.compute.tuning import LOW
from rxlearn.data.spectrum import SHORT_WAVES_END
from rxlearn.figures import style
from rxlearn.figures.names import nobody
from rxlearn.figures.scene import LiveFigure

LANES = {"tuned": 5.0, "image": 4.0, "broadcast": 3.0, "amateur": 2.0, "time": 1.0, "other": 0.0}
"""Height of each lane of the whole spectrum."""

ROWS = 5
"""Rows of the neighbourhood: no place in the table has more neighbours within reach."""

LETTER = 4.8e3
"""Width (Hz on the lower axis) of a letter of a neighbour's name, on the generous side."""

CLEAR = 5e3
"""How far (Hz) a name keeps from the line that marks the image."""

NARROWEST = 4e3
"""Width (Hz) at which a single carrier is drawn, so that it can be seen."""


class ImageNeighbourhoodFigure(LiveFigure):
    """Upper axes: the short waves.  Lower axes: what lies near the image, which stands still.

    ``region`` is the ITU region whose bands are drawn.
    """

    name = "image-neighbourhood"
    size = (900, 350)

    def __init__(self, region: int) -> None:
        self._region = region
        super().__init__()

    def build(self, figure: Figure) -> None:
        """The spectrum's bars are fixed; what is near the image moves past it."""
        top = figure.add_axes((0.115, 0.545, 0.86, 0.385))
        top.set(xlim=(0, SHORT_WAVES_END), ylim=(-0.6, 5.9), title="The short waves (MHz)")
        top.set_xticks([f * 1e6 for f in range(0, 31, 2)], [str(f) for f in range(0, 31, 2)])
        top.set_yticks(list(LANES.values()), ["tuned", "image", "broadcast", "amateur",
                                              "time signal", "others"])
        top.tick_params(axis="y", length=0, labelsize=10)
        top.tick_params(axis="x", labelsize=10)
        top.grid(False, axis="y")
        self._fixed_bars(top)
        self._tuned = self.line(top, "tuned", "signal", linewidth=3)
        self._image = self.line(top, "image", "image", linewidth=1.6)
        self._tuned_words = self.label(top, "tuned-words", "signal", fontsize=10.5)
        self._image_words = self.label(top, "image-words", "image", fontsize=10.5)

        near = figure.add_axes((0.115, 0.125, 0.86, 0.27))
        near.set(xlim=(-REACH, REACH), ylim=(-0.35, ROWS), yticks=[],
                 xlabel="distance from the image (kHz)", title="Around the image")
        near.set_xticks([k * 1e3 for k in range(-300, 301, 100)],
                        [f"{k:+d}" if k else "image" for k in range(-300, 301, 100)])
        near.tick_params(axis="x", labelsize=10)
        near.axvline(0, color=style.LIGHT["image"], linewidth=1.6,
                     linestyle=style.DASHES["image"])
        self._spans = [self.line(near, f"span-{i}", "ink", linewidth=5, linestyle="-",
                                 solid_capstyle="butt") for i in range(ROWS)]
        self._names = [self.label(near, f"name-{i}", "ink", fontsize=10) for i in range(ROWS)]
        self._empty = self.label(near, "empty", "quiet", fontsize=11, ha="left")

    def _fixed_bars(self, axes: Axes) -> None:
        """Every row of the table for this region, in the lane of its service."""
        for row in short_waves(self._region):
            low, high = _at_least(row, 40e3)
            axes.plot([low, high], [LANES[kind_of(row)]] * 2, linewidth=7,
                      solid_capstyle="butt", color=style.LIGHT["quiet"])

    def update(self, result: Neighbourhood) -> None:
        """Move signal and image, and slide the neighbours past the image."""
        found = result.preselector
        self._mark(self._tuned, self._tuned_words, found.signal, "tuned", LANES["tuned"] - 0.45,
                   f"{_mhz(found.signal)}")
        self._mark(self._image, self._image_words, found.image_frequency, "image", -0.6,
                   f"{_mhz(found.image_frequency)}, held down {_db(found.image_rejection_db)}")
        around = result.around[:ROWS]
        for i, (span, name) in enumerate(zip(self._spans, self._names)):
            span.set_visible(i < len(around))
            name.set_visible(i < len(around))
            if i < len(around):
                self._pass_by(span, name, around[i], found.image_frequency, ROWS - 1 - i)
        self._empty.set_visible(not around)
        self._empty.set_text(
            f"On the image: {nobody(found.image_frequency)}.")
        self._empty.set_position((-0.98 * REACH, ROWS / 2))

    def _mark(self, line, words, frequency: float, lane: str, bottom: float, text: str) -> None:
        """Put a marker and its words in its lane; off the axis, only words with an arrow."""
        y = LANES[lane]
        inside = frequency <= SHORT_WAVES_END
        line.set_visible(inside)
        line.set_data([frequency] * 2, [bottom, y + 0.45])
        left = frequency < 0.6 * SHORT_WAVES_END
        words.set_ha("left" if left else "right")
        words.set_text(text if inside else f"{text} →")
        place = frequency + 2.5e5 if left else frequency - 2.5e5
        words.set_position((place if inside else SHORT_WAVES_END, y - 0.3))

    def _pass_by(self, span, name, row: Allocation, image: float, height: float) -> None:
        """Draw one neighbour at its distance from the image, its name over it."""
        low, high = (edge - image for edge in _at_least(row, NARROWEST))
        low, high = max(low, -REACH), min(high, REACH)
        span.set_data([low, high], [height] * 2)
        here = low <= 0 <= high
        words = f"{'on the image: ' if here else ''}{_named(row)}"
        place, side = _clear_of_image(low, 0.0 if here else high, LETTER * len(words))
        name.set_text(words)
        name.set_ha(side)
        name.set_position((place, height + 0.24))

    def describe(self, result: Neighbourhood) -> str:
        """Signal, image, who is there, and how far it is held down."""
        found = result.preselector
        circuits = "circuit" if found.circuits == 1 else "circuits"
        return (
            f"Tuned to {_mhz(found.signal)} with the oscillator on {_mhz(result.oscillator)}, the "
            f"image lies on {_mhz(found.image_frequency)}: {_who(result)}. The preselector "
            f"({found.circuits} {circuits} of loaded Q {found.loaded_q:g}) holds it down by "
            f"{_db(found.image_rejection_db)}."
        )

    def explain(self, result: Neighbourhood) -> str:
        """Twice the intermediate frequency away, and what the decibels mean on the air."""
        found = result.preselector
        distance = _mhz(2 * found.intermediate_frequency)
        folded = found.injection == LOW and found.signal < 2 * found.intermediate_frequency
        words = (
            f"Twice the intermediate frequency is {distance}; the signal is less than that, so "
            f"the image is what is missing to it: {distance} - {_mhz(found.signal)}. "
            if folded else
            f"The image lies twice the intermediate frequency, {distance}, "
            f"{'above' if found.image_frequency > found.signal else 'below'} the signal. "
        )
        if isinf(found.image_rejection_db):
            return words + "Here it falls on zero, where nothing transmits."
        return words + (
            f"Held down {_db(found.image_rejection_db)}, a signal there is heard at "
            f"{_part(found.image_rejection_db)} of its voltage. A broadcast station may be "
            "1000 times (60 dB) stronger than what you want to hear, so look what lies there "
            "before you choose the side and the intermediate frequency."
        )


def _who(result: Neighbourhood) -> str:
    """The occupants of the image itself, or the nearest, or that there are none."""
    if result.on_image:
        return f"there is {' and '.join(_titled(row) for row in result.on_image)}"
    if not result.around:
        within = "" if result.beyond_table else " within 300 kHz"
        return f"{nobody(result.preselector.image_frequency)}{within}"
    image = result.preselector.image_frequency
    nearest = min(result.around, key=lambda row: min(abs(row.low - image), abs(row.high - image)))
    away = min(abs(nearest.low - image), abs(nearest.high - image))
    return f"{show(away, 'Hz', prefix='k', decimals=0)} from it is {_titled(nearest)}"


def _clear_of_image(low: float, high: float, width: float) -> tuple[float, str]:
    """Where a name of ``width`` (Hz) stands, and which end of it: over its bar, off the line at 0.

    A bar that holds the image comes with its high end at 0 and gets its name on the right.
    """
    if low <= 0 and high == 0 or low > 0:
        start = max(low, CLEAR)
        return (start, "left") if start + width < REACH else (0.995 * REACH, "right")
    start = max(low, -0.995 * REACH)
    return (start, "left") if start + width < -CLEAR else (-CLEAR, "right")


def _at_least(row: Allocation, width: float) -> tuple[float, float]:
    """The row's edges, or a stretch of ``width`` (Hz) about its middle if that is wider."""
    spare = max(0.0, width - (row.high - row.low)) / 2
    return row.low - spare, row.high + spare


def _titled(row: Allocation) -> str:
    """The row's name with its service where the name leaves that out: ``80 m amateur``."""
    words = (*row.service.split(), "broadcast", "time", "standard")
    named = any(word in row.name for word in words)
    return row.name if named else f"{row.name} {kind_of(row)}"


def _named(row: Allocation) -> str:
    if row.low == row.high:
        return row.name
    return f"{_titled(row)}, {show_span(row.low, row.high, 'Hz', prefix='M')}"


def _part(decibels: float) -> str:
    """A voltage ratio in words: ``1/32``."""
    return f"1/{show(10 ** (decibels / 20), '', digits=3)}"


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)


def _db(level: float) -> str:
    return "out of hearing" if isinf(level) else show(level, "dB", decimals=1)

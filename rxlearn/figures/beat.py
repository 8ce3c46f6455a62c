"""A sideband on the air and in the filter, and the beat oscillator that must stand beside it."""

from __future__ import annotations

import math

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rxlearn.compute.beat import FILTER_WIDTH, SPEECH, BeatSetting
from rxlearn.compute.quantities import show, show_span
from rxlearn.figures import style
from rxlearn.figures.flag import Flag
from rxlearn.figures.scene import LiveFigure

REACH = 6e3
"""Frequencies shown to either side of carrier and filter, Hz."""

LEFT, WIDTH = 0.03, 0.945


class BeatSideFigure(LiveFigure):
    """Above: a sideband around its carrier.  Below: the same in the filter.

    The wedge is high at the speech's low tones and low at its high ones, so
    that a sideband that has been turned over is seen to be.
    """

    name = "beat-side"
    size = (900, 300)

    def build(self, figure: Figure) -> None:
        """Two scales of equal width, the lower one around the filter's middle."""
        self._air = self._scale(figure, 0.575, "On the air: distance from the carrier (kHz)")
        self._carrier = self.line(self._air, "carrier", "quiet", linestyle=(0, (2, 2)))
        self._carrier.set_data([0, 0], [0, 0.75])
        self._carrier_flag = Flag(self, self._air, "carrier-flag", "quiet")
        self._air_wedge = self.line(self._air, "air-wedge", "signal", linewidth=2.4)
        self._air_flag = Flag(self, self._air, "air-flag", "signal")

        self._filter = self._scale(
            figure, 0.085, "In the filter: distance from its middle (kHz)")
        half = FILTER_WIDTH / 2
        self._filter.axvspan(-half, half, ymax=0.75, color=style.LIGHT["shade"], zorder=0)
        for edge in (-half, half):
            self._filter.plot([edge] * 2, [0, 0.75], color=style.LIGHT["quiet"], linewidth=1)
        self._filter.text(REACH, 0.12, f"shaded: filter, {FILTER_WIDTH / 1e3:.1f} kHz wide",
                          ha="right", fontsize=10, color=style.LIGHT["quiet"])
        self._wedge = self.line(self._filter, "wedge", "intermediate", linewidth=2.4)
        self._beat = self.line(self._filter, "beat", "oscillator", linewidth=2.8)
        self._flag = Flag(self, self._filter, "beat-flag", "oscillator")
        self._wedge_flag = Flag(self, self._filter, "wedge-flag", "intermediate")

    def _scale(self, figure: Figure, bottom: float, title: str) -> Axes:
        axes = figure.add_axes((LEFT, bottom, WIDTH, 0.325))
        axes.set(xlim=(-REACH, REACH), ylim=(0, 1), yticks=[], title=title)
        axes.title.set_fontsize(style.SIZE)
        axes.set_xticks([t * 1e3 for t in range(-6, 7)], [str(t) for t in range(-6, 7)])
        axes.grid(False)
        axes.spines["left"].set_visible(False)
        return axes

    def update(self, result: BeatSetting) -> None:
        """Move both wedges and the beat oscillator."""
        found = result.converted
        self._carrier_flag.place(-REACH, 0.84, f"{_mhz(found.carrier)}, the carrier left out")
        ends = found.signal_frequencies[0], found.signal_frequencies[-1]
        _shape(self._air_wedge, *(end - found.carrier for end in ends))
        self._air_flag.place(min(ends) - found.carrier, 0.84, f"{found.sideband} sideband")
        middle = found.intermediate_frequency
        ends = found.intermediate_frequencies[0], found.intermediate_frequencies[-1]
        _shape(self._wedge, *(end - middle for end in ends))
        turned = "turned over" if found.sideband_after != found.sideband else "upright"
        self._wedge_flag.place(-REACH, 0.12, f"{turned}: now {found.sideband_after} sideband")
        place = result.beat_oscillator - middle
        self._beat.set_data([place] * 2, [0, 0.75])
        self._flag.place(place, 0.84, f"beat oscillator {_mhz(result.beat_oscillator)}, "
                                      f"{result.side} the middle")

    def describe(self, result: BeatSetting) -> str:
        """Which sideband arrives, and where the beat oscillator stands."""
        found = result.converted
        turned = "turns it over" if found.sideband_after != found.sideband else "leaves it upright"
        return (
            f"The {found.sideband} sideband of {_mhz(found.carrier)}: {found.injection}-side "
            f"injection {turned}, so the {found.sideband_after} sideband reaches the filter and "
            f"the beat oscillator belongs {result.side} its middle, on "
            f"{_mhz(result.beat_oscillator)}. {_passed(result)}"
        )

    def explain(self, result: BeatSetting) -> str:
        """Arithmetic of one tone, and what the wrong side would do to it."""
        found = result.converted
        tone, low = found.tones[0], found.signal_frequencies[0]
        landed = found.intermediate_frequencies[0]
        wrong = found.heard(result.wrong_beat_oscillator)[0]
        if found.injection == "high":
            sum_words = f"{_mhz(found.oscillator)} - {_mhz(low)} = {_mhz(landed)}"
            rule = "What lies higher on the air lands lower"
        else:
            sum_words = f"{_mhz(low)} - {_mhz(found.oscillator)} = {_mhz(landed)}"
            rule = "What lies higher on the air lands higher"
        return (
            f"A tone of {_hz(tone)} is on the air at {_mhz(low)} and lands at {sum_words}. {rule}. "
            f"The beat oscillator stands where the carrier would have landed, {_hz(tone)} from it, "
            f"so {_hz(tone)} is heard. On the other side of the filter the same tone would come "
            f"out at {_hz(wrong)}: speech upside down."
        )


def _shape(line, first: float, last: float) -> None:
    """A closed wedge, high at ``first``, low at ``last``."""
    line.set_data([first, first, last, last, first], [0, 0.7, 0.2, 0, 0])


def _passed(result: BeatSetting) -> str:
    low, high = SPEECH
    if math.isnan(result.passed_low):
        return "None of the speech passes the filter."
    if (result.passed_low, result.passed_high) == SPEECH:
        return f"The filter passes all of the speech, {show_span(low, high, 'Hz', prefix='')}."
    return (
        f"Of speech from {show_span(low, high, 'Hz', prefix='')} the filter passes "
        f"{show_span(result.passed_low, result.passed_high, 'Hz', prefix='')}."
    )


def _hz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="", decimals=0)


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)

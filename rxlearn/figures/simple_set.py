"""What a simple set lacks: four bars, each "so many times worse than needed"."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.quantities import show
from rxlearn.compute.simple_set import Shortcomings
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

ROWS = ("selectivity", "image", "sensitivity", "band spread")
LEAST, MOST = 0.003, 3000.0
"""Ends of the axis "times worse than needed"."""


class SimpleSetFigure(LiveFigure):
    """One row for each want; beyond the line at 1 the set falls short."""

    name = "simple-set"
    size = (900, 300)

    def build(self, figure: Figure) -> None:
        """A logarithmic axis with the line "just enough" at 1."""
        axes = figure.add_axes((0.115, 0.17, 0.86, 0.71))
        axes.set(xscale="log", xlim=(LEAST, MOST), ylim=(-0.6, 3.7), yticks=[3, 2, 1, 0],
                 xlabel="times worse than needed",
                 title="Left of the line: good enough.  Right of it: falls short.")
        axes.set_yticklabels(ROWS)
        axes.set_xticks([0.01, 0.1, 1, 10, 100, 1000], ["1/100", "1/10", "just enough", "10", "100", "1000"])
        axes.minorticks_off()
        axes.axvline(1, color=style.LIGHT["ink"], linewidth=1.4)
        self._bars = [
            self.line(axes, f"bar-{i}", "signal", linewidth=9, solid_capstyle="butt") for i in range(4)
        ]
        self._words = [self.label(axes, f"words-{i}", "ink", fontsize=10) for i in range(4)]

    def update(self, result: Shortcomings) -> None:
        """Move the four bars and say the numbers above each."""
        for i, (times, words) in enumerate(zip(_times(result), _words(result))):
            row = 3 - i
            self._bars[i].set_data([1.0, float(np.clip(times, LEAST, MOST))], [row - 0.12] * 2)
            self._words[i].set_text(words)
            self._words[i].set_position((LEAST * 1.15, row + 0.17))

    def describe(self, result: Shortcomings) -> str:
        """The four findings as one sentence each."""
        return (
            f"On {_mhz(result.signal_frequency)} this set is {result.bandwidth_6db / 1e3:.1f} kHz "
            f"wide where {show(result.wanted_bandwidth, 'Hz')} is wanted, holds its image on "
            f"{_mhz(result.image_frequency)} down by {result.image_rejection_db:.1f} dB, and one "
            f"step of the hand tunes {show(result.hand_step, 'Hz', prefix='k', decimals=2)} where "
            f"{show(result.setting_needed, 'Hz')} is wanted. {_noise(result)}"
        )

    def explain(self, result: Shortcomings) -> str:
        """Why each of the four is as it is, with the set's own numbers."""
        simple = result.simple_set
        return (
            f"Its image lies only 2 × {show(simple.intermediate_frequency, 'Hz')} away, and one "
            f"aerial circuit of loaded Q {simple.aerial_loaded_q:.0f} is "
            f"{show(result.signal_frequency / simple.aerial_loaded_q, 'Hz', prefix='k', decimals=0)} "
            f"wide there. Its dial covers {_mhz(simple.lowest_frequency)} to "
            f"{_mhz(simple.highest_frequency)} in {simple.dial_degrees:.0f}°: "
            f"{show(result.tuning_rate, 'Hz', prefix='k', decimals=0)} to a degree here. A better "
            "drive helps the last, nothing but other circuits help the rest."
        )


def _times(result: Shortcomings) -> tuple[float, float, float, float]:
    """How many times worse than needed, row by row; levels as voltage ratios."""
    return (
        result.times_too_wide,
        10 ** ((result.image_rejection_needed_db - result.image_rejection_db) / 20),
        10 ** ((result.own_noise_dbm - result.outside_noise_dbm) / 20),
        result.times_too_coarse,
    )


def _words(result: Shortcomings) -> tuple[str, str, str, str]:
    return (
        f"{result.bandwidth_6db / 1e3:.1f} kHz wide (6 dB down); wanted "
        f"{show(result.wanted_bandwidth, 'Hz')}",
        f"image on {_mhz(result.image_frequency)} held down {result.image_rejection_db:.1f} dB; "
        f"wanted {result.image_rejection_needed_db:.0f} dB",
        f"own noise {result.own_noise_dbm:.0f} dBm; outside noise {result.outside_noise_dbm:.0f} dBm",
        f"a hand sets {show(result.hand_step, 'Hz', prefix='k', decimals=2)}; wanted "
        f"{show(result.setting_needed, 'Hz')}",
    )


def _noise(result: Shortcomings) -> str:
    if result.limited_by == "the set":
        return "Its own noise is stronger than what the aerial brings: it is deaf to weak stations."
    return "Noise from outside is stronger than its own: here it is not deaf."


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=3)

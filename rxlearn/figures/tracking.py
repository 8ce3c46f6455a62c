"""How far one gang's oscillator strays from where the signal circuit wants it."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.quantities import show
from rxlearn.compute.tracking import Tracking
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

MOST = 1.6
"""Ends of the axis, in half-widths of the signal circuit."""


class TrackingFigure(LiveFigure):
    """Tracking error over the band in half-widths of the signal circuit.

    Between the two lines less than 3 dB is lost.
    """

    name = "tracking"
    size = (900, 330)

    def build(self, figure: Figure) -> None:
        """One pair of axes that holds for any band: per cent of it, and half-widths."""
        axes = figure.add_axes((0.085, 0.15, 0.895, 0.63))
        axes.set(xlim=(0, 100), ylim=(-MOST, MOST), xlabel="place in the band (%)",
                 ylabel="error in half-widths",
                 title="Oscillator less what it should be; ±1 is 3 dB lost in the signal circuit")
        axes.title.set_fontsize(style.SIZE)
        axes.set_yticks([-1, -0.5, 0, 0.5, 1])
        axes.axhspan(-1, 1, color=style.LIGHT["shade"], zorder=0)
        for edge in (-1, 1):
            axes.axhline(edge, color=style.LIGHT["warning"], linewidth=1.4,
                         linestyle=style.DASHES["warning"])
        axes.axhline(0, color=style.LIGHT["ink"], linewidth=1.0)
        self._best = self.line(axes, "best", "oscillator", linewidth=2)
        self._three = self.line(axes, "three", "signal", linewidth=2.6)
        self._points = self.line(axes, "points", "signal", linestyle="none", marker="o",
                                 markersize=8)
        top = figure.add_axes((0.085, 0.855, 0.895, 0.135))
        top.set(xlim=(0, 1), ylim=(0, 1))
        top.set_axis_off()
        self._words = self.label(top, "words", "signal", fontsize=11)
        self._words.set_position((0, 0.6))
        self._best_words = self.label(top, "best-words", "oscillator", fontsize=11)
        self._best_words.set_position((0, 0.06))

    def update(self, result: Tracking) -> None:
        """Move both curves and the three points."""
        place = 100 * (result.signals - result.low) / (result.high - result.low)
        for line, errors in ((self._three, result.errors), (self._best, result.best_errors)):
            share = errors / result.half_width
            seen = np.abs(share) <= MOST
            line.set_data(place, np.where(seen, share, np.nan))
            line.set_visible(bool(seen.any()))
        points = 100 * (np.array(result.points) - result.low) / (result.high - result.low)
        heights = np.interp(points, place, result.errors / result.half_width)
        seen = np.abs(heights) <= MOST
        self._points.set_data(points[seen], heights[seen])
        self._words.set_text(
            f"—— three points: padder {_pf(result.parts.padder)}{_off(result)}, trimmer "
            f"{_pf(result.parts.trimmer)}, coil {_uh(result.parts.inductance)}; off by up to "
            f"{_hz(result.worst)}")
        self._best_words.set_text(
            f"– – least squares: padder {_pf(result.best.padder)}, trimmer "
            f"{_pf(result.best.trimmer)}, coil {_uh(result.best.inductance)}; off by up to "
            f"{_hz(result.best_worst)}")

    def describe(self, result: Tracking) -> str:
        """The worst error, what it costs, and what least squares would do."""
        three, best = result.root_mean_square
        fitted = f" with a padder that is {_off(result)[2:-1]} off" if result.padder_off else ""
        return (
            f"{show(result.low, 'Hz')} to {show(result.high, 'Hz')} on "
            f"{show(result.intermediate_frequency, 'Hz')}{fitted}: the oscillator is off by up to "
            f"{_hz(result.worst)} ({_hz(three)} r.m.s.), which costs up to "
            f"{show(result.worst_loss_db, 'dB', decimals=1)} in a signal circuit of loaded Q "
            f"{result.loaded_q:.0f}. Least squares: up to {_hz(result.best_worst)}, "
            f"{_hz(best)} r.m.s."
        )

    def explain(self, result: Tracking) -> str:
        """The two ratios that one gang must serve, and who bears the error."""
        signal = result.high / result.low
        oscillator = (result.high + result.intermediate_frequency) / (
            result.low + result.intermediate_frequency)
        return (
            f"The signal circuit tunes over a ratio of {signal:.3f}, the oscillator only over "
            f"{oscillator:.3f}. A smaller coil, a padder in series and a trimmer are three parts, "
            "so three frequencies can be made exact; between them the error swings to and fro. The "
            "filter decides what you hear, so it is the signal circuit that stands beside its "
            f"station: at {show(result.high, 'Hz')} it is {_hz(result.half_width[-1])} wide to "
            "either side. The wider the band in ratio and the lower the intermediate frequency, "
            "the larger the error."
        )


def _off(result: Tracking) -> str:
    """What the padder is off by, in brackets; nothing when it is right."""
    return f" ({100 * result.padder_off:+.1f} %)" if result.padder_off else ""


def _pf(capacitance: float) -> str:
    return show(capacitance, "F", prefix="p", decimals=1)


def _uh(inductance: float) -> str:
    return show(inductance, "H", digits=4)


def _hz(frequency: float) -> str:
    return show(frequency, "Hz", digits=3)

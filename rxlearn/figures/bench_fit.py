"""Readings of a dial and what is left of them beside the fit, with their confidence."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.bench_fit import BenchFit, Reading
from rxlearn.compute.practice_bench import PracticeBench
from rxlearn.compute.quantities import show
from rxlearn.figures.scene import LiveFigure

_SOUGHT = {2: "Two", 3: "Three"}

MOST = 41
"""So many readings have a bar in the picture."""


class ReadingsFigure(LiveFigure):
    """What is left of each reading (measured less fitted) over the dial, on a scale of its own."""

    name = "bench-readings"
    size = (900, 330)

    def __init__(self, degrees: float, reach: float, note: str = "") -> None:
        self._degrees = degrees
        self._reach = reach
        self._note = note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """One axis in kHz that stays; what lies beyond stands at its edge with an arrow."""
        axes = figure.add_axes((0.095, 0.15, 0.885, 0.62))
        reach = self._reach / 1e3
        axes.set(xlim=(-0.02 * self._degrees, 1.02 * self._degrees), ylim=(-reach, reach),
                 xlabel="shaft from fully meshed, °", ylabel="measured less fitted, kHz",
                 title="What the fit leaves of each reading")
        axes.axhline(0, color="0.4", linewidth=1)
        self._axes = axes
        self._bars = self.line(axes, "bars", "quiet", linewidth=2, linestyle="-")
        self._good = self.line(axes, "good", "signal", marker="o", markersize=7, linestyle="none")
        self._bad = self.line(axes, "doubtful", "warning", marker="X", markersize=11,
                              linestyle="none")
        self._words = [
            self.label(axes, f"words-{row}", role, fontsize=11, transform=figure.transFigure)
            for row, role in enumerate(("signal", "warning"))
        ]

    def update(self, result: PracticeBench | BenchFit) -> None:
        """Put every reading and its uncertainty of two standard deviations in place."""
        fit = result.fit if isinstance(result, PracticeBench) else result
        reach = self._reach / 1e3
        at = np.array([r.at for r in fit.readings])
        left = np.clip(fit.residuals / 1e3, -0.97 * reach, 0.97 * reach)
        kept = np.ones(at.size, bool)
        kept[list(fit.doubtful)] = False
        self._good.set_data(at[kept], left[kept])
        self._bad.set_data(at[~kept], left[~kept])
        self._bad.set_visible(bool((~kept).any()))
        # A reading's own uncertainty: its residual over its score, as the fit weighed it.
        spread = 2 * np.abs(fit.residuals / np.where(fit.scores == 0, np.inf, fit.scores)) / 1e3
        low, high = np.clip(left - spread, -reach, reach), np.clip(left + spread, -reach, reach)
        gaps = np.full(at.size, np.nan)
        self._bars.set_data(np.column_stack((at, at, at)).ravel(),
                            np.column_stack((low, high, gaps)).ravel())
        for row, words in enumerate((_estimates(fit), _doubts(fit))):
            self._words[row].set_text(f"{words[0].upper()}{words[1:]}")
            self._words[row].set_position((0.095, 0.945 - 0.065 * row))

    def describe(self, result: PracticeBench | BenchFit) -> str:
        """Coil and fixed capacitance with their 95 % intervals, and what is doubtful."""
        fit = result.fit if isinstance(result, PracticeBench) else result
        words = f"{_sentence(fit)} {_doubts(fit)}"
        if isinstance(result, PracticeBench):
            truth = show(result.truth.inductance, "H", digits=5)
            words += (f" The practice receiver's true coil is {truth}, which lies "
                      f"{'inside' if result.coil_held else 'outside'} that interval.")
        return f"{words} {self._note}".strip()

    def explain(self, result: PracticeBench | BenchFit) -> str:
        """Why these readings say no more than they do."""
        fit = result.fit if isinstance(result, PracticeBench) else result
        used = len(fit.readings) - len(fit.doubtful)
        words = (
            f"{_SOUGHT[len(fit.estimates)]} numbers are sought from {used} readings, so {fit.freedom} are left to check them "
            "by. Each bar is two standard uncertainties long to either side; about one bar in "
            "twenty may miss the zero line. Four times as many readings halve the interval, and "
            "so does reading the dial twice as finely."
        )
        if fit.bowed:
            return (f"Two numbers are sought from {used} readings. What is left bends in a row, where "
                    "chance would scatter it: no plate law fits, or the pointer or the drive slips, or "
                    "a capacitor is another than the plan says. More readings would only make a wrong "
                    "coil look surer, so no ± is given.")
        if fit.widened > 1:
            words += (f" These scatter {fit.widened:.2g} times more than their uncertainties "
                      "allow, so the interval has been widened by as much: look for what was "
                      "forgotten, such as play in the drive.")
        if fit.doubtful:
            words += (" A doubtful reading is not wrong because it is far off, but because the "
                      "others leave it less than one chance in a hundred. Take it again.")
        return words


def _estimates(fit: BenchFit) -> str:
    return ", ".join(estimate.says() for estimate in fit.estimates.values())


def _sentence(fit: BenchFit) -> str:
    words = _estimates(fit)
    sure = "but what is left bends in a row" if fit.bowed else "with 95 % confidence"
    return f"{words[0].upper()}{words[1:]}, {sure}."


def _called(reading: Reading, place: int) -> str:
    """A reading by its row in the form, or by its place where it was not typed."""
    return f"number {place + 1}" if reading.row is None else f"row {reading.row}"


def _doubts(fit: BenchFit) -> str:
    if not fit.doubtful:
        return "No reading is doubtful."
    named = [
        f"{_called(fit.readings[n], n)} at {show(round(fit.readings[n].at, 2) + 0.0, '°', digits=4)}, off by "
        f"{show(float(fit.residuals[n]), 'Hz', digits=3)}"
        for n in fit.doubtful[:2]
    ]
    more = len(fit.doubtful) - len(named)
    return f"Doubtful, and left out: {'; '.join(named)}{f'; and {more} more' if more else ''}."

"""How finely a dial can be set, from end to end, against what the ear needs."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.dial import DialRates
from rxlearn.compute.quantities import show
from rxlearn.figures.scene import LiveFigure

LEAST, MOST = 1.0, 20e3
"""Ends of the axis of Hz to one degree of the knob."""


class DialFigure(LiveFigure):
    """Hz to one degree of the knob over the turn, what is needed, and the present place.

    ``degrees`` is the shaft's rotation and fixes the axis; ``note`` opens every description.
    """

    name = "dial"
    size = (900, 320)

    def __init__(self, degrees: float, note: str = "") -> None:
        self._degrees, self._note = degrees, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """A logarithmic axis of what a hand sets, and three rows of words above it."""
        axes = figure.add_axes((0.1, 0.155, 0.88, 0.6))
        axes.set(xlim=(0, self._degrees), yscale="log", ylim=(LEAST, MOST),
                 xlabel="shaft opened by (°)", ylabel="Hz to 1° of the knob")
        axes.set_yticks([1, 10, 100, 1000, 10000], ["1", "10", "100", "1000", "10 000"])
        axes.minorticks_off()
        axes.set_xticks([self._degrees * i / 6 for i in range(7)],
                        [show(self._degrees * i / 6, "", digits=3) for i in range(7)])
        self._needed = self.line(axes, "needed", "warning", linewidth=2)
        self._needed_words = self.label(axes, "needed-words", "warning", fontsize=10.5)
        self._curve = self.line(axes, "curve", "signal", linewidth=2.6)
        self._here = self.line(axes, "here", "oscillator", linestyle="none", marker="o",
                               markersize=9)
        self._across = self.line(axes, "across", "quiet", linewidth=1.0, linestyle=(0, (3, 3)))
        top = figure.add_axes((0.1, 0.79, 0.88, 0.19))
        top.set(xlim=(0, 1), ylim=(0, 1))
        top.set_axis_off()
        self._rows = [self.label(top, f"row-{i}", "ink", fontsize=12) for i in range(2)]
        self._rows[0].set_position((0, 0.62))
        self._rows[1].set_position((0, 0.14))

    def update(self, result: DialRates) -> None:
        """Move the curve, the line of need and the point."""
        steps = np.where((result.hand_steps >= LEAST) & (result.hand_steps <= MOST),
                         result.hand_steps, np.nan)
        self._curve.set_data(result.coverage.angles, steps)
        self._curve.set_visible(bool(np.isfinite(steps).any()))
        self._needed.set_data([0, self._degrees], [result.needed] * 2)
        self._needed_words.set_text(f"{show(result.needed, 'Hz')}: {result.signal} wants this")
        self._needed_words.set_position((0.01 * self._degrees, 0.6 * result.needed))
        step = float(np.clip(result.hand_step, LEAST, MOST))
        self._here.set_data([result.angle], [step])
        self._across.set_data([result.angle] * 2, [LEAST, step])
        self._rows[0].set_text(
            f"Here: {_hz(result.per_degree)} to a degree of the shaft, {_hz(result.per_turn)} to a "
            f"turn of the knob, {_hz(result.per_division)} to a division"
        )
        self._rows[1].set_text(
            f"A hand sets {_hz(result.hand_step)} (1° of the knob): {_verdict(result)}")

    def describe(self, result: DialRates) -> str:
        """The three rates here, the hand's step, and whether that will do."""
        words = (
            f"Opened by {result.angle:.0f}°, behind {show(result.drive.reduction, '', digits=4)}"
            f":1, the dial tunes {_hz(result.per_degree)} to a degree, {_hz(result.per_turn)} to a "
            f"turn and {_hz(result.per_division)} to a division. A hand sets "
            f"{_hz(result.hand_step)}: {_verdict(result)}."
        )
        return f"{self._note} {words}".strip()

    def explain(self, result: DialRates) -> str:
        """Turns and divisions in all, evenness, and the reduction that would do."""
        worst = float(result.hand_steps.max())
        needed = result.drive.reduction * worst / result.needed
        cure = (
            f"To set {show(result.needed, 'Hz')} everywhere it would take a reduction of "
            f"{needed:.0f}:1, {show(360 / needed, '°', digits=2)} of the shaft to a turn. "
            if worst > result.needed else
            "Even where it tunes fastest that is fine enough. "
        )
        return (
            f"The whole dial is {_hz(result.coverage.span)} in "
            f"{show(result.turns, '', digits=3)} turns of {result.drive.divisions} divisions. It "
            f"tunes {result.coverage.unevenness:.1f} times as fast at its fastest as at its "
            f"slowest, and strays from an even scale by up to {abs(result.coverage.bow):.0%} of "
            f"its range. {cure}A reduction makes every place finer by the same factor; band spread "
            "does it by leaving less to tune."
        )


def _verdict(result: DialRates) -> str:
    if result.times_too_coarse <= 1:
        return f"fine enough for {result.signal}"
    return f"{result.times_too_coarse:.1f} times too coarse for {result.signal}"


def _hz(frequency: float) -> str:
    return show(frequency, "Hz", digits=3)

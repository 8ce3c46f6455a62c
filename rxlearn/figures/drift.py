"""How far an oscillator wanders as it warms, before and after compensation."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from rxlearn.compute.drift import Compensation
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

WARMEST = 30.0
"""Right-hand end of the axis, °C above the start."""

FARTHEST = 10e3
"""Ends of the axis of frequency, Hz."""


class DriftFigure(LiveFigure):
    """Frequency change over temperature: without, with, and the compensating part's tolerance.

    ``note`` opens every description.
    """

    name = "drift"
    size = (900, 330)

    def __init__(self, note: str = "") -> None:
        self._note = note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Fixed axes: 30 °C, and 10 kHz either way."""
        axes = figure.add_axes((0.085, 0.15, 0.895, 0.63))
        axes.set(xlim=(0, WARMEST), ylim=(-FARTHEST, FARTHEST), ylabel="moved by (kHz)",
                 xlabel="warmer by (°C)", title="What warming up does to the oscillator")
        axes.title.set_fontsize(style.SIZE)
        axes.set_yticks([f * 1e3 for f in range(-10, 11, 5)], [str(f) for f in range(-10, 11, 5)])
        axes.axhline(0, color=style.LIGHT["ink"], linewidth=1.0)
        self._band = self.moving("band", axes.add_patch(Polygon(
            [(0, 0), (1, 1), (1, -1)], closed=True, facecolor=style.LIGHT["signal"], alpha=0.2,
            edgecolor="none")))
        self._before = self.line(axes, "before", "oscillator", linewidth=2.2)
        self._after = self.line(axes, "after", "signal", linewidth=2.8)
        self._rise = self.line(axes, "rise", "quiet", linewidth=1.0, linestyle=(0, (3, 3)))
        top = figure.add_axes((0.085, 0.855, 0.895, 0.135))
        top.set(xlim=(0, 1), ylim=(0, 1))
        top.set_axis_off()
        self._words = [self.label(top, f"words-{i}", role, fontsize=11)
                       for i, role in enumerate(("oscillator", "signal"))]
        self._words[0].set_position((0, 0.6))
        self._words[1].set_position((0, 0.06))

    def update(self, result: Compensation) -> None:
        """Move both lines, the tolerance's wedge and the words."""
        def clip(values: np.ndarray) -> np.ndarray:
            return np.clip(values, -FARTHEST, FARTHEST)

        def seen(values: np.ndarray) -> np.ndarray:
            return np.where(np.abs(values) <= FARTHEST, values, np.nan)

        rises = result.rises
        self._before.set_data(rises, seen(result.moved_before))
        self._after.set_data(rises, seen(result.moved_after))
        self._band.set_xy(np.concatenate([
            np.stack([rises, clip(result.moved_least)], 1),
            np.stack([rises, clip(result.moved_most)], 1)[::-1],
        ]))
        self._rise.set_data([result.rise] * 2, [-FARTHEST, FARTHEST])
        self._words[0].set_text(
            f"– – not compensated: {_hz(result.before.per_degree)} per °C, "
            f"{_hz(result.moved_before[-1])} after {result.rise:.0f} °C")
        self._words[1].set_text(
            f"—— with {_pf(result.fitted)} of {result.code.trade_name or result.code.code}: "
            f"{_hz(result.after.per_degree)} per °C, ± {_hz(result.after.uncertainty)}; "
            f"{_hz(result.moved_after[-1])} after {result.rise:.0f} °C")

    def describe(self, result: Compensation) -> str:
        """Drift before and after, in Hz and on the dial."""
        name = _name(result)
        wanted = (
            f"{_pf(result.wanted)} of {name} would leave none" if result.wanted is not None
            else f"no amount of {name} would leave none"
        )
        degrees = abs(result.moved_after[-1]) / result.rate
        after = (
            f"; with {_pf(result.fitted)} of {name} by {_hz(result.moved_after[-1])}"
            if result.fitted else ""
        )
        words = (
            f"Warmer by {result.rise:.0f} °C the oscillator moves by "
            f"{_hz(result.moved_before[-1])}{after}, {degrees:.2f}° of the dial. "
            f"{wanted[0].upper()}{wanted[1:]}."
        )
        return f"{self._note} {words}".strip()

    def explain(self, result: Compensation) -> str:
        """The rule with the present numbers, and what tolerance leaves."""
        before, after = result.before, result.after
        unknown = (
            f"The code allows ± {result.code.tolerance:.0f} ppm/°C, so ± {_hz(after.uncertainty)} "
            "per °C stays unknown until you measure. "
            if result.fitted else ""
        )
        on_the_dial = abs(result.moved_before[-1]) / result.rate
        return (
            f"Half of coil and capacitors together: -({before.coil:.0f} + "
            f"{before.capacitors:.0f}) / 2 = {before.relative:.1f} ppm/°C, which at "
            f"{show(before.frequency, 'Hz', digits=4)} is {_hz(before.per_degree)} per °C. "
            f"{_pf(result.fitted)} of {_pf(result.total)} at "
            f"{result.code.nominal:+.0f} ppm/°C brings the capacitors to {after.capacitors:+.1f}. "
            f"{unknown}On the dial the uncompensated drift is {on_the_dial:.2f}° at "
            f"{_hz(result.rate)} to a degree."
        )


def _name(result: Compensation) -> str:
    code = result.code
    return f"{code.code} ({code.trade_name})" if code.trade_name else code.code


def _pf(capacitance: float) -> str:
    return show(capacitance, "F", prefix="p", decimals=1)


def _hz(frequency: float) -> str:
    return show(frequency, "Hz", digits=3)

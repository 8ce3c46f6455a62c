"""A dial before and after a capacitor is switched across its tank."""

from __future__ import annotations

from matplotlib.figure import Figure

from rxlearn.compute.quantities import show
from rxlearn.compute.switched_dial import SwitchedSpread
from rxlearn.figures import style
from rxlearn.figures.flag import Flag
from rxlearn.figures.scene import LiveFigure

ROWS = {"before": 1.0, "after": 0.0}
MARKS = 11
"""Strokes on either bar, a tenth of the turn apart."""


class SwitchedDialFigure(LiveFigure):
    """Two bars over signal frequency, with a stroke at every tenth of the turn, and the target.

    ``low`` and ``high`` (Hz of the signal) fix the axis, ``to_signal`` (Hz) is
    added to the oscillator's frequency; ``note`` opens every description.
    """

    name = "switched-dial"
    size = (900, 280)

    def __init__(self, low: float, high: float, to_signal: float, note: str = "") -> None:
        self._limits, self._to_signal, self._note = (low, high), to_signal, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Two rows and a marker for the target."""
        axes = figure.add_axes((0.125, 0.17, 0.855, 0.73))
        axes.set(xlim=self._limits, ylim=(-0.5, 2.2), yticks=[],
                 xlabel="signal frequency (MHz)",
                 title="Where the whole dial lies; a stroke at each tenth of the turn")
        axes.title.set_fontsize(style.SIZE)
        axes.spines["left"].set_visible(False)
        axes.xaxis.set_major_formatter(lambda x, _: f"{x / 1e6:.2f}")
        for row, name in (("before", "capacitor out"), ("after", "capacitor in")):
            axes.text(self._limits[0], ROWS[row], f"{name} ", ha="right", va="center",
                      fontsize=11)
        self._bars = {
            row: self.line(axes, f"bar-{row}", role, linewidth=9, linestyle="-",
                           solid_capstyle="butt")
            for row, role in (("before", "signal"), ("after", "oscillator"))
        }
        self._strokes = {row: self.line(axes, f"strokes-{row}", "ink", linewidth=1.4)
                         for row in ROWS}
        self._words = {row: Flag(self, axes, f"words-{row}", "ink") for row in ROWS}
        self._target = self.marker(axes, "target", "warning", linewidth=2)
        self._flag = Flag(self, axes, "target-words", "warning")

    def update(self, result: SwitchedSpread) -> None:
        """Move both bars, their strokes and the target."""
        low, high = self._limits
        for row, coverage in (("before", result.before), ("after", result.after)):
            ends = [min(max(edge + self._to_signal, low), high)
                    for edge in (coverage.low, coverage.high)]
            self._bars[row].set_visible(ends[0] < ends[1])
            self._bars[row].set_data(ends, [ROWS[row]] * 2)
            step = (len(coverage.frequencies) - 1) // (MARKS - 1)
            marks = coverage.frequencies[::step] + self._to_signal
            marks = marks[(marks >= low) & (marks <= high)]
            xs, ys = [], []
            for mark in marks:
                xs += [mark, mark, float("nan")]
                ys += [ROWS[row] - 0.16, ROWS[row] + 0.16, float("nan")]
            self._strokes[row].set_data(xs, ys)
            words = f"{_mhz(coverage.low + self._to_signal)} to " \
                    f"{_mhz(coverage.high + self._to_signal)}, {_khz(coverage.span)}"
            if row == "after":
                words = f"{_pf(result.switched)}: {words}"
            self._words[row].place(ends[0], ROWS[row] + 0.3, words)
        target = result.target + self._to_signal
        self._target.set_xdata([target, target])
        self._flag.place(target, 1.85, f"wanted {_mhz(target)}")

    def describe(self, result: SwitchedSpread) -> str:
        """Where the dial went, whether the target is on it, and what it costs in width."""
        target = _mhz(result.target + self._to_signal)
        where = (
            f"{target} stands at {result.place:.0f}° of the turn" if result.place is not None
            else f"{target} is not on the dial"
        )
        wanted = (
            f"{show(result.wanted, 'F', prefix='p', decimals=2)} would bring it to "
            f"{result.angle:.0f}°"
            if result.wanted is not None
            else "no capacitor can bring it there, since adding only lowers a tank"
        )
        words = (
            f"With {_pf(result.switched)} switched in the dial moves down by "
            f"{_khz(-result.moved)} and becomes {_percent(1 - result.narrower)} narrower."
            if result.switched else "Nothing is switched in yet."
        )
        words = f"{words} {where}; {wanted}."
        return f"{self._note} {words}".strip()

    def explain(self, result: SwitchedSpread) -> str:
        """How much capacitance there was, and why the spread changes with it."""
        total = (result.before.total_at_low + result.before.total_at_high) / 2
        share = result.switched / total
        why = (
            "That is why a switched capacitor that only reaches the next time station hardly "
            "spoils the scale, and one that pulls far asks for a scale of its own. The switch brings 1 pF "
            "to 3 pF along, which count."
        )
        if not result.switched:
            return (
                f"The tank holds about {_pf(total)}. What is switched in adds to that all over the "
                f"dial, so the dial moves down and becomes narrower. {why}"
            )
        return (
            f"The tank holds about {_pf(total)}, so {_pf(result.switched)} adds "
            f"{_percent(share)}. The frequency falls by about half of that; the dial's width goes "
            "with the power −3/2 of the whole, so it loses about three times as much as the frequency, "
            f"{_percent(1 - result.narrower)}. {why}"
        )


def _percent(share: float) -> str:
    return show(100 * share, "%", decimals=1)


def _pf(capacitance: float) -> str:
    return show(capacitance, "F", prefix="p", decimals=1)


def _khz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="k", decimals=1)


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)

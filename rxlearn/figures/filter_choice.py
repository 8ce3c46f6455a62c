"""Choke and resistor side by side: what voltage and what ripple each leaves at the load."""

from __future__ import annotations

from math import nan

from matplotlib.figure import Figure

from rxlearn.compute.filter_choice import FilterChoice
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

LEAST_RIPPLE, MOST_RIPPLE = 1e-3, 100.0
"""Ends of the axis of ripple, V r.m.s."""

_BARS = {"linewidth": 16, "linestyle": "-", "solid_capstyle": "butt"}


class FilterChoiceFigure(LiveFigure):
    """A row for the choke and one for the resistor; ``volts`` ends the axis, ``allowed`` (V) is the
    ripple that the ear forgives."""

    name = "filter-choice"
    size = (900, 270)

    def __init__(self, volts: float, allowed: float, note: str = "") -> None:
        self._volts, self._allowed, self._note = volts, allowed, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Two axes, two rows each."""
        left = figure.add_axes((0.13, 0.33, 0.37, 0.5))
        right = figure.add_axes((0.56, 0.33, 0.37, 0.5))
        left.set(xlim=(0, 1.2 * self._volts), ylim=(2, 0))
        right.set(xlim=(LEAST_RIPPLE, MOST_RIPPLE), xscale="log", ylim=(2, 0))
        left.set_title("Voltage at the load (V)")
        right.set_title("Ripple at the load (V r.m.s.)")
        ticks = [1e-3, 1e-2, 0.1, 1, 10, 100]
        right.set_xticks(ticks, [f"{tick:g}" for tick in ticks])
        right.minorticks_off()
        for axes in (left, right):
            axes.set_yticks([])
        for row, name in enumerate(("choke", "resistor")):
            left.text(-0.03 * self._volts, row + 0.58, name, ha="right")
        right.axvline(self._allowed, color=style.LIGHT["warning"], linewidth=1.4,
                      linestyle=style.DASHES["warning"])
        self._voltage = self.line(left, "voltage", "signal", **_BARS)
        self._ripple = self.line(right, "ripple", "image", **_BARS)
        self._words = [self.label(axes, f"words-{key}-{row}", "ink", fontsize=11)
                       for axes, key in ((left, "v"), (right, "r")) for row in range(2)]
        side = figure.add_axes((0.02, 0.0, 0.96, 0.22))
        side.set(xlim=(0, 1), ylim=(0, 1))
        side.set_axis_off()
        self._sum = self.label(side, "sum", "ink", fontsize=12)
        self._sum.set_position((0.0, 0.3))
        if self._note:
            figure.text(0.01, 0.955, self._note, fontsize=8.5, color=style.LIGHT["warning"],
                        parse_math=False)

    def update(self, result: FilterChoice) -> None:
        """Move the four bars and their figures."""
        pairs = (result.choke, result.resistor)
        volts = [found.output_voltage for found in pairs]
        ripples = [found.capacitors[-1].ripple_rms for found in pairs]
        bars = ((self._voltage, volts, 0.0, 1.2 * self._volts),
                (self._ripple, ripples, LEAST_RIPPLE, MOST_RIPPLE))
        for line, values, low, high in bars:
            x, y = [], []
            for row, value in enumerate(values):
                x += [low, min(max(value, low), high), nan]
                y += [row + 0.5, row + 0.5, nan]
            line.set_data(x, y)
        for row in range(2):
            self._words[row].set_text(_volts(volts[row]))
            self._words[row].set_position((0.02 * self._volts, row + 0.95))
            self._words[2 + row].set_text(_ripple(ripples[row]))
            self._words[2 + row].set_position((1.2 * LEAST_RIPPLE, row + 0.95))
        rating = result.rating
        part = "more than one resistor" if rating.rating is None else show(rating.rating, "W", prefix="")
        self._sum.set_text(
            f"Resistor: {show(rating.current, 'A', digits=3)} through "
            f"{show(result.resistance, 'Ω', digits=3)}, {show(rating.power, 'W', digits=2)} of heat, "
            f"buy {part}.  Dotted: a ripple of {show(self._allowed, 'V')}, as much as is allowed.")

    def describe(self, result: FilterChoice) -> str:
        """Both voltages and both ripples."""
        choke, resistor = result.choke, result.resistor
        return (f"With the choke the load gets {_volts(choke.output_voltage)} and a ripple of "
                f"{_ripple(choke.capacitors[-1].ripple_rms)}; with "
                f"{show(result.resistance, 'Ω', digits=3)} in its place "
                f"{_volts(resistor.output_voltage)} and {_ripple(resistor.capacitors[-1].ripple_rms)}.")

    def explain(self, result: FilterChoice) -> str:
        """Why a choke does better, and what makes up for it."""
        ripple = result.resistor.capacitors[-1].ripple_rms
        words = (f"The choke holds the ripple back by its reactance and lets the direct current pass; "
                 f"the resistor meets both alike. Here it costs {_volts(result.lost)} against the "
                 f"choke and leaves {result.ripple_ratio:.2g} times the ripple. ")
        if ripple <= self._allowed:
            return words + "That is still little enough: it serves."
        return words + ("That hums. More capacitance divides it further and costs no voltage; more "
                        "resistance divides it as well, and costs voltage and heat.")


def _volts(value: float) -> str:
    return show(value, "V", prefix="", digits=3)


def _ripple(value: float) -> str:
    return show(value, "V", digits=2)

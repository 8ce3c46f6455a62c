"""A single-layer coil drawn to scale, and three formulas for its inductance against what is wanted."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.coils import WHEELER_FROM, WoundCoil
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.coil_drawing import former_of, turns_of
from rxlearn.figures.scene import LiveFigure

LONGEST = 60.0
"""Longest winding (mm) that the drawing holds to scale."""

ROWS = (("round wire", "signal"), ("ribbon sheet", "image"), ("Wheeler's rule", "oscillator"))
LEAST, MOST = 0.25, 4.0
"""Ends of the axis: times what is wanted."""


class WindCoilFigure(LiveFigure):
    """Left the coil in true proportions beside a centimetre; right what each formula gives.

    A bar that ends off the scale says how many times it is, with an arrow.

    ``note`` opens every description.
    """

    name = "wind-coil"
    size = (900, 290)

    def __init__(self, note: str = "") -> None:
        self._note = note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Equal scales across and up, so that a coil looks as it will."""
        width, height = self.size
        per_mm = 6.2
        across, up = 78.0 * per_mm / width, 36.0 * per_mm / height
        axes = figure.add_axes((0.01, 0.115, across, up))
        axes.set(xlim=(-6, 72), ylim=(-18, 18), xticks=[], yticks=[])
        axes.set_title("To scale", fontsize=style.SIZE)
        axes.grid(False)
        for spine in axes.spines.values():
            spine.set_visible(False)
        axes.plot([60, 70], [-17, -17], color=style.LIGHT["ink"], linewidth=3,
                  solid_capstyle="butt")
        axes.text(59, -17.5, "10 mm", ha="right", va="baseline", fontsize=10.5)
        self._former = self.line(axes, "former", "quiet", linewidth=1.2)
        self._turns = self.line(axes, "turns", "oscillator", linewidth=1.0, linestyle="-")
        self._fit = self.label(axes, "fit", "ink", fontsize=10.5)
        self._fit.set_position((-5.5, -19.8))
        self._rates = self._bars(figure)

    def _bars(self, figure: Figure):
        axes = figure.add_axes((0.665, 0.175, 0.315, 0.7))
        axes.set(xscale="log", xlim=(LEAST, MOST), ylim=(-0.45, 2.8), yticks=[],
                 xlabel="times what is wanted")
        axes.set_title("Inductance by three formulas", fontsize=style.SIZE)
        axes.set_xticks([0.25, 0.5, 1, 2, 4], ["1/4", "1/2", "1", "2", "4"])
        axes.minorticks_off()
        axes.spines["left"].set_visible(False)
        axes.axvline(1, color=style.LIGHT["ink"], linewidth=1.4)
        self._bar, self._word = [], []
        for i, (_, role) in enumerate(ROWS):
            y = 2.0 - i
            self._bar.append(self.line(axes, f"bar-{i}", role, linewidth=8, linestyle="-",
                                       solid_capstyle="butt"))
            word = self.label(axes, f"word-{i}", "ink", fontsize=10.5)
            word.set_position((LEAST * 1.03, y + 0.27))
            self._word.append(word)
        self._spread = self.line(axes, "spread", "ink", linewidth=2.2)
        return axes

    def update(self, result: WoundCoil) -> None:
        """Draw the coil anew and move the bars."""
        coil = result.coil
        self._former.set_data(*former_of(coil, left=0.0))
        self._turns.set_data(*turns_of(coil))
        need = coil.turns * coil.wire.overall
        self._fit.set_text(
            f"{coil.turns:g} turns need {_mm(need)} side by side: "
            + ("they fit." if coil.fits else "THEY DO NOT FIT."))
        for i, value in enumerate((result.inductance, result.sheet, result.wheeler)):
            share = min(max(value / result.wanted, LEAST), MOST)
            self._bar[i].set_data([LEAST, share], [2.0 - i] * 2)
            times = value / result.wanted
            off = "" if LEAST <= times <= MOST else f", {times:.2g} times {'→' if times > 1 else '←'}"
            self._word[i].set_text(f"{ROWS[i][0]}: {_henry(value)}{off}")
        edges = [result.inductance * (1 + side * result.uncertainty) / result.wanted
                 for side in (-1, 1)]
        left, right = np.clip(edges, LEAST, MOST)
        self._spread.set_data([left, left, np.nan, left, right, np.nan, right, right],
                              [1.8, 2.2, np.nan, 2.0, 2.0, np.nan, 1.8, 2.2])

    def describe(self, result: WoundCoil) -> str:
        """What the coil gives, how far from what is wanted, and what it takes."""
        coil = result.coil
        fits = "" if coil.fits else " The turns do not fit on that length."
        words = (
            f"{coil.turns:g} turns of {coil.wire.name} over {_mm(coil.length)} on {_mm(coil.former)} "
            f"give {_henry(result.inductance)} ± {100 * result.uncertainty:.1f} %, {_off(result.off)} "
            f"the {_henry(result.wanted)} wanted, and take {show(result.wire_length, 'm', digits=3)} "
            f"of wire.{fits}")
        return f"{self._note} {words}".strip()

    def explain(self, result: WoundCoil) -> str:
        """Which knob does what, with the numbers on screen, and what Wheeler's rule is worth here."""
        coil = result.coil
        rule = f"Wheeler's rule lies {100 * abs(result.wheeler_off):.1f} % " + (
            "above" if result.wheeler_off > 0 else "below")
        worth = "good enough for the bench" if coil.shape >= WHEELER_FROM else (
            "which grows as the coil becomes flatter")
        wire = 100 * (result.inductance / result.sheet - 1)
        twice = 4 * result.inductance
        return (
            f"The inductance goes with the turns squared: twice the turns on this length would give "
            f"about {_henry(twice)}. It goes nearly with the diameter squared, and falls as the turns "
            f"spread. The coil is {coil.shape:.2g} diameters long. {rule} the ribbon sheet, {worth}. "
            f"Round wire with gaps changes the sheet by {wire:+.1f} % here. The bar across is what "
            "1 % of diameter, 0.5 mm of length and a tenth of a turn leave uncertain.")


def _mm(length: float) -> str:
    return show(length, "m", prefix="m", digits=3)


def _henry(value: float) -> str:
    return show(value, "H", digits=3)


def _off(off: float) -> str:
    if abs(off) < 0.0005:
        return "just"
    if abs(off) > 1:
        return f"{1 + off:.3g} times"
    return f"{abs(100 * off):.1f} % {'above' if off > 0 else 'below'}"

"""Q of a coil over frequency: where the number may be trusted, and where not."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.coil_q import HIGHEST_SHARE, LEAST_DEPTHS, QCurve
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

LEAST, MOST = 10.0, 1000.0


class CoilQFigure(LiveFigure):
    """One curve, whole where the model holds and dotted where it does not; a mark where it works.

    ``low`` and ``high`` (Hz) are the ends of the picture; ``note`` opens every description.
    """

    name = "coil-q"
    size = (900, 300)

    def __init__(self, low: float, high: float, note: str = "") -> None:
        self._low, self._high, self._note = low, high, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Both axes logarithmic, with ticks that the trade reads."""
        axes = figure.add_axes((0.07, 0.17, 0.91, 0.64))
        axes.set(xscale="log", yscale="log", xlim=(self._low / 1e6, self._high / 1e6),
                 ylim=(LEAST, MOST), xlabel="frequency (MHz)", ylabel="Q")
        axes.set_yticks([10, 20, 50, 100, 200, 500, 1000],
                        ["10", "20", "50", "100", "200", "500", "1000"])
        ticks = [f for f in (0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200)
                 if self._low / 1e6 <= f <= self._high / 1e6]
        axes.set_xticks(ticks, [f"{tick:g}" for tick in ticks])
        axes.minorticks_off()
        self._here = self.marker(axes, "here", "quiet", linewidth=1.2)
        self._trusted = self.line(axes, "trusted", "signal", linewidth=2.4)
        self._doubted = self.line(axes, "doubted", "warning", linewidth=2.0)
        self._dot = self.line(axes, "dot", "ink", marker="o", linestyle="None", markersize=7)
        left, right = self._low / 1e6, self._high / 1e6
        self._words = self.label(axes, "words", "ink", fontsize=11)
        self._words.set_position((left, MOST * 1.55))
        self._trust = self.label(axes, "trust", "ink", fontsize=11)
        self._trust.set_position((left, MOST * 1.1))
        axes.text(right, MOST * 1.55, "dotted: do not trust it", ha="right", va="baseline",
                  fontsize=11, color=style.LIGHT["warning"])

    def update(self, result: QCurve) -> None:
        """Move both parts of the curve, the mark and the words."""
        x, here = result.frequencies / 1e6, result.here
        self._trusted.set_data(x, np.where(result.trusted, result.values, np.nan))
        inside = result.trusted & np.roll(result.trusted, 1) & np.roll(result.trusted, -1)
        self._doubted.set_data(x, np.where(inside, np.nan, result.values))
        self._here.set_xdata([here.frequency / 1e6] * 2)
        self._dot.set_data([here.frequency / 1e6], [min(max(here.q, LEAST), MOST)])
        self._words.set_text(
            f"{here.coil.turns:.3g} turns over {_mm(here.coil.length)}: Q {here.q:.0f} at "
            f"{show(here.frequency, 'Hz', digits=4)}")
        doubts = here.doubts
        self._trust.set_text(
            f"at the mark: {doubts[0]}" if doubts else
            f"at the mark: {here.coil.wire.diameter / here.depth:.0f} skin depths thick, "
            f"{here.self_resonance / here.frequency:.0f} times below self-resonance")

    def describe(self, result: QCurve) -> str:
        """Q at the mark, what is lost to what, and whether to believe it."""
        here = result.here
        doubts = f" Doubt it: {'; '.join(here.doubts)}." if here.doubts else ""
        former = "" if np.isinf(here.q_former) else (
            f", and the former takes it from {here.q_wire:.0f} to {here.q:.0f}")
        words = (
            f"{here.coil.turns:.3g} turns of {here.coil.wire.name} make "
            f"{show(here.inductance, 'H', digits=3)} with a Q of {here.q:.0f} at "
            f"{show(here.frequency, 'Hz', digits=4)}; the wire's resistance rises "
            f"{here.skin:.3g} times by the skin effect and {here.proximity:.3g} times more by its "
            f"neighbours{former}.{doubts}")
        return f"{self._note} {words}".strip()

    def explain(self, result: QCurve) -> str:
        """Skin depth, neighbours, former, and the limits with today's numbers."""
        here = result.here
        limit = HIGHEST_SHARE * here.self_resonance
        return (
            f"At {show(here.frequency, 'Hz', digits=4)} the current keeps to the outer "
            f"{show(here.depth, 'm', digits=2)} of the wire. Turns that lie close push it aside "
            f"further: alone, this wire would give a Q of {result.without_neighbours:.0f}. Thicker "
            "wire helps until it crowds the turns. The coil has "
            f"{show(here.own_capacitance, 'F', digits=2)} of its own and resonates by itself near "
            f"{show(here.self_resonance, 'Hz', digits=3)}; above a third of that, "
            f"{show(limit, 'Hz', digits=3)}, and where the wire is less than {LEAST_DEPTHS:g} skin "
            "depths thick, the curve is dotted. In a receiver expect half to nine tenths of it.")


def _mm(length: float) -> str:
    return show(length, "m", prefix="m", digits=3)

"""Two coils on one former, drawn to scale, and the response that their gap makes."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.coil_pairs import CoilPair
from rxlearn.compute.quantities import show
from rxlearn.figures.coil_drawing import MM, former_of, turns_of
from rxlearn.figures.double_tuned import _khz, _state
from rxlearn.figures.scene import LiveFigure

LOWEST, HIGHEST = -50.0, 6.0
ROOM = (360.0, 190.0)
"""Pixels across and up that the drawing may take."""


class CoilPairFigure(LiveFigure):
    """Left the former with both windings; right the response.

    ``centre`` and ``span`` (Hz) fix the response's picture; ``note`` opens every description.
    """

    name = "coil-pair"
    size = (900, 290)

    def __init__(self, centre: float, span: float, note: str = "") -> None:
        self._centre, self._span, self._note = centre, span, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """The drawing in pixels; its scale bar moves with it."""
        axes = figure.add_axes((0.01, 0.06, 0.41, 0.85))
        axes.set(xlim=(0, ROOM[0] + 9), ylim=(-123, 123), xticks=[], yticks=[])
        axes.grid(False)
        for spine in axes.spines.values():
            spine.set_visible(False)
        self._former = self.line(axes, "former", "quiet", linewidth=1.2)
        self._turns = self.line(axes, "turns", "oscillator", linewidth=0.9, linestyle="-")
        self._bar = self.line(axes, "bar", "ink", linewidth=3, solid_capstyle="butt")
        self._size = self.label(axes, "size", "ink", fontsize=10.5)
        self._coil = self.label(axes, "coil", "ink", fontsize=11)
        self._coil.set_position((4, 108))
        right = figure.add_axes((0.49, 0.165, 0.49, 0.66))
        half = self._span / 2e3
        right.set(xlim=(-half, half), ylim=(LOWEST, HIGHEST), ylabel="level (dB)",
                  xlabel=f"distance from {show(self._centre, 'Hz', digits=7)} (kHz)")
        self._pair = self.line(right, "pair", "signal", linewidth=2.4)
        self._words = self.label(right, "words", "ink", fontsize=11)
        self._words.set_position((-half, HIGHEST + 7.5))
        self._more = self.label(right, "more", "ink", fontsize=11)
        self._more.set_position((-half, HIGHEST + 1.5))

    def update(self, result: CoilPair) -> None:
        """Draw both windings, the scale and the response."""
        coil = result.coil
        whole = 2 * coil.length + result.gap
        scale = min(10 * MM, (ROOM[0] - 20) / (whole + 6e-3), ROOM[1] / (coil.diameter + 1e-3))
        start = (ROOM[0] - whole * scale) / 2
        self._former.set_data(*former_of(coil, left=start, length=whole, scale=scale))
        one = turns_of(coil, left=start, scale=scale)
        other = turns_of(coil, left=start + (coil.length + result.gap) * scale, scale=scale)
        self._turns.set_data(*(np.concatenate(pair) for pair in zip(one, other)))
        self._bar.set_data([8, 8 + 10e-3 * scale], [-112, -112])
        self._size.set_text("10 mm")
        self._size.set_position((14 + 10e-3 * scale, -116))
        self._coil.set_text(f"two of {coil.turns:.0f} turns, {_mm(result.gap)} between them")
        x = (result.sweep.frequencies - self._centre) / 1e3
        self._pair.set_data(x, result.sweep.levels_db.clip(2 * LOWEST))
        pair = result.pair
        self._words.set_text(f"k = {100 * pair.coupling:.3g} %, {_state(pair)}")
        self._more.set_text(f"{_khz(pair.bandwidth())} wide, {pair.dip_db:.1f} dB dip")

    def describe(self, result: CoilPair) -> str:
        """Coil, gap, coupling and width, and the gap for critical coupling."""
        pair, coil = result.pair, result.coil
        critical = "no gap on this former is critical" if result.critical_gap is None else (
            f"critical would be {_mm(result.critical_gap)}")
        words = (
            f"Two coils of {coil.turns:.0f} turns of {coil.wire.name} on {_mm(coil.former)}, "
            f"{_mm(result.gap)} apart, couple by {100 * pair.coupling:.3g} % and are "
            f"{_khz(pair.bandwidth())} wide, {_state(pair)}; {critical}.")
        return f"{self._note} {words}".strip()

    def explain(self, result: CoilPair) -> str:
        """How the coupling falls with the gap, and why the width is what it is."""
        pair = result.pair
        least = np.sqrt(2) * pair.centre / result.loaded_q
        return (
            f"{show(result.capacitance, 'F', digits=3)} on {show(result.centre, 'Hz', digits=6)} asks "
            f"for {show(result.coil.inductance, 'H', digits=3)} each. The coupling falls ever faster "
            "with the gap, in the end with its third power. At a Q of "
            f"{result.loaded_q:.0f} critical coupling is {100 * pair.critical:.3g} % and the pair "
            f"{_khz(least)} wide: width is the frequency over Q, times 1.41. Coils cannot make it "
            "narrower than their own Q allows: that is what crystals are for.")


def _mm(length: float) -> str:
    return show(length, "m", prefix="m", digits=3)

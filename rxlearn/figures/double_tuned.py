"""Two tuned circuits, coupled under, at and over the critical: the response, and one circuit beside."""

from __future__ import annotations

from matplotlib.figure import Figure

from rxlearn.compute.coupled_circuits import CoupledPair, CoupledSweep
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

LOWEST, HIGHEST = -50.0, 6.0
"""Ends of the level axis, dB."""

NEAR = 0.02
"""A coupling index this near to 1 is called critical."""


class DoubleTunedFigure(LiveFigure):
    """Level over frequency: the pair, one circuit alone, marks at the humps and the 3 dB points.

    ``centre`` and ``span`` (Hz) fix the picture; ``note`` opens every description.
    """

    name = "double-tuned"
    size = (900, 310)

    def __init__(self, centre: float, span: float, note: str = "") -> None:
        self._centre, self._span, self._note = centre, span, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Frequencies as distances from the middle, kHz."""
        axes = figure.add_axes((0.075, 0.165, 0.905, 0.65))
        half = self._span / 2e3
        axes.set(xlim=(-half, half), ylim=(LOWEST, HIGHEST), ylabel="level (dB)",
                 xlabel=f"distance from {show(self._centre, 'Hz', digits=7)} (kHz)")
        self._width = self.line(axes, "width", "intermediate", linewidth=6, solid_capstyle="butt")
        self._single = self.line(axes, "single", "oscillator", linewidth=1.6)
        self._pair = self.line(axes, "pair", "signal", linewidth=2.4)
        self._humps = self.line(axes, "humps", "ink", marker="v", linestyle="None", markersize=7)
        self._words = self.label(axes, "words", "ink", fontsize=11)
        self._words.set_position((-half, HIGHEST + 7))
        self._more = self.label(axes, "more", "ink", fontsize=11)
        self._more.set_position((-half, HIGHEST + 1.5))
        axes.text(half, HIGHEST + 7, "dashes: one circuit alone", ha="right", va="baseline",
                  fontsize=11, color=style.LIGHT["oscillator"])
        axes.text(half, HIGHEST + 1.5, "bar: between the 3 dB points", ha="right", va="baseline",
                  fontsize=11, color=style.LIGHT["intermediate"])

    def update(self, result: CoupledSweep) -> None:
        """Move both curves, the bar and the marks."""
        pair = result.pair
        x = (result.frequencies - self._centre) / 1e3
        self._pair.set_data(x, result.levels_db.clip(2 * LOWEST))
        self._single.set_data(x, result.single_db.clip(2 * LOWEST))
        edges = [(edge - self._centre) / 1e3 for edge in pair.edges()]
        half = self._span / 2e3
        self._width.set_data([max(edges[0], -half), min(edges[1], half)], [LOWEST + 2] * 2)
        seen = [hump for hump in pair.humps if abs(hump - self._centre) < self._span / 2]
        self._humps.set_data([(hump - self._centre) / 1e3 for hump in seen],
                             [pair.peak_db + 2.2] * len(seen))
        self._words.set_text(f"{_state(pair)}: {pair.index:.2f} times the critical coupling")
        self._more.set_text(f"{_khz(pair.bandwidth())} wide, {pair.dip_db:.1f} dB dip")

    def describe(self, result: CoupledSweep) -> str:
        """Which of the three it is, how wide, how deep the dip, how much is lost in the middle."""
        pair = result.pair
        dip = f", with a dip of {pair.dip_db:.1f} dB between two humps" if pair.hump else ", one hump"
        words = (
            f"{_state(pair).capitalize()}: k is {100 * pair.coupling:.3g} %, critical would be "
            f"{100 * pair.critical:.3g} %. The pair is {_khz(pair.bandwidth())} wide at 3 dB{dip}; "
            f"the middle is {_lost(pair)}.")
        return f"{self._note} {words}".strip()

    def explain(self, result: CoupledSweep) -> str:
        """Why there are humps or none, with the numbers, and how steep the skirts are."""
        pair = result.pair
        far = 10 * pair.centre / max(pair.first_q, pair.second_q)
        if pair.hump:
            why = (f"Each circuit puts a loss into the other that is larger than its own, so the "
                   f"middle is held down and the tops part, to {_khz(pair.humps[1] - pair.humps[0])} "
                   "from each other. Beyond that, more coupling does not raise the tops: it only "
                   "moves them.")
        elif pair.index > 1 + NEAR:
            why = ("The middle gets less already, but with unlike circuits two humps begin only at "
                   f"{pair.transitional / pair.critical:.2f} times the critical coupling.")
        elif abs(pair.index - 1) <= NEAR:
            why = ("What each circuit puts into the other is just its own loss: the middle gets all "
                   "there is to get, and the top is as flat as one hump can be.")
        else:
            why = ("So little is coupled over that either circuit behaves as if alone, and the two "
                   "responses multiply.")
        level = pair.level_db(pair.centre + min(far / 2, 0.5 * pair.centre)) - pair.peak_db
        return (f"{why} Five bandwidths of the sharper circuit away the pair is {abs(level):.0f} dB "
                "below its top: two circuits fall twice as steeply as one.")


def _state(pair: CoupledPair) -> str:
    if abs(pair.index - 1) <= NEAR:
        return "critical"
    return "over-coupled" if pair.index > 1 else "under-coupled"


def _lost(pair: CoupledPair) -> str:
    lost = -pair.centre_db
    return "as high as it can be" if lost < 0.05 else f"{lost:.1f} dB below what it could be"


def _khz(width: float) -> str:
    return show(width, "Hz", digits=3, prefix="k")

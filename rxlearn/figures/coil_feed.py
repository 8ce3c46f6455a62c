"""A tap or a link on a coil: how much of the power gets in, truly and by the rule of turns."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.coil_taps import BESIDE, Fed
from rxlearn.compute.coils import Coil
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.coil_drawing import former_of, turns_of
from rxlearn.figures.scene import LiveFigure

NAMES = {"tap": "tap", "over": "link wound over the earthed end",
         "beside": "link beside the earthed end"}


class CoilFeedFigure(LiveFigure):
    """Left the coil with its tap or link; right the power taken over the turns.

    ``coil`` is the plan's preselector coil, ``note`` opens every description.
    """

    name = "coil-feed"
    size = (900, 290)

    def __init__(self, coil: Coil, note: str = "") -> None:
        self._coil, self._note = coil, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """The coil fills its place; the curve has the turns across."""
        coil = self._coil
        axes = figure.add_axes((0.01, 0.06, 0.36, 0.83))
        scale = min(300 / (1.45 * coil.length + 8e-3), 200 / (1.35 * coil.diameter))
        self._scale = scale
        axes.set(xlim=(0, 324), ylim=(-120, 120), xticks=[], yticks=[])
        axes.set_title("The earthed end is on the left", fontsize=style.SIZE)
        axes.grid(False)
        for spine in axes.spines.values():
            spine.set_visible(False)
        self._left = 0.45 * coil.length * scale + 8
        axes.plot(*former_of(coil, left=self._left, beyond=2e-3, scale=scale),
                  color=style.LIGHT["quiet"], linewidth=1.2)
        axes.plot(*turns_of(coil, left=self._left, scale=scale), color=style.LIGHT["oscillator"],
                  linewidth=0.9)
        self._mark = self.line(axes, "mark", "signal", linewidth=3)
        self._curves(figure)

    def _curves(self, figure: Figure) -> None:
        axes = figure.add_axes((0.45, 0.165, 0.53, 0.66))
        axes.set(xlim=(0, max(self._coil.turns, 3)), ylim=(0, 105),
                 xlabel="turns of the tap or the link", ylabel="power taken (%)")
        self._true = self.line(axes, "true", "signal", linewidth=2.4)
        self._rule = self.line(axes, "rule", "oscillator", linewidth=1.8)
        self._here = self.marker(axes, "here", "quiet", linewidth=1.2)
        self._dot = self.line(axes, "dot", "ink", marker="o", linestyle="None", markersize=7)
        self._words = self.label(axes, "words", "ink", fontsize=11)
        self._words.set_position((0, 121))
        self._load = self.label(axes, "load", "ink", fontsize=11)
        self._load.set_position((0, 109))
        axes.text(1, 109 / 105, "dashes: by the rule of turns", ha="right", va="baseline",
                  fontsize=11, color=style.LIGHT["oscillator"], transform=axes.transAxes)

    def update(self, result: Fed) -> None:
        """Move the mark on the coil, both curves and the words."""
        turns = result.feeds.turns
        self._true.set_data(turns, 100 * result.taken_at)
        self._rule.set_data(turns, 100 * result.rule_at)
        self._here.set_xdata([result.turns] * 2)
        self._dot.set_data([result.turns], [100 * result.taken])
        self._words.set_text(f"{NAMES[result.feeds.how]}, {_turns(result.turns)}: "
                             f"{100 * result.taken:.0f} % of the power gets in")
        self._load.set_text(f"loaded Q {result.loaded_q:.0f} of {result.q:.0f}")
        self._mark.set_data(*self._marked(result))

    def _marked(self, result: Fed) -> tuple[np.ndarray, np.ndarray]:
        """The tap as a stroke up from its turn, a link as turns of its own."""
        coil, scale = self._coil, self._scale
        half = coil.diameter / 2 * scale
        if result.feeds.how == "tap":
            x = self._left + result.turns * coil.pitch * scale
            return np.array([x, x]), np.array([half * 0.9, half * 1.3])
        over = result.feeds.how == "over"
        wire = coil.wire.overall
        former = coil.former + (2 * wire if over else 0.0)
        second = Coil(turns=result.turns, former=former, length=result.turns * wire, wire=coil.wire)
        start = self._left + (0.0 if over else -(BESIDE + second.length) * scale)
        return turns_of(second, left=start, scale=scale)

    def describe(self, result: Fed) -> str:
        """How much gets in at these turns, and what that does to Q."""
        words = (
            f"A {NAMES[result.feeds.how]} of {_turns(result.turns)} on {self._coil.turns:.3g} takes "
            f"{100 * result.taken:.0f} % of the power of a {show(result.source, 'Ω', digits=3)} "
            f"source and leaves a loaded Q of {result.loaded_q:.0f} of {result.q:.0f}.")
        return f"{self._note} {words}".strip()

    def explain(self, result: Fed) -> str:
        """Match, what the rule says, and where most gets in."""
        side = "too much" if result.match > 1.15 else "too little" if result.match < 0.87 else "just"
        loading = {"just": "the source loads the circuit just as much as its own loss: matched.",
                   "too much": "more than matched: power is sent back and Q is lost.",
                   "too little": "less than matched: Q is high, power is sent back."}[side]
        return (
            f"The source loads the circuit {result.match:.3g} times as much as its own loss: {loading} "
            f"The rule of turns says {result.by_turns:.3g} times, as if every turn caught the same "
            f"flux. Most gets in with {_turns(result.best)}; the rule says {result.best_by_turns:g}. "
            "Matched, half the Q is left; for selectivity one couples less and gives power away.")


def _turns(turns: float) -> str:
    return "1 turn" if turns == 1 else f"{turns:g} turns"

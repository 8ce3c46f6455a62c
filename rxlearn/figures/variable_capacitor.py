"""A variable capacitor over its turn: capacitance and frequency, one curve for each plate law."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rxlearn.compute.quantities import show
from rxlearn.compute.variable_capacitor import PLATE_LAWS, Turned
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

QUIET_DASHES = {
    "capacitance": "-", "frequency": (0, (6, 2)), "wavelength": (0, (2, 2)),
    "midline": (0, (8, 2, 1, 2)),
}
"""Line style of each law where it is not the chosen one."""


class VariableCapacitorFigure(LiveFigure):
    """Left: capacitance over the turn.  Right: frequency, as a share of the highest.

    ``minimum``, ``maximum`` (F) and ``degrees`` are the capacitor's and fix the
    axes; ``note``, if there is one, opens every description.
    """

    name = "variable-capacitor"
    size = (900, 320)

    def __init__(
        self, minimum: float, maximum: float, degrees: float, note: str = ""
    ) -> None:
        self._ends = minimum, maximum
        self._degrees, self._note = degrees, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Two axes over the same turn, four quiet curves and a chosen one in each."""
        _, most = self._ends
        left = figure.add_axes((0.07, 0.165, 0.39, 0.71))
        left.set(ylim=(0, 1.05 * most), ylabel="capacitance (pF)",
                 title="The capacitor alone")
        ticks = [most * i / 5 for i in range(6)]
        left.set_yticks(ticks, [show(t * 1e12, "", digits=3) for t in ticks])
        right = figure.add_axes((0.555, 0.165, 0.43, 0.71))
        right.set(ylim=(0, 1.05), ylabel="frequency over highest",
                  title="With a coil and what is put across it")
        right.set_yticks([0, 0.25, 0.5, 0.75, 1])
        for axes in (left, right):
            axes.set(xlim=(0, self._degrees), xlabel="opened by (°); 0° is fully meshed")
            axes.set_xticks([self._degrees * i / 6 for i in range(7)],
                            [show(self._degrees * i / 6, "", digits=3) for i in range(7)])
            axes.title.set_fontsize(style.SIZE)
        self._all = {
            (side, law): self.line(axes, f"{side}-{law}", "quiet", linewidth=1.0,
                                   linestyle=QUIET_DASHES[law])
            for side, axes in (("left", left), ("right", right)) for law in PLATE_LAWS
        }
        self._chosen = {side: self.line(axes, f"{side}-chosen", "signal", linewidth=3)
                        for side, axes in (("left", left), ("right", right))}
        self._points = {side: self._mark(axes, side) for side, axes in (("left", left),
                                                                        ("right", right))}
        self._words = {
            "left": self.label(left, "left-words", "signal", ha="right"),
            "right": self.label(right, "right-words", "signal", ha="right"),
        }
        self._words["left"].set_position((0.985 * self._degrees, 0.985 * most))
        for i, (law, words) in enumerate(PLATE_LAWS.items()):
            height = (0.9 - 0.066 * i) * most
            left.plot([0.55 * self._degrees, 0.63 * self._degrees], [height + 0.015 * most] * 2,
                      color=style.LIGHT["quiet"], linewidth=1.0, linestyle=QUIET_DASHES[law])
            left.text(0.645 * self._degrees, height, words.replace("straight-line ", ""),
                      fontsize=10, color=style.LIGHT["quiet"])
        self._words["right"].set_position((0.985 * self._degrees, 0.03))

    def _mark(self, axes: Axes, side: str):
        return self.line(axes, f"{side}-point", "oscillator", marker="o", markersize=9,
                         linestyle="none")

    def update(self, result: Turned) -> None:
        """Move the curves, the chosen one, and the points."""
        law = result.variable.law
        for name in PLATE_LAWS:
            self._all["left", name].set_data(result.angles, result.capacitances[name])
            self._all["right", name].set_data(result.angles, result.shares[name])
        self._chosen["left"].set_data(result.angles, result.capacitances[law])
        self._chosen["right"].set_data(result.angles, result.shares[law])
        share = result.frequency / result.highest
        self._points["left"].set_data([result.angle], [result.capacitance])
        self._points["right"].set_data([result.angle], [share])
        self._words["left"].set_text(f"{PLATE_LAWS[law]}: {_pf(result.capacitance)}")
        self._words["right"].set_text(f"{share:.3f} of the highest")

    def describe(self, result: Turned) -> str:
        """The setting, what it has there, and where that lies in the range of frequency."""
        words = PLATE_LAWS[result.variable.law]
        across = f" with {_pf(result.added)} across it" if result.added else ""
        said = (
            f"{words[0].upper()}{words[1:]}, opened by {result.angle:.0f}° of "
            f"{result.variable.degrees:.0f}°: {_pf(result.capacitance)}. The frequency{across} is "
            f"{result.frequency / result.highest:.3f} of the highest, with {result.place:.0%} of "
            "the range below it."
        )
        return f"{self._note} {said}".strip()

    def explain(self, result: Turned) -> str:
        """What the law keeps even, and what fixed capacitance does to it."""
        even = {
            "capacitance": "the capacitance falls evenly, so the frequency rises slowly at first "
                           "and rushes at the open end",
            "frequency": "the frequency rises evenly, as long as nothing is across the capacitor",
            "wavelength": "the wavelength falls evenly, as on the dials of early broadcast sets",
            "midline": "each degree changes the frequency by the same percentage",
        }[result.variable.law]
        ratio = result.highest / result.lowest
        added = (
            f"{_pf(result.added)} across it leaves a tuning ratio of {ratio:.3f} and pulls all "
            "four laws together"
            if result.added else
            f"Alone it tunes over a ratio of √({_pf(result.variable.maximum)} / "
            f"{_pf(result.variable.minimum)}) = {ratio:.3f}, far more than a band of a few percent"
        )
        return (
            f"The plates are cut so that {even}. {added}. All four meet at both ends, since the "
            "law only says how the capacitor gets from one to the other."
        )


def _pf(capacitance: float) -> str:
    return show(capacitance, "F", prefix="p", decimals=1)

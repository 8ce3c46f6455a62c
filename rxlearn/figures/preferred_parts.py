"""Which values a counter sells, and how near one part or two come to the value wanted."""

from __future__ import annotations

from math import nan

from matplotlib.figure import Figure

from rxlearn.compute.part_ratings import PreferredChoice
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure


class PreferredPartsFigure(LiveFigure):
    """One decade of a series from ``low`` (F): a dot for each value, a bar for its tolerance."""

    name = "preferred-parts"
    size = (900, 270)

    def __init__(self, low: float) -> None:
        self._low = low
        super().__init__()

    def build(self, figure: Figure) -> None:
        """One logarithmic axis; the sums stand below it."""
        low = self._low
        axes = figure.add_axes((0.04, 0.4, 0.93, 0.42))
        axes.set(xlim=(0.78 * low, 13 * low), xscale="log", ylim=(0, 3))
        axes.set_yticks([])
        axes.set_title("Values of the series, each with its tolerance (pF)", pad=20)
        ticks = [1, 1.5, 2, 3, 4, 5, 6, 8, 10]
        axes.set_xticks([low * tick for tick in ticks],
                        [show(low * tick, "F", prefix="p").removesuffix(" pF") for tick in ticks])
        axes.minorticks_off()
        self._bars = self.line(axes, "bars", "quiet", linewidth=5, solid_capstyle="butt", alpha=0.55)
        (dots,) = axes.plot([], [], marker="o", markersize=6, linestyle="None",
                            color=style.LIGHT["ink"])
        self._dots = self.moving("dots", dots)
        self._wanted = self.marker(axes, "wanted", "signal", linewidth=1.8)
        self._made = self.marker(axes, "made", "oscillator", linewidth=1.8)
        self._wanted_words = self.label(axes, "wanted-words", "signal", fontsize=11)
        self._wanted_words.set_position((0.78 * low, 3.14))
        self._made_words = self.label(axes, "made-words", "oscillator", fontsize=11, ha="right")
        self._made_words.set_position((13 * low, 3.14))
        side = figure.add_axes((0.04, 0.0, 0.93, 0.24))
        side.set(xlim=(0, 1), ylim=(0, 1))
        side.set_axis_off()
        self._rows = []
        for row in range(2):
            label = self.label(side, f"row-{row}", "ink", fontsize=12.5)
            label.set_position((0.0, 0.68 - 0.46 * row))
            self._rows.append(label)

    def update(self, result: PreferredChoice) -> None:
        """Move dots and bars to the series, and both markers."""
        x, y, heights = [], [], []
        for place, step in enumerate(result.steps):
            height = 0.7 + 0.8 * (place % 3)
            heights.append(height)
            x += [step * (1 - result.tolerance), step * (1 + result.tolerance), nan]
            y += [height, height, nan]
        self._bars.set_data(x, y)
        self._dots.set_data(result.steps, heights)
        self._wanted.set_xdata([result.wanted] * 2)
        self._made.set_xdata([result.made] * 2)
        self._wanted_words.set_text(f"solid: wanted, {_farad(result.wanted)}")
        self._made_words.set_text(f"dashed: bought, {_farad(result.made)}")
        pair = result.pair
        self._rows[0].set_text(
            f"One part: {_farad(pair.single)}, {_percent(pair.single_error)}"
            f"{'' if result.two else '   ← taken'}")
        self._rows[1].set_text(
            f"Two in parallel: {_farad(pair.first)} + {_farad(pair.second)} = {_farad(pair.made)}, "
            f"{_percent(pair.error)}{'   ← taken' if result.two else ''}")

    def describe(self, result: PreferredChoice) -> str:
        """What is taken, and by how much it misses."""
        taken = (f"{_farad(result.pair.first)} and {_farad(result.pair.second)} in parallel make "
                 f"{_farad(result.made)}" if result.two else
                 f"the nearest value is {_farad(result.made)}")
        return (f"{_farad(result.wanted)} is wanted: of {result.series}, {taken}, "
                f"{_percent(result.error)}.")

    def explain(self, result: PreferredChoice) -> str:
        """Miss against tolerance, and when two parts are worth it."""
        miss, allowed = abs(result.error), result.tolerance
        words = (f"{result.series} has {len(result.steps) - 1} values in a decade, made for "
                 f"{100 * allowed:.0f} % parts: their bars meet or nearly so, and no wanted value is "
                 "far from all of them. ")
        if miss <= allowed / 10:
            return words + (f"Here the miss of {_percent(result.error)} is small beside what the part "
                            "itself may be off.")
        if result.two:
            return words + ("Two parts come nearer than one, but each keeps its own tolerance: "
                            "measure them before you trust the sum.")
        return words + (f"Here one part misses by {_percent(result.error)}. For a bypass that is "
                        f"nothing; across a tuned circuit it moves the dial by about "
                        f"{_percent(-result.error / 2)}, since the frequency goes with the root.")


def _farad(value: float) -> str:
    return show(value, "F", digits=4, prefix="p")


def _percent(ratio: float) -> str:
    return "exact" if abs(ratio) < 5e-5 else f"{100 * ratio:+.2g} %"

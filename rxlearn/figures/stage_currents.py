"""Heater and high-tension current of each stage as bars, with their sums beside what is allowed."""

from __future__ import annotations

from math import nan

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rxlearn.compute.quantities import show
from rxlearn.compute.stage_currents import DrawnCurrents
from rxlearn.compute.stages import ReceiverStage
from rxlearn.figures.scene import LiveFigure

MOST_ROWS = 12
"""Stages that the picture has room for; the sums count all."""

_BARS = {"linewidth": 10, "linestyle": "-", "solid_capstyle": "butt"}


class StageCurrentsFigure(LiveFigure):
    """A row for each stage: its name, a bar for its heater, a bar for its anode and screens.

    ``heaters`` and ``supply`` (A) end the two axes; ``note``, if any, opens every description.
    """

    name = "stage-currents"
    size = (900, 330)

    def __init__(self, stages: tuple[ReceiverStage, ...], heaters: float, supply: float,
                 note: str = "") -> None:
        self._stages = [s for s in stages if s.heater_current or s.supply_current
                        or s.function in ("lamp", "output")][:MOST_ROWS]
        self._ends, self._note = (heaters, supply), note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Names at fixed heights, and an axis for each kind of current that ends at ``_ends``."""
        rows = len(self._stages)
        heaters = figure.add_axes((0.27, 0.2, 0.28, 0.7))
        supply = figure.add_axes((0.66, 0.2, 0.28, 0.7))
        for axes, end, title in ((heaters, self._ends[0], "Heater (A)"),
                                 (supply, self._ends[1], "Anode and screens (mA)")):
            axes.set(xlim=(0, end), ylim=(max(rows, 1), 0))
            axes.set_yticks([])
            axes.set_title(title)
        ticks = supply.get_xticks()
        supply.set_xticks(ticks, [f"{1e3 * tick:g}" for tick in ticks])
        supply.set_xlim(0, self._ends[1])
        for row, stage in enumerate(self._stages):
            name = f"{stage.device}, {stage.name}"
            heaters.text(-0.03 * self._ends[0], row + 0.66, name if len(name) < 37 else name[:36] + "…",
                         fontsize=9.5, ha="right", parse_math=False)
        self._bars = (self.line(heaters, "heaters", "oscillator", **_BARS),
                      self.line(supply, "supply", "signal", **_BARS))
        self._values = [self._column(axes, key, rows) for axes, key in ((heaters, "h"), (supply, "s"))]
        self._sums = tuple(
            self.label(axes, f"sum-{key}", "ink", fontsize=11, weight="bold")
            for axes, key in ((heaters, "h"), (supply, "s")))
        for text, axes in zip(self._sums, (heaters, supply), strict=True):
            text.set_transform(axes.transAxes)
            text.set_position((0 if axes is supply else -0.5, -0.27))

    def _column(self, axes: Axes, key: str, rows: int) -> list:
        found = []
        for row in range(rows):
            text = self.label(axes, f"{key}-{row}", "quiet", fontsize=9)
            text.set_position((0, row + 0.66))
            found.append(text)
        return found

    def update(self, result: DrawnCurrents) -> None:
        """Move both sets of bars, their figures and the sums."""
        drawn = result.drawn.stages
        shown = [next(s for s in drawn if (s.device, s.function) == (stage.device, stage.function))
                 for stage in self._stages]
        for column, (bars, end) in enumerate(zip(self._bars, self._ends, strict=True)):
            x, y = [], []
            for row, stage in enumerate(shown):
                value = (stage.heater_current, stage.supply_current)[column]
                x += [0.0, min(value, end), nan]
                y += [row + 0.5, row + 0.5, nan]
                text = self._values[column][row]
                text.set_position((min(value, end) + 0.015 * end, row + 0.66))
                text.set_text(show(value, "A", digits=3) if value else "")
            bars.set_data(x, y)
        words = result.drawn
        self._sums[0].set_text(f"Heaters: {_amperes(words.heaters)} of {_amperes(result.heater_rating)}"
                               + (": too much" if words.heaters > result.heater_rating else ""))
        self._sums[1].set_text(f"High tension: {_amperes(words.supply)}; supply reckons with "
                               f"{_amperes(result.load)}")
        self._sums[1].set_ha("center")
        self._sums[1].set_position((0.35, -0.27))

    def describe(self, result: DrawnCurrents) -> str:
        """Both sums, and what they are held against."""
        off = f" The heater of {result.open_bulb} is open." if result.open_bulb else ""
        words = (f"The heaters draw {_amperes(result.drawn.heaters)} of the "
                 f"{_amperes(result.heater_rating)} that their winding may give; anodes and screens "
                 f"draw {_amperes(result.drawn.supply)}, and the supply reckons with "
                 f"{_amperes(result.load)}.{off}")
        return f"{self._note} {words}".strip()

    def explain(self, result: DrawnCurrents) -> str:
        """Who draws most, and what follows for the supply."""
        most, total = result.largest, result.drawn.supply
        words = "Nothing draws from the high tension."
        if total:
            words = (f"{most.device} alone draws {_amperes(most.supply_current)}, "
                     f"{100 * most.supply_current / total:.0f} % of the high-tension current.")
        if result.open_bulb:
            words += (" Heaters are in parallel, so the other valves go on glowing; the dark one "
                      "draws nothing from either winding.")
        over = total - result.load
        if abs(over) > 0.005 * max(result.load, 1e-9):
            words += (f" That is {_amperes(abs(over))} {'more' if over > 0 else 'less'} than the supply "
                      f"was planned for: its voltage will stand {'lower' if over > 0 else 'higher'}.")
        if result.drawn.heaters > result.heater_rating:
            words += " The heater winding gets too hot: another transformer, or other valves."
        return words


def _amperes(value: float) -> str:
    return show(value, "A", digits=3)

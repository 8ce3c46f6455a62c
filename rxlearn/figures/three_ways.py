"""Three coils of the same inductance side by side, drawn to one scale, with a row for each question."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.coil_ways import ThreeWays, Way
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.coil_drawing import MM, box, former_of, ring_of, ring_turns_of, turns_of
from rxlearn.figures.scene import LiveFigure

ROWS = ("turns", "gives", "wire", "Q, usually", "drift", "set it by")
HEADS = ("air coil", "ring core", "adjusting core")
SET_BY = ("spreading the turns", "moving the turns a little", "turning the core")
PER_MM, COLUMN, LEFT, TOP = 3.7, 265.0, 105.0, 148.0
"""Pixels to a millimetre; width of a column; where the first begins; height of the drawings."""


class ThreeWaysFigure(LiveFigure):
    """A column for each way: the coil on top, to scale, and its numbers in rows.

    ``note`` opens every description.
    """

    name = "three-ways"
    size = (900, 330)

    def __init__(self, note: str = "") -> None:
        self._note = note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """One axes in pixels over the whole picture."""
        width, height = self.size
        axes = figure.add_axes((0, 0, 1, 1))
        axes.set(xlim=(0, width), ylim=(0, height))
        axes.set_axis_off()
        self._drawn, self._cells, self._small = [], [], []
        for place, head in enumerate(HEADS):
            x = LEFT + place * COLUMN
            axes.text(x, height - 18, head, fontsize=style.SIZE, fontweight="bold",
                      va="baseline", color=style.LIGHT["ink"])
            self._drawn.append((
                self.line(axes, f"body-{place}", "quiet", linewidth=1.2),
                self.line(axes, f"turns-{place}", "oscillator", linewidth=0.9, linestyle="-"),
            ))
            small = self.label(axes, f"small-{place}", "quiet", fontsize=10)
            small.set_position((x, height - TOP + 1))
            self._small.append(small)
            cells = []
            for row in range(len(ROWS)):
                cell = self.label(axes, f"cell-{place}-{row}", "ink", fontsize=10.5)
                cell.set_position((x, self._row(row)))
                cells.append(cell)
            self._cells.append(cells)
        for row, words in enumerate(ROWS):
            axes.text(10, self._row(row), words, fontsize=10.5, va="baseline",
                      color=style.LIGHT["quiet"])
            axes.plot([8, width - 8], [self._row(row) + 17] * 2, color=style.LIGHT["grid"],
                      linewidth=0.8)
        bar = 10 * PER_MM
        axes.plot([20, 20 + bar], [height - 60] * 2, color=style.LIGHT["ink"], linewidth=3,
                  solid_capstyle="butt")
        axes.text(20, height - 80, "10 mm", fontsize=10.5, va="baseline")

    def _row(self, row: int) -> float:
        return self.size[1] - TOP - 32 - 25 * row

    def update(self, result: ThreeWays) -> None:
        """Draw the three and fill in their rows."""
        for place, way in enumerate(result.all):
            body, turns = self._drawn[place]
            for line in (body, turns):
                line.set_visible(way.built is not None)
            if way.built is not None:
                true = self._draw_way(way, body, turns, LEFT + place * COLUMN)
                self._small[place].set_text("" if true else "drawn smaller than the bar says")
            else:
                self._small[place].set_text("")
            for cell, words in zip(self._cells[place], _cells(way, place)):
                cell.set_text(words)

    def _draw_way(self, way: Way, body, turns, left: float) -> bool:
        """Draw one way; return whether it is drawn to the common scale."""
        scale = MM * PER_MM
        middle = self.size[1] - 30 - (TOP - 24) / 2
        room = COLUMN - 30
        if way.kind == "ring":
            x = left + 48
            body.set_data(*ring_of(way.built, x=x, y=middle, scale=scale))
            turns.set_data(*ring_turns_of(way.built, x=x, y=middle, scale=scale))
            return True
        coil = way.built if way.kind == "air" else way.built.coil
        scale = min(scale, room / (coil.length + 4e-3), (TOP - 40) / (coil.diameter + 1e-3))
        start = left + 2e-3 * scale
        outline = former_of(coil, left=start, middle=middle, beyond=2e-3, scale=scale)
        if way.kind == "slug":
            half = (coil.former - 1.5e-3) / 2 * scale
            core = box(start, start + min(2 * coil.former * scale, room), middle - half, middle + half)
            outline = tuple(np.concatenate([a, [np.nan], b]) for a, b in zip(outline, core))
        body.set_data(*outline)
        turns.set_data(*turns_of(coil, left=start, middle=middle, scale=scale))
        return scale == MM * PER_MM

    def describe(self, result: ThreeWays) -> str:
        """Turns and wire of each way, and which one does not go."""
        parts = [f"{head}, {way.turns:.3g} turns and {show(way.wire_length, 'm', digits=2)}"
                 for head, way in zip(HEADS, result.all) if way.built is not None]
        fails = [f"{head} as drawn does not go" for head, way in zip(HEADS, result.all) if way.problem]
        words = (f"{show(result.wanted, 'H', digits=3)} at {show(result.frequency, 'Hz', digits=4)} "
                 f"in three ways: {'; '.join(parts + fails)}.")
        return f"{self._note} {words}".strip()

    def explain(self, result: ThreeWays) -> str:
        """What speaks for each, with numbers, and why one does not go."""
        why = " ".join(f"{head.capitalize()}: {way.problem}"
                       for head, way in zip(HEADS, result.all) if way.problem)
        air, ring, slug = result.all
        parts = []
        if ring.built is not None:
            parts.append(f"A ring has whole turns only, so it misses by {100 * ring.off:+.1f} %, "
                         f"and its maker allows {100 * ring.uncertainty:.0f} % either way; its field "
                         "stays inside.")
        if slug.built is not None:
            parts.append(f"The core reaches from about {_henry(slug.low)} to {_henry(slug.high)}, "
                         "so nothing has to be exact, but it drifts most.")
        if air.built is not None:
            parts.append(f"The air coil drifts by {air.drift:.0f} ppm a degree with its former and "
                         "needs room around it: its field goes everywhere.")
        return " ".join([why, *parts]).strip()


def _cells(way: Way, place: int) -> tuple[str, ...]:
    if way.built is None:
        return ("does not go:", "see below", "", "", "", "")
    fits = "" if not way.problem else ": see below"
    if way.kind == "slug":
        gives = f"{_henry(way.low)} to {_henry(way.high)}"
    else:
        gives = f"{_henry(way.inductance)} ± {100 * way.uncertainty:.0f} %"
    least, most = way.usual_q
    return (
        f"{way.turns:.3g}{fits}", gives, show(way.wire_length, "m", digits=2, prefix="m"
                                               if way.wire_length < 1 else ""),
        f"{least:.0f} to {most:.0f}", f"{way.drift:.0f} ppm a degree", SET_BY[place],
    )


def _henry(value: float) -> str:
    return show(value, "H", digits=3)

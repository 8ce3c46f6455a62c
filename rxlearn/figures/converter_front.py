"""The converter's front end, and all that would be heard if it let it through."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.converter_setting import AlsoHeard, ConverterSetting
from rxlearn.compute.preselector import response_db
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.names import nobody
from rxlearn.figures.scene import LiveFigure

FLOOR_DB = -70.0
"""About what stray coupling lets through on a bench (common practice, no source)."""

BOTTOM_DB = -135.0
POINTS = 700
PEAK = np.array([0.995, 0.998, 0.9995, 1.0, 1.0005, 1.002, 1.005])

LINE = 10.5
"""Height in dB of a line of text, and how near two numbers may come."""


class ConverterFrontFigure(LiveFigure):
    """Response over a logarithmic frequency axis; six dots, numbered as the table's rows.

    ``band`` is the third band's name, ``lowest`` and ``highest`` the ends of the axis (Hz).
    ``note``, if there is one, opens every description.
    """

    name = "converter-front"
    size = (900, 235)
    caption = "What else ends on the intermediate frequency"
    columns = ("", "what", "lies on", "held down", "heard while the band is tuned")

    def __init__(self, band: str, lowest: float, highest: float, note: str = "") -> None:
        self._band, self._note = band, note
        self._grid = np.geomspace(lowest, highest, POINTS)
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Fixed limits; the curve moves with the station, the dots with crystal and station."""
        axes = figure.add_axes((0.075, 0.205, 0.9, 0.68))
        axes.set(xscale="log", xlim=(self._grid[0], self._grid[-1]), ylim=(BOTTOM_DB, 22),
                 xlabel="frequency (MHz, logarithmic)", ylabel="response (dB)")
        axes.set_title("The converter's front end, tuned to the station", fontsize=style.SIZE)
        places = [f * 1e6 for f in (0.1, 0.2, 0.5, 1, 2, 3, 5, 7, 10, 14, 20, 30, 50, 100, 200)]
        shown = [f for f in places if self._grid[0] <= f <= self._grid[-1]]
        axes.set_xticks(shown, [f"{f / 1e6:g}" for f in shown])
        axes.set_yticks(range(-120, 1, 20))
        axes.minorticks_off()
        axes.axhspan(BOTTOM_DB, FLOOR_DB, color=style.LIGHT["shade"], zorder=0)
        axes.text(self._grid[0] * 1.03, FLOOR_DB - 10, "stray coupling decides here", fontsize=10,
                  color=style.LIGHT["quiet"])
        self._curve = self.line(axes, "curve", "signal")
        self._dots = self.line(axes, "dots", "image", marker="o", linestyle="None", markersize=7)
        self._station = self.line(axes, "station", "signal", marker="v", linestyle="None",
                                  markersize=9)
        self._numbers = [self.label(axes, f"number-{i}", "image", ha="center", fontsize=11)
                         for i in range(6)]
        self._words = self.label(axes, "words", "signal", fontsize=10.5, ha="center")

    def update(self, result: ConverterSetting) -> None:
        """Move the curve, the dots and their numbers."""
        plan = result.plan
        # A sharp peak stands between two points of the grid: it gets its own.
        places = np.sort(np.concatenate([self._grid, result.signal * PEAK]))
        self._curve.set_data(places, np.maximum(BOTTOM_DB, response_db(
            places, result.signal, plan.loaded_q, plan.circuits)))
        self._station.set_data([result.signal], [4.0])
        half = 0.06 * math.log10(self._grid[-1] / self._grid[0])
        inside = min(self._grid[-1] / 10**half, max(self._grid[0] * 10**half, result.signal))
        self._words.set(text=_mhz(result.signal), position=(inside, 12.0))
        seen = [(i, row) for i, row in enumerate(result.also_heard)
                if self._grid[0] <= row.frequency <= self._grid[-1]]
        self._dots.set_visible(bool(seen))
        if seen:
            self._dots.set_data([row.frequency for _, row in seen],
                                [max(BOTTOM_DB + 3, -row.rejection_db) for _, row in seen])
        self._number_them(seen)

    def _number_them(self, seen: list[tuple[int, AlsoHeard]]) -> None:
        """A number over each dot, higher where it would touch another."""
        near = 0.014 * math.log10(self._grid[-1] / self._grid[0])
        taken: list[tuple[float, float]] = []
        for label in self._numbers:
            label.set_visible(False)
        for i, row in sorted(seen, key=lambda item: item[1].rejection_db):
            across, up = math.log10(row.frequency), max(BOTTOM_DB + 3, -row.rejection_db) + 7.0
            while any(abs(across - a) < near and abs(up - b) < LINE - 1 for a, b in taken):
                up += LINE
            taken.append((across, up))
            self._numbers[i].set(visible=True, text=str(i + 1), position=(row.frequency, up))

    def describe(self, result: ConverterSetting) -> str:
        """The image, and whatever is held down least."""
        plan, circuits = result.plan, result.plan.circuits
        plural = "circuit" if circuits == 1 else "circuits"
        opening = (f"{self._band} on {_mhz(result.signal)}, {circuits} tuned {plural} of loaded Q "
                   f"{plan.loaded_q:.0f}: ")
        if not plan.works:
            words = f"{opening}{plan.reasons[0]}"
        else:
            image = result.also_heard[0]
            worst = min(result.also_heard, key=lambda row: row.rejection_db)
            words = (f"{opening}the converter's image on {_mhz(image.frequency)} is held down "
                     f"{_db(image.rejection_db)}. "
                     + ("Nothing is held down less." if worst is image else
                        f"Held down least: {worst.name}, on {_mhz(worst.frequency)}, by "
                        f"{_db(worst.rejection_db)}."))
        return f"{self._note} {words}".strip()

    def explain(self, result: ConverterSetting) -> str:
        """Why the image lies where it does, and what the main receiver adds."""
        plan = result.plan
        if not plan.works:
            return "Nothing of the band reaches the main dial, so there is nothing to keep out."
        crystal, image, direct = _mhz(plan.converted.crystal), *result.also_heard[:2]
        return (
            f"The main receiver hears {_mhz(result.reading)}, and whatever the crystal on "
            f"{crystal} brings there: the station from one side, and {_mhz(image.frequency)}, as far away on "
            f"its other side. A signal on {_mhz(direct.frequency)} itself needs no crystal at all. "
            "The main receiver's own image comes along, through the converter or past it.")

    def rows(self, result: ConverterSetting) -> list[list[str]]:
        """The six, numbered as in the picture."""
        return [
            [str(i), row.name, _mhz(row.frequency), _db(row.rejection_db),
             ", ".join(row.there[:3]) or nobody(row.frequency)]
            for i, row in enumerate(result.also_heard, start=1)
        ]


def _db(level: float) -> str:
    return show(level, "dB", decimals=1) if math.isfinite(level) else "altogether"


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)

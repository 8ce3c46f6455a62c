"""Everything that a tuned receiver hears, over frequency, under its preselector's curve."""

from __future__ import annotations

from collections.abc import Sequence
from math import nan

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.mixer_levels import LIMITS, level_db
from rxlearn.compute.preselector import response_db
from rxlearn.compute.spurs import (
    BREAKTHROUGH, HALF_IF, HARMONIC_IMAGE, HIGHER, IMAGE, SUBHARMONIC, WANTED, Response, Spurious,
)
from rxlearn.compute.tuning import BandPlan
from rxlearn.figures import style
from rxlearn.figures.flag import Flag
from rxlearn.figures.names import nobody
from rxlearn.figures.scene import LiveFigure
from rxlearn.figures.spur_words import ROLES, kind_words, level, mhz

BOTTOM_DB = -110.0
"""Level below which nothing is drawn, dB."""

POOL = {WANTED: 1, IMAGE: 1, BREAKTHROUGH: 1, SUBHARMONIC: 4, HALF_IF: 2, HARMONIC_IMAGE: 12,
        HIGHER: 24}
"""How many stems of each kind there are: enough for products up to order seven."""

ROWS_DB = (6.0, 20.0, 34.0, 48.0, 62.0)
"""Heights of the label rows."""

LISTED = 8
"""Rows of the table."""


class SpurLevelsFigure(LiveFigure):
    """A stem for each response at its level; the preselector's curve above them.

    ``plans`` are the bands that it will be asked to show, in Hz.
    """

    name = "spur-levels"
    size = (900, 330)
    caption = "What else is heard, strongest first"
    columns = ("Response", "Product", "Received on", "Preselector takes", "Level", "Who is there")

    def __init__(self, plans: Sequence[BandPlan]) -> None:
        self._low = 0.6 * min(min(p.band_low, p.intermediate_frequency) for p in plans)
        self._high = 8.0 * max(p.oscillator_high for p in plans)
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Fixed logarithmic axis; a pool of stems for each kind."""
        axes = figure.add_axes((0.075, 0.15, 0.905, 0.775))
        axes.set_xscale("log")
        axes.set(xlim=(self._low, self._high), ylim=(BOTTOM_DB, 74), ylabel="level (dB)",
                 xlabel="frequency at the aerial (MHz)")
        axes.set_title("What arrives on the intermediate frequency", fontsize=style.SIZE)
        ticks = [d * 10.0**p for p in range(4, 9) for d in (1, 2, 5)
                 if self._low <= d * 10.0**p <= self._high]
        axes.set_xticks(ticks, [f"{tick / 1e6:g}" for tick in ticks])
        axes.set_xticks([], minor=True)
        axes.set_yticks([-100, -80, -60, -40, -20, 0])
        self._grid = np.geomspace(self._low, self._high, 241)
        self._axes = axes
        self._held = self.line(axes, "held", "quiet", linewidth=0.8, linestyle=(0, (1, 2)))
        self._leaders = self.line(axes, "leaders", "grid", linewidth=0.8)
        self._curve = self.line(axes, "curve", "signal", linewidth=1.2, linestyle=(0, (5, 2)))
        self._stems = {
            kind: [self.line(axes, f"{kind.split()[0]}-{i}", ROLES[kind], named=True,
                             linestyle="-", linewidth=1.6 if kind == HIGHER else 2.6)
                   for i in range(number)]
            for kind, number in POOL.items()
        }
        self._flags = [Flag(self, axes, f"flag-{i}", "ink", fontsize=10)
                       for i in range(len(ROWS_DB))]

    def update(self, result: Spurious) -> None:
        """Move the stems, the curve and the names of the strongest."""
        around = np.sort(np.append(self._grid, result.signal * np.linspace(0.97, 1.03, 31)))
        self._curve.set_data(around, response_db(
            around, result.signal, result.loaded_q, result.circuits))
        shown = [row for row in result.responses if self._low <= row.frequency <= self._high
                 and row.level_db > BOTTOM_DB]
        free = {kind: iter(stems) for kind, stems in self._stems.items()}
        for stems in self._stems.values():
            for stem in stems:
                stem.set_visible(False)
        held = []
        for row in shown:
            stem = next(free[row.kind], None)
            if stem is None:
                continue
            stem.set_visible(True)
            stem.set_data([row.frequency] * 2, [BOTTOM_DB, row.level_db])
            stem.set_label(_called(row))
            alone = float(level_db(result.mixer, row.oscillator_order, row.signal_order))
            held += [(row.frequency, row.level_db), (row.frequency, alone), (nan, nan)]
        self._held.set_data(*zip(*held))
        self._label(shown[: len(ROWS_DB)])

    def _label(self, strongest: list[Response]) -> None:
        """Names on rows of their own, the lowest frequency highest, so that none hides another."""
        leaders = []
        for flag in self._flags:
            flag.hide()
        strongest = sorted(strongest, key=lambda row: -row.frequency)
        for flag, height, row in zip(self._flags, ROWS_DB, strongest):
            words = "wanted" if row.kind == WANTED else (
                row.name if row.kind == HIGHER else kind_words(row.kind, row.oscillator_order))
            flag.place(row.frequency, height, f"{words}, {mhz(row.frequency)}")
            leaders += [(row.frequency, row.level_db), (row.frequency, height + 9), (nan, nan)]
        self._leaders.set_data(*zip(*leaders))

    def describe(self, result: Spurious) -> str:
        """What is tuned, and the strongest of the rest."""
        others = [row for row in result.responses if row.kind != WANTED][:3]
        words = "; ".join(
            f"{_what(row)} on {mhz(row.frequency)} at {level(row.level_db)}"
            f"{f', where the table holds {row.there[0]}' if row.there else ''}" for row in others)
        circuits = "1 circuit" if result.circuits == 1 else f"{result.circuits} circuits"
        return (
            f"Tuned to {mhz(result.signal)} with the oscillator on "
            f"{mhz(result.oscillator)} and {circuits} of loaded Q {result.loaded_q:g}, it also "
            f"hears: {words}."
        )

    def explain(self, result: Spurious) -> str:
        """The rule, what the preselector does to it, and how far the levels can be believed."""
        worst = next(row for row in result.responses if row.kind != WANTED)
        times = "" if abs(worst.signal_order) == 1 else (
            f", and counts {abs(worst.signal_order)}-fold, since the signal's harmonic falls so "
            "much faster")
        landed = worst.sign * (worst.oscillator_order * result.oscillator
                               + worst.signal_order * worst.frequency)
        return (
            f"Whatever makes {mhz(landed)} in the mixer is heard: {worst.name} does so for "
            f"{mhz(worst.frequency)}. Dotted, what the mixer alone would make of it; the "
            f"preselector, the dashed curve, takes {worst.attenuation_db:.0f} dB off that "
            f"signal{times}. Assumed: {result.mixer.says[0].lower()}{result.mixer.says[1:]} "
            f"{LIMITS}"
        )

    def rows(self, result: Spurious) -> list[list[str]]:
        """The strongest responses with their product and who is on the air there."""
        others = [row for row in result.responses if row.kind != WANTED][:LISTED]
        return [
            [kind_words(row.kind, row.oscillator_order), row.name, mhz(row.frequency),
             f"{row.attenuation_db:.0f} dB", level(row.level_db), "; ".join(row.there[:2]) or nobody(row.frequency)]
            for row in others
        ]


def _what(row: Response) -> str:
    """A response in a sentence."""
    if row.kind in (IMAGE, HALF_IF):
        return f"the {row.kind}"
    if row.kind == BREAKTHROUGH:
        return "the intermediate frequency itself"
    return row.name


def _called(row: Response) -> str:
    """What a stem is called when it is pointed at."""
    kind = kind_words(row.kind, row.oscillator_order)
    return f"{kind}: {row.name}, {mhz(row.frequency)}, {level(row.level_db)}"

"""The output of a mixer worked through sample by sample, with the predicted product in it."""

from __future__ import annotations

from math import nan

from matplotlib.figure import Figure

from rxlearn.compute.mixer_levels import LIMITS
from rxlearn.compute.quantities import show
from rxlearn.compute.spur_mixer import MixedSpur, SpurLine
from rxlearn.figures import style
from rxlearn.figures.flag import Flag
from rxlearn.figures.scene import LiveFigure
from rxlearn.figures.spur_words import mhz

BOTTOM_DB = -120.0
STEMS = 24
"""Lines that can be pointed at."""

ORDER = 5
"""Highest order, both together, of the lines that are named."""

LISTED = 8
"""Rows of the table."""


class SpurMixerFigure(LiveFigure):
    """The transform of the mixer's output up to ``highest`` (Hz)."""

    name = "spur-mixer"
    size = (900, 330)
    caption = "The strongest lines in the picture"
    columns = ("Product", "Comes out on", "Level", "What it is")

    def __init__(self, highest: float) -> None:
        self._highest = highest
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Fixed axes; stems for the lines, one of them the product that was predicted."""
        axes = figure.add_axes((0.075, 0.155, 0.905, 0.765))
        axes.set(xlim=(0, self._highest), ylim=(BOTTOM_DB, 78), ylabel="level (dB)",
                 xlabel="frequency at the mixer's output (MHz); 0 dB is a wanted signal's product")
        axes.set_title("Out of the mixer, read in the transform", fontsize=style.SIZE)
        axes.set_yticks([-120, -90, -60, -30, 0, 30])
        axes.xaxis.set_major_formatter(lambda x, _: f"{x / 1e6:g}")
        self._filter = self.moving("filter", axes.axvspan(
            0, 1, color=style.LIGHT["shade"], zorder=0))
        self._stems = [self.line(axes, f"stem-{i}", "quiet", named=True, linestyle="-",
                                 linewidth=1.8) for i in range(STEMS)]
        self._product = self.line(axes, "product", "warning", named=True, linestyle="-",
                                  linewidth=3.4)
        self._inputs = [self.line(axes, f"input-{i}", role, named=True, linestyle="-",
                                  linewidth=2.6)
                        for i, role in enumerate(("signal", "oscillator"))]
        self._leaders = self.line(axes, "leaders", "quiet", linewidth=0.6)
        self._flags = [Flag(self, axes, f"flag-{i}", role, fontsize=10.5)
                       for i, role in enumerate(("warning", "signal", "oscillator"))]

    def update(self, result: MixedSpur) -> None:
        """Move every stem to a line of the transform."""
        half = 0.004 * self._highest
        self._filter.set_bounds(result.intermediate_frequency - half, 0, 2 * half, 1)
        lines = [line for line in result.lines(ORDER, self._highest) if line.level_db > BOTTOM_DB]
        place = result.product_frequency
        chosen = {}
        for line in lines:
            if line.frequency == place:
                chosen["product"] = line
            elif (line.oscillator_order, abs(line.signal_order)) in ((0, 1), (1, 0)):
                chosen["signal" if line.signal_order else "oscillator"] = line
        rest = [line for line in lines if line not in chosen.values()]
        rest = sorted(rest, key=lambda line: -line.level_db)[:STEMS]
        for i, stem in enumerate(self._stems):
            stem.set_visible(i < len(rest))
            if i < len(rest):
                _put(stem, rest[i])
        seen = place <= self._highest
        self._product.set_visible(seen)
        self._product.set_data([place] * 2, [BOTTOM_DB, max(BOTTOM_DB, result.product_level_db)])
        self._product.set_label(f"the product: {result.name}, {mhz(place)}, "
                                f"{_db(result.product_level_db)}")
        for artist, name in zip(self._inputs, ("signal", "oscillator")):
            artist.set_visible(name in chosen)
            if name in chosen:
                _put(artist, chosen[name])
        self._flag(result, chosen)

    def _flag(self, result: MixedSpur, chosen: dict[str, SpurLine]) -> None:
        """Name the product, the signal and the oscillator, each on a row of its own."""
        leaders = []
        for flag in self._flags:
            flag.hide()
        words = {"product": f"{result.name} {mhz(result.product_frequency)}, "
                            f"{_db(result.product_level_db)}"}
        words |= {name: f"{name} {mhz(line.frequency)}" for name, line in chosen.items()
                  if name != "product"}
        places = {name: line.frequency for name, line in chosen.items()}
        if result.product_frequency <= self._highest:
            places["product"] = result.product_frequency
        order = sorted(places, key=lambda name: -places[name])
        tops = {name: line.level_db for name, line in chosen.items()}
        tops.setdefault("product", max(BOTTOM_DB, result.product_level_db))
        for height, name in zip((34.0, 49.0, 64.0), order):
            flag = self._flags[("product", "signal", "oscillator").index(name)]
            flag.place(places[name], height, words[name])
            leaders += [(places[name], tops[name]), (places[name], height + 8), (nan, nan)]
        self._leaders.set_data(*zip(*leaders) if leaders else ((), ()))

    def describe(self, result: MixedSpur) -> str:
        """Where the product fell, how strong it came out, and what the formula says."""
        off = result.product_frequency - result.intermediate_frequency
        where = "on the intermediate frequency" if abs(off) < result.bin_width / 2 else (
            f"{show(abs(off), 'Hz', prefix='k', decimals=0)} "
            f"{'above' if off > 0 else 'below'} the intermediate frequency")
        return (
            f"A signal on {mhz(result.signal)} and the oscillator on "
            f"{mhz(result.oscillator)}: {result.name} comes out on "
            f"{mhz(result.product_frequency)}, {where}, at {_db(result.product_level_db)} in the "
            f"transform. The formula says {_db(result.expected_db)}."
        )

    def explain(self, result: MixedSpur) -> str:
        """That nothing was put in by hand, how the product moves, and the limits."""
        n = abs(result.signal_order)
        times = {1: "once", 2: "twice", 3: "three times"}.get(n, f"{n} times")
        step = show(result.bin_width, "Hz", prefix="k", digits=3)
        moves = "as far as the station does" if n == 1 else (
            f"{times} as far as the station does, which tells it from a true signal")
        return (
            f"{result.mixer.says} Both waves are sampled, sent through that, and transformed; no "
            f"order is put in by hand. All frequencies are set on the transform's steps of {step}. "
            f"Move the station, and this product moves {moves}. With a weaker signal it falls "
            f"{'as fast as' if n == 1 else f'{times} as fast as'} the signal itself, in dB. "
            f"{LIMITS}"
        )

    def rows(self, result: MixedSpur) -> list[list[str]]:
        """The strongest lines, named."""
        lines = sorted(result.lines(ORDER, self._highest), key=lambda line: -line.level_db)
        rows = []
        for line in lines[:LISTED]:
            orders = line.oscillator_order, line.signal_order
            what = "the product looked for" if line.frequency == result.product_frequency else (
                "an input, as it went in" if sum(map(abs, orders)) == 1 else (
                    "a harmonic" if 0 in orders else "a product"))
            rows.append([line.name, mhz(line.frequency), _db(line.level_db), what])
        return rows


def _put(stem, line: SpurLine) -> None:
    """Move a stem to a line of the transform, and call it by its name."""
    stem.set_data([line.frequency] * 2, [BOTTOM_DB, line.level_db])
    stem.set_label(f"{line.name}, {mhz(line.frequency)}, {_db(line.level_db)}")


def _db(level_db: float) -> str:
    return show(level_db, "dB", decimals=1)

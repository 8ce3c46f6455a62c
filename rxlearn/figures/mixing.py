"""What leaves a mixer: its wave in time, and its lines in frequency."""

from __future__ import annotations

from math import nan

from matplotlib.figure import Figure

from rxlearn.compute.mixing import Mixing, Product
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

TOP_FREQUENCY = 16e6
"""Right-hand end of the frequency axis, Hz, before it is stretched."""

BOTTOM_DB = -70.0
"""Level below which a line is not drawn, dB relative to the incoming signal."""

ROWS_DB = (4.0, 13.0, 22.0, 31.0)
"""Heights of the label rows, one for each named product."""

NAMED = {
    "difference": "intermediate", "sum": "intermediate",
    "signal leak": "signal", "oscillator leak": "oscillator",
}
"""The products that carry a label, and the role that colours it."""


class MixingFigure(LiveFigure):
    """Upper axes: the output wave.  Lower axes: its spectrum, with the named lines labelled.

    ``stretch`` is by what the frequency axis is longer than :data:`TOP_FREQUENCY`.
    """

    name = "mixing"
    size = (900, 380)

    def __init__(self, stretch: float = 1.0) -> None:
        self._stretch, self._top = stretch, stretch * TOP_FREQUENCY
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Make both axes with fixed limits, and the artists that move."""
        wave = figure.add_axes((0.075, 0.735, 0.9, 0.2))
        wave.set(xlim=(0, 1), ylim=(-2.4, 4.4), yticks=[-2, 0, 2, 4], ylabel="output (V)",
                 title="Out of the mixer, in time")
        wave.set_xticks([])
        self._wave = self.line(wave, "wave", "ink", linewidth=1.0)
        self._span = self.label(wave, "span", "quiet", ha="right", fontsize=10)
        wave.title.set_fontsize(style.SIZE)

        lines = figure.add_axes((0.075, 0.125, 0.9, 0.5))
        lines.set(xlim=(0, self._top), ylim=(BOTTOM_DB, 40), ylabel="level (dB)",
                  xlabel="frequency (MHz); 0 dB is the incoming signal",
                  title="The same, sorted by frequency")
        ticks = [2 * self._stretch * step for step in range(9)]
        lines.set_xticks([f * 1e6 for f in ticks], [f"{f:g}" for f in ticks])
        lines.set_yticks([-60, -40, -20, 0])
        lines.title.set_fontsize(style.SIZE)
        self._spectrum = self.line(lines, "spectrum", "quiet", linewidth=1.0)
        self._leaders = self.line(lines, "leaders", "quiet", linewidth=0.6)
        self._named = {
            name: (
                self.line(lines, f"line-{role}-{i}", role, linewidth=2.4),
                self.label(lines, f"name-{i}", role, fontsize=10),
            )
            for i, (name, role) in enumerate(NAMED.items())
        }

    def update(self, result: Mixing) -> None:
        """Move the waves, the lines and their labels to ``result``."""
        share = result.time / result.time[-1]
        self._wave.set_data(share, result.output)
        self._span.set_text(f"{show(result.time[-1], 's', digits=3)} from edge to edge")
        self._span.set_position((0.995, -2.15))
        seen = result.frequencies <= self._top
        self._spectrum.set_data(result.frequencies[seen], result.levels_db[seen])
        drawn = [
            product for product in result.products if product.name in NAMED
            and product.level_db > BOTTOM_DB and product.nominal_frequency <= self._top
        ]
        # Each label has a row of its own, the lowest frequency highest, so none hides another.
        drawn.sort(key=lambda product: -product.frequency)
        for line, label in self._named.values():
            line.set_visible(False)
            label.set_visible(False)
        leaders = []
        for row, product in zip(ROWS_DB, drawn):
            self._place(product, row)
            leaders += [(product.frequency, product.level_db), (product.frequency, row), (nan, nan)]
        self._leaders.set_data(*zip(*leaders) if leaders else ((), ()))

    def _place(self, product: Product, row: float) -> None:
        """Put one named line, and its label on ``row`` (dB), turned inwards near the right edge."""
        line, label = self._named[product.name]
        line.set_visible(True)
        label.set_visible(True)
        line.set_data([product.frequency] * 2, [BOTTOM_DB, product.level_db])
        label.set_ha("left" if product.frequency < 0.7 * self._top else "right")
        shift = 6e4 * self._stretch * (1 if product.frequency < 0.7 * self._top else -1)
        label.set_text(f"{product.name} {_mhz(product.nominal_frequency)}")
        label.set_position((product.frequency + shift, row))

    def describe(self, result: Mixing) -> str:
        """Say which lines come out, how strong, and what the imbalance lets through."""
        difference, total = result.product("difference"), result.product("sum")
        words = (
            f"{_mhz(result.signal_frequency)} mixed with {_mhz(result.oscillator_frequency)} gives "
            f"the difference {_mhz(difference.nominal_frequency)} at {_db(difference)} and "
            f"the sum {_mhz(total.nominal_frequency)} at {_db(total)}."
        )
        through = [
            f"the {name.removesuffix(' leak')} at {_db(result.product(name))}"
            for name in ("signal leak", "oscillator leak")
            if result.product(name).level_db > BOTTOM_DB
        ]
        if through:
            return f"{words} The mixer also lets through {' and '.join(through)}."
        return f"{words} It is balanced: neither input comes through."

    def explain(self, result: Mixing) -> str:
        """Half each for a product, two over pi for a switch, and what balance is worth."""
        signal, oscillator = _mhz(result.signal_frequency), _mhz(result.oscillator_frequency)
        gives = {
            "multiply": "Multiplying shares the signal out in two halves, each 6.0 dB down",
            "switch": "Switching turns the signal over and over: each of the two gets 2/π of it, "
                      "3.9 dB down, and the oscillator's odd harmonics mix as well",
            "square_law": "A bend squares the two together: the product comes with twice each "
                          "frequency, and the straight part lets both inputs through",
        }[result.kind]
        difference = result.product("difference")
        return (
            f"{gives}. An intermediate-frequency filter at {_mhz(difference.nominal_frequency)} "
            f"keeps the difference and drops the rest. Move {oscillator} up by 10 kHz and "
            f"the same filter hears what was 10 kHz beside {signal}: that is tuning."
        )


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)


def _db(product: Product) -> str:
    return show(product.level_db, "dB", decimals=1)

"""The exact network for a band, and what parts that can be bought do to its ends."""

from __future__ import annotations

from matplotlib.figure import Figure

from rxlearn.compute.band_spread import Coverage
from rxlearn.compute.quantities import show
from rxlearn.compute.spread_parts import BoughtSpread
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

ROWS = ("exact", "rounded", "trimmed")
NAMES = ("exact values", "nearest\nvalues", "nearest, and\na trimmer")
REACH = 0.05
"""How far the picture reaches beyond the band, as a share of the oscillator's frequency: the
nearest value of the coarsest series moves the dial by no more."""


class SpreadPartsFigure(LiveFigure):
    """Three rows over signal frequency: exact values, nearest values, and those with a trimmer.

    ``low`` and ``high`` (Hz) are the band in signal frequency, ``to_signal``
    (Hz) is added to the oscillator's; ``band`` names it; ``note`` opens every description.
    """

    name = "spread-parts"
    size = (900, 290)

    def __init__(
        self, low: float, high: float, to_signal: float, band: str, note: str = ""
    ) -> None:
        self._low, self._high, self._to_signal = low, high, to_signal
        self._band, self._note = band, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """The band shaded, a row for each choice of parts."""
        middle = (self._low + self._high) / 2
        reach = 0.6 * (self._high - self._low) + REACH * abs(middle - self._to_signal)
        self._limits = middle - reach, middle + reach
        axes = figure.add_axes((0.125, 0.165, 0.855, 0.75))
        axes.set(xlim=self._limits, ylim=(-0.45, 2.75), yticks=[],
                 xlabel="signal frequency (kHz); the shaded part is the band")
        axes.set_title(f"What the dial covers on {self._band}", fontsize=style.SIZE,
                       parse_math=False)
        axes.spines["left"].set_visible(False)
        axes.xaxis.set_major_formatter(lambda x, _: f"{x / 1e3:,.0f}".replace(",", "\u2009"))
        axes.axvspan(self._low, self._high, color=style.LIGHT["shade"], zorder=0)
        self._bars, self._words = [], []
        for i, (row, name) in enumerate(zip(ROWS, NAMES)):
            height = 2.0 - i
            axes.text(self._limits[0] - 0.006 * reach, height, name, ha="right", va="center",
                      fontsize=11)
            self._bars.append(self.line(
                axes, f"bar-{row}", "signal" if i != 1 else "oscillator", linewidth=9,
                linestyle="-", solid_capstyle="butt"))
            self._words.append(self.label(axes, f"words-{row}", "ink", fontsize=10.5))
            self._words[i].set_position((self._limits[0] + 0.01 * reach, height + 0.27))

    def update(self, result: BoughtSpread) -> None:
        """Move the three bars and say the parts and the ends."""
        for i, coverage in enumerate((result.exact, result.rounded, result.trimmed)):
            ends = [edge + self._to_signal for edge in (coverage.low, coverage.high)]
            seen = [min(max(edge, self._limits[0]), self._limits[1]) for edge in ends]
            self._bars[i].set_visible(seen[0] < seen[1])
            self._bars[i].set_data(seen, [2.0 - i] * 2)
            self._words[i].set_text(f"{self._parts(result, i)}: {self._ends(result, coverage)}")

    def _parts(self, result: BoughtSpread, row: int) -> str:
        network = (result.exact, result.rounded, result.trimmed)[row].network
        digits = 4 if row == 0 else 3
        series = "no series" if network.series is None else (
            f"{show(network.series, 'F', digits=digits)} in series")
        if row == 2:
            fixed = f"{show(result.fixed, 'F')} + " if result.fixed else ""
            return f"{series}, {fixed}trimmer at {_pf(result.trimmer)}"
        return f"{series}, {show(network.parallel, 'F', digits=digits)} across"

    def _ends(self, result: BoughtSpread, coverage: Coverage) -> str:
        low, high = (_khz(edge + self._to_signal) for edge in (coverage.low, coverage.high))
        return f"{low} to {high} kHz, {_verdict(result, coverage)}"

    def describe(self, result: BoughtSpread) -> str:
        """The exact parts, what the nearest ones do, and what a trimmer mends."""
        words = (
            f"{self._band} wants {self._parts(result, 0)}. The nearest {result.preferred} values, "
            f"{self._parts(result, 1)}, are {_verdict(result, result.rounded)}. With "
            f"{self._parts(result, 2)}: {_verdict(result, result.trimmed)}."
        )
        return f"{self._note} {words}".strip()

    def explain(self, result: BoughtSpread) -> str:
        """The swing asked for, and which part sets the width and which the place."""
        exact = result.exact
        variable = exact.network.variable
        unevenness = exact.unevenness
        return (
            f"The coil wants {_pf(exact.total_at_low)} at the low end and "
            f"{_pf(exact.total_at_high)} at the high end: a swing of {_pf(exact.swing)}, of a "
            f"variable that has {_pf(variable.swing)}. The series capacitor sets the swing and so "
            "the width. What is across the tank sets the place: one percent too little there puts "
            "the whole dial half a percent too high, so it must be trimmed. This dial tunes "
            f"{unevenness:.1f} times as fast where it is fastest as where it is slowest."
        )


def _verdict(result: BoughtSpread, coverage: Coverage) -> str:
    """How the coverage lies on the range wanted, in a few words."""
    low, high = result.misses(coverage)
    if coverage.low >= result.high or coverage.high <= result.low:
        off = (coverage.low + coverage.high - result.low - result.high) / 2
        return f"{_hz(abs(off))} too {'high' if off > 0 else 'low'}"
    if min(low, high) > 1.0:
        return f"{_hz(max(low, high))} short at either end"
    for by, end in ((low, "low"), (high, "high")):
        if by > 1.0:
            return f"{_hz(by)} short at the {end} end"
    return "the whole band" if min(-low, -high) < 100 else (
        f"the whole band with {_hz(min(-low, -high))} to spare")


def _pf(capacitance: float) -> str:
    return show(capacitance, "F", prefix="p", decimals=1)


def _hz(width: float) -> str:
    return show(width, "Hz", prefix="k", decimals=1)


def _khz(frequency: float) -> str:
    return f"{frequency / 1e3:,.1f}".replace(",", "\u2009").removesuffix(".0")

"""The oscillator's range on every band of an ordinary receiver, and two bands on one range."""

from __future__ import annotations

from math import isnan, nan

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rxlearn.compute.multiband import Band, Multiband, coil_ratio
from rxlearn.compute.quantities import show
from rxlearn.compute.tuning import BandPlan
from rxlearn.figures import style
from rxlearn.figures.names import cut
from rxlearn.figures.scene import LiveFigure

LEAST, MOST = 0.3e6, 50e6
"""Ends of the frequency axis, Hz."""

COLUMNS = {"range": 1.02, "move": 1.33, "coil": 1.56}
"""Where the words of a row stand, in widths of the axes."""

LONGEST_NAME = 12
"""Longest band name, in characters, that stands beside a row."""


class MultibandFigure(LiveFigure):
    """A row for each band: the band in grey, the oscillator's range, and in words how it moves.

    ``bands`` are the ordinary receiver's and ``pair`` the learner's two, which
    stand apart at the bottom.
    """

    name = "multiband"
    size = (900, 340)

    def __init__(self, bands: tuple[Band, ...], pair: tuple[Band, Band]) -> None:
        self._bands, self._pair = bands, pair
        # The pair stands a row and a half lower, so that it is read as another receiver.
        self._rows = [float(-i) for i in range(len(bands))]
        self._pair_rows = [self._rows[-1] - 2.0, self._rows[-1] - 3.0]
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Rows with fixed thin bars for the bands; words in columns of their own on the right."""
        axes = figure.add_axes((0.125, 0.135, 0.475, 0.79))
        axes.set(xscale="log", xlim=(LEAST, MOST), ylim=(self._pair_rows[-1] - 0.7, 0.7),
                 yticks=[], xlabel="frequency (MHz, logarithmic)",
                 title="Thin: the band.  Thick: its oscillator, same side on all")
        axes.set_xticks([f * 1e6 for f in (0.5, 1, 2, 5, 10, 20, 50)],
                        ["0.5", "1", "2", "5", "10", "20", "50"])
        axes.minorticks_off()
        axes.grid(False, axis="y")
        axes.axhline(self._rows[-1] - 0.75, color=style.LIGHT["quiet"], linewidth=0.8)
        self._fixed_rows(axes)
        self._path = self.line(axes, "path", "quiet", linewidth=0.8)
        rows = self._rows + self._pair_rows
        self._bars = [
            self.line(axes, f"bar-{i}", "oscillator", linewidth=6, linestyle="-",
                      solid_capstyle="butt") for i in range(len(rows))
        ]
        self._words = {
            column: [self._word(axes, f"{column}-{i}", column, row) for i, row in enumerate(rows)]
            for column in COLUMNS
        }
        self._verdict = self._word(axes, "verdict", "range", self._pair_rows[0] + 1.0)

    def _fixed_rows(self, axes: Axes) -> None:
        """Each row's name and thin bar, and the heads of the columns."""
        names = [name for name, _, _ in self._bands] + [
            f"{_short(name)}, {side}" for (name, _, _), side in zip(self._pair, ("high", "low"))
        ]
        edges = [band[1:] for band in self._bands + self._pair]
        for name, (low, high), row in zip(names, edges, self._rows + self._pair_rows):
            # A learner's name for a band is plain text: a dollar sign must not start a formula.
            axes.text(-0.02, row - 0.22, name, ha="right", va="baseline", fontsize=10.5,
                      transform=axes.get_yaxis_transform(), parse_math=False)
            axes.plot([low / 1.008, high * 1.008], [row - 0.26] * 2, color=style.LIGHT["signal"],
                      linewidth=2.5, solid_capstyle="butt")
        for column, words in (("range", "oscillator (MHz)"), ("move", "middle moves"),
                              ("coil", "coil")):
            axes.text(COLUMNS[column], 1.02, words, fontsize=10, transform=axes.transAxes,
                      color=style.LIGHT["quiet"], va="baseline")

    def _word(self, axes: Axes, name: str, column: str, row: float):
        """A text in one row of one column."""
        text = self.label(axes, name, fontsize=10.5, transform=axes.get_yaxis_transform())
        text.set_position((COLUMNS[column], row - 0.22))
        return text

    def update(self, result: Multiband) -> None:
        """Move every bar, the path from middle to middle, and the words of each row."""
        plans = [step.plan for step in result.steps] + [result.above, result.below]
        for bar, plan, row in zip(self._bars, plans, self._rows + self._pair_rows):
            self._stretch(bar, plan, row)
        for words, plan in zip(self._words["range"], plans):
            words.set_text(_mhz_span(plan) if plan.works else _why_not(plan))
        for i, step in enumerate(result.steps):
            moves = i > 0 and step.plan.works and not isnan(step.centre_ratio)
            self._words["move"][i].set_text(f"{step.moved_by / 1e6:+.3f} MHz" if moves else "")
            self._words["coil"][i].set_text(f"× {_times(coil_ratio(step))}" if moves else "")
        self._verdict.set_text(_pair_words(result))
        path = [(step.plan.oscillator_centre if step.plan.works else nan, row + 0.12)
                for step, row in zip(result.steps, self._rows)]
        self._path.set_data(*zip(*path))

    def _stretch(self, bar, plan: BandPlan, row: float) -> None:
        """Lay the oscillator's range on its row; a narrow one still gets a visible width."""
        seen = plan.works and plan.oscillator_high > LEAST
        bar.set_visible(seen)
        if seen:
            low, high = max(plan.oscillator_low, LEAST), min(plan.oscillator_high, MOST)
            bar.set_data([low / 1.008, high * 1.008], [row + 0.12] * 2)

    def describe(self, result: Multiband) -> str:
        """From the first to the last working band, who shares a range, and the pair."""
        first = f"Intermediate frequency {_mhz(result.intermediate_frequency)}"
        working = result.working
        if len(working) < 2:
            return (f"{first}: with the oscillator on the {result.injection} side hardly any band "
                    f"can be tuned. {_pair_sentence(result)}")
        bottom, top = working[0].plan, working[-1].plan
        lost = len(result.steps) - len(working)
        missing = f" ({lost} cannot be tuned)" if lost else ""
        return (
            f"{first}, {result.injection} side on {len(working)} bands{missing}: the oscillator's "
            f"middle goes from {_mhz(bottom.oscillator_centre)} to {_mhz(top.oscillator_centre)}, "
            f"and {_shares(result)}. {_pair_sentence(result)}"
        )

    def explain(self, result: Multiband) -> str:
        """The same amount is added on each band, so the moves stay; only the ratios change."""
        sign = "added on" if result.injection == "high" else "taken off"
        words = (
            f"The same {_mhz(result.intermediate_frequency)} is {sign} every band, so the "
            "oscillator moves by just as much as the bands lie apart, whatever that frequency is. "
        )
        working = [s for s in result.steps[1:] if not isnan(s.centre_ratio) and s.plan.works]
        if working:
            step = max(working, key=lambda one: abs(one.moved_by))
            name = result.bands[result.steps.index(step)][0]
            words += (
                f"Into {name} it moves {_mhz(step.moved_by)}, {step.centre_ratio:.2f} times as "
                f"high, so the coil shrinks to {_times(coil_ratio(step))} of the one before. "
            )
        return words + ("Change sides instead, above on one band and below on the other, and the "
                        "two ranges move towards each other by twice the intermediate frequency.")


def _why_not(plan: BandPlan) -> str:
    if plan.band_low <= plan.intermediate_frequency <= plan.band_high:
        return "the intermediate frequency lies in this band"
    return "no oscillator: it would lie below zero"


def _pair_words(result: Multiband) -> str:
    if not (result.above.works and result.below.works):
        return "Your two bands, one on each side:"
    if result.pair_overlap > 0:
        return f"Your two bands, sharing {_plain(result.pair_overlap)} of one range:"
    return f"Your two bands, {_plain(-result.pair_overlap)} between them:"


def _pair_sentence(result: Multiband) -> str:
    lower, upper = (_short(name) for name, _, _ in result.pair)
    start = f"With the oscillator above {lower} but below {upper}"
    if not (result.above.works and result.below.works):
        return f"{start}, not both can be tuned."
    if result.pair_overlap > 0:
        return f"{start}, your two bands share {_plain(result.pair_overlap)} of one range."
    return f"{start}, your two bands' ranges lie {_plain(-result.pair_overlap)} apart."


def _plain(frequency: float) -> str:
    return show(frequency, "Hz", digits=4)


def _times(ratio: float) -> str:
    return show(ratio, "", digits=2)


def _shares(result: Multiband) -> str:
    if result.sharing == 0:
        return "no two neighbouring bands share any of it"
    changes = "change" if result.sharing == 1 else "changes"
    return f"{result.sharing} {changes} of band keep a part of the range"


def _short(name: str) -> str:
    return cut(name, LONGEST_NAME)


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)


def _mhz_span(plan: BandPlan) -> str:
    low, high = plan.oscillator_low / 1e6, plan.oscillator_high / 1e6
    return f"{low:.3f} to {high:.3f}"

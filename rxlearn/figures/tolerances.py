"""Ten thousand receivers built from one parts list: where their bands lie on their dials."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from rxlearn.compute.adding_tolerances import tally
from rxlearn.compute.drawn_receivers import band_plan
from rxlearn.compute.quantities import show, show_span
from rxlearn.compute.receiver_parts import COIL, SERIES, SPREAD_SERIES, SWING, SWITCHED
from rxlearn.compute.tolerances import Probability, Tolerances
from rxlearn.figures import style
from rxlearn.figures.adding_tolerances import hill_outline
from rxlearn.figures.scene import LiveFigure

LOW, HIGH, BINS = -41.0, 141.0, 91
"""Ends of the picture in % of the dial, in steps of two: its own ends lie in the middle of one."""

ROWS = {"untrimmed": 2.0, "trimmed": 1.0, "narrow": 0.0}
EDGES = {"low": "oscillator", "high": "signal"}
HEIGHT = 0.5
"""How high the tallest hill of a row stands, in rows."""


class ManyReceiversFigure(LiveFigure):
    """Three rows over one dial: where the two edges of a band fall in all the receivers.

    ``names`` are the wider and the narrower band's.  ``note`` opens every description.
    """

    name = "many-receivers"
    size = (900, 335)

    def __init__(self, names: tuple[str, str], note: str = "") -> None:
        self._wide, self._narrow = names
        self._note = note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """The dial from 0 to 100 %, and room beside it for the edges that miss it."""
        axes = figure.add_axes((0.17, 0.145, 0.815, 0.77))
        axes.set(xlim=(LOW, HIGH), ylim=(-0.05, 2.95), yticks=[],
                 xlabel="place on the dial (%); 0 % is its low end",
                 title="Where a band's two edges fall, receiver by receiver")
        axes.title.set_fontsize(style.SIZE)
        axes.spines["left"].set_visible(False)
        axes.set_xticks(range(-25, 126, 25))
        axes.axvspan(0, 100, color=style.LIGHT["shade"], zorder=0)
        labels = {"untrimmed": f"{self._wide},\nnot trimmed", "trimmed": f"{self._wide},\ntrimmed",
                  "narrow": f"{self._narrow},\ntrimmed"}
        self._hills, self._words = {}, {}
        for row, height in ROWS.items():
            axes.axhline(height, color=style.LIGHT["quiet"], linewidth=0.8)
            axes.text(LOW - 2, height + 0.22, labels[row], ha="right", va="center", fontsize=11,
                      parse_math=False)
            for edge, role in EDGES.items():
                self._hills[row, edge] = self.moving(f"hill-{row}-{edge}", axes.add_patch(Polygon(
                    hill_outline(np.ones(BINS), LOW, HIGH), closed=True, alpha=0.45,
                    facecolor=style.LIGHT[role], edgecolor=style.LIGHT[role],
                    linestyle="-" if edge == "high" else (0, (4, 2)))))
            self._words[row] = self.label(axes, f"words-{row}", "ink", fontsize=11)
            self._words[row].set_position((LOW + 1, height + 0.66))
        axes.text(HIGH, 2.83, "– – low edge, —— high edge of the band", ha="right", fontsize=10,
                  color=style.LIGHT["quiet"])

    def update(self, result: Tolerances) -> None:
        """Move the six hills and write the three shares."""
        for row, (low, high, narrow) in {
            "untrimmed": (result.untrimmed_low, result.untrimmed_high, False),
            "trimmed": (result.dial_low, result.dial_high, False),
            "narrow": (result.narrow_low, result.narrow_high, True),
        }.items():
            # The crystal is off by a few hundred hertz at most: the plan's own edges will do.
            plan = band_plan(result.build, narrow=narrow)
            for edge, frequency in (("low", plan.oscillator_low), ("high", plan.oscillator_high)):
                places = 100 * (frequency - low) / (high - low)
                found = tally(places, LOW, HIGH, bins=BINS)
                heights = found.shares * HEIGHT / max(found.shares.max(), 1e-9)
                if found.below + found.above > 0.999:
                    heights = np.zeros(BINS)
                self._hills[row, edge].set_xy(
                    hill_outline(heights, LOW, HIGH) + (0.0, ROWS[row]))
        self._words["untrimmed"].set_text(
            f"trimmer in its middle: {of_hundred(result.covers_untrimmed)} have the whole band")
        self._words["trimmed"].set_text(
            f"low end trimmed: {of_hundred(result.covers)} have the whole band")
        self._words["narrow"].set_text(f"{_way(result)}: {of_hundred(result.recentres)} {_aim(result)}")

    def describe(self, result: Tolerances) -> str:
        """The shares with their uncertainty, the seed, and the coil."""
        coil = show(result.build.part(COIL).nominal, "H", digits=3)
        words = (
            f"{result.receivers} receivers, seed {result.seed}, coil {coil}: "
            f"{of_hundred(result.covers)} have all of {self._wide} on the trimmed dial "
            f"(known to ± {_half(result.covers)} of 100), "
            f"{of_hundred(result.covers_untrimmed)} without trimming. "
            f"{self._narrow}, {_way(result)}: {of_hundred(result.recentres)} {_aim(result)}."
        )
        return f"{self._note} {words}".strip()

    def explain(self, result: Tolerances) -> str:
        """What the trimmer can and cannot do, with the numbers on screen."""
        build = result.build
        plan = band_plan(build)
        room = 2 * build.beyond / plan.oscillator_span
        width = result.dial_high - result.dial_low
        spans = np.quantile(width, (0.005, 0.995))
        words = (
            f"The trimmer puts one end of the dial right, not its width. The {_width_makers(build)} "
            f"dials of {show_span(*spans, 'Hz', digits=4, prefix='k')} for a band of "
            f"{show(plan.oscillator_span, 'Hz', digits=4, prefix='k')}. "
        )
        if room < 1e-6:
            words += ("Laid out just as wide as the band, a dial comes out too narrow as often as "
                      "too wide. ")
        else:
            words += (f"Room of {show(100 * room, '%', digits=3)} takes that up: half of it below the "
                      "band, where the trimmer keeps it, half above. ")
        return words + (f"Another seed draws other receivers, and the share stays within "
                        f"± {_half(result.covers)} or so: that is how well it is known.")


def _width_makers(build) -> str:
    """The parts that decide the dial's width, as a subject with its verb."""
    swing, series = build.part(SWING), build.part(SERIES)
    words = f"swing, {_part(swing)}"
    return f"{words}, and the series capacitor, {_part(series)}, make" if series.nominal else f"{words}, makes"


def _part(part) -> str:
    return f"{show(part.nominal, 'F', digits=3)} ± {show(100 * part.tolerance, '%', digits=3)}"


def of_hundred(share: Probability) -> str:
    """A share of receivers as a number of a hundred."""
    return f"{100 * share.value:.1f} of 100"


def _half(share: Probability) -> str:
    """Half of the 95 % interval, of 100 receivers."""
    return f"{max(50 * (share.high - share.low), 0.01):.2g}"


def _way(result: Tolerances) -> str:
    if not result.build.spread:
        fitted = show(result.build.part(SWITCHED).nominal, "F", prefix="p", decimals=1)
        return f"{fitted} switched in"
    series = result.build.part(SPREAD_SERIES).nominal
    if not series:
        return "spread without a series capacitor"
    return f"{show(series, 'F', prefix='p', decimals=1)} in series"


def _aim(result: Tolerances) -> str:
    return ("have the whole band" if result.build.spread else
            f"have it within {100 * result.centring:.0f} % of the middle")


class TrimmerReachFigure(LiveFigure):
    """What the trimmer must stand at in all receivers, over what it reaches.

    ``low`` and ``high`` are the ends of the picture, F.  ``note`` opens every description.
    """

    name = "trimmer-reach"
    size = (900, 300)

    def __init__(self, low: float, high: float, note: str = "") -> None:
        self._low, self._high = 1e12 * low, 1e12 * high
        self._note = note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """The reach as a shaded span, the hill over it."""
        axes = figure.add_axes((0.03, 0.17, 0.94, 0.58))
        axes.set(xlim=(self._low, self._high), ylim=(0, 1.12), yticks=[],
                 xlabel="where the trimmer must stand (pF)",
                 title="What each receiver asks of its trimmer")
        axes.title.set_fontsize(style.SIZE)
        axes.spines["left"].set_visible(False)
        self._reach = self.moving("reach", axes.add_patch(Polygon(
            [(0, 0), (1, 0), (1, 1), (0, 1)], closed=True, facecolor=style.LIGHT["shade"],
            edgecolor=style.LIGHT["quiet"])))
        self._hill = self.moving("hill", axes.add_patch(Polygon(
            hill_outline(np.ones(BINS), 0, 1), closed=True, facecolor=style.LIGHT["signal"],
            alpha=0.4, edgecolor=style.LIGHT["signal"])))
        self._worst = self.line(axes, "worst", "warning", linewidth=2.4)
        self._span = self.line(axes, "span", "signal", linewidth=2.4)
        top = figure.add_axes((0.03, 0.845, 0.94, 0.14))
        top.set(xlim=(0, 1), ylim=(0, 1))
        top.set_axis_off()
        self._words = [self.label(top, f"words-{i}", role, fontsize=11)
                       for i, role in enumerate(("ink", "signal", "warning"))]
        for place, label in enumerate(self._words):
            label.set_position((place * 0.345, 0.3))

    def update(self, result: Tolerances) -> None:
        """Move reach, hill, the two pairs of lines and the words."""
        low, high = 1e12 * result.build.trimmer_low, 1e12 * result.build.trimmer_high
        left, right = max(low, self._low), min(high, self._high)
        self._reach.set_xy([(left, 0), (right, 0), (right, 1.08), (left, 1.08), (left, 0)])
        found = tally(1e12 * result.trimmer_needed, self._low, self._high, bins=BINS)
        self._hill.set_xy(hill_outline(
            found.shares / max(found.shares.max(), 1e-9), self._low, self._high))
        for line, ends, height in ((self._span, result.trimmer_span, 1.0),
                                   (self._worst, result.trimmer_worst, 0.62)):
            a, b = (1e12 * end if self._low <= 1e12 * end <= self._high else math.nan
                    for end in ends)
            line.set_data([a, a, math.nan, b, b], [0, height, math.nan, 0, height])
            line.set_visible(not (math.isnan(a) and math.isnan(b)))
        self._words[0].set_text(f"shaded: it reaches {_pf(low * 1e-12, high * 1e-12)}")
        self._words[1].set_text(f"—— 99 of 100: {_pf(*result.trimmer_span)}")
        self._words[2].set_text(f"··· at worst: {_pf(*result.trimmer_worst)}")

    def describe(self, result: Tolerances) -> str:
        """What is needed, what is reached, and who is left out."""
        few, many = out_of_reach(result)
        left_out = (
            "All but fewer than 1 of 1000 are within its reach" if few + many < 1e-3 else
            f"{100 * few:.1f} of 100 ask for less than it has, {100 * many:.1f} for more")
        words = (
            f"99 of 100 receivers (seed {result.seed}) need the trimmer anywhere from "
            f"{_pf(*result.trimmer_span)}; it reaches "
            f"{_pf(result.build.trimmer_low, result.build.trimmer_high)}. {left_out}."
        )
        return f"{self._note} {words}".strip()

    def explain(self, result: Tolerances) -> str:
        """What it makes up for, and what the worst case says."""
        build, found = result.build, result.trimmer_span
        coil = build.part(COIL)
        worst = result.trimmer_worst
        share = (found[1] - found[0]) / (worst[1] - worst[0]) if worst[1] > worst[0] else 1.0
        plan = band_plan(build)
        total = 1 / ((2 * math.pi * plan.oscillator_low) ** 2 * coil.nominal)
        off = show(total * coil.tolerance, "F", digits=3)
        return (
            f"The trimmer makes up for all that lies across the coil, and for the coil itself: "
            f"± {show(100 * coil.tolerance, '%', digits=3)} of it counts like ± {off} of the "
            f"{show(total, 'F', digits=3)} in all. Were every part at its worst at once, "
            f"{_pf(*worst)} would be needed; 99 of 100 take {100 * share:.0f} % of that. "
            "A larger trimmer reaches more and is harder to set."
        )


def out_of_reach(result: Tolerances) -> tuple[float, float]:
    """Shares of receivers that ask for less, and for more, than the trimmer has."""
    needed, build = result.trimmer_needed, result.build
    return (float(np.mean(needed < build.trimmer_low)), float(np.mean(needed > build.trimmer_high)))


def _pf(low: float, high: float) -> str:
    return (f"{show(low, 'F', prefix='p', decimals=1).removesuffix(' pF')} to "
            f"{show(high, 'F', prefix='p', decimals=1)}")

"""Spurious responses as lines over the dial; where one crosses the wanted signal it whistles."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.quantities import show
from rxlearn.compute.spur_chart import DialPlace, Line, chart_spurs
from rxlearn.compute.spurs import (
    BREAKTHROUGH, HALF_IF, HARMONIC_IMAGE, HIGHER, IMAGE, SUBHARMONIC,
)
from rxlearn.compute.tuning import BandPlan
from rxlearn.compute.whistles import Whistle
from rxlearn.figures import style
from rxlearn.figures.flag import Flag
from rxlearn.figures.scene import LiveFigure
from rxlearn.figures.spur_words import (
    ROLES, khz, kind_words, level, listed, mhz, whistle_key, whistle_words,
)

POOL = {IMAGE: 1, BREAKTHROUGH: 1, SUBHARMONIC: 6, HALF_IF: 2, HARMONIC_IMAGE: 16, HIGHER: 56}
"""How many lines of each kind there are: enough for what comes near the dial."""

FLAGS = 3
"""Whistles that are labelled in the picture; the table has room for more."""

LISTED = 8
"""Rows of the table."""

NARROWEST = 200e3
"""The least (Hz) that is shown to either side of the wanted signal."""


def _to_neighbour(plan: BandPlan) -> float:
    """How far (Hz) the picture has to reach for the nearest line of the usual order to be in it."""
    chart = chart_spurs(plan, points=3, highest_frequency=1e9)
    return 1.1 * min(float(np.nanmin(np.abs(line.frequencies - chart.tuned)))
                     for line in chart.lines)


class SpurChartFigure(LiveFigure):
    """Horizontally the dial, vertically how far from the tuned signal something else is heard.

    ``plans`` are the bands that it will be asked to show, in Hz; ``reduction`` is how many
    turns of the knob go to one of the dial.
    """

    name = "spur-chart"
    size = (900, 340)
    caption = "Whistles in the band, then the responses nearest to the dial"
    columns = ("Product", "Here it receives", "Off the dial by", "Level here", "Whistle")

    def __init__(self, plans: Sequence[BandPlan], reduction: float) -> None:
        reach = max(NARROWEST, *map(_to_neighbour, plans), *(p.band_high - p.band_low for p in plans),
                    *(0.02 * p.band_low for p in plans))
        # Nothing is received below zero.
        self._reach = min(reach, *(0.9 * p.band_low for p in plans))
        self._reduction = reduction
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Fixed axes in shares of the band and kHz of distance; a pool of lines for each kind."""
        axes = figure.add_axes((0.095, 0.135, 0.885, 0.62))
        axes.set(xlim=(0, 1), ylim=(-self._reach, self._reach), ylabel="off the dial (kHz)")
        axes.set_xticks([0, 0.25, 0.5, 0.75, 1], [""] * 5)
        axes.yaxis.set_major_formatter(
            lambda y, _: f"{y / 1e3:+,.0f}".replace(",", "\u2009") if y else "0")
        figure.text(0.095, 0.945, "Other signals that are heard, over the dial",
                    fontsize=style.SIZE)
        figure.text(0.98, 0.945, "thick: the wanted signal   ◆ whistle   ▲ made by the set itself",
                    fontsize=10.5, ha="right", color=style.LIGHT["quiet"])
        axes.axhline(0, color=style.LIGHT["signal"], linewidth=3)
        self._axes = axes
        self._lines = {
            kind: [self.line(axes, f"{kind.split()[0]}-{i}", ROLES[kind], named=True,
                             linewidth=1.2 if kind == HIGHER else 2.2)
                   for i in range(number)]
            for kind, number in POOL.items()
        }
        self._cursor = self.marker(axes, "cursor", "ink", linewidth=1.0, linestyle="-")
        self._here = self.line(axes, "here", "ink", marker="o", linestyle="none", markersize=5)
        self._crossings = self.line(axes, "crossings", "warning", marker="D", linestyle="none",
                                    markersize=9)
        self._own = self.line(axes, "own", "warning", marker="^", linestyle="none", markersize=10)
        self._flags = [Flag(self, axes, f"flag-{i}", "warning", fontsize=10.5)
                       for i in range(FLAGS)]
        self._ends = [self.label(axes, f"end-{i}", "ink", fontsize=11, ha=ha)
                      for i, ha in enumerate(("left", "center", "right"))]

    def update(self, result: DialPlace) -> None:
        """Lay the lines, the whistles and the dial's setting."""
        plan = result.chart.plan
        seen = self._seen(result)
        free = {kind: iter(lines) for kind, lines in self._lines.items()}
        for lines in self._lines.values():
            for line in lines:
                line.set_visible(False)
        low, high = plan.band_low, plan.band_high
        for found, ends in seen:
            line = next(free[found.kind], None)
            if line is None:
                continue
            line.set_visible(True)
            line.set_data([0, 1], ends)
            line.set_label(_called(result, found))
        offs = [result.received(found) - result.signal for found, _ in seen]
        offs = [off for off in offs if abs(off) <= self._reach]
        self._here.set_data([result.share] * len(offs), offs)
        self._cursor.set_xdata([result.share] * 2)
        loudest = sorted(result.chart.whistles, key=whistle_key)
        for artist, own, height in ((self._crossings, False, 0.0), (self._own, True, -0.1)):
            places = [result.share_of(w.signal) for w in loudest if w.self_made is own]
            artist.set_data(places, [height * self._reach] * len(places))
        self._flag(result, loudest)
        for label, share in zip(self._ends, (0.0, 0.5, 1.0)):
            label.set_text(khz(low + share * (high - low)))
            label.set_position((share, -1.155 * self._reach))

    def _seen(self, result: DialPlace) -> list[tuple[Line, tuple[float, float]]]:
        """The lines that come into the picture, with how far off they are at either end."""
        plan, found = result.chart.plan, []
        for line in result.chart.lines:
            here = result.received(line) - result.signal
            ends = tuple(here + (line.slope - 1) * (edge - result.signal)
                         for edge in (plan.band_low, plan.band_high))
            if min(ends) <= self._reach and max(ends) >= -self._reach:
                found.append((line, ends))
        found.sort(key=lambda row: -result.level_db(row[0]))
        return found

    def _flag(self, result: DialPlace, loudest: list[Whistle]) -> None:
        """Say the likely loudest whistles on rows above the picture."""
        for flag in self._flags:
            flag.hide()
        chosen = sorted(loudest[:FLAGS], key=lambda whistle: whistle.signal)
        for i, (flag, whistle) in enumerate(zip(self._flags, chosen)):
            place = result.share_of(whistle.signal)
            flag.place(place, (1.05 + 0.16 * (FLAGS - 1 - i)) * self._reach,
                       f"{khz(whistle.signal)}: {whistle.name}")

    def describe(self, result: DialPlace) -> str:
        """Where the set whistles, or what comes nearest."""
        chart = result.chart
        words = (f"Tuned to {mhz(result.signal)}{self._angle(result)}, IF "
                 f"{show(chart.plan.intermediate_frequency, 'Hz', prefix='M', digits=7)}, products "
                 f"up to order {chart.order}: ")
        found = sorted(chart.whistles, key=whistle_key)
        if found:
            more = f", and {len(found) - 3} more" if len(found) > 3 else ""
            count = "1 whistle" if len(found) == 1 else f"{len(found)} whistles"
            return (f"{words}{count} in this band, on "
                    f"{listed([whistle_words(w) for w in found[:3]])}{more}.")
        near = result.nearest(1e9)
        return (f"{words}no line crosses the wanted signal in this band. The nearest here is "
                f"{near[0].name}, {khz(abs(result.received(near[0]) - result.signal))} away at "
                f"{level(result.level_db(near[0]))}.")

    def _angle(self, result: DialPlace, whistle: Whistle | None = None) -> str:
        """The dial in degrees, where the plan has a dial."""
        angle = _angle_for(result, result.oscillator if whistle is None else whistle.oscillator)
        return "" if angle is None else f", {angle:.1f}° on your dial"

    def explain(self, result: DialPlace) -> str:
        """What a crossing is, and how fast its whistle moves under the hand."""
        found = sorted(result.chart.whistles, key=whistle_key)
        if not found:
            near = result.nearest(1e9)[0]
            return (
                f"A line is straight: {near.name} moves {abs(near.slope):.3g} kHz"
                f"{' the other way' if near.slope < 0 else ''} for each kHz that you tune. Only "
                "where a line crosses zero does the wanted station itself make the second product, "
                "and a whistle is heard that no preselector can mend. This scheme has none here: "
                "change the intermediate frequency, or raise the order, until one comes in."
            )
        first = found[0]
        angle = self._angle(result, first)
        where = f"{khz(first.signal)}{angle}" if angle else khz(first.signal)
        if first.self_made:
            return (
                f"On {where}, {first.name} needs no station: the set hears itself. Its pitch moves "
                f"{first.pitch_slope} kHz for each kHz tuned{self._by_hand(result, first)}. "
                "Screening weakens it; no preselector does."
            )
        return (
            f"On {where} the wanted station makes {first.name} as well, estimated "
            f"{level(first.level_db)} against its carrier. Both lie on the intermediate frequency, "
            f"and their difference whistles. Tuning across the station moves the pitch "
            f"{first.pitch_slope} kHz for each kHz{self._by_hand(result, first)}. No preselector "
            "mends it: it is the wanted signal itself."
        )

    def _by_hand(self, result: DialPlace, whistle: Whistle) -> str:
        """How much a degree of the knob moves the pitch, where the plan has a dial."""
        angle = _angle_for(result, whistle.oscillator)
        if angle is None:
            return ""
        step = abs(float(result.network.rate_at(angle))) / self._reduction
        return (f", {show(step * whistle.pitch_slope, 'Hz', digits=2)} for 1° of your knob")

    def rows(self, result: DialPlace) -> list[list[str]]:
        """Whistles first, then the nearest lines."""
        rows = []
        for whistle in sorted(result.chart.whistles, key=whistle_key)[: LISTED - 3]:
            strength = "not known" if whistle.level_db is None else level(whistle.level_db)
            rows.append([
                whistle.name, "itself" if whistle.self_made else "the wanted station", "–",
                strength, f"on {khz(whistle.signal)}, {whistle.pitch_slope} kHz for each kHz"])
        for line in result.nearest(1e9)[: LISTED - len(rows)]:
            place = result.received(line)
            rows.append([
                f"{line.name} ({kind_words(line.kind, line.oscillator_order)})", mhz(place),
                show(place - result.signal, "Hz", prefix="k", decimals=1),
                level(result.level_db(line)), "–"])
        return rows


def _called(result: DialPlace, line: Line) -> str:
    """What a line is called when it is pointed at."""
    place = result.received(line)
    here = (f"here {mhz(place)}, {level(result.level_db(line))}" if place > 0
            else "receives nothing here")
    return f"{kind_words(line.kind, line.oscillator_order)}: {line.name}, {here}"


def _angle_for(result: DialPlace, oscillator: float) -> float | None:
    """Where the dial stands (degrees) for an oscillator (Hz); None without a dial for it."""
    return None if result.network is None else result.network.angle_for(oscillator)

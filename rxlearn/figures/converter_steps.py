"""Two steps down: a station, the crystal, the main dial, the main oscillator, and the IF."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from rxlearn.compute.converter_setting import ConverterSetting
from rxlearn.compute.quantities import show
from rxlearn.compute.tuning import HIGH, BandPlan
from rxlearn.figures import style
from rxlearn.figures.flag import Flag
from rxlearn.figures.scene import LiveFigure

LANES = {"signal": 4.0, "crystal": 3.0, "reading": 2.0, "oscillator": 1.0, "intermediate": 0.0}
"""Height of each lane of the ladder."""

ROLES = {"signal": "signal", "crystal": "image", "reading": "signal", "oscillator": "oscillator",
         "intermediate": "intermediate"}

SEEN = 0.006
"""Least width of a band on the ladder, as a share of it."""


class ConverterStepsFigure(LiveFigure):
    """Above: the ladder over all frequencies.  Below: each step's band, as a wedge.

    ``band`` is the third band's name and edges (Hz), ``main_name`` and ``main`` the band on
    which it is read, ``highest`` the highest crystal on offer (Hz).  ``note``, if there is one,
    opens every description.
    """

    name = "converter-steps"
    size = (900, 350)

    def __init__(
        self, band: tuple[str, float, float], main_name: str, main: BandPlan, highest: float,
        note: str = "",
    ) -> None:
        self._band, self._main_name, self._main = band, main_name, main
        self._top = 1.06 * max(highest, band[2], main.oscillator_high, main.band_high)
        self._note = note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """The ladder's bands and the wedges' scales are fixed; the station moves through."""
        ladder = figure.add_axes((0.135, 0.455, 0.85, 0.48))
        ladder.set(xlim=(0, self._top), ylim=(-0.5, 4.6))
        ladder.set_title("To the dial in two steps (MHz)", fontsize=style.SIZE)
        ladder.set_yticks(list(LANES.values()), [
            "station", "crystal", "main dial", "main oscillator", "IF"])
        ladder.tick_params(axis="y", length=0, labelsize=10.5)
        ladder.tick_params(axis="x", labelsize=10.5)
        ladder.xaxis.set_major_formatter(lambda f, _: f"{f / 1e6:g}")
        ladder.grid(False, axis="x")
        for lane, edges in (("signal", self._band[1:]),
                            ("reading", (self._main.band_low, self._main.band_high))):
            self._fixed_bar(ladder, LANES[lane], edges)
        self._way = self.line(ladder, "way", "quiet", linewidth=1.3)
        self._marks = {
            lane: self.line(ladder, f"mark-{lane}", ROLES[lane], linewidth=3, linestyle="-")
            for lane in LANES
        }
        self._flags = {
            lane: Flag(self, ladder, f"flag-{lane}", ROLES[lane]) for lane in LANES
        }
        self._build_wedges(figure)

    def _fixed_bar(self, axes: Axes, height: float, edges: tuple[float, float]) -> None:
        low, high = edges
        short = max(0.0, SEEN * self._top - (high - low)) / 2
        axes.plot([low - short, high + short], [height] * 2, color=style.LIGHT["shade"],
                  linewidth=14, solid_capstyle="butt")

    def _build_wedges(self, figure: Figure) -> None:
        """The third band, the main dial, and a sideband at the intermediate frequency."""
        third = self._wedge_axes(figure, 0.03, f"{_short(self._band[0])}, thick at its upper end",
                                 self._band[1:])
        third.fill([self._band[1], self._band[2], self._band[2]], [0, 0, 0.62],
                   color=style.LIGHT["signal"], alpha=0.28, linewidth=0)
        dial = self._wedge_axes(figure, 0.365, f"on the {_short(self._main_name)} dial",
                                (self._main.band_low, self._main.band_high))
        self._landed = self.moving("landed", dial.add_patch(Polygon(
            [(0, 0), (1, 0), (1, 1), (0, 1)], closed=True, facecolor=style.LIGHT["signal"],
            alpha=0.28, edgecolor="none")))
        last = figure.add_axes((0.70, 0.085, 0.285, 0.22))
        last.set(xlim=(-1, 1), ylim=(0, 1), yticks=[])
        last.set_title("an upper sideband at the IF", fontsize=11)
        last.set_xticks([0], [f"{self._main.intermediate_frequency / 1e6:.7g}"])
        last.grid(False)
        last.spines["left"].set_visible(False)
        last.plot([0, 0], [0, 0.75], color=style.LIGHT["intermediate"], linewidth=1.4)
        self._sideband = self.moving("sideband", last.add_patch(Polygon(
            [(0, 0), (1, 0), (1, 1)], closed=True, facecolor=style.LIGHT["intermediate"],
            alpha=0.35, edgecolor="none")))
        self._turned = self.label(last, "turned", "intermediate", fontsize=10.5, ha="center")
        self._turned.set_position((0, 0.82))
        self._needles = [self.line(axes, f"needle-{i}", "ink", linewidth=1.6)
                         for i, axes in enumerate((third, dial))]
        self._readings = [Flag(self, axes, f"at-{i}", "ink") for i, axes in
                          enumerate((third, dial))]

    def _wedge_axes(self, figure: Figure, left: float, title: str, edges) -> Axes:
        axes = figure.add_axes((left, 0.085, 0.285, 0.22))
        axes.set(xlim=edges, ylim=(0, 1), yticks=[])
        # A learner's name for a band is plain text: a dollar sign must not start a formula.
        axes.set_title(title, fontsize=11, parse_math=False)
        axes.set_xticks(edges, [f"{edge / 1e6:.7g}" for edge in edges])
        for words, side in zip(axes.get_xticklabels(), ("left", "right")):
            words.set_ha(side)
        axes.grid(False)
        axes.spines["left"].set_visible(False)
        return axes

    def update(self, result: ConverterSetting) -> None:
        """Move the station down the ladder and lay the band on the dial."""
        plan = result.plan
        places = {"signal": result.signal, "crystal": plan.converted.crystal,
                  "reading": result.reading, "oscillator": result.oscillator,
                  "intermediate": self._main.intermediate_frequency}
        tuned = result.on_dial and plan.works
        for lane, place in places.items():
            shown = tuned or lane in ("signal", "crystal", "reading")
            self._marks[lane].set_visible(shown)
            self._marks[lane].set_data([place] * 2, [LANES[lane] - 0.4, LANES[lane] + 0.4])
            words = _mhz(place)
            if lane == "reading" and not tuned:
                words += ", not on the dial"
            if shown:
                self._flags[lane].place(place, LANES[lane] - 0.16, words)
            else:
                self._flags[lane].hide()
        way = [(result.signal, 3.6), (result.reading, 2.4), (result.reading, 1.6),
               (self._main.intermediate_frequency, 0.4)]
        self._way.set_data(*zip(*(way if tuned else way[:2])))
        self._lay_on_dial(result)
        for needle, flag, place, edges in zip(
                self._needles, self._readings, (result.signal, result.reading),
                (self._band[1:], (self._main.band_low, self._main.band_high))):
            inside = edges[0] - 0.5 <= place <= edges[1] + 0.5
            needle.set_visible(inside)
            needle.set_data([place] * 2, [0, 0.74])
            flag.place(place, 0.8, _mhz(place)) if inside else flag.hide()

    def _lay_on_dial(self, result: ConverterSetting) -> None:
        """The part of the band that is reached, thick at its upper end; and the sideband."""
        plan, (_, low, high) = result.plan, self._band
        self._landed.set_visible(plan.works)
        if plan.works:
            edges = plan.converted.covered_low, plan.converted.covered_high
            x = [abs(edge - plan.converted.crystal) for edge in edges]
            thick = [0.62 * (edge - low) / (high - low) for edge in edges]
            self._landed.set_xy([(x[0], 0), (x[1], 0), (x[1], thick[1]), (x[0], thick[0])])
        side = -1 if plan.sideband_inverted else 1
        self._sideband.set_xy([(0.08 * side, 0), (0.7 * side, 0), (0.7 * side, 0.6)])
        self._turned.set_text("inverted: it lies below" if side < 0 else "upright: it lies above")

    def describe(self, result: ConverterSetting) -> str:
        """Where the station is read, and which way the dial runs."""
        plan = result.plan
        crystal = show(plan.converted.crystal, "Hz", digits=8)
        if not plan.works:
            words = f"With a crystal on {crystal}: {plan.reasons[0]}"
        elif not result.on_dial:
            words = (f"{_mhz(result.signal)} less or from {crystal} would be {_mhz(result.reading)}"
                     f", which the {self._main_name} dial does not reach: only "
                     f"{100 * plan.covered_share:.0f} % of {self._band[0]} is heard.")
        else:
            way = "backwards" if plan.dial_reversed else "upwards"
            turned = "inverted" if plan.sideband_inverted else "upright"
            words = (f"With a crystal on {crystal}, {_mhz(result.signal)} is read as "
                     f"{_mhz(result.reading)} on the {self._main_name} dial, which runs {way} for "
                     f"{self._band[0]}. An upper sideband comes out {turned}.")
        return f"{self._note} {words}".strip()

    def explain(self, result: ConverterSetting) -> str:
        """Two subtractions, and each that takes away the signal turns it round."""
        plan = result.plan
        above = plan.converted.inverted
        crystal, signal = _mhz(plan.converted.crystal), _mhz(result.signal)
        first = f"{crystal} - {signal}" if above else f"{signal} - {crystal}"
        words = (f"The converter's mixer gives the difference: {first} = {_mhz(result.reading)}. "
                 + ("The signal is what is taken away, so what was high becomes low: the band is "
                    "turned round. " if above else
                    "The crystal is what is taken away, so high stays high. "))
        if not (plan.works and result.on_dial):
            return words + "The main receiver cannot tune to that."
        inverts = self._main.injection == HIGH
        return words + (
            f"The main receiver, its oscillator on {_mhz(result.oscillator)}, "
            f"{'turns the sidebands over' if inverts else 'leaves the sidebands'}, so together "
            f"they come out {'inverted' if plan.sideband_inverted else 'upright'}.")


def _short(name: str, most: int = 12) -> str:
    return name if len(name) <= most else f"{name[:most - 1]}…"


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)

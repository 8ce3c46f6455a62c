"""The receiver as blocks: frequencies on both bands above, levels below, and what feeds in."""

from __future__ import annotations

from math import nan

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from rxlearn.compute.block_diagram import BlockDiagram, TwoBandSet, volume_down_db
from rxlearn.compute.noise import say_s_units
from rxlearn.compute.quantities import show
from rxlearn.compute.stages import ReceiverStage, in_order
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

SHORT = {
    "preselector": "pre-\nselector", "signal_amplifier": "signal\namplifier", "mixer": "mixer",
    "filter": "crystal\nfilter", "intermediate_amplifier": "IF\namplifier", "detector": "detector",
    "audio_amplifier": "audio\namplifier", "output": "output\nstage",
    "oscillator": "oscillator", "beat_oscillator": "beat osc.",
}
"""Words for a block, short enough for it."""

LOWEST, HIGHEST = 1e-8, 30.0
"""Ends of the level axis, V r.m.s."""

MOST_BLOCKS = 11
"""How many stages on the signal's way the picture has room for."""

SMALLEST, LEAST_SMALL = 9.4, 0.95
"""Letters of the devices, pixels, and to what part all shrink where blocks crowd: 7 pt on paper."""

LEFT, RIGHT = 62.0, 890.0
"""Where the first arrow begins and the last one ends, pixels."""

ROWS = (15.0, 33.0)
"""Height of the two bands' rows of frequencies, pixels from the top."""

BLOCK_TOP, BLOCK_BOTTOM, FEED_TOP, FEED_BOTTOM, BARS = 46.0, 96.0, 118.0, 150.0, 188.0
"""Pixels from the top: the blocks, the oscillators under them, the level axis' upper end."""

_FEEDS = {"oscillator": "mixer", "beat_oscillator": "detector"}


class BlockDiagramFigure(LiveFigure):
    """Blocks drawn once from the plan's stages; frequencies, bars and noise move.

    ``note``, if there is one, opens every description.
    """

    name = "block-diagram"
    size = (900, 330)

    def __init__(self, receiver: TwoBandSet, note: str = "") -> None:
        self._path = in_order(receiver.stages)[:MOST_BLOCKS]
        self._receiver, self._note = receiver, note
        self._feeds = [stage for stage in receiver.stages if stage.function in _FEEDS]
        super().__init__()

    # -- drawn once ---------------------------------------------------------------------
    def build(self, figure: Figure) -> None:
        """Blocks and feeds on a sheet in pixels, bars on an axis below."""
        width, height = self.size
        sheet = figure.add_axes((0, 0, 1, 1), zorder=2)
        sheet.set(xlim=(0, width), ylim=(height, 0))
        sheet.axis("off")
        sheet.patch.set_alpha(0)
        pitch = (RIGHT - LEFT) / (len(self._path) + 1)
        self._small = max(LEAST_SMALL, min(1.0, pitch / 88))
        self._room = int(0.66 * pitch / (0.6 * SMALLEST))
        self._places = [LEFT + pitch * (place + 0.5) for place in range(len(self._path) + 1)]
        self._blocks(sheet, pitch)
        self._row_names(sheet)
        self._frequencies = [
            [self._text(sheet, f"f{row}-{place}", x, ROWS[row], size=9.5)
             for place, x in enumerate(self._places)] for row in (0, 1)]
        self._received = self.label(sheet, "received", "ink", fontsize=11)
        self._fed = self._feed_blocks(sheet, pitch)
        self._third = self.label(sheet, "third", "ink", fontsize=9.5)
        if self._receiver.third:
            self._converter_block(sheet, pitch)
        self._bars(figure, pitch)
        self._values = [self._text(sheet, f"value-{place}", x, 324.0, size=9.5)
                        for place, x in enumerate(self._places)]

    def _text(self, sheet: Axes, name: str, x: float, y: float, *, size: float):
        text = self.label(sheet, name, "ink", fontsize=size * self._small, ha="center")
        text.set_position((x, y))
        return text

    def _blocks(self, sheet: Axes, pitch: float) -> None:
        middle = (BLOCK_TOP + BLOCK_BOTTOM) / 2
        edges = [self._places[0] - pitch / 2]
        for place, stage in enumerate(self._path):
            x = (self._places[place] + self._places[place + 1]) / 2
            left, right = x - 0.33 * pitch, x + 0.33 * pitch
            sheet.add_patch(Rectangle(
                (left, BLOCK_TOP), right - left, BLOCK_BOTTOM - BLOCK_TOP,
                facecolor=style.LIGHT["shade"], edgecolor=style.LIGHT["quiet"]))
            sheet.text(x, BLOCK_TOP + 18, SHORT[stage.function], ha="center", va="center",
                       fontsize=9.5 * self._small, linespacing=0.95)
            sheet.text(x, BLOCK_BOTTOM - 5, _device(stage, self._room), ha="center", va="baseline",
                       fontsize=SMALLEST * self._small, color=style.LIGHT["quiet"], parse_math=False)
            edges += [left, right]
        edges.append(self._places[-1] + pitch / 2)
        edges[0] += 0.12 * pitch
        edges[-1] -= 0.12 * pitch
        for start, end in zip(edges[::2], edges[1::2], strict=True):
            _arrow(sheet, (start, middle), (end, middle))

    def _row_names(self, sheet: Axes) -> None:
        for row, name in enumerate(self._receiver.names):
            sheet.text(16, ROWS[row], _cut(name, 6), fontsize=9.5, va="baseline", parse_math=False,
                       weight="bold")
        sheet.text(6, (BLOCK_TOP + BLOCK_BOTTOM) / 2 + 4, "aerial", fontsize=10, va="baseline")
        sheet.text(6, 324, "level", fontsize=10, va="baseline")

    def _feed_blocks(self, sheet: Axes, pitch: float) -> dict[str, list]:
        """Oscillator and beat oscillator under what they feed, with a label for each band."""
        fed = {}
        functions = [stage.function for stage in self._path]
        for stage in self._feeds:
            if _FEEDS[stage.function] not in functions or stage.function in fed:
                continue
            place = functions.index(_FEEDS[stage.function])
            x = (self._places[place] + self._places[place + 1]) / 2
            left, right = x - 0.38 * pitch, x + 0.38 * pitch
            sheet.add_patch(Rectangle(
                (left, FEED_TOP), right - left, FEED_BOTTOM - FEED_TOP, facecolor="none",
                edgecolor=style.LIGHT["oscillator"]))
            sheet.text(x, FEED_TOP + 13, SHORT[stage.function], ha="center", fontsize=9.5,
                       va="baseline")
            sheet.text(x, FEED_BOTTOM - 5, _device(stage, self._room), ha="center", fontsize=9,
                       va="baseline", color=style.LIGHT["quiet"], parse_math=False)
            _arrow(sheet, (x, FEED_TOP), (x, BLOCK_BOTTOM))
            fed[stage.function] = [
                self.label(sheet, f"{stage.function}-{row}", "oscillator", fontsize=9.5)
                for row in (0, 1)]
            for row, text in enumerate(fed[stage.function]):
                text.set_position((right + 6, FEED_TOP + 12 + 16 * row))
        return fed

    def _converter_block(self, sheet: Axes, pitch: float) -> None:
        """The converter under the aerial's arrow, which it feeds when it is switched in."""
        x = self._places[0]
        left, right = x - 0.38 * pitch, x + 0.38 * pitch
        sheet.add_patch(Rectangle(
            (left, FEED_TOP), right - left, FEED_BOTTOM - FEED_TOP, facecolor="none",
            edgecolor=style.LIGHT["image"]))
        small = {"ha": "center", "va": "baseline", "parse_math": False}
        sheet.text(x, FEED_TOP + 13, "converter", fontsize=9.5 * self._small, **small)
        sheet.text(x, FEED_BOTTOM - 5, _cut(self._receiver.third.name, self._room), fontsize=SMALLEST * self._small,
                   color=style.LIGHT["quiet"], **small)
        _arrow(sheet, (x, FEED_TOP), (x, (BLOCK_TOP + BLOCK_BOTTOM) / 2))
        self._third.set_position((6, FEED_BOTTOM + 16))

    def _bars(self, figure: Figure, pitch: float) -> None:
        width, height = self.size
        axes = figure.add_axes((LEFT / width, 22 / height, (RIGHT - LEFT) / width,
                                (height - 22 - BARS) / height))
        axes.set(xlim=(LEFT, RIGHT), yscale="log", ylim=(LOWEST, HIGHEST))
        axes.set_yticks([1e-7, 1e-5, 1e-3, 0.1, 10], ["0.1 µV", "10 µV", "1 mV", "0.1 V", "10 V"])
        axes.minorticks_off()
        axes.set_xticks([])
        axes.set_title("Voltage along the way: bar, signal; dot, noise; short line, what the next "
                       "grid takes", fontsize=10, color=style.LIGHT["quiet"])
        thick = {"linewidth": 12, "linestyle": "-", "solid_capstyle": "butt"}
        self._bar = {role: self.line(axes, f"bar-{role}", role, **thick)
                     for role in ("signal", "intermediate", "image")}
        self._noise = self.line(axes, "noise", "ink", marker="o", linestyle="None", markersize=5)
        self._limits = self.line(axes, "limits", "warning", linewidth=2.2, linestyle="-")

    # -- moved --------------------------------------------------------------------------
    def update(self, result: BlockDiagram) -> None:
        """Word the frequencies of both bands; move bars, noise and limits of the received one."""
        for row, found in enumerate(result.followed):
            for text, frequency in zip(self._frequencies[row], _frequencies(found), strict=False):
                text.set_text(_hertz(frequency))
            for function, value in (("oscillator", found.oscillator),
                                    ("beat_oscillator", found.beat)):
                if function in self._fed and value is not None:
                    name = _cut(self._receiver.names[row])
                    self._fed[function][row].set_text(f"{name}: {_hertz(value)}")
        if self._receiver.third:
            self._third.set_text(_third_words(result))
        self._received.set_position((3, ROWS[result.band]))
        self._received.set_text("▸")
        self._move_bars(result)

    def _move_bars(self, result: BlockDiagram) -> None:
        found = result.received
        levels = [found.aerial, *(row.output for row in found.levels)]
        levels[-1] = result.loudspeaker
        roles = ["signal", *(_role(row.output_frequency, found) for row in found.levels)]
        xs = {role: ([], []) for role in self._bar}
        for x, volts, role in zip(self._places, levels, roles, strict=False):
            xs[role][0].extend((x, x, nan))
            xs[role][1].extend((LOWEST, min(max(volts, LOWEST), HIGHEST), nan))
        for role, line in self._bar.items():
            line.set_data(*xs[role])
        noises = [found.aerial / 10 ** (found.margin_db / 20), *(row.noise for row in found.levels)]
        noises[-1] /= result.receiver.turns_ratio
        self._noise.set_data(
            [x + 13 for x in self._places],
            [min(max(noise, LOWEST), HIGHEST) for noise in noises[:len(self._places)]])
        self._move_limits(found)
        for place, text in enumerate(self._values):
            text.set_text(_volts(levels[place]))
        if len(self._places) == len(levels):
            self._values[-1].set_text(show(result.power, "W", digits=3))

    def _move_limits(self, found) -> None:
        """A short line at each bar for the grid that it drives."""
        x, y = [], []
        for place, row in zip(self._places, found.levels, strict=False):
            if row.limit is not None:
                x += [place - 14, place + 14, nan]
                y += [row.limit, row.limit, nan]
        self._limits.set_data(x, y)

    def describe(self, result: BlockDiagram) -> str:
        """What is tuned, where it becomes what, and what is left at the end."""
        found = result.received
        beat = "" if found.beat is None else (
            f", beat oscillator for the upper sideband {_hertz(found.beat)}, tone "
            f"{_hertz(found.tone)}")
        return _noted(self._note, (
            f"{result.receiver.names[result.band]} tuned to {_hertz(found.signal)}: oscillator "
            f"{_hertz(found.oscillator)}, intermediate frequency "
            f"{_hertz(found.intermediate_frequency)}{beat}. {show(found.aerial, 'V', digits=3)} "
            f"at the aerial ({say_s_units(found.aerial_dbm)}) becomes "
            f"{show(result.power, 'W', digits=3)} at the loudspeaker, "
            f"{abs(found.margin_db):.0f} dB {'above' if found.margin_db >= 0 else 'below'} the noise."
            + (f" With the converter switched in, {_third_words(result)}."
               if result.receiver.third else "")
        ))

    def explain(self, result: BlockDiagram) -> str:
        """Which noise rules, which grid clips first, and what is lost of the gain."""
        found = result.received
        return " ".join((
            f"All stages together give {found.gain_db:.0f} dB up to the output valve.",
            _noise_words(found), _overload_words(found), self._unknown(found))).strip()

    def _unknown(self, found) -> str:
        if not found.unknown_gains:
            return ""
        return f"Reckoned as 0 dB, since no gain is known: {', '.join(found.unknown_gains)}."


def _noted(note: str, words: str) -> str:
    """``words``, with what must be said before them."""
    return f"{note} {words}".strip()


def _noise_words(found) -> str:
    outside = (f"Noise from outside ({found.place}) is {found.external_dbm:.0f} dBm in "
               f"{found.bandwidth / 1e3:.1f} kHz")
    if found.own_noise_dbm is None:
        return f"{outside}; the set's own is not known."
    own = found.own_noise_dbm
    if own < found.external_dbm:
        return (f"{outside}, the set's own only {own:.0f} dBm: a quieter first valve would change "
                "nothing here.")
    return f"{outside}, the set's own {own:.0f} dBm: here a quieter first valve would be heard."


def _overload_words(found) -> str:
    clipped = [row.stage for row in found.levels if row.overloaded]
    if not clipped:
        return "No grid is driven positive."
    down = volume_down_db(found)
    if down and (found.signal_overload_dbm is None or found.aerial_dbm <= found.signal_overload_dbm):
        return (f"The {clipped[0].name} clips: turn the volume down by {down:.0f} dB or more.")
    return (f"The {clipped[0].name} is driven beyond its bias, before any volume control: only less "
            "signal helps, at the aerial.")


def _frequencies(found) -> list[float | None]:
    return [found.signal, *(row.output_frequency for row in found.levels)]


def _role(frequency: float | None, found) -> str:
    if frequency == found.signal:
        return "signal"
    return "intermediate" if frequency == found.intermediate_frequency else "image"


def _hertz(frequency: float | None) -> str:
    if frequency is None:
        return "no tone"
    if frequency < 100e3:
        return show(frequency, "Hz", digits=3)
    return show(frequency, "Hz", prefix="M", decimals=4)


def _third_words(result: BlockDiagram) -> str:
    """The third band at each of the converter's arrows."""
    third = result.receiver.third
    signal, reading = third.at(result.share)
    return (f"{_cut(third.name)}: {_hertz(signal)} at the aerial, crystal {_hertz(third.crystal)}, "
            f"{_hertz(reading)} to the main receiver on {_cut(third.main)}")


def _cut(name: str, most: int = 7) -> str:
    """A band's name, cut off where it would not fit."""
    return name if len(name) <= most else f"{name[:most - 1]}…"


def _volts(value: float) -> str:
    # More than that no stage hands on whole, and high voltages are shown nowhere uncovered.
    return f"over {HIGHEST:.0f} V" if value > HIGHEST else show(value, "V", digits=3)


def _device(stage: ReceiverStage, most: int) -> str:
    """The device's name, cut off where its block ends."""
    name = stage.device if len(stage.device) <= most else stage.device.partition(",")[0]
    return _cut(name, most)


def _arrow(sheet: Axes, start: tuple[float, float], end: tuple[float, float]) -> None:
    sheet.annotate("", end, start, arrowprops={
        "arrowstyle": "-|>", "color": style.LIGHT["quiet"], "shrinkA": 0, "shrinkB": 0,
        "linewidth": 1.2})

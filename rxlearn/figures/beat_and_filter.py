"""The beat oscillator against a filter's pass band, with a station on either side of zero beat."""

from __future__ import annotations

from matplotlib.figure import Figure

from rxlearn.compute.beat_and_filter import BeatAndFilter
from rxlearn.compute.quantities import show
from rxlearn.figures.flag import Flag
from rxlearn.figures.scene import LiveFigure

LOWEST, HIGHEST = -70.0, 5.0
"""Ends of the level axis, dB."""

UPPER, LOWER = "TEST1", "BENCH2"
"""Invented identifiers of the stations above and below the beat oscillator."""

SINGLE_DB = 20.0
"""From here on the weaker station no longer disturbs, dB (common practice, no source)."""


class BeatAndFilterFigure(LiveFigure):
    """The filter's response, the beat oscillator, and each station with a foot as high as it is heard.

    ``centre`` (Hz) is the pass band's middle, ``low`` and ``high`` (Hz from it) the picture's
    ends; ``note`` opens every description.
    """

    name = "beat-and-filter"
    size = (900, 350)

    def __init__(self, centre: float, low: float, high: float, note: str = "") -> None:
        self._centre, self._ends, self._note = centre, (low, high), note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """One axis; three rows of flags above it."""
        axes = figure.add_axes((0.075, 0.145, 0.905, 0.63))
        low, high = (end / 1e3 for end in self._ends)
        axes.set(xlim=(low, high), ylim=(LOWEST, HIGHEST), ylabel="level (dB)",
                 xlabel=f"distance from {_mhz(self._centre)}, the pass band's middle (kHz)")
        self._curve = self.line(axes, "curve", "intermediate", linewidth=2.2)
        self._beat = self.marker(axes, "beat", "oscillator", linewidth=2.2)
        self._stations = [self.line(axes, f"station-{name}", role, linewidth=4.5, linestyle="-",
                                    solid_capstyle="butt")
                          for name, role in ((UPPER, "signal"), (LOWER, "image"))]
        self._flags = [Flag(self, axes, f"flag-{name}", role)
                       for name, role in (("beat", "oscillator"), (UPPER, "signal"),
                                          (LOWER, "image"))]

    def update(self, result: BeatAndFilter) -> None:
        """Move the response, the beat oscillator, both stations and their flags."""
        x = (result.frequencies - self._centre) / 1e3
        self._curve.set_data(x, result.levels_db.clip(2 * LOWEST))
        at = (result.beat - self._centre) / 1e3
        self._beat.set_xdata([at, at])
        self._flags[0].place(at, HIGHEST + 16.5, f"beat oscillator {_mhz(result.beat)}")
        for line, flag, name, place, level, row in zip(
                self._stations, self._flags[1:], (UPPER, LOWER),
                (result.beat + result.pitch, result.beat - result.pitch),
                (result.upper_db, result.lower_db), (9.5, 2.5)):
            here = (place - self._centre) / 1e3
            line.set_data([here, here], [LOWEST, max(level, LOWEST)])
            flag.place(here, HIGHEST + row, f"{name}, heard {_down(level)}")

    def describe(self, result: BeatAndFilter) -> str:
        """Where the beat oscillator stands, and which station is heard how much better."""
        place = result.beat - result.centre
        where = "in the middle of the pass band" if abs(place) < 0.5 else (
            f"{_hz(abs(place))} {'above' if place > 0 else 'below'} the middle of the pass band")
        words = (
            f"The beat oscillator stands {where}. Both stations come out at {_hz(result.pitch)}: "
            f"{UPPER} from above it, heard {_down(result.upper_db)}, {LOWER} from below, "
            f"{_down(result.lower_db)}. {_verdict(result)}")
        return f"{self._note} {words}".strip()

    def explain(self, result: BeatAndFilter) -> str:
        """Why the ear cannot part them, and what the filter does about it."""
        if not result.crystals:
            return (
                f"{UPPER} is {_hz(result.pitch)} above the beat oscillator, {LOWER} as far below. A "
                "detector gives differences, and a difference has no side: both make the same "
                f"pitch. Without a crystal filter the {_hz(result.high - result.low)} that matter "
                "pass whole, so every station is heard twice as one tunes, once on either side of "
                "zero beat.")
        return (
            f"A detector gives differences, and a difference has no side: only the filter can part "
            "the two. Seen from the beat oscillator its pass band reaches from "
            f"{_from(result.low - result.beat)} to {_from(result.high - result.beat)} (6 dB). Put the "
            "beat oscillator on a slope: then one side of zero beat falls inside and the other "
            "outside. On the upper slope it works better, as that is the steeper one. For a voice the beat "
            "oscillator stays there and 300 Hz to 2700 Hz must fall inside; for code, only the "
            "pitch that you like.")


def _verdict(result: BeatAndFilter) -> str:
    if min(-result.upper_db, -result.lower_db) > SINGLE_DB:
        return "Neither is inside the filter."
    if result.suppression_db < 3:
        return "Nothing parts the two."
    better = UPPER if result.upper_db > result.lower_db else LOWER
    worse = LOWER if better == UPPER else UPPER
    end = "is as good as gone" if result.suppression_db >= SINGLE_DB else "still disturbs"
    return f"{better} is {result.suppression_db:.0f} dB the stronger: {worse} {end}."


def _down(level: float) -> str:
    return "in full" if level > -0.5 else f"{-level:.0f} dB down"


def _from(offset: float) -> str:
    """A place as seen from the beat oscillator."""
    if abs(offset) < 0.5:
        return "just on"
    return f"{_hz(abs(offset))} {'above' if offset > 0 else 'below'}"


def _hz(frequency: float) -> str:
    return show(frequency, "Hz", digits=3)


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)

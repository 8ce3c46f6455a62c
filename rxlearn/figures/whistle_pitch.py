"""How a whistle's pitch runs under the hand while one tunes across it."""

from __future__ import annotations

from math import nan

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.quantities import show
from rxlearn.compute.whistle_pitch import REACH, PitchSweep
from rxlearn.figures import style
from rxlearn.figures.flag import Flag
from rxlearn.figures.scene import LiveFigure
from rxlearn.figures.spur_words import khz, level

TOP = 6e3
"""Upper end of the pitch axis, Hz."""


class WhistlePitchFigure(LiveFigure):
    """Pitch over the dial: the whistle, thick where the filter passes it, and the station.

    ``note`` stands before the sentence.
    """

    name = "whistle-pitch"
    size = (900, 310)

    def __init__(self, note: str = "") -> None:
        self._note = note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Fixed axes; the curves and the dial's setting move."""
        axes = figure.add_axes((0.085, 0.165, 0.895, 0.745))
        axes.set(xlim=(-REACH, REACH), ylim=(0, TOP * 1.38), ylabel="pitch (kHz)",
                 xlabel="dial, off the whistle's place (kHz)")
        axes.set_title("What you hear while tuning across it", fontsize=style.SIZE)
        axes.set_xticks(np.arange(-5, 6) * 1e3, [f"{k:+d}" if k else "0" for k in range(-5, 6)])
        axes.set_yticks(np.arange(0, 7) * 1e3, [str(k) for k in range(7)])
        self._all = self.line(axes, "all", "warning", linewidth=1.0)
        self._heard = self.line(axes, "heard", "warning", linewidth=3.2, linestyle="-")
        self._carrier = self.line(axes, "carrier", "signal", linewidth=1.4,
                                  linestyle=(0, (5, 2)))
        self._dial = self.marker(axes, "dial", "ink", linewidth=1.0, linestyle="-")
        self._now = self.line(axes, "now", "ink", marker="o", linestyle="none", markersize=7)
        self._flags = [Flag(self, axes, f"flag-{i}", role)
                       for i, role in enumerate(("warning", "signal"))]

    def update(self, result: PitchSweep) -> None:
        """Move the curves, the dial and the two flags."""
        pitch = np.where(result.whistle_pitch <= TOP, result.whistle_pitch, nan)
        self._all.set_data(result.dial, pitch)
        self._heard.set_data(result.dial, np.where(result.passes, pitch, nan))
        carrier = result.carrier_pitch
        self._carrier.set_visible(carrier is not None)
        if carrier is not None:
            self._carrier.set_data(result.dial, np.where(carrier <= TOP, carrier, nan))
        here = result.dial_offset
        self._dial.set_xdata([here, here])
        inside = result.whistle_now <= TOP
        self._now.set_visible(inside)
        self._now.set_data([here], [min(result.whistle_now, TOP)])
        heard = "" if result.passes_now else ", outside the filter"
        self._flags[0].place(here, 1.245 * TOP, f"whistle {_hz(result.whistle_now)}{heard}")
        if result.carrier_now is None:
            self._flags[1].place(here, 1.09 * TOP, "no station needed")
        else:
            self._flags[1].place(here, 1.09 * TOP,
                                 f"station against the beat oscillator {_hz(result.carrier_now)}")

    def describe(self, result: PitchSweep) -> str:
        """Whistle, dial and pitch."""
        whistle = result.whistle
        dial = _off(result.dial_offset, f"{khz(whistle.signal)}, the whistle's place")
        heard = "is heard" if result.passes_now else "falls outside the filter"
        station = "" if whistle.self_made else (
            f" The station stands {_off(result.station_offset, 'that place')}.")
        return (
            f"{self._note} {whistle.name[0].upper()}{whistle.name[1:]}: with the dial {dial}, a "
            f"pitch of {_hz(result.whistle_now)} {heard}.{station}"
        ).strip()

    def explain(self, result: PitchSweep) -> str:
        """Why it runs faster than a station, and how to tell it by that."""
        whistle = result.whistle
        width = show(result.bandwidth, "Hz", prefix="k", digits=3)
        if whistle.self_made:
            return (
                f"Harmonic {whistle.oscillator_order} of the oscillator moves "
                f"{whistle.oscillator_order} Hz for each hertz of the dial, and so does the "
                "pitch. An ordinary carrier moves 1 Hz for 1 Hz. Take the aerial off: this whistle "
                f"stays. It is heard while it lies in the filter, {width} wide."
            )
        return (
            f"In the product {whistle.name} the oscillator counts {whistle.oscillator_order} × and "
            "the station stands still; in the station's own carrier it counts once. Their "
            f"difference, the whistle, runs {whistle.pitch_slope} Hz for each hertz of the dial. "
            "The whistle of two stations too close together keeps its pitch as you tune: so a hand "
            f"on the dial tells the two apart. Estimated at {level(whistle.level_db)} against the "
            f"carrier. Heard where both lie in the filter, {width} wide; without a beat oscillator "
            "you hear the whistle alone."
        )


def _hz(pitch: float) -> str:
    return show(pitch, "Hz", decimals=0, prefix="")


def _off(offset: float, place: str) -> str:
    """Words for how far something is off a place."""
    if not offset:
        return f"on {place}"
    side = "above" if offset > 0 else "below"
    return f"{show(abs(offset), 'Hz', prefix='k', decimals=2)} {side} {place}"

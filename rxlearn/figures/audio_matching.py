"""What a loudspeaker looks like through an output transformer, beside what the valve wants."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from rxlearn.compute.audio_matching import AudioMatch, says
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

LOW, HIGH = 300.0, 100e3
"""Ends of the axis of loads, Ω."""


class AudioMatchingFigure(LiveFigure):
    """Power over the load that the valve meets, with the load that it wants and the one it has."""

    name = "audio-matching"
    size = (900, 300)

    def build(self, figure: Figure) -> None:
        """One axis of loads; the sums stand to its right."""
        axes = figure.add_axes((0.07, 0.17, 0.58, 0.65))
        axes.set(xlim=(LOW, HIGH), xscale="log", ylim=(0, 112), xlabel="load that the valve meets (Ω)")
        axes.set_title("Power in a small signal (% of the most)", pad=20)
        ticks = [300, 1e3, 3e3, 10e3, 30e3, 100e3]
        axes.set_xticks(ticks, ["300", *(f"{t / 1e3:.0f} k" for t in ticks[1:])])
        axes.minorticks_off()
        self._curve = self.line(axes, "curve", "intermediate")
        self._wanted = self.marker(axes, "wanted", "quiet", linewidth=1.4)
        self._seen = self.marker(axes, "seen", "oscillator", linewidth=1.8)
        (here,) = axes.plot([], [], marker="o", markersize=9, linestyle="None",
                            color=style.LIGHT["ink"])
        self._here = self.moving("here", here)
        self._wanted_words = self.label(axes, "wanted-words", "quiet", fontsize=11)
        self._wanted_words.set_position((LOW, 116))
        self._seen_words = self.label(axes, "seen-words", "oscillator", fontsize=11, ha="right")
        self._seen_words.set_position((HIGH, 116))
        side = figure.add_axes((0.67, 0.0, 0.33, 1.0))
        side.set(xlim=(0, 1), ylim=(0, 1))
        side.set_axis_off()
        self._rows = []
        for i in range(6):
            label = self.label(side, f"row-{i}", "ink" if i % 2 else "quiet",
                               fontsize=13 if i % 2 else 11)
            label.set_position((0.02, 0.84 - 0.12 * i - 0.03 * (i // 2)))
            self._rows.append(label)

    def update(self, result: AudioMatch) -> None:
        """Move the curve, both loads and the sums."""
        loads = np.geomspace(LOW, HIGH, 121)
        source = result.source_resistance
        self._curve.set_data(loads, 400 * source * loads / (source + loads) ** 2)
        self._wanted.set_xdata([result.anode_load] * 2)
        self._seen.set_xdata([result.seen] * 2)
        inside = LOW <= result.seen <= HIGH
        self._here.set_data([result.seen] if inside else [],
                            [100 * result.relative_power] if inside else [])
        self._wanted_words.set_text(f"grey: wanted, {_ohms(result.anode_load)}")
        self._seen_words.set_text(f"dashed: met, {_ohms(result.seen)}")
        rows = (
            "turns, primary to secondary", f"{result.ratio:.1f} to 1",
            "the loudspeaker looks like",
            f"{result.ratio:.1f}² × {show(result.speaker, 'Ω')} = {_ohms(result.seen)}",
            "the ratio that fits", f"{result.wanted_ratio:.1f} to 1",
        )
        for label, words in zip(self._rows, rows, strict=True):
            label.set_text(words)

    def describe(self, result: AudioMatch) -> str:
        """What the valve meets and whether it is wanted."""
        return says(result)

    def explain(self, result: AudioMatch) -> str:
        """Why it is the square, and what a wrong load does."""
        words = (
            f"Voltage goes down {result.ratio:.1f} times and current up as many times, so the ratio of "
            f"the two changes {result.ratio**2:.0f} times. The ratio that fits is "
            f"√({_ohms(result.anode_load)} / {show(result.speaker, 'Ω')}) = {result.wanted_ratio:.1f}. "
        )
        if abs(result.mismatch - 1) < 0.05:
            return words + "A tenth off in the turns is a fifth in the load; few ears notice either."
        if result.mismatch < 1:
            return words + ("With too small a load the valve runs out of current before it runs out "
                            "of voltage: less power, more distortion.")
        return words + ("With too large a load the valve runs out of voltage first, and with none at "
                        "all its anode swings far above the supply: never without a loudspeaker.")


def _ohms(value: float) -> str:
    return show(value, "Ω", digits=3)

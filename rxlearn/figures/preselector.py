"""What the circuits before the mixer leave of signal, image and the intermediate frequency."""

from __future__ import annotations

import math

from matplotlib.figure import Figure

from rxlearn.compute.preselector import Preselector, Sweep
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.flag import Flag
from rxlearn.figures.scene import LiveFigure

BOTTOM_DB = -90.0
STRAY_DB = -60.0
"""Where stray coupling around the circuits begins to count (common practice, no source)."""

ROWS_DB = {"signal": 7.0, "image": 22.0, "intermediate": 37.0}
TICKS = (0.05e6, 0.1e6, 0.2e6, 0.5e6, 1e6, 2e6, 5e6, 10e6, 20e6, 50e6, 100e6)


class PreselectorFigure(LiveFigure):
    """Response in dB over the logarithm of frequency from ``low`` to ``high`` (Hz)."""

    name = "preselector"
    size = (900, 310)

    def __init__(self, low: float, high: float) -> None:
        self._low, self._high = low, high
        super().__init__()

    def build(self, figure: Figure) -> None:
        """One curve, three marks, each with a row of its own for its words."""
        axes = figure.add_axes((0.075, 0.155, 0.9, 0.82))
        axes.set(xscale="log", xlim=(self._low, self._high), ylim=(BOTTOM_DB, 50),
                 xlabel="frequency (MHz); shaded: here stray coupling around the circuits decides",
                 ylabel="response (dB)")
        shown = [t for t in TICKS if self._low <= t <= self._high]
        axes.set_xticks(shown, [f"{t / 1e6:g}" for t in shown])
        axes.minorticks_off()
        axes.set_yticks(range(-80, 1, 20))
        axes.axhspan(BOTTOM_DB, STRAY_DB, color=style.LIGHT["shade"], zorder=0)
        self._curve = self.line(axes, "curve", "ink", linewidth=1.8)
        self._marks = {
            role: (self.line(axes, f"mark-{role}", role, linewidth=2.2),
                   Flag(self, axes, f"flag-{role}", role))
            for role in ROWS_DB
        }

    def update(self, result: Sweep) -> None:
        """Move the curve and the three marks, whose feet stand on the curve."""
        self._curve.set_data(result.frequencies, result.levels_db.clip(BOTTOM_DB))
        found = result.preselector
        self._mark("signal", found.signal, 0.0, f"signal {_mhz(found.signal)}")
        self._mark("image", found.image_frequency, found.image_rejection_db,
                   f"image {_mhz(found.image_frequency)}, {_down(found.image_rejection_db)}")
        rejection = found.intermediate_frequency_rejection_db
        self._mark("intermediate", found.intermediate_frequency, rejection,
                   f"on the IF {_mhz(found.intermediate_frequency)}, {_down(rejection)}")

    def _mark(self, role: str, frequency: float, rejection: float, words: str) -> None:
        """One mark from the curve up to its words; a frequency off the picture keeps its words."""
        line, flag = self._marks[role]
        line.set_visible(self._low <= frequency <= self._high)
        line.set_data([frequency] * 2, [max(BOTTOM_DB, -rejection), ROWS_DB[role] + 6])
        flag.place(frequency, ROWS_DB[role], words)

    def describe(self, result: Sweep) -> str:
        """What is tuned, and how far image and intermediate frequency are held down."""
        found = result.preselector
        return (
            f"{_circuits(found)} tuned to {_mhz(found.signal)}: the image on "
            f"{_mhz(found.image_frequency)} is {_down(found.image_rejection_db)}, and a signal on "
            f"the intermediate frequency itself, {_mhz(found.intermediate_frequency)}, is "
            f"{_down(found.intermediate_frequency_rejection_db)}."
        )

    def explain(self, result: Sweep) -> str:
        """The formula with the numbers on screen, and how weak the weaker of the two is."""
        found = result.preselector
        beside, centre = found.intermediate_frequency, found.signal
        detuning = abs(beside / centre - centre / beside)
        once = found.intermediate_frequency_rejection_db / found.circuits
        words = (
            f"For the intermediate frequency, ρ = f/f₀ - f₀/f is {show(detuning, '', digits=4)} in "
            f"size, and Q·ρ = {show(found.loaded_q * detuning, '', digits=4)}. One circuit divides "
            f"the voltage by √(1 + Q²ρ²), which is {show(once, 'dB', decimals=1)}"
        )
        words += "; two add their decibels. " if found.circuits == 2 else ". "
        return words + (
            f"What passes is {show(found.bandwidth, 'Hz', digits=3)} wide (3 dB down). What is "
            "held down less than a strong station exceeds a weak one is heard as well."
        )


def _circuits(found: Preselector) -> str:
    number = "One circuit" if found.circuits == 1 else f"{found.circuits} circuits"
    return f"{number} of loaded Q {found.loaded_q:g}"


def _down(rejection: float) -> str:
    if math.isinf(rejection):
        return "gone: it falls on zero"
    return f"held down {show(rejection, 'dB', decimals=1)}"


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)

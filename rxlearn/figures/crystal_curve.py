"""A crystal's impedance near its resonances, and where a capacitor in series moves the lower one."""

from __future__ import annotations

from matplotlib.figure import Figure

from rxlearn.compute.crystal_curve import CrystalCurve
from rxlearn.compute.quantities import show
from rxlearn.figures.flag import Flag
from rxlearn.figures.scene import LiveFigure

ROWS = (1.05, 1.135, 1.22)
"""Baselines of the three flags, in heights of the axes."""


class CrystalCurveFigure(LiveFigure):
    """|Z| over the distance from the series resonance; the holder's own capacitance as dashes.

    ``low``, ``high`` (Hz from ``centre``, Hz) and ``least``, ``most`` (Ω) are the picture's ends;
    ``note`` opens every description.
    """

    name = "crystal-curve"
    size = (900, 345)

    def __init__(self, centre: float, low: float, high: float, least: float, most: float,
                 note: str = "") -> None:
        self._centre, self._ends, self._sizes, self._note = centre, (low, high), (least, most), note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Impedance on a logarithmic axis; the flags have a row each above it."""
        axes = figure.add_axes((0.095, 0.15, 0.885, 0.60))
        low, high = (end / 1e3 for end in self._ends)
        axes.set(xlim=(low, high), yscale="log", ylim=self._sizes, ylabel="impedance",
                 xlabel=f"distance from {_mhz(self._centre)}, the series resonance (kHz)")
        ticks = [10.0**power for power in range(0, 10)
                 if self._sizes[0] <= 10.0**power <= self._sizes[1]]
        axes.set_yticks(ticks, [show(tick, "Ω") for tick in ticks])
        axes.minorticks_off()
        self._axes = axes
        self._holder = self.line(axes, "holder", "quiet", linewidth=1.4, linestyle=(0, (5, 3)))
        self._curve = self.line(axes, "curve", "signal", linewidth=2.2)
        self._marks = [self.marker(axes, f"mark-{name}", role, linewidth=1.3)
                       for name, role in (("series", "intermediate"), ("load", "oscillator"),
                                          ("parallel", "image"))]
        self._flags = [Flag(self, axes, f"flag-{name}", role)
                       for name, role in (("series", "intermediate"), ("load", "oscillator"),
                                          ("parallel", "image"))]
        self._words = self.label(axes, "words", "quiet", fontsize=10.5)
        self._words.set_position((low, self._height(1.305)))

    def _height(self, share: float) -> float:
        """The impedance (Ω) at ``share`` of the axes' height."""
        least, most = self._sizes
        return least * (most / least) ** share

    def update(self, result: CrystalCurve) -> None:
        """Move the curves, the three places and their flags."""
        crystal = result.crystal
        x = (result.frequencies - self._centre) / 1e3
        self._curve.set_data(x, result.impedance.clip(*self._sizes))
        self._holder.set_data(x, result.holder.clip(*self._sizes))
        places = crystal.frequency, result.loaded, crystal.parallel_resonance
        words = (
            f"series resonance, {show(crystal.resistance, 'Ω', digits=3)}",
            f"with {_pf(result.load)} in series: {_hz(result.pulled)} higher",
            f"parallel resonance, {_hz(crystal.spacing)} higher")
        for mark, flag, place, said, row in zip(self._marks, self._flags, places, words, ROWS):
            at = (place - self._centre) / 1e3
            mark.set_xdata([at, at])
            flag.place(at, self._height(row), said)
        self._words.set_text(f"dashes: the holder's {_pf(crystal.parallel_capacitance)} alone")

    def describe(self, result: CrystalCurve) -> str:
        """Both resonances, and what the capacitor in series does."""
        crystal = result.crystal
        words = (
            f"The crystal is {show(crystal.resistance, 'Ω', digits=3)} at its series resonance, "
            f"{_mhz(crystal.frequency)}, and hardly lets anything through at the parallel one, "
            f"{_hz(crystal.spacing)} higher. With {_pf(result.load)} in series it resonates "
            f"{_hz(result.pulled)} above the first.")
        return f"{self._note} {words}".strip()

    def explain(self, result: CrystalCurve) -> str:
        """Motional arm, Q, holder, and what a marking means."""
        crystal = result.crystal
        return (
            f"The quartz behaves as {show(crystal.motional_inductance, 'H', digits=3)} in series with "
            f"{_pf(crystal.motional_capacitance)}: a Q of {round(crystal.q, -3):.0f}, where a coil has 200. "
            f"Across both lie the {_pf(crystal.parallel_capacitance)} of electrodes and holder. "
            "Between the resonances the crystal is an inductance, and with the holder it resonates "
            f"once more; twice the capacitance there halves the room of {_hz(crystal.spacing)}. "
            f"A crystal marked “{_pf(result.load)}” has its marked frequency with that load, so its "
            f"series resonance lies {_hz(result.pulled)} below the marking. Far off, dashes: only "
            "the holder is left, and a signal leaks through it."
        )


def _pf(capacitance: float) -> str:
    return show(capacitance, "F", digits=3, prefix="p")


def _hz(frequency: float) -> str:
    return show(frequency, "Hz", digits=3)


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", digits=8)

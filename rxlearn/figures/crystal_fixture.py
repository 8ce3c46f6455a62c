"""What comes through a fixture with a crystal in it, read with two markers."""

from __future__ import annotations

from matplotlib.figure import Figure

from rxlearn.compute.crystal_curve import FixtureReading
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.flag import Flag
from rxlearn.figures.scene import LiveFigure

LOWEST, HIGHEST = -30.0, 1.0
"""Ends of the level axis, dB."""

NEAR_DB = 0.2
"""A marker this near to 3 dB down counts as on it."""


class CrystalFixtureFigure(LiveFigure):
    """Level against a wire over the distance from the peak; two markers with their readings.

    ``centre`` (Hz) is where most comes through, ``span`` (Hz) the picture's width, ``fine`` (Hz)
    a marker's step; ``note`` opens every description.
    """

    name = "crystal-fixture"
    size = (900, 330)

    def __init__(self, centre: float, span: float, note: str = "") -> None:
        self._centre, self._span, self._note = centre, span, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """One axis; rows for the two readings and what follows from them."""
        axes = figure.add_axes((0.075, 0.155, 0.905, 0.60))
        half = self._span / 2
        axes.set(xlim=(-half, half), ylim=(LOWEST, HIGHEST), ylabel="against a wire (dB)",
                 xlabel=f"distance from the peak at {_mhz(self._centre)} (Hz)")
        self._target = self.line(axes, "target", "quiet", linewidth=1.2, linestyle=(0, (5, 3)))
        self._curve = self.line(axes, "curve", "signal", linewidth=2.2)
        self._left = self.marker(axes, "left", "oscillator", linewidth=1.8)
        self._right = self.marker(axes, "right", "image", linewidth=1.8)
        self._flags = [Flag(self, axes, f"flag-{name}", role) for name, role in (
            ("left", "oscillator"), ("right", "image"))]
        self._words = self.label(axes, "words", "ink", fontsize=11)
        self._words.set_position((-half, HIGHEST + 8.2))
        axes.text(half, HIGHEST + 8.2, "dashes: 3 dB below the peak", ha="right", va="baseline",
                  fontsize=11, color=style.LIGHT["quiet"])

    def update(self, result: FixtureReading) -> None:
        """Move the curve, both markers and the words."""
        half = self._span / 2
        self._curve.set_data(result.frequencies - self._centre, result.levels_db.clip(2 * LOWEST))
        down = -result.peak_db - 3.01
        self._target.set_data([-half, half], [down, down])
        self._left.set_xdata([result.left] * 2)
        self._right.set_xdata([result.right] * 2)
        self._flags[0].place(result.left, HIGHEST + 4.5, _reading(result.left, result.left_db))
        self._flags[1].place(result.right, HIGHEST + 1.0, _reading(result.right, result.right_db))
        self._words.set_text(
            f"{_hz(result.right - result.left)} apart, peak {result.peak_db:.1f} dB below a wire")

    def describe(self, result: FixtureReading) -> str:
        """The readings, and the crystal by them."""
        found = result.found
        words = (
            f"In {show(result.resistance, 'Ω')} the peak is {result.peak_db:.1f} dB below a wire. "
            f"The markers stand {_hz(result.right - result.left)} apart, {result.left_db:.1f} dB "
            f"and {result.right_db:.1f} dB below the peak. By them the crystal would be "
            f"{show(found.motional_inductance, 'H', digits=3)} with "
            f"{show(found.resistance, 'Ω', digits=3)}. {_verdict(result)}")
        return f"{self._note} {words}".strip()

    def explain(self, result: FixtureReading) -> str:
        """From drop and width to the figures, with the numbers on screen."""
        ratio, found = 10 ** (result.peak_db / 20), result.found
        total = result.resistance + found.resistance
        return (
            f"At the peak only the crystal's resistance is left: {result.resistance:.3g} Ω × "
            f"({ratio:.3f} - 1) = {show(found.resistance, 'Ω', digits=3)}. Down by 3 dB its "
            f"reactance equals all resistance in the loop, {show(total, 'Ω', digits=3)}, so the "
            f"inductance is {show(total, 'Ω', digits=3)} / (2π × {_hz(result.right - result.left)}) = "
            f"{show(found.motional_inductance, 'H', digits=3)}, if that is the width between the "
            f"3 dB points. More resistance in the fixture makes a wider peak, easier to read with "
            "a coarse generator; less makes the drop, and so the crystal's own resistance, "
            "plainer. Count to the hertz: the width is a difference of two large numbers.")


def _verdict(result: FixtureReading) -> str:
    off = [level - 3.01 for level in (result.left_db, result.right_db)]
    if max(map(abs, off)) <= NEAR_DB:
        return "Both stand on the 3 dB points: the reading holds."
    if max(off) <= NEAR_DB:
        return "They stand too near the peak, so the inductance comes out too large."
    if min(off) >= -NEAR_DB:
        return "They stand too far out, so the inductance comes out too small."
    return "One stands too near and one too far out: move both to 3 dB."


def _reading(place: float, level: float) -> str:
    return f"{_hz(abs(place))} {'above' if place > 0 else 'below'}: {level:.1f} dB down"


def _hz(frequency: float) -> str:
    return show(frequency, "Hz", digits=4)


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", digits=8)

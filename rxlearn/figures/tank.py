"""Where a coil and a capacitor resonate, over the capacitor's range."""

from __future__ import annotations

from matplotlib.figure import Figure

from rxlearn.compute.quantities import show
from rxlearn.compute.tank import Resonance
from rxlearn.figures.scene import LiveFigure

TOP_FREQUENCY = 20e6
MOST_CAPACITANCE = 500e-12


class TankFigure(LiveFigure):
    """Resonant frequency over capacitance for one coil, with the present setting as a point."""

    name = "tank"
    size = (900, 300)

    def build(self, figure: Figure) -> None:
        """Fixed axes: 0 to 500 pF, 0 to 20 MHz."""
        axes = figure.add_axes((0.075, 0.17, 0.9, 0.71))
        axes.set(xlim=(0, MOST_CAPACITANCE), ylim=(0, TOP_FREQUENCY), ylabel="frequency (MHz)",
                 xlabel="capacitance (pF)", title="Where coil and capacitor resonate")
        axes.set_xticks([c * 1e-12 for c in range(0, 501, 100)], [str(c) for c in range(0, 501, 100)])
        axes.set_yticks([f * 1e6 for f in range(0, 21, 5)], [str(f) for f in range(0, 21, 5)])
        self._curve = self.line(axes, "curve", "oscillator", linestyle="-")
        self._across = self.line(axes, "across", "quiet", linewidth=1.0, linestyle=(0, (3, 3)))
        self._point = self.line(axes, "point", "signal", marker="o", markersize=9, linestyle="none")
        self._words = self.label(axes, "words", "signal", ha="left")

    def update(self, result: Resonance) -> None:
        """Move the curve, the point, the lines to the axes and the label."""
        self._curve.set_data(result.capacitances, result.frequencies)
        x, y = result.capacitance, result.frequency
        self._across.set_data([0, x, x], [y, y, 0])
        self._point.set_data([x], [y])
        inside = y < 0.9 * TOP_FREQUENCY
        self._words.set_text(_mhz(y))
        self._words.set_ha("left" if x < 0.8 * MOST_CAPACITANCE else "right")
        shift = 8e-12 if x < 0.8 * MOST_CAPACITANCE else -8e-12
        self._words.set_position((x + shift, y + 0.6e6 if inside else 0.93 * TOP_FREQUENCY))

    def describe(self, result: Resonance) -> str:
        """The two parts and where they resonate."""
        return (
            f"{show(result.inductance, 'H', prefix='µ', decimals=2)} with "
            f"{show(result.capacitance, 'F', prefix='p', decimals=0)} resonates at "
            f"{_mhz(result.frequency)}."
        )

    def explain(self, result: Resonance) -> str:
        """The square root, at the present numbers."""
        return (
            f"Half the capacitance, {show(result.capacitance / 2, 'F', prefix='p', decimals=1)}, "
            f"would give {_mhz(result.frequency_at_half)}: "
            f"{result.frequency_at_half / result.frequency:.3f} times as much, not twice, because "
            "the frequency goes with the square root of inductance times capacitance. To double "
            "the frequency you need a quarter of the capacitance."
        )


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=3)

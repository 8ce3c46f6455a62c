"""A dial with its marks, and the network behind it."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from rxlearn.compute.dial_scale import DialScale
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

LABELS = 12
"""Numbers that a dial can carry: one more than the compute side ever asks for."""

LETTER, LINE = 0.034, 0.075
"""Width of a digit and height of a line of text on the dial, in radii."""


class BandSpreadFigure(LiveFigure):
    """Left: the half-round dial with kHz marks and the band to be tuned.  Right: the network.

    ``band`` names the band; ``note``, if there is one, opens every description.
    """

    name = "band-spread"
    size = (900, 340)

    def __init__(self, band: str, note: str = "") -> None:
        self._band, self._note = band, note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """The rim, the band's arc, marks and numbers; and the circuit with its values."""
        dial = figure.add_axes((0.0, 0.0, 0.7, 1.0))
        dial.set(xlim=(-1.4, 1.4), ylim=(-0.19, 1.323))
        dial.set_axis_off()
        around = np.linspace(0, math.pi, 121)
        dial.plot(np.cos(around), np.sin(around), color=style.LIGHT["ink"], linewidth=2)
        dial.plot([-1.0, 1.0], [0, 0], color=style.LIGHT["grid"], linewidth=1)
        self._arc = self.moving("arc", dial.add_patch(Polygon(
            [(0, 0), (1, 0), (1, 1)], closed=True, facecolor=style.LIGHT["signal"], alpha=0.28,
            edgecolor="none")))
        self._minor = self.line(dial, "minor", "quiet", linewidth=1.0)
        self._major = self.line(dial, "major", "ink", linewidth=2.0)
        self._numbers = [self.label(dial, f"number-{i}", "ink", fontsize=11, ha="center")
                         for i in range(LABELS)]
        dial.text(0, 0.66, "kHz", ha="center", color=style.LIGHT["quiet"], fontsize=11)
        self._rows = [
            self.label(dial, f"row-{i}", role, ha="center", fontsize=12)
            for i, role in enumerate(("signal", "ink", "ink", "quiet"))
        ]
        for i, label in enumerate(self._rows):
            label.set_position((0, 0.44 - 0.125 * i))
        dial.text(-1.0, -0.14, "plates meshed", ha="center", fontsize=10,
                  color=style.LIGHT["quiet"])
        dial.text(1.0, -0.14, "plates open", ha="center", fontsize=10, color=style.LIGHT["quiet"])
        self._draw_circuit(figure.add_axes((0.7, 0.02, 0.295, 0.96)))

    def _draw_circuit(self, axes: Axes) -> None:
        """Coil, parallel capacitor, and the variable behind its series capacitor."""
        axes.set(xlim=(0, 266), ylim=(0, 326))
        axes.set_axis_off()
        axes.text(6, 306, "The network", fontsize=style.SIZE, parse_math=False)
        ink = {"color": style.LIGHT["ink"], "linewidth": 1.6, "solid_capstyle": "butt"}

        def wire(*points: tuple[float, float]) -> None:
            axes.plot(*zip(*points), **ink)

        def plates(x: float, y: float) -> None:
            wire((x - 13, y + 4), (x + 13, y + 4))
            wire((x - 13, y - 4), (x + 13, y - 4))

        top, bottom, middle = 262.0, 58.0, 160.0
        wire((24, top), (205, top))
        wire((24, bottom), (248, bottom))
        # The coil: four half turns.
        wire((24, top), (24, middle + 40))
        for turn in range(4):
            y = middle + 30 - 20 * turn
            bow = np.linspace(math.pi / 2, -math.pi / 2, 15)
            axes.plot(24 + 9 * np.cos(bow), y + 10 * np.sin(bow), **ink)
        wire((24, middle - 40), (24, bottom))
        wire((92, top), (92, middle + 4))
        plates(92, middle)
        wire((92, middle - 4), (92, bottom))
        # The branch: series capacitor above, variable and what is across it below.
        wire((205, top), (205, 224))
        plates(205, 220)
        wire((205, 216), (205, 178), (172, 178), (172, 124))
        plates(172, 120)
        wire((172, 116), (172, bottom))
        wire((205, 178), (240, 178), (240, 124))
        plates(240, 120)
        wire((240, 116), (240, bottom))
        axes.annotate("", (190, 136), (154, 104), arrowprops={
            "arrowstyle": "-|>", "color": style.LIGHT["ink"], "linewidth": 1.4})
        self._values = {}
        for name, x, y in (("coil", 38, 212), ("parallel", 110, 149), ("series", 186, 209),
                           ("variable", 172, 29), ("across", 240, 29)):
            align = "right" if name == "series" else (
                "center" if name in ("variable", "across") else "left")
            self._values[name] = self.label(axes, f"value-{name}", "signal", fontsize=10, ha=align)
            self._values[name].set_position((x, y))
            axes.text(x, y + 13, name, fontsize=10, ha=align, color=style.LIGHT["quiet"])
        self._values["fixed"] = self.label(axes, "value-fixed", "quiet", fontsize=10)
        self._values["fixed"].set_position((6, 5))

    def update(self, result: DialScale) -> None:
        """Move the marks, the band's arc, the numbers and the values."""
        degrees = result.coverage.network.variable.degrees
        self._minor.set_data(*_ticks(result.minor_angles / degrees, 0.93))
        self._major.set_data(*_ticks(result.major_angles / degrees, 0.87))
        first, last = (place / degrees for place in result.wanted_angles)
        self._arc.set_xy(_ring(first, last))
        self._arc.set_visible(last > first)
        self._place_numbers(result, degrees)
        self._write(result)

    def _place_numbers(self, result: DialScale, degrees: float) -> None:
        """Numbers outside the rim; one that would touch its neighbour is left out."""
        taken: list[tuple[float, float, float]] = []
        places = list(zip(result.major, result.major_angles / degrees))
        labels = iter(self._numbers)
        for frequency, place in places:
            words = _khz(frequency)
            angle = math.pi * (1 - place)
            half = len(words) * LETTER / 2
            x, y = 1.05 * math.cos(angle), 1.05 * math.sin(angle)
            # Beside the rim at the ends, above it in the middle.
            x += math.cos(angle) * half
            if any(abs(x - a) < half + h and abs(y - b) < LINE for a, b, h in taken):
                continue
            taken.append((x, y, half))
            label = next(labels)
            label.set(visible=True, text=words, position=(x, y - 0.02 + 0.03 * math.sin(angle)))
        for label in labels:
            label.set_visible(False)

    def _write(self, result: DialScale) -> None:
        """The rows inside the dial, and the values at the circuit."""
        coverage, network = result.coverage, result.coverage.network
        self._rows[0].set_text(f"{self._band}: {_verdict(result)}")
        self._rows[1].set_text(f"dial covers {_khz(result.low)} to {_khz(result.high)} kHz")
        self._rows[2].set_text(
            f"{_pf(coverage.swing)} of {_pf(coverage.total_at_low)} in all")
        self._rows[3].set_text(
            f"fastest tuning {coverage.unevenness:.1f} times the slowest")
        series = "none" if network.series is None else _pf(network.series)
        self._values["coil"].set_text(show(network.inductance, "H", digits=3))
        self._values["parallel"].set_text(_pf(network.parallel))
        self._values["series"].set_text(series)
        variable = network.variable
        self._values["variable"].set_text(
            f"{variable.minimum * 1e12:.3g}–{variable.maximum * 1e12:.3g} pF")
        self._values["across"].set_text(f"{network.across * 1e12:.0f} pF")
        self._values["fixed"].set_text(
            f"and across the coil: strays {network.strays * 1e12:.3g}, "
            f"valve {network.valve * 1e12:.3g} pF")

    def describe(self, result: DialScale) -> str:
        """What the dial covers, and how the band lies on it."""
        words = (
            f"The dial covers {_khz(result.low)} to {_khz(result.high)} kHz, "
            f"{_span(result.coverage.span)}, for {_pf(result.coverage.swing)} of "
            f"{_pf(result.coverage.total_at_low)}. {self._band}: {_verdict(result)}."
        )
        return f"{self._note} {words}".strip()

    def explain(self, result: DialScale) -> str:
        """What the series capacitor leaves of the swing, and how even that is."""
        network = result.coverage.network
        own = network.variable.swing
        if network.series is None:
            behind = f"Joined directly, the variable's whole {_pf(own)} works on the tank. "
        else:
            a, b = (c + network.across for c in (network.variable.minimum,
                                                 network.variable.maximum))
            behind = (
                f"Behind {_pf(network.series)} the variable's branch goes from "
                f"{_pf(a * network.series / (a + network.series))} to "
                f"{_pf(b * network.series / (b + network.series))}: of its {_pf(own)} swing only "
                f"{_pf(result.coverage.swing)} is left. "
            )
        even = result.coverage.unevenness
        crowd = (
            "That crowds the marks: where the variable is large against the series capacitor it "
            "hardly counts any more. A fixed capacitor across the variable evens it out. "
            if even > 2 else "The marks stand nearly evenly. "
        )
        return (
            f"{behind}{crowd}The parallel capacitor adds to both ends: it moves the dial down and "
            "narrows it a little."
        )


def _verdict(result: DialScale) -> str:
    """How the band lies on the dial, in a few words."""
    first, last = result.wanted_angles
    if not first < last:
        way = "too low" if result.high <= result.wanted_low else "too high"
        gap = result.wanted_low - result.high if way == "too low" else (
            result.low - result.wanted_high)
        return f"off the dial, which is {_span(max(gap, 0.0))} {way}"
    if result.covers:
        return f"all on the dial, filling {result.share:.0%} of the turn"
    ends = [
        f"{_span(short)} short at the {end} end"
        for end, short in (("low", result.short_low), ("high", result.short_high)) if short > 1.0
    ]
    return " and ".join(ends)


def _ticks(places: np.ndarray, inner: float) -> tuple[np.ndarray, np.ndarray]:
    """Radial strokes from ``inner`` to the rim at ``places`` (0 left, 1 right), as one path."""
    angles = np.pi * (1 - places)
    radii = np.array([inner, 1.0, np.nan])
    return (np.outer(np.cos(angles), radii).ravel(), np.outer(np.sin(angles), radii).ravel())


def _ring(first: float, last: float) -> np.ndarray:
    """The outline of the band's arc between two places."""
    angles = np.pi * (1 - np.linspace(first, max(last, first + 1e-4), 41))
    rim = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    return np.concatenate([0.98 * rim, 0.78 * rim[::-1]])


def _pf(capacitance: float) -> str:
    return show(capacitance, "F", prefix="p", decimals=1)


def _span(width: float) -> str:
    return show(width, "Hz", prefix="k", decimals=1)


def _khz(frequency: float) -> str:
    """A frequency in kHz with its thousands apart, and a decimal only where there is one."""
    number = f"{frequency / 1e3:,.1f}".replace(",", "\u2009")
    return number.removesuffix(".0")

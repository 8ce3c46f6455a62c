"""Round copper wire: gauges, enamel, and how its resistance rises with frequency.  SI throughout.

Skin effect is exact for a straight round wire alone: the current density follows Bessel
functions of the complex radius ζ = (1 − j)·r/δ, so R/R₀ = Re(ζ·J₀(ζ)/(2·J₁(ζ))) (Lord Kelvin;
F. E. Terman, *Radio Engineers' Handbook*, 1943, section 2).  Limits: copper at 20 °C of 1/58 µΩm
(IEC 60028), no plating, no roughness; what neighbouring turns do is
:mod:`rxlearn.compute.coil_q`'s.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import jve

from rxlearn.compute.quantities import Range, Unclear
from rxlearn.data.wires import GAUGE_36_INCHES, GAUGES, METRIC, THICKEST_GAUGE_INCHES

COPPER_RESISTIVITY = 1e-6 / 58
"""Ωm at 20 °C, the annealed copper standard (IEC 60028)."""

PERMEABILITY = 4e-7 * math.pi
"""Of vacuum, H/m; also that of copper and of enamel."""

WIRE_DIAMETER = Range("Copper diameter", "m", 0.02e-3, 10e-3)
WIRE_FREQUENCY = Range("Frequency", "Hz", 1.0, 1e9)
GAUGE = Range("Wire gauge", "", -3, 56)


@dataclass(frozen=True)
class Wire:
    """Enamelled wire: ``diameter`` of its copper and ``overall`` diameter (m) with the enamel.

    ``name`` is what is written on the reel.
    """

    name: str
    diameter: float
    overall: float


def gauge_diameter(gauge: int) -> float:
    """Copper diameter (m) of an American wire ``gauge`` (−3 for 4/0, to 56); a plain number in.

    ASTM B258: 39 equal ratios from 0.46 inch (4/0) to 0.005 inch (36).  Raises
    :class:`Unclear` for a number that is no gauge.
    """
    gauge = GAUGE.check(gauge)
    if gauge != int(gauge):
        raise Unclear(f"Wire gauge of {gauge:g} is not whole: {GAUGE.says}.")
    step = (THICKEST_GAUGE_INCHES / GAUGE_36_INCHES) ** (1 / 39)
    return 25.4e-3 * GAUGE_36_INCHES * step ** (36 - gauge)


def enamelled(diameter: float, *, grade: int = 2) -> float:
    """Largest overall diameter (m) of enamelled wire with this copper ``diameter`` (m).

    Between the metric sizes of IEC 60317-0-1 the enamel is interpolated (gauges are treated
    so, too).  ``grade`` is 1 (thin enamel) or 2 (thick).  Raises :class:`Unclear` outside
    0.02 mm to 10 mm.
    """
    diameter = WIRE_DIAMETER.check(diameter)
    sizes = np.array(list(METRIC))
    enamel = np.array([overall[grade - 1] for overall in METRIC.values()]) - sizes
    return diameter + float(np.interp(diameter, sizes, enamel))


def _stock() -> dict[str, Wire]:
    """The reels that are offered: metric sizes, then gauges."""
    reels = {f"{1e3 * size:.4g} mm": size for size in METRIC}
    reels |= {f"AWG {gauge}": gauge_diameter(gauge) for gauge in GAUGES}
    return {name: Wire(name, size, enamelled(size)) for name, size in reels.items()}


WIRES: dict[str, Wire] = _stock()
"""Name to wire in grade 2 enamel."""


def wire_called(name: str) -> Wire:
    """The wire of this ``name``, such as ``0.5 mm`` or ``AWG 24``; its sizes are in m.

    Raises :class:`Unclear` with some of the names that there are.
    """
    try:
        return WIRES[name]
    except KeyError:
        raise Unclear(
            f"Wire “{name[:20]}” is not on the list: take one of {', '.join(list(WIRES)[4:8])}, "
            "or another size of it."
        ) from None


def skin_depth(frequency: float | np.ndarray, *,
               resistivity: float = COPPER_RESISTIVITY) -> float | np.ndarray:
    """Depth (m) at which the current density is down to 1/e: δ = √(ρ/(π·f·µ₀)).

    ``frequency`` in Hz, float or array; ``resistivity`` in Ωm.
    """
    frequency = WIRE_FREQUENCY.check_each(frequency)
    return np.sqrt(resistivity / (np.pi * frequency * PERMEABILITY))


def direct_resistance(diameter: float, length: float) -> float:
    """Resistance (Ω) of a copper wire at direct current: ρ·l/A, ``diameter`` and ``length`` in m."""
    return COPPER_RESISTIVITY * length / (math.pi * WIRE_DIAMETER.check(diameter) ** 2 / 4)


def skin_ratio(diameter: float, frequency: float | np.ndarray) -> float | np.ndarray:
    """Resistance of a straight round wire over its direct-current one, a ratio of 1 or more.

    ``diameter`` (m) of the copper, ``frequency`` (Hz) float or array.  Exact; see the module.
    """
    argument = _complex_radius(diameter, frequency)
    # Scaled Bessel functions: their common factor cancels, and nothing overflows.
    ratio = (argument * jve(0, argument) / (2 * jve(1, argument))).real
    return float(ratio) if np.ndim(ratio) == 0 else ratio


def transverse_shape(diameter: float, frequency: float | np.ndarray) -> float | np.ndarray:
    """How far eddy currents of a field across the wire have come: a ratio, 0 at d.c., 1 far up.

    The loss of a round wire of ``diameter`` (m) in a uniform field across it goes with
    ω·Im(J₂(ζ)/J₀(ζ)); here it is divided by what that becomes at high ``frequency`` (Hz, float
    or array).  DERIVED from the field of a conducting cylinder, as S. Butterworth did in 1926.
    """
    argument = _complex_radius(diameter, frequency)
    loss = np.abs((jve(2, argument) / jve(0, argument)).imag)
    shape = loss * (diameter / 2) / skin_depth(frequency)
    return float(shape) if np.ndim(shape) == 0 else shape


def internal_ratio(diameter: float, frequency: float) -> float:
    """Inductance inside a straight wire over its direct-current µ₀/8π per metre: a ratio, 1 to 0.

    ``diameter`` (m) of the copper, ``frequency`` in Hz.  Exact, from the same solution.
    """
    argument = _complex_radius(diameter, frequency)
    reactive = (argument * jve(0, argument) / (2 * jve(1, argument))).imag
    return float(4 * (skin_depth(frequency) / (diameter / 2)) ** 2 * abs(reactive))


def _complex_radius(diameter: float, frequency: float | np.ndarray) -> complex | np.ndarray:
    """ζ = (1 − j)·r/δ."""
    return (1 - 1j) * (WIRE_DIAMETER.check(diameter) / 2) / skin_depth(frequency)

"""The parts of a receiver's oscillator with their tolerances, and a design with room for them.

A :class:`Build` is a list of parts that anyone could buy: a coil, a fixed capacitor, a
trimmer, a variable capacitor with or without a capacitor in series, the capacitor that is
switched with the band, and the crystal that is the intermediate frequency; besides them what
nobody buys, strays and the valve's share.  The narrower band may instead have capacitors of
its own that spread it over the dial.  Values in SI.  :mod:`~rxlearn.compute.tolerances`
builds it many times over.

Limits: the ideal tank of :mod:`~rxlearn.compute.tank`; :func:`design_build` lets the tuning
capacitor sit straight across the coil and leaves strays and valve out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import MappingProxyType

from rxlearn.compute.image_swapping import LOWER_BAND, UPPER_BAND, SwapScheme
from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.recentring import recentre
from rxlearn.compute.tank import CAPACITANCE_SWING, tank_for_range

UNIFORM, NORMAL = "uniform", "normal"
SPREADS = (UNIFORM, NORMAL)

TOLERANCE = Range("Tolerance", "", 0.0, 0.9)
COEFFICIENT = Range("Temperature coefficient", "", -0.01, 0.01)
NOMINAL = Range("Value of a part", "", 0.0, 1e12)
MARGIN = Range("Margin beyond the band", "", 0.0, 0.5)
TRIMMER = Range("Trimmer", "F", 0.0, 1e-9)
LEAST_CAPACITANCE = Range("Tuning capacitor, minimum", "F", 0.0, 1e-9)

COIL, FIXED, MINIMUM, SWING, SWITCHED, CRYSTAL = (
    "coil", "fixed capacitor", "tuning capacitor, minimum", "tuning capacitor, swing",
    "switched capacitor", "crystal",
)
STRAYS, VALVE, SERIES = "strays", "valve's share", "series capacitor"
SPREAD_FIXED, SPREAD_SERIES, SPREAD_ACROSS = (
    "band spread, fixed capacitor", "band spread, series capacitor", "band spread, across",
)
PARTS = (COIL, FIXED, MINIMUM, SWING, SWITCHED, CRYSTAL, STRAYS, VALVE, SERIES,
         SPREAD_FIXED, SPREAD_SERIES, SPREAD_ACROSS)
"""The parts of one receiver, by name, in the order in which they are drawn."""

SPOKEN = MappingProxyType({
    **{name: f"the {name}" for name in PARTS},
    MINIMUM: "the tuning capacitor's minimum", SWING: "the tuning capacitor's swing",
    STRAYS: "the strays", SPREAD_FIXED: "the narrower band's fixed capacitor",
    SPREAD_SERIES: "the narrower band's series capacitor",
    SPREAD_ACROSS: "the capacitor across the variable",
})
"""Part to the words for it in a sentence."""


@dataclass(frozen=True)
class Part:
    """A part: ``nominal`` (SI), ``tolerance`` (a fraction, ±), and how it moves with warmth.

    A ``nominal`` of zero is a part that is not fitted.
    ``coefficient`` is the change per °C (a fraction: 30e-6 is 30 ppm/°C) and
    ``coefficient_spread`` how far (±) it may lie from that.  ``spread`` is "uniform" or
    "normal" (tolerance at three standard deviations).  Raises :class:`Unclear` out of range.
    """

    name: str
    nominal: float
    tolerance: float
    coefficient: float = 0.0
    coefficient_spread: float = 0.0
    spread: str = UNIFORM

    def __post_init__(self) -> None:
        NOMINAL.check(self.nominal)
        TOLERANCE.check(self.tolerance)
        COEFFICIENT.check(self.coefficient)
        COEFFICIENT.check(self.coefficient_spread)
        if not isinstance(self.spread, str) or self.spread not in SPREADS:
            raise Unclear("Spread of a part must be uniform or normal.")


@dataclass(frozen=True, kw_only=True)
class Build:
    """A receiver to be built many times: ``scheme``, its ``parts`` and the trimmer's reach (F).

    The trimmer covers ``trimmer_low``..``trimmer_high``; it is turned until the dial begins
    ``beyond`` (Hz) below the wider band's oscillator range.  ``switched_on`` is the band on
    which the switched capacitor sits, ``wide_band`` the one the dial was laid out for.
    ``spread`` says that the narrower band has capacitors and a like trimmer of its own, which
    is turned until its dial begins ``narrow_beyond`` (Hz) below it.  ``parts`` may leave out
    what is not fitted.
    """

    scheme: SwapScheme
    parts: tuple[Part, ...]
    trimmer_low: float
    trimmer_high: float
    beyond: float
    switched_on: str
    wide_band: str
    spread: bool = False
    narrow_beyond: float = 0.0

    def part(self, name: str) -> Part:
        """The part of one of the names in :data:`PARTS`; one of zero if it is not fitted."""
        return next((part for part in self.parts if part.name == name), Part(name, 0.0, 0.0))

    def with_part(self, name: str, **changes: float | str) -> Build:
        """The same build with something of one part changed; :class:`Unclear` for no such part."""
        if name not in PARTS:
            raise Unclear(f"Part “{str(name)[:30]}” is unknown: choose {', '.join(PARTS)}.")
        parts = tuple(part for part in self.parts if part.name != name)
        return replace(self, parts=(*parts, replace(self.part(name), **changes)))


def check_trimmer(low: float, high: float) -> tuple[float, float]:
    """A trimmer's ends, ``low`` and ``high`` (F), if they stand in order; else :class:`Unclear`."""
    low, high = TRIMMER.check(low), TRIMMER.check(high)
    if not low < high:
        raise Unclear(f"Trimmer from {show(low, 'F')} to {show(high, 'F')} has no reach or stands "
                      "the wrong way round; give the smaller capacitance first.")
    return low, high


def design_build(
    scheme: SwapScheme, capacitance_swing: float, *, margin: float = 0.1,
    trimmer_low: float = 3e-12, trimmer_high: float = 30e-12, minimum: float = 12e-12,
) -> Build:
    """Parts for ``scheme`` whose dial reaches ``margin`` (a share of its width) beyond the band.

    Half of the margin lies at either end; ``capacitance_swing`` (F) covers all of it,
    from ``minimum`` (F) of the tuning capacitor up.  The
    fixed capacitor is what is left when the trimmer stands in its middle.  Tolerances and
    temperature coefficients are those of ordinary good parts: C0G capacitors (±5 %, 0 ±30
    ppm/°C: EIA-198), a coil wound and adjusted by its maker (±2 %, +50 ±30 ppm/°C, from
    memory), an air variable (±5 %, +50 ±50 ppm/°C, from memory), a crystal (±50 ppm, common
    practice).  Raises :class:`Unclear` for a scheme that cannot be recentred, for a tank too
    small for the trimmer, and for values out of range.
    """
    swing, margin = CAPACITANCE_SWING.check(capacitance_swing), MARGIN.check(margin)
    low, high = check_trimmer(trimmer_low, trimmer_high)
    minimum = LEAST_CAPACITANCE.check(minimum)
    more = margin / 2 * scheme.dial_span
    tank = tank_for_range(scheme.dial_low - more, scheme.dial_high + more, swing)
    moved = recentre(scheme, tank.inductance)
    fixed = tank.capacitance_at_high - minimum - (low + high) / 2
    if scheme.centre_shift and moved.switched_on != moved.narrow_band:
        # The wider band is tuned with the switched capacitor in.
        fixed -= moved.capacitance
    if fixed <= 0:
        raise Unclear(
            f"Trimmer and tuning capacitor take {show(-fixed, 'F', digits=3)} more than the tank "
            "holds: take smaller ones, or more swing."
        )
    parts = (
        Part(COIL, tank.inductance, 0.02, 50e-6, 30e-6),
        Part(FIXED, fixed, 0.05, 0.0, 30e-6),
        Part(MINIMUM, minimum, 0.05, 50e-6, 50e-6),
        Part(SWING, swing, 0.05, 50e-6, 50e-6),
        Part(SWITCHED, moved.capacitance, 0.05, 0.0, 30e-6),
        Part(CRYSTAL, scheme.intermediate_frequency, 50e-6, 0.0, 1e-6),
    )
    narrow = moved.narrow_band
    return Build(
        scheme=scheme, parts=parts, trimmer_low=low, trimmer_high=high, beyond=more,
        switched_on=moved.switched_on or narrow,
        wide_band=LOWER_BAND if narrow == UPPER_BAND else UPPER_BAND,
    )

"""From a planned oscillator to a list of parts with tolerances, ready to be built many times.

What a plan holds is a coil, a variable capacitor, strays and a valve; what is still to be
bought is worked out here as exact values, with room left beyond either end of the band and
the trimmer in its middle.  SI throughout.

Limits: the ideal tank of :mod:`~rxlearn.compute.tank`.  The fixed capacitor is as large as
it must be, put together of bought ones if need be.  Strays and the valve's share are guesses
until they are measured, and move with warmth like the fixed capacitors.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from rxlearn.compute.band_spread import Network, solve_network
from rxlearn.compute.drawn_receivers import band_plan
from rxlearn.compute.image_swapping import LOWER_BAND, UPPER_BAND, SwapScheme
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.receiver_parts import (
    COEFFICIENT,
    COIL,
    CRYSTAL,
    FIXED,
    MARGIN,
    MINIMUM,
    SERIES,
    SPREAD_ACROSS,
    SPREAD_FIXED,
    SPREAD_SERIES,
    STRAYS,
    SWING,
    SWITCHED,
    TOLERANCE,
    VALVE,
    Build,
    Part,
    check_trimmer,
)
from rxlearn.compute.recentring import SWITCHED as SWITCHED_RANGE
from rxlearn.compute.recentring import recentre
from rxlearn.compute.spread_parts import centred
from rxlearn.compute.tank import capacitance_for, tank_for_range
from rxlearn.compute.variable_capacitor import VariableCapacitor


@dataclass(frozen=True, kw_only=True)
class Quality:
    """How far parts may lie from what is printed on them, and how they move with warmth.

    Tolerances are fractions, ±; coefficients fractions per °C, their ``_spread`` ± around
    them.  The defaults are those of ordinary good parts: C0G capacitors (±5 %, ±30 ppm/°C:
    EIA-198), a coil wound and adjusted (±2 %), an air variable (±5 %), strays and valve
    (±25 %), a crystal (±50 ppm); all but the first from memory or common practice.
    """

    coil: float = 0.02
    capacitors: float = 0.05
    variable: float = 0.05
    strays: float = 0.25
    crystal: float = 50e-6
    coil_coefficient: float = 50e-6
    coil_coefficient_spread: float = 30e-6
    capacitor_coefficient: float = 0.0
    capacitor_coefficient_spread: float = 30e-6
    variable_coefficient: float = 50e-6
    variable_coefficient_spread: float = 50e-6
    crystal_coefficient_spread: float = 1e-6

    def __post_init__(self) -> None:
        for tolerance in (self.coil, self.capacitors, self.variable, self.strays, self.crystal):
            TOLERANCE.check(tolerance)
        for name in self.__dataclass_fields__:
            if "coefficient" in name:
                COEFFICIENT.check(getattr(self, name))


@dataclass(frozen=True, kw_only=True)
class Oscillator:
    """What a plan holds of the oscillator: ``inductance`` (H), ``variable``, ``strays``, ``valve`` (F).

    ``series`` and ``across`` (F) spread the narrower band, ``switched`` (F) recentres it; of
    ``series`` and ``switched``, zero asks for the value that does so exactly.
    """

    inductance: float
    variable: VariableCapacitor
    strays: float = 0.0
    valve: float = 0.0
    switched: float = 0.0
    series: float = 0.0
    across: float = 0.0


def build_from_parts(
    scheme: SwapScheme, planned: Oscillator, quality: Quality, *, margin: float = 0.0,
    trimmer_low: float = 3e-12, trimmer_high: float = 30e-12, spread: bool = False,
) -> Build:
    """The parts list for ``planned``, its dial ``margin`` (a share of its width) wider than the band.

    Half of the margin lies at either end.  It comes out of what swing the variable has to
    spare, by way of a series capacitor; where there is none, the coil is made larger, until
    the whole swing covers the range.  The trimmer (F) stands in the middle of its reach.
    ``spread`` gives the narrower band a network of its own instead of the switched capacitor.
    Raises :class:`Unclear` where the tank has no room for what must be in it, and for a
    scheme that cannot work.
    """
    margin = MARGIN.check(margin)
    middle = sum(check_trimmer(trimmer_low, trimmer_high)) / 2
    if not (scheme.lower.works and scheme.upper.works):
        raise Unclear(scheme.reasons[0])
    wide_band = scheme.wider
    bare = Build(
        scheme=scheme, parts=(), trimmer_low=trimmer_low, trimmer_high=trimmer_high, beyond=0.0,
        switched_on=LOWER_BAND if wide_band == UPPER_BAND else UPPER_BAND, wide_band=wide_band,
        spread=spread)
    wide = band_plan(bare)
    beyond = margin / 2 * wide.oscillator_span
    network = _network(planned, wide.oscillator_low - beyond, wide.oscillator_high + beyond)
    if spread:
        own, narrow_beyond = _spread(planned, network.inductance, bare, margin)
        found = _parts(network, scheme, quality, network.parallel - middle)
        found += _spread_parts(own, quality, own.parallel - middle)
        return replace(bare, parts=found, beyond=beyond, narrow_beyond=narrow_beyond)
    moved = recentre(scheme, network.inductance)
    switched = SWITCHED_RANGE.check(planned.switched) or moved.capacitance
    on = moved.switched_on or moved.narrow_band
    fixed = network.parallel - middle - (switched if on == wide_band else 0.0)
    found = _parts(network, scheme, quality, fixed)
    found += (_capacitor(SWITCHED, switched, quality),)
    return replace(bare, parts=found, beyond=beyond, switched_on=on)


def _network(planned: Oscillator, low: float, high: float) -> Network:
    """The wider band's network, with the planned coil or, for want of swing, a larger one."""
    coil = planned.inductance
    swing = capacitance_for(low, coil) - capacitance_for(high, coil)
    if swing > planned.variable.swing:
        coil = tank_for_range(low, high, planned.variable.swing).inductance
    return solve_network(low, high, coil, planned.variable, strays=planned.strays,
                         valve=planned.valve)


def _spread(
    planned: Oscillator, coil: float, bare: Build, margin: float
) -> tuple[Network, float]:
    """The narrower band's own network, and how far its dial is to begin below the band."""
    narrow = band_plan(bare, narrow=True)
    beyond = margin / 2 * narrow.oscillator_span
    own = solve_network(
        narrow.oscillator_low - beyond, narrow.oscillator_high + beyond, coil, planned.variable,
        across=planned.across, strays=planned.strays, valve=planned.valve)
    if not planned.series:
        return own, beyond
    own = centred(replace(own, series=planned.series), narrow.oscillator_centre)
    # A dial that is too narrow begins at the band's edge: so one end at least is right.
    return own, max(0.0, float(narrow.oscillator_low - own.frequency_at(0.0)))


def _capacitor(name: str, nominal: float, quality: Quality) -> Part:
    return Part(name, nominal, quality.capacitors, quality.capacitor_coefficient,
                quality.capacitor_coefficient_spread)


def _fixed(name: str, nominal: float, quality: Quality) -> Part:
    """A fixed capacitor beside its trimmer, if the tank leaves room for one."""
    if nominal <= 0:
        raise Unclear(
            f"Trimmer, strays, valve and tuning capacitor take {show(-nominal, 'F', digits=3)} "
            "more than the tank holds: take a smaller trimmer or a smaller coil."
        )
    return _capacitor(name, nominal, quality)


def _parts(
    network: Network, scheme: SwapScheme, quality: Quality, fixed: float
) -> tuple[Part, ...]:
    """What every receiver has."""
    variable = network.variable
    moves = quality.variable_coefficient, quality.variable_coefficient_spread
    like = quality.capacitor_coefficient, quality.capacitor_coefficient_spread
    found = (
        Part(COIL, network.inductance, quality.coil, quality.coil_coefficient,
             quality.coil_coefficient_spread),
        _fixed(FIXED, fixed, quality),
        Part(MINIMUM, variable.minimum, quality.variable, *moves),
        Part(SWING, variable.swing, quality.variable, *moves),
        Part(CRYSTAL, scheme.intermediate_frequency, quality.crystal, 0.0,
             quality.crystal_coefficient_spread),
        Part(STRAYS, network.strays, quality.strays, *like),
        Part(VALVE, network.valve, quality.strays, *like),
    )
    return found if network.series is None else (
        *found, _capacitor(SERIES, network.series, quality))


def _spread_parts(own: Network, quality: Quality, fixed: float) -> tuple[Part, ...]:
    """What spreads the narrower band."""
    return (
        _fixed(SPREAD_FIXED, fixed, quality),
        _capacitor(SPREAD_SERIES, own.series or 0.0, quality),
        _capacitor(SPREAD_ACROSS, own.across, quality),
    )

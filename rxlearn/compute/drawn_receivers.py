"""What a tank does in many receivers at once, each with parts of its own.

A receiver here is one entry of arrays: part to values (SI), one for each receiver, in the
order of :data:`~rxlearn.compute.receiver_parts.PARTS`.  A part that is not fitted is a plain
zero.  Frequencies in Hz, capacitances in F.

Model: the ideal tank, f = 1/(2π√(LC)); on the wider band the coil has across it the fixed
capacitor, trimmer, strays, the valve's share, perhaps the switched capacitor, and the variable
behind its series capacitor or directly; a narrower band that is spread has a fixed capacitor,
a trimmer and a series capacitor of its own and something across the variable.  DERIVED from
the definitions of series and parallel capacitance.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from scipy.special import ndtri

from rxlearn.compute.receiver_parts import (
    COIL,
    CRYSTAL,
    FIXED,
    MINIMUM,
    NORMAL,
    PARTS,
    SERIES,
    SPREAD_ACROSS,
    SPREAD_FIXED,
    SPREAD_SERIES,
    STRAYS,
    SWING,
    SWITCHED,
    VALVE,
    Build,
)
from rxlearn.compute.tuning import HIGH, LOW, BandPlan

ROUNDING = 1e-10
"""Share of a frequency that counts as nothing: less than a hundredth of a hertz at 30 MHz."""

Values = Mapping[str, np.ndarray]
"""Part to its values, one for each receiver; a plain zero for a part that is not fitted."""


def draw_values(build: Build, points: np.ndarray) -> tuple[Values, Values]:
    """Values (SI) and temperature coefficients of the parts from ``points`` (2·parts, N)."""
    values: dict[str, np.ndarray] = {}
    coefficients: dict[str, np.ndarray] = {}
    for place, name in enumerate(PARTS):
        part = build.part(name)
        if not part.nominal:
            values[name] = coefficients[name] = 0.0
            continue
        if part.spread == NORMAL:
            off = ndtri(np.clip(points[place], 1e-12, 1 - 1e-12)) / 3
        else:
            off = 2 * points[place] - 1
        values[name] = part.nominal * (1 + part.tolerance * off)
        coefficients[name] = (
            part.coefficient + part.coefficient_spread * (2 * points[len(PARTS) + place] - 1))
    return values, coefficients


def targets(build: Build, values: Values, *, narrow: bool = False) -> tuple[np.ndarray, ...]:
    """Where the oscillator must reach on one band with each receiver's crystal, Hz: (low, high)."""
    plan = band_plan(build, narrow=narrow)
    crystal = values[CRYSTAL]
    if plan.injection == HIGH:
        return plan.band_low + crystal, plan.band_high + crystal
    if plan.injection == LOW:
        return plan.band_low - crystal, plan.band_high - crystal
    return crystal - plan.band_high, crystal - plan.band_low


def band_plan(build: Build, *, narrow: bool = False) -> BandPlan:
    """The frequency plan (Hz) of the band that the dial is laid out for, or of the other one."""
    scheme = build.scheme
    return scheme.lower if (build.wide_band == "lower") != narrow else scheme.upper


def _capacitance(frequency: np.ndarray, values: Values) -> np.ndarray:
    """Tank capacitance for a frequency with each receiver's coil."""
    return 1 / ((2 * np.pi * frequency) ** 2 * values[COIL])


def _around(build: Build, values: Values, narrow: bool) -> np.ndarray:
    """What lies across the coil besides trimmer and variable."""
    total = values[STRAYS] + values[VALVE]
    if narrow and build.spread:
        return total + values[SPREAD_FIXED]
    if not build.spread and (build.switched_on == build.wide_band) != narrow:
        total = total + values[SWITCHED]
    return total + values[FIXED]


def _behind(values: Values, own: np.ndarray, name: str) -> np.ndarray:
    """The variable with what is across it, behind the series capacitor ``name``."""
    series = values[name]
    return own if np.isscalar(series) else own * series / (own + series)


def _branches(build: Build, values: Values, narrow: bool) -> tuple[np.ndarray, np.ndarray]:
    """The variable's branch with the plates open and meshed."""
    spread = narrow and build.spread
    least = values[MINIMUM] + (values[SPREAD_ACROSS] if spread else 0.0)
    name = SPREAD_SERIES if spread else SERIES
    return _behind(values, least, name), _behind(values, least + values[SWING], name)


def dial_ends(
    build: Build, values: Values, trimmer: np.ndarray, *, narrow: bool = False
) -> tuple[np.ndarray, np.ndarray]:
    """The dial's ends (Hz of the oscillator) on one band with ``trimmer`` (F) set."""
    around, coil = _around(build, values, narrow) + trimmer, values[COIL]
    opened, meshed = _branches(build, values, narrow)
    return (1 / (2 * np.pi * np.sqrt(coil * (around + meshed))),
            1 / (2 * np.pi * np.sqrt(coil * (around + opened))))


def trimmer_needed(build: Build, values: Values, *, narrow: bool = False) -> np.ndarray:
    """Trimmer (F) with which the dial begins where it should; may lie beyond its reach."""
    beyond = build.narrow_beyond if narrow else build.beyond
    start = targets(build, values, narrow=narrow)[0] - beyond
    rest = _around(build, values, narrow) + _branches(build, values, narrow)[1]
    return _capacitance(start, values) - rest


def worst_trimmers(build: Build) -> tuple[float, float]:
    """The least and the most (F) that any receiver could ask of its trimmer, all parts at an end.

    It asks for most with every capacitor and the coil as small as they come, for least with all
    as large; which way the crystal works depends on the side, so both are tried.
    """
    ends = np.full((2 * len(PARTS), 4), 0.5)
    ends[: len(PARTS)] = (0.0, 0.0, 1.0, 1.0)
    ends[PARTS.index(CRYSTAL)] = (0.0, 1.0, 0.0, 1.0)
    needed = trimmer_needed(build, draw_values(build, ends)[0])
    return float(needed.min()), float(needed.max())


def covers(
    build: Build, values: Values, ends: tuple[np.ndarray, np.ndarray], *, narrow: bool = False
) -> np.ndarray:
    """Whether the band lies wholly between the dial's ``ends`` (Hz, low and high)."""
    first, last = targets(build, values, narrow=narrow)
    # A dial that is trimmed to begin at the band's very edge does so but for rounding.
    return (ends[0] <= first * (1 + ROUNDING)) & (last <= ends[1] * (1 + ROUNDING))


def switched_needed(build: Build, values: Values) -> np.ndarray:
    """Switched capacitor (F) that brings the bands' middles together, signed as it is switched."""
    wide, narrow = targets(build, values), targets(build, values, narrow=True)
    more = (_capacitance((narrow[0] + narrow[1]) / 2, values)
            - _capacitance((wide[0] + wide[1]) / 2, values))
    return -more if build.switched_on == build.wide_band else more


def centre_off(build: Build, values: Values) -> np.ndarray:
    """Switched capacitor less what is needed, as a share of the swing that works on the tank."""
    opened, meshed = _branches(build, values, False)
    return (values[SWITCHED] - switched_needed(build, values)) / (meshed - opened)


def drift_of(
    build: Build, values: Values, trimmer: np.ndarray, coefficients: Values
) -> np.ndarray:
    """Oscillator drift (Hz/°C) on the wider band, tuning capacitor half in, ``trimmer`` (F) set."""
    half, series = values[SWING] / 2, values[SERIES]
    own = values[MINIMUM] + half
    branch = _behind(values, own, SERIES)
    total = _around(build, values, False) + trimmer + branch
    moved = (values[FIXED] + trimmer) * coefficients[FIXED]
    for name in (STRAYS, VALVE):
        moved = moved + values[name] * coefficients[name]
    if not build.spread and build.switched_on == build.wide_band:
        moved = moved + values[SWITCHED] * coefficients[SWITCHED]
    own_moved = values[MINIMUM] * coefficients[MINIMUM] + half * coefficients[SWING]
    if np.isscalar(series):
        moved = moved + own_moved
    else:  # DERIVED: d(ab/(a+b)) = (b/(a+b))² da + (a/(a+b))² db
        moved = moved + (branch / own) ** 2 * own_moved
        moved = moved + (branch / series) ** 2 * series * coefficients[SERIES]
    frequency = 1 / (2 * np.pi * np.sqrt(values[COIL] * total))
    return -frequency / 2 * (coefficients[COIL] + moved / total)

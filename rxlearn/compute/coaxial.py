"""Coils on one axis: what one lends the other.  SI throughout.

Mutual inductance of two coaxial circles in Maxwell's closed form (J. C. Maxwell, *Treatise*, art.
701; F. W. Grover, *Inductance Calculations*, 1946, chapter 11), summed over every pair of turns.
Limits: thin wire, turns as circles, nothing else near; coils wound over each other are good to a
few percent, coils a diameter apart to better than one.
"""

from __future__ import annotations

import math

import numpy as np
from scipy.optimize import brentq
from scipy.special import ellipe, ellipkm1

from rxlearn.compute.coils import Coil
from rxlearn.compute.quantities import Range, Unclear
from rxlearn.compute.wire import PERMEABILITY

GAP = Range("Gap between the coils", "m", 0.0, 1.0)
MOST_RINGS = 48
"""A long coil is taken as so many rings that carry its turns: the sum then changes by less than
half a percent (tested), and a drag stays quick."""


def loop_mutual(first_radius: float | np.ndarray, second_radius: float | np.ndarray,
                distance: float | np.ndarray) -> float | np.ndarray:
    """Mutual inductance (H) of two circles on one axis, their planes ``distance`` (m) apart.

    M = µ₀·√(ab)·((2/k − k)·K(k) − (2/k)·E(k)), k² = 4ab/((a + b)² + z²), with ``first_radius`` a
    and ``second_radius`` b in m.  Floats or arrays that broadcast.
    """
    a, b, z = (np.asarray(x, float) for x in (first_radius, second_radius, distance))
    square = 4 * a * b / ((a + b) ** 2 + z**2)
    rest = ((a - b) ** 2 + z**2) / ((a + b) ** 2 + z**2)
    k = np.sqrt(square)
    found = PERMEABILITY * np.sqrt(a * b) * ((2 / k - k) * ellipkm1(rest) - 2 / k * ellipe(square))
    # Loops far apart: the bracket is a small difference; its series keeps the digits.
    far = PERMEABILITY * np.pi * a**2 * b**2 / 2 / np.maximum(a**2 + b**2 + z**2, 1e-300) ** 1.5
    found = np.where(square < 1e-3, far, found)
    return float(found) if found.ndim == 0 else found


def _rings(coil: Coil, start: float) -> tuple[np.ndarray, float]:
    """Places (m) of the rings that stand for ``coil``, and how many turns each carries."""
    count = max(1, min(MOST_RINGS, round(coil.turns)))
    places = start + (np.arange(count) + 0.5) * coil.length / count
    return places, coil.turns / count


def coil_mutual(first: Coil, second: Coil, gap: float) -> float:
    """Mutual inductance (H) of two coils on one axis, the windings ``gap`` (m) apart.

    A negative gap overlaps them: a link wound over the end of a coil.
    """
    if first == second:
        return _mutual_of_like(first, gap)
    here, each = _rings(first, 0.0)
    there, others = _rings(second, first.length + gap)
    table = loop_mutual(first.diameter / 2, second.diameter / 2, there[None, :] - here[:, None])
    return float(each * others * np.sum(table))


def _mutual_of_like(coil: Coil, gap: float) -> float:
    """The same for two like coils: many pairs of rings lie equally far apart and count once."""
    places, each = _rings(coil, 0.0)
    count = len(places)
    apart = np.arange(1 - count, count)
    distances = coil.length + gap + apart * coil.length / count
    mutual = loop_mutual(coil.diameter / 2, coil.diameter / 2, distances)
    return float(each**2 * np.sum((count - np.abs(apart)) * mutual))


def coupling_between(first: Coil, second: Coil, gap: float) -> float:
    """Coupling coefficient k = M/√(L₁L₂) of two coils on one axis, ``gap`` (m) apart: a ratio."""
    return coil_mutual(first, second, gap) / math.sqrt(first.inductance * second.inductance)


def gap_for(first: Coil, second: Coil, coupling: float) -> float:
    """The gap (m) at which two coils on one axis have this ``coupling`` coefficient, a ratio.

    Raises :class:`Unclear` where they would have to overlap, or lie more than 1 m apart.
    """
    mean = math.sqrt(first.inductance * second.inductance)

    def miss(gap: float) -> float:
        return coil_mutual(first, second, gap) / mean - coupling

    if miss(0.0) < 0:
        raise Unclear(
            f"A coupling of {coupling:.3g} is more than these coils have side by side: couple them "
            "by a capacitor, or make them shorter."
        )
    if miss(GAP.high) > 0:
        raise Unclear(f"A coupling of {coupling:.3g} needs more than {GAP.high:g} m between coils.")
    # Coupling falls over decades: the search first closes in to within a factor of two.
    high = 1e-3
    while miss(high) > 0:
        high *= 2
    return float(brentq(miss, 0.0 if high == 1e-3 else high / 2, min(high, GAP.high), xtol=1e-7))


def split_inductances(coil: Coil, turns: float) -> tuple[float, float, float]:
    """Both parts of a coil tapped at ``turns`` from its end, and their mutual inductance (H each).

    The parts are Rosa's; the mutual inductance is what the whole has more than the two, halved,
    so that L = L₁ + L₂ + 2M holds.
    """
    if not 1.0 <= turns <= coil.turns - 1.0:
        raise Unclear(
            f"A tap at {turns:.3g} turns leaves no coil on one side of it: stay at least one turn "
            f"from either end of the {coil.turns:.3g}."
        )
    part = Coil(turns=turns, former=coil.former, length=turns * coil.pitch, wire=coil.wire)
    rest = Coil(turns=coil.turns - turns, former=coil.former,
                length=(coil.turns - turns) * coil.pitch, wire=coil.wire)
    first, second = part.inductance, rest.inductance
    return first, second, (coil.inductance - first - second) / 2

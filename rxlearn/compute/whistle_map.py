"""At which intermediate frequencies a band whistles: the gaps are the clean ones.  Hz.

A crossing sits at a fixed ratio r of oscillator to IF (:mod:`~rxlearn.compute.whistles`).
With the signal f = a·O + b·IF that ratio falls on the signal f where IF = f/(a·r + b), so
each crossing spoils one stretch of intermediate frequencies for a whole band: from its low
edge over (a·r + b) to its high edge over it.  DERIVED from the definitions.

Limits: those of :mod:`~rxlearn.compute.whistles`: places, not loudness.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tuning import BandPlan, check_band
from rxlearn.compute.whistles import (
    SIGNAL_IN_TERMS,
    Whistle,
    check_order,
    self_made_crossings,
    signal_crossings,
    whistles,
)


@dataclass(frozen=True, eq=False)
class Stretches:
    """Intermediate frequencies ``low`` to ``high`` (Hz, arrays of shape (N,)) that whistle.

    ``orders`` are the orders of oscillator and signal (or beat oscillator) together, and
    ``self_made`` says which whistle without a station.  For the band from ``band_low`` to
    ``band_high`` (Hz) and products up to ``order``.
    """

    band_low: float
    band_high: float
    injection: str
    order: int
    low: np.ndarray
    high: np.ndarray
    orders: np.ndarray
    self_made: np.ndarray


def whistling_stretches(
    band_low: float, band_high: float, injection: str, *, order: int = 7
) -> Stretches:
    """Every stretch of intermediate frequencies (Hz) at which the band (Hz) has a whistle.

    Raises :class:`Unclear` for a band without width, an unknown injection, and an order
    outside 2 to 40.
    """
    low, high = check_band(band_low, band_high)
    order = check_order(order)
    tables = signal_crossings(injection, order), self_made_crossings(injection, order)
    a, b = SIGNAL_IN_TERMS[injection]
    over = np.concatenate([a * table.ratio + b for table in tables])
    orders = np.concatenate([
        table.oscillator_order + np.abs(table.other_order) for table in tables])
    self_made = np.repeat([False, True], [len(table.ratio) for table in tables])
    return Stretches(low, high, injection, order, low / over, high / over, orders, self_made)


@dataclass(frozen=True, eq=False)
class Side:
    """One band of a scheme: its ``plan``, where it would whistle, and its ``whistles`` now."""

    plan: BandPlan
    stretches: Stretches
    whistles: tuple[Whistle, ...]


@dataclass(frozen=True, eq=False)
class Schemes:
    """Schemes side by side, a :class:`Side` for each band, with products up to ``order``."""

    order: int
    sides: tuple[Side, ...]


def compare_schemes(plans: Sequence[BandPlan], *, order: int = 7) -> Schemes:
    """Set bands (frequency plans in Hz) side by side, with their whistles up to ``order``.

    Raises :class:`Unclear` for no plan at all, a plan without an oscillator, and an order
    outside 2 to 40.
    """
    if not plans:
        raise Unclear("Schemes to compare are missing: give at least one band.")
    order = check_order(order)
    return Schemes(order, tuple(
        Side(plan, whistling_stretches(plan.band_low, plan.band_high, plan.injection, order=order),
             whistles(plan, order=order))
        for plan in plans
    ))

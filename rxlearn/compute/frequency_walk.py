"""Walk along the axis of the intermediate frequency: where bands meet, what is held down.  Hz.

Raising the intermediate frequency moves two bands' oscillator ranges past each other,
parts signal and image, and carries the filter past everybody who lives on the way.
Only one stretch suits the dial; what the preselector does is another matter.

Model: that of :mod:`~rxlearn.compute.frequency_choice_columns`, for one pair of bands and
many intermediate frequencies.  DERIVED: with middles a and b of the bands and middle
s·IF + c of the dial, the shift 2·|IF − meeting| is a share r of that middle at
(2·meeting ± r·c) / (2 ∓ r·s).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.frequency_choice import AtHand, Band
from rxlearn.compute.frequency_choice_columns import (
    IF_IN_BAND,
    NO_OSCILLATOR,
    SUMMED,
    Layout,
    failures,
    neighbours_of,
    rejection_columns,
)
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tuning import INTERMEDIATE_FREQUENCY, OSCILLATOR
from rxlearn.data.crystals import StockCrystal
from rxlearn.data.spectrum import Allocation

POINTS = 240
"""Points of each curve along the axis."""

LOWEST = 300e3
"""Where an axis begins that has room: below lie the broadcast set's filters (a choice)."""


@dataclass(frozen=True, eq=False)
class Walk:
    """One pair of bands at one intermediate frequency, and along the whole axis.

    ``axis`` (Hz) with ``image_lower``, ``image_upper`` and ``breakthrough`` (dB down at the
    worst edge; not a number where there is no oscillator).  ``here`` holds the same three for
    ``intermediate``.  ``meeting`` is where the middles agree, ``window`` (Hz, low and high)
    where a switched capacitor can bring them together; ``shift`` the distance of the middles
    (signed: upper less lower), ``away`` it as a share of the dial's middle.  ``occupant`` is what
    lies on or nearest to the intermediate frequency, ``distance`` how far (Hz, 0 on it, positive
    above it).  ``crystal`` is the nearest one there is.
    """

    lower: Band
    upper: Band
    intermediate: float
    summed: bool
    at_hand: AtHand
    axis: np.ndarray
    image_lower: np.ndarray
    image_upper: np.ndarray
    breakthrough: np.ndarray
    here: dict[str, float]
    meeting: float
    window: tuple[float, float]
    shift: float
    away: float
    reasons: int
    occupant: Allocation
    distance: float
    crystal: StockCrystal

    @property
    def in_band(self) -> bool:
        """Whether the intermediate frequency lies inside one of the bands."""
        return bool(self.reasons & IF_IN_BAND)

    @property
    def has_oscillator(self) -> bool:
        """Whether the oscillator can be built at all with this arrangement."""
        return not self.reasons & NO_OSCILLATOR

    @property
    def within_reach(self) -> bool:
        """Whether a switched capacitor can bring the middles together."""
        return self.has_oscillator and self.away <= self.at_hand.reach


def axis_of(upper: Band) -> tuple[float, float]:
    """Ends (Hz) of the axis for a pair: up to the upper band, which must lie above the IF."""
    high = min(INTERMEDIATE_FREQUENCY.high, upper.low - OSCILLATOR.low)
    low = LOWEST if high > 4 * LOWEST else INTERMEDIATE_FREQUENCY.low
    if not low < high:
        raise Unclear("Upper band lies too low for an intermediate frequency below it; "
                      "choose a higher one.")
    return low, high


def walk_to(
    lower: Band, upper: Band, intermediate: float, crystals: Sequence[StockCrystal],
    *, arrangement: str, at_hand: AtHand,
) -> Walk:
    """Stand at ``intermediate`` (Hz) and look along the whole axis.

    ``arrangement`` is ``difference`` or ``sum``.  Raises :class:`Unclear` for a frequency
    out of range, for bands that overlap and where there are no crystals.
    """
    intermediate = INTERMEDIATE_FREQUENCY.check(intermediate)
    if not lower.high < upper.low:
        raise Unclear("Lower band must lie wholly below the upper one; exchange them.")
    if not crystals:
        raise Unclear("Crystals are missing: give at least one frequency.")
    summed = arrangement == SUMMED
    axis = np.append(np.linspace(*axis_of(upper), POINTS), intermediate)
    layout = _layout(lower, upper, axis, summed)
    reasons, away = failures(layout, at_hand.reach)
    curves = rejection_columns(layout, at_hand.loaded_q, at_hand.circuits)
    nothing = (reasons & NO_OSCILLATOR) > 0
    curves = {key: np.where(nothing, np.nan, values) for key, values in curves.items()}
    rows, nearest, distance, _ = neighbours_of(axis[-1:], at_hand.region)
    meeting, window = _window(lower, upper, summed, at_hand.reach)
    return Walk(
        lower, upper, intermediate, summed, at_hand, axis[:-1],
        **{key: values[:-1] for key, values in curves.items()},
        here={key: float(values[-1]) for key, values in curves.items()},
        meeting=meeting, window=window, shift=float(layout.centre_shift[-1]),
        away=float(away[-1]), reasons=int(reasons[-1]), occupant=rows[nearest[0]],
        distance=float(distance[0]),
        crystal=min(crystals, key=lambda row: abs(row.frequency - intermediate)),
    )


def _layout(lower: Band, upper: Band, axis: np.ndarray, summed: bool) -> Layout:
    """One pair of bands at many intermediate frequencies."""
    edges = (np.full(len(axis), edge) for edge in (lower.low, lower.high, upper.low, upper.high))
    return Layout(*edges, axis, np.full(len(axis), summed))


def _window(
    lower: Band, upper: Band, summed: bool, reach: float
) -> tuple[float, tuple[float, float]]:
    """Where the middles agree, and between which intermediate frequencies they lie in reach."""
    a, b = (lower.low + lower.high) / 2, (upper.low + upper.high) / 2
    meeting = (b + a) / 2 if summed else (b - a) / 2
    # The dial's middle as s·IF + c: the wider band's, as it moves with the IF.
    slope, start = (-1.0, b) if upper.width > lower.width else (1.0, -a if summed else a)
    return meeting, (
        (2 * meeting - reach * start) / (2 + reach * slope),
        (2 * meeting + reach * start) / (2 - reach * slope),
    )

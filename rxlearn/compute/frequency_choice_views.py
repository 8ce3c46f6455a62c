"""A frequency choice looked at from three sides: as a profile, by what matters, pair by pair.

Nothing new is weighed here: costs, verdicts and points are those of
:mod:`~rxlearn.compute.frequency_choice`.  Frequencies in Hz.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from rxlearn.compute.frequency_choice import (
    AtHand,
    Band,
    FrequencyChoice,
    amateur_bands,
    choose_frequencies,
    pairs_of,
)
from rxlearn.compute.frequency_choice_verdicts import COLUMN_OF, POINTS
from rxlearn.compute.quantities import Range, Unclear
from rxlearn.data.crystals import StockCrystal

GROUPS: Mapping[str, tuple[str, ...]] = MappingProxyType({
    "dial": ("miss", "capacitor", "coil", "share", "sideband", "direction"),
    "oscillator": ("oscillator", "radiation", "radiated_harmonic"),
    "rejection": ("image_lower", "image_upper", "breakthrough"),
    "quiet": ("if_place", "medium_wave", "beat_harmonic", "whistles", "self_made"),
})
"""What the columns are about: group to its column keys; each column stands in one group."""

PROFILE = ("miss", "capacitor", "share", "oscillator", "radiation", "image_lower", "image_upper",
           "breakthrough", "if_place", "beat_harmonic", "whistles")
"""The columns that a profile shows, from top to bottom."""

EDGE = 0.14
"""How far a standing keeps from the border between two verdicts, so that it is seen on its side."""

GROUP_WEIGHT = Range("Weight", "", 0.0, 2.0)

PAIRS_ORDER = 9
"""Highest order of products in a survey of all pairs: enough to compare, and quick."""


@dataclass(frozen=True, eq=False)
class Profile:
    """How the schemes of one pair stand, column by column.

    ``rows`` are those of ``choice`` that work, fewest points first; ``keys`` the columns;
    ``standings`` (shape: rows × keys) runs from 0 to 3: below 1 poor, to 2 fair, above it good.
    ``picked`` is the place in ``rows`` of the scheme looked at.
    """

    choice: FrequencyChoice
    rows: np.ndarray
    keys: tuple[str, ...]
    standings: np.ndarray
    picked: int


def standing(key: str, cost: np.ndarray) -> np.ndarray:
    """Where a ``cost`` of column ``key`` stands between 0 (hopeless) and 3 (nothing to wish for).

    Between the column's two limits it runs straight from 2 to 1; beyond them it
    approaches 3 and 0.  Only the order and the verdict are meant to be read (a choice of ours).
    """
    column = COLUMN_OF[key]
    cost = np.clip(np.asarray(cost, dtype=float), -1e12, 1e12)
    along = (cost - column.good) / (column.fair - column.good)
    room = 1 - EDGE
    best = 3 - EDGE if column.good == 0 else 2 + EDGE
    good = best + (3 - best) * (1 - np.exp(np.minimum(along, 0)))
    fair = 2 - EDGE - (1 - 2 * EDGE) * np.clip(along, 0, 1)
    poor = room * np.exp(1 - np.maximum(along, 1))
    return np.where(along <= 0, good, np.where(along <= 1, fair, poor))


def profile_of(choice: FrequencyChoice, row: int, *, keys: Sequence[str] = PROFILE) -> Profile:
    """The schemes of ``choice`` that work, with the one in ``row`` looked at.

    Raises :class:`Unclear` for a row that does not work or is not there.
    """
    rows = choice.ranked()
    places = np.flatnonzero(rows == row)
    if not len(places):
        raise Unclear(f"Row {str(row)[:20]} is none of the {len(rows)} schemes that work.")
    standings = np.stack([standing(key, choice.costs[key][rows]) for key in keys], axis=1)
    return Profile(choice, rows, tuple(keys), standings, int(places[0]))


@dataclass(frozen=True, eq=False)
class Weighing:
    """The schemes of a choice in the order that certain weights give.

    ``weights`` has one for each group of :data:`GROUPS`; ``rows`` (of ``choice``) come with the
    fewest points first, ``points`` holds each group's weighted points for them.
    """

    choice: FrequencyChoice
    weights: Mapping[str, float]
    rows: np.ndarray
    points: Mapping[str, np.ndarray]

    @property
    def totals(self) -> np.ndarray:
        """All points against each row."""
        return sum(self.points.values())


def weigh_groups(
    choice: FrequencyChoice, *, dial: float = 1.0, oscillator: float = 1.0,
    rejection: float = 1.0, quiet: float = 1.0,
) -> Weighing:
    """Rank the workable schemes of ``choice`` by what matters.

    ``dial``, ``oscillator``, ``rejection`` and ``quiet`` are the weights (0 to 2) of the
    groups of :data:`GROUPS`.
    Raises :class:`Unclear` for a weight out of range, or if all of them are nought.
    """
    weights = {"dial": dial, "oscillator": oscillator, "rejection": rejection, "quiet": quiet}
    weights = {group: GROUP_WEIGHT.check(weight) for group, weight in weights.items()}
    if not any(weights.values()):
        raise Unclear("Weights are all nought: something must matter, so raise one of them.")
    rows = choice.ranked(
        {key: weights[group] for group, keys in GROUPS.items() for key in keys})
    points = {
        group: weights[group] * sum(
            np.array(POINTS, dtype=float)[choice.verdicts[key][rows]] for key in keys)
        for group, keys in GROUPS.items()
    }
    return Weighing(choice, weights, rows, points)


@dataclass(frozen=True, eq=False)
class Survey:
    """Every pair of a region's amateur bands with the crystals there are.

    ``bands`` in rising order; ``best`` maps (place of the lower band, place of the upper) to
    the row of ``choice`` with the fewest points, or None; ``works`` to the number that work.
    """

    bands: tuple[Band, ...]
    choice: FrequencyChoice
    best: Mapping[tuple[int, int], int | None]
    works: Mapping[tuple[int, int], int]

    @property
    def served(self) -> int:
        """How many pairs have at least one scheme that works."""
        return sum(count > 0 for count in self.works.values())


def survey_pairs(crystals: Sequence[StockCrystal], at_hand: AtHand) -> Survey:
    """Try every pair of amateur bands of ``at_hand``'s region with ``crystals``.

    Raises :class:`Unclear` as :func:`choose_frequencies` does.
    """
    bands = amateur_bands(at_hand.region)
    pairs = pairs_of(bands)
    choice = choose_frequencies(pairs, crystals, at_hand=at_hand)
    best, works = {}, {}
    ranked = choice.ranked()
    pair_of = choice.pair[ranked]
    place = {band.name: number for number, band in enumerate(bands)}
    counts = np.bincount(pair_of, minlength=len(pairs))
    first = np.full(len(pairs), -1)
    # Written backwards, so that the row ranked first is what remains.
    first[pair_of[::-1]] = ranked[::-1]
    for number, (lower, upper) in enumerate(pairs):
        key = place[lower.name], place[upper.name]
        works[key] = int(counts[number])
        best[key] = int(first[number]) if counts[number] else None
    return Survey(bands, choice, MappingProxyType(best), MappingProxyType(works))

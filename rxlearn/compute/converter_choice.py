"""Which crystal for a third band: from stock or cut to order, below the band or above it.  Hz.

A crystal at a distance d from the band's middle puts that middle on the reading d of the main
dial, upright from below and reversed from above: DERIVED from |f − X|.

Model and limits as in :mod:`~rxlearn.compute.converter_plan`, which judges each crystal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.converter import convert_band
from rxlearn.compute.converter_plan import (
    ConverterPlan,
    covered_share,
    lowest_whistle,
    plan_converter,
)
from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.tuning import BandPlan, check_band, occupants_of
from rxlearn.compute.whistles import check_order, check_oscillator
from rxlearn.data.crystals import STOCK_CRYSTALS
from rxlearn.data.spectrum import AMATEUR, AMATEUR_BANDS, TABLE_END

BELOW, ABOVE = "below", "above"
SIDES = (BELOW, ABOVE)
"""Where the crystal stands, seen from the band: below tunes upright, above turns it round."""

OWN, DRAWER, STOCK, ORDER = "planned", "drawer", "stock", "to order"
"""Where a crystal comes from: the plan, the learner's drawer, a parts counter, or cut to order."""

ORDER_STEP = 10e3
"""Crystals to order are named in steps of this, Hz (a choice: any frequency can be ordered)."""

LEAST_SHARE = 0.05
"""A stock crystal that reaches less of the band than this is not offered (a choice)."""

SAME = 10e-6
"""Crystals this near (ratio) are the same one, written to fewer digits (a choice: they are not
made nearer to each other than that)."""

SMALLEST_CRYSTAL = 50e3
"""Below this (Hz) no crystal is offered (a choice; lower ones are large and dear)."""

DISTANCE = Range("Crystal's distance from the middle of the band", "Hz", 1e3, 1e9)

PREFERENCE = ("17 m", "15 m", "10 m", "20 m", "12 m", "40 m", "30 m", "80 m", "160 m")
"""Amateur bands in the order in which they stand in for a third band (a choice)."""


@dataclass(frozen=True)
class Offer:
    """One crystal on offer: its ``source`` (such as :data:`STOCK`) and what it does."""

    source: str
    plan: ConverterPlan

    @property
    def crystal(self) -> float:
        """Its frequency in Hz."""
        return self.plan.converted.crystal


@dataclass(frozen=True)
class Comparison:
    """Crystals for one ``band`` on one main dial: ``offers``, and the ``best`` of them, if any."""

    band: str
    main_name: str
    offers: tuple[Offer, ...]
    best: Offer | None


@dataclass(frozen=True)
class CrystalMap:
    """The lowest-order whistle in the band for each place of the crystal.

    ``distances`` (Hz, shape (n,)) from the band's middle; ``lowest_order`` (n,) is not-a-number
    where there is none up to ``order`` or nothing is reached; ``covered`` (n,) is the share of
    the band reached.
    """

    side: str
    order: int
    distances: np.ndarray
    lowest_order: np.ndarray
    covered: np.ndarray


@dataclass(frozen=True)
class WhistleSetting:
    """One place of the crystal on its ``side``, its plan, and the ``map`` of all the others.

    ``distance`` (Hz) is the crystal's from the middle of ``band``, a name.
    """

    band: str
    side: str
    distance: float
    plan: ConverterPlan
    map: CrystalMap


@dataclass(frozen=True)
class CrystalShelf:
    """The crystals at hand on either side of a band, by their distance from its middle.  Hz.

    ``nearest``..``farthest`` are the distances looked at.  By side: ``at_hand`` holds (distance,
    crystal) in rising distance, ``occupied`` the distances (low, high) at which a crystal would
    lie inside an amateur band.
    """

    nearest: float
    farthest: float
    at_hand: dict[str, tuple[tuple[float, float], ...]]
    occupied: dict[str, tuple[tuple[float, float], ...]]


@dataclass(frozen=True)
class Chosen:
    """The third band and crystal to show: name, edges and ``crystal`` in Hz.

    ``why`` says what stood in the way of the one asked for; empty if it serves.
    """

    name: str
    low: float
    high: float
    crystal: float
    why: str


def check_side(side: str) -> str:
    """Return ``side`` if it is one of :data:`SIDES`, else raise :class:`Unclear`."""
    if isinstance(side, str) and side in SIDES:
        return side
    raise Unclear(f"Crystal's side “{str(side)[:20]}” is unknown: choose below or above.")


def crystal_at(band_low: float, band_high: float, distance: float, side: str) -> float:
    """The crystal (Hz) that stands ``distance`` (Hz) from the middle of the band on ``side``.

    Raises :class:`Unclear` for values out of range and where no crystal is left above zero.
    """
    low, high = check_band(band_low, band_high)
    distance = DISTANCE.check(distance)
    middle = (low + high) / 2
    if check_side(side) == ABOVE:
        return middle + distance
    if middle - distance < SMALLEST_CRYSTAL:
        raise Unclear(
            f"A crystal {show(distance, 'Hz')} below the middle of the band would lie at "
            f"{show(middle - distance, 'Hz')}: choose the side above the band, or less distance."
        )
    return middle - distance


def offers(
    band_low: float, band_high: float, main: BandPlan, *, own: float | None = None,
    drawer: Sequence[float] = (), most: int = 6, region: int = 2, loaded_q: float = 50.0,
    circuits: int = 1, order: int = 8,
) -> tuple[Offer, ...]:
    """Crystals worth comparing for a band (edges in Hz) on the ``main`` dial, at most ``most``.

    ``own`` (Hz) comes first, whether it serves or not; then those in the ``drawer`` (Hz) and in
    stock by the share of the band that they reach; last what could be cut to order on either
    side.  No frequency comes twice.  Raises :class:`Unclear` as
    :func:`~rxlearn.compute.converter_plan.plan_converter` does.
    """
    band_low, band_high = check_band(band_low, band_high)
    seen: list[float] = []

    def offered(source: str, crystals: Sequence[float], least: float) -> list[Offer]:
        found = []
        for crystal in crystals:
            if any(abs(crystal - other) <= SAME * other for other in seen):
                continue
            # Most crystals reach nothing: that is soon seen, and a whole plan takes longer.
            if _share(band_low, band_high, crystal, main) >= least:
                seen.append(crystal)
                found.append(Offer(source, plan_converter(
                    band_low, band_high, crystal, main, region=region, loaded_q=loaded_q,
                    circuits=circuits, order=order)))
        return sorted(found, key=lambda one: (-round(one.plan.covered_share, 3), one.crystal))

    kept = offered(OWN, () if own is None else (own,), 0.0)
    kept += offered(DRAWER, drawer, LEAST_SHARE)
    cut = offered(ORDER, _to_order(band_low, band_high, main), LEAST_SHARE)
    stock = offered(STOCK, [row.frequency for row in STOCK_CRYSTALS], LEAST_SHARE)
    kept = kept[: max(1, most - len(cut) - 1)]
    return (*kept, *stock[: max(0, most - len(kept) - len(cut))], *cut)[:most]


def _share(band_low: float, band_high: float, crystal: float, main: BandPlan) -> float:
    """The share of the band that a crystal brings onto the main dial."""
    if band_low <= crystal <= band_high:
        return 0.0
    near, far = sorted((abs(band_low - crystal), abs(band_high - crystal)))
    return max(0.0, min(far, main.band_high) - max(near, main.band_low)) / (far - near)


def best_of(found: Sequence[Offer]) -> Offer | None:
    """The offer with most of the band; what need not be ordered first, then fewest against it."""
    serving = [offer for offer in found if offer.plan.works]
    return min(serving, default=None, key=lambda offer: (
        -round(offer.plan.covered_share, 3), offer.source == ORDER,
        len(offer.plan.speaks_against)))


def shelve_crystals(
    band_low: float, band_high: float, nearest: float, farthest: float, *,
    drawer: Sequence[float] = (), region: int = 2,
) -> CrystalShelf:
    """Lay crystals (stock and ``drawer``, Hz) out by their distance from the band's middle.

    ``nearest`` and ``farthest`` (Hz) bound the distances; the edges ``band_low`` and
    ``band_high`` are in Hz.  Raises :class:`Unclear` for values that are no band or no distance.
    """
    low, high = check_band(band_low, band_high)
    nearest, farthest = DISTANCE.check(nearest), DISTANCE.check(farthest)
    middle = (low + high) / 2
    known = {*(row.frequency for row in STOCK_CRYSTALS), *drawer}
    at_hand, occupied = {}, {}
    for side, sign in ((BELOW, -1), (ABOVE, 1)):
        places = sorted((sign * (crystal - middle), crystal) for crystal in known)
        at_hand[side] = tuple(row for row in places if nearest <= row[0] <= farthest)
        bands = (sorted((sign * (row.low - middle), sign * (row.high - middle)))
                 for row in occupants_of(0.0, TABLE_END, region, services=(AMATEUR,)))
        occupied[side] = tuple(
            (max(near, nearest), min(far, farthest)) for near, far in bands
            if far >= nearest and near <= farthest)
    return CrystalShelf(nearest, farthest, at_hand, occupied)


def map_crystals(
    band_low: float, band_high: float, main: BandPlan, side: str, distances: Sequence[float], *,
    order: int = 8,
) -> CrystalMap:
    """Where the crystal must not stand: the lowest whistle for each of ``distances`` (Hz, rising).

    Band edges in Hz.  Raises :class:`Unclear` for a ``main`` receiver without an oscillator.
    """
    check_side(side)
    check_oscillator(main)
    order = check_order(order)
    distances = np.asarray(distances, dtype=float)
    lowest, covered = np.full(len(distances), np.nan), np.zeros(len(distances))
    for i, distance in enumerate(distances):
        try:
            crystal = crystal_at(band_low, band_high, float(distance), side)
        except Unclear:  # no crystal is left above zero: nothing is reached with it
            continue
        converted = convert_band(band_low, band_high, crystal, main.band_low, main.band_high)
        lowest[i] = lowest_whistle(converted, main, order)
        covered[i] = covered_share(converted)
    return CrystalMap(side, order, distances, lowest, covered)


def taken_by(name: str, low: float, high: float, tuned: Sequence[tuple[float, float]]) -> str:
    """Why a band that the receiver tunes already needs no converter; empty if it is free.

    ``low`` and ``high`` (Hz) are its edges, ``tuned`` those of the receiver's own bands.
    """
    if any(low <= top and high >= bottom for bottom, top in tuned):
        return f"The receiver tunes {name} already, or a part of it: choose another third band."
    return ""


def choose_third_band(
    name: str, band_low: float, band_high: float, crystal: float, main: BandPlan,
    tuned: Sequence[tuple[float, float]], *, drawer: Sequence[float] = (), region: int = 2,
) -> Chosen:
    """The band and crystal (Hz) asked for if they serve, else what stands in for them, and why.

    ``tuned`` are the bands (edges in Hz) that the receiver has already, ``drawer`` crystals at
    hand (Hz).  Raises :class:`Unclear` where no band at all can be brought to the ``main`` dial.
    """
    why = taken_by(name, band_low, band_high, tuned)
    if not why:
        plan = plan_converter(band_low, band_high, crystal, main, region=region)
        if plan.works:
            return Chosen(name, plan.converted.band_low, plan.converted.band_high,
                          plan.converted.crystal, "")
        why = plan.reasons[0]
        found = best_of(offers(band_low, band_high, main, drawer=drawer, region=region))
        if found is not None:
            return Chosen(name, band_low, band_high, found.crystal, why)
    rows = sorted((row for row in AMATEUR_BANDS[region] if row.name in PREFERENCE),
                  key=lambda row: PREFERENCE.index(row.name))
    for row in rows:
        found = best_of(offers(row.low, row.high, main, drawer=drawer, region=region))
        if found is not None and not taken_by(row.name, row.low, row.high, tuned):
            return Chosen(row.name, row.low, row.high, found.crystal, why)
    raise Unclear(f"{why} No other band can be brought there either: choose other main bands.")


def _to_order(band_low: float, band_high: float, main: BandPlan) -> tuple[float, ...]:
    """Crystals that put the band's middle on the dial's, on either side, in round numbers."""
    middle, reading = (band_low + band_high) / 2, (main.band_low + main.band_high) / 2
    wished = middle - reading, middle + reading
    places = (ORDER_STEP * round(place / ORDER_STEP) for place in wished)
    return tuple(place for place in places if place >= SMALLEST_CRYSTAL)

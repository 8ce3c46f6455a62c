"""Which intermediate frequency?  Every workable scheme of two bands and a crystal, weighed.

Give pairs of bands and a list of crystals; both arrangements that let one oscillator
range serve both bands are tried with each crystal, and what can work is weighed in
columns (:mod:`~rxlearn.compute.frequency_choice_verdicts`).  There is no single winner:
each scheme has values, verdicts, points against it, and a mark whether any other scheme of
its pair is no worse in all that is compared and better in something.

Time grows in proportion to pairs × crystals; the order of the products adds a table of
crossings that grows with the square of the order, once, and a binary search for each scheme.

Limits: those of the modules that each column comes from; only what the spectrum table holds
is known to be on the air; the verdicts' limits are rules of thumb that each column names.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from rxlearn.compute.beat import LOWER, UPPER, check_sideband
from rxlearn.compute.frequency_choice_columns import (
    ARRANGEMENTS,
    SUMMED,
    Layout,
    beat_columns,
    failures,
    neighbours_of,
    radiation_columns,
    rejection_columns,
    tank_columns,
    whistle_columns,
)
from rxlearn.compute.frequency_choice_verdicts import (
    COLUMN_OF,
    COLUMNS,
    FRONT_COLUMNS,
    POINTS,
    front_of,
    values_and_costs,
    verdicts_of,
)
from rxlearn.compute.mixer_levels import Mixer
from rxlearn.compute.preselector import LOADED_Q, check_circuits
from rxlearn.compute.quantities import Range, Unclear, show_span
from rxlearn.compute.tank import CAPACITANCE_SWING
from rxlearn.compute.tuning import INTERMEDIATE_FREQUENCY, check_band, check_region
from rxlearn.compute.whistles import check_order
from rxlearn.data.crystals import STOCK_CRYSTALS, StockCrystal
from rxlearn.data.spectrum import AMATEUR_BANDS, Allocation

REACH = Range("Reach of the switched capacitor", "", 0.0, 0.5)
WEIGHT = Range("Weight", "", 0.0, 100.0)
MOST_SCHEMES = 2_000_000
"""Most combinations that one call takes on."""

NEAR = 3.0
"""How many times the reach a scheme may miss by and still be shown as a near miss (a choice)."""

OWN_CRYSTAL = "your own drawer"


@dataclass(frozen=True)
class Band:
    """A band to receive: its name and edges in Hz.  Raises :class:`Unclear` for bad edges."""

    name: str
    low: float
    high: float

    def __post_init__(self) -> None:
        low, high = check_band(self.low, self.high)
        object.__setattr__(self, "low", low)
        object.__setattr__(self, "high", high)

    @property
    def width(self) -> float:
        """The band's width in Hz."""
        return self.high - self.low


@dataclass(frozen=True, kw_only=True)
class AtHand:
    """What the bench has: region, preselector, tank, mixer, and how far to look.

    ``loaded_q`` and ``circuits`` are the preselector's; ``capacitance_swing`` (F) the
    oscillator's tuning capacitor; ``reach`` the largest shift, as a share of the oscillator
    frequency, that a switched capacitor is asked to make (0 to 0.5; 0.05 asks for about a
    tenth of the tank's capacitance; a choice).  ``order`` is the highest order of products.
    Raises :class:`Unclear` for values out of range.
    """

    region: int = 2
    loaded_q: float = 50.0
    circuits: int = 1
    capacitance_swing: float = 40e-12
    reach: float = 0.05
    order: int = 15
    mixer: Mixer = field(default_factory=Mixer)
    sideband_on_lower: str = UPPER
    sideband_on_upper: str = UPPER

    def __post_init__(self) -> None:
        check_region(self.region)
        LOADED_Q.check(self.loaded_q)
        check_circuits(self.circuits)
        CAPACITANCE_SWING.check(self.capacitance_swing)
        REACH.check(self.reach)
        check_order(self.order)
        check_sideband(self.sideband_on_lower)
        check_sideband(self.sideband_on_upper)


def amateur_bands(region: int, *, lowest: float = 1.8e6, highest: float = 30e6) -> tuple[Band, ...]:
    """The region's amateur bands from ``lowest`` to ``highest`` (Hz), in rising order."""
    return tuple(
        Band(row.name, row.low, row.high) for row in AMATEUR_BANDS[check_region(region)]
        if row.low >= lowest and row.high <= highest
    )


def pairs_of(bands: Iterable[Band]) -> tuple[tuple[Band, Band], ...]:
    """Every pair of these bands that do not overlap, the lower one first."""
    rising = sorted(bands, key=lambda band: (band.low, band.high))
    return tuple(
        (lower, upper) for place, lower in enumerate(rising) for upper in rising[place + 1:]
        if lower.high < upper.low
    )


def own_crystals(
    frequencies: Iterable[float], reason: str = OWN_CRYSTAL
) -> tuple[StockCrystal, ...]:
    """Crystals from the learner's drawer, by their frequencies (Hz); ``reason`` says so.

    Raises :class:`Unclear` for a frequency out of range.
    """
    return tuple(
        StockCrystal(INTERMEDIATE_FREQUENCY.check(frequency), reason) for frequency in frequencies
    )


@dataclass(frozen=True, eq=False)
class FrequencyChoice:
    """All schemes worth showing, as columns of one length N, grouped by pair.

    ``pair``, ``crystal`` (places in ``pairs`` and ``crystals``) and ``summed`` say which
    scheme a row is; ``reasons`` (bits, see
    :mod:`~rxlearn.compute.frequency_choice_columns`) is 0 where it ``works``; the others are
    near misses.  ``away`` is the shift of the middles over the oscillator frequency.
    ``layout`` holds bands and oscillator ranges (Hz); ``values``, ``costs`` and
    ``verdicts`` (0 good, 1 fair, 2 poor) one array for each column key; ``found`` the
    arrays behind them; ``neighbours`` the spectrum's rows.  ``on_front`` is decided among
    the workable schemes of one pair.  ``tried`` is the number of combinations.
    """

    pairs: tuple[tuple[Band, Band], ...]
    crystals: tuple[StockCrystal, ...]
    at_hand: AtHand
    tried: int
    pair: np.ndarray
    crystal: np.ndarray
    summed: np.ndarray
    reasons: np.ndarray
    away: np.ndarray
    layout: Layout
    found: Mapping[str, np.ndarray]
    neighbours: tuple[Allocation, ...]
    values: Mapping[str, np.ndarray]
    costs: Mapping[str, np.ndarray]
    verdicts: Mapping[str, np.ndarray]
    on_front: np.ndarray

    def __len__(self) -> int:
        return len(self.pair)

    @property
    def works(self) -> np.ndarray:
        """Whether each row can work."""
        return self.reasons == 0

    def points(self, weights: Mapping[str, float] | None = None) -> np.ndarray:
        """Points against each row: 1 for every fair, 3 for every poor, times the column's weight.

        ``weights`` (0 to 100, by column key; 1 where not given) say what matters to whom.
        Raises :class:`Unclear` for an unknown column or a weight out of range.
        """
        weights = _check_weights(weights or {})
        points = np.array(POINTS, dtype=float)
        total = np.zeros(len(self))
        for column in COLUMNS:
            total += weights.get(column.key, 1.0) * points[self.verdicts[column.key]]
        return total

    def ranked(
        self, weights: Mapping[str, float] | None = None, *, by: str | None = None
    ) -> np.ndarray:
        """Rows that work, fewest points first; or by one column's cost, lowest first.

        Ties go to the smaller miss.  Raises :class:`Unclear` for an unknown column.
        """
        if by is not None:
            _check_column(by)
        order = self.points(weights) if by is None else self.costs[by]
        rows = np.flatnonzero(self.works)
        return rows[np.lexsort((self.away[rows], order[rows]))]

    def near_misses(self) -> np.ndarray:
        """Rows that cannot work, nearest first."""
        rows = np.flatnonzero(~self.works)
        return rows[np.argsort(self.away[rows], kind="stable")]

    def row_of(self, pair: int, crystal: float, *, arrangement: str = "difference") -> int | None:
        """The row of a pair (place in ``pairs``) with a crystal (Hz); None if it is not here."""
        places = [i for i, row in enumerate(self.crystals) if row.frequency == crystal]
        here = np.flatnonzero(
            (self.pair == pair) & np.isin(self.crystal, places)
            & (self.summed == (arrangement == SUMMED))
        )
        return int(here[0]) if len(here) else None


def _check_column(key: str) -> str:
    if isinstance(key, str) and key in COLUMN_OF:
        return key
    known = ", ".join(COLUMN_OF)
    raise Unclear(f"Column “{str(key)[:20]}” is unknown: choose one of {known}.")


def _check_weights(weights: Mapping[str, float]) -> dict[str, float]:
    return {_check_column(key): WEIGHT.check(weight) for key, weight in weights.items()}


def choose_frequencies(
    pairs: Sequence[tuple[Band, Band]],
    crystals: Sequence[StockCrystal] = STOCK_CRYSTALS,
    *,
    at_hand: AtHand | None = None,
    front: tuple[str, ...] = FRONT_COLUMNS,
) -> FrequencyChoice:
    """Try every pair with every crystal in both arrangements; weigh what works or nearly does.

    Each pair is (lower band, upper band).  ``front`` names the columns in which schemes
    compete.  Raises :class:`Unclear` for no pairs, no crystals, bands that overlap, a
    crystal out of range, or more than two million combinations.
    """
    at_hand = at_hand or AtHand()
    pairs, crystals = _check_pairs(pairs), _check_crystals(crystals)
    front = tuple(_check_column(key) for key in front)
    tried = len(pairs) * len(crystals) * len(ARRANGEMENTS)
    if tried > MOST_SCHEMES:
        raise Unclear(f"Combinations number {tried}: give fewer bands or crystals, at most "
                      f"{MOST_SCHEMES} together.")
    pair, summed, crystal = np.unravel_index(
        np.arange(tried), (len(pairs), len(ARRANGEMENTS), len(crystals))
    )
    summed = summed == ARRANGEMENTS.index(SUMMED)
    layout = _lay_out(pairs, crystals, pair, summed, crystal)
    reasons, away = failures(layout, at_hand.reach)
    rows = np.flatnonzero(
        (reasons == 0) | ((np.bitwise_count(reasons) == 1) & (away <= NEAR * at_hand.reach))
    )
    pair, summed, crystal, layout = pair[rows], summed[rows], crystal[rows], layout.take(rows)
    reasons, away = reasons[rows], away[rows]
    found, neighbours = _weigh(layout, crystals, crystal, at_hand)
    inverted_lower = ~summed ^ (at_hand.sideband_on_lower == LOWER)
    changes = inverted_lower != (at_hand.sideband_on_upper == LOWER)
    values, costs = values_and_costs(layout, found, neighbours, changes)
    on_front = np.zeros(len(rows), dtype=bool)
    working = np.flatnonzero(reasons == 0)
    on_front[working] = front_of(
        {key: costs[key][working] for key in front}, pair[working], front
    )
    return FrequencyChoice(
        pairs, crystals, at_hand, tried, pair, crystal, summed, reasons, away, layout,
        MappingProxyType(found), neighbours, MappingProxyType(values), MappingProxyType(costs),
        MappingProxyType(verdicts_of(costs)), on_front,
    )


def _check_pairs(pairs: Sequence[tuple[Band, Band]]) -> tuple[tuple[Band, Band], ...]:
    """Pairs as given, each lower band wholly below its upper one."""
    pairs = tuple(tuple(pair) for pair in pairs)
    if not pairs:
        raise Unclear("Bands are missing: give at least one pair, the lower band first.")
    for lower, upper in pairs:
        if not lower.high < upper.low:
            raise Unclear(
                f"Lower band {show_span(lower.low, lower.high, 'Hz')} does not lie wholly below "
                f"the upper band {show_span(upper.low, upper.high, 'Hz')}; exchange or shorten "
                "them."
            )
    return pairs


def _check_crystals(crystals: Sequence[StockCrystal]) -> tuple[StockCrystal, ...]:
    """Crystals as given, each a frequency that can be an IF."""
    crystals = tuple(crystals)
    if not crystals:
        raise Unclear("Crystals are missing: give at least one frequency.")
    for row in crystals:
        INTERMEDIATE_FREQUENCY.check(row.frequency)
    return crystals


def _lay_out(pairs, crystals, pair, summed, crystal) -> Layout:
    """All combinations as arrays."""
    edges = np.array([(a.low, a.high, b.low, b.high) for a, b in pairs])[pair]
    frequencies = np.array([row.frequency for row in crystals])
    return Layout(*edges.T, frequencies[crystal], summed)


def _weigh(
    layout: Layout, crystals: tuple[StockCrystal, ...], crystal: np.ndarray, at_hand: AtHand
) -> tuple[dict[str, np.ndarray], tuple[Allocation, ...]]:
    """All arrays behind the columns, and the spectrum's rows that ``neighbour`` points into."""
    frequencies = np.array([row.frequency for row in crystals])
    rows, nearest, distance, medium = neighbours_of(frequencies, at_hand.region)
    return {
        **tank_columns(layout, at_hand.capacitance_swing),
        **radiation_columns(layout, at_hand.region),
        **rejection_columns(layout, at_hand.loaded_q, at_hand.circuits),
        **beat_columns(layout, at_hand.order),
        **whistle_columns(layout, at_hand.order, at_hand.mixer),
        "neighbour": nearest[crystal], "neighbour_distance": distance[crystal],
        "medium_wave": medium[crystal],
    }, rows

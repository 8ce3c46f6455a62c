"""Where a product of oscillator and signal crosses the tuning line: in closed form, no grid.

With IF the intermediate frequency and the wanted signal f = a·O + b·IF (high side
a, b = 1, −1; low side 1, 1; sum −1, 1), the product σ·(m·O + n·f) equals IF where

    O/IF = (σ − n·b)/(m + n·a),   σ = ±1.

High side, product m·O − n·f: (n ± 1)/(n − m).  Low side: (n ± 1)/(m − n).  At that
ratio the wanted station itself makes the second product: a whistle.  What the set
makes without any station crosses where a harmonic of the oscillator and one of the
beat oscillator (taken to stand on the IF) meet: O/IF = (k + σ)/m.

All ratios are those of small whole numbers, so that they depend on the injection
and the highest order alone, never on the scheme.  DERIVED from the definitions.

Limits: places, not loudness; whether a crossing is heard depends on the mixer
(:mod:`~rxlearn.compute.mixer_levels`) and on screening.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rxlearn.compute.mixer_levels import FLOOR_DB, Mixer, level_db
from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.tuning import HIGH, LOW, SUM, BandPlan, check_injection

ORDER = Range("Highest order of products", "", 2, 40)

SIGNAL_IN_TERMS = {HIGH: (1, -1), LOW: (1, 1), SUM: (-1, 1)}
"""Injection to (a, b) of signal = a·oscillator + b·IF."""

EDGE = 1e-12
"""How far (relative) beyond an edge a ratio still counts as on it: rounding, not physics."""


def check_order(order: int) -> int:
    """Return ``order`` if it is a whole number from 2 to 40, else raise :class:`Unclear`."""
    value = ORDER.check(order)
    if value != int(value):
        raise Unclear(f"Highest order of products of {value:g} is not whole: {ORDER.says}.")
    return int(value)


@dataclass(frozen=True, eq=False)
class Crossings:
    """The places where something crosses the tuning line, in rising ``ratio`` (O/IF).

    One row a *place*; where several products cross at one ratio, the row holds the
    strongest (for self-made whistles the lowest order).  ``oscillator_order`` m is 0
    upward; ``other_order`` is the signed n of the signal, or the k of the beat
    oscillator; ``sign`` is σ.  ``level_db`` is the product's level relative to the
    wanted one (minus the order for self-made whistles, whose level is not known).
    """

    injection: str
    order: int
    ratio: np.ndarray
    oscillator_order: np.ndarray
    other_order: np.ndarray
    sign: np.ndarray
    level_db: np.ndarray

    def __len__(self) -> int:
        return len(self.ratio)

    def take(self, rows: np.ndarray) -> Crossings:
        """The same table with some rows alone."""
        return Crossings(self.injection, self.order, *(part[rows] for part in (
            self.ratio, self.oscillator_order, self.other_order, self.sign, self.level_db,
        )))


def signal_crossings(injection: str, order: int, mixer: Mixer | None = None) -> Crossings:
    """All crossings of products m·oscillator + n·signal with m + \\|n\\| up to ``order``.

    Raises :class:`Unclear` for an unknown injection or an order outside 2 to 40.
    """
    a, b = SIGNAL_IN_TERMS[check_injection(injection)]
    order = check_order(order)
    m, n, sign = (
        grid.ravel() for grid in np.meshgrid(
            np.arange(order + 1), np.arange(-order, order + 1), (1, -1), indexing="ij"
        )
    )
    # With m at 0 a negative n says the same again.
    keep = (m + np.abs(n) <= order) & (n != 0) & ((m > 0) | (n > 0))
    m, n, sign = m[keep], n[keep], sign[keep]
    level = level_db(mixer or Mixer(), m, n)
    return _places(injection, order, (sign - n * b, m + n * a), (m, n, sign), level)


def self_made_crossings(
    injection: str, order: int, *, fundamental: bool = True
) -> Crossings:
    """All crossings of oscillator and beat-oscillator harmonics, m + k up to ``order``.

    k of 0 is a harmonic of the oscillator that lands on the IF by itself; m of 1 a
    harmonic of the beat oscillator on the signal or its image, left out unless
    ``fundamental``.  Raises :class:`Unclear` as :func:`signal_crossings` does.
    """
    order = check_order(order)
    check_injection(injection)
    m, k, sign = (
        grid.ravel() for grid in np.meshgrid(
            np.arange(1, order + 1), np.arange(order + 1), (1, -1), indexing="ij"
        )
    )
    keep = m + k <= order
    m, k, sign = m[keep], k[keep], sign[keep]
    table = _places(injection, order, (k + sign, m), (m, k, sign), -(m + k).astype(float))
    return table if fundamental else table.take(table.oscillator_order > 1)


def _places(injection, order, ratio, orders, level) -> Crossings:
    """Sort by ratio and keep the strongest product of each place that can be tuned."""
    top, bottom = ratio
    top, bottom = top * np.sign(bottom), np.abs(bottom)
    possible = (bottom > 0) & (top > 0)
    # The signal lies above zero: beyond the IF on the high side, below it for the sum.
    if injection == HIGH:
        possible &= top > bottom
    elif injection == SUM:
        possible &= top < bottom
    top, bottom, level = top[possible], bottom[possible], level[possible]
    orders = [part[possible] for part in orders]
    common = np.gcd(top, bottom)
    top, bottom = top // common, bottom // common
    by = np.lexsort((np.abs(orders[1]) + orders[0], -level, bottom, top))
    fresh = np.ones(len(by), dtype=bool)
    fresh[1:] = (np.diff(top[by]) != 0) | (np.diff(bottom[by]) != 0)
    by = by[fresh]
    by = by[np.argsort(top[by] / bottom[by], kind="stable")]
    return Crossings(
        injection, order, top[by] / bottom[by], *(part[by] for part in orders), level[by]
    )


@dataclass(frozen=True, eq=False)
class InBand:
    """What of a :class:`Crossings` table lies in each of N stretches of O/IF.

    ``first`` and ``count`` (whole, shape (N,)) pick rows ``first`` to
    ``first + count − 1``; ``strongest`` is the row of the highest level, −1 if there
    is none; ``strongest_db`` its level (:data:`FLOOR_DB` if none); ``sum_db`` the
    levels added as powers.
    """

    first: np.ndarray
    count: np.ndarray
    strongest: np.ndarray
    strongest_db: np.ndarray
    sum_db: np.ndarray


def crossings_between(table: Crossings, low: np.ndarray, high: np.ndarray) -> InBand:
    """Count and weigh the crossings with O/IF from ``low`` to ``high`` (arrays of shape (N,)).

    Two binary searches a stretch: time grows with N and with the logarithm of the
    number of products, which itself grows with the square of the order.
    """
    low, high = np.atleast_1d(low), np.atleast_1d(high)
    first = np.searchsorted(table.ratio, low * (1 - EDGE), side="left")
    end = np.searchsorted(table.ratio, high * (1 + EDGE), side="right")
    count = np.maximum(end - first, 0)
    power = np.concatenate(([0.0], np.cumsum(10 ** (table.level_db / 10))))
    total = power[first + count] - power[first]
    strongest = _strongest(table.level_db, first, count)
    peak = np.full(len(count), FLOOR_DB)
    peak[count > 0] = table.level_db[strongest[count > 0]]
    # The difference of two running sums is rough where all in the stretch is weak.
    total = np.maximum(total, 10 ** (peak / 10))
    return InBand(first, count, strongest, peak, 10 * np.log10(total))


def _strongest(level: np.ndarray, first: np.ndarray, count: np.ndarray) -> np.ndarray:
    """Row of the highest level in each stretch: two overlapping runs of a power of two."""
    found = np.full(len(first), -1)
    if not len(level):
        return found
    tables = [np.arange(len(level))]
    while 2 * (step := 1 << (len(tables) - 1)) <= len(level):
        left, right = tables[-1][:-step], tables[-1][step:]
        tables.append(np.where(level[right] > level[left], right, left))
    some = count > 0
    exponent = np.zeros(len(first), dtype=int)
    exponent[some] = np.frexp(count[some])[1] - 1
    for power, rows in enumerate(tables):
        here = some & (exponent == power)
        left, right = rows[first[here]], rows[first[here] + count[here] - (1 << power)]
        found[here] = np.where(level[right] > level[left], right, left)
    return found


def product_name(oscillator_order: int, signal_order: int, sign: int) -> str:
    """Words for ``sign``·(m·O + n·f), positive term first: ``2·signal − oscillator``."""
    terms = [
        (sign * order, word)
        for order, word in ((oscillator_order, "oscillator"), (signal_order, "signal"))
        if order
    ]
    terms.sort(key=lambda term: term[0] < 0)
    words = [f"{abs(order)}·{word}" if abs(order) > 1 else word for order, word in terms]
    joined = words[0] if terms[0][0] > 0 else f"−{words[0]}"
    return joined if len(words) == 1 else f"{joined} {'+' if terms[1][0] > 0 else '−'} {words[1]}"


def check_oscillator(plan: BandPlan) -> None:
    """Refuse a plan whose oscillator does not exist over its whole band."""
    if not plan.oscillator_low > 0:
        raise Unclear(f"Products of the mixer need an oscillator: {plan.reasons[0]}")


@dataclass(frozen=True)
class Whistle:
    """A place in the band where the set whistles.

    ``signal`` is the dial reading (Hz) and ``oscillator`` the oscillator there.
    ``self_made`` whistles need no station: ``other_order`` is then a harmonic of the beat
    oscillator, else the signed order of the signal.  ``pitch_slope`` is how many Hz the pitch
    moves for each Hz the dial is turned across a *fixed* station (for a self-made one:
    against the beat oscillator); ``centred_slope`` the same when each station is
    tuned to the middle in turn (None if self-made).  ``level_db`` is relative to the wanted
    signal's own carrier, None if self-made.
    """

    signal: float
    oscillator: float
    self_made: bool
    oscillator_order: int
    other_order: int
    sign: int
    pitch_slope: int
    centred_slope: int | None
    level_db: float | None
    name: str

    @property
    def order(self) -> int:
        """Both orders together, without sign."""
        return self.oscillator_order + abs(self.other_order)


def whistles(
    plan: BandPlan, *, order: int = 5, mixer: Mixer | None = None
) -> tuple[Whistle, ...]:
    """Where in ``plan``'s band the set whistles, with products up to ``order``, by dial reading.

    Raises :class:`Unclear` for an order outside 2 to 40 and a plan without an oscillator.
    """
    check_oscillator(plan)
    tables = (
        (signal_crossings(plan.injection, order, mixer), False),
        (self_made_crossings(plan.injection, order), True),
    )
    a, b = SIGNAL_IN_TERMS[plan.injection]
    intermediate = plan.intermediate_frequency
    stretch = plan.oscillator_low / intermediate, plan.oscillator_high / intermediate
    found = []
    for table, self_made in tables:
        inside = crossings_between(table, *stretch)
        for row in range(int(inside.first[0]), int(inside.first[0] + inside.count[0])):
            m, other, sign = (
                int(part[row]) for part in (table.oscillator_order, table.other_order, table.sign)
            )
            oscillator = float(table.ratio[row]) * intermediate
            signal = a * oscillator + b * intermediate
            # The wanted carrier moves against the oscillator on the low side only.
            carrier = -1 if plan.injection == LOW else 1
            found.append(Whistle(
                signal=signal, oscillator=oscillator, self_made=self_made,
                oscillator_order=m, other_order=other, sign=sign,
                pitch_slope=m if self_made else abs(sign * m - carrier),
                centred_slope=None if self_made else abs(m + other * a),
                level_db=None if self_made else float(table.level_db[row]),
                name=_self_made_name(m, other, signal, intermediate) if self_made
                else product_name(m, other, sign),
            ))
    return tuple(sorted(found, key=lambda row: (row.signal, row.order)))


def _self_made_name(m: int, k: int, signal: float, intermediate: float) -> str:
    """Which harmonics make a self-made whistle."""
    if k == 0:
        return f"harmonic {m} of the oscillator on the intermediate frequency"
    nearest = round(signal / intermediate)
    if m == 1 and nearest == k and abs(signal - k * intermediate) <= 1e-6 * signal:
        return f"harmonic {k} of the beat oscillator on {show(signal, 'Hz')}"
    first = f"harmonic {m} of the oscillator" if m > 1 else "the oscillator"
    second = f"harmonic {k} of the beat oscillator" if k > 1 else "the beat oscillator"
    return f"{first} with {second}"

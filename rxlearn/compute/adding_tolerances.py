"""Capacitors side by side: how far their sum may lie off, at worst and in all likelihood.

All have the same tolerance, ± a fraction of what is printed on them, and lie anywhere within
it with equal chance.  Their sum can lie off by that same fraction at worst; that it does needs
all of them at the same end at once.

Source of the root of the sum of squares: JCGM 100:2008 (GUM), 5.1.2, for inputs independent of
each other; where they move together they add up as they are (5.2.2).  Limits: a uniform draw;
parts from one reel are taken to be off by the same fraction, which is the worst of that kind.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.stats import qmc

from rxlearn.compute.quantities import Range, Unclear
from rxlearn.compute.receiver_parts import TOLERANCE
from rxlearn.compute.tolerances import check_seed

MOST_PARTS = 12
POWER = 13
"""Sums are drawn 2 to this power times."""

COUNT = Range("Number of capacitors", "", 1, MOST_PARTS)
LARGEST = Range("The largest one's share", "", 0.0, 0.95)
TALLY = Range("Number of bars", "", 1, 10_000)


@dataclass(frozen=True, eq=False)
class ToleranceSum:
    """Sums of ``count`` capacitors of ± ``tolerance`` (a plain fraction), drawn from ``seed``.

    ``shares`` are the parts of the total that each makes (they add up to 1, the largest
    first); ``one_reel`` says that all are off by the same.  ``off`` holds how far each sum
    lies off, a fraction.  ``worst`` is the most it can be, ``root_sum_square`` the square root
    of the sum of the squares, ``likely`` what 99 of 100 sums stay within: fractions as well.
    ``within`` is the share (a ratio) of sums that stay within ``root_sum_square``.
    """

    count: int
    tolerance: float
    one_reel: bool
    seed: int
    shares: tuple[float, ...]
    off: np.ndarray
    worst: float
    root_sum_square: float
    likely: float
    within: float


def draw_sums(seed: int = 1) -> np.ndarray:
    """Quasi-random points (a ratio, 0 to 1) for sums, shape (12, 8192), drawn from ``seed``."""
    sampler = qmc.Sobol(MOST_PARTS, seed=np.random.default_rng(check_seed(seed)))
    return np.ascontiguousarray(sampler.random_base2(POWER).T)


def add_up(
    count: int, tolerance: float, *, largest: float = 0.0, one_reel: bool = False, seed: int = 1,
    points: np.ndarray | None = None,
) -> ToleranceSum:
    """Put ``count`` capacitors of ± ``tolerance`` (a fraction) side by side, many times.

    ``largest`` is the share (a ratio) of the total that the largest makes; the others are
    alike, and it is never smaller than they.  ``seed`` names the draws; ``points`` are those of
    :func:`draw_sums` where they are drawn already.  Raises :class:`Unclear` for values out of range.
    """
    count, tolerance = COUNT.check(count), TOLERANCE.check(tolerance)
    if count != int(count):
        raise Unclear(f"Number of capacitors must be a whole number, not {count:g}.")
    count = int(count)
    first = max(LARGEST.check(largest), 1 / count)
    shares = np.array([first] + [(1 - first) / (count - 1)] * (count - 1)) if count > 1 else (
        np.ones(1))
    drawn = 2 * (draw_sums(seed) if points is None else points)[:count] - 1
    # From one reel: whatever the first is off by, all are.
    off = tolerance * (drawn[0] if one_reel else shares @ drawn)
    root = tolerance * (1.0 if one_reel else math.sqrt(float(np.sum(shares**2))))
    sizes = np.abs(off)
    return ToleranceSum(
        count=count, tolerance=tolerance, one_reel=one_reel, seed=int(seed),
        shares=tuple(float(share) for share in shares), off=off, worst=tolerance,
        root_sum_square=root, likely=float(np.quantile(sizes, 0.99)),
        within=float(np.mean(sizes <= root * (1 + 1e-12))),
    )


@dataclass(frozen=True, eq=False)
class Tally:
    """How many of N values lie in each of the equal bins from ``low`` to ``high``.

    ``shares`` (ratios to N) has one entry for each bin; ``below`` and ``above`` are the shares
    that lie outside.  ``edges`` are the bins' edges, in the values' own unit.
    """

    low: float
    high: float
    edges: np.ndarray
    shares: np.ndarray
    below: float
    above: float


def tally(values: np.ndarray, low: float, high: float, *, bins: int = 60) -> Tally:
    """Count ``values`` in ``bins`` equal steps from ``low`` to ``high`` (the values' own unit)."""
    bins = int(TALLY.check(bins))
    if not low < high:
        raise Unclear("A tally needs a lower and a higher end, in this order.")
    # One more on either side for what lies outside.
    places = np.clip(np.floor((values - low) * (bins / (high - low))), -1, bins).astype(np.intp) + 1
    places[values == high] = bins
    counts = np.bincount(places, minlength=bins + 2) / len(values)
    return Tally(
        float(low), float(high), np.linspace(low, high, bins + 1), counts[1:-1],
        float(counts[0]), float(counts[-1]))

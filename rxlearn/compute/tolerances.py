"""Many receivers built from the same list of parts: how many of them will cover the band?

Every part is drawn from its tolerance, each receiver is worked out with the ideal tank of
:mod:`~rxlearn.compute.tank`, and those that do what is wanted are counted.  The draws are
quasi-random: scrambled Sobol' points (:class:`scipy.stats.qmc.Sobol`; I. M. Sobol',
*USSR Comput. Math. Math. Phys.* 7 (1967) 86; scrambling: A. B. Owen, *J. Complexity* 14
(1998) 466), in :data:`REPLICATES` independent scrambles whose scatter gives the uncertainty.

One receiver: a coil, a fixed capacitor, a trimmer, strays and the valve's share, the variable
capacitor's minimum and swing behind a series capacitor or none, the switched capacitor or a
network that spreads the narrower band, and the crystal that is the intermediate frequency.
The builder turns the trimmer until the dial's low end stands where the wider band begins (or
as near as the trimmer goes) at the temperature of the bench; then the set warms up.

Limits: parts independent of each other (two capacitors from one reel are not); a uniform
draw within the tolerance, or a normal one with the tolerance at three standard deviations;
temperature coefficients straight lines, the whole set at one temperature; no valve ageing,
no supply, no humidity.  Source of the drift: df/f = −(dC/C + dL/L)/2, DERIVED.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.stats import qmc

from rxlearn.compute.drawn_receivers import (
    Values,
    centre_off,
    covers,
    dial_ends,
    draw_values,
    drift_of,
    switched_needed,
    trimmer_needed,
    worst_trimmers,
)
from rxlearn.compute.influence import TRIMMER_SETTING, influences
from rxlearn.compute.quantities import Range, Unclear
from rxlearn.compute.receiver_parts import FIXED, PARTS, Build

REPLICATES = 8
"""Independent scrambles; the standard error of a probability comes from their scatter."""

STUDENT_95 = 2.365
"""Student's t for 95 % and seven degrees of freedom (any statistics table)."""

RECEIVERS = Range("Number of receivers", "", 64, 200_000)
SEED = Range("Seed", "", 0, 2**32 - 1)
WARMING = Range("Warming", "°C", -100.0, 100.0)
CENTRING = Range("Centring", "", 0.001, 0.5)


@dataclass(frozen=True)
class Probability:
    """A share of receivers, with its uncertainty: ``standard_error`` and a 95 % interval.

    From the scatter of :data:`REPLICATES` scrambles (Student's t).  If all receivers agree,
    the scatter says nothing, and the interval is the rule of three, 3/N (J. A. Hanley and
    A. Lippman-Hand, *JAMA* 249 (1983) 1743), which is on the wide side here.
    """

    value: float
    standard_error: float
    low: float
    high: float


@dataclass(frozen=True, eq=False)
class Draws:
    """The chance in N receivers, drawn once: points of the unit cube, shape (2·parts + 1, N).

    Made by :func:`draw`.  The same ``seed`` draws the same; whoever turns a tolerance keeps
    the draws and sees the same receivers become better or worse.
    """

    seed: int
    receivers: int
    points: np.ndarray


@dataclass(frozen=True, eq=False)
class Tolerances:
    """What N receivers came out as.  Hz and F; arrays of shape (N,).

    ``covers`` is the share whose wider band lies wholly on the dial once trimmed, cold;
    ``covers_untrimmed`` with the trimmer left in its middle; ``covers_warm`` after warming
    as well.  ``recentres`` is the share whose narrower band lies wholly on the dial with the
    switched capacitor, its middle within ``centring`` of the swing from the wider band's, or,
    where it is spread, wholly on its own dial;
    ``all_well`` does all of it, warm.  ``trimmer_needed`` is what the trimmer must stand at
    (may lie beyond its reach), ``trimmer_span`` its 0.5 % and 99.5 % points,
    ``trimmer_worst`` its ends if all parts were at an end of their tolerance at once;
    ``narrow_trimmer_needed`` is that of the narrower band's own, None without one.
    ``switched_needed`` would bring the middles together exactly.  ``dial_low`` and
    ``dial_high`` are the dial's ends (oscillator) once trimmed, ``untrimmed_low`` and
    ``untrimmed_high`` before, ``narrow_low`` and ``narrow_high`` those that the narrower band
    has.  ``centre_off`` says how far the dial's middle lies from the wider band's with the
    switched capacitor in, as a share of the swing.  ``drift`` (Hz/°C) is the
    oscillator's at the dial's middle; ``warming`` (°C) what each receiver warms by.
    """

    build: Build
    seed: int
    receivers: int
    warming_low: float
    warming_high: float
    centring: float
    covers: Probability
    covers_untrimmed: Probability
    covers_warm: Probability
    recentres: Probability
    all_well: Probability
    trimmer_needed: np.ndarray
    narrow_trimmer_needed: np.ndarray | None
    trimmer_span: tuple[float, float]
    trimmer_worst: tuple[float, float]
    switched_needed: np.ndarray
    centre_off: np.ndarray
    untrimmed_low: np.ndarray
    untrimmed_high: np.ndarray
    dial_low: np.ndarray
    dial_high: np.ndarray
    narrow_low: np.ndarray
    narrow_high: np.ndarray
    drift: np.ndarray
    warming: np.ndarray

    @property
    def trimmer_reaches(self) -> bool:
        """Whether the trimmer reaches what 99 % of the receivers need."""
        low, high = self.trimmer_span
        return self.build.trimmer_low <= low and high <= self.build.trimmer_high

    @cached_property
    def influence(self) -> Mapping[str, Mapping[str, float]]:
        """Output to the share of its variance that each part's tolerance makes; worked out once.

        The outputs are those of :func:`~rxlearn.compute.influence.outputs_of`.
        """
        return influences(self.build, seed=self.seed)

    def matters_most(self, output: str = TRIMMER_SETTING) -> str:
        """The part with the largest influence on one of the outputs."""
        return max(self.influence[output], key=self.influence[output].get)


def draw(*, receivers: int = 10_000, seed: int = 1) -> Draws:
    """Draw at least that many ``receivers`` (a count, rounded up to 8·2^k) from ``seed``."""
    wanted, seed = int(RECEIVERS.check(receivers)), check_seed(seed)
    power = int(np.ceil(np.log2(wanted / REPLICATES)))
    points = np.concatenate([
        _points(2 * len(PARTS) + 1, power, child) for child in _seeds(seed)[:-1]
    ])
    return Draws(seed, len(points), np.ascontiguousarray(points.T))


def build_many(
    build: Build,
    *,
    receivers: int = 10_000,
    seed: int = 1,
    draws: Draws | None = None,
    warming_low: float = 0.0,
    warming_high: float = 20.0,
    centring: float = 0.1,
) -> Tolerances:
    """Build at least that many receivers (rounded up to 8·2^k) and count those that do well.

    Each warms by something between ``warming_low`` and ``warming_high`` (°C); recentred means
    within ``centring`` (a share of the swing).  The same
    ``seed`` draws the same receivers; ``draws`` takes the place of both where they are drawn
    already.  Raises :class:`Unclear` for values out of range.
    """
    warmth = WARMING.check(warming_low), WARMING.check(warming_high)
    centring = CENTRING.check(centring)
    draws = draws or draw(receivers=receivers, seed=seed)
    cold, coefficients = draw_values(build, draws.points)
    by = warmth[0] + (warmth[1] - warmth[0]) * draws.points[-1]
    warm = {
        name: value if np.isscalar(value) else value * (1 + coefficients[name] * by)
        for name, value in cold.items()
    }
    middle = np.full(draws.receivers, (build.trimmer_low + build.trimmer_high) / 2)
    needed = trimmer_needed(build, cold)
    trimmed = np.clip(needed, build.trimmer_low, build.trimmer_high)
    own = trimmer_needed(build, cold, narrow=True) if build.spread else None
    on_narrow = trimmed if own is None else np.clip(own, build.trimmer_low, build.trimmer_high)
    untrimmed, ends = dial_ends(build, cold, middle), dial_ends(build, cold, trimmed)
    narrow, off = dial_ends(build, cold, on_narrow, narrow=True), centre_off(build, cold)
    # The trimmer is made like the fixed capacitor and moves with it.
    growth = 1 + coefficients[FIXED] * by
    covered, recentred = covers(build, cold, ends), _recentres(build, cold, narrow, off, centring)
    stays = covered & covers(build, warm, dial_ends(build, warm, trimmed * growth))
    narrow_stays = recentred & _recentres(
        build, warm, dial_ends(build, warm, on_narrow * growth, narrow=True),
        centre_off(build, warm), centring)
    return Tolerances(
        build=build, seed=draws.seed, receivers=draws.receivers, warming_low=warmth[0],
        warming_high=warmth[1], centring=centring,
        covers=_probability(covered),
        covers_untrimmed=_probability(covers(build, cold, untrimmed)),
        covers_warm=_probability(stays), recentres=_probability(recentred),
        all_well=_probability(stays & narrow_stays),
        trimmer_needed=needed, narrow_trimmer_needed=own,
        trimmer_span=tuple(float(x) for x in np.quantile(needed, (0.005, 0.995))),
        trimmer_worst=worst_trimmers(build),
        switched_needed=switched_needed(build, cold), centre_off=off,
        untrimmed_low=untrimmed[0], untrimmed_high=untrimmed[1],
        dial_low=ends[0], dial_high=ends[1], narrow_low=narrow[0], narrow_high=narrow[1],
        drift=drift_of(build, cold, trimmed, coefficients), warming=by,
    )


def check_seed(seed: float) -> int:
    """A ``seed`` if it is a whole number (a plain number) from 0 up; else :class:`Unclear`."""
    seed = SEED.check(seed)
    if seed != int(seed):
        raise Unclear(f"Seed must be a whole number, not {seed:g}: it only names one set of draws.")
    return int(seed)


def _seeds(seed: int) -> list[np.random.SeedSequence]:
    """One for each replicate, and one for the influences."""
    return np.random.SeedSequence(seed).spawn(REPLICATES + 1)


def _points(dimensions: int, power: int, seed: np.random.SeedSequence) -> np.ndarray:
    """2^power scrambled Sobol' points, shape (2^power, dimensions)."""
    return qmc.Sobol(dimensions, seed=np.random.default_rng(seed)).random_base2(power)


def _recentres(
    build: Build, values: Values, ends: tuple[np.ndarray, np.ndarray], off: np.ndarray,
    centring: float,
) -> np.ndarray:
    """Whether the narrower band lies on its dial and, if recentred, near enough to the middle."""
    covered = covers(build, values, ends, narrow=True)
    return covered if build.spread else covered & (np.abs(off) <= centring)


def _probability(happened: np.ndarray) -> Probability:
    """Share of receivers, with its uncertainty from the replicates."""
    shares = happened.reshape(REPLICATES, -1).mean(axis=1)
    value, error = float(shares.mean()), float(shares.std(ddof=1) / np.sqrt(REPLICATES))
    reach = STUDENT_95 * error if error > 0 else 3 / len(happened)
    return Probability(value, error, max(0.0, value - reach), min(1.0, value + reach))

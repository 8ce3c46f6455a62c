"""Many receivers built from the same list of parts: how many of them will cover the band?

Every part is drawn from its tolerance, each receiver is worked out with the ideal tank of
:mod:`~rxlearn.compute.tank`, and those that do what is wanted are counted.  The draws are
quasi-random: scrambled Sobol' points (:class:`scipy.stats.qmc.Sobol`; I. M. Sobol',
*USSR Comput. Math. Math. Phys.* 7 (1967) 86; scrambling: A. B. Owen, *J. Complexity* 14
(1998) 466), in :data:`REPLICATES` independent scrambles whose scatter gives the uncertainty.

One receiver: a coil, a fixed capacitor, a trimmer, the variable capacitor's minimum and
swing, the switched capacitor, and the crystal that is the intermediate frequency.  The
builder turns the trimmer until the dial's low end stands where the wider band begins (or
as near as the trimmer goes) at the temperature of the bench; then the set warms up.

Limits: parts independent of each other (two capacitors from one reel are not); a uniform
draw within the tolerance, or a normal one with the tolerance at three standard deviations;
temperature coefficients straight lines, the whole set at one temperature; no valve ageing,
no supply, no humidity.  Source of the drift: df/f = −(dC/C + dL/L)/2, DERIVED.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from scipy.special import ndtri
from scipy.stats import qmc

from rxlearn.compute.quantities import Range
from rxlearn.compute.receiver_parts import (
    COIL,
    CRYSTAL,
    FIXED,
    MINIMUM,
    NORMAL,
    PARTS,
    SWING,
    SWITCHED,
    Build,
)
from rxlearn.compute.tuning import HIGH, LOW, BandPlan

REPLICATES = 8
"""Independent scrambles; the standard error of a probability comes from their scatter."""

STUDENT_95 = 2.365
"""Student's t for 95 % and seven degrees of freedom (any statistics table)."""

INFLUENCE_POWER = 11
"""Influence is worked out from 2 to this power points, once for each part and two more."""

RECEIVERS = Range("Number of receivers", "", 64, 200_000)
SEED = Range("Seed", "", 0, 2**32 - 1)
WARMING = Range("Warming", "°C", -100.0, 100.0)
CENTRING = Range("Centring", "", 0.001, 0.5)

TRIMMER_SETTING, DIAL_WIDTH, OFF_CENTRE = "trimmer", "dial width", "recentring"
OUTPUTS = (TRIMMER_SETTING, DIAL_WIDTH, OFF_CENTRE)
"""What each part's influence is worked out on."""


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
class Tolerances:
    """What N receivers came out as.  Hz and F; arrays of shape (N,).

    ``covers`` is the share whose wider band lies wholly on the dial once trimmed, cold;
    ``covers_untrimmed`` with the trimmer left in its middle; ``covers_warm`` after warming
    as well.  ``recentres`` is the share whose narrower band lies wholly on the dial with the
    switched capacitor, its middle within ``centring`` of the swing from the wider band's;
    ``all_well`` does all of it, warm.  ``trimmer_needed`` is what the trimmer must stand at
    (may lie beyond its reach), ``trimmer_span`` its 0.5 % and 99.5 % points.
    ``switched_needed`` would bring the middles together exactly.  ``dial_low`` and
    ``dial_high`` are the dial's ends (oscillator) once trimmed, ``narrow_low`` and
    ``narrow_high`` the same as the narrower band has it.  ``drift`` (Hz/°C) is the
    oscillator's at the dial's middle.  ``influence`` maps each of :data:`OUTPUTS` to the
    first-order Sobol' index of each part's tolerance.
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
    trimmer_span: tuple[float, float]
    switched_needed: np.ndarray
    dial_low: np.ndarray
    dial_high: np.ndarray
    narrow_low: np.ndarray
    narrow_high: np.ndarray
    drift: np.ndarray
    influence: Mapping[str, Mapping[str, float]]

    @property
    def trimmer_reaches(self) -> bool:
        """Whether the trimmer reaches what 99 % of the receivers need."""
        low, high = self.trimmer_span
        return self.build.trimmer_low <= low and high <= self.build.trimmer_high

    def matters_most(self, output: str = TRIMMER_SETTING) -> str:
        """The part with the largest influence on one of :data:`OUTPUTS`."""
        return max(self.influence[output], key=self.influence[output].get)


def build_many(
    build: Build,
    *,
    receivers: int = 10_000,
    seed: int = 1,
    warming_low: float = 0.0,
    warming_high: float = 20.0,
    centring: float = 0.1,
) -> Tolerances:
    """Build at least that many receivers (rounded up to 8·2^k) and count those that do well.

    Each warms by something between ``warming_low`` and ``warming_high`` (°C); recentred means
    within ``centring`` (a share of the swing).  The same
    ``seed`` draws the same receivers.  Raises :class:`Unclear` for values out of range.
    """
    wanted, seed = int(RECEIVERS.check(receivers)), int(SEED.check(seed))
    warmth = WARMING.check(warming_low), WARMING.check(warming_high)
    centring = CENTRING.check(centring)
    power = int(np.ceil(np.log2(wanted / REPLICATES)))
    seeds = np.random.SeedSequence(seed).spawn(REPLICATES + 1)
    points = np.concatenate([_points(2 * len(PARTS) + 1, power, child) for child in seeds[:-1]])
    cold, coefficients = _draw(build, points)
    by = warmth[0] + (warmth[1] - warmth[0]) * points[:, -1]
    warm = cold * (1 + coefficients * by[:, None])
    needed = _trimmer_needed(build, cold)
    trimmed = np.clip(needed, build.trimmer_low, build.trimmer_high)
    middle = np.full(len(cold), (build.trimmer_low + build.trimmer_high) / 2)
    # The trimmer is made like the fixed capacitor and moves with it.
    trimmed_warm = trimmed * (1 + coefficients[:, PARTS.index(FIXED)] * by)
    covers = _covers(build, cold, trimmed)
    covers_warm = covers & _covers(build, warm, trimmed_warm)
    recentres = _recentres(build, cold, trimmed, centring)
    ends, narrow = _ends(build, cold, trimmed), _ends(build, cold, trimmed, narrow=True)
    return Tolerances(
        build=build, seed=seed, receivers=len(cold), warming_low=warmth[0],
        warming_high=warmth[1], centring=centring,
        covers=_probability(covers),
        covers_untrimmed=_probability(_covers(build, cold, middle)),
        covers_warm=_probability(covers_warm), recentres=_probability(recentres),
        all_well=_probability(
            covers_warm & recentres & _recentres(build, warm, trimmed_warm, centring)
        ),
        trimmer_needed=needed,
        trimmer_span=tuple(float(x) for x in np.quantile(needed, (0.005, 0.995))),
        switched_needed=_switched_needed(build, cold),
        dial_low=ends[0], dial_high=ends[1], narrow_low=narrow[0], narrow_high=narrow[1],
        drift=_drift(build, cold, trimmed, coefficients),
        influence=_influence(build, seeds[-1]),
    )


def _points(dimensions: int, power: int, seed: np.random.SeedSequence) -> np.ndarray:
    """2^power scrambled Sobol' points, shape (2^power, dimensions)."""
    return qmc.Sobol(dimensions, seed=np.random.default_rng(seed)).random_base2(power)


def _draw(build: Build, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Values (SI) and temperature coefficients of the parts: two arrays (N, parts)."""
    count = len(PARTS)
    nominal = np.array([part.nominal for part in build.parts])
    tolerance = np.array([part.tolerance for part in build.parts])
    off = 2 * points[:, :count] - 1
    normal = [place for place, part in enumerate(build.parts) if part.spread == NORMAL]
    off[:, normal] = ndtri(np.clip(points[:, normal], 1e-12, 1 - 1e-12)) / 3
    coefficient = np.array([part.coefficient for part in build.parts])
    spread = np.array([part.coefficient_spread for part in build.parts])
    moved = coefficient + spread * (2 * points[:, count: 2 * count] - 1)
    return nominal * (1 + tolerance * off), moved


def _part(values: np.ndarray, name: str) -> np.ndarray:
    """One part's values out of an array (N, parts)."""
    return values[:, PARTS.index(name)]


def _targets(build: Build, values: np.ndarray, *, narrow: bool = False) -> tuple[np.ndarray, ...]:
    """Where the oscillator must reach on one band with each receiver's crystal: (low, high)."""
    scheme = build.scheme
    plan: BandPlan = scheme.lower if (build.wide_band == "lower") != narrow else scheme.upper
    crystal = _part(values, CRYSTAL)
    if plan.injection == HIGH:
        return plan.band_low + crystal, plan.band_high + crystal
    if plan.injection == LOW:
        return plan.band_low - crystal, plan.band_high - crystal
    return crystal - plan.band_high, crystal - plan.band_low


def _capacitance(frequency: np.ndarray, values: np.ndarray) -> np.ndarray:
    """Tank capacitance for a frequency with each receiver's coil."""
    return 1 / ((2 * np.pi * frequency) ** 2 * _part(values, COIL))


def _least(build: Build, values: np.ndarray, trimmer: np.ndarray, narrow: bool) -> np.ndarray:
    """Total capacitance with the tuning capacitor fully out."""
    total = _part(values, FIXED) + _part(values, MINIMUM) + trimmer
    if (build.switched_on == build.wide_band) != narrow:
        total = total + _part(values, SWITCHED)
    return total


def _ends(
    build: Build, values: np.ndarray, trimmer: np.ndarray, *, narrow: bool = False
) -> tuple[np.ndarray, np.ndarray]:
    """The dial's ends (Hz of the oscillator) on one band."""
    least, coil = _least(build, values, trimmer, narrow), _part(values, COIL)
    most = least + _part(values, SWING)
    return 1 / (2 * np.pi * np.sqrt(coil * most)), 1 / (2 * np.pi * np.sqrt(coil * least))


def _trimmer_needed(build: Build, values: np.ndarray) -> np.ndarray:
    """Trimmer with which the dial begins where it should."""
    start = _targets(build, values)[0] - build.beyond
    rest = _least(build, values, np.zeros(len(values)), False) + _part(values, SWING)
    return _capacitance(start, values) - rest


def _covers(build: Build, values: np.ndarray, trimmer: np.ndarray) -> np.ndarray:
    """Whether the wider band lies wholly on the dial."""
    (low, high), (first, last) = _ends(build, values, trimmer), _targets(build, values)
    return (low <= first) & (last <= high)


def _switched_needed(build: Build, values: np.ndarray) -> np.ndarray:
    """Switched capacitor that brings the bands' middles together, signed as it is switched."""
    wide, narrow = _targets(build, values), _targets(build, values, narrow=True)
    more = (_capacitance((narrow[0] + narrow[1]) / 2, values)
            - _capacitance((wide[0] + wide[1]) / 2, values))
    return -more if build.switched_on == build.wide_band else more


def _recentres(
    build: Build, values: np.ndarray, trimmer: np.ndarray, centring: float
) -> np.ndarray:
    """Whether the narrower band lies on the dial with its middle near the wider band's."""
    low, high = _ends(build, values, trimmer, narrow=True)
    first, last = _targets(build, values, narrow=True)
    off = np.abs(_switched_needed(build, values) - _part(values, SWITCHED))
    return (low <= first) & (last <= high) & (off <= centring * _part(values, SWING))


def _drift(
    build: Build, values: np.ndarray, trimmer: np.ndarray, coefficients: np.ndarray
) -> np.ndarray:
    """Oscillator drift (Hz/°C) with the tuning capacitor half in, on the wider band."""
    half = _part(values, SWING) / 2
    total = _least(build, values, trimmer, False) + half
    moved = (
        (_part(values, FIXED) + trimmer) * _part(coefficients, FIXED)
        + _part(values, MINIMUM) * _part(coefficients, MINIMUM)
        + half * _part(coefficients, SWING)
    )
    if build.switched_on == build.wide_band:
        moved = moved + _part(values, SWITCHED) * _part(coefficients, SWITCHED)
    frequency = 1 / (2 * np.pi * np.sqrt(_part(values, COIL) * total))
    return -frequency / 2 * (_part(coefficients, COIL) + moved / total)


def _probability(happened: np.ndarray) -> Probability:
    """Share of receivers, with its uncertainty from the replicates."""
    shares = happened.reshape(REPLICATES, -1).mean(axis=1)
    value, error = float(shares.mean()), float(shares.std(ddof=1) / np.sqrt(REPLICATES))
    reach = STUDENT_95 * error if error > 0 else 3 / len(happened)
    return Probability(value, error, max(0.0, value - reach), min(1.0, value + reach))


def _influence(build: Build, seed: np.random.SeedSequence) -> Mapping[str, Mapping[str, float]]:
    """First-order Sobol' indices: mean of f_B·(f_AB − f_A) over the variance.

    A. Saltelli et al., *Comput. Phys. Commun.* 181 (2010) 259, table 2, estimator (b).
    A_B is A with one part's column from B.  Outputs are centred first: the estimator's
    error falls with them.
    """
    count = len(PARTS)
    points = _points(2 * count, INFLUENCE_POWER, seed)
    first, second = points[:, :count], points[:, count:]
    sets = [first, second]
    for place in range(count):
        mixed = first.copy()
        mixed[:, place] = second[:, place]
        sets.append(mixed)
    stacked = np.concatenate(sets)
    cold, _ = _draw(build, np.concatenate((stacked, np.full_like(stacked, 0.5)), axis=1))
    needed = _trimmer_needed(build, cold)
    low, high = _ends(build, cold, np.clip(needed, build.trimmer_low, build.trimmer_high))
    outputs = needed, high - low, _part(cold, SWITCHED) - _switched_needed(build, cold)
    found = {}
    for name, output in zip(OUTPUTS, outputs):
        output = (output - output.mean()).reshape(count + 2, -1)
        base = output[1]
        variance = float(np.var(output[:2]))
        found[name] = MappingProxyType({
            part: float(np.mean(base * (output[place + 2] - output[0])) / variance)
            if variance > 0 else 0.0
            for place, part in enumerate(PARTS)
        })
    return MappingProxyType(found)

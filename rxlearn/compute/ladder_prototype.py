"""How closely a filter's resonators are coupled and its ends loaded, for a width of one.

A prototype names, for a 3 dB width B on the frequency f₀, the couplings k·B/f₀ between
neighbours and the loaded Q of the two ends, q·f₀/B.  From the low-pass element values g

    q₁ = g₁        k = 1/√(gⱼ·gⱼ₊₁)

with Butterworth gⱼ = 2 sin((2j − 1)π/2n) and Chebyshev's by the recursion in G. L. Matthaei, L.
Young and E. M. T. Jones, *Microwave Filters, Impedance-Matching Networks, and Coupling
Structures*, section 4.05, scaled to the 3 dB width (M. Dishal's and A. I. Zverev's tables of k
and q hold the same numbers).  The third has all couplings alike and is worked out from its own
width.  Limits: resonators alike, without loss, and a width that is a small part of f₀.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

import numpy as np

from rxlearn.compute.quantities import Range, Unclear

BUTTERWORTH = "butterworth"
CHEBYSHEV = "chebyshev"
ALIKE = "alike"
PROTOTYPES: Mapping[str, str] = MappingProxyType({
    BUTTERWORTH: "Butterworth, flat", CHEBYSHEV: "Chebyshev, 0.1 dB of ripple",
    ALIKE: "all capacitors alike",
})
"""Kinds of prototype by key, and what they are called."""

CHEBYSHEV_RIPPLE_DB = 0.1
HALF_POWER_DB = 10 * math.log10(2)
CRYSTALS = Range("The number of crystals", "", 2, 8)

_END_LOADING = MappingProxyType({2: 1.0, 3: math.sqrt(0.5)})
_LONGER_LOADING = 0.85
"""K/R with all capacitors alike: two and three crystals are then a Butterworth filter exactly;
from four on 0.85 leaves about the least ripple (worked out, no source)."""


@dataclass(frozen=True)
class Prototype:
    """``kind``, the ``couplings`` k between neighbours and the ends' ``q``: plain numbers."""

    kind: str
    couplings: tuple[float, ...]
    q: float

    @property
    def crystals(self) -> int:
        """How many resonators it has."""
        return len(self.couplings) + 1

    @property
    def sums(self) -> tuple[float, ...]:
        """For each resonator the couplings to its neighbours, added."""
        padded = (0.0, *self.couplings, 0.0)
        return tuple(left + right for left, right in zip(padded, padded[1:], strict=False))

    @property
    def largest_sum(self) -> float:
        """The largest of :attr:`sums`: it decides how much room the filter needs."""
        return max(self.sums)

    @property
    def widest(self) -> float:
        """The largest 3 dB width that a ladder can have, as a part of the crystals' spacing.

        1/(T + √(T² − 1)), with T the largest sum (DERIVED in
        :mod:`rxlearn.compute.crystal_ladder`).
        """
        total = max(1.0, self.largest_sum)
        return 1 / (total + math.sqrt(total**2 - 1))

    def loss_db(self, off: float | np.ndarray) -> np.ndarray:
        """Loss (dB) ``off`` the middle, in half-widths: ±1 are the 3 dB points."""
        return _loss(self.couplings, self.q, np.atleast_1d(np.asarray(off, float)))


def prototype(kind: str, crystals: int) -> Prototype:
    """The prototype ``kind`` (a key of :data:`PROTOTYPES`) for two to eight ``crystals``.

    Plain numbers.  Raises :class:`Unclear` for another kind or number.
    """
    if kind not in PROTOTYPES:
        raise Unclear(f"The kind of filter must be one of these: {', '.join(PROTOTYPES)}.")
    if CRYSTALS.check(crystals) != int(crystals):
        raise Unclear("The number of crystals must be whole: enter 2 to 8.")
    return _made(kind, int(crystals))


@lru_cache(maxsize=32)
def _made(kind: str, crystals: int) -> Prototype:
    if kind == ALIKE:
        return _alike(crystals)
    elements, scale = (_butterworth(crystals), 1.0) if kind == BUTTERWORTH else _chebyshev(crystals)
    couplings = tuple(
        1 / (scale * math.sqrt(one * two))
        for one, two in zip(elements, elements[1:], strict=False))
    return Prototype(kind, couplings, elements[0] * scale)


def _butterworth(n: int) -> list[float]:
    return [2 * math.sin((2 * j - 1) * math.pi / (2 * n)) for j in range(1, n + 1)]


def _chebyshev(n: int) -> tuple[list[float], float]:
    """Element values for a ripple's edge of one, and the 3 dB edge over it."""
    beta = math.log(1 / math.tanh(CHEBYSHEV_RIPPLE_DB * math.log(10) / 40))
    gamma = math.sinh(beta / (2 * n))
    a = [math.sin((2 * j - 1) * math.pi / (2 * n)) for j in range(1, n + 1)]
    b = [gamma**2 + math.sin(j * math.pi / n) ** 2 for j in range(1, n + 1)]
    elements = [2 * a[0] / gamma]
    for j in range(1, n):
        elements.append(4 * a[j - 1] * a[j] / (b[j - 1] * elements[-1]))
    ripple = math.sqrt(10 ** (CHEBYSHEV_RIPPLE_DB / 10) - 1)
    return elements, math.cosh(math.acosh(1 / ripple) / n)


def _alike(n: int) -> Prototype:
    """Equal couplings, scaled so that the outermost 3 dB points lie one half-width off."""
    loading = _END_LOADING.get(n, _LONGER_LOADING)
    couplings = (1.0,) * (n - 1)
    places = np.linspace(0.0, 3.0, 3001)
    loss = _loss(couplings, loading, places)
    target = loss.min() + HALF_POWER_DB
    last = int(np.nonzero(loss < target)[0][-1])
    low, high = places[last], places[last + 1]
    for _ in range(60):
        middle = (low + high) / 2
        if _loss(couplings, loading, np.array([middle]))[0] < target:
            low = middle
        else:
            high = middle
    edge = float(low)
    return Prototype(ALIKE, (1 / edge,) * (n - 1), loading * edge)


def _loss(couplings: tuple[float, ...], q: float, off: np.ndarray) -> np.ndarray:
    """Loss (dB) of the coupled meshes: from the determinant of their matrix, by its recursion."""
    n = len(couplings) + 1
    before, now = np.ones(off.shape, complex), 1j * off + 1 / q
    for place, coupling in enumerate(couplings):
        end = 1 / q if place == n - 2 else 0.0
        before, now = now, (1j * off + end) * now + coupling**2 * before
    through = 2 / q * math.prod(couplings) / np.abs(now)
    return -20 * np.log10(through)

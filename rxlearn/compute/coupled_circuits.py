"""Two tuned circuits that are coupled: under, at and over critical coupling.  SI throughout.

With x = f/f₀ − f₀/f the transfer is, beside its value at critical coupling,

    y = 2k·√(Q₁Q₂)/|(1 + jQ₁x)(1 + jQ₂x) + k²Q₁Q₂|

(F. E. Terman, *Radio Engineering*; F. Langford-Smith, *Radiotron Designer's Handbook*, chapter 9;
for equal Q the last form is DERIVED from the circuit).  Limits: both circuits on f₀, k and both Q
the same over the picture, loads included in Q; good near f₀, and for k below about 0.1.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.quantities import Range

COUPLED_CENTRE = Range("Centre frequency", "Hz", 10e3, 300e6)
COUPLED_Q = Range("Q of a circuit", "", 2.0, 2000.0)
COUPLED_K = Range("Coupling coefficient", "", 1e-5, 0.5)
HALF_POWER_DB = 10 * math.log10(2)
SAME = 1e-9
"""Relative difference below which a coupling counts as critical."""


@dataclass(frozen=True)
class CoupledPair:
    """Two circuits on ``centre`` (Hz), of ``first_q`` and ``second_q``, coupled by ``coupling``.

    The three are plain numbers or ratios.
    """

    centre: float
    first_q: float
    second_q: float
    coupling: float

    def __post_init__(self) -> None:
        """Refuse what is no pair of tuned circuits."""
        COUPLED_CENTRE.check(self.centre)
        COUPLED_Q.check(self.first_q)
        COUPLED_Q.check(self.second_q)
        COUPLED_K.check(self.coupling)

    @property
    def critical(self) -> float:
        """Critical coupling 1/√(Q₁Q₂), a ratio: most voltage at the centre."""
        return 1 / math.sqrt(self.first_q * self.second_q)

    @property
    def transitional(self) -> float:
        """Coupling above which there are two humps: √((1/Q₁² + 1/Q₂²)/2), a ratio."""
        return math.sqrt((self.first_q**-2 + self.second_q**-2) / 2)

    @property
    def index(self) -> float:
        """Coupling over the critical one, a ratio: kQ for equal Q."""
        return self.coupling / self.critical

    @property
    def hump(self) -> float:
        """Detuning x of the humps, a ratio; 0 where there is only one."""
        square = self.coupling**2 - self.transitional**2
        return math.sqrt(square) if square > SAME * self.coupling**2 else 0.0

    @property
    def humps(self) -> tuple[float, ...]:
        """Frequencies (Hz) of the humps: one or two."""
        if not self.hump:
            return (self.centre,)
        return _frequency(self.centre, -self.hump), _frequency(self.centre, self.hump)

    def level_db(self, frequency: float | np.ndarray) -> float | np.ndarray:
        """Response (dB) at ``frequency`` (Hz), 0 dB being the centre at critical coupling."""
        x = np.asarray(frequency / self.centre - self.centre / np.asarray(frequency, float))
        both = self.first_q * self.second_q
        square = (1 + both * (self.coupling**2 - x**2)) ** 2 + (
            x * (self.first_q + self.second_q)) ** 2
        level = 20 * np.log10(2 * self.index) - 10 * np.log10(square)
        return float(level) if level.ndim == 0 else level

    @property
    def centre_db(self) -> float:
        """Response (dB) at the centre."""
        return self.level_db(self.centre)

    @property
    def peak_db(self) -> float:
        """Response (dB) at the humps."""
        return self.level_db(self.humps[-1])

    @property
    def dip_db(self) -> float:
        """How far (dB) the middle lies below the humps."""
        return max(0.0, self.peak_db - self.centre_db)

    def edges(self, down_db: float = HALF_POWER_DB) -> tuple[float, float]:
        """The outermost frequencies (Hz) at which the response is ``down_db`` below its top."""
        x = self._detuning_at(self.peak_db - down_db)
        return _frequency(self.centre, -x), _frequency(self.centre, x)

    def bandwidth(self, down_db: float = HALF_POWER_DB) -> float:
        """Width (Hz) between the outermost points ``down_db`` below the top."""
        low, high = self.edges(down_db)
        return high - low

    def _detuning_at(self, level_db: float) -> float:
        """The largest detuning with this level: the root of a quadratic in x²."""
        both = self.first_q * self.second_q
        inner = 1 + both * self.coupling**2
        wanted = 4 * self.index**2 / 10 ** (level_db / 10)
        middle = (self.first_q + self.second_q) ** 2 - 2 * both * inner
        rest = middle**2 - 4 * both**2 * (inner**2 - wanted)
        return math.sqrt((-middle + math.sqrt(max(rest, 0.0))) / (2 * both**2))


def _frequency(centre: float, x: float) -> float:
    """The frequency (Hz) of detuning x = f/f₀ − f₀/f."""
    return centre * (x / 2 + math.sqrt(1 + x * x / 4))


@dataclass(frozen=True, eq=False)
class CoupledSweep:
    """A pair's response over ``frequencies`` (Hz): ``levels_db``; beside it ``single_db``, one
    circuit of the first one's Q, in dB below its own top."""

    pair: CoupledPair
    frequencies: np.ndarray
    levels_db: np.ndarray
    single_db: np.ndarray


def sweep_pair(pair: CoupledPair, span: float, *, points: int = 241) -> CoupledSweep:
    """Sweep ``pair`` over ``span`` (Hz) about its centre in ``points`` steps."""
    half = min(span / 2, 0.9 * pair.centre)
    frequencies = np.linspace(pair.centre - half, pair.centre + half, points)
    x = frequencies / pair.centre - pair.centre / frequencies
    single = -10 * np.log10(1 + (pair.first_q * x) ** 2)
    return CoupledSweep(pair, frequencies, pair.level_db(frequencies), single)


@dataclass(frozen=True)
class IntermediateTransformer:
    """Two equal circuits for the intermediate frequency ``centre`` (Hz).

    ``capacitance`` (F) across each asks for ``inductance`` (H); coils of ``unloaded_q`` at
    ``index`` times critical coupling; ``wanted`` width (Hz) asks for ``loaded_q``; the coils allow
    at least ``narrowest`` (Hz).  ``coupling`` is k, ``top_capacitance`` (F) couples two coils that
    do not see each other by as much; ``loss_db`` is what the coils' own loss costs.
    """

    centre: float
    capacitance: float
    unloaded_q: float
    index: float
    wanted: float
    inductance: float
    loaded_q: float
    coupling: float
    top_capacitance: float
    narrowest: float
    loss_db: float

    @property
    def possible(self) -> bool:
        """Whether the coils' own Q allows so narrow a pair."""
        return self.loaded_q < self.unloaded_q

    @property
    def pair(self) -> CoupledPair:
        """The two circuits as they come out: with the Q wanted, or the coils' own at most."""
        q = min(self.loaded_q, self.unloaded_q)
        return CoupledPair(self.centre, q, q, self.index / q)


def intermediate_transformer(
    centre: float, capacitance: float, width: float, unloaded_q: float, *, index: float = 1.0
) -> IntermediateTransformer:
    """Two equal circuits with this ``width`` (Hz, 3 dB below the top) on ``centre`` (Hz).

    ``capacitance`` in F, ``unloaded_q`` and ``index`` plain numbers (1: critical).  The loaded Q
    follows from the width in units of f₀/Q; what a damping resistor must add is the difference
    to the coils' own Q.
    """
    centre, unloaded_q = COUPLED_CENTRE.check(centre), COUPLED_Q.check(unloaded_q)
    units = _width_in_units(index)
    loaded = units * centre / width
    actual = min(loaded, unloaded_q)
    coupling = index / actual
    share = 1 - actual / unloaded_q
    return IntermediateTransformer(
        centre, capacitance, unloaded_q, index, width,
        1 / ((2 * math.pi * centre) ** 2 * capacitance), loaded, coupling, coupling * capacitance,
        units * centre / unloaded_q, -20 * math.log10(share) if share > 0 else math.inf,
    )


def _width_in_units(index: float) -> float:
    """3 dB width of two equal circuits in units of f₀/Q at this coupling index."""
    pair = CoupledPair(1e6, 1000.0, 1000.0, index / 1000.0)
    return pair._detuning_at(pair.peak_db - HALF_POWER_DB) * 1000.0

"""One gang for preselector and oscillator: three-point tracking, and the best that can be done.

Two equal sections of a gang.  The signal circuit has its trimmer and covers
its band.  The oscillator must stay the intermediate frequency above it with
the same swing; a smaller coil, a trimmer and a series capacitor (the padder)
make it right at three frequencies.

Frequencies in Hz, capacitances in F, inductances in H.  Model: lossless parts,
equal sections, fixed strays (they count with the trimmers), the oscillator
above the signal.  Source of the constants l², m², n²: F. E. Terman, *Radio Engineers' Handbook*
(1943), section 9; the same in F. Langford-Smith, *Radiotron Designer's Handbook*, 4th ed., ch. 25.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import leastsq

from rxlearn.compute.quantities import Range, Unclear
from rxlearn.compute.tank import (
    capacitance_for,
    fixed_capacitance_for_ratio,
    inductance_for,
)
from rxlearn.compute.tuning import HIGH, INTERMEDIATE_FREQUENCY, check_band, check_injection

ACROSS_GANG = "gang"
ACROSS_COIL = "coil"
TRIMMER_PLACES = {
    ACROSS_GANG: "across the gang's section", ACROSS_COIL: "across the oscillator coil",
}
"""Where the oscillator's extra trimmer stands, in words."""

EVEN_INSET = (1 - math.cos(math.pi / 6)) / 2
"""How far inside the band's ends (a share of the band) the outer tracking frequencies lie so that
the largest errors of a cubic are equal: the zeros of Chebyshev's third polynomial (DERIVED)."""


@dataclass(frozen=True)
class Constants:
    """Terman's tracking constants: ``l2``, ``m2``, ``n2``, each in Hz²."""

    l2: float
    m2: float
    n2: float


def tracking_constants(
    points: tuple[float, float, float], intermediate_frequency: float
) -> Constants:
    """The constants for three tracking frequencies (Hz) and an intermediate frequency (Hz).

    a, b², c³: sum, sum of products by two, product of the three; d = a + 2·IF;
    l² = (b²d − c³)/(2·IF), m² = l² + IF² + ad − b², n² = (c³d + IF²l²)/m².
    Raises :class:`Unclear` for fewer than three different frequencies.
    """
    intermediate = INTERMEDIATE_FREQUENCY.check(intermediate_frequency)
    first, second, third = (
        Range("Tracking frequency", "Hz", 1e3, 1e9).check(point) for point in points
    )
    if not first < second < third:
        raise Unclear("Tracking frequencies must be three, each above the one before it.")
    a = first + second + third
    b2 = first * second + first * third + second * third
    c3 = first * second * third
    d = a + 2 * intermediate
    l2 = (b2 * d - c3) / (2 * intermediate)
    m2 = l2 + intermediate**2 + a * d - b2
    return Constants(l2, m2, (c3 * d + intermediate**2 * l2) / m2)


@dataclass(frozen=True)
class OscillatorParts:
    """The oscillator's ``inductance`` (H), ``padder`` (F, in series), ``trimmer`` (F).

    ``place`` says where the extra trimmer stands, a key of :data:`TRIMMER_PLACES`.
    """

    inductance: float
    padder: float
    trimmer: float
    place: str

    def frequency_with(self, gang: float | np.ndarray) -> float | np.ndarray:
        """Frequency (Hz) with the gang's section and its own trimmer at ``gang`` (F)."""
        if self.place == ACROSS_COIL:
            total = self.trimmer + self.padder * gang / (self.padder + gang)
        else:
            own = gang + self.trimmer
            total = self.padder * own / (self.padder + own)
        return 1.0 / (2 * np.pi * np.sqrt(self.inductance * total))


@dataclass(frozen=True)
class SignalCircuit:
    """The signal circuit: ``inductance`` (H) and the ``trimmer`` (F) across its section."""

    inductance: float
    trimmer: float


def signal_circuit(
    low: float, high: float, minimum: float, maximum: float
) -> SignalCircuit:
    """Coil (H) and trimmer (F, strays included) with which a section covers ``low``..``high`` (Hz).

    The section turns from ``minimum`` to ``maximum`` (F).

    Raises :class:`Unclear` where the section's swing is too small.
    """
    low, high = check_band(low, high)
    trimmer = fixed_capacitance_for_ratio(minimum, maximum, high / low)
    return SignalCircuit(float(inductance_for(low, maximum + trimmer)), trimmer)


def three_point_parts(
    points: tuple[float, float, float], intermediate_frequency: float, inductance: float, *,
    place: str = ACROSS_GANG,
) -> OscillatorParts:
    """Oscillator parts exact at three signal frequencies (Hz); ``inductance`` (H): signal coil.

    With C0 = 1/(ω_IF²·L).  Trimmer across the gang: C0·IF²/l², padder
    C0·IF²(1/n² − 1/l²), coil L(l²/m²)(Cp + Ct)/Cp.  Across the coil: padder
    C0·IF²/n², trimmer C0·IF²/(l² − n²), coil L(l²/m²)Cp/(Cp + Ct).
    """
    if place not in TRIMMER_PLACES:
        raise Unclear(f"Trimmer's place must be one of {', '.join(TRIMMER_PLACES)}.")
    c = tracking_constants(points, intermediate_frequency)
    scale = float(capacitance_for(intermediate_frequency, inductance)) * intermediate_frequency**2
    if place == ACROSS_GANG:
        trimmer, padder = scale / c.l2, scale * (1 / c.n2 - 1 / c.l2)
        coil = inductance * c.l2 / c.m2 * (padder + trimmer) / padder
    else:
        padder, trimmer = scale / c.n2, scale / (c.l2 - c.n2)
        coil = inductance * c.l2 / c.m2 * padder / (padder + trimmer)
    return OscillatorParts(coil, padder, trimmer, place)


@dataclass(frozen=True, eq=False)
class Tracking:
    """A gang tracked over a band.  Errors in Hz: oscillator less what it should be.

    ``signals`` (Hz) are the signal circuit's frequencies over the dial,
    ``errors`` those of the three-point ``parts`` with a padder that is off by the share
    ``padder_off``, ``best_errors`` those of ``best``, the parts with the least
    mean square of error.  ``points`` are where the three-point parts are exact.
    ``half_width`` (Hz, beside ``signals``) is
    half the signal circuit's width 3 dB down at the given ``loaded_q``.
    """

    low: float
    high: float
    intermediate_frequency: float
    circuit: SignalCircuit
    points: tuple[float, float, float]
    parts: OscillatorParts
    best: OscillatorParts
    loaded_q: float
    padder_off: float
    signals: np.ndarray
    errors: np.ndarray
    best_errors: np.ndarray

    @property
    def half_width(self) -> np.ndarray:
        """Half the signal circuit's width 3 dB down, Hz."""
        return self.signals / self.loaded_q / 2

    @property
    def worst(self) -> float:
        """The largest error of the three-point parts, Hz without sign."""
        return float(np.abs(self.errors).max())

    @property
    def best_worst(self) -> float:
        """The largest error of the best parts, Hz without sign."""
        return float(np.abs(self.best_errors).max())

    @property
    def root_mean_square(self) -> tuple[float, float]:
        """Root mean square of either error over the dial, Hz: three-point, best."""
        return tuple(float(np.sqrt(np.mean(e**2))) for e in (self.errors, self.best_errors))

    @property
    def worst_loss_db(self) -> float:
        """What the mistuned signal circuit costs where it is worst, dB."""
        # The filter decides what is heard, so the error is the signal circuit's mistuning.
        off = self.signals + self.errors
        detuning = off / self.signals - self.signals / off
        return float(10 * np.log10(1 + (self.loaded_q * detuning) ** 2).max())


def track(
    low: float, high: float, intermediate_frequency: float, minimum: float, maximum: float, *,
    injection: str = HIGH, inset: float = EVEN_INSET, place: str = ACROSS_GANG,
    loaded_q: float = 50.0, padder_off: float = 0.0, points: int = 121,
) -> Tracking:
    """Track a gang of two sections ``minimum``..``maximum`` (F) over ``low``..``high`` (Hz).

    The tracking frequencies are the middle and two that lie ``inset`` (a
    share of the band, 0 to 0.4) inside its ends.  ``padder_off`` (a share) is
    how far the padder that is fitted lies from the right one.  Raises
    :class:`Unclear` for values out of range and for injection that is not on the high side.
    """
    if check_injection(injection) != HIGH:
        raise Unclear(
            "With the oscillator below the signal it needs the larger tuning ratio of the two: a "
            "padder would have to stand in the signal circuit, and this figure does not draw that."
        )
    circuit = signal_circuit(low, high, minimum, maximum)
    inset = Range("Tracking points' distance from the ends", "", 0.0, 0.4).check(inset)
    step = inset * (high - low)
    exact = (low + step, (low + high) / 2, high - step)
    intermediate = float(intermediate_frequency)
    parts = three_point_parts(exact, intermediate, circuit.inductance, place=place)
    # Even in frequency, so that no part of the dial weighs more than another.
    signals = np.linspace(low, high, points)
    gang = 1.0 / ((2 * np.pi * signals) ** 2 * circuit.inductance)
    best = _least_squares(parts, signals + intermediate, gang)
    off = Range("Padder's error", "", -0.5, 0.5).check(padder_off)
    fitted = replace(parts, padder=parts.padder * (1 + off))
    return Tracking(
        float(low), float(high), intermediate, circuit, exact, parts, best,
        Range("Loaded Q", "", 1.0, 1000.0).check(loaded_q), off, signals,
        *(one.frequency_with(gang) - signals - intermediate for one in (fitted, best)),
    )


def _least_squares(
    start: OscillatorParts, wanted: np.ndarray, gang: np.ndarray
) -> OscillatorParts:
    """Parts with the least sum of squares of error; logarithms keep them positive."""
    def parts(logs: np.ndarray) -> OscillatorParts:
        return OscillatorParts(*(float(part) for part in np.exp(logs)), start.place)

    def errors(logs: np.ndarray) -> np.ndarray:
        return parts(logs).frequency_with(gang) - wanted

    first = np.log([start.inductance, start.padder, start.trimmer])
    found, _ = leastsq(errors, first, Dfun=lambda logs: _slopes(parts(logs), gang), ftol=1e-13,
                       xtol=1e-13)
    return parts(found)


def _slopes(parts: OscillatorParts, gang: np.ndarray) -> np.ndarray:
    """Derivatives of the frequency by the logarithms of coil, padder and trimmer; (n, 3)."""
    frequency = parts.frequency_with(gang)
    padder, trimmer = parts.padder, parts.trimmer
    own = gang if parts.place == ACROSS_COIL else gang + trimmer
    series = padder * own / (padder + own)
    total = series + trimmer if parts.place == ACROSS_COIL else series
    by_padder = (own / (padder + own)) ** 2 * padder
    by_trimmer = trimmer if parts.place == ACROSS_COIL else (padder / (padder + own)) ** 2 * trimmer
    return np.stack([
        -frequency / 2, -frequency / (2 * total) * by_padder, -frequency / (2 * total) * by_trimmer
    ], axis=1)

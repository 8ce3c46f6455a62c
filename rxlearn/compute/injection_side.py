"""Injection at one setting, and a whole band tuned from either side.  Hz and F throughout.

Model: the wanted product of signal and oscillator, and its image, as in
:mod:`rxlearn.compute.tuning`; one coil and one variable capacitor for a range,
as in :mod:`rxlearn.compute.tank`.  Levels, harmonics and tracking errors are left out.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tank import capacitance_ratio, fixed_capacitance_for_ratio
from rxlearn.compute.tuning import (
    HIGH,
    INTERMEDIATE_FREQUENCY,
    LOW,
    SIGNAL,
    SUM,
    BandPlan,
    image_frequency,
    mixer_products,
    oscillator_frequency,
    plan_band,
    signal_frequency,
)

VOICE = (300.0, 3000.0)
"""Lowest and highest tone (Hz) of the upper sideband that is followed through the mixer
(common practice, no source)."""

DIAL_STEP = 1e3
"""By how much (Hz) the oscillator is raised to see which way the signal goes."""

PASSES_STRAIGHT = 10e3
"""A signal this near (Hz) to the intermediate frequency passes without being mixed:
about the width of a broadcast receiver's filter (common practice, no source)."""

VARIABLE_SMALLEST, VARIABLE_LARGEST = 10e-12, 365e-12
"""The variable capacitor (F) that broadcast sets commonly use (common practice, no source)."""


@dataclass(frozen=True)
class Injected:
    """One signal at one intermediate frequency, and what its oscillator does.  Hz.

    ``signal``, ``intermediate_frequency`` and ``injection`` were given.
    ``sideband`` is the upper sideband as sent, (lowest tone, highest tone);
    ``sideband_after`` the same two tones after the mixer.  ``signal_moves`` is
    how far the tuned signal goes when the oscillator goes up by ``DIAL_STEP``.
    """

    signal: float
    intermediate_frequency: float
    injection: str
    oscillator: float
    image: float
    sideband: tuple[float, float]
    sideband_after: tuple[float, float]
    signal_moves: float

    @property
    def inverted(self) -> bool:
        """Whether the upper sideband leaves the mixer below its carrier."""
        return self.sideband_after[1] < self.sideband_after[0]

    @property
    def tunes_backwards(self) -> bool:
        """Whether the signal goes down when the oscillator goes up."""
        return self.signal_moves < 0

    @property
    def centre(self) -> float:
        """The frequency (Hz) that lies half-way between signal and image.

        The oscillator, as long as it is the higher of oscillator and
        intermediate frequency; else the intermediate frequency.
        """
        return max(self.oscillator, self.intermediate_frequency)

    @property
    def reach(self) -> float:
        """How far (Hz) signal and image lie from :attr:`centre`, each on its side."""
        return min(self.oscillator, self.intermediate_frequency)

    @property
    def passes_straight(self) -> bool:
        """Whether the signal lies on the intermediate frequency, so that it needs no mixer."""
        return abs(self.signal - self.intermediate_frequency) <= PASSES_STRAIGHT


def inject(signal: float, intermediate_frequency: float, injection: str) -> Injected:
    """Find oscillator, image, sideband and direction for one ``signal`` (Hz).

    The sideband is followed tone by tone through the mixer (difference, or sum
    in the sum scheme), so that its order afterwards is a result and no rule.
    ``injection`` is high, low or sum.  Raises :class:`Unclear` outside 1 kHz to
    1 GHz and where no oscillator above zero fits.
    """
    signal = SIGNAL.check(signal)
    intermediate = INTERMEDIATE_FREQUENCY.check(intermediate_frequency)
    oscillator = oscillator_frequency(signal, intermediate, injection)
    sideband = (signal + VOICE[0], signal + VOICE[1])
    products = [mixer_products(oscillator, tone) for tone in sideband]
    after = tuple(p.sum if injection == SUM else p.difference for p in products)
    return Injected(
        signal=signal, intermediate_frequency=intermediate, injection=injection,
        oscillator=oscillator, image=image_frequency(signal, intermediate, injection),
        sideband=sideband, sideband_after=after,
        signal_moves=_signal_moves(signal, oscillator, intermediate, injection),
    )


def _signal_moves(signal: float, oscillator: float, intermediate: float, injection: str) -> float:
    """How far the tuned signal (Hz) goes when the oscillator goes up a step, or less near zero."""
    # In the sum scheme the signal must not be driven through zero by the step.
    step = min(DIAL_STEP, signal / 2)
    return signal_frequency(oscillator + step, intermediate, injection) - signal


@dataclass(frozen=True)
class Tuner:
    """What tunes ``low``..``high`` (Hz) with one coil.

    ``frequency_ratio`` and ``capacitance_ratio`` are highest over lowest;
    ``across`` is the capacitance (F: trimmer, valve and wiring) that makes the
    common variable capacitor cover the range exactly, or None where it cannot.
    """

    low: float
    high: float
    frequency_ratio: float
    capacitance_ratio: float
    across: float | None


@dataclass(frozen=True)
class Sides:
    """One band tuned with the oscillator on the high and on the low side.  Hz.

    ``high`` and ``low`` are the two frequency plans, ``chosen`` the one asked
    for by ``injection``.  The tuners belong to the aerial circuit and to the
    oscillator on either side; a side without an oscillator has None.
    """

    band_low: float
    band_high: float
    intermediate_frequency: float
    injection: str
    high: BandPlan
    low: BandPlan
    aerial_tuner: Tuner
    high_tuner: Tuner | None
    low_tuner: Tuner | None

    @property
    def chosen(self) -> BandPlan:
        """The frequency plan on the side that was asked for."""
        return self.high if self.injection == HIGH else self.low

    @property
    def chosen_tuner(self) -> Tuner | None:
        """The oscillator's tuner on the side that was asked for."""
        return self.high_tuner if self.injection == HIGH else self.low_tuner


def compare_sides(
    band_low: float, band_high: float, intermediate_frequency: float, injection: str
) -> Sides:
    """Tune a band (edges in Hz) from both sides and say what each oscillator needs.

    ``injection`` is high or low.  Raises :class:`Unclear` for edges that make no
    band and for values out of range; a side that cannot work is told by its plan's
    ``reasons``.
    """
    if injection not in (HIGH, LOW):
        raise Unclear("Only the high and the low side are compared here: choose one of them.")
    high = plan_band(band_low, band_high, intermediate_frequency, HIGH)
    low = plan_band(band_low, band_high, intermediate_frequency, LOW)
    return Sides(
        band_low=high.band_low, band_high=high.band_high,
        intermediate_frequency=high.intermediate_frequency, injection=injection,
        high=high, low=low,
        aerial_tuner=_tuner(high.band_low, high.band_high),
        high_tuner=_tuner(high.oscillator_low, high.oscillator_high),
        low_tuner=_tuner(low.oscillator_low, low.oscillator_high),
    )


def _tuner(low: float, high: float) -> Tuner | None:
    """The tuner for a range, or None for one that does not stay above zero."""
    if low < 1.0:
        return None
    ratio = capacitance_ratio(low, high)
    across = None
    if ratio <= VARIABLE_LARGEST / VARIABLE_SMALLEST:
        across = fixed_capacitance_for_ratio(VARIABLE_SMALLEST, VARIABLE_LARGEST, high / low)
    return Tuner(low, high, high / low, ratio, across)

"""The beat oscillator: on which side it belongs, and what pitch each tone is heard at.  Hz.

A single-sideband signal carries each audio tone at carrier + tone (upper) or
carrier − tone (lower).  A conversion that inverts the sideband (oscillator on
the high side) turns one into the other, so the beat oscillator, which must
stand where the carrier would be, changes sides.  DERIVED from the product of
two cosines.

Model: frequencies only, no levels; the intermediate-frequency filter is taken
to pass whatever is asked of it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.quantities import Range, Unclear
from rxlearn.compute.tuning import (
    INTERMEDIATE_FREQUENCY,
    SIGNAL,
    check_injection,
    is_sideband_inverted,
    oscillator_frequency,
)

UPPER = "upper"
LOWER = "lower"
SIDEBANDS = (UPPER, LOWER)

ABOVE = "above"
BELOW = "below"

OFFSET = Range("Beat oscillator offset", "Hz", 0.0, 20e3)
TONE = Range("Tone", "Hz", 1.0, 20e3)
BEAT = Range("Beat oscillator frequency", "Hz", 1.0, 2e9)


def check_sideband(sideband: str) -> str:
    """Return ``sideband`` if it is upper or lower, else raise :class:`Unclear`."""
    if isinstance(sideband, str) and sideband in SIDEBANDS:
        return sideband
    given = " ".join(str(sideband).split())[:20]
    raise Unclear(f"Sideband “{given}” is unknown: choose upper or lower.")


def sideband_after(sideband: str, inverted: bool) -> str:
    """The sideband as it leaves the conversion: turned over if ``inverted``."""
    if not inverted:
        return check_sideband(sideband)
    return LOWER if check_sideband(sideband) == UPPER else UPPER


def beat_side(sideband: str, inverted: bool) -> str:
    """Side of the intermediate-frequency passband, above or below, for the beat oscillator.

    The carrier stands below an upper sideband and above a lower one, as they
    arrive *after* the conversion.
    """
    return BELOW if sideband_after(sideband, inverted) == UPPER else ABOVE


def beat_oscillator_frequency(
    intermediate_frequency: float, sideband: str, inverted: bool, offset: float
) -> float:
    """Beat oscillator (Hz) ``offset`` (Hz) from the passband's centre, on the proper side.

    ``intermediate_frequency`` is the passband's centre (Hz).  About half the
    speech band, 1.5 kHz, is a usual offset (common practice, no source).
    Raises :class:`Unclear` out of range.
    """
    centre = INTERMEDIATE_FREQUENCY.check(intermediate_frequency)
    offset = OFFSET.check(offset)
    return centre - offset if beat_side(sideband, inverted) == BELOW else centre + offset


@dataclass(frozen=True)
class ConvertedSideband:
    """A sideband signal before and after its conversion.  Hz; arrays follow ``tones``.

    ``signal_frequencies`` are the tones on the air, ``intermediate_frequencies``
    where they land, ``intermediate_carrier`` where the missing carrier would.
    """

    carrier: float
    tones: tuple[float, ...]
    sideband: str
    intermediate_frequency: float
    injection: str
    oscillator: float
    signal_frequencies: np.ndarray
    intermediate_frequencies: np.ndarray
    intermediate_carrier: float
    sideband_after: str

    def heard(self, beat_oscillator: float) -> np.ndarray:
        """Pitches (Hz) of the tones against a beat oscillator (Hz), in the order of ``tones``."""
        return np.abs(self.intermediate_frequencies - BEAT.check(beat_oscillator))


def convert_sideband(
    carrier: float,
    tones: Sequence[float],
    sideband: str,
    intermediate_frequency: float,
    injection: str,
    *,
    offset: float = 0.0,
) -> ConvertedSideband:
    """Put a sideband signal of ``carrier`` and audio ``tones`` (Hz) through a conversion.

    The oscillator is set so that the carrier lands ``offset`` (Hz) from the
    intermediate frequency, on the side on which the beat oscillator belongs.
    Which sideband comes out is read off the numbers, not looked up.  Raises
    :class:`Unclear` for values out of range or no tone at all.
    """
    carrier = SIGNAL.check(carrier)
    audio = np.atleast_1d(np.asarray(TONE.check_each(tones)))
    if audio.size == 0:
        raise Unclear("Tone is missing: give at least one.")
    target = beat_oscillator_frequency(
        intermediate_frequency, sideband, is_sideband_inverted(injection), offset
    )
    oscillator = oscillator_frequency(carrier, target, injection)
    on_air = carrier + audio if sideband == UPPER else carrier - audio
    SIGNAL.check_each(on_air)
    if check_injection(injection) == "sum":
        landed, landed_carrier = oscillator + on_air, oscillator + carrier
    else:
        landed, landed_carrier = np.abs(oscillator - on_air), abs(oscillator - carrier)
    after = UPPER if landed[0] > landed_carrier else LOWER
    return ConvertedSideband(
        carrier=carrier, tones=tuple(float(tone) for tone in audio), sideband=sideband,
        intermediate_frequency=float(intermediate_frequency), injection=injection,
        oscillator=oscillator, signal_frequencies=on_air, intermediate_frequencies=landed,
        intermediate_carrier=landed_carrier, sideband_after=after,
    )


SPEECH = (300.0, 2700.0)
"""Lowest and highest tone of speech as telephony passes it, Hz (common practice, no source)."""

FILTER_WIDTH = 2.4e3
"""Width of a filter for single sideband, Hz (common practice, no source)."""


@dataclass(frozen=True)
class BeatSetting:
    """Speech on one sideband in the intermediate-frequency filter, and the oscillator beside it.

    ``converted`` holds the lowest, middle and highest tone of :data:`SPEECH`.  The
    filter is :data:`FILTER_WIDTH` wide around the intermediate frequency.
    ``beat_oscillator`` (Hz) stands ``offset`` (Hz) to the proper ``side``,
    ``wrong_beat_oscillator`` as far to the other.  ``passed_low`` to
    ``passed_high`` (Hz) are the tones that the filter passes, both not-a-number
    if it passes none.
    """

    converted: ConvertedSideband
    offset: float
    side: str
    beat_oscillator: float
    wrong_beat_oscillator: float
    passed_low: float
    passed_high: float


def set_beat(
    carrier: float, sideband: str, intermediate_frequency: float, injection: str, offset: float
) -> BeatSetting:
    """Tune in speech on ``sideband`` of ``carrier`` (Hz) with the beat oscillator ``offset`` (Hz) off.

    The oscillator is tuned so that the speech comes out at its true pitch.
    Raises :class:`Unclear` for values out of range.
    """
    low, high = SPEECH
    converted = convert_sideband(
        carrier, (low, (low + high) / 2, high), sideband, intermediate_frequency, injection,
        offset=offset,
    )
    inverted = is_sideband_inverted(injection)
    beat = beat_oscillator_frequency(intermediate_frequency, sideband, inverted, offset)
    # A tone lies inside the filter if it is within half a width of its distance from the carrier.
    first, last = max(low, offset - FILTER_WIDTH / 2), min(high, offset + FILTER_WIDTH / 2)
    passed = (first, last) if first < last else (math.nan, math.nan)
    return BeatSetting(
        converted=converted, offset=offset, side=beat_side(sideband, inverted),
        beat_oscillator=beat, wrong_beat_oscillator=2 * intermediate_frequency - beat,
        passed_low=passed[0], passed_high=passed[1],
    )

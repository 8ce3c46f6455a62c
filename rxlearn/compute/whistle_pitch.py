"""How a whistle's pitch moves as one tunes across it.  Hz.

Near the place where a whistle sits, let the dial be off by d and the station by s.  The
oscillator is then off by a·d (a = 1, for the sum scheme −1), the station's own carrier comes
out off the IF by c·(d − s), with c = 1 on the high side and −1 else, and the product
σ·(m·O + n·f) by σ·(m·a·d + n·s).  What one hears of two carriers is their difference; a
whistle that the set makes itself beats against the beat oscillator on the IF, m·d off it.
DERIVED from the definitions in :mod:`~rxlearn.compute.whistles`.

Limits: the filter is a plain window, a beat oscillator stands on the IF exactly, and
nothing is said of loudness.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rxlearn.compute.quantities import Range
from rxlearn.compute.tuning import HIGH, check_injection
from rxlearn.compute.whistles import SIGNAL_IN_TERMS, Whistle

DIAL_OFFSET = Range("Dial off the whistle", "Hz", -100e3, 100e3)
STATION_OFFSET = Range("Station off the whistle", "Hz", -100e3, 100e3)
BANDWIDTH = Range("Filter's bandwidth", "Hz", 100.0, 100e3)

REACH = 5e3
"""How far (Hz) a sweep goes to either side."""

POINTS = 401


@dataclass(frozen=True, eq=False)
class PitchSweep:
    """Pitches (Hz) over the ``dial`` (Hz off the whistle's place, shape (P,)).

    ``whistle_pitch`` is what one hears as a whistle, ``carrier_pitch`` the station against
    the beat oscillator (None for a self-made whistle, which needs no station).
    ``passes`` says where all that takes part lies inside the filter of ``bandwidth`` (Hz).
    ``whistle_now``, ``carrier_now`` and ``passes_now`` are the same at ``dial_offset`` (Hz);
    ``station_offset`` (Hz) is where the station stands.
    """

    whistle: Whistle
    injection: str
    dial_offset: float
    station_offset: float
    bandwidth: float
    dial: np.ndarray
    whistle_pitch: np.ndarray
    carrier_pitch: np.ndarray | None
    passes: np.ndarray
    whistle_now: float
    carrier_now: float | None
    passes_now: bool


def sweep_pitch(
    whistle: Whistle, injection: str, *, dial_offset: float = 0.0, station_offset: float = 0.0,
    bandwidth: float = 6e3, reach: float = REACH,
) -> PitchSweep:
    """Tune across ``whistle`` with the station ``station_offset`` (Hz) off its place.

    The dial stands ``dial_offset`` (Hz) off; the sweep reaches ``reach`` (Hz) to either side.
    Raises :class:`Unclear` for values out of range or an unknown injection.
    """
    check_injection(injection)
    now = DIAL_OFFSET.check(dial_offset)
    station = STATION_OFFSET.check(station_offset)
    width = BANDWIDTH.check(bandwidth)
    dial = np.linspace(-reach, reach, POINTS)
    pitch, carrier, passes = _pitches(whistle, injection, np.append(dial, now), station, width)
    return PitchSweep(
        whistle, injection, now, station, width, dial, pitch[:-1],
        None if carrier is None else carrier[:-1], passes[:-1],
        float(pitch[-1]), None if carrier is None else float(carrier[-1]), bool(passes[-1]),
    )


def off_the_middle(
    whistle: Whistle, injection: str, dial: float | np.ndarray, station: float
) -> tuple[float | np.ndarray, float | np.ndarray | None]:
    """How far (Hz) the product and the station's carrier come out from the filter's middle.

    ``dial`` and ``station`` (Hz) are off the whistle's place; a self-made whistle has no carrier.
    """
    m = whistle.oscillator_order
    if whistle.self_made:
        return m * dial, None
    a, _ = SIGNAL_IN_TERMS[injection]
    return (whistle.sign * (m * a * dial + whistle.other_order * station),
            (1 if injection == HIGH else -1) * (dial - station))


def _pitches(whistle: Whistle, injection: str, dial: np.ndarray, station: float, width: float):
    """Pitch of the whistle, of the carrier, and whether the filter passes what makes them."""
    product, carrier = off_the_middle(whistle, injection, dial, station)
    if carrier is None:
        return np.abs(product), None, np.abs(product) <= width / 2
    passes = (np.abs(product) <= width / 2) & (np.abs(carrier) <= width / 2)
    return np.abs(product - carrier), np.abs(carrier), passes

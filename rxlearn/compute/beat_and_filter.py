"""The beat oscillator against a filter's pass band: which side of zero beat is heard, and how well.

A product detector hears a station at its distance from the beat oscillator, on whichever side it
stands; only the filter can hold one side down.  Levels are those of
:mod:`~rxlearn.compute.ladder_measures`, whose limits hold here too.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rxlearn.compute.ladder_measures import LadderMeasures
from rxlearn.compute.quantities import Range

BEAT_PLACE = Range("The beat oscillator, from the pass band's middle", "Hz", -50e3, 50e3)
PITCH = Range("The pitch", "Hz", 50.0, 5e3)

POINTS = 401

LEAK_DB = -80.0
"""What gets around a filter on a bench, however good it is, dB (common practice, no source)."""


@dataclass(frozen=True, eq=False)
class BeatAndFilter:
    """Two stations ``pitch`` (Hz) above and below the ``beat`` oscillator (Hz), behind a filter.

    ``levels_db`` over ``frequencies`` (Hz), ``upper_db`` and ``lower_db`` of the two stations, all
    in dB below the filter's top, never below :data:`LEAK_DB`.  ``low`` and ``high`` (Hz) are its 6 dB points and ``crystals``
    their number, 0 for a set that has only its wide transformers.
    """

    crystals: int
    beat: float
    pitch: float
    low: float
    high: float
    frequencies: np.ndarray
    levels_db: np.ndarray
    upper_db: float
    lower_db: float

    @property
    def centre(self) -> float:
        """The pass band's middle, Hz."""
        return (self.low + self.high) / 2

    @property
    def suppression_db(self) -> float:
        """How much weaker the weaker of the two stations is, dB."""
        return abs(self.upper_db - self.lower_db)


def beat_against(
    measures: LadderMeasures, crystals: int, place: float, pitch: float, low: float, high: float
) -> BeatAndFilter:
    """Put the beat oscillator ``place`` (Hz) from the pass band's middle, stations at ``pitch`` (Hz).

    With ``crystals`` 0 the same stretch, ``low`` to ``high`` (Hz), is passed whole.
    """
    beat = measures.centre + BEAT_PLACE.check(place)
    pitch = PITCH.check(pitch)
    frequencies = np.linspace(low, high, POINTS)
    places = np.append(frequencies, [beat + pitch, beat - pitch])
    levels = np.clip(-measures.down_db(places), LEAK_DB, 0.0) if crystals else np.zeros(len(places))
    return BeatAndFilter(crystals, beat, pitch, measures.low[1], measures.high[1], frequencies,
                       levels[:-2], float(levels[-2]), float(levels[-1]))

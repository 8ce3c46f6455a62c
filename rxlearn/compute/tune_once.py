"""A tuned circuit that moves with the station, beside a filter that stays where it is.

Limits of the model: the straight set's circuits are isolated, identical and
exactly in tune, and their loaded Q is taken as the same at every frequency
(in truth it falls towards the top); the superhet's transformers are those of a
:class:`~rxlearn.compute.simple_set.SimpleSet`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rxlearn.compute import preselector
from rxlearn.compute.quantities import Range
from rxlearn.compute.simple_set import (
    SimpleSet, intermediate_bandwidth, intermediate_response_db, straight_set_bandwidth,
)

STATION = Range("The station's frequency", "Hz", 0.5e6, 30e6)
WIDEST_OFFSET = 40e3
"""How far to either side the responses are computed, Hz."""

OFFSETS = np.linspace(-WIDEST_OFFSET, WIDEST_OFFSET, 401)
"""Distances from the station at which both responses are given, Hz."""

DOWN_DB = 6.0
"""Depth at which both bandwidths are read, dB."""


@dataclass(frozen=True, eq=False)
class Selectivity:
    """Both receivers on one station: inputs, responses (dB) over ``offsets`` (Hz), widths (Hz).

    ``straight_width`` and ``superhet_width`` are read :data:`DOWN_DB` down;
    ``straight_neighbour_db`` and ``superhet_neighbour_db`` say how far a
    station ``neighbour_offset`` (Hz) away is held down, positive.
    """

    station: float
    loaded_q: float
    circuits: int
    neighbour_offset: float
    simple_set: SimpleSet
    offsets: np.ndarray
    straight_db: np.ndarray
    superhet_db: np.ndarray
    straight_width: float
    superhet_width: float
    straight_neighbour_db: float
    superhet_neighbour_db: float


def compare_selectivity(
    station: float,
    loaded_q: float,
    circuits: int,
    *,
    neighbour_offset: float = 10e3,
    simple_set: SimpleSet = SimpleSet(),
) -> Selectivity:
    """Set ``circuits`` circuits of ``loaded_q`` on ``station`` (Hz) beside a fixed filter.

    ``station`` 0.5 to 30 MHz, ``neighbour_offset`` (Hz) 50 Hz to 40 kHz.  Raises ``Unclear`` for values out of range.
    Source: the single tuned circuit and the coupled pair, as in ``preselector``.
    """
    station = STATION.check(station)
    neighbour = Range("The neighbour's distance", "Hz", 50.0, WIDEST_OFFSET).check(neighbour_offset)
    fixed = simple_set.intermediate_frequency
    straight = preselector.response_db(station + OFFSETS, station, loaded_q, circuits)
    superhet = intermediate_response_db(simple_set, fixed + OFFSETS)
    return Selectivity(
        station, float(loaded_q), int(circuits), neighbour, simple_set, OFFSETS, straight, superhet,
        straight_set_bandwidth(station, loaded_q, circuits, down_db=DOWN_DB),
        intermediate_bandwidth(simple_set, down_db=DOWN_DB),
        0.0 - preselector.response_db(station + neighbour, station, loaded_q, circuits),
        0.0 - float(intermediate_response_db(simple_set, fixed + neighbour)),
    )

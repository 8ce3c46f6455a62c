"""A ladder filter as built: crystals that differ, and ends that are not what they should be.

Every other crystal lies half the spread high, the rest half of it low: the order in which a
careless hand might solder them.  Levels are those of the exact circuit of
:mod:`~rxlearn.compute.crystal_ladder`, whose limits hold here too.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rxlearn.compute.crystal import Crystal
from rxlearn.compute.crystal_ladder import LadderDesign, design_ladder
from rxlearn.compute.ladder_measures import LadderMeasures, measure_ladder
from rxlearn.compute.ladder_prototype import CHEBYSHEV
from rxlearn.compute.quantities import Range

SPREAD = Range("How far the crystals differ", "Hz", 0.0, 20e3)
TERMINATION = Range("The ends, of what they should be", "%", 5.0, 2000.0)

POINTS = 401


@dataclass(frozen=True, eq=False)
class LadderSetting:
    """A ladder with its ``spread`` (Hz) and ends of ``termination`` (percent of the right ones).

    ``levels_db`` and ``right_db`` (dB, 0 is nothing lost) over ``frequencies`` (Hz) are the filter
    as built and as designed; ``measures`` belong to the first, ``designed`` to the second.
    """

    design: LadderDesign
    spread: float
    termination: float
    frequencies: np.ndarray
    levels_db: np.ndarray
    right_db: np.ndarray
    measures: LadderMeasures
    designed: LadderMeasures


def set_ladder(
    crystal: Crystal, crystals: int, width: float, low: float, high: float, *,
    kind: str = CHEBYSHEV, spread: float = 0.0, termination: float = 100.0,
) -> LadderSetting:
    """Design a ladder of so many ``crystals`` for a ``width`` (Hz), build it with faults, sweep it.

    ``kind`` is that of the prototype, ``spread`` (Hz) is how far crystals differ, ``termination`` what the ends see in percent of
    what they should; the sweep goes from ``low`` to ``high`` (Hz).  Raises :class:`Unclear` for
    what no ladder can be.
    """
    design = design_ladder(crystal, crystals, width, kind=kind)
    half = SPREAD.check(spread) / 2
    moves = np.array([half if place % 2 else -half for place in range(crystals)])
    ends = design.termination * TERMINATION.check(termination) / 100
    built = design.ladder.moved((moves - moves.mean()).tolist()).terminated(ends, ends)
    frequencies = np.linspace(low, high, POINTS)
    designed = measure_ladder(design.ladder)
    same = not spread and termination == 100
    return LadderSetting(
        design, spread, termination, frequencies, -built.loss_db(frequencies),
        -design.ladder.loss_db(frequencies), designed if same else measure_ladder(built), designed)

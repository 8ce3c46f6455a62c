"""The beat oscillator's tank: a coil with an adjusting core, a divider, and a trimmer for the pitch.

The trimmer alone would sweep a hundred kilohertz and nobody could set it: a small capacitor in
series leaves it a few kilohertz either way, over its whole turn.  The core makes up for what the
coil is off; the trimmer never can.

f = 1/(2π√(LC)); capacitors in series and in parallel (DERIVED).  Limit: valve and strays, some
picofarads, are the core's to make up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rxlearn.compute.beat import OFFSET
from rxlearn.compute.preferred_values import nearest_preferred
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tank import resonant_frequency
from rxlearn.compute.tuning import INTERMEDIATE_FREQUENCY

LEAST, MOST = 10e-12, 50e-12
"""Ends of the pitch trimmer, F (a choice, no source)."""

DIVIDERS = (1e-9, 470e-12, 220e-12, 100e-12)
"""Each of the divider's two capacitors, F: the larger, the less the valve's warmth matters."""

EITHER_WAY = 5e3
"""How far the trimmer should reach to either side, Hz (a choice: voices, and a filter that is off)."""

SPARE = 1.5
"""So many times the beat oscillator's offset it should reach at least (a choice)."""

SMALLEST = 1e-12
"""Smallest capacitor in series that one can buy, F."""


@dataclass(frozen=True, kw_only=True)
class BeatTank:
    """``coil`` (H) with two ``divider`` capacitors and a trimmer with ``series`` before it, F.

    ``series`` None is a wire.  The trimmer sets ``low`` to ``high`` (Hz), ``middle`` half-way.
    """

    middle: float
    coil: float
    divider: float
    series: float | None
    low: float
    high: float


def beat_tank(middle: float, offset: float) -> BeatTank:
    """The tank round ``middle`` (Hz) whose trimmer reaches ``offset`` (Hz) and more either way.

    Raises :class:`Unclear` where no such trimmer reaches so far.
    """
    middle = INTERMEDIATE_FREQUENCY.check(middle)
    wanted = 2 * max(EITHER_WAY, SPARE * OFFSET.check(offset)) / middle
    needed = 2 * SPARE * offset / middle
    for divider in DIVIDERS:
        series = _series(divider, wanted)
        ends = [divider / 2 + _behind(series, trimmer) for trimmer in (MOST, LEAST)]
        if divider == DIVIDERS[-1] or _span(*ends) >= wanted:
            break
    if _span(*ends) < needed:
        raise Unclear("No trimmer takes the beat oscillator so far from so low an intermediate "
                      "frequency: choose a smaller offset.")
    root = (sum(end**-0.5 for end in ends) / 2) ** 2
    coil = root / (2 * math.pi * middle) ** 2
    low, high = (resonant_frequency(coil, end) for end in ends)
    return BeatTank(middle=middle, coil=coil, divider=divider, series=series, low=low, high=high)


def _behind(series: float | None, trimmer: float) -> float:
    """The trimmer's capacitance (F) as the tank sees it."""
    return trimmer if series is None else series * trimmer / (series + trimmer)


def _span(most: float, least: float) -> float:
    """How far apart the ends lie, over their middle."""
    return 2 * (most**0.5 - least**0.5) / (most**0.5 + least**0.5)


def _series(divider: float, wanted: float) -> float | None:
    """The smallest preferred capacitor (F) that leaves the ``wanted`` span, a ratio; None: a wire."""
    series = SMALLEST
    while series <= 20 * MOST:
        if _span(divider / 2 + _behind(series, MOST), divider / 2 + _behind(series, LEAST)) >= wanted:
            return series
        series = nearest_preferred(1.2 * series, "E12")
    return None

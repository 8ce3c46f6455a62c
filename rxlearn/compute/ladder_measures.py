"""What one reads off a ladder filter's response: widths, shape, ripple, the other sideband.  Hz, dB.

All of it comes from the exact response of :mod:`rxlearn.compute.crystal_ladder`.  Widths are taken
between the outermost places on the two slopes of the pass band, levels below the top of the
response; shape factor is the width 60 dB down over that 6 dB down (common practice).  Limits:
those of the response, so no spurious modes and nothing that leaks around the filter; where a
slope turns before it is down far enough the place is not a number.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.beat import ABOVE, BELOW, TONE
from rxlearn.compute.crystal_ladder import CrystalLadder
from rxlearn.compute.ladder_prototype import HALF_POWER_DB
from rxlearn.compute.quantities import Range, Unclear

DOWN = Range("How far down", "dB", 0.5, 150.0)
_REACH = 300.0  # widths to either side within which a slope is looked for
_POINTS = 500
_INSIDE, _SLOPE = 10.0, 20.0  # dB below the top: still a dip, no longer one


@dataclass(frozen=True)
class LadderMeasures:
    """A response in numbers.  Frequencies and widths in Hz, losses in dB.

    ``top`` is where least is lost, ``insertion_loss_db`` how much; ``low`` and ``high`` hold the
    places 3, 6 and 60 dB below it (not a number where there is none); ``ripple_db`` is the
    deepest dip between the outermost humps; ``ultimate_db`` is what is held down least ten
    widths off either side.
    """

    ladder: CrystalLadder
    top: float
    insertion_loss_db: float
    low: tuple[float, float, float]
    high: tuple[float, float, float]
    ripple_db: float
    ultimate_db: float

    @property
    def width(self) -> float:
        """Between the 3 dB points, Hz."""
        return self.high[0] - self.low[0]

    @property
    def width_6(self) -> float:
        """Between the 6 dB points, Hz."""
        return self.high[1] - self.low[1]

    @property
    def width_60(self) -> float:
        """Between the 60 dB points, Hz; not a number where a slope ends before."""
        return self.high[2] - self.low[2]

    @property
    def shape_factor(self) -> float:
        """Width 60 dB down over width 6 dB down, a ratio; not a number without the first."""
        return self.width_60 / self.width_6

    @property
    def centre(self) -> float:
        """Half-way between the 6 dB points, Hz."""
        return (self.low[1] + self.high[1]) / 2

    def down_db(self, frequencies: float | np.ndarray) -> np.ndarray:
        """How far (dB) ``frequencies`` (Hz) lie below the top."""
        return self.ladder.loss_db(frequencies) - self.insertion_loss_db

    def edge(self, down_db: float, side: str) -> float:
        """The place (Hz) on the slope above or below the pass band that is ``down_db`` (dB) down."""
        if side not in (ABOVE, BELOW):
            raise Unclear("A slope lies above or below the pass band: give one of the two.")
        return _edge(self.ladder, self.top, self.insertion_loss_db + DOWN.check(down_db),
                     self.width, 1 if side == ABOVE else -1)


def measure_ladder(ladder: CrystalLadder) -> LadderMeasures:
    """Everything that is read off the response of ``ladder``; see :class:`LadderMeasures`."""
    low = min(crystal.frequency for crystal in ladder.crystals)
    room = max(crystal.parallel_resonance for crystal in ladder.crystals) - low
    around = np.linspace(low - room, low + 1.02 * room, 2001)
    # Twice: once over all the room to find the pass band, once over that alone.
    for _ in range(2):
        loss = ladder.loss_db(around)
        place = int(np.argmin(loss))
        top, least = float(around[place]), float(loss[place])
        step = around[1] - around[0]
        edges = [_edge(ladder, top, least + HALF_POWER_DB, 20 * step, sign) for sign in (-1, 1)]
        around = np.linspace(*edges, 501)
    width = edges[1] - edges[0]
    found = [[_edge(ladder, top, least + down, width, sign) for down in (HALF_POWER_DB, 6.0, 60.0)]
             for sign in (-1, 1)]
    far = ladder.loss_db(np.array([edges[0] - 10 * width, edges[1] + 10 * width]))
    return LadderMeasures(ladder, top, least, tuple(found[0]), tuple(found[1]), _ripple(loss),
                          float(far.min()) - least)


def opposite_sideband_db(ladder: CrystalLadder, beat: float, tones: float | np.ndarray,
                         side: str) -> np.ndarray:
    """By how much (dB) the unwanted sideband's ``tones`` (Hz) are weaker than the wanted one's.

    The ``beat`` oscillator (Hz) stands on ``side`` of the pass band, above or below; a tone is
    heard from either side of it, and the pass band is where the wanted one lies.
    """
    if side not in (ABOVE, BELOW):
        raise Unclear("The beat oscillator stands above or below the filter: give one of the two.")
    tones = np.atleast_1d(np.asarray(TONE.check_each(tones), float))
    sign = 1 if side == ABOVE else -1
    return ladder.loss_db(beat + sign * tones) - ladder.loss_db(beat - sign * tones)


@dataclass(frozen=True, eq=False)
class LadderSweep:
    """A response drawn point by point: ``loss_db`` (dB) at ``frequencies`` (Hz)."""

    ladder: CrystalLadder
    frequencies: np.ndarray
    loss_db: np.ndarray


def sweep_ladder(ladder: CrystalLadder, centre: float, span: float, *,
                 points: int = 401) -> LadderSweep:
    """Sweep ``ladder`` over ``span`` (Hz) about ``centre`` (Hz) in ``points`` steps."""
    frequencies = np.linspace(centre - span / 2, centre + span / 2, points)
    return LadderSweep(ladder, frequencies, ladder.loss_db(frequencies))


def worst_loss_db(ladder: CrystalLadder, spread: float | np.ndarray) -> float | np.ndarray:
    """Most that is lost (dB) inside the pass band with crystals up to ``spread`` (Hz) off.

    Every combination of up and down is tried; what all crystals have in common is left out, as
    it only moves the filter.  Inside is the middle four fifths of the 3 dB width, and the loss
    counts from the top of the response with crystals alike.  An array keeps its shape.
    """
    return _worst(measure_ladder(ladder), spread)


def matching_needed(ladder: CrystalLadder, extra_db: float = 1.0) -> float:
    """How far (Hz, up or down) crystals may be off for ``extra_db`` (dB) more loss inside.

    The worst of all combinations counts; see :func:`worst_loss_db` for inside.  To about a
    percent; a whole width at most.
    """
    measures = measure_ladder(ladder)
    allowed = _worst(measures, 0.0) + DOWN.check(extra_db)
    low, high = 0.0, measures.width
    if _worst(measures, high) < allowed:
        return high
    while high - low > 0.01 * high:
        middle = (low + high) / 2
        low, high = (middle, high) if _worst(measures, middle) < allowed else (low, middle)
    return low


def _worst(measures: LadderMeasures, spread: float | np.ndarray) -> float | np.ndarray:
    margin = measures.width / 10
    inside = np.linspace(measures.low[0] + margin, measures.high[0] - margin, 41)
    signs = _corners(len(measures.ladder.crystals))
    moves = np.asarray(spread, float)[..., None, None] * signs
    loss = measures.ladder.loss_db(inside, moves).max(axis=(-2, -1))
    return loss - measures.insertion_loss_db


def _corners(count: int) -> np.ndarray:
    """Every combination of up and down, shape (2^count, count), each without its average."""
    signs = 2.0 * (np.arange(2**count)[:, None] >> np.arange(count) & 1) - 1.0
    return signs - signs.mean(axis=1, keepdims=True)


def _edge(ladder: CrystalLadder, top: float, limit: float, width: float, sign: int) -> float:
    """Going out from the top, the place (Hz) where the loss passes ``limit`` for good.

    Up to :data:`_INSIDE` below the top dips inside the pass band are stepped over, as far as the
    slope behind them goes on down.
    """
    away = width * np.geomspace(1e-3, _REACH, _POINTS)
    # A notch at a parallel resonance may be narrower than the grid.
    poles = [sign * (crystal.parallel_resonance - top) for crystal in ladder.crystals]
    away = np.sort(np.concatenate([[0.0], away, [pole for pole in poles if pole > 0]]))
    if sign < 0:
        away = away[away < 0.99 * top]
    loss = ladder.loss_db(top + sign * away)
    over = np.nonzero(loss > limit)[0]
    if not over.size:
        return math.nan
    place = int(over[0])
    slope = np.nonzero(loss > loss[0] + _SLOPE)[0]
    if limit < loss[0] + _INSIDE and slope.size and slope[0] > place:
        place = int(np.nonzero(loss[:slope[0]] <= limit)[0][-1]) + 1
    inner, outer = away[max(0, place - 1)], away[place]
    for _ in range(5):
        grid = np.linspace(inner, outer, 21)
        first = int(np.argmax(ladder.loss_db(top + sign * grid) > limit))
        inner, outer = grid[max(0, first - 1)], grid[first]
    return float(top + sign * (inner + outer) / 2)


def _ripple(loss: np.ndarray) -> float:
    """The deepest dip (dB) between the outermost humps of a pass band's losses."""
    inner = (loss[1:-1] < loss[:-2]) & (loss[1:-1] <= loss[2:])
    humps = np.nonzero(inner)[0] + 1
    if humps.size < 2:
        return 0.0
    between = loss[humps[0]:humps[-1] + 1]
    return float(between.max() - loss.min())

"""Spurious responses as lines over the dial, for a chart that names each.  Hz.

Model and limits: those of :mod:`~rxlearn.compute.spurs`.  Each line is straight, since
f = (σ·IF − m·O)/n; its level bends with the preselector's curve.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rxlearn.compute.band_spread import Network
from rxlearn.compute.mixer_levels import Mixer
from rxlearn.compute.preselector import LOADED_Q, SHARE, check_circuits
from rxlearn.compute.quantities import Range
from rxlearn.compute.spurs import WANTED, front_end_levels, kind_of, products_up_to
from rxlearn.compute.tuning import BandPlan, oscillator_frequency
from rxlearn.compute.whistles import (
    SIGNAL_IN_TERMS,
    Whistle,
    check_order,
    check_oscillator,
    product_name,
    whistles,
)

POINTS = 41
"""Dial settings at which a chart's levels are worked out."""

HIGHEST_SHOWN = Range("Highest frequency shown", "Hz", 1e6, 1e9)


@dataclass(frozen=True, eq=False)
class Line:
    """One product over the dial: its signal ``frequencies`` (Hz) and ``levels_db``.

    Both follow the chart's ``tuned``; not-a-number where the product would need a
    negative frequency.  ``slope`` is Hz of this signal for each Hz tuned.
    """

    oscillator_order: int
    signal_order: int
    sign: int
    kind: str
    slope: float
    frequencies: np.ndarray
    levels_db: np.ndarray

    @property
    def name(self) -> str:
        """The product in words."""
        return product_name(self.oscillator_order, self.signal_order, self.sign)


@dataclass(frozen=True, eq=False)
class SpurChart:
    """All products over a band: ``tuned`` (Hz, shape (P,)), the lines, and the whistles.

    ``lines`` hold no wanted signal (that is the diagonal) and none that stays above
    ``highest_frequency`` (Hz) or below zero.  ``whistles`` are in order of the dial.
    """

    plan: BandPlan
    order: int
    mixer: Mixer
    loaded_q: float
    circuits: int
    highest_frequency: float
    tuned: np.ndarray
    lines: tuple[Line, ...]
    whistles: tuple[Whistle, ...]

    def worst(self, *, in_band: bool = False) -> Line | None:
        """The line with the highest level on the dial, or None without lines.

        ``in_band`` looks only at lines whose signal lies inside the tuned band somewhere.
        """
        low, high = self.plan.band_low, self.plan.band_high
        lines = [
            line for line in self.lines
            if not in_band or np.any((line.frequencies >= low) & (line.frequencies <= high))
        ]
        return max(lines, key=lambda line: np.nanmax(line.levels_db), default=None)


def chart_spurs(
    plan: BandPlan, *, order: int = 5, mixer: Mixer | None = None, loaded_q: float = 50.0,
    circuits: int = 1, highest_frequency: float = 60e6, points: int = POINTS,
) -> SpurChart:
    """Chart every product up to ``order`` over ``plan``'s band, and find its whistles.

    Raises :class:`Unclear` for values out of range and a plan without an oscillator.
    """
    check_oscillator(plan)
    order, mixer = check_order(order), mixer or Mixer()
    loaded_q, circuits = LOADED_Q.check(loaded_q), check_circuits(circuits)
    highest = HIGHEST_SHOWN.check(highest_frequency)
    intermediate = plan.intermediate_frequency
    tuned = np.linspace(plan.band_low, plan.band_high, points)
    oscillator = oscillator_frequency(tuned, intermediate, plan.injection)
    products = products_up_to(order, order, order)
    places = products.frequencies(oscillator, intermediate)
    _, levels = front_end_levels(products, places, tuned, (mixer, loaded_q, circuits))
    levels = np.where(places > 0, levels, np.nan)
    places = np.where(places > 0, places, np.nan)
    seen = np.flatnonzero(np.any(places <= highest, axis=1))
    a, _ = SIGNAL_IN_TERMS[plan.injection]
    lines = []
    for row in seen:
        orders = int(products.m[row]), int(products.n[row]), int(products.sign[row])
        kind = kind_of(*orders, plan.injection)
        if kind != WANTED:
            slope = -orders[0] * a / orders[1]
            lines.append(Line(*orders, kind, slope, places[row], levels[row]))
    return SpurChart(plan, order, mixer, loaded_q, circuits, highest, tuned, tuple(lines),
                     whistles(plan, order=order, mixer=mixer))




@dataclass(frozen=True, eq=False)
class DialPlace:
    """A chart with the dial set: tuned to ``signal`` (Hz) with the ``oscillator`` (Hz).

    ``network`` is the tuned circuit behind the dial, or None where there is none to speak of.
    """

    chart: SpurChart
    signal: float
    oscillator: float
    network: Network | None

    @property
    def share(self) -> float:
        """The place in the band, from 0 at its low edge to 1."""
        return float(self.share_of(self.signal))

    def share_of(self, signal: float) -> float:
        """The place in the band of another ``signal`` (Hz)."""
        plan = self.chart.plan
        return (signal - plan.band_low) / (plan.band_high - plan.band_low)

    def received(self, line: Line) -> float:
        """What ``line`` receives here, Hz; below zero where it receives nothing."""
        top = line.sign * self.chart.plan.intermediate_frequency
        return (top - line.oscillator_order * self.oscillator) / line.signal_order

    def level_db(self, line: Line) -> float:
        """The level (dB) of ``line`` here, between two settings of the chart."""
        return float(np.interp(self.signal, self.chart.tuned, line.levels_db))

    def nearest(self, reach: float) -> tuple[Line, ...]:
        """The lines that come within ``reach`` (Hz) of the tuned signal here, nearest first."""
        found = [(abs(self.received(line) - self.signal), place, line)
                 for place, line in enumerate(self.chart.lines) if self.received(line) > 0]
        return tuple(line for off, _, line in sorted(found) if off <= reach)


def tune_chart(
    plan: BandPlan, share: float, *, network: Network | None = None, **options
) -> DialPlace:
    """Chart ``plan``'s spurious responses and tune to ``share`` of its band (0 to 1).

    ``network`` (the oscillator's tuned circuit) gives the dial in degrees; ``options`` are
    those of :func:`chart_spurs`, which says when it raises :class:`Unclear`.
    """
    chart = chart_spurs(plan, **options)
    signal = plan.band_low + SHARE.check(share) * (plan.band_high - plan.band_low)
    oscillator = oscillator_frequency(signal, plan.intermediate_frequency, plan.injection)
    return DialPlace(chart, signal, oscillator, network)

"""The marks on a dial: round frequencies and where they stand.

Frequencies in Hz, angles in degrees of the shaft.  ``to_signal`` is what to
add to the oscillator's frequency to get the signal's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.band_spread import Coverage, Network, cover
from rxlearn.compute.tuning import HIGH

MOST_LABELS = 10
"""How many numbers a half-round dial takes before they touch."""

STEPS = (1.0, 2.0, 5.0)


@dataclass(frozen=True, eq=False)
class DialScale:
    """A dial's ``coverage`` with its marks in signal frequency.

    ``major`` and ``minor`` (Hz of the signal) stand at ``major_angles`` and
    ``minor_angles``; the majors carry numbers.  ``wanted_low``..``wanted_high``
    (Hz of the signal) is the band that the dial should show, and ``wanted_angles``
    its ends on the dial, cut off where it leaves it (equal: not on it at all).
    """

    coverage: Coverage
    to_signal: float
    major: np.ndarray
    major_angles: np.ndarray
    minor: np.ndarray
    minor_angles: np.ndarray
    wanted_low: float
    wanted_high: float
    wanted_angles: tuple[float, float]

    @property
    def low(self) -> float:
        """The dial's low end in signal frequency, Hz."""
        return self.coverage.low + self.to_signal

    @property
    def high(self) -> float:
        """The dial's high end in signal frequency, Hz."""
        return self.coverage.high + self.to_signal

    @property
    def short_low(self) -> float:
        """How far (Hz) the dial stops short of the band's low end; negative: room to spare."""
        return self.low - self.wanted_low

    @property
    def short_high(self) -> float:
        """How far (Hz) the dial stops short of the band's high end; negative: room to spare."""
        return self.wanted_high - self.high

    @property
    def covers(self) -> bool:
        """Whether the whole band is on the dial, to within a hertz."""
        return self.short_low <= 1.0 and self.short_high <= 1.0

    @property
    def share(self) -> float:
        """The share of the turn that the band takes."""
        first, last = self.wanted_angles
        return (last - first) / self.coverage.network.variable.degrees


def signal_offset(intermediate_frequency: float, injection: str) -> float:
    """Signal less oscillator, Hz: minus the intermediate frequency on the high side, else plus."""
    return -intermediate_frequency if injection == HIGH else intermediate_frequency


def draw_scale(
    network: Network, to_signal: float, wanted_low: float, wanted_high: float
) -> DialScale:
    """The marks of ``network``'s dial, and the band ``wanted_low``..``wanted_high`` (Hz) on it."""
    coverage = cover(network)
    low, high = coverage.low + to_signal, coverage.high + to_signal
    step, parts = _step(coverage.span)
    major, minor = _multiples(low, high, step), _multiples(low, high, step / parts)
    first, last = (min(max(edge, low), high) for edge in (wanted_low, wanted_high))
    # A band that is not on the dial at all comes out as one end twice.
    edges = np.clip(np.array([first, last]) - to_signal, coverage.low, coverage.high)
    places = network.angles_for(edges)
    return DialScale(
        coverage, to_signal, major, network.angles_for(major - to_signal), minor,
        network.angles_for(minor - to_signal), wanted_low, wanted_high,
        (float(places[0]), float(places[1])),
    )


def _step(span: float) -> tuple[float, int]:
    """A round step with few enough numbers, and into how many parts to divide it."""
    # Half a step more, so that an end that misses a mark by a hair does not double the step.
    least = span / (MOST_LABELS + 0.5)
    power = 10.0 ** math.floor(math.log10(least))
    for step in (*STEPS, 10.0):
        if step * power >= least:
            return step * power, 4 if step == 2.0 else 5
    raise AssertionError("a power of ten is always large enough")


def _multiples(low: float, high: float, step: float) -> np.ndarray:
    """Whole multiples of ``step`` from ``low`` to ``high``, a hair beyond the ends included."""
    first, last = math.ceil(low / step - 1e-6), math.floor(high / step + 1e-6)
    return np.clip(np.arange(first, last + 1) * step, low, high)

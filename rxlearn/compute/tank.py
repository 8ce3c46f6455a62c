"""Tuned circuits: one coil, one capacitor, and what to put across them.  SI throughout.

Model: an ideal parallel circuit, f = 1/(2π√(LC)).  Losses, the coil's own
capacitance and whatever the valve adds are part of the total capacitance or
left out.  With the coil's loss in series the real resonance lies lower by about
1/(2Q²) (62 ppm at a Q of 90), far less than a coil can be measured.

Source of the formula: T. R. Kuphaldt, *Lessons in Electric Circuits*, vol. II,
chapter 6 "Resonance"; the rest follows from it by algebra.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.quantities import Range, Unclear, show

FREQUENCY = Range("Frequency", "Hz", 1.0, 10e9)
INDUCTANCE = Range("Inductance", "H", 0.1e-9, 100.0)
CAPACITANCE = Range("Capacitance", "F", 1e-15, 1.0)
CAPACITANCE_SWING = Range("Capacitance swing", "F", 1e-15, 1.0)
FREQUENCY_RATIO = Range("Frequency ratio", "", 1.0001, 100.0)


def resonant_frequency(
    inductance: float | np.ndarray, capacitance: float | np.ndarray
) -> float | np.ndarray:
    """Frequency (Hz) at which ``inductance`` (H) and ``capacitance`` (F) resonate.

    f = 1/(2π√(LC)).  Floats or arrays that broadcast.  Raises
    :class:`Unclear` outside 0.1 nH to 100 H or 1 fF to 1 F.
    """
    inductance = INDUCTANCE.check_each(inductance)
    capacitance = CAPACITANCE.check_each(capacitance)
    return 1.0 / (2 * np.pi * np.sqrt(inductance * capacitance))


def capacitance_for(
    frequency: float | np.ndarray, inductance: float | np.ndarray
) -> float | np.ndarray:
    """Total capacitance (F) that tunes ``inductance`` (H) to ``frequency`` (Hz).

    C = 1/((2πf)²L).  Floats or arrays that broadcast; raises :class:`Unclear`
    for a frequency outside 1 Hz to 10 GHz or an inductance outside its range.
    """
    frequency = FREQUENCY.check_each(frequency)
    inductance = INDUCTANCE.check_each(inductance)
    return 1.0 / ((2 * np.pi * frequency) ** 2 * inductance)


def inductance_for(
    frequency: float | np.ndarray, capacitance: float | np.ndarray
) -> float | np.ndarray:
    """Inductance (H) that resonates with ``capacitance`` (F) at ``frequency`` (Hz).

    L = 1/((2πf)²C).  Floats or arrays that broadcast; raises :class:`Unclear`
    for a frequency outside 1 Hz to 10 GHz or a capacitance outside its range.
    """
    frequency = FREQUENCY.check_each(frequency)
    capacitance = CAPACITANCE.check_each(capacitance)
    return 1.0 / ((2 * np.pi * frequency) ** 2 * capacitance)


def capacitance_ratio(low: float, high: float) -> float:
    """Largest over smallest total capacitance to tune ``low``..``high`` (Hz): (high/low)².

    One coil throughout.  Raises :class:`Unclear` if the edges are no
    frequencies or stand the wrong way round.
    """
    low, high = _edges(low, high)
    return (high / low) ** 2


def _edges(low: float, high: float) -> tuple[float, float]:
    """Check two range edges in Hz and their order."""
    low, high = FREQUENCY.check(low), FREQUENCY.check(high)
    if not low < high:
        raise Unclear(
            f"Frequency range from {show(low, 'Hz')} to {show(high, 'Hz')} has no width or stands "
            "the wrong way round; give the lower edge first."
        )
    return low, high


@dataclass(frozen=True)
class TankRange:
    """The one coil whose capacitor swing covers a range exactly.

    ``low``, ``high`` in Hz and ``capacitance_swing`` in F were given;
    ``inductance`` in H, the total capacitances in F at either end follow.
    """

    low: float
    high: float
    capacitance_swing: float
    inductance: float
    capacitance_at_low: float
    capacitance_at_high: float


def tank_for_range(low: float, high: float, capacitance_swing: float) -> TankRange:
    """Coil and total capacitance with which a swing (F) covers ``low``..``high`` (Hz) exactly.

    L = (1/ω_low² − 1/ω_high²)/swing; the capacitances follow.  DERIVED from
    the resonance formula.  Raises :class:`Unclear` for bad edges or a swing
    that would need a coil outside 0.1 nH to 100 H.
    """
    low, high = _edges(low, high)
    swing = CAPACITANCE_SWING.check(capacitance_swing)
    ratio = (high / low) ** 2
    at_high = swing / (ratio - 1)
    inductance = 1.0 / ((2 * math.pi * high) ** 2 * at_high)
    if not INDUCTANCE.low <= inductance <= INDUCTANCE.high:
        raise Unclear(
            f"Capacitance swing of {show(swing, 'F')} over {show(low, 'Hz')} to {show(high, 'Hz')} "
            f"would need a coil of {show(inductance, 'H')}; choose another swing."
        )
    return TankRange(low, high, swing, inductance, at_high + swing, at_high)


def shift_capacitance(
    frequency_from: float | np.ndarray,
    frequency_to: float | np.ndarray,
    inductance: float | np.ndarray,
) -> float | np.ndarray:
    """Capacitance (F) to switch across a tank to pull it between two frequencies (Hz).

    Positive: add it, the tank goes down.  Negative: that much would have to be
    taken away, so switch it in on the other band instead.  Floats or arrays
    that broadcast; ``inductance`` in H.  Raises :class:`Unclear` as
    :func:`capacitance_for` does.
    """
    return capacitance_for(frequency_to, inductance) - capacitance_for(frequency_from, inductance)


def fixed_capacitance_for_ratio(
    capacitance_minimum: float, capacitance_maximum: float, frequency_ratio: float
) -> float:
    """Fixed capacitance (F: trimmer plus strays) across a variable for an exact frequency ratio.

    With r the ratio of the highest to the lowest frequency,
    (C_max + x)/(C_min + x) = r², so x = (C_max − r²·C_min)/(r² − 1).  Raises
    :class:`Unclear` if the variable cannot reach that ratio even with nothing
    added, and if its two ends stand the wrong way round.
    """
    smallest = CAPACITANCE.check(capacitance_minimum)
    largest = CAPACITANCE.check(capacitance_maximum)
    ratio = FREQUENCY_RATIO.check(frequency_ratio)
    if not smallest < largest:
        raise Unclear(
            f"Capacitance from {show(smallest, 'F')} to {show(largest, 'F')} has no swing or "
            "stands the wrong way round; give the smallest first."
        )
    reach = math.sqrt(largest / smallest)
    fixed = (largest - ratio**2 * smallest) / (ratio**2 - 1)
    if fixed < -1e-12 * largest:
        raise Unclear(
            f"Frequency ratio of {ratio:.4g} is beyond this variable capacitor, which reaches "
            f"{reach:.4g} with nothing across it; take one with a larger swing or a shorter range."
        )
    return max(fixed, 0.0)


@dataclass(frozen=True, eq=False)
class Resonance:
    """A coil (``inductance``, H) with a capacitor set to ``capacitance`` (F).

    ``frequency`` (Hz) is where they resonate; ``capacitances`` (F) and
    ``frequencies`` (Hz), arrays of one length, are the whole range of the
    capacitor.  ``frequency_at_half`` is with half the capacitance.
    """

    inductance: float
    capacitance: float
    frequency: float
    frequency_at_half: float
    capacitances: np.ndarray
    frequencies: np.ndarray


def resonance(
    inductance: float, capacitance: float, *, least: float = 10e-12, most: float = 500e-12,
    points: int = 200,
) -> Resonance:
    """Resonance of a coil (H) and a capacitor (F), and over the capacitor's range.

    The range goes from ``least`` to ``most`` (F) in ``points`` values.

    Raises :class:`Unclear` as :func:`resonant_frequency` does.
    """
    capacitances = np.linspace(least, most, points)
    return Resonance(
        float(inductance), float(capacitance),
        resonant_frequency(inductance, capacitance),
        resonant_frequency(inductance, capacitance / 2),
        capacitances, resonant_frequency(inductance, capacitances),
    )

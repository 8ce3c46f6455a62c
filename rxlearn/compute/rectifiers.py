"""Rectifier elements as laws of current against voltage: silicon and vacuum valves.  SI units.

Silicon: nothing flows below ``drop``; above it the current rises through
``resistance``.  A real junction is an exponential whose drop changes by about
0.1 V for each tenfold current: at the hundreds of volts of a valve receiver
that is less than 0.1 %.  No reverse recovery and no capacitance.

Valve: Child's law, I = K·V^1.5, with the perveance K from one published drop
(C. D. Child, Phys. Rev. 32 (1911) 492; I. Langmuir, Phys. Rev. 2 (1913) 450).
It holds while emission is ample: not above the published peak current, and
not below about a volt, where electrons cross on their own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from rxlearn.compute.quantities import Range, Unclear
from rxlearn.data.rectifier_valves import RECTIFIER_VALVES, RectifierValve

DROP = Range("The rectifier's drop", "V", 0.0, 100.0)
RECTIFIER_RESISTANCE = Range("The rectifier's own resistance", "Ω", 1e-3, 10e3)
PERVEANCE = Range("The perveance in ampere per volt to the power 1.5", "", 1e-6, 1.0)
INVERSE = Range("The peak inverse rating", "V", 1.0, 1e5)
CURRENT_RATING = Range("The rectifier's current rating", "A", 1e-3, 1000.0)


def _check_optional(limit: Range, value: float | None) -> float | None:
    return None if value is None else limit.check(value)


@dataclass(frozen=True)
class SiliconRectifier:
    """A silicon diode: ``drop`` (V), then ``resistance`` (Ω) in series.

    Ratings (``None``: not known, so not judged): ``peak_inverse_voltage`` (V),
    ``average_current`` and ``surge_current`` (A, one half cycle).  The
    defaults are those of the 1N4007 class: 1000 V, 1 A, 30 A (makers' data
    sheets, from memory).
    """

    drop: float = 0.8
    resistance: float = 0.1
    peak_inverse_voltage: float | None = 1000.0
    average_current: float | None = 1.0
    surge_current: float | None = 30.0

    def __post_init__(self) -> None:
        DROP.check(self.drop)
        RECTIFIER_RESISTANCE.check(self.resistance)
        _check_optional(INVERSE, self.peak_inverse_voltage)
        _check_optional(CURRENT_RATING, self.average_current)
        _check_optional(CURRENT_RATING, self.surge_current)

    @property
    def threshold(self) -> float:
        """Voltage (V) below which nothing flows."""
        return self.drop

    def conduct(self, voltage: np.ndarray, series: float, count: int = 1, share: float = 1.0):
        """Current (A) and its slope (A/V) through ``count`` diodes and ``series`` Ω at ``voltage``.

        Arrays of the shape of ``voltage``.  ``share`` is there for valves that
        warm up and has no meaning for silicon.
        """
        over = voltage - count * self.drop
        on = over > 0
        slope = on / (series + count * self.resistance)
        return over * slope, slope

    def resistance_at(self, current: float, share: float = 1.0) -> float:
        """Voltage above the threshold over ``current`` (A), in Ω."""
        return self.resistance

    def drop_at(self, current: np.ndarray, share: float = 1.0) -> np.ndarray:
        """Voltage (V) across one diode that carries ``current`` (A); zero where none flows."""
        current = np.asarray(current, float)
        return np.where(current > 0, self.drop + self.resistance * current, 0.0)

    def loss(self, currents: np.ndarray) -> float:
        """Sum of the power (W) lost at each of ``currents`` (A, not negative)."""
        return self.drop * float(currents.sum()) + self.resistance * float(
            np.vdot(currents, currents))


@dataclass(frozen=True)
class ValveRectifier:
    """A vacuum rectifier: I = ``perveance``·V^1.5 for each plate (A, V).

    ``published`` holds the maker's figures if the valve has a type; without
    them ratings are not judged.
    """

    perveance: float
    published: RectifierValve | None = None
    threshold: ClassVar[float] = 0.0
    """Voltage (V) below which nothing flows."""

    def __post_init__(self) -> None:
        PERVEANCE.check(self.perveance)

    def conduct(self, voltage: np.ndarray, series: float, count: int = 1, share: float = 1.0):
        """Current (A) and its slope (A/V) through ``count`` plates and ``series`` Ω at ``voltage``.

        With s = (I/K)^⅓ the circuit says K·R·s³ + n·s² = V; two of Newton's
        steps from a start within a hundredth leave an error below 1e-8.  ``share`` (0 to 1)
        scales the perveance of a cathode that is still warming up.
        """
        perveance = self.perveance * share
        if share <= 0:
            return np.zeros_like(voltage), np.zeros_like(voltage)
        forward = np.maximum(voltage, 1e-60)
        cubic = perveance * series
        low = np.sqrt(forward / (count + np.cbrt(cubic * cubic * forward)))
        root = 0.2 * low + 0.8 * np.sqrt(forward / (count + cubic * low))
        for _ in range(2):
            bend = cubic * root
            twice = bend + bend
            root = (forward / root + root * (twice + count)) / (twice + bend + 2 * count)
        root *= voltage > 0
        steep, current = (3 * perveance) * root, perveance * root * root * root
        return current, steep / (series * steep + 2 * count)

    def resistance_at(self, current: float, share: float = 1.0) -> float:
        """Voltage over ``current`` (A, above nothing), in Ω."""
        return (current / (self.perveance * share)) ** (2 / 3) / current

    def drop_at(self, current: np.ndarray, share: float = 1.0) -> np.ndarray:
        """Voltage (V) across one plate that carries ``current`` (A)."""
        current = np.maximum(np.asarray(current, float), 0.0)
        return np.cbrt(current / (self.perveance * share)) ** 2 if share > 0 else 0 * current

    def loss(self, currents: np.ndarray) -> float:
        """Sum of the power (W) lost at each of ``currents`` (A, not negative)."""
        return float(np.vdot(self.drop_at(currents), currents))


Rectifier = SiliconRectifier | ValveRectifier


def valve_rectifier(name: str) -> ValveRectifier:
    """The valve of this type, its perveance from the published drop: K = I/V^1.5.

    Types are the keys of :data:`rxlearn.data.rectifier_valves.RECTIFIER_VALVES`;
    anything else raises :class:`Unclear`.
    """
    published = RECTIFIER_VALVES.get(name)
    if published is None:
        known = ", ".join(RECTIFIER_VALVES)
        raise Unclear(f"Rectifier valve “{name}” is not in the table: choose one of {known}.")
    return ValveRectifier(published.drop_current / published.drop**1.5, published)

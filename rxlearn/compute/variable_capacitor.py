"""A variable capacitor and the law by which its plates are cut.

The angle is counted from fully meshed plates (0°, largest capacitance) to fully
open (``degrees``, smallest).  Capacitances in F, angles in degrees.

Model: the law holds exactly from end to end and for the bare capacitor with
its own minimum.  Real plates bend the ends, and whatever is put across the
capacitor changes every law but the first.  The four laws are definitions: what
changes evenly with the angle is C (straight-line capacitance), C^(-1/2)
(frequency), C^(1/2) (wavelength), or log C (midline).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.tank import INDUCTANCE, resonant_frequency

PLATE_LAWS = {
    "capacitance": "straight-line capacitance",
    "frequency": "straight-line frequency",
    "wavelength": "straight-line wavelength",
    "midline": "midline (logarithmic)",
}
"""Plate law to the trade's words for it."""

MINIMUM = Range("Variable capacitor's minimum", "F", 0.1e-12, 10e-9)
MAXIMUM = Range("Variable capacitor's maximum", "F", 0.1e-12, 10e-9)
DEGREES = Range("Rotation from end to end", "°", 30.0, 360.0)
ADDED = Range("Capacitance put across", "F", 0.0, 100e-9)

Angles = float | np.ndarray

_POWER = {"capacitance": 1.0, "frequency": -0.5, "wavelength": 0.5}


@dataclass(frozen=True)
class VariableCapacitor:
    """A variable capacitor: ``minimum`` and ``maximum`` (F), plate ``law``, ``degrees`` of turn.

    Raises :class:`Unclear` for values out of range, for a maximum that is not
    above the minimum, and for an unknown law.
    """

    minimum: float
    maximum: float
    law: str = "capacitance"
    degrees: float = 180.0

    def __post_init__(self) -> None:
        MINIMUM.check(self.minimum)
        MAXIMUM.check(self.maximum)
        DEGREES.check(self.degrees)
        if not self.minimum < self.maximum:
            raise Unclear(
                f"Variable capacitor from {show(self.minimum, 'F')} to {show(self.maximum, 'F')} "
                "has no swing: make its maximum the larger one."
            )
        if not isinstance(self.law, str) or self.law not in PLATE_LAWS:
            given = " ".join(str(self.law).split())[:20]
            raise Unclear(f"Plate law “{given}” is unknown: choose {', '.join(PLATE_LAWS)}.")

    @property
    def swing(self) -> float:
        """Maximum less minimum, F."""
        return self.maximum - self.minimum

    def capacitance_at(self, angle: Angles) -> Angles:
        """Capacitance (F) at ``angle`` (degrees from fully meshed), float or array."""
        return self.carried_on(self._range.check_each(angle))

    def carried_on(self, angle: Angles) -> Angles:
        """As :meth:`capacitance_at`, the law carried on past its ends: for a pointer that slipped.

        A few degrees only; no angle is refused.
        """
        share = angle / self.degrees
        if self.law == "midline":
            return self.maximum * (self.minimum / self.maximum) ** share
        power = _POWER[self.law]
        meshed, opened = self.maximum**power, self.minimum**power
        # Far enough outside the law runs through zero.
        least = 0.1 * min(meshed, opened)
        return np.maximum(meshed + share * (opened - meshed), least) ** (1 / power)

    def angle_for(self, capacitance: Angles) -> Angles:
        """Angle (degrees from fully meshed) at which it has ``capacitance`` (F), float or array.

        Raises :class:`Unclear` outside minimum to maximum.
        """
        span = Range("Capacitance", "F", self.minimum * (1 - 1e-12), self.maximum * (1 + 1e-12))
        capacitance = np.clip(span.check_each(capacitance), self.minimum, self.maximum)
        if self.law == "midline":
            share = np.log(capacitance / self.maximum) / np.log(self.minimum / self.maximum)
        else:
            power = _POWER[self.law]
            meshed, opened = self.maximum**power, self.minimum**power
            share = (capacitance**power - meshed) / (opened - meshed)
        angle = np.clip(share, 0.0, 1.0) * self.degrees
        return float(angle) if np.ndim(angle) == 0 else angle

    def slope_at(self, angle: Angles) -> Angles:
        """How fast the capacitance changes, F per degree; negative, as it falls on opening.

        DERIVED by differentiating :meth:`capacitance_at`.
        """
        capacitance = self.capacitance_at(angle)
        if self.law == "midline":
            return capacitance * np.log(self.minimum / self.maximum) / self.degrees
        power = _POWER[self.law]
        change = (self.minimum**power - self.maximum**power) / self.degrees
        return capacitance ** (1 - power) * change / power

    @property
    def _range(self) -> Range:
        return Range("Angle", "°", 0.0, self.degrees)


@dataclass(frozen=True, eq=False)
class Turned:
    """A variable capacitor turned to ``angle`` with ``added`` (F) and ``inductance`` (H) across it.

    ``angles`` (degrees), ``capacitances`` (F, the variable alone, by law) and
    ``shares`` (frequency over that of fully open plates, by law) are curves over
    the turn.  ``capacitance`` (F, variable alone), ``total`` (F) and ``frequency`` (Hz) belong to ``angle``; ``lowest`` and ``highest`` (Hz)
    to the ends; ``place`` is the share of that range which lies below ``frequency``.
    """

    variable: VariableCapacitor
    angle: float
    added: float
    inductance: float
    angles: np.ndarray
    capacitances: dict[str, np.ndarray]
    shares: dict[str, np.ndarray]
    capacitance: float
    total: float
    frequency: float
    lowest: float
    highest: float

    @property
    def place(self) -> float:
        """The share, 0 to 1, of the frequency range that lies below the present frequency."""
        return (self.frequency - self.lowest) / (self.highest - self.lowest)


def turn_capacitor(
    variable: VariableCapacitor, angle: float, *, added: float = 0.0, inductance: float = 1e-6,
    points: int = 91,
) -> Turned:
    """Turn ``variable`` to ``angle`` (degrees); compare all plate laws between the same ends.

    ``added`` (F) is fixed capacitance across it, ``inductance`` (H) the coil.
    Raises :class:`Unclear` for values out of range.
    """
    added, inductance = ADDED.check(added), INDUCTANCE.check(inductance)
    angles = np.linspace(0.0, variable.degrees, points)
    capacitances, shares = {}, {}
    for law in PLATE_LAWS:
        cut = VariableCapacitor(variable.minimum, variable.maximum, law, variable.degrees)
        capacitances[law] = cut.capacitance_at(angles)
        shares[law] = np.sqrt((variable.minimum + added) / (capacitances[law] + added))
    capacitance = float(variable.capacitance_at(angle))
    lowest, frequency, highest = (
        float(resonant_frequency(inductance, one + added))
        for one in (variable.maximum, capacitance, variable.minimum)
    )
    return Turned(
        variable, float(angle), added, inductance, angles, capacitances, shares,
        capacitance, capacitance + added, frequency, lowest, highest,
    )

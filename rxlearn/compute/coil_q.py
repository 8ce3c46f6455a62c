"""What a coil loses: wire, neighbouring turns, former; and its own capacitance.  SI throughout.

Wire: exact skin effect (:mod:`rxlearn.compute.wire`).  Neighbouring turns: R. G. Medhurst's
measured ratio φ (*Wireless Engineer* 24, 1947), which holds at high frequencies for many turns;
towards low frequencies its excess is let down as eddy currents in a field across the wire do, and
for a few turns by (1 − 1/N), since the end turns have one neighbour only (common practice).
Self-capacitance: Medhurst's C = H·D, H from his table (measured to five percent), one end
earthed; straight lines over the logarithm of the shape between its entries.  Former: its loss in the part of that field that runs through
it, at worst as a solid rod.

Limits: leads, joints, a screening can and everything that is connected lower Q, so a coil in a
receiver reaches half to nine tenths of it (common practice, no source).  Above a third of the
self-resonance the numbers mislead, and below about five skin depths to a wire diameter the
neighbours' part is an interpolation of ours.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.coils import Coil
from rxlearn.compute.quantities import Range, Unclear
from rxlearn.compute.wire import direct_resistance, skin_depth, skin_ratio, transverse_shape
from rxlearn.data.coil_tables import FILLINGS, PROXIMITY, SELF_CAPACITANCE, SHAPES
from rxlearn.data.cores import FORMERS

Q_FREQUENCY = Range("Frequency", "Hz", 1e3, 300e6)

HIGHEST_SHARE = 1 / 3
"""Highest frequency over self-resonance at which the numbers are to be trusted."""

LEAST_DEPTHS = 5.0
"""Least wire diameter, in skin depths, at which Medhurst's ratio holds as measured."""

LEAST_TURNS = 5.0
"""Fewer turns than these are no single-layer coil in Medhurst's sense."""


def proximity_ratio(filling: float, shape: float) -> float:
    """Medhurst's φ for a coil's ``filling`` (copper over pitch) and ``shape`` (length over diameter).

    Both plain ratios.  1 for turns far apart; straight lines between the table's entries, its
    last row and column beyond.
    """
    filling, shape = min(max(filling, 0.0), 1.0), min(max(shape, 0.0), SHAPES[-1])
    # Each row at this shape, a row of ones for no neighbours put before the first.
    column = [1.0, *(float(np.interp(shape, SHAPES, row)) for row in PROXIMITY)]
    return float(np.interp(filling, (0.0, *FILLINGS), column))


def self_capacitance(diameter: float, length: float) -> float:
    """Self-capacitance (F) of a coil with one end earthed; mean ``diameter`` and ``length`` in m.

    Medhurst's table; a coil beyond its ends, 0.1 and 50 diameters long, is given the nearer end's.
    """
    shapes, factors = zip(*SELF_CAPACITANCE)
    return 1e-10 * diameter * float(np.interp(math.log(length / diameter), np.log(shapes), factors))


@dataclass(frozen=True, eq=False)
class CoilLoss:
    """A coil's losses at ``frequency`` (Hz) on a former of this ``material``.

    ``skin`` and ``proximity`` are ratios by which the resistance rises one after the other;
    ``resistance`` (Ω) is of the wire with both, ``q_wire`` and ``q_former`` what either would
    leave alone, ``q`` both together (former: infinite for none).  ``own_capacitance`` in F,
    ``self_resonance`` in Hz, ``depth`` (m) the skin depth.
    """

    coil: Coil
    material: str
    frequency: float
    inductance: float
    skin: float
    proximity: float
    resistance: float
    q_wire: float
    q_former: float
    q: float
    own_capacitance: float
    self_resonance: float
    depth: float

    @property
    def doubts(self) -> tuple[str, ...]:
        """Why the number is not to be trusted, a short clause each; empty where it may be."""
        found = []
        if self.frequency > HIGHEST_SHARE * self.self_resonance:
            found.append("it is above a third of the self-resonance")
        if self.coil.wire.diameter < LEAST_DEPTHS * self.depth:
            found.append("the wire is less than five skin depths thick")
        if self.coil.turns < LEAST_TURNS:
            found.append("there are fewer than five turns")
        if not self.coil.fits:
            found.append("the turns do not fit on the length")
        return tuple(found)


def coil_loss(coil: Coil, frequency: float, *, material: str = "none") -> CoilLoss:
    """Losses and Q of ``coil`` at ``frequency`` (Hz) on a former of ``material``.

    ``material`` is a key of :data:`rxlearn.data.cores.FORMERS`.  Raises :class:`Unclear` outside
    1 kHz to 300 MHz and for an unknown material.
    """
    frequency = Q_FREQUENCY.check(frequency)
    permittivity, loss = _former(material)
    inductance = coil.inductance_at(frequency)
    skin = skin_ratio(coil.wire.diameter, frequency)
    rise = proximity_ratio(coil.filling, coil.shape) - 1
    depth = float(skin_depth(frequency))
    excess = rise * (1 - 1 / coil.turns) * transverse_shape(coil.wire.diameter, frequency)
    whole = skin + excess * coil.wire.diameter / (4 * depth)
    resistance = whole * direct_resistance(coil.wire.diameter, coil.wire_length)
    q_wire = 2 * math.pi * frequency * inductance / resistance
    own = self_capacitance(coil.diameter, coil.length)
    q_former = math.inf
    if loss:
        inside = own * permittivity / 2  # half of the air coil's field, filled by the former
        own = own / 2 + inside
        q_former = 1 / ((2 * math.pi * frequency) ** 2 * inductance * inside * loss)
    return CoilLoss(
        coil, material, frequency, inductance, skin, whole / skin, resistance, q_wire, q_former,
        1 / (1 / q_wire + 1 / q_former), own,
        1 / (2 * math.pi * math.sqrt(inductance * own)), depth,
    )


@dataclass(frozen=True, eq=False)
class QCurve:
    """Q of a coil over ``frequencies`` (Hz): ``values``, and which of them may be trusted.

    ``here`` is the loss at the frequency asked about.
    """

    here: CoilLoss
    frequencies: np.ndarray
    values: np.ndarray
    trusted: np.ndarray

    @property
    def without_neighbours(self) -> float:
        """Q at the frequency asked about if the turns did not see each other."""
        return self.here.q_wire * self.here.proximity


def q_curve(coil: Coil, frequency: float, low: float, high: float, *, material: str = "none",
            points: int = 61) -> QCurve:
    """Q of ``coil`` at ``frequency``, and from ``low`` to ``high`` (Hz) in ``points`` even steps of
    their logarithm.

    ``material`` as in :func:`coil_loss`, which also says what is refused.
    """
    here = coil_loss(coil, frequency, material=material)
    frequencies = np.geomspace(Q_FREQUENCY.check(low), Q_FREQUENCY.check(high), points)
    depth = skin_depth(frequencies)
    thickness = coil.wire.diameter
    rise = (proximity_ratio(coil.filling, coil.shape) - 1) * (1 - 1 / coil.turns)
    ratio = skin_ratio(thickness, frequencies) + (
        rise * transverse_shape(thickness, frequencies) * thickness / (4 * depth))
    resistance = ratio * direct_resistance(thickness, coil.wire_length)
    values = 2 * np.pi * frequencies * here.inductance / resistance
    permittivity, loss = _former(material)
    if loss:
        inside = here.own_capacitance * permittivity / (1 + permittivity)
        former = 1 / ((2 * np.pi * frequencies) ** 2 * here.inductance * inside * loss)
        values = 1 / (1 / values + 1 / former)
    trusted = (frequencies <= HIGHEST_SHARE * here.self_resonance) & (
        thickness >= LEAST_DEPTHS * depth)
    return QCurve(here, frequencies, values, trusted & (coil.turns >= LEAST_TURNS) & coil.fits)


def _former(material: str) -> tuple[float, float]:
    """Permittivity and loss of a former's ``material``."""
    try:
        return FORMERS[material]
    except KeyError:
        raise Unclear(
            f"Former of “{material[:20]}” is not on the list: take one of {', '.join(FORMERS)}."
        ) from None

"""Coils drawn to scale as lines: outlines of turns, formers, rings, in millimetres.

Each function returns x and y with NaN where the pen is lifted, for one moving line.
"""

from __future__ import annotations

import numpy as np

from rxlearn.compute.coils import Coil
from rxlearn.compute.toroid import RingCoil

MM = 1e3
Points = tuple[np.ndarray, np.ndarray]


def turns_of(coil: Coil, *, left: float = 0.0, middle: float = 0.0, scale: float = MM) -> Points:
    """The front of every turn as a slanted strip as thick as the wire, enamel included.

    ``left`` is where the winding begins and ``middle`` the height of its axis; ``scale`` turns
    metres into the axes' units.
    """
    count = max(1, round(coil.turns))
    pitch, half = coil.length / count * scale, coil.diameter / 2 * scale
    thick = min(coil.wire.overall * scale, pitch)
    start = left + pitch * (np.arange(count) + 0.5) - pitch / 4
    strip = np.array([-thick / 2, thick / 2, thick / 2 + pitch / 2, -thick / 2 + pitch / 2,
                      -thick / 2, np.nan])
    height = np.array([-half, -half, half, half, -half, np.nan])
    return (start[:, None] + strip[None, :]).ravel(), np.tile(middle + height, count)


def box(left: float, right: float, low: float, high: float) -> Points:
    """A rectangle: a former seen from the side, or an adjusting core."""
    return np.array([left, right, right, left, left]), np.array([low, low, high, high, low])


def former_of(coil: Coil, *, left: float = 0.0, middle: float = 0.0, beyond: float = 3e-3,
              length: float | None = None, scale: float = MM) -> Points:
    """The former under ``coil``, reaching ``beyond`` (m) each end of ``length`` (m; else its own)."""
    half = coil.former / 2 * scale
    long = (coil.length if length is None else length) * scale
    return box(left - beyond * scale, left + long + beyond * scale, middle - half, middle + half)


def _circle(radius: float, x: float, y: float) -> Points:
    angle = np.linspace(0, 2 * np.pi, 73)
    return x + radius * np.cos(angle), y + radius * np.sin(angle)


def ring_of(ring: RingCoil, *, x: float = 0.0, y: float = 0.0, scale: float = MM) -> Points:
    """The ring core from above: both circles."""
    outer, inner = (_circle(size / 2 * scale, x, y) for size in (ring.core.outer, ring.core.inner))
    return tuple(np.concatenate([a, [np.nan], b]) for a, b in zip(outer, inner))


def ring_turns_of(ring: RingCoil, *, x: float = 0.0, y: float = 0.0, scale: float = MM) -> Points:
    """Its turns from above: a stroke across the ring each, a gap of 30° at the foot."""
    thick = ring.wire.overall
    inner, outer = (ring.core.inner / 2 - thick) * scale, (ring.core.outer / 2 + thick) * scale
    angle = np.deg2rad(-75 + 330 * (np.arange(ring.turns) + 0.5) / ring.turns)
    nothing = np.full(ring.turns, np.nan)
    along = np.stack([inner * np.cos(angle), outer * np.cos(angle), nothing], axis=1).ravel()
    across = np.stack([inner * np.sin(angle), outer * np.sin(angle), nothing], axis=1).ravel()
    return x + along, y + across

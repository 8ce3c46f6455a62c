"""Coils wound in many layers, for low intermediate frequencies.  SI throughout.

Bunet's formula, a²N²/(9a + 10b + 8.4c + 3.2cb/a) µH with mean radius a, length b and depth c in
inches (F. Langford-Smith, *Radiotron Designer's Handbook*, 4th edition, chapter 10); Wheeler's for
comparison, 0.8·a²N²/(6a + 9b + 10c) (Proc. IRE 16, 1928, 1398), good to about a percent where the
three are much alike.  Limits: turns are taken to lie in a square of the wire's overall diameter
each, which a hand does not reach, so that a coil by hand is deeper and has somewhat more; nothing
is said of Q, which layers lower by much, and self-capacitance, which they raise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.optimize import brentq

from rxlearn.compute.coils import FORMER_DIAMETER, WANTED, WINDING_LENGTH
from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.wire import Wire

LAYERED_TURNS = Range("Turns in layers", "", 2.0, 5000.0)

LAYERED_UNCERTAINTY = 0.05
"""Half-width relative to the inductance, a ratio: formula and hand together (common practice)."""


def bunet_inductance(turns: float, radius: float, length: float, depth: float) -> float:
    """Inductance (H) of ``turns`` in layers: mean ``radius``, ``length`` and ``depth`` in m."""
    a, b, c = (x / 25.4e-3 for x in (radius, length, depth))
    return 1e-6 * a**2 * turns**2 / (9 * a + 10 * b + 8.4 * c + 3.2 * c * b / a)


def wheeler_layers(turns: float, radius: float, length: float, depth: float) -> float:
    """The same by Wheeler's rule for layers (H); ``radius``, ``length`` and ``depth`` in m."""
    a, b, c = (x / 25.4e-3 for x in (radius, length, depth))
    return 0.8e-6 * a**2 * turns**2 / (6 * a + 9 * b + 10 * c)


@dataclass(frozen=True, kw_only=True)
class LayeredCoil:
    """``turns`` of ``wire`` in layers over ``length`` (m) of a ``former`` (outer diameter, m)."""

    turns: float
    former: float
    length: float
    wire: Wire

    def __post_init__(self) -> None:
        """Refuse what is no coil."""
        LAYERED_TURNS.check(self.turns)
        FORMER_DIAMETER.check(self.former)
        WINDING_LENGTH.check(self.length)

    @property
    def depth(self) -> float:
        """How deep (m) the layers are: each turn takes a square of the wire's overall diameter."""
        return self.turns * self.wire.overall**2 / self.length

    @property
    def layers(self) -> float:
        """How many layers that makes, a plain number."""
        return self.depth / self.wire.overall

    @property
    def diameter(self) -> float:
        """Mean diameter (m): the former and one depth."""
        return self.former + self.depth

    @property
    def inductance(self) -> float:
        """Inductance (H) by Bunet's formula."""
        return bunet_inductance(self.turns, self.diameter / 2, self.length, self.depth)

    @property
    def wire_length(self) -> float:
        """Length (m) of wire: the turns times their mean circumference."""
        return self.turns * math.pi * self.diameter

    @property
    def fits(self) -> bool:
        """Whether it is more than one layer and no deeper than the former is thick."""
        return self.layers >= 1 and self.depth <= self.former


def layers_wanted(inductance: float, former: float, length: float, wire: Wire) -> LayeredCoil:
    """The coil in layers that has ``inductance`` (H) on ``length`` (m) of a ``former`` (m).

    Raises :class:`Unclear` where no number of turns from 2 to 5000 does it.
    """
    wanted = WANTED.check(inductance)

    def coil(turns: float) -> LayeredCoil:
        return LayeredCoil(turns=turns, former=former, length=length, wire=wire)

    if not coil(LAYERED_TURNS.low).inductance <= wanted <= coil(LAYERED_TURNS.high).inductance:
        raise Unclear(
            f"{show(wanted, 'H', digits=3)} cannot be wound in layers over {show(length, 'm')} of a "
            f"former of {show(former, 'm', digits=3)} with this wire: change one of the three."
        )
    return coil(float(brentq(lambda n: coil(n).inductance - wanted, LAYERED_TURNS.low,
                             LAYERED_TURNS.high, xtol=1e-6)))

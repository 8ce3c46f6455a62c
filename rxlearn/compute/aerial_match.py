"""What the circuits before the first grid give: matched to the aerial, with the coil that there is.

Each circuit's own resistance is R = 2 Q X at resonance: where the aerial is matched it takes as
much as the coil's own loss, so that the coil's own Q is twice the loaded one, Q.  All of the
aerial's power then heats that R, and the voltage rises as the root of R over the aerial's
resistance.  A second circuit, coupled so that it takes as much as the first one's loss, leaves
each half of the power.  DERIVED from Ohm's law and the definition of Q.

Limits: matched at the middle of the band; the first grid takes no power.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rxlearn.compute.quantities import Range

REACTANCE = Range("The coil's reactance", "Ω", 0.1, 1e6)
AERIAL = 50.0
"""What the aerial is taken as, ohm."""


@dataclass(frozen=True)
class AerialMatch:
    """Aerial and circuits: ``reactance`` (ohm) of each coil, its ``loaded_q``, how many ``circuits``."""

    reactance: float
    loaded_q: float
    circuits: int

    @property
    def resistance(self) -> float:
        """A circuit's own resistance at resonance, ohm."""
        return 2 * self.loaded_q * self.reactance

    @property
    def turns(self) -> float:
        """Turns of the first coil to one of the aerial winding."""
        seen = self.resistance if self.circuits == 1 else self.resistance / 2
        return math.sqrt(seen / AERIAL)

    @property
    def gain_db(self) -> float:
        """Voltage at the first grid over that at the aerial, dB."""
        return 10 * math.log10(self.resistance / AERIAL / 2 ** (self.circuits - 1))


def match_aerial(reactance: float, loaded_q: float, circuits: int = 1) -> AerialMatch:
    """Match the aerial to ``circuits`` of ``reactance`` (ohm) and ``loaded_q`` each.

    Raises :class:`~rxlearn.compute.quantities.Unclear` for a reactance out of range.

    >>> round(match_aerial(56.0, 50.0).turns, 1)
    10.6
    """
    return AerialMatch(REACTANCE.check(reactance), loaded_q, circuits)

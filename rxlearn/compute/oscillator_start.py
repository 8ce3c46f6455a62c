"""Whether an oscillator with a tapped coil starts: what comes back round its loop.  SI units.

The circuit is the one that is drawn: grid at the top of the tank, cathode at a tap with a share n of
its voltage, tank and grid leak to the chassis.  With a voltage V at the top the grid stands (1 − n)V
above the cathode, and the cathode's current flows into the tap, which to the tank is n times that
current at its top.  So the loop gives back n·i·R for each V, R being tank and leak in parallel, Q·ω·L
the tank's own share.  It starts above 1.  DERIVED.

With a screen that is bypassed, anode and screen are earthed for radio frequencies and i = g(1 − n)V,
with g the transconductance of the whole cathode current.  A triode's anode has a resistor: i =
[µ(1 − n) − n]V/(r_a + R_load).  Limits: the grid capacitor is a short, transconductance is the
published one (with no bias yet it is higher, in a tired valve lower), and strays across the tap are left
out; hence :data:`SURE`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rxlearn.compute.circuits import OSCILLATOR_LEAK, OSCILLATOR_LOAD, ValveFigures
from rxlearn.compute.coil_taps import parallel_resistance

SURE = 2.0
"""A loop that gives back so much starts with a tired valve and a damp coil, too (common practice)."""


@dataclass(frozen=True)
class OscillatorStart:
    """What starts at ``frequency`` (Hz): a coil of ``inductance`` (H) and ``q``, tapped at ``share``.

    ``share`` of the voltage and ``gain`` round the loop are ratios; ``current`` (S) is the cathode's for
    each volt at the top of the tank, ``resistance`` (Ω) tank and grid leak in parallel.
    """

    inductance: float
    frequency: float
    q: float
    share: float
    current: float
    resistance: float
    gain: float

    @property
    def sure(self) -> bool:
        """Whether it starts with room to spare."""
        return self.gain >= SURE

    @property
    def inductance_wanted(self) -> float:
        """Coil (H) of the same Q and tap that would be :attr:`sure`; infinite where the grid leak forbids."""
        wanted = SURE / (self.share * self.current)
        if not 0 < wanted < OSCILLATOR_LEAK:
            return math.inf
        tank = 1 / (1 / wanted - 1 / OSCILLATOR_LEAK)
        return tank / (self.q * 2 * math.pi * self.frequency)


def oscillator_start(inductance: float, frequency: float, q: float, share: float,
                     valve: ValveFigures) -> OscillatorStart:
    """The loop of the oscillator with ``valve`` at ``frequency`` (Hz); ``inductance`` in H.

    ``q`` is the coil's, ``share`` of the tank's voltage at its tap, both plain numbers.  Raises Unclear
    for a frequency or Q out of range.
    """
    if valve.screen:
        current = valve.conductance * valve.current / valve.anode_current * (1 - share)
    else:
        current = (valve.mu * (1 - share) - share) / (valve.anode_resistance + OSCILLATOR_LOAD)
    tank = parallel_resistance(inductance, frequency, q)
    resistance = 1 / (1 / tank + 1 / OSCILLATOR_LEAK)
    return OscillatorStart(inductance, frequency, q, share, current, resistance,
                           share * current * resistance)

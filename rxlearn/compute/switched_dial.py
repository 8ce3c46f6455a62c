"""A capacitor switched across the tank: where the dial goes, and how much narrower it gets.

Frequencies in Hz of the oscillator, capacitances in F, angles in degrees of the shaft.

Model: an ideal switch.  A real one adds its own 1 to 3 pF (common practice),
which belongs in the value that is trimmed at the bench.  DERIVED from
f = 1/(2π√(LC)): the range becomes narrower by about (C/(C + ΔC))^(3/2).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from rxlearn.compute.band_spread import Coverage, Network, cover
from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.tank import shift_capacitance

SWITCHED = Range("Switched capacitor", "F", 0.0, 1e-6)


@dataclass(frozen=True, eq=False)
class SwitchedSpread:
    """A dial ``before`` and ``after`` a capacitor (``switched``, F) is put across its tank.

    ``target`` (Hz) is where the oscillator should stand at ``angle`` with it;
    ``wanted`` (F) would bring it there, or None where adding cannot.
    ``place`` is the angle at which ``target`` comes with the capacitor as it is, or None.
    """

    before: Coverage
    after: Coverage
    switched: float
    target: float
    angle: float
    wanted: float | None
    place: float | None

    @property
    def narrower(self) -> float:
        """Range after over range before."""
        return self.after.span / self.before.span

    @property
    def moved(self) -> float:
        """How far the middle of the dial went, Hz; negative: down."""
        return (self.after.low + self.after.high - self.before.low - self.before.high) / 2


def switch_in(network: Network, switched: float, target: float, angle: float) -> SwitchedSpread:
    """Switch ``switched`` (F) across ``network``'s tank; aim at ``target`` (Hz) at ``angle``.

    Raises :class:`Unclear` for values out of range.
    """
    switched = SWITCHED.check(switched)
    target = Range("Target", "Hz", 1e3, 1e9).check(target)
    loaded = replace(network, parallel=network.parallel + switched)
    try:
        wanted = pulling_capacitor(network, target, angle)
    except Unclear:
        wanted = None
    return SwitchedSpread(
        cover(network), cover(loaded), switched, target, float(angle), wanted,
        loaded.angle_for(target),
    )


def pulling_capacitor(network: Network, target: float, angle: float) -> float:
    """Capacitor (F) that brings the oscillator from its place at ``angle`` to ``target`` (Hz).

    Raises :class:`Unclear` where the target lies above: adding only lowers a tank.
    """
    frequency = float(network.frequency_at(angle))
    needed = float(shift_capacitance(frequency, target, network.inductance))
    if needed < 0:
        raise Unclear(
            f"A capacitor only pulls a tank down, and {show(target, 'Hz', digits=7)} lies above "
            f"{show(frequency, 'Hz', digits=7)}: switch it in on the other range instead."
        )
    return needed

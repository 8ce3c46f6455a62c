"""A ladder filter of crystals: designed from its crystals and width, and its exact response.

    source R ── Y1 ── Cs1 ──┬── Y2 ── Cs2 ──┬── … ── YN ── CsN ── load R
                            C1              C2

Each crystal with its two neighbouring capacitors is a mesh.  In a narrow band the capacitors
hardly change with frequency, so the response is the prototype's *in the crystals' reactance X*
(DERIVED from the mesh equations): with A = 2πw·Lₘ the 3 dB points lie at X = (T ± 1)·A, a coupling
capacitor has the reactance k·A, an end sees A/q, and T is the largest sum of two neighbouring k.
Because of the parallel capacitance X rises ever faster towards the parallel resonance, Δ above
the series one; wanted width B and design width w are then tied by

    B = w/(1 + T·w/Δ + (T² − 1)·w²/4Δ²)        at most Δ/(T + √(T² − 1))

(DERIVED).  With Δ huge this is the usual design by k and q (M. Dishal, “Design of dissipative
band-pass filters producing desired exact amplitude-frequency characteristics”, Proc. IRE 37,
1949; A. I. Zverev, *Handbook of Filter Synthesis*).  The largest mesh has no series capacitor; in
the others one brings them on the same frequency.  Design's limits: loss only counts at the ends,
strays not at all, crystals near one another.  The response is exact for the circuit, loss and
parallel capacitance included.  SI units throughout.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from rxlearn.compute.crystal import Crystal
from rxlearn.compute.ladder_prototype import CHEBYSHEV, Prototype, prototype
from rxlearn.compute.preferred_values import nearest_preferred
from rxlearn.compute.quantities import Range, Unclear, show

LADDER_WIDTH = Range("The filter's width", "Hz", 10.0, 100e3)
CRYSTAL_OFFSET = Range("A crystal's offset", "Hz", -20e3, 20e3)
_TRACE = 1e-12
"""1/Q that even a crystal without loss gets, so that its pole stays a number."""

LARGEST_SERIES = 10e-9
"""A series capacitor larger than this, F, does nothing worth a part: a wire serves."""


@dataclass(frozen=True)
class CrystalLadder:
    """A ladder of ``crystals`` with N − 1 shunt capacitors ``couplings`` (F) between them.

    ``series`` holds each crystal's series capacitor (F), None for a wire.  It is driven from
    ``source_resistance`` and loaded with ``load_resistance`` (Ω).
    """

    crystals: tuple[Crystal, ...]
    couplings: tuple[float, ...]
    series: tuple[float | None, ...]
    source_resistance: float
    load_resistance: float

    def loss_db(self, frequencies: float | np.ndarray,
                offsets: np.ndarray | None = None) -> np.ndarray:
        """Transducer loss (dB) at ``frequencies`` (Hz): power at hand over power in the load.

        ``offsets`` (Hz) as in :meth:`transfer`.
        """
        return -20 * np.log10(np.abs(self.transfer(frequencies, offsets)))

    def transfer(self, frequencies: float | np.ndarray,
                 offsets: np.ndarray | None = None) -> np.ndarray:
        """Complex transfer at ``frequencies`` (Hz): its square is power in the load over that at hand.

        ``offsets`` (Hz), of shape (…, N), moves each crystal; the result then has the shape
        (…, frequencies).  The chain of the parts' matrices, multiplied from the load backwards.
        """
        omega = 2 * math.pi * np.atleast_1d(np.asarray(frequencies, float))
        moves = np.zeros(len(self.crystals)) if offsets is None else np.asarray(offsets, float)
        current = np.ones((*moves.shape[:-1], omega.size), complex)
        voltage = current * self.load_resistance
        for place in reversed(range(len(self.crystals))):
            if place < len(self.couplings):
                current = current + 1j * omega * self.couplings[place] * voltage
            impedance = _impedance(self.crystals[place], omega, moves[..., place, None])
            if self.series[place] is not None:
                impedance = impedance - 1j / (omega * self.series[place])
            voltage = voltage + impedance * current
        # Power at hand is |E|²/4R; the load takes one ampere squared times its resistance.
        whole = voltage + self.source_resistance * current
        return 2 * math.sqrt(self.source_resistance * self.load_resistance) / whole

    def moved(self, offsets: Sequence[float]) -> CrystalLadder:
        """The same parts with each crystal moved by its own of ``offsets`` (Hz)."""
        if len(offsets) != len(self.crystals):
            raise Unclear(f"Give {len(self.crystals)} offsets, one for each crystal.")
        pairs = zip(self.crystals, offsets, strict=True)
        return replace(self, crystals=tuple(
            crystal.moved(CRYSTAL_OFFSET.check(hertz)) for crystal, hertz in pairs))

    def rounded(self, series: str = "E12") -> CrystalLadder:
        """The same with every capacitor at the nearest value of ``series``, such as E12."""
        return replace(
            self, couplings=tuple(nearest_preferred(c, series) for c in self.couplings),
            series=tuple(None if c is None else nearest_preferred(c, series)
                         for c in self.series))

    def terminated(self, source_resistance: float, load_resistance: float) -> CrystalLadder:
        """The same between two other resistances (Ω)."""
        return replace(self, source_resistance=source_resistance, load_resistance=load_resistance)


@dataclass(frozen=True)
class LadderDesign:
    """What was asked and what came out: Hz, H, F, Ω.

    ``crystal`` is the average one, ``wanted`` the 3 dB width asked for, ``prototype`` the law;
    ``stretched`` the design width w in crystals without parallel capacitance, ``middle`` the
    frequency on which all meshes are tuned, ``low`` and ``high`` the 3 dB points without loss.
    ``ladder`` holds the exact values.
    """

    crystal: Crystal
    wanted: float
    prototype: Prototype
    stretched: float
    middle: float
    low: float
    high: float
    ladder: CrystalLadder

    @property
    def centre(self) -> float:
        """Half-way between the 3 dB points, Hz."""
        return (self.low + self.high) / 2

    @property
    def termination(self) -> float:
        """The resistance (Ω) that either end must see."""
        return self.ladder.source_resistance

    @property
    def widest(self) -> float:
        """The largest 3 dB width (Hz) that such crystals allow with this law."""
        return self.prototype.widest * self.crystal.spacing

    @property
    def room(self) -> float:
        """Wanted over largest width, a ratio: near one, small capacitors and high resistances."""
        return self.wanted / self.widest


def design_ladder(crystal: Crystal, crystals: int, width: float, *, kind: str = CHEBYSHEV,
                  offsets: Sequence[float] | None = None) -> LadderDesign:
    """A ladder of so many ``crystals`` like ``crystal`` with a 3 dB ``width`` (Hz).

    ``kind`` is a key of :data:`~rxlearn.compute.ladder_prototype.PROTOTYPES`.  ``offsets`` (Hz)
    says by how much each real crystal is off; the series capacitors then make up for it.
    Raises :class:`Unclear` where these crystals cannot make such a filter.
    """
    law = prototype(kind, crystals)
    width = LADDER_WIDTH.check(width)
    moves = [0.0] * law.crystals if offsets is None else [
        CRYSTAL_OFFSET.check(hertz) for hertz in offsets]
    if len(moves) != law.crystals:
        raise Unclear(f"Give {law.crystals} offsets, one for each crystal.")
    crystal = crystal.moved(sum(moves) / law.crystals)
    moves = [hertz - sum(moves) / law.crystals for hertz in moves]
    stretched = _stretched(crystal, law, width)
    scale = 2 * math.pi * stretched * crystal.motional_inductance
    total = law.largest_sum
    parts = [crystal.moved(hertz) for hertz in moves]
    # Every mesh must come down to the middle with a capacitor, as none can bring it up.
    middle = max(part.frequency_at(share * scale)
                 for part, share in zip(parts, law.sums, strict=True))
    omega = 2 * math.pi * middle
    series = tuple(_series(part.reactance(middle) - share * scale, omega)
                   for part, share in zip(parts, law.sums, strict=True))
    ladder = CrystalLadder(
        tuple(parts), tuple(1 / (omega * k * scale) for k in law.couplings), series,
        *(_end(crystal, law, scale, width),) * 2)
    return LadderDesign(
        crystal, width, law, stretched, middle, crystal.frequency_at((total - 1) * scale),
        crystal.frequency_at((total + 1) * scale), ladder)


def widest_ladder(crystal: Crystal, crystals: int, kind: str = CHEBYSHEV) -> float:
    """The largest 3 dB width (Hz) of a ladder of so many ``crystals`` like ``crystal``.

    See the formula at the module's head; the last twentieth of it is better left alone, as
    every picofarad of strays then counts.
    """
    return prototype(kind, crystals).widest * crystal.spacing


def _stretched(crystal: Crystal, law: Prototype, width: float) -> float:
    """The width w, in crystals without parallel capacitance, that gives ``width`` with it."""
    widest, total = law.widest * crystal.spacing, law.largest_sum
    if not width < widest:
        raise Unclear(
            f"{law.crystals} crystals whose resonances lie {show(crystal.spacing, 'Hz', digits=3)} "
            f"apart make no ladder {show(width, 'Hz', digits=4)} wide: choose less than "
            f"{show(widest, 'Hz', digits=3)}, or crystals with less capacitance across them or "
            "of a higher frequency.")
    part = width / crystal.spacing
    square, linear = part * (total**2 - 1) / 4, 1 - part * total
    if abs(square) < 1e-12:
        return crystal.spacing * part / linear
    # The smaller root, written so that nothing cancels.
    return crystal.spacing * 2 * part / (linear + math.sqrt(linear**2 - 4 * square * part))


def _end(crystal: Crystal, law: Prototype, scale: float, width: float) -> float:
    """What an end must see besides the crystal's own resistance, Ω."""
    middle = law.largest_sum * scale
    omega = 2 * math.pi * crystal.frequency
    own = crystal.resistance * (1 + omega * crystal.parallel_capacitance * middle) ** 2
    if not own < scale / law.q:
        raise Unclear(
            f"Crystals with a Q of {crystal.q:.3g} lose too much for a ladder "
            f"{show(width, 'Hz', digits=4)} wide at {show(crystal.frequency, 'Hz', digits=5)}: "
            "choose a wider filter, better crystals or a lower frequency.")
    return scale / law.q - own


def _series(missing: float, omega: float) -> float | None:
    """The capacitor (F) that takes up a reactance that is left over; None for next to none."""
    capacitance = 1 / (omega * missing) if missing > 0 else math.inf
    return capacitance if capacitance < LARGEST_SERIES else None


def _impedance(crystal: Crystal, omega: np.ndarray, hertz: np.ndarray) -> np.ndarray:
    """A crystal's impedance (Ω), moved by ``hertz``, in full: loss and what is across it."""
    resonance = 2 * math.pi * (crystal.frequency + hertz)
    # L(ω − ω₀²/ω), by the difference of squares: hertz must not drown in megahertz.
    motional = crystal.resistance + crystal.motional_inductance * (
        _TRACE * omega + 1j * (omega - resonance) * (omega + resonance) / omega)
    across = 1 / (1j * omega * crystal.parallel_capacitance)
    return motional * across / (motional + across)

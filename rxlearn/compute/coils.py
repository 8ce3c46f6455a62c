"""Single-layer air coils: inductance, wire, and whether the turns fit.  SI throughout.

Three formulas stand side by side.  A current sheet, L = µ₀·π·r²·N²·K/l with Nagaoka's K, is
exact for a thin ribbon wound without gaps (L. Lorenz 1879; H. Nagaoka 1909).  Rosa's two
corrections turn the ribbon into round wire (E. B. Rosa and F. W. Grover, NBS Scientific Paper
169, 1912): ΔL = µ₀·r·N·(A + B).  Wheeler's rule (H. A. Wheeler, Proc. IRE 16, 1928, 1398) is for
the bench.

At a frequency, the inductance inside the wire shrinks with the skin effect: a coil of thick wire,
measured at audio frequencies, has up to a few percent more than at radio frequencies.

Limits: turns are circles on a straight axis, without leads, screening can or iron nearby.  That
neighbouring turns push the current to one side of the wire is left out: it takes another percent
or so off a coil wound tightly.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import brentq
from scipy.special import ellipe, ellipkm1

from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.wire import PERMEABILITY, Wire, enamelled, internal_ratio

TURNS = Range("Turns", "", 1.0, 2000.0)
FORMER_DIAMETER = Range("Former diameter", "m", 0.5e-3, 1.0)
WINDING_LENGTH = Range("Winding length", "m", 0.05e-3, 5.0)
WANTED = Range("Wanted inductance", "H", 10e-9, 10e-3)

WHEELER_FROM = 0.4
"""Least length over diameter for which Wheeler gives one percent (his own statement)."""

DIAMETER_OFF, LENGTH_OFF, TURNS_OFF, FORMULA_OFF = 0.01, 0.5e-3, 0.1, 0.01
"""What a careful hand leaves uncertain (common practice, no source): a hundredth of the diameter,
half a millimetre of the length, a tenth of a turn at the ends; and a hundredth for leads and
high frequency, which the formula leaves out."""


def nagaoka(shape: float | np.ndarray) -> float | np.ndarray:
    """Nagaoka's coefficient K for ``shape``, diameter over length (a ratio, above 0).

    K = 4/(3π·k')·[(k'²/k²)(K(k) − E(k)) + E(k) − k] with k² = D²/(D² + l²): Lorenz's closed form.
    1 for a very long coil, towards 0 for a flat one.  Float or array.
    """
    shape = np.asarray(shape, float)
    flat = shape**2 / (1 + shape**2)
    long = 1 / (1 + shape**2)
    first, second = ellipkm1(long), ellipe(flat)
    inner = long / flat * (first - second) + second - np.sqrt(flat)
    found = 4 / (3 * np.pi * np.sqrt(long)) * inner
    # Below this the difference of the integrals has lost its digits; the series takes over.
    series = 1 - 4 / (3 * np.pi) * shape + shape**2 / 8 - shape**4 / 64
    found = np.where(shape < 1e-3, series, found)
    return float(found) if found.ndim == 0 else found


def sheet_inductance(turns: float, diameter: float, length: float) -> float:
    """Inductance (H) of a current sheet: ``turns``, ``diameter`` and ``length`` in m."""
    radius = diameter / 2
    return PERMEABILITY * math.pi * radius**2 * turns**2 * nagaoka(diameter / length) / length


def wheeler_inductance(turns: float, diameter: float, length: float) -> float:
    """Inductance (H) by Wheeler's rule, r²N²/(9r + 10l) in inches and µH.

    ``turns``, ``diameter`` and ``length`` in m.  Within one percent of the current sheet for
    lengths above 0.4 diameters (Wheeler's statement); too low for flat coils.
    """
    radius, length = diameter / 2 / 25.4e-3, length / 25.4e-3
    return 1e-6 * radius**2 * turns**2 / (9 * radius + 10 * length)


def rosa_shape(filling: float) -> float:
    """Rosa's A = 5/4 + ln(``filling``/2), from the ratio of copper diameter to pitch.

    Each turn is a round wire and no ribbon of the pitch's width.  DERIVED from the geometric
    mean distances of a circle and of a line.
    """
    return 1.25 + math.log(filling / 2)


def rosa_turns(turns: float) -> float:
    """Rosa's B, a plain number that depends on the ``turns`` alone.

    B = (2/N)·Σ (N − m)·(ln m − ln R_m), R_m the geometric mean distance of two ribbons m pitches
    apart.  DERIVED; broken turns lie on a straight line between whole ones.
    """
    below = int(turns)
    share = turns - below
    found = _rosa_turns(below)
    return found if share == 0 else (1 - share) * found + share * _rosa_turns(below + 1)


def _rosa_turns(turns: int) -> float:
    if turns < 2:
        return 0.0
    m = np.arange(1.0, turns)
    below = np.where(m > 1, m - 1, 1.0)
    mean = ((m + 1) ** 2 * np.log(m + 1) - 2 * m**2 * np.log(m) + below**2 * np.log(below)) / 2 - 1.5
    # Far apart the difference of large numbers loses its digits; its series is exact there.
    apart = np.where(m < 100, np.log(m) - mean, 1 / (12 * m**2))
    return float(2 / turns * np.sum((turns - m) * apart))


@dataclass(frozen=True, kw_only=True)
class Coil:
    """A single-layer coil as one winds it, all in m.

    ``turns`` of ``wire`` on a former of outer diameter ``former``, over a winding ``length``
    measured from the first turn's middle by N pitches, so that pitch = length / turns.
    """

    turns: float
    former: float
    length: float
    wire: Wire

    def __post_init__(self) -> None:
        """Refuse what is no coil."""
        TURNS.check(self.turns)
        FORMER_DIAMETER.check(self.former)
        WINDING_LENGTH.check(self.length)

    @property
    def diameter(self) -> float:
        """Mean diameter (m): the former and one overall thickness of the wire."""
        return self.former + self.wire.overall

    @property
    def pitch(self) -> float:
        """Distance (m) of neighbouring turns' centres."""
        return self.length / self.turns

    @property
    def shape(self) -> float:
        """Length over mean diameter, a ratio."""
        return self.length / self.diameter

    @property
    def filling(self) -> float:
        """Copper diameter over pitch, a ratio below 1 where the turns fit."""
        return self.wire.diameter / self.pitch

    @property
    def most_turns(self) -> float:
        """How many turns fit side by side on the winding length."""
        return self.length / self.wire.overall

    @property
    def fits(self) -> bool:
        """Whether the turns fit side by side, enamel to enamel."""
        return self.turns <= self.most_turns * (1 + 1e-9)

    @property
    def wire_length(self) -> float:
        """Length (m) of wire on the former, the helix unrolled; leads come on top."""
        return self.turns * math.hypot(math.pi * self.diameter, self.pitch)

    @property
    def inductance(self) -> float:
        """Inductance (H) at low frequency: current sheet with Rosa's corrections."""
        filling = min(self.filling, 1.0)  # beyond, the turns do not fit; the verdict says so
        correction = rosa_shape(filling) + rosa_turns(self.turns)
        sheet = sheet_inductance(self.turns, self.diameter, self.length)
        return sheet - PERMEABILITY * self.diameter / 2 * self.turns * correction

    def inductance_at(self, frequency: float) -> float:
        """Inductance (H) at ``frequency`` (Hz); at 0 Hz that at low frequency."""
        if not frequency:
            return self.inductance
        return self.less_inside(internal_ratio(self.wire.diameter, frequency))

    def less_inside(self, ratio: float) -> float:
        """Inductance (H) with only this ``ratio`` of what is inside the wire left, from 0 to 1."""
        return self.inductance - PERMEABILITY * self.diameter / 8 * self.turns * (1 - ratio)


@dataclass(frozen=True)
class WoundCoil:
    """A ``coil`` against the inductance ``wanted`` (H), with what a bench wants to know.

    ``inductance`` at ``frequency`` (Hz; 0: at low frequency), ``wheeler`` and ``sheet`` in H;
    ``uncertainty`` is the half-width relative to
    the inductance, a ratio; ``wire_length`` in m; ``off`` the miss relative to what is wanted.
    """

    coil: Coil
    wanted: float
    frequency: float
    inductance: float
    uncertainty: float
    sheet: float
    wheeler: float
    wire_length: float

    @property
    def off(self) -> float:
        """Inductance over what is wanted, less 1: a ratio, positive where there is too much."""
        return self.inductance / self.wanted - 1

    @property
    def wheeler_off(self) -> float:
        """Wheeler's rule over the current sheet, less 1."""
        return self.wheeler / self.sheet - 1


def wind(coil: Coil, wanted: float, frequency: float = 0.0) -> WoundCoil:
    """Work out ``coil`` at ``frequency`` (Hz) and compare it with the ``wanted`` inductance (H).

    Raises :class:`Unclear` for a wanted inductance outside 10 nH to 10 mH.
    """
    return WoundCoil(
        coil, WANTED.check(wanted), frequency, coil.inductance_at(frequency),
        coil_uncertainty(coil),
        sheet_inductance(coil.turns, coil.diameter, coil.length),
        wheeler_inductance(coil.turns, coil.diameter, coil.length), coil.wire_length,
    )


def coil_uncertainty(coil: Coil) -> float:
    """Half-width of the inductance relative to itself: a ratio, from what a hand leaves uncertain.

    The contributions of diameter, length, turns and formula are taken one by one and added as
    squares (the assumptions stand beside :data:`DIAMETER_OFF`).
    """
    start = coil.inductance
    moved = (
        replace(coil, former=coil.former * (1 + DIAMETER_OFF)),
        replace(coil, length=coil.length + min(LENGTH_OFF, 0.5 * coil.length)),
        replace(coil, turns=coil.turns + TURNS_OFF),
    )
    parts = [one.inductance / start - 1 for one in moved]
    return math.sqrt(sum(part**2 for part in parts) + FORMULA_OFF**2)


def turns_wanted(inductance: float, former: float, wire: Wire, *, length: float | None = None,
                 spacing: float = 1.0, frequency: float = 0.0) -> Coil:
    """The coil with just enough turns for ``inductance`` (H) at ``frequency`` (Hz) on a ``former`` (m).

    With ``length`` (m) the winding length is kept; else the pitch is kept, ``spacing`` (a ratio
    of 1 or more) times the wire's overall diameter.  Raises :class:`Unclear` where no number
    of turns from 1 to 2000 does it.
    """
    wanted, former = WANTED.check(inductance), FORMER_DIAMETER.check(former)
    pitch = spacing * wire.overall

    def coil(turns: float) -> Coil:
        return Coil(turns=turns, former=former, wire=wire,
                    length=turns * pitch if length is None else length)

    longest = WINDING_LENGTH.high / pitch
    most = min(TURNS.high, max(2.0, longest if length is None else length / wire.diameter))
    # The same at every trial: worked out once, a drag stays quick.
    inside = internal_ratio(wire.diameter, frequency) if frequency else 1.0
    if coil(1.0).less_inside(inside) > wanted:
        raise Unclear(
            f"One turn on {show(former, 'm', digits=3)} has more than {show(wanted, 'H', digits=3)} "
            "already: take a thinner former."
        )
    if coil(most).less_inside(inside) < wanted:
        raise Unclear(
            f"{show(wanted, 'H', digits=3)} does not fit on {show(former, 'm', digits=3)} with this "
            "wire: take a thicker or longer former, or thinner wire."
        )
    turns = brentq(lambda n: coil(n).less_inside(inside) - wanted, 1.0, most, xtol=1e-7)
    return coil(float(turns))


def length_wanted(coil: Coil, wanted: float, frequency: float = 0.0, *,
                  longest: float | None = None) -> Coil:
    """``coil`` stretched or squeezed to the ``wanted`` inductance (H) at ``frequency`` (Hz).

    Its turns are kept.  Never tighter than enamel to enamel, never longer than ``longest`` (m; 40
    diameters if not given): then the nearest end is returned.
    """
    least = coil.turns * coil.wire.overall
    most = max(40 * coil.diameter, 2 * least) if longest is None else max(longest, least)
    tight, wide = (replace(coil, length=length) for length in (least, most))
    if tight.inductance_at(frequency) <= wanted:
        return tight
    if wide.inductance_at(frequency) >= wanted:
        return wide
    found = brentq(lambda x: replace(coil, length=x).inductance_at(frequency) - wanted,
                   least, most, xtol=1e-9)
    return replace(coil, length=float(found))


def bare(diameter: float, name: str = "") -> Wire:
    """Bare wire of ``diameter`` (m), for a coil without enamel; ``name`` as on the reel."""
    return Wire(name or f"{1e3 * diameter:.3g} mm bare", diameter, diameter)


def wire_of(diameter: float) -> Wire:
    """Enamelled wire of any copper ``diameter`` (m), grade 2."""
    return Wire(f"{1e3 * diameter:.3g} mm", diameter, enamelled(diameter))

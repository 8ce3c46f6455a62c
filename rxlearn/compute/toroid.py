"""Coils on rings of powdered iron, and on formers with an adjusting core.  SI throughout.

Ring: L = A_L·N², the inductance factor A_L in H per turn squared from the maker or measured.  A
ring of rectangular section has A_L = µ₀·µ_r·h·ln(outer/inner)/(2π) (DERIVED from Ampère's law);
the makers' values lie within a sixth of that.  Limits: A_L varies by its tolerance from core to
core and a little with how the turns are spread; iron's loss has no simple formula, so that Q is
the maker's curve or a measurement; heavy currents do not come into a receiver's coils.

Adjusting core: an estimate.  A core of length over diameter m gathers the flux by µ_r/(1 +
n(µ_r − 1)), n the demagnetising factor of a long ellipsoid (J. A. Osborn, *Physical Review* 67,
1945, 351), over the share of the coil's section that it fills.  Good to a third of what the core
adds, no better: measure both ends of its travel.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from rxlearn.compute.coils import Coil, turns_wanted
from rxlearn.compute.layered import LayeredCoil, layers_wanted
from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.wire import PERMEABILITY, Wire, wire_called
from rxlearn.data.cores import (
    RING_CORES,
    SLUG_CLEARANCE,
    SLUG_LENGTH_TO_DIAMETER,
    SLUG_PERMEABILITY,
    RingCore,
)

RING_TURNS = Range("Turns on the ring", "", 1.0, 500.0)
INDUCTANCE_FACTOR = Range("Inductance factor", "H", 0.1e-9, 100e-6)

ROOM_ON_RING = 11 / 12
"""Share of the ring that is wound: a gap of 30° keeps the ends apart (common practice)."""

MEASURED_TOLERANCE, MEASURED_DRIFT = 0.03, 100.0
"""Of a ring that one has measured: what the measurement leaves, as a ratio; and a guess, ppm/°C."""

FERRITE_FROM = 60.0
"""Relative permeability above which a core is ferrite and no powdered iron (common practice)."""

COMMON = ("T50-6", "T50-2", "T68-6", "T68-2", "T94-6", "T94-2")
COMMON_WIRES = ("0.5 mm", "0.4 mm", "0.315 mm", "0.25 mm", "0.2 mm")
"""Ring cores and wires in the order in which they are tried for a coil that the plan has no fields for."""

FEWEST = 8
"""With less turns than this a link of one turn couples too much (a choice, no source)."""

SLUG_UNCERTAINTY = 1 / 3
"""How far the estimate of what an adjusting core adds may be off, as a ratio."""


@dataclass(frozen=True, kw_only=True)
class RingCoil:
    """``turns`` of ``wire`` on the ring ``core`` of this ``name``."""

    turns: int
    name: str
    core: RingCore
    wire: Wire

    @property
    def inductance(self) -> float:
        """Inductance (H): A_L·N²."""
        return self.core.inductance_factor * self.turns**2

    @property
    def uncertainty(self) -> float:
        """Half-width of the inductance relative to itself, a ratio: the core's tolerance."""
        return self.core.tolerance

    @property
    def wire_length(self) -> float:
        """Length (m) of wire on the ring, one turn around the section at the wire's middle; a
        tenth is added since wire does not hug corners (common practice)."""
        section = (self.core.outer - self.core.inner) + 2 * self.core.height
        return self.turns * 1.1 * (section + math.pi * self.wire.overall)

    @property
    def most_turns(self) -> int:
        """How many turns lie side by side along the inner edge, a gap of 30° left."""
        around = math.pi * (self.core.inner - self.wire.overall) * ROOM_ON_RING
        return max(0, int(around / self.wire.overall))

    @property
    def fits(self) -> bool:
        """Whether the turns lie side by side in one layer."""
        return self.turns <= self.most_turns


def ring_core(name: str, cores: Mapping[str, RingCore] = RING_CORES) -> RingCore:
    """The core of this ``name`` among ``cores``, its factor in H.

    Raises :class:`Unclear` for an unknown one.
    """
    try:
        return cores[name]
    except KeyError:
        raise Unclear(
            f"Core “{name[:20]}” is not on the list: take one of {', '.join(cores)}."
        ) from None


def measured_core(factor: float, outer: float, inner: float, height: float) -> RingCore:
    """A ring of one's own: its inductance ``factor`` (H) as measured; outer and inner diameter
    and height in m.

    Its tolerance is that of the measurement, its drift a guess, and no range of use is known.
    Raises :class:`Unclear` for sizes that make no ring.
    """
    factor = INDUCTANCE_FACTOR.check(factor)
    if not 0 < inner < outer or not height > 0:
        raise Unclear(
            f"A ring of {show(outer, 'm')} outside and {show(inner, 'm')} inside is none: measure both "
            "again, since the hole must be the smaller."
        )
    return RingCore(factor, outer, inner, height, MEASURED_DRIFT, 0.0, math.inf, MEASURED_TOLERANCE)


def permeability_of(core: RingCore) -> float:
    """Relative permeability, a ratio, that a core's factor and size speak of."""
    return core.inductance_factor / section_factor(core.outer, core.inner, core.height, 1.0)


def section_factor(outer: float, inner: float, height: float, permeability: float) -> float:
    """Inductance factor (H) of a ring of rectangular section: µ₀·µ_r·h·ln(outer/inner)/(2π).

    ``outer`` and ``inner`` diameter and ``height`` in m; ``permeability`` is the relative one, a
    ratio.
    """
    return PERMEABILITY * permeability * height * math.log(outer / inner) / (2 * math.pi)


def ring_turns(inductance: float, factor: float) -> float:
    """Turns, not rounded, that give ``inductance`` (H) with an inductance ``factor`` (H)."""
    return math.sqrt(inductance / INDUCTANCE_FACTOR.check(factor))


def wind_ring(inductance: float, name: str, wire: Wire,
              cores: Mapping[str, RingCore] = RING_CORES) -> RingCoil:
    """The ring coil with the whole number of turns nearest to ``inductance`` (H).

    ``name`` is one of ``cores``.  A wire through the hole is a turn, so there are no half ones.  Raises :class:`Unclear` for an
    unknown core, and where more than 500 turns or less than one would be needed.
    """
    core = ring_core(name, cores)
    exact = ring_turns(inductance, core.inductance_factor)
    if not 0.7 <= exact <= RING_TURNS.high:
        raise Unclear(
            f"{show(inductance, 'H', digits=3)} asks for {exact:.2g} turns on {name}: take another "
            "core, or another coil."
        )
    below = max(1, math.floor(exact))
    turns = min((below, below + 1), key=lambda n: abs(n * n - exact * exact))
    return RingCoil(turns=turns, name=name, core=core, wire=wire)


def common_ring(inductance: float, frequency: float) -> RingCoil:
    """``inductance`` (H) at ``frequency`` (Hz) on the first common core and in the thickest wire that
    take the turns in one layer.

    Only cores meant for the frequency are tried.  Raises :class:`Unclear` where none will do.
    """
    for name in COMMON:
        core = ring_core(name)
        if not core.lowest <= frequency <= core.highest:
            continue
        for called in COMMON_WIRES:
            try:
                ring = wind_ring(inductance, name, wire_called(called))
            except Unclear:
                break
            if ring.fits and ring.turns >= FEWEST:
                return ring
    raise Unclear(f"No common ring core takes {show(inductance, 'H', digits=3)} at "
                  f"{show(frequency, 'Hz', digits=4)}.")


def demagnetising(slenderness: float) -> float:
    """Demagnetising factor, a ratio, of an ellipsoid ``slenderness`` times as long as thick (> 1).

    n = [m/√(m² − 1)·ln(m + √(m² − 1)) − 1]/(m² − 1) (Osborn 1945).
    """
    m = slenderness
    root = math.sqrt(m * m - 1)
    return (m / root * math.log(m + root) - 1) / (m * m - 1)


@dataclass(frozen=True)
class SlugCoil:
    """A coil on a former with an adjusting core: ``out`` and ``fully_in`` (H) are its ends.

    ``gain`` is the ratio of the two.
    """

    coil: Coil | LayeredCoil
    out: float
    fully_in: float
    gain: float

    def reaches(self, inductance: float) -> bool:
        """Whether ``inductance`` (H) lies inside the travel even if the estimate is off.

        What the core adds is taken as a third less than estimated.
        """
        surely = self.out + (1 - SLUG_UNCERTAINTY) * (self.fully_in - self.out)
        return self.out <= inductance <= surely


def slug_gain(former: float, diameter: float) -> float:
    """How much an adjusting core multiplies the inductance, a ratio; an estimate, see the module.

    ``former`` and the coil's mean ``diameter`` in m.
    """
    thickness = max(former - SLUG_CLEARANCE, 0.3 * former)
    gathers = SLUG_PERMEABILITY / (
        1 + demagnetising(SLUG_LENGTH_TO_DIAMETER) * (SLUG_PERMEABILITY - 1))
    return 1 + (gathers - 1) * (thickness / diameter) ** 2


def with_slug(coil: Coil | LayeredCoil, frequency: float = 0.0) -> SlugCoil:
    """``coil`` with the adjusting core out and fully in, at ``frequency`` (Hz).

    A coil in layers is of thin wire, and taken as at low frequency.
    """
    gain = slug_gain(coil.former, coil.diameter)
    out = coil.inductance if isinstance(coil, LayeredCoil) else coil.inductance_at(frequency)
    return SlugCoil(coil, out, out * gain, gain)


def wind_slug(inductance: float, former: float, wire: Wire, frequency: float = 0.0) -> SlugCoil:
    """Close-wound coil whose adjusting core sets ``inductance`` (H) well inside its travel.

    The turns, a whole number, are such that what is wanted needs about a third of what the core
    adds; ``former`` in m, ``frequency`` in Hz.  Raises :class:`Unclear` as
    :func:`~rxlearn.compute.coils.turns_wanted` does.
    """
    gain = slug_gain(former, former + wire.overall)
    found = turns_wanted(inductance / (1 + (gain - 1) / 3), former, wire, frequency=frequency)
    turns = max(1, round(found.turns))
    coil = Coil(turns=turns, former=former, length=turns * wire.overall, wire=wire)
    return with_slug(coil, frequency)


def wind_layers(inductance: float, former: float, length: float, wire: Wire) -> SlugCoil:
    """The same in layers over ``length`` (m) of a ``former`` (m), for ``inductance`` (H).

    The gain is that of the finished coil, which is thicker.  Raises :class:`Unclear` as
    :func:`~rxlearn.compute.layered.layers_wanted` does.
    """
    found = with_slug(layers_wanted(inductance, former, length, wire))
    for _ in range(4):  # the depth changes the gain a little, the gain the turns: it settles
        share = 1 + (found.gain - 1) / 3
        coil = layers_wanted(inductance / share, former, length, wire)
        found = with_slug(coil)
    whole = LayeredCoil(turns=max(2, round(found.coil.turns)), former=former, length=length, wire=wire)
    return with_slug(whole)

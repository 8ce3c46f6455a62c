"""One inductance, three ways to wind it: air coil, ring core, former with an adjusting core.

SI throughout.  Every number comes from :mod:`coils`, :mod:`toroid` and :mod:`coil_q` of this
package, whose limits hold.  Q is what the wire allows: an air coil's with its neighbours' part,
the others' without, and their iron takes its own share on top, for which there is no formula.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from rxlearn.compute.coil_q import coil_loss
from rxlearn.compute.coils import Coil, coil_uncertainty, turns_wanted
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.toroid import SLUG_UNCERTAINTY, RingCoil, SlugCoil, wind_ring, wind_slug
from rxlearn.compute.wire import Wire, direct_resistance, skin_ratio
from rxlearn.data.cores import AIR_DRIFT, AIR_SHARE, LAYERS_Q, RING_CORES, RING_Q, SLUG_DRIFT, SLUG_Q, RingCore

AIR, RING, SLUG, LAYERS = "air", "ring", "slug", "layers"


@dataclass(frozen=True)
class Way:
    """One way to an inductance of ``wanted`` (H) at ``frequency`` (Hz), or why it does not go.

    ``inductance`` (H) comes of whole or broken ``turns``, with the half-width ``uncertainty``
    relative to it; the adjusting core sets it between ``low`` and ``high`` (H), the others have
    both the same.  ``wire_length`` in m, ``q`` what the wire allows, ``drift`` in ppm for each °C,
    ``width`` and ``height`` (m) of the body.  ``built`` holds the coil itself; ``problem`` is
    empty where it can be wound.
    """

    kind: str
    wanted: float
    frequency: float
    turns: float = 0.0
    inductance: float = 0.0
    uncertainty: float = 0.0
    low: float = 0.0
    high: float = 0.0
    wire_length: float = 0.0
    q: float = 0.0
    drift: float = 0.0
    width: float = 0.0
    height: float = 0.0
    built: Coil | RingCoil | SlugCoil | None = None
    problem: str = ""

    @property
    def off(self) -> float:
        """Inductance over what is wanted, less 1: a ratio."""
        return self.inductance / self.wanted - 1 if self.inductance else math.nan

    @property
    def usual_q(self) -> tuple[float, float]:
        """Least and most Q, plain numbers, that one usually measures: never above the wire's.

        Iron decides it where there is iron; an air coil loses at leads, former and neighbours.
        """
        if self.kind == AIR:
            return AIR_SHARE[0] * self.q, AIR_SHARE[1] * self.q
        least, most = {RING: RING_Q, SLUG: SLUG_Q, LAYERS: LAYERS_Q}[self.kind]
        return min(least, AIR_SHARE[0] * self.q), min(most, self.q)

    @property
    def middling_q(self) -> float:
        """The middle of :attr:`usual_q`, a plain number to reckon with before one has measured."""
        return sum(self.usual_q) / 2


@dataclass(frozen=True)
class ThreeWays:
    """``air``, ``ring`` and ``slug``, each a :class:`Way` to the same ``wanted`` (H)."""

    wanted: float
    frequency: float
    air: Way
    ring: Way
    slug: Way

    @property
    def all(self) -> tuple[Way, Way, Way]:
        """The three ways in order: air, ring, adjusting core."""
        return self.air, self.ring, self.slug


def wire_q(inductance: float, frequency: float, wire: Wire, length: float) -> float:
    """Q, a plain number, that ``length`` (m) of ``wire`` alone allows: skin effect, no neighbours.

    ``inductance`` in H, ``frequency`` in Hz.
    """
    resistance = direct_resistance(wire.diameter, length) * skin_ratio(wire.diameter, frequency)
    return 2 * math.pi * frequency * inductance / resistance


def air_way(coil: Coil, wanted: float, frequency: float) -> Way:
    """An air coil as a way to ``wanted`` (H) at ``frequency`` (Hz)."""
    inductance = coil.inductance_at(frequency)
    problem = "" if coil.fits else (
        f"{coil.turns:.3g} turns of this wire do not lie side by side on the length: "
        f"{coil.most_turns:.3g} do."
    )
    return Way(
        AIR, wanted, frequency, coil.turns, inductance, coil_uncertainty(coil), inductance,
        inductance, coil.wire_length, coil_loss(coil, frequency).q, AIR_DRIFT, coil.length,
        coil.diameter + coil.wire.overall, coil, problem,
    )


def _called(ring: RingCoil) -> str:
    return ring.name if ring.name in RING_CORES else "this ring"


def ring_way(ring: RingCoil, wanted: float, frequency: float) -> Way:
    """A ring coil as a way to ``wanted`` (H) at ``frequency`` (Hz)."""
    problem = "" if ring.fits else (
        f"{ring.turns} turns of this wire do not lie in one layer on {_called(ring)}: "
        f"{ring.most_turns} do."
    )
    core, thick = ring.core, 2 * ring.wire.overall
    return Way(
        RING, wanted, frequency, ring.turns, ring.inductance, ring.uncertainty, ring.inductance,
        ring.inductance, ring.wire_length,
        wire_q(ring.inductance, frequency, ring.wire, ring.wire_length), core.drift,
        core.outer + thick, core.outer + thick, ring, problem,
    )


def slug_way(slug: SlugCoil, wanted: float, frequency: float) -> Way:
    """A coil with an adjusting core as a way to ``wanted`` (H) at ``frequency`` (Hz)."""
    coil = slug.coil
    reached = min(max(wanted, slug.out), slug.fully_in)
    problem = "" if slug.reaches(wanted) else (
        "What is wanted does not lie surely inside the core's travel: change the turns."
    )
    return Way(
        SLUG, wanted, frequency, coil.turns, reached,
        SLUG_UNCERTAINTY * (slug.gain - 1) / slug.gain, slug.out, slug.fully_in, coil.wire_length,
        wire_q(reached, frequency, coil.wire, coil.wire_length), SLUG_DRIFT, coil.length,
        coil.diameter + coil.wire.overall, slug, problem,
    )


def layered_way(slug: SlugCoil, wanted: float, frequency: float) -> Way:
    """A coil in layers with an adjusting core as a way to ``wanted`` (H) at ``frequency`` (Hz)."""
    coil = slug.coil
    way = replace(slug_way(slug, wanted, frequency), kind=LAYERS,
                  height=coil.former + 2 * coil.depth)
    if coil.layers < 1:
        return replace(way, problem="That is not more than one layer: shorten the winding.")
    if coil.depth > coil.former:
        return replace(way, problem="The layers are deeper than the former is thick: make the "
                                    "winding longer, or take thinner wire.")
    return way


def three_ways(
    wanted: float, frequency: float, *, former: float, air_wire: Wire, spacing: float, core: str,
    ring_wire: Wire, slug_former: float, slug_wire: Wire,
    cores: Mapping[str, RingCore] = RING_CORES,
) -> ThreeWays:
    """Wind ``wanted`` (H at ``frequency``, Hz) as air coil, on a ring and with an adjusting core.

    ``former`` and ``slug_former`` in m; ``spacing`` is the air coil's pitch over its wire's
    overall diameter, a ratio; ``core`` is a ring's name among ``cores``.  A way that does not go keeps the
    reason in its ``problem``.
    """
    def or_why(kind: str, make) -> Way:
        try:
            return make()
        except Unclear as reason:
            return Way(kind, wanted, frequency, problem=str(reason))

    return ThreeWays(
        wanted, frequency,
        or_why(AIR, lambda: air_way(
            turns_wanted(wanted, former, air_wire, spacing=spacing, frequency=frequency),
            wanted, frequency)),
        or_why(RING, lambda: ring_way(wind_ring(wanted, core, ring_wire, cores), wanted, frequency)),
        or_why(SLUG, lambda: slug_way(
            wind_slug(wanted, slug_former, slug_wire, frequency), wanted, frequency)),
    )

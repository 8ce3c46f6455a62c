"""A card for each of the plan's coils to take to the bench.

Where a coil cannot be worked out or wound, its card carries the reason in words.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.coil_q import coil_loss
from rxlearn.compute.coil_ways import AIR, LAYERS, SLUG, Way
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.toroid import FERRITE_FROM, RingCoil, permeability_of
from rxlearn.data.cores import RingCore
from rxlearn.plan.coil_cures import LEAST_Q, off_words, other_ring, problem_of
from rxlearn.plan.coil_fields import COILS, KINDS, OWN_RING
from rxlearn.plan.coils import (
    ADJUSTED,
    LEADS,
    ON_FORMERS,
    layered_of,
    link_turns,
    tap_turns,
    transformer_gap,
    transformer_of,
    turns_words,
    way_of,
    winding_of,
    wire_of,
)
from rxlearn.plan.document import Plan

NEAR = 0.02
"""An inductance this near to what is wanted, as a ratio, is called right: spreading does the rest."""

LONGEST = 4.0
"""So many diameters long, a coil of one layer is no longer what one would wind."""


@dataclass(frozen=True)
class CoilCard:
    """One coil for the bench: what to wind and what should come of it.

    ``way`` holds the numbers (SI; see :class:`~rxlearn.compute.coil_ways.Way`); ``on``, ``wire``
    and ``winding`` are words; ``cut`` is the wire to cut (m), leads included; ``own_capacitance``
    in F, zero where no formula is known; ``more`` are windings and taps besides, as pairs of
    words; ``notes`` are sentences.  ``problem`` is empty where the coil can be wound as planned
    and adjusted to what is wanted; where it cannot be worked out at all ``way`` is None.
    """

    key: str
    name: str
    on: str
    wire: str
    winding: str = ""
    cut: float = 0.0
    own_capacitance: float = 0.0
    way: Way | None = None
    more: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    problem: str = ""

    @property
    def verdict(self) -> str:
        """How the inductance lies against what is wanted, in a few words."""
        if self.way is None:
            return self.problem
        if self.way.kind in ADJUSTED:
            reached = self.way.low <= self.way.wanted <= self.way.high
            return "inside the core's travel" if reached else "outside the core's travel"
        off = self.way.off
        if abs(off) <= NEAR:
            return "right"
        return off_words(off)

    @property
    def lines(self) -> tuple[tuple[str, str], ...]:
        """The card as pairs of a label and what stands beside it, ready to print."""
        if self.way is None:
            return ("cannot be wound", self.problem),
        way = self.way
        inductance = _inductance(way)
        return (
            ("works at", show(way.frequency, "Hz", digits=5)),
            ("wanted", show(way.wanted, "H", digits=4)),
            ("wind on", self.on), ("wire", self.wire), ("winding", self.winding), *self.more,
            ("cut", show(self.cut, "m", digits=3)),
            ("gives", f"{inductance}: {self.verdict}"), ("Q", _q(way)),
            *(() if not self.own_capacitance else (("has of its own", show(
                self.own_capacitance, "F", digits=2) + ", one of the strays"),)),
        )


def coil_card(plan: Plan, coil: str) -> CoilCard:
    """The card of ``coil``, a key of :data:`~rxlearn.plan.coil_fields.COILS`."""
    kind, wire = plan.value(f"{coil}.kind"), wire_of(plan, coil)
    words = KINDS[kind] if kind not in ON_FORMERS else (
        f"{KINDS[kind]} of {show(plan.value(f'{coil}.diameter'), 'm', digits=3)}")
    overall = show(wire.overall, "m", digits=2, prefix="m")
    card = {"key": coil, "name": COILS[coil], "on": words,
            "wire": f"{wire.name}, enamelled, {overall} over all"}
    try:
        way = way_of(plan, coil)
        own = (coil_loss(winding_of(plan, coil), way.frequency).own_capacitance
               if kind == AIR else 0.0)
        problem = problem_of(plan, coil, way)
        notes = (*_notes(plan, coil, way, problem), *_spacing(plan, coil))
    except Unclear as reason:
        return CoilCard(**card, problem=" ".join((str(reason), other_ring(plan, coil))).rstrip())
    return CoilCard(
        **card, winding=_winding(plan, coil, way), cut=way.wire_length + LEADS,
        own_capacitance=own, way=way, more=_more(plan, coil, way), notes=notes, problem=problem)


def coil_cards(plan: Plan) -> tuple[CoilCard, ...]:
    """A card for each coil of the plan, in the order of the signal's way back: oscillator first."""
    return tuple(coil_card(plan, coil) for coil in COILS)


def _inductance(way: Way) -> str:
    if way.kind in ADJUSTED:
        ends = [show(end, "H", digits=3) for end in (way.low, way.high)]
        return f"{ends[0]} to {ends[1]}, by estimate"
    return (f"{show(way.inductance, 'H', digits=3)} ± "
            f"{show(100 * way.uncertainty, '%', digits=1)}")


def _q(way: Way) -> str:
    least, most = way.usual_q
    return f"{least:.0f} to {most:.0f} is usual; the wire alone allows {way.q:.0f}"


def _winding(plan: Plan, coil: str, way: Way) -> str:
    turns = show(way.turns, "", digits=4)
    if way.kind == AIR:
        winding = winding_of(plan, coil)
        return (f"{turns} turns over {show(winding.length, 'm', digits=3)}, one every "
                f"{show(winding.pitch, 'm', digits=3)}")
    if way.kind == SLUG:
        return f"{turns} turns side by side, {show(way.width, 'm', digits=3)} long"
    if way.kind == LAYERS:
        layered = layered_of(plan, coil)
        return (f"{turns} turns in {layered.layers:.0f} layers, {show(layered.length, 'm', digits=3)} "
                f"long and {show(layered.depth, 'm', digits=2)} deep")
    return f"{turns} turns, counted on the inside, spread over the ring but for a gap of 30°"


def _more(plan: Plan, coil: str, way: Way) -> tuple[tuple[str, str], ...]:
    """Taps and windings besides: where the coil's other connections go."""
    if coil == "oscillator_coil":
        return ("tap", f"{turns_words(tap_turns(way))} from the end at the chassis, to the cathode"),
    if coil in ("lower_coil", "upper_coil"):
        link = link_turns(plan, coil, way)
        where = " of the first circuit" if plan.value("preselector.circuits") > 1 else ""
        return (f"aerial winding{where}", f"{turns_words(link)} over the end at the chassis"),
    if coil == "transformer_coil":
        return ("detector's coil", f"tapped in its middle, {turns_words(way.turns / 2)} from either end"),
    return ()


def _notes(plan: Plan, coil: str, way: Way, problem: str) -> tuple[str, ...]:
    """What to look out for, a sentence each."""
    notes = [problem] if problem else []
    if way.kind == AIR:
        doubts = coil_loss(winding_of(plan, coil), way.frequency).doubts
        if doubts and not problem:
            notes.append(f"Doubt the Q: {'; '.join(doubts)}.")
    if way.kind in (AIR, SLUG) and way.width > LONGEST * way.height:
        notes.append("That is a long coil: take more capacitance or a larger former, wind it in "
                     "layers, or take a ring.")
    if way.q < LEAST_Q:
        notes.append("The wire alone makes a poor coil here: take thicker wire or a larger former.")
    wanted_q = plan.value("preselector.loaded_q")
    if coil in ("lower_coil", "upper_coil") and way.middling_q < wanted_q:
        notes.append(f"A coil like this hardly reaches the loaded Q of {wanted_q:g} that the plan "
                     "wants of its circuit.")
    core = way.built.core if isinstance(way.built, RingCoil) else None
    if core and way.built.name == OWN_RING:
        notes.append(_iron(core, coil))
    return tuple(notes)


def _iron(core: RingCore, coil: str) -> str:
    """What size and factor of a ring say of what it is made of."""
    permeability = permeability_of(core)
    if permeability < FERRITE_FROM:
        return f"Its permeability is about {permeability:.0f}: powdered iron, by that."
    drifts = ", and ferrite drifts: not for an oscillator" if coil == "oscillator_coil" else ""
    return f"Its permeability is about {permeability:.0f}, so it is ferrite{drifts}."


def _spacing(plan: Plan, coil: str) -> tuple[str, ...]:
    """How the transformer's coils are coupled, and what they cannot do."""
    if coil != "transformer_coil":
        return ()
    found = transformer_of(plan)
    notes = []
    if not found.possible:
        notes.append(f"These coils cannot be narrower than {show(found.narrowest, 'Hz', digits=3)}.")
    try:
        notes.append(f"Two of them on one axis, {show(transformer_gap(plan), 'm', digits=2)} between "
                     "the windings.")
    except Unclear:
        notes.append(f"Two of them, screened from each other, with "
                     f"{show(found.top_capacitance, 'F', digits=2)} from top to top.")
    return tuple(notes)

"""The plan's coils as ``compute`` wants them, and how a drawing words their taps and links.

What raises does so with :class:`~rxlearn.compute.quantities.Unclear` and the reason.
"""

from __future__ import annotations

import math

from rxlearn.compute.beat_tank import BeatTank, beat_tank
from rxlearn.compute.coaxial import gap_for
from rxlearn.compute.coil_ways import (
    AIR,
    LAYERS,
    SLUG,
    Way,
    air_way,
    layered_way,
    ring_way,
    slug_way,
)
from rxlearn.compute.coils import Coil, length_wanted, turns_wanted
from rxlearn.compute.coupled_circuits import IntermediateTransformer, intermediate_transformer
from rxlearn.compute.layered import LayeredCoil
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.tank import inductance_for
from rxlearn.compute.toroid import (
    RingCoil,
    measured_core,
    ring_core,
    wind_layers,
    wind_ring,
    wind_slug,
    with_slug,
)
from rxlearn.compute.wire import Wire, wire_called
from rxlearn.data.cores import RING_CORES, RingCore
from rxlearn.plan.aerial import match_of
from rxlearn.plan.band_spread import band_of
from rxlearn.plan.coil_fields import CAPACITANCES, OWN_RING, TRANSFORMER_WIDTH
from rxlearn.plan.document import Plan
from rxlearn.plan.scheme import scheme_of

ADJUSTED = (SLUG, LAYERS)
"""Kinds with an adjusting core."""

ON_FORMERS = (AIR, *ADJUSTED)
"""Kinds that have a former, and see each other on one axis."""

LEADS = 0.1
"""Wire (m) to cut on top of the winding: 5 cm for each end."""

ROOM = 3.0
"""An air coil's turns lie at most so many wire diameters apart, unless it is so short that even then
it is not as long as its former is thick (a choice: farther apart they hold no shape)."""

SPREADS = 0.05
"""What spreading or squeezing the end turns of an air coil, or the turns on a ring, makes up: a
ratio (common practice, no source)."""

TRIMMED = 15e-12
"""What a trimmer of 30 pF, set half-way, gives either way, F."""

TAP = 0.25
"""Where the cathode taps the oscillator's coil, as a share of its turns from the chassis."""


def frequency_of(plan: Plan, coil: str) -> float:
    """Where ``coil`` (a key of :data:`~rxlearn.plan.coil_fields.COILS`) works, Hz.

    The middle of the dial, the middle of the band, or the intermediate frequency.
    """
    if coil in ("transformer_coil", "beat_coil"):
        return plan.value("intermediate_frequency")
    if coil != "oscillator_coil":
        band = coil.replace("_coil", "_band")
        return math.sqrt(plan.value(f"{band}.low") * plan.value(f"{band}.high"))
    scheme = scheme_of(plan)
    if scheme.works:
        return (scheme.dial_low + scheme.dial_high) / 2
    found = band_of(plan, "lower_band")  # raises with its reasons if that cannot work, either
    return (found.oscillator_low + found.oscillator_high) / 2


def wanted_of(plan: Plan, coil: str) -> float:
    """The inductance (H) that the plan asks of ``coil``: its own field, or what its capacitor needs."""
    if coil == "oscillator_coil":
        return plan.value("oscillator.inductance")
    if coil == "beat_coil":
        return beat_tank_of(plan).coil
    return inductance_for(frequency_of(plan, coil), plan.value(CAPACITANCES[coil]))


def preselector_variable(plan: Plan) -> float:
    """The most (F) of the preselector's variable capacitor: one part, for both bands' coils.

    Half as much again as what lies across the coils in mid-band reaches the bands' low edges.
    """
    return 1.5 * max(plan.value(CAPACITANCES[f"{band}_coil"]) for band in ("lower", "upper"))


def beat_tank_of(plan: Plan) -> BeatTank:
    """The beat oscillator's tank for the plan's intermediate frequency and offset."""
    return beat_tank(plan.value("intermediate_frequency"), plan.value("beat_oscillator.offset"))


def wire_of(plan: Plan, coil: str) -> Wire:
    """The wire of ``coil``."""
    return wire_called(plan.value(f"{coil}.wire"))


def winding_of(plan: Plan, coil: str) -> Coil:
    """``coil`` as a single layer with the plan's turns and length, whatever it is wound on.

    On a former with an adjusting core the turns lie side by side, so that the length follows.
    Layers are taken as one layer of their mean diameter, which does for their coupling.
    """
    wire, turns = wire_of(plan, coil), plan.value(f"{coil}.turns")
    if plan.value(f"{coil}.kind") == LAYERS:
        layered = layered_of(plan, coil)
        return Coil(turns=turns, former=layered.diameter - wire.overall, length=layered.length,
                    wire=wire)
    side_by_side = plan.value(f"{coil}.kind") == SLUG
    length = turns * wire.overall if side_by_side else plan.value(f"{coil}.length")
    return Coil(turns=turns, former=plan.value(f"{coil}.diameter"), length=length, wire=wire)


def layered_of(plan: Plan, coil: str) -> LayeredCoil:
    """``coil`` in layers, with the plan's turns and length."""
    return LayeredCoil(turns=plan.value(f"{coil}.turns"), former=plan.value(f"{coil}.diameter"),
                       length=plan.value(f"{coil}.length"), wire=wire_of(plan, coil))


def core_of(plan: Plan, kind: str) -> RingCore:
    """The ring core of this ``kind``, one of the trade's or the learner's own."""
    if kind != OWN_RING:
        return ring_core(kind)
    return measured_core(*(
        plan.value(f"own_ring.{part}") for part in ("factor", "outer", "inner", "height")))


def cores_of(plan: Plan) -> dict[str, RingCore]:
    """Every ring core by its name, the learner's own last, if its sizes make a ring."""
    try:
        return {**RING_CORES, OWN_RING: core_of(plan, OWN_RING)}
    except Unclear:
        return dict(RING_CORES)


def way_of(plan: Plan, coil: str) -> Way:
    """``coil`` as the plan has it wound, against what is wanted of it."""
    wanted, frequency = wanted_of(plan, coil), frequency_of(plan, coil)
    kind = plan.value(f"{coil}.kind")
    if kind == AIR:
        return air_way(winding_of(plan, coil), wanted, frequency)
    if kind == SLUG:
        return slug_way(with_slug(winding_of(plan, coil), frequency), wanted, frequency)
    if kind == LAYERS:
        return layered_way(with_slug(layered_of(plan, coil)), wanted, frequency)
    # A wire through the hole is a turn: there are only whole ones.
    turns = max(1, round(plan.value(f"{coil}.turns")))
    ring = RingCoil(turns=turns, name=kind, core=core_of(plan, kind), wire=wire_of(plan, coil))
    return ring_way(ring, wanted, frequency)


def turns_and_length(plan: Plan, coil: str) -> tuple[float, float]:
    """Whole turns, and the winding length (m), with which ``coil`` gives what is wanted.

    An air coil keeps about the plan's length, and its turns no farther apart than :data:`ROOM`
    allows; where none comes right, the nearest there is.  A ring's length stays as it is in the
    plan.
    """
    wanted, frequency, wire = wanted_of(plan, coil), frequency_of(plan, coil), wire_of(plan, coil)
    former, kind = plan.value(f"{coil}.diameter"), plan.value(f"{coil}.kind")
    if kind == SLUG:
        found = wind_slug(wanted, former, wire, frequency).coil
        return found.turns, round(found.length, 5)
    if kind == LAYERS:
        length = plan.value(f"{coil}.length")
        return wind_layers(wanted, former, length, wire).coil.turns, length
    if kind != AIR:
        return float(wind_ring(wanted, kind, wire, {kind: core_of(plan, kind)}).turns), plan.value(f"{coil}.length")
    return _wound_in_air(wanted, former, wire, plan.value(f"{coil}.length"), frequency)


def _wound_in_air(wanted: float, former: float, wire: Wire, length: float,
                  frequency: float) -> tuple[float, float]:
    """Whole turns and the length (m), near ``length`` if that goes, that come nearest to ``wanted``."""
    one = Coil(turns=1.0, former=former, length=wire.overall, wire=wire)
    if one.inductance_at(frequency) >= wanted:
        return 1.0, round(_longest(one), 5)  # too much already: the card says by how much
    tight = turns_wanted(wanted, former, wire, frequency=frequency)
    middle = turns_wanted(wanted, former, wire, length=max(length, 1.1 * tight.length),
                          frequency=frequency).turns
    tried = []
    for turns in range(max(1, math.floor(tight.turns)), math.ceil(middle) + 1):
        if turns < math.floor(middle) - 2 and turns > math.ceil(tight.turns) + 1:
            continue  # neither near the length that is wished nor near the tightest
        coil = Coil(turns=float(turns), former=former, length=turns * wire.overall, wire=wire)
        spread = length_wanted(coil, wanted, frequency, longest=_longest(coil))
        off = abs(spread.inductance_at(frequency) / wanted - 1)
        tried.append((round(off, 4), abs(spread.length - length), spread))
    best = min(tried, key=lambda row: row[:2])[2]
    return best.turns, round(best.length, 5)


def _longest(coil: Coil) -> float:
    """How long (m) the winding of ``coil`` may become."""
    return max(ROOM * coil.turns * coil.wire.overall, coil.former)


def transformer_of(plan: Plan) -> IntermediateTransformer:
    """The plan's intermediate-frequency transformer, critically coupled, with its coils' Q."""
    way = way_of(plan, "transformer_coil")
    return intermediate_transformer(
        way.frequency, plan.value("transformer_coil.capacitance"), plan.value(TRANSFORMER_WIDTH),
        max(2.0, min(way.middling_q, 2000.0)))


def transformer_gap(plan: Plan) -> float:
    """How far apart (m) the transformer's two windings lie on one axis, for critical coupling."""
    if plan.value("transformer_coil.kind") not in ON_FORMERS:
        raise Unclear("Ring cores do not see each other: couple the two by a capacitor at the top.")
    winding = winding_of(plan, "transformer_coil")
    return gap_for(winding, winding, transformer_of(plan).coupling)


def adjusting_reach(plan: Plan, coil: str) -> float:
    """How far off, as a ratio, a coil without a core may be so that adjusting makes it up.

    Its turns can be moved; trimmers take the rest where there is one across the coil.
    """
    if coil == "oscillator_coil" or coil not in CAPACITANCES:
        return SPREADS
    return SPREADS + TRIMMED / plan.value(CAPACITANCES[coil])


def tap_turns(way: Way) -> float:
    """Turns from the chassis to the oscillator's tap."""
    # On a ring a wire through the hole is a turn: there are only whole ones.
    parts = 1 if way.kind not in ON_FORMERS else 2
    return max(1.0, round(parts * TAP * way.turns) / parts)


def link_turns(plan: Plan, coil: str, way: Way) -> int:
    """Whole turns of the aerial winding."""
    return max(1, round(way.turns / match_of(plan, coil.replace("_coil", "_band")).turns))


def drawn_tap(plan: Plan) -> str:
    """The oscillator's tap as its card has it, for the drawing."""
    try:
        way = way_of(plan, "oscillator_coil")
    except Unclear:
        return "tap a quarter up"
    return f"tap at turn {tap_turns(way):.3g} of {show(way.turns, '', digits=4)}"


def drawn_link(plan: Plan, coil: str) -> str:
    """The aerial winding as the card of ``coil`` has it, for the drawing; empty where it has none."""
    try:
        way = way_of(plan, coil)
    except Unclear:
        return ""
    return f"{turns_words(link_turns(plan, coil, way))} to {show(way.turns, '', digits=4)} of L2"


def turns_words(count: float) -> str:
    """``count`` of turns in words."""
    return f"{count:.3g} turn{'s' if count != 1 else ''}"

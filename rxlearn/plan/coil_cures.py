"""What is wrong with a coil as the plan has it, and which turns, core or wire would do instead."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from rxlearn.compute.coil_ways import AIR, Way
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.ring_search import ring_for
from rxlearn.compute.toroid import FEWEST, RingCoil, ring_core
from rxlearn.plan.coil_fields import COILS, OWN_RING
from rxlearn.plan.coils import (
    ADJUSTED,
    ON_FORMERS,
    adjusting_reach,
    frequency_of,
    turns_and_length,
    turns_words,
    wanted_of,
    way_of,
    wire_of,
)
from rxlearn.plan.document import Change, Plan, PlanFault

FAR = 0.5
"""An inductance so far off, as a ratio, is said as a multiple of what is wanted."""

LEAST_Q = 30.0
"""Below this a coil's own loss is the first thing to mend (common practice, no source)."""


def problem_of(plan: Plan, coil: str, way: Way) -> str:
    """What keeps the coil from doing its work, and what would do instead; empty if nothing does."""
    reason = _reason(plan, coil, way)
    if not reason:
        return ""
    cure = _other_turns(plan, coil) or other_ring(plan, coil) or (
        "No common ring core does, either: choose another capacitance, former or wire.")
    return f"{reason} {cure}"


def _reason(plan: Plan, coil: str, way: Way) -> str:
    """Why the coil cannot be wound, adjusted to what is wanted, or trusted at its frequency."""
    if way.problem:
        return way.problem
    reach = adjusting_reach(plan, coil)
    if way.kind not in ADJUSTED and abs(way.off) > reach:
        return (f"Its inductance is {off_words(way.off)}, and adjusting makes up "
                f"{show(100 * reach, '%', digits=2)}.")
    core = way.built.core if isinstance(way.built, RingCoil) else None
    if core and not core.lowest <= way.frequency <= core.highest:
        return (f"{way.built.name} is meant for {show(core.lowest, 'Hz')} to {show(core.highest, 'Hz')}: "
                "its loss is not known here.")
    return ""


def _other_turns(plan: Plan, coil: str) -> str:
    """The turns with which the same core and wire would do; empty where none would."""
    try:
        turns, length = turns_and_length(plan, coil)
        found = {f"{coil}.turns": turns, f"{coil}.length": length}
        again = plan.changed({key: Change(value=value, status="computed", origin="coils")
                              for key, value in found.items()})
        way = way_of(again, coil)
    except (Unclear, PlanFault):
        return ""
    if _reason(again, coil, way):
        return ""
    over = f" over {show(length, 'm', digits=3)}" if way.kind == AIR else ""
    return f"Wind {turns_words(turns)}{over} instead (“{COILS[coil]}, turns”): those do."


UNTAPPED: Mapping[str, int] = MappingProxyType({"transformer_coil": 4, "beat_coil": 4})
"""So many turns at least of a ring that is proposed for a coil without link or tap (a choice)."""


def other_ring(plan: Plan, coil: str) -> str:
    """The nearest ring core and wire that would do, in a sentence; empty where none would."""
    kind = plan.value(f"{coil}.kind")
    tuned = coil in ("lower_coil", "upper_coil")
    try:
        found = ring_for(
            wanted_of(plan, coil), frequency_of(plan, coil), wire=wire_of(plan, coil),
            size=plan.value(f"{coil}.diameter") if kind in ON_FORMERS else _outer(plan, kind),
            reach=adjusting_reach(plan, coil), fewest=UNTAPPED.get(coil, FEWEST),
            least_q=max(LEAST_Q, plan.value("preselector.loaded_q") if tuned else 0.0))
    except Unclear:
        return ""
    if found is None:
        return ""
    name = COILS[coil]
    return (f"Ring core {found.built.name} with {turns_words(found.turns)} of {found.built.wire.name} wire does "
            f"(“{name}, wound on”, “{name}, wire”).")


def _outer(plan: Plan, kind: str) -> float:
    """Outer diameter (m) of a ring, whether or not one's own is one."""
    return plan.value("own_ring.outer") if kind == OWN_RING else ring_core(kind).outer


def off_words(off: float) -> str:
    """How far an inductance is off what is wanted, a ratio, in words."""
    if abs(off) > FAR:
        return f"{show(1 + off, '', digits=3)} times what is wanted"
    return f"{abs(100 * off):.3g} % too {'much' if off > 0 else 'little'}"

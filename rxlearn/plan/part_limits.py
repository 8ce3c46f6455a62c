"""Parts of which the plan asks more than they stand: by their place on the parts list, with the reason.

The same findings stand on the build sheet under “What is missing”; here they are told by part, so that
nobody buys one as it stands.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rxlearn.compute.circuits import POWER_SUPPLY
from rxlearn.compute.power_supply import solve
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.supply_ratings import EARTHED_HEATER, Finding, check_ratings
from rxlearn.plan.circuits import circuit_name
from rxlearn.plan.document import Plan
from rxlearn.plan.power_supply import HIGH_MAINS, fuse_wanted, marks_of, other_fuse, supply_of
from rxlearn.plan.valve_limits import valves_beyond

SMALL, LARGE = "TOO SMALL", "TOO LARGE"

FUSE_MARK, HEATERS = "F1", "heater winding"


@dataclass(frozen=True)
class Unfit:
    """A part that is :data:`SMALL` or :data:`LARGE` (``against``), in ``words`` what it needs, and the
    ``sentence`` about it under “What is missing”."""

    against: str
    words: str
    sentence: str


def ratings_of(plan: Plan) -> tuple[Finding, ...]:
    """Limits that the supply meets as it is drawn, mains high: with a heater winding for a rectifier
    valve.  Raises Unclear where it cannot work."""
    return tuple(found for found in check_ratings(solve(supply_of(plan), mains=HIGH_MAINS))
                 if found.quantity != EARTHED_HEATER)


def to_weigh(found: Finding) -> bool:
    """Whether a limit that is broken harms nothing at once: heaters some percent off their voltage."""
    return found.exceeded and found.part == HEATERS and "voltage" in found.quantity


def broken_ratings(plan: Plan) -> tuple[Finding, ...]:
    """Limits of the supply that are broken in earnest; none where it cannot work at all."""
    try:
        return tuple(found for found in ratings_of(plan) if found.exceeded and not to_weigh(found))
    except Unclear:
        return ()  # the supply's own section says why


def fuse_words(plan: Plan) -> str:
    """What stands against the plan's line fuse, if it is not the one that its supply asks for."""
    try:
        words = other_fuse(plan)
    except Unclear:
        return ""  # the supply's own section says why
    return f"Line fuse: {words}." if words else ""


def unfit_parts(plan: Plan) -> dict[str, tuple[Unfit, ...]]:
    """Place of a part on the list to what stands against it as the plan has it."""
    found: dict[str, tuple[Unfit, ...]] = {}
    for place, unfit in (*_of_the_supply(plan), *_fuse(plan), *_valves(plan)):
        found[place] = (*found.get(place, ()), unfit)
    return found


def _of_the_supply(plan: Plan) -> Iterator[tuple[str, Unfit]]:
    for found in broken_ratings(plan):
        needs = show(found.limit if found.at_least else found.value, found.unit, digits=3)
        what = found.quantity if found.part != HEATERS else f"{HEATERS}, {found.quantity}"
        unfit = Unfit(SMALL, f"{what} at least {needs}", found.sentence)
        yield from ((f"{circuit_name(POWER_SUPPLY)} {mark}".rstrip(), unfit) for mark in _marks(plan, found))


def _marks(plan: Plan, found: Finding) -> tuple[str, ...]:
    """Marks in the drawing of what is too small; empty for the transformer, whose windings are many.

    Bleeder and capacitors' voltages are left out: the list has them with the rating that they need.
    """
    kind, _, mark = found.part.rpartition(" ")
    if found.part in ("transformer", HEATERS):
        return ("",)
    if found.part.startswith("rectifier"):
        return tuple(marks_of(plan)["supply.rectifier"].split(", "))
    listed_right = kind == "bleeder" or kind == "capacitor" and found.quantity == "voltage"
    return () if listed_right else (mark,)


def _fuse(plan: Plan) -> Iterator[tuple[str, Unfit]]:
    if words := fuse_words(plan):
        wanted, fitted = fuse_wanted(plan), plan.value("supply.fuse")
        least = "at least " if fitted < wanted else ""
        yield f"{circuit_name(POWER_SUPPLY)} {FUSE_MARK}", Unfit(
            SMALL if least else LARGE, f"{least}{show(wanted, 'A')}", words)


def _valves(plan: Plan) -> Iterator[tuple[str, Unfit]]:
    try:
        beyond = valves_beyond(plan)
    except Unclear:
        return  # a supply out of all range is said in its own section
    for one in beyond:
        yield one.bulb, Unfit(SMALL, f"its {one.what} must stand {one.needs}", one.sentence)

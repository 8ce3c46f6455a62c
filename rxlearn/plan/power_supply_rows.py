"""What follows from a plan for its power supply and output stage, worded.

Each row takes the plan and returns a text, or a value in SI with its unit;
it raises Unclear with the reason where there is no answer.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

from rxlearn.compute.audio_matching import match_output
from rxlearn.compute.power_supply import solve
from rxlearn.compute.quantities import show
from rxlearn.compute.supply_ratings import check_ratings, primary_fuse
from rxlearn.compute.supply_switch_off import switch_off
from rxlearn.data.cautions import LIMIT
from rxlearn.plan.document import Plan
from rxlearn.plan.power_supply import HIGH_MAINS, open_checks, supply_of

PlanRow = Callable[[Plan], str | tuple[float, str]]

def _at_load(plan: Plan) -> tuple[float, str]:
    return solve(supply_of(plan)).output_voltage, "V"


def _ripple(plan: Plan) -> str:
    found = solve(supply_of(plan)).capacitors[-1]
    return f"{show(found.ripple_rms, 'V', digits=3)} r.m.s."


def _unloaded(plan: Plan) -> tuple[float, str]:
    return solve(supply_of(plan)).unloaded_voltage, "V"


def _beyond(plan: Plan) -> str:
    findings = check_ratings(solve(supply_of(plan), mains=HIGH_MAINS))
    broken = [f"{f.part}, {f.quantity}" for f in findings if f.exceeded]
    return "; ".join(broken) or "none of those that the plan names"


def _stored(plan: Plan) -> tuple[float, str]:
    return switch_off(supply_of(plan)).energy, "J"


def _bleeder_time(plan: Plan) -> str:
    time = switch_off(supply_of(plan)).time_to_threshold
    if math.isinf(time):
        return "never"
    return f"{show(time, 's', digits=3)}, with a sound bleeder"


def _fuse(plan: Plan) -> str:
    wanted = primary_fuse(solve(supply_of(plan), mains=HIGH_MAINS))
    fitted, rating = plan.value("supply.fuse"), wanted.rating
    current = show(wanted.current, "A", digits=3)
    words = f"the primary carries {current} at high mains, which asks for {show(rating, 'A')}, time-lag"
    if fitted < wanted.least_rating:
        return f"{words}; yours is smaller and would go"
    return f"{words}; yours is larger and guards later" if fitted > rating else words


def _match(plan: Plan) -> str:
    found = match_output(plan.value("output.anode_load"), plan.value("output.loudspeaker"),
                         ratio=plan.value("output.turns_ratio"))
    return f"{show(found.seen, 'Ω', digits=3)} of {show(found.anode_load, 'Ω')} wanted"


def _first_power(plan: Plan) -> str:
    left = open_checks(plan)
    if not left:
        return "all checks have passed: with your mentor, in steps"
    return f"not yet: {len(left)} of the checks are open"


POWER_SUPPLY_ROWS: Mapping[str, PlanRow] = MappingProxyType({
    "Supply, direct voltage at the load": _at_load,
    "Supply, ripple at the load": _ripple,
    "Supply, high mains and nothing drawn": _unloaded,
    "Supply, beyond a rating at high mains": _beyond,
    "Supply, stored energy then": _stored,
    f"Supply, from there to {LIMIT.name}": _bleeder_time,
    "Line fuse": _fuse,
    "Load that the output valve meets": _match,
    "First power": _first_power,
})
"""Label to row, in the order in which to show them."""

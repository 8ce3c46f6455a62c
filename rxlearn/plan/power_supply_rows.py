"""What follows from a plan for its power supply and output stage, worded.

Each row takes a :class:`PlannedSupply` and returns a text, or a value in SI with its unit;
it raises Unclear with the reason where there is no answer.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import cached_property
from types import MappingProxyType

from rxlearn.compute.audio_matching import match_output
from rxlearn.compute.power_supply import solve
from rxlearn.compute.quantities import show
from rxlearn.compute.supply_ratings import check_ratings, primary_fuse
from rxlearn.compute.supply_result import SupplyResult
from rxlearn.compute.supply_switch_off import SwitchOff, switch_off
from rxlearn.data.cautions import LIMIT
from rxlearn.plan.document import Plan
from rxlearn.plan.power_supply import HIGH_MAINS, open_checks, other_fuse, supply_of


class PlannedSupply:
    """A plan's supply, each answer worked out once and when first asked for.

    Raises :class:`~rxlearn.compute.quantities.Unclear` where the plan's supply cannot work.
    """

    def __init__(self, plan: Plan) -> None:
        self.plan = plan

    @cached_property
    def loaded(self) -> SupplyResult:
        """The steady state at nominal mains."""
        return solve(supply_of(self.plan))

    @cached_property
    def worst(self) -> SupplyResult:
        """The steady state at high mains."""
        return solve(supply_of(self.plan), mains=HIGH_MAINS)

    @cached_property
    def off(self) -> SwitchOff:
        """What becomes of the capacitors' charge from the worst case."""
        return switch_off(supply_of(self.plan))


SupplyRow = Callable[[PlannedSupply], str | tuple[float, str]]


def _at_load(supply: PlannedSupply) -> tuple[float, str]:
    return supply.loaded.output_voltage, "V"


def _ripple(supply: PlannedSupply) -> str:
    return f"{show(supply.loaded.capacitors[-1].ripple_rms, 'V', digits=3)} r.m.s."


def _unloaded(supply: PlannedSupply) -> tuple[float, str]:
    return supply.loaded.unloaded_voltage, "V"


def _beyond(supply: PlannedSupply) -> str:
    broken = [f"{f.part}, {f.quantity}" for f in check_ratings(supply.worst) if f.exceeded]
    return "; ".join(broken) or "none of those that the plan names"


def _stored(supply: PlannedSupply) -> tuple[float, str]:
    return supply.off.energy, "J"


def _bleeder_time(supply: PlannedSupply) -> str:
    time = supply.off.time_to_threshold
    return "never" if math.isinf(time) else f"{show(time, 's', digits=3)}, with a sound bleeder"


def _fuse(supply: PlannedSupply) -> str:
    wanted = primary_fuse(supply.worst)
    current = show(wanted.current, "A", digits=3)
    words = (f"the primary carries {current} at high mains, which asks for "
             f"{show(wanted.rating, 'A')}, time-lag")
    against = other_fuse(supply.plan, supply.worst)
    return f"{words}; yours is {against.rpartition('which is ')[2]}" if against else words


def _match(supply: PlannedSupply) -> str:
    plan = supply.plan
    found = match_output(plan.value("output.anode_load"), plan.value("output.loudspeaker"),
                         ratio=plan.value("output.turns_ratio"))
    return f"{show(found.seen, 'Ω', digits=3)} of {show(found.anode_load, 'Ω')} wanted"


def _first_power(supply: PlannedSupply) -> str:
    left = open_checks(supply.plan)
    if not left:
        return "all checks have passed: with your mentor, in steps"
    return f"not yet: {len(left)} of the checks are open"


POWER_SUPPLY_ROWS: Mapping[str, SupplyRow] = MappingProxyType({
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

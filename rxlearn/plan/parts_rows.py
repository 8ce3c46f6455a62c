"""What follows from a plan's parts, worded: how many, what they cost, what is still to find.

Each row takes the planned parts and returns a text; what stops the build is said with what removes it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from types import MappingProxyType

from rxlearn.compute.quantities import show
from rxlearn.plan.document import Plan
from rxlearn.plan.parts import Budget, PlannedPart, budget_of, parts_of
from rxlearn.plan.parts_substitutes import obstacles


def money(value: float, currency: str) -> str:
    """``value`` as an amount of money: two places at most, and the learner's word for it."""
    return f"{show(round(value, 2), '', digits=12)} {currency}"


def cost_words(budget: Budget) -> str:
    """What is spent and still to spend, and how much of the list has no price yet."""
    words = (f"{money(budget.to_spend, budget.currency)} to spend, "
             f"{money(budget.spent, budget.currency)} spent")
    if budget.unpriced:
        lines = "1 line" if budget.unpriced == 1 else f"{budget.unpriced} lines"
        words += f"; {lines} still to find without a price"
    return words


def missing_words(budget: Budget) -> str:
    """How many lines and pieces are not at hand."""
    if not budget.missing:
        return "nothing: every part is at hand"
    return f"{budget.missing} of {budget.lines} lines, {budget.pieces} pieces"


class PlannedParts:
    """A plan's parts list, worked out once for all rows that ask about it."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan

    @cached_property
    def parts(self) -> tuple[PlannedPart, ...]:
        """The lines of the list."""
        return parts_of(self.plan)

    @cached_property
    def budget(self) -> Budget:
        """The sums over the list."""
        return budget_of(self.plan, self.parts)


PartsRow = Callable[[PlannedParts], str]


def _obstacles(planned: PlannedParts) -> str:
    found = obstacles(planned.plan, planned.parts)
    return ", ".join(one.part.what for one in found) or "none"


PARTS_ROWS: Mapping[str, PartsRow] = MappingProxyType({
    "Parts, still to find": lambda planned: missing_words(planned.budget),
    "Parts, money": lambda planned: cost_words(planned.budget),
    "Parts that stop the build while they are missing": _obstacles,
})
"""Label to row, in the order in which to show them."""

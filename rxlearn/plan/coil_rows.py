"""What follows from a plan for its coils, worded.

Each row takes a plan and returns a text, or a value in SI with its unit; it raises Unclear with
the reason where there is no answer.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from rxlearn.compute.quantities import Unclear, show
from rxlearn.plan.coil_cards import coil_card
from rxlearn.plan.coil_fields import COILS
from rxlearn.plan.coils import transformer_gap, transformer_of
from rxlearn.plan.document import Plan

CoilRow = Callable[[Plan], str | tuple[float, str]]


def _row(coil: str) -> CoilRow:
    def row(plan: Plan) -> str:
        card = coil_card(plan, coil)
        if card.way is None:
            raise Unclear(card.problem)
        words = dict(card.lines)
        beyond = f"; {card.problem.rstrip('.')}" if card.problem else ""
        return (f"{words['gives']}, for {words['wanted']} wanted; {words['cut']} of wire; Q of "
                f"{words['Q']}{beyond}")
    return row


def _coupling(plan: Plan) -> str:
    found = transformer_of(plan)
    pair = found.pair
    words = (f"{100 * found.coupling:.3g} %, which makes it "
             f"{show(pair.bandwidth(), 'Hz', digits=3)} wide")
    try:
        return f"{words}: {show(transformer_gap(plan), 'm', digits=2)} between the windings"
    except Unclear:
        return f"{words}: {show(found.top_capacitance, 'F', digits=2)} from top to top"


COIL_ROWS: Mapping[str, CoilRow] = MappingProxyType({
    **{f"{name}, as planned": _row(coil) for coil, name in COILS.items()},
    "Intermediate-frequency transformer, critical coupling": _coupling,
})
"""Label to row, in the order in which to show them."""

"""What follows from a plan for spurious responses: whistles in its bands, and what comes through.

Each row takes the plan and returns a text; it raises Unclear with the reason where there is no
answer.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from rxlearn.compute.quantities import show
from rxlearn.compute.spurs import WANTED, spurious_responses
from rxlearn.compute.whistles import whistles
from rxlearn.plan.document import Plan
from rxlearn.plan.spurious import BANDS, band_plan

ORDER = 7
"""Highest order looked at: what is above is seldom heard (common practice, no source)."""

NAMED = 3
"""Whistles that a row names."""


def _whistles(band: str) -> Callable[[Plan], str]:
    def row(plan: Plan) -> str:
        found = whistles(band_plan(plan, band), order=ORDER)
        if not found:
            return f"none up to order {ORDER}"
        words = [
            f"on {show(w.signal, 'Hz', prefix='k', digits=7)} ({w.name}, {w.pitch_slope} kHz of "
            "pitch for each kHz)" for w in found[:NAMED]]
        more = f"; and {len(found) - NAMED} more" if len(found) > NAMED else ""
        return "; ".join(words) + more
    return row


def _strongest(band: str) -> Callable[[Plan], str]:
    def row(plan: Plan) -> str:
        found = band_plan(plan, band)
        heard = spurious_responses(
            found, (found.band_low + found.band_high) / 2, order=ORDER,
            loaded_q=plan.value("preselector.loaded_q"),
            circuits=plan.value("preselector.circuits"), region=plan.value("region"))
        worst = next(row for row in heard.responses if row.kind != WANTED)
        there = f", {worst.there[0]}" if worst.there else ""
        return (f"{show(worst.frequency, 'Hz', digits=5)}{there} ({worst.name}), about "
                f"{show(worst.level_db, 'dB', decimals=0)}")
    return row


SPURIOUS_ROWS: Mapping[str, Callable[[Plan], str]] = MappingProxyType({
    f"{name}, {what}": make(band)
    for band, name in zip(BANDS, ("Lower band", "Upper band"))
    for what, make in (("whistles", _whistles),
                       ("strongest unwanted response, mid-band", _strongest))
})
"""Label to the row."""

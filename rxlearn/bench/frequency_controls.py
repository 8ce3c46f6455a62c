"""What is turned and typed above the table of schemes: bands, region, preselector, own edges."""

from __future__ import annotations

import re

from rxlearn.bench.controls import Choice
from rxlearn.compute.frequency_choice import Band, amateur_bands
from rxlearn.compute.quantities import Unclear, parse, show_span
from rxlearn.plan.document import Plan
from rxlearn.plan.frequency_choice import bands_of

PLANNED, TYPED = "planned", "typed"
SIDES = {"lower": 0, "upper": 1}

_BETWEEN = re.compile(r"\s*(?:\bto\b|–|—|(?<=[\dzZ])\s*-)\s*")
"""What may stand between two edges; a hyphen only after a number or its unit."""


def read_edges(text: str, *, name: str = "Band") -> tuple[float, float]:
    """Two edges (Hz) typed as ``3.5 to 4 MHz``; the first may leave its unit to the second.

    Raises :class:`Unclear` for anything else.
    """
    pieces = [piece for piece in _BETWEEN.split(text.strip()) if piece]
    if len(pieces) != 2:
        raise Unclear(f"{name} must be typed from edge to edge, such as 3.5 to 4 MHz.")
    first, last = pieces
    high = parse(last, "Hz", name=f"{name}, high edge")
    if not re.search(r"[a-zA-Zµμ]", first):
        unit = re.search(r"[a-zA-Zµμ]+\s*$", last)
        first = f"{first} {unit[0] if unit else ''}"
    low = parse(first, "Hz", name=f"{name}, low edge")
    band = Band(name, low, high)
    return band.low, band.high


def edges_entry(side: str, edges: tuple[float, float] | None) -> dict:
    """The line in which the edges of one band are typed."""
    value = show_span(*edges, "Hz", digits=7) if edges else ""
    return {"kind": "entry", "key": f"{side}_edges", "value": value, "action": "Take these",
            "label": f"Edges of the {side} band", "hint": "from edge to edge, such as 3.5 to 4 MHz"}


def controls_of(plan: Plan, values: dict[str, str]) -> tuple[Choice, ...]:
    """The four choices, opened at ``values``; the first band of each side is the plan's own."""
    names = [band.name for band in amateur_bands(2)]
    own = dict(zip(SIDES, bands_of(plan)))
    bands = (
        Choice(key=side, label=f"{side.capitalize()} band", start=PLANNED, options={
            PLANNED: f"your plan: {own[side].name}", **{name: name for name in names},
            TYPED: "other edges, typed"})
        for side in SIDES
    )
    return (
        *bands,
        Choice(key="region", label="Edges as in", start=values["region"], options={
            "1": "Region 1: Europe, Africa, north Asia", "2": "Region 2: the Americas",
            "3": "Region 3: Asia, Oceania"}),
        Choice(key="circuits", label="Preselector", start=values["circuits"], options={
            "1": f"1 circuit, loaded Q {plan.value('preselector.loaded_q'):g}",
            "2": f"2 circuits, loaded Q {plan.value('preselector.loaded_q'):g}"}),
    )

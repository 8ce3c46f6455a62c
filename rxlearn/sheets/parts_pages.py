"""The parts list as a section of the build sheet."""

from __future__ import annotations

from rxlearn.plan.document import Plan
from rxlearn.plan.parts import HOLDS, PlannedPart, budget_of, parts_of, strangers
from rxlearn.plan.parts_rows import cost_words, missing_words
from rxlearn.plan.parts_substitutes import obstacles
from rxlearn.sheets.pages import Block, Paragraph, Table

HEAD = ("part", "value", "rating", "number", "where", "how found", "at hand", "price of one")
HOLDING_CAPTION = "Parts list: what holds it together"
WIDTHS = (2.4, 2.4, 2.5, 0.9, 3.2, 1.4, 0.9, 1.1)


def parts_blocks(plan: Plan) -> list[Block]:
    """What is still to find and what it costs, the list itself, and why its ratings are what they are."""
    parts = parts_of(plan)
    budget = budget_of(plan, parts)
    stops = [
        Paragraph(f"Stops the build while it is missing: {found.words}", strong=True)
        for found in obstacles(plan, parts)
    ]
    lost = [Paragraph("At hand in your plan, but no longer on the list: "
                      f"{', '.join(keys)}.")] if (keys := strangers(plan, parts)) else []
    notes = tuple((part.name, note) for part in parts for note in part.notes)
    return [
        Paragraph(f"Still to find: {missing_words(budget)}. {cost_words(budget)}."),
        *stops, *lost,
        Table("Parts list", HEAD, tuple(_row(part) for part in parts if part.group != HOLDS), WIDTHS),
        Table(HOLDING_CAPTION, HEAD, tuple(_row(part) for part in parts if part.group == HOLDS), WIDTHS),
        *([Table("Notes on parts", ("part", "note"), notes, (2, 5))] if notes else []),
    ]


def _row(part: PlannedPart) -> tuple[str, ...]:
    price = "" if part.price is None else f"{part.price:g}"
    return (part.what, part.value, part.rated, str(part.quantity), shorter(part.where), part.ease,
            "yes" if part.have else "", price)


def shorter(where: tuple[str, ...]) -> str:
    """Places with their stage named once: ``mixer C2, C3; oscillator C6``."""
    stages: dict[str, list[str]] = {}
    for place in where:
        stage, _, mark = place.rpartition(" ")
        numbered = bool(stage) and mark[:1].isalpha() and mark[1:].isdigit()
        stages.setdefault(stage if numbered else place, []).append(mark if numbered else "")
    return "; ".join(f"{stage} {', '.join(marks)}".strip() for stage, marks in stages.items())

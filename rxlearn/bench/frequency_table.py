"""A choice of frequencies as the parts of a panel: the table that can be sorted, the near misses."""

from __future__ import annotations

import numpy as np

from rxlearn.compute.frequency_choice import FrequencyChoice
from rxlearn.compute.frequency_choice_cells import BEST_LAST, cell, sorting_values, verdict_of
from rxlearn.compute.frequency_choice_views import GROUPS, weigh_groups
from rxlearn.compute.frequency_choice_words import weigh_scheme
from rxlearn.compute.quantities import show

POINTS = "points"
SORTED_BY_POINTS = (POINTS, False)
"""A table's order: column, and whether it is turned round (worst first)."""

GROUP_HEADS = {"dial": "the dial", "oscillator": "oscillator", "rejection": "held down",
               "quiet": "neighbours, whistles"}

VIEWS = {
    "overview": ("crystal", POINTS, *(f"group:{group}" for group in GROUP_HEADS)),
    **{group: ("crystal", POINTS, *keys) for group, keys in GROUPS.items()},
}
"""View to the columns that it shows, the row's name left out."""

HEADS = {
    "crystal": "crystal", POINTS: "points against",
    "miss": "middles apart", "capacitor": "switched capacitor", "coil": "coil",
    "share": "narrower band's share", "sideband": "beat oscillator", "direction": "dials run",
    "oscillator": "range", "radiation": "in an amateur band",
    "radiated_harmonic": "harmonic in one", "image_lower": "image, {lower}",
    "image_upper": "image, {upper}", "breakthrough": "signal on the IF",
    "if_place": "IF's neighbour", "medium_wave": "from medium wave",
    "beat_harmonic": "IF's harmonic in band", "whistles": "a station's whistle",
    "self_made": "self-made whistle",
    **{f"group:{group}": words for group, words in GROUP_HEADS.items()},
}

MOST_NEAR = 5
"""So many near misses are shown, the nearest."""


def order_of(choice: FrequencyChoice, key: str, turned: bool) -> np.ndarray:
    """The rows that work, by column ``key``, best first; ``turned`` puts the best last.

    Ties keep the order of the points.
    """
    rows = choice.ranked()
    if key == POINTS:
        values = choice.points()[rows]
    elif key == "crystal":
        values = choice.layout.intermediate[rows]
    elif key.startswith("group:"):
        values = weigh_groups(choice).points[key.removeprefix("group:")]
    else:
        values = sorting_values(choice, key)[rows]
    down = (key in BEST_LAST) != turned
    return rows[np.argsort(-values if down else values, kind="stable")]


def table(
    choice: FrequencyChoice, rows: list[int], picked: int, view: str, sort: tuple[str, bool]
) -> dict:
    """The part that shows ``rows`` in the columns of ``view``; ``picked`` is looked at."""
    lower, upper = choice.pairs[0]
    points = choice.points()
    groups = weigh_groups(choice)
    place = {int(row): number for number, row in enumerate(groups.rows)}

    def words(row: int, key: str) -> str:
        if key == POINTS:
            front = "" if choice.on_front[row] else ", outdone"
            return f"{points[row]:.0f}{front}"
        if key.startswith("group:"):
            return f"{groups.points[key.removeprefix('group:')][place[row]]:.0f}"
        return f"{cell(choice, row, key)}, {verdict_of(choice, row, key)}"

    keys = VIEWS[view]
    head = [
        {"key": f"sort:{key}", "text": HEADS[key].format(lower=lower.name, upper=upper.name),
         "sort": _direction(key, sort)} for key in keys
    ]
    body = [
        {"key": f"row:{row}", "picked": row == picked,
         "cells": [_crystal(choice, row), *(words(row, key) for key in keys[1:])]}
        for row in rows
    ]
    count = "1 scheme works" if len(rows) == 1 else f"{len(rows)} schemes work"
    return {
        "kind": "table", "tall": True, "head": head, "rows": body,
        "caption": f"{lower.name} and {upper.name}: {count} of {choice.tried} tried",
    }


def near_table(choice: FrequencyChoice) -> list[dict]:
    """The nearest schemes that fail, each with its reason; nothing where there are none."""
    near = choice.near_misses()[:MOST_NEAR]
    if not len(near):
        return []
    rows = [[_crystal(choice, row), " ".join(weigh_scheme(choice, int(row)).reasons)]
            for row in near]
    return [{"kind": "table", "caption": "What nearly works, and why it fails",
             "head": ["crystal", "why it fails"], "rows": rows}]


def _direction(key: str, sort: tuple[str, bool]) -> str:
    if sort[0] != key:
        return "none"
    return "descending" if (key in BEST_LAST) != sort[1] else "ascending"


def _crystal(choice: FrequencyChoice, row: int) -> str:
    crystal = choice.crystals[choice.crystal[row]]
    own = " (yours)" if crystal.reason.startswith("your ") else ""
    arrangement = "sum" if choice.summed[row] else "difference"
    return f"{show(crystal.frequency, 'Hz', digits=8)}, {arrangement}{own}"

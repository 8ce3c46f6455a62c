"""The plan's fields on parts: what is at hand, what it cost, in whichever money."""

from __future__ import annotations

from rxlearn.plan.field import choice, quantity, table, text

OWNED = "parts.owned"
CURRENCY = "parts.currency"
NO, YES = "no", "yes"
HAVE = {NO: "no", YES: "yes"}
MOST_PRICE = 1e6

PARTS_FIELDS = (
    text(CURRENCY, "Money that you count in", "coins", section="parts",
         why="Prices are your own; the workbook only adds them up."),
    table(OWNED, "Parts at hand, and prices",
          (text("key", "Part, as the list calls it"),
           choice("have", "At hand", HAVE, NO),
           quantity("price", "Price of one", "", 0.0, MOST_PRICE, optional=True),
           text("note", "Note", optional=True)),
          section="parts",
          why="What lies in your drawer is not bought; what has no price is not in the total yet."),
)
"""Rows for :mod:`rxlearn.plan.fields`."""

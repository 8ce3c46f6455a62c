"""Read what a learner typed without ever interpreting it: tidy, quote a little, parse.

Text is text here: markup, commands and tricks of writing direction are neither
followed nor passed on at length.
"""

from __future__ import annotations

import unicodedata

from rxlearn.compute.quantities import UNITS, Unclear, parse

LONGEST_QUOTE = 20
"""Most characters of a learner's text that a sentence repeats."""

LONGEST_LOOK = 200
"""Characters of a learner's text that are looked at; the rest cannot change the verdict."""


def tidy(text: object) -> str:
    """Return the start of ``text`` with whitespace folded and invisible characters left out.

    Anything that is not text counts as empty.
    """
    if not isinstance(text, str):
        return ""
    kept = []
    for character in text[:LONGEST_LOOK]:
        category = unicodedata.category(character)
        if character.isspace() or category == "Cc":
            kept.append(" ")
        elif category not in ("Cf", "Cs", "Co", "Cn"):
            kept.append(character)
    return " ".join("".join(kept).split())


def quote(text: object) -> str:
    """Return ``text`` in quotation marks, tidied, at most :data:`LONGEST_QUOTE` characters."""
    clean = tidy(text)
    return f"“{clean if len(clean) <= LONGEST_QUOTE else clean[: LONGEST_QUOTE - 1] + '…'}”"


def read_quantity(text: object, unit: str, *, name: str) -> float:
    """Read ``text`` as a quantity in ``unit`` (a key of ``quantities.UNITS``); return SI.

    Raises :class:`~rxlearn.compute.quantities.Unclear`, as ``parse`` does, with a
    sentence that opens with ``name`` and repeats little of the text.
    """
    clean = tidy(text)
    try:
        return parse(clean, unit, name=name)
    except Unclear as problem:
        longest = LONGEST_QUOTE + 1
        pieces = (clean[at : at + longest] for at in range(len(clean) - longest + 1))
        if not any(piece in str(problem) for piece in pieces):
            raise
    raise Unclear(f"{name} is not one number to me: type it like {UNITS[unit][1]}.")

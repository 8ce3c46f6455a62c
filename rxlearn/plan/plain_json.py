"""JSON read strictly and written for people.

Decimal numbers stay :class:`decimal.Decimal`, so that what was written in MHz
is the same float in Hz for ever.  What the standard lets through quietly and
a file must never hold (a key given twice, not-a-number, a heap of brackets) is refused.
"""

from __future__ import annotations

import json
from decimal import Decimal, InvalidOperation

DEEPEST = 16
"""How many brackets may stand inside one another."""

_LONGEST_NUMBER = 60
_LARGEST_POWER = 300
_SMALLEST_POWER = -400  # below the smallest float, so that every float has room
_SCALARS = (str, int, float, Decimal, type(None))

Json = dict | list | str | int | Decimal | bool | None


class NotReadable(ValueError):
    """Text that is not JSON of the kind kept here; ``str()`` is one sentence."""


def read(text: str, *, largest: int) -> Json:
    """Read JSON ``text`` of at most ``largest`` characters.

    Raises :class:`NotReadable` for text that is too long or broken off, for a
    key given twice, for NaN, infinity and numbers out of all reason, for
    halves of characters, and for nesting deeper than :data:`DEEPEST`.
    """
    if len(text) > largest:
        raise NotReadable(f"It is too large: at most {largest} characters are read.")
    try:
        document = json.loads(
            text.removeprefix("\ufeff"), parse_float=_decimal, parse_int=_integer,
            parse_constant=_refuse_constant, object_pairs_hook=_unique,
        )
    except json.JSONDecodeError as fault:
        raise NotReadable(
            f"It is broken at line {fault.lineno}, column {fault.colno}: what stands there is "
            "not JSON."
        ) from None
    except RecursionError:
        raise NotReadable("It holds far more brackets inside one another than belong here.") \
            from None
    _check(document, DEEPEST)
    return document


def write(document: Json, *, open_levels: int = 2) -> str:
    """Write ``document`` as JSON text, ending with a line break.

    The outer ``open_levels`` levels have one member on each line; what lies
    deeper stays on its line, so that one value of a plan is one line.
    """
    return _written(document, open_levels, "") + "\n"


def in_a_line(text: object, longest: int = 40) -> str:
    """Return ``text`` cut to ``longest`` characters and fit to be quoted inside a sentence."""
    plain = "".join(letter if letter.isprintable() else "?" for letter in str(text)[: longest + 1])
    return plain if len(plain) <= longest else plain[:longest] + "…"


def _decimal(digits: str) -> Decimal:
    if len(digits) > _LONGEST_NUMBER:
        raise NotReadable(f"It holds a number with too many digits: {digits[:20]}….")
    try:
        number = Decimal(digits)
    except InvalidOperation:
        number = None
    if number is None or (
        number and not _SMALLEST_POWER <= number.adjusted() <= _LARGEST_POWER
    ):
        raise NotReadable(f"It holds a number that is out of all reason: {digits[:20]}.")
    return number


def _integer(digits: str) -> int:
    if len(digits) > _LONGEST_NUMBER:
        raise NotReadable(f"It holds a number with too many digits: {digits[:20]}….")
    return int(digits)


def _refuse_constant(name: str) -> None:
    raise NotReadable(f"It holds {name}, which is no number: write a finite one.")


def _unique(pairs: list[tuple[str, Json]]) -> dict[str, Json]:
    members: dict[str, Json] = {}
    for name, member in pairs:
        if name in members:
            raise NotReadable(f"It gives “{in_a_line(name)}” twice: leave only one of them.")
        members[name] = member
    return members


def _check(node: Json, levels: int) -> None:
    if levels == 0 and isinstance(node, dict | list):
        raise NotReadable("It holds more brackets inside one another than belong here.")
    if isinstance(node, str):
        try:
            node.encode("utf-8")
        except UnicodeEncodeError:
            raise NotReadable("It holds half of a character: type that text afresh.") from None
    elif isinstance(node, dict):
        for name, member in node.items():
            _check(name, levels)
            _check(member, levels - 1)
    elif isinstance(node, list):
        for member in node:
            _check(member, levels - 1)


def _written(node: Json, open_levels: int, indent: str) -> str:
    if isinstance(node, Decimal):
        return _number(node)
    if isinstance(node, _SCALARS):
        return json.dumps(node, ensure_ascii=False, allow_nan=False)
    inner = indent + "  " if open_levels > 0 else ""
    deeper = open_levels - 1
    if isinstance(node, dict):
        brackets = "{}"
        members = [
            f"{json.dumps(name, ensure_ascii=False)}: {_written(member, deeper, inner)}"
            for name, member in node.items()
        ]
    else:
        brackets = "[]"
        members = [_written(member, deeper, inner) for member in node]
    if not members or open_levels <= 0:
        return brackets[0] + ", ".join(members) + brackets[1]
    return f"{brackets[0]}\n{inner}" + f",\n{inner}".join(members) + f"\n{indent}{brackets[1]}"


def _number(number: Decimal) -> str:
    """Digits of ``number``, plain where that is short; read back it is a decimal, no int."""
    text = f"{number:f}" if -9 <= number.adjusted() <= 15 else str(number)
    return text if "." in text or "E" in text else text + ".0"

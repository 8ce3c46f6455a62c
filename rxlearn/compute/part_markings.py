"""Read what is printed on a resistor or a capacitor.

Source: IEC 60062.  Model's limit: makers print other things as well; what is no
code of that standard is refused, not guessed.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from rxlearn.compute.quantities import Unclear
from rxlearn.data.part_markings import (
    COLOUR_FRACTIONS,
    COLOUR_TOLERANCES,
    COLOURS,
    LETTERS,
    SMALL_TOLERANCES,
    TOLERANCES,
)


@dataclass(frozen=True)
class Marking:
    """A part's ``value`` (Ω or F) with its tolerance: ``percent``, or ``farads`` for a small one.

    The one that is not marked is None.
    """

    value: float
    percent: float | None = None
    farads: float | None = None


def read_letter_code(text: str) -> float:
    """Read a value with a letter for the decimal point: ``4K7`` is 4700 (ohm), ``4p7`` 4.7 pF.

    Raises :class:`Unclear` for what is no such code.
    """
    found = re.fullmatch(r"(\d{0,3})([RKMpnµu])(\d{0,3})", _clean(text))
    if found is None or not (found[1] or found[3]):
        raise Unclear(
            f"Marking “{_clean(text)}” is no letter code: it is digits with one letter for the "
            "decimal point, such as 4K7 or R47."
        )
    return float(f"{found[1] or '0'}.{found[3] or '0'}e{LETTERS[found[2]]}")


def read_capacitor_code(text: str) -> Marking:
    """Read a capacitor's three digits and tolerance letter: ``104K`` is 100 nF, 10 %.

    Two digits and the number of noughts, in pF; the letter may be missing.
    Raises :class:`Unclear` for what is no such code.
    """
    found = re.fullmatch(r"(\d\d)(\d)([BCDFGJKM]?)", _clean(text))
    if found is None or found[2] in "78" or found[1] == "00":
        raise Unclear(
            f"Marking “{_clean(text)}” is no three-digit code: it is two digits, the number of "
            "noughts and a letter, such as 104K."
        )
    power = -1 if found[2] == "9" else int(found[2])
    return Marking(
        float(f"{found[1]}e{power - 12}"), TOLERANCES.get(found[3]), SMALL_TOLERANCES.get(found[3])
    )


def read_colours(bands: Sequence[str]) -> Marking:
    """Read a resistor's bands: two or three digits, multiplier, tolerance (may be missing of four).

    Raises :class:`Unclear` for a colour that has no meaning at its place.
    """
    bands = [str(band).strip().lower() for band in bands]
    if len(bands) == 3:
        bands.append("none")
    if not 4 <= len(bands) <= 5:
        raise Unclear("Bands must be three to five colours, the tolerance last.")
    *digits, multiplier, tolerance = bands
    powers = {colour: power for power, colour in enumerate(COLOURS)} | dict(COLOUR_FRACTIONS)
    for known, colours in ((COLOURS, digits), (powers, [multiplier]),
                           (COLOUR_TOLERANCES, [tolerance])):
        for colour in colours:
            if colour not in known:
                raise Unclear(
                    f"Colour “{colour[:20]}” has no meaning at its place: it must be one of "
                    f"{', '.join(known)}."
                )
    number = "".join(str(COLOURS.index(colour)) for colour in digits)
    return Marking(float(f"{number}e{powers[multiplier]}"), COLOUR_TOLERANCES[tolerance])


def _clean(text: object) -> str:
    return "".join(str(text).split())[:12]

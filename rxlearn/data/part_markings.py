"""What is printed on small parts: letters, digits and colours.

Source: IEC 60062, *Marking codes for resistors and capacitors*; the colours
also in T. R. Kuphaldt, *Lessons in Electric Circuits*, vol. V.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

COLOURS: tuple[str, ...] = (
    "black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white",
)
"""The colour of each digit, 0 to 9; of a multiplier, the power of ten."""

COLOUR_TOLERANCES: Mapping[str, float] = MappingProxyType({
    "brown": 1.0, "red": 2.0, "gold": 5.0, "silver": 10.0, "none": 20.0,
})
"""Colour of the last band to the tolerance in percent."""

COLOUR_FRACTIONS: Mapping[str, float] = MappingProxyType({"gold": -1, "silver": -2})
"""Multipliers below one, as powers of ten."""

TOLERANCES: Mapping[str, float] = MappingProxyType({
    "F": 1.0, "G": 2.0, "J": 5.0, "K": 10.0, "M": 20.0,
})
"""Tolerance letter to percent."""

SMALL_TOLERANCES: Mapping[str, float] = MappingProxyType({
    "B": 0.1e-12, "C": 0.25e-12, "D": 0.5e-12,
})
"""Tolerance letter of a small capacitor to farads."""

LETTERS: Mapping[str, int] = MappingProxyType({
    "R": 0, "K": 3, "M": 6, "p": -12, "n": -9, "µ": -6, "u": -6,
})
"""Letter that stands for the decimal point to its power of ten (ohm or farad)."""

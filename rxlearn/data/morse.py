"""Morse code: which dots and dashes stand for a letter or a figure.

Source: Recommendation ITU-R M.1677-1 (2009), *International Morse code*, section 1.1.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

SIGNS: Mapping[str, str] = MappingProxyType({
    "A": ".-", "B": "-...", "C": "-.-.", "D": "-..", "E": ".", "F": "..-.", "G": "--.",
    "H": "....", "I": "..", "J": ".---", "K": "-.-", "L": ".-..", "M": "--", "N": "-.",
    "O": "---", "P": ".--.", "Q": "--.-", "R": ".-.", "S": "...", "T": "-", "U": "..-",
    "V": "...-", "W": ".--", "X": "-..-", "Y": "-.--", "Z": "--..",
    "0": "-----", "1": ".----", "2": "..---", "3": "...--", "4": "....-", "5": ".....",
    "6": "-....", "7": "--...", "8": "---..", "9": "----.",
})
"""Letter or figure to its dots and dashes."""

DASH, BETWEEN_SIGNS, BETWEEN_WORDS = 3, 3, 7
"""Lengths in dots: of a dash, of the gap between two letters, of that between two words."""

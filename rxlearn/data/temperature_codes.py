"""What the three signs on a class-1 ceramic capacitor mean.

Source: EIA-198 (*Ceramic dielectric capacitors*, classes I to IV), the table of
class-1 codes, as three transcriptions agree; IEC 60384-8 uses the same letters.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

SIGNIFICANT: Mapping[str, float] = MappingProxyType({
    "C": 0.0, "B": 0.3, "L": 0.8, "A": 0.9, "M": 1.0, "P": 1.5, "R": 2.2, "S": 3.3, "T": 4.7,
    "V": 5.6, "U": 7.5,
})
"""First letter: the significant figures of the coefficient."""

MULTIPLIER: Mapping[str, float] = MappingProxyType({
    "0": -1.0, "1": -10.0, "2": -100.0, "3": -1000.0,
    "4": 1.0, "6": 10.0, "7": 100.0, "8": 1000.0,
})
"""Digit: what they are multiplied by, sign included."""

TOLERANCE: Mapping[str, float] = MappingProxyType({
    "G": 30.0, "H": 60.0, "J": 120.0, "K": 250.0, "L": 500.0, "M": 1000.0, "N": 2500.0,
})
"""Last letter: how far the coefficient may lie from it, ppm/°C."""

TRADE_NAMES: Mapping[str, str] = MappingProxyType({
    "C0G": "NP0", "M7G": "P100", "B2G": "N030", "U1G": "N075", "P2G": "N150", "S2H": "N330",
    "T2H": "N470", "U2J": "N750", "P3K": "N1500", "R3L": "N2200",
})
"""Code to the name that the trade uses: N for negative, P for positive, then ppm/°C."""

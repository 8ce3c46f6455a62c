"""Preferred values: the steps in which resistors and capacitors are made.

Source: IEC 60063, *Preferred number series for resistors and capacitors*, as
several transcriptions agree.  E24 and its subsets are printed, not computed:
rounding 10^(n/24) to two digits gives other numbers in eight places (2.6 for
2.7, 8.3 for 8.2).  E96 is the rounded power, to three digits.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

E24: tuple[float, ...] = (
    1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0,
    3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1,
)
"""One decade of the E24 series, made for 5 % parts."""

E12: tuple[float, ...] = E24[::2]
"""One decade of the E12 series, made for 10 % parts: every second value of E24."""

E6: tuple[float, ...] = E24[::4]
"""One decade of the E6 series, made for 20 % parts: every fourth value of E24."""

E96: tuple[float, ...] = tuple(round(100 * 10 ** (n / 96)) / 100 for n in range(96))
"""One decade of the E96 series, made for 1 % parts."""

SERIES: Mapping[str, tuple[float, ...]] = MappingProxyType(
    {"E6": E6, "E12": E12, "E24": E24, "E96": E96}
)
"""Name of a series to one decade of it, rising."""

"""The nearest value that can be bought, and the nearest below.

Values in any unit; a series is named E6, E12, E24 or E96.  Nearest means
nearest in ratio, as the steps of the series are ratios (common practice).
Model's limit: the value printed on a part, not what the part has: an E12 part
may be 10 % off.
"""

from __future__ import annotations

import math

from rxlearn.compute.quantities import Range, Unclear
from rxlearn.data.parts_trade import ELECTROLYTIC_STEPS
from rxlearn.data.preferred_values import SERIES

VALUE = Range("Value", "", 1e-18, 1e18)


def nearest_preferred(value: float, series: str) -> float:
    """The value of ``series`` nearest to ``value`` in ratio; the upper one at a tie.

    Raises :class:`Unclear` for a value that is not above zero and for an unknown series.
    """
    below, above = _neighbours(value, series)
    return below if value / below < above / value else above


def preferred_below(value: float, series: str) -> float:
    """The largest value of ``series`` that is not above ``value``; raises as the nearest does."""
    return _neighbours(value, series)[0]


def electrolytic_above(farads: float) -> float:
    """The electrolytic (F) that is sold for at least ``farads``: 1, 2.2, 4.7, 10 µF and so on.

    More does no harm where a bypass or a filter wants one; a value within a hundredth is that one.
    """
    farads = VALUE.check(farads)
    power = math.floor(math.log10(farads))
    sold = [_exactly(step, power + up) for up in (0, 1) for step in ELECTROLYTIC_STEPS]
    return next(value for value in sold if value >= 0.99 * farads)


def preferred_not_below(value: float, series: str) -> float:
    """The smallest value of ``series`` that is not below ``value``; raises as the nearest does."""
    below, above = _neighbours(value, series)
    return below if below >= value * (1 - 1e-9) else above


def _neighbours(value: float, series: str) -> tuple[float, float]:
    """The largest preferred value not above ``value``, and the one after it."""
    value = VALUE.check(value)
    if not isinstance(series, str) or series not in SERIES:
        given = " ".join(str(series).split())[:20]
        raise Unclear(f"Series “{given}” is unknown: choose {', '.join(SERIES)}.")
    exponent = math.floor(math.log10(value)) - 1
    steps = [
        _exactly(step, power)
        for power in range(exponent, exponent + 4) for step in SERIES[series]
    ]
    # A value that a sum has spoilt in its last digit is still the one that is printed.
    last = max(i for i, step in enumerate(steps) if step <= value * (1 + 1e-12))
    return steps[last], steps[last + 1]


def _exactly(step: float, power: int) -> float:
    """``step`` times a power of ten, as that decimal is written: 4.7 and -11 give 4.7e-11."""
    return float(f"{step:.2f}e{power}")

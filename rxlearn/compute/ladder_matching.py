"""Bringing a ladder filter's ends to the stages on either side.  Ohms, henries, farads, dB.

A filter keeps its shape only between the resistances that it was designed for.  A resistor makes
them out of what a stage has; an L of one coil and one capacitor, or a transformer, does it
without loss (F. E. Terman, *Radio Engineers' Handbook*; DERIVED).  Limits: stages that are plain
resistances, one frequency; strays of a stage (some picofarads) belong to the L's capacitor.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rxlearn.compute.quantities import Range

END_RESISTANCE = Range("The resistance to be matched", "Ω", 1.0, 10e6)
MATCHING_FREQUENCY = Range("The frequency to be matched at", "Hz", 10e3, 100e6)

SHUNT = "shunt"
SERIES = "series"
NONE = "none"
_CLOSE = 0.05


@dataclass(frozen=True)
class LNetwork:
    """``inductance`` (H) in series on the low side, ``capacitance`` (F) across the high side.

    ``low`` and ``high`` are the two resistances (Ω); ``q`` is √(high/low − 1), a plain number.
    """

    low: float
    high: float
    q: float
    inductance: float
    capacitance: float


def l_network(one: float, other: float, frequency: float) -> LNetwork:
    """The L of coil and capacitor that matches resistances ``one`` and ``other`` (Ω).

    At ``frequency`` (Hz).  Q = √(high/low − 1), coil Q·low, capacitor high/Q, both reactances.
    """
    low, high = sorted((END_RESISTANCE.check(one), END_RESISTANCE.check(other)))
    omega = 2 * math.pi * MATCHING_FREQUENCY.check(frequency)
    q = math.sqrt(high / low - 1)
    return LNetwork(low, high, q, q * low / omega, q / (omega * high))


def turns_ratio(one: float, other: float) -> float:
    """Turns on the side of the higher resistance (Ω) to one on the other: the root of the ratio."""
    low, high = sorted((END_RESISTANCE.check(one), END_RESISTANCE.check(other)))
    return math.sqrt(high / low)


@dataclass(frozen=True)
class EndMatch:
    """A filter's end made right with a resistor: ``filter_resistance`` and ``stage`` in Ω.

    ``way`` is shunt (a ``resistor``, Ω, across the stage), series (one between stage and filter)
    or none where the two agree within a twentieth.  ``loss_db`` is what the resistor costs
    against a lossless match of the same two.
    """

    filter_resistance: float
    stage: float
    way: str
    resistor: float | None
    loss_db: float


def match_end(filter_resistance: float, stage: float) -> EndMatch:
    """Make ``stage`` (Ω) look like ``filter_resistance`` (Ω) with one resistor.

    A larger stage gets one across it, a smaller one gets one in series.  The loss is the part of
    the power that goes into the resistor, 10·log₁₀ of the ratio of the two (DERIVED).
    """
    wanted, stage = END_RESISTANCE.check(filter_resistance), END_RESISTANCE.check(stage)
    ratio = max(wanted, stage) / min(wanted, stage)
    if ratio < 1 + _CLOSE:
        return EndMatch(wanted, stage, NONE, None, 0.0)
    loss = 10 * math.log10(ratio)
    if stage > wanted:
        return EndMatch(wanted, stage, SHUNT, wanted * stage / (stage - wanted), loss)
    return EndMatch(wanted, stage, SERIES, wanted - stage, loss)

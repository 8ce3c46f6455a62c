"""What mixer, crystal filter and intermediate-frequency amplifier gain with the parts around them.

A pentode or a mixer valve is a current of (conversion) transconductance times grid voltage into
what its anode sees (F. E. Terman, *Radio Engineers' Handbook*; F. Langford-Smith, *Radiotron
Designer's Handbook*, on converters and on tuned amplifiers).  A filter between resistances R₁ and
R₂ that loses L dB of power hands on √(R₁R₂)/2 · 10^(−L/20) volts per ampere; two coupled circuits
X·Q₁Q₂k/(1 + k²Q₁Q₂) volts per ampere, X being the reactance of either (DERIVED).

Limits: the middle of the pass band, where a filter shows about the resistance that it wants to
see; the valves' own anode resistance, near a megohm, is left out; every stray is tuned out.
"""

from __future__ import annotations

import math

from rxlearn.compute.filter_transformer import TransformedEnd
from rxlearn.compute.ladder_build import BuiltLadder
from rxlearn.compute.ladder_matching import SERIES, EndMatch
from rxlearn.compute.quantities import Range

CONDUCTANCE = Range("The transconductance", "S", 1e-6, 0.1)
LOAD = Range("What the anode sees", "Ω", 0.1, 10e6)

DETECTOR_LOADS = 2.0
"""What two diodes across a coil's halves show is their load resistor times this: each half's peak
lies across the load, so that V²/2R is (V/2)²/R_load (DERIVED; Langford-Smith on diode detectors)."""


def parallel(*resistances: float) -> float:
    """Resistances (ohm) in parallel, ohm."""
    return 1 / sum(1 / one for one in resistances)


def anode_resistance(source: EndMatch) -> float:
    """What a mixer sees (ohm): its load, and the filter's end with what is fitted there."""
    if isinstance(source, TransformedEnd):
        return parallel(source.high_side, source.transformer.across(source.filter_resistance))
    if source.resistor is None:
        return parallel(source.stage, source.filter_resistance)
    if source.way == SERIES:
        return parallel(source.stage, source.resistor + source.filter_resistance)
    return parallel(source.stage, source.resistor, source.filter_resistance)


def stage_gain_db(conductance: float, load: float) -> float:
    """Voltage gain (dB) of ``conductance`` (S) into ``load`` (ohm): g·R."""
    return 20 * math.log10(CONDUCTANCE.check(conductance) * LOAD.check(load))


def filter_gain_db(built: BuiltLadder) -> float:
    """Voltage behind the filter, at the grid, over that at the mixer's anode, dB."""
    handed = math.sqrt(built.source.stage * built.load.stage) / 2 * 10 ** (-built.loss_db / 20)
    return 20 * math.log10(handed / anode_resistance(built.source))


def transformer_resistance(reactance: float, q: float, load: float, coupling: float) -> float:
    """Volts across the second coil per ampere into the first, ohm: what an amplifier's anode gains on.

    Two coils of ``reactance`` (ohm) and ``q`` each, coupled by ``coupling``; ``load`` (ohm) lies
    across the second one.

    >>> round(transformer_resistance(100.0, 100.0, 1e9, 0.01))
    5000
    """
    second = parallel(q, load / reactance)
    both = q * second
    return reactance * both * coupling / (1 + coupling**2 * both)

"""The plan's fields on the crystal filter: what is wanted of it, and what its crystals are."""

from __future__ import annotations

from rxlearn.compute.crystal import (
    CRYSTAL_FREQUENCY,
    CRYSTAL_RESISTANCE,
    MOTIONAL_INDUCTANCE,
    PARALLEL_CAPACITANCE,
)
from rxlearn.compute.crystal_ladder import LADDER_WIDTH
from rxlearn.compute.ladder_build import BY_RESISTORS, BY_TRANSFORMERS
from rxlearn.compute.ladder_prototype import CHEBYSHEV, CRYSTALS, PROTOTYPES
from rxlearn.plan.field import choice, count, quantity, table, text

_SECTION = "crystal filter"
TYPICAL, MEASURED = "typical", "measured"
CRYSTAL_FIGURES = tuple(f"crystal_filter.{name}" for name in ("inductance", "resistance",
                                                               "capacitance"))
"""Fields that count only with measured figures."""

ENDS = "crystal_filter.ends"
"""Key of what brings the filter's ends to the stages."""

CRYSTAL_FILTER_FIELDS = (
    count("crystal_filter.crystals", "Filter, crystals", int(CRYSTALS.low), int(CRYSTALS.high), 4,
          section=_SECTION,
          why="Each one more makes the slopes steeper, and costs loss, parts and matching."),
    choice("crystal_filter.kind", "Filter, kind", PROTOTYPES, CHEBYSHEV, section=_SECTION,
           why="Flat needs the most room between a crystal's two resonances; all capacitors alike "
               "is the simplest to buy, with more ripple the more crystals there are."),
    quantity("crystal_filter.width", "Filter, width 3 dB down", "Hz", LADDER_WIDTH.low,
             LADDER_WIDTH.high, 2.4e3, section=_SECTION,
             why="Speech on one sideband wants about 2.4 kHz, Morse 500 Hz; wider lets in more "
                 "noise and more neighbours."),
    choice(ENDS, "Filter, brought to the stages by",
           {BY_RESISTORS: "a resistor at each end",
            BY_TRANSFORMERS: "tuned transformers on ring cores"}, BY_RESISTORS, section=_SECTION,
           why="A resistor is simple; with ends of a few hundred ohms it loses tens of decibels, and "
               "a transformer nearly none, for a coil to wind and a trimmer to set."),
    choice("crystal_filter.figures", "Filter, its crystals' figures",
           {TYPICAL: "typical of the frequency", MEASURED: "measured, as below"}, TYPICAL,
           section=_SECTION,
           why="Typical ones show what can be had; capacitors are only right for crystals that "
               "you have measured."),
    quantity("crystal_filter.inductance", "Crystal, motional inductance", "H",
             MOTIONAL_INDUCTANCE.low, MOTIONAL_INDUCTANCE.high, 0.197, section=_SECTION,
             why="It sets every capacitor and the resistance at the ends; it comes from the width "
                 "of one crystal's resonance in a fixture."),
    quantity("crystal_filter.resistance", "Crystal, resistance", "Ω", CRYSTAL_RESISTANCE.low,
             CRYSTAL_RESISTANCE.high, 40.0, section=_SECTION,
             why="It rounds the filter's corners and costs loss; it comes from how much less than a "
                 "wire one crystal lets through at its resonance."),
    quantity("crystal_filter.capacitance", "Crystal, parallel capacitance", "F",
             PARALLEL_CAPACITANCE.low, PARALLEL_CAPACITANCE.high, 3.3e-12, section=_SECTION,
             why="Electrodes and holder; it limits how wide a ladder can be, and any capacitance "
                 "meter measures it far from resonance."),
    table("crystal_filter.measured", "Crystals that you measured",
          (quantity("frequency", "Series resonance", "Hz", CRYSTAL_FREQUENCY.low,
                    CRYSTAL_FREQUENCY.high),
           text("note", "Mark on the can", optional=True)),
          section=_SECTION,
          why="Of a handful the ones closest together are taken; to the hertz, in one fixture, "
              "since only the differences count."),
)
"""Rows for :mod:`rxlearn.plan.fields`, in the order in which they are shown."""

"""Gains that follow from the parts of the plan: mixer, crystal filter, intermediate-frequency amplifier.

They stand where the plan's table of stages leaves a gain blank, and beside one that is entered
but cannot be reached with this filter.
"""

from __future__ import annotations

import math

from rxlearn.compute.built_gains import (
    DETECTOR_LOADS,
    anode_resistance,
    filter_gain_db,
    parallel,
    stage_gain_db,
    transformer_resistance,
)
from rxlearn.compute.circuits import DETECTOR_LOAD, GRID_LEAK, MIXER_LOAD
from rxlearn.compute.ladder_matching import SHUNT
from rxlearn.compute.quantities import Unclear, show
from rxlearn.data.valves import Valve
from rxlearn.plan.coils import transformer_of
from rxlearn.plan.crystal_filter import filter_of
from rxlearn.plan.document import Plan

LOW_END = 300.0
"""A filter's end below this many ohms wants a transformer: 4.7 kΩ lose over 12 dB there (a choice)."""

BUILT = ("mixer", "filter", "intermediate_amplifier")
"""Functions whose gain follows from the parts around them."""

_MIXERS, _AMPLIFIERS = ("pentagrid", "heptode"), ("cut-off pentode",)
"""Words of the kinds of valves whose printed transconductance is that of the stage."""


def gain_of(plan: Plan, function: str, valve: Valve | None, *, filtered: bool) -> float | None:
    """The gain (dB) of a stage (one of :data:`BUILT`) with ``valve``, from what stands around it.

    ``filtered`` is whether the plan has a crystal filter.  None where that cannot be said: the
    valve is not known or of another kind, or the filter cannot be made.
    """
    try:
        if function == "filter":
            return filter_gain_db(filter_of(plan))
        if function == "mixer" and _is(valve, _MIXERS):
            seen = (anode_resistance(filter_of(plan).source) if filtered
                    else parallel(MIXER_LOAD, GRID_LEAK))
            return stage_gain_db(valve.transconductance, seen)
        if function == "intermediate_amplifier" and _is(valve, _AMPLIFIERS):
            return stage_gain_db(valve.transconductance, amplifier_load(plan))
    except Unclear:
        return None  # its own section says why
    return None


def _is(valve: Valve | None, kinds: tuple[str, ...]) -> bool:
    return valve is not None and any(kind in valve.kind for kind in kinds)


def amplifier_load(plan: Plan) -> float:
    """Volts at the detector per ampere of the amplifier's anode, ohm: by the coil card's middling Q
    and the coupling that it is wound for."""
    found = transformer_of(plan)
    return transformer_resistance(
        2 * math.pi * found.centre * found.inductance, found.unloaded_q,
        DETECTOR_LOADS * DETECTOR_LOAD, found.coupling)


def low_ends(plan: Plan) -> str:
    """What the resistors at a filter's low ends cost, and what to fit instead; empty where all is well.

    Raises :class:`Unclear` where the filter cannot be made.
    """
    built = filter_of(plan)
    end = built.design.termination
    if end >= LOW_END or SHUNT not in (built.source.way, built.load.way):
        return ""
    lost = built.source.loss_db + built.load.loss_db
    words = (f"the filter's ends are {show(end, 'Ω', digits=3)}, and its end resistors lose "
             f"{show(lost, 'dB', digits=3)}")
    if built.problem:
        return f"{words}. {built.problem.rstrip('.')}: take another intermediate frequency"
    return (f"{words}: choose transformers for its ends in the lesson “Crystal filter”, or take a "
            "lower intermediate frequency")

"""The stages of the plan's converter: the learner's own if listed, else typical ones.

A plan that wants a third band, and whose converter works, gets the stages that its converter's
circuits have; who lists a converter's stages in the plan has those instead.  A plan that wants
none, or was written before there were any, stays as it is.
"""

from __future__ import annotations

import math

from rxlearn.compute.converter_circuit import ConverterNumbers
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.stages import CONVERTER_STAGES
from rxlearn.data.valves import VALVES
from rxlearn.plan.document import Plan
from rxlearn.plan.third_band import converter_of, is_wanted

MIXER, OSCILLATOR = "6BE6", "6C4"
"""Valves of the converter where the plan lists none."""

OSCILLATOR_CURRENT = 4e-3
"""What the crystal oscillator draws, A (a choice, no source)."""

LISTED = "stages.list"

Row = tuple[str, str, float | None, float | None, float | None, str | None]


def converter_numbers(plan: Plan, supply: float) -> ConverterNumbers | None:
    """What the converter's circuits need, with a high tension of ``supply`` (V); None where the
    plan has no converter that works."""
    if not is_wanted(plan):
        return None
    try:
        found = converter_of(plan)
    except Unclear:
        return None
    low, high = found.converted.covered_low, found.converted.covered_high
    return ConverterNumbers(
        signal=math.sqrt(low * high), reading=math.sqrt(math.prod(found.stretch)),
        width=max(high - low, 1.0), crystal=found.converted.crystal, loaded_q=found.loaded_q,
        circuits=found.circuits, supply=supply)


def has_converter(plan: Plan) -> bool:
    """Whether the plan wants a third band and its converter works."""
    return converter_numbers(plan, 250.0) is not None


def typical_rows(plan: Plan) -> tuple[Row, ...]:
    """Rows of the plan's table of stages that its converter adds; none where the plan lists its own."""
    if any(row[0] in CONVERTER_STAGES for row in plan.value(LISTED)):
        return ()
    numbers = converter_numbers(plan, 250.0)
    if numbers is None:
        return ()
    mixer, oscillator = VALVES[MIXER], VALVES[OSCILLATOR]
    source = "typical, since your third band wants a converter; list your own instead"
    gain = numbers.gain_db(mixer.transconductance)
    return (
        ("converter_input", "converter's coils", None, None,
         round(20 * math.log10(numbers.input_ratio), 1), "matched, by its turns"),
        ("converter", f"{MIXER} of the converter", mixer.heater_current,
         round(mixer.supply_current, 6), round(gain, 1), source),
        ("crystal_oscillator", f"{OSCILLATOR} of the converter", oscillator.heater_current,
         OSCILLATOR_CURRENT, None,
         f"{source}; driven gently"),
    )

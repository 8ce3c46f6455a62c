"""What follows from a plan's stages, worded: sums against the supply, gain, noise, overload.

Each row takes the plan and returns a text, or a value in SI with its unit; it raises Unclear
with the reason where there is no answer.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

from rxlearn.compute.quantities import Unclear, show
from rxlearn.plan.document import Plan
from rxlearn.plan.stage_reach import filter_words, transformer_words
from rxlearn.plan.stages import BANDS, currents_of, followed, stages_of, valve_in

StageRow = Callable[[Plan], str | tuple[float, str]]

NEAR = 0.005
"""Sum and supply agree within this part of each other (half a percent: figures are rounded)."""


def _heaters(plan: Plan) -> str:
    drawn, rating = currents_of(plan).heaters, plan.value("supply.heater_rating")
    words = f"{_amperes(drawn)} of the {_amperes(rating)} that the winding may give"
    if drawn > rating:
        words += ": too much, so choose a larger winding or other valves"
    reckoned = plan.value("supply.heater_current")
    return words + _disagreement(drawn, reckoned)


def _supply(plan: Plan) -> str:
    drawn, load = currents_of(plan).supply, plan.value("supply.load")
    return f"{_amperes(drawn)}" + (_disagreement(drawn, load) or ", as the supply reckons with")


def _disagreement(drawn: float, reckoned: float) -> str:
    if math.isclose(drawn, reckoned, rel_tol=NEAR, abs_tol=1e-9):
        return ""
    return f"; the supply reckons with {_amperes(reckoned)}, so one of the two must be put right"


def _published(plan: Plan) -> str:
    """Bulbs whose heater in the plan is not what is published of their type."""
    stages = stages_of(plan)
    odd = []
    for stage in stages:
        valve = valve_in(stage.device)
        if valve and stage.heater_current and not math.isclose(
                stage.heater_current, valve.heater_current, rel_tol=0.05):
            odd.append(f"{stage.device}: published is {_amperes(valve.heater_current)}")
    if odd:
        return "; ".join(odd)
    known = sum(valve_in(stage.device) is not None for stage in stages)
    return f"as published, for the {known} stages whose valve the workbook knows"


def _output_load(plan: Plan) -> str:
    wanted = plan.value("output.anode_load")
    for stage in stages_of(plan):
        valve = valve_in(stage.device) if stage.function == "output" else None
        if valve and valve.anode_load and not math.isclose(valve.anode_load, wanted, rel_tol=0.1):
            return (f"{stage.device} wants {show(valve.anode_load, 'Ω')}, the plan holds "
                    f"{show(wanted, 'Ω')}: put one right")
    return "nothing that the workbook knows speaks against it"


def _gain(plan: Plan) -> tuple[float, str]:
    return _worked(plan).gain_db, "dB"


def _noise(plan: Plan) -> str:
    figure = _worked(plan).noise_figure_db
    if figure is None:
        raise Unclear("The workbook knows the noise of none of the plan's valves.")
    return show(figure, "dB", digits=3)


def _overload(plan: Plan) -> str:
    found = _worked(plan)
    if found.signal_overload_dbm is None:
        raise Unclear("The workbook knows the bias of none of the plan's valves before the detector.")
    return f"{show(found.signal_overload_dbm, 'dBm', digits=3)} at the aerial"


def _worked(plan: Plan):
    """A signal in whichever band can be followed; raises the last reason where none can."""
    for band in BANDS[:-1]:
        try:
            return followed(plan, band)
        except Unclear:
            continue
    return followed(plan, BANDS[-1])


def _amperes(value: float) -> str:
    return show(value, "A", digits=4)


STAGE_CONSEQUENCES: Mapping[str, StageRow] = MappingProxyType({
    "Stages, heaters together": _heaters,
    "Stages, anodes and screens together": _supply,
    "Stages, heaters against published figures": _published,
    "Stages, load of the output valve": _output_load,
    "Stages, gain from aerial to output valve": _gain,
    "Stages, mixer and filter together": filter_words,
    "Stages, amplifier behind the filter": transformer_words,
    "Stages, own noise figure": _noise,
    "Stages, overload before the detector from": _overload,
})
"""Label to row, in the order in which to show them."""

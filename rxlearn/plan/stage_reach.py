"""Whether the gains in the plan's table of stages can be reached with its filter and transformer, worded.

Here are the words for the list of what follows from a plan, for what it lacks, and beside its levels.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.stages import ReceiverStage
from rxlearn.plan.document import Plan
from rxlearn.plan.stage_gains import gain_of, low_ends
from rxlearn.plan.stages import stages_of, valve_in

BEYOND_DB = 6.0
"""An entered gain may be so far above the computed one: Q and valves scatter by as much (a choice)."""


@dataclass(frozen=True)
class Reach:
    """What a row says of a gain in ``words``; ``lacks`` where something has to change."""

    words: str
    lacks: bool = False


def filter_words(plan: Plan) -> str:
    """Gain of mixer and filter as they are built, and what the plan enters; raises Unclear."""
    return _filter(plan).words


def transformer_words(plan: Plan) -> str:
    """Gain of the amplifier with the transformer's coils, and what the plan enters."""
    return _transformer(plan).words


def short_of(plan: Plan) -> tuple[str, ...]:
    """Sentences on entered gains that cannot be reached and on filter ends that make the set deaf."""
    rows = {"Intermediate-frequency amplifier": _transformer(plan)}
    try:
        rows = {"Mixer and crystal filter": _filter(plan), **rows}
    except Unclear:
        pass  # the filter's own section says why
    return tuple(f"{what}: {reach.words}." for what, reach in rows.items() if reach.lacks)


def _filter(plan: Plan) -> Reach:
    mixer, ladder = _first(plan, "mixer"), _first(plan, "filter")
    if mixer is None or ladder is None:
        return Reach("nothing to say: the plan's stages list no mixer or no crystal filter")
    ends = low_ends(plan)
    gain = _built(plan, mixer)
    if gain is None:
        found = Reach(f"the workbook has no conversion transconductance of “{mixer.device}”")
    else:
        given = None if mixer.gain_db is None or ladder.gain_db is None else (
            mixer.gain_db + ladder.gain_db)
        found = _against(gain + _built(plan, ladder), given, "with the filter as it is built")
    return Reach(f"{found.words}; {ends}", lacks=True) if ends else found


def _transformer(plan: Plan) -> Reach:
    stage = _first(plan, "intermediate_amplifier")
    if stage is None:
        return Reach("nothing to say: the plan's stages list none")
    gain = _built(plan, stage)
    if gain is None:
        return Reach(f"cannot be worked out for “{stage.device}”")
    return _against(gain, stage.gain_db, "with the transformer's coils")


def _first(plan: Plan, function: str) -> ReceiverStage | None:
    return next((stage for stage in stages_of(plan) if stage.function == function), None)


def _built(plan: Plan, stage: ReceiverStage) -> float | None:
    return gain_of(plan, stage.function, valve_in(stage.device), filtered=True)


def _against(built: float, given: float | None, how: str) -> Reach:
    words = f"{show(round(built, 1) + 0.0, 'dB', digits=3)} {how}"
    if given is None or given <= built + BEYOND_DB:
        return Reach(words)
    return Reach(f"{words}; the plan enters {show(given, 'dB', digits=3)}, which cannot be reached: "
                 "leave its gain blank, and it is worked out", lacks=True)

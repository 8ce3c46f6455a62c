"""Whether the gains in the plan's table of stages can be reached with its filter and transformer, worded.

Here are the words for the list of what follows from a plan, for what it lacks, and beside its levels.
"""

from __future__ import annotations

from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.stages import ReceiverStage
from rxlearn.plan.document import Plan
from rxlearn.plan.stage_gains import gain_of, low_ends
from rxlearn.plan.stages import stages_of, valve_in

BEYOND_DB = 6.0
"""An entered gain may be so far above the computed one: Q and valves scatter by as much (a choice)."""


def filter_words(plan: Plan) -> str:
    """Gain of mixer and filter as they are built, and what the plan enters; raises Unclear."""
    mixer, ladder = _first(plan, "mixer"), _first(plan, "filter")
    if mixer is None or ladder is None:
        return "nothing to say: the plan's stages list no mixer or no crystal filter"
    ends = low_ends(plan)
    gain = _built(plan, mixer)
    if gain is None:
        words = f"the workbook has no conversion transconductance of “{mixer.device}”"
    else:
        given = None if mixer.gain_db is None or ladder.gain_db is None else (
            mixer.gain_db + ladder.gain_db)
        words = _against(gain + _built(plan, ladder), given, "with the filter as it is built")
    return f"{words}; {ends}" if ends else words


def transformer_words(plan: Plan) -> str:
    """Gain of the amplifier with the transformer's coils, and what the plan enters."""
    stage = _first(plan, "intermediate_amplifier")
    if stage is None:
        return "nothing to say: the plan's stages list none"
    gain = _built(plan, stage)
    if gain is None:
        return f"cannot be worked out for “{stage.device}”"
    return _against(gain, stage.gain_db, "with the transformer's coils")


def short_of(plan: Plan) -> tuple[str, ...]:
    """Sentences on entered gains that cannot be reached and on filter ends that make the set deaf."""
    found = []
    try:
        words = filter_words(plan)
    except Unclear:
        words = ""  # the filter's own section says why
    if _BEYOND in words or _ENDS in words:
        found.append(f"Mixer and crystal filter: {words}.")
    words = transformer_words(plan)
    if _BEYOND in words:
        found.append(f"Intermediate-frequency amplifier: {words}.")
    return tuple(found)


_BEYOND, _ENDS = "which cannot be reached", "the filter's ends are"
"""Words by which a row that asks for something is known."""


def _first(plan: Plan, function: str) -> ReceiverStage | None:
    return next((stage for stage in stages_of(plan) if stage.function == function), None)


def _built(plan: Plan, stage: ReceiverStage) -> float | None:
    return gain_of(plan, stage.function, valve_in(stage.device), filtered=True)


def _against(built: float, given: float | None, how: str) -> str:
    words = f"{show(round(built, 1) + 0.0, 'dB', digits=3)} {how}"
    if given is None or given <= built + BEYOND_DB:
        return words
    return (f"{words}; the plan enters {show(given, 'dB', digits=3)}, {_BEYOND}: leave its gain "
            "blank, and it is worked out")

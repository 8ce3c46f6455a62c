"""The plan's stages as ``compute`` wants them, with what is published of their valves."""

from __future__ import annotations

import re

from rxlearn.compute.beat import UPPER, beat_oscillator_frequency
from rxlearn.compute.block_diagram import ConvertedThird, TwoBandSet
from rxlearn.compute.circuits import bias_at
from rxlearn.compute.ladder_build import BuiltLadder
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.stages import (
    STAGE_GAIN,
    Currents,
    FollowedSignal,
    ReceiverStage,
    add_currents,
    follow_signal,
)
from rxlearn.compute.tuning import is_sideband_inverted
from rxlearn.data.valves import ALIASES, VALVES, Valve
from rxlearn.plan.aerial import match_of
from rxlearn.plan.converter_stages import has_converter, typical_rows
from rxlearn.plan.crystal_filter import filter_of
from rxlearn.plan.document import Plan
from rxlearn.plan.stage_gains import BUILT, gain_of
from rxlearn.plan.third_band import converter_of

STAGES = "stages.list"
"""Key of the plan's table of stages."""

BANDS = ("lower_band", "upper_band")


def valve_in(device: str) -> Valve | None:
    """The valve that a device's name speaks of (``V4a ½ 12AX7``, ``ECC83``), or None."""
    for word in re.findall(r"[0-9A-Za-z]+", device.upper()):
        word = re.sub(r"(?<=\d)(?:GTA|GTB|GT|G|WA|W|A|B)$", "", word)
        if found := VALVES.get(ALIASES.get(word, word)):
            return VALVES.get(f"{found.name} triode", found) if "TRIODE" in device.upper() else found
    return None


def sections_used(valve: Valve, current: float) -> int:
    """How many of the bulb's systems a stage that draws ``current`` (A) must be using."""
    return 2 if valve.sections == 2 and current > 1.4 * valve.supply_current else 1


def _bias(valve: Valve, current: float) -> float:
    """The bias (V) at which ``valve`` draws ``current`` (A); the published one where none is given."""
    if not current:
        return valve.bias
    anode = current / sections_used(valve, current) * valve.anode_current / valve.supply_current
    return bias_at(valve.bias, valve.anode_current, anode, valve.transconductance)


def stages_of(plan: Plan, band: str = "") -> tuple[ReceiverStage, ...]:
    """The plan's stages in the order in which they are listed; blank currents count as zero.

    On a ``band`` (a key of :data:`BANDS`) a preselector whose gain is blank has what its coil
    gives there, and mixer, filter and intermediate-frequency amplifier what the filter as it is
    built and the transformer's coils give.  Behind them stand those of the converter that the
    plan's third band wants.
    """
    found, rows = [], (*plan.value(STAGES), *typical_rows(plan))
    filtered = any(row[0] == "filter" for row in rows)
    for function, device, heater, supply, gain, source in rows:
        valve = valve_in(device)
        if band and function == "preselector" and gain is None:
            gain = round(match_of(plan, band).gain_db, 1)
        if band and function in BUILT and gain is None:
            gain = _rounded(gain_of(plan, function, valve, filtered=filtered))
        found.append(ReceiverStage(
            function=function, device=device, heater_current=heater or 0.0,
            supply_current=supply or 0.0, gain_db=gain, source=source or "",
            bias=_bias(valve, supply or 0.0) if valve else None,
            noise_resistance=valve.noise_resistance if valve else None))
    return tuple(found)


def _rounded(gain: float | None) -> float | None:
    return None if gain is None else round(min(max(gain, STAGE_GAIN.low), STAGE_GAIN.high), 1) + 0.0


def currents_of(plan: Plan) -> Currents:
    """What the plan's stages draw together; :class:`Unclear` where it lists none."""
    stages = stages_of(plan)
    if not stages:
        raise Unclear("The plan lists no stages yet: add them in the lesson “Stage by stage”.")
    return add_currents(stages)


def middle_of(plan: Plan, band: str) -> float:
    """The middle of ``band``, Hz."""
    return (plan.value(f"{band}.low") + plan.value(f"{band}.high")) / 2


def filter_in(plan: Plan) -> BuiltLadder | None:
    """The crystal filter, if the plan's stages have one and its crystals can make it."""
    if not any(stage.function == "filter" for stage in stages_of(plan)):
        return None
    try:
        return filter_of(plan)
    except Unclear:
        return None  # the sheet says why where its values should stand


def passed_middle(plan: Plan) -> float:
    """What the stages behind the mixer are set to, Hz: the middle of what the filter passes."""
    found = filter_in(plan)
    return plan.value("intermediate_frequency") if found is None else found.measures.centre


def beat_on(plan: Plan, band: str) -> float:
    """The beat oscillator (Hz) that receives the upper sideband on ``band``, beside that middle."""
    return beat_oscillator_frequency(
        passed_middle(plan), UPPER, is_sideband_inverted(plan.value(f"{band}.injection")),
        plan.value("beat_oscillator.offset"))


def followed(plan: Plan, band: str, *, signal: float | None = None,
             aerial_dbm: float = -73.0, place: str = "residential") -> FollowedSignal:
    """A signal (Hz; the band's middle if not given) on its way through the plan's stages.

    Raises :class:`Unclear` with the reason where the plan's scheme or stages cannot work.
    """
    return follow_signal(
        stages_of(plan, band), signal=middle_of(plan, band) if signal is None else signal,
        intermediate_frequency=plan.value("intermediate_frequency"),
        injection=plan.value(f"{band}.injection"), aerial_dbm=aerial_dbm, place=place,
        beat_offset=plan.value("beat_oscillator.offset"), middle=passed_middle(plan))


def receiver_of(plan: Plan) -> TwoBandSet:
    """The plan as the block diagram wants it."""
    return TwoBandSet(
        stages=stages_of(plan), names=tuple(plan.shown(f"{band}.name") for band in BANDS),
        edges=tuple((plan.value(f"{band}.low"), plan.value(f"{band}.high")) for band in BANDS),
        injections=tuple(plan.value(f"{band}.injection") for band in BANDS),
        intermediate_frequency=plan.value("intermediate_frequency"),
        beat_offset=plan.value("beat_oscillator.offset"), middle=passed_middle(plan),
        turns_ratio=plan.value("output.turns_ratio"), loudspeaker=plan.value("output.loudspeaker"),
        third=_third(plan), by_band=tuple(stages_of(plan, band) for band in BANDS))


def _third(plan: Plan) -> ConvertedThird | None:
    """The third band that a converter brings down; None where there is none to be built."""
    if not has_converter(plan):
        return None
    converted = converter_of(plan).converted
    devices = [s.device for s in stages_of(plan) if s.function in ("converter", "crystal_oscillator")]
    return ConvertedThird(
        plan.shown("third_band.name"), converted.covered_low, converted.covered_high,
        converted.crystal, plan.shown(f"{plan.value('converter.main_band')}.name"),
        ", ".join(devices))

"""Worked examples, one for each lesson, recomputed from whatever plan is in use."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rxlearn.compute.beat import UPPER, beat_oscillator_frequency
from rxlearn.compute.image_swapping import (
    SwapScheme, meeting_intermediate_frequency, nearest_crystal,
)
from rxlearn.compute.preselector import preselect
from rxlearn.compute.quantities import Unclear, show, show_span
from rxlearn.compute.recentring import recentre
from rxlearn.compute.tank import tank_for_range
from rxlearn.compute.tuning import BandPlan, image_frequency, oscillator_frequency, plan_band
from rxlearn.exercises.band_spread_worked import band_spread_steps
from rxlearn.exercises.build_sheet import build_sheet_steps
from rxlearn.exercises.coils_worked import coil_steps
from rxlearn.exercises.crystal_filter_worked import crystal_filter_steps
from rxlearn.exercises.frequency_choice_worked import frequency_choice_steps
from rxlearn.exercises.measured_worked import measured_steps
from rxlearn.exercises.parts_worked import parts_steps
from rxlearn.exercises.power_supply_worked import power_supply_steps
from rxlearn.exercises.stage_by_stage_worked import stage_by_stage_steps
from rxlearn.exercises.spurious_responses_worked import spurious_steps
from rxlearn.exercises.third_band_worked import third_band_steps
from rxlearn.exercises.tolerances_worked import tolerances_steps
from rxlearn.plan.document import Plan
from rxlearn.plan.proposals import scheme_of

BANDS = ("lower_band", "upper_band")


def worked_steps(lesson: str, plan: Plan) -> tuple[str, ...]:
    """The steps of ``lesson``'s example with ``plan``'s numbers; KeyError for an unknown lesson.

    A plan that cannot work ends the steps with the reason, in words.
    """
    steps = []
    try:
        for step in EXAMPLES[lesson](plan):
            steps.append(step)
    except Unclear as problem:
        steps.append(f"Here it stops: {problem}")
    return tuple(steps)


def _basics(plan: Plan) -> Iterator[str]:
    """From the middle of the lower band to the intermediate frequency, and what else arrives there."""
    low, high = plan.value("lower_band.low"), plan.value("lower_band.high")
    intermediate = plan.value("intermediate_frequency")
    side = plan.value("lower_band.injection")
    name = plan.shown("lower_band.name")
    signal = (low + high) / 2
    yield f"The middle of {name} is ({_mhz(low)} + {_mhz(high)}) / 2 = {_mhz(signal)}."
    oscillator = oscillator_frequency(signal, intermediate, side)
    sign = "+" if side == "high" else "-"
    yield (f"With the oscillator on the {side} side it must run at {_mhz(signal)} {sign} "
           f"{_mhz(intermediate)} = {_mhz(oscillator)}.")
    yield (f"The mixer gives the difference {_mhz(abs(oscillator - signal))}, which the filter "
           f"keeps, and the sum {_mhz(oscillator + signal)}, which it drops.")
    image = image_frequency(signal, intermediate, side)
    yield (f"A signal on {_mhz(image)} gives the same difference: "
           f"|{_mhz(image)} - {_mhz(oscillator)}| = {_mhz(abs(image - oscillator))}. "
           "That is the image.")
    yield (f"To tune {name} from end to end only the oscillator moves, by "
           f"{show(high - low, 'Hz')}; filter and amplifier stay on {_mhz(intermediate)}.")


def _injection(plan: Plan) -> Iterator[str]:
    """Each band from either side: oscillator, ratios, image, sideband; then what the sides share."""
    intermediate = plan.value("intermediate_frequency")
    for band in BANDS:
        low, high = plan.value(f"{band}.low"), plan.value(f"{band}.high")
        name, side = plan.shown(f"{band}.name"), plan.value(f"{band}.injection")
        yield (f"{name} reaches from {_mhz(low)} to {_mhz(high)}. The intermediate frequency is "
               f"{_mhz(intermediate)}. Your plan puts the oscillator on the {side} side.")
        yield from _one_side(plan_band(low, high, intermediate, side))
        other = "low" if side == "high" else "high"
        yield _other_side(plan_band(low, high, intermediate, other))


def _one_side(planned: BandPlan) -> Iterator[str]:
    """The steps for the side in the plan."""
    if planned.reasons:
        yield " ".join(planned.reasons)
        return
    sign = "+" if planned.injection == "high" else "-"
    intermediate = _mhz(planned.intermediate_frequency)
    yield (f"Oscillator: {_mhz(planned.band_low)} {sign} {intermediate} = "
           f"{_mhz(planned.oscillator_low)} to {_mhz(planned.band_high)} {sign} {intermediate} = "
           f"{_mhz(planned.oscillator_high)}.")
    yield (f"Ratio: {_mhz(planned.oscillator_high)} / {_mhz(planned.oscillator_low)} = "
           f"{planned.oscillator_ratio:.4f}; the capacitance must change by its square, "
           f"{planned.capacitance_ratio:.4f}.")
    yield (f"Image at the low edge: {_image_sum(planned, planned.band_low)}; at the high edge: "
           f"{_image_sum(planned, planned.band_high)}.")
    turned = "inverted" if planned.sideband_inverted else "upright"
    yield f"Sidebands come out {turned}; the dial runs forwards."


def _image_sum(planned: BandPlan, signal: float) -> str:
    """The image of ``signal`` (Hz) as a sum worked out."""
    intermediate = planned.intermediate_frequency
    twice = f"2 × {_mhz(intermediate)}"
    image = _mhz(image_frequency(signal, intermediate, planned.injection))
    if planned.injection == "high":
        return f"{_mhz(signal)} + {twice} = {image}"
    if signal < 2 * intermediate:
        return f"{twice} - {_mhz(signal)} = {image}"
    return f"{_mhz(signal)} - {twice} = {image}"


def _other_side(planned: BandPlan) -> str:
    """One step that says what the other side would bring."""
    opening = f"On the {planned.injection} side instead:"
    if planned.reasons:
        return f"{opening} {' '.join(planned.reasons)}"
    span = show_span(planned.oscillator_low, planned.oscillator_high, "Hz", digits=8, prefix="M")
    turned = "inverted" if planned.sideband_inverted else "upright"
    return (f"{opening} oscillator {span}, capacitance ratio {planned.capacitance_ratio:.4f}, "
            f"sidebands {turned}.")


def _swapping(plan: Plan) -> Iterator[str]:
    """From the meeting frequency to the beat oscillator, with the plan's bands and crystal."""
    scheme = scheme_of(plan)
    if scheme.reasons:
        raise Unclear(" ".join(scheme.reasons))
    yield from _meeting(scheme)
    yield from _dial(plan, scheme)
    for band, planned in zip(BANDS, (scheme.lower, scheme.upper)):
        yield _rejection(plan, band, planned)
    for band, planned in zip(BANDS, (scheme.lower, scheme.upper)):
        yield _beat_oscillator(plan, band, planned)


def _meeting(scheme: SwapScheme) -> Iterator[str]:
    """Where the bands meet, which crystal comes near, and what the plan's own one misses by."""
    bands = ((scheme.lower.band_low, scheme.lower.band_high),
             (scheme.upper.band_low, scheme.upper.band_high))
    lower, upper = (sum(edges) / 2 for edges in bands)
    meeting = meeting_intermediate_frequency(*bands)
    yield f"Middles of the bands: {_mhz(lower)} and {_mhz(upper)}."
    yield (f"They meet at half their distance: ({_mhz(upper)} - {_mhz(lower)}) / 2 = "
           f"{_mhz(meeting)}.")
    nearest = nearest_crystal(meeting, count=1)[0]
    yield (f"The nearest crystal in stock is {_mhz(nearest.crystal.frequency)} "
           f"({nearest.crystal.reason}), {_khz(abs(nearest.miss))} "
           f"{'above' if nearest.miss > 0 else 'below'} that.")
    yield (f"Your plan takes {_mhz(scheme.intermediate_frequency)}, a miss of "
           f"{_khz(abs(scheme.miss))}, so the middles of the oscillator ranges lie twice as far "
           f"apart: {_khz(abs(scheme.centre_shift))}.")


def _dial(plan: Plan, scheme: SwapScheme) -> Iterator[str]:
    """Shares of the dial, the tank that covers it, and the capacitor that centres the other band."""
    names = {band.removesuffix("_band"): plan.shown(f"{band}.name") for band in BANDS}
    narrow = "lower" if scheme.wider == "upper" else "upper"
    share = min(scheme.lower_share, scheme.upper_share)
    yield (f"The dial is laid out for {names[scheme.wider]}, oscillator {_mhz(scheme.dial_low)} to "
           f"{_mhz(scheme.dial_high)}. {names[narrow]} fills {show(100 * share, '%', digits=3)} "
           "of it.")
    swing = plan.value("oscillator.capacitance_swing")
    tank = tank_for_range(scheme.dial_low, scheme.dial_high, swing)
    yield (f"A swing of {_farad(swing)} covers the dial with a coil of "
           f"{show(tank.inductance, 'H', digits=3)} and, in all, "
           f"{_farad(tank.capacitance_at_high)} at the high end, {_farad(tank.capacitance_at_low)} at the low end.")
    found = recentre(scheme, tank.inductance)
    if found.switched_on is None:
        yield "The middles agree, so no capacitor is needed to recentre."
        return
    if found.capacitance > tank.capacitance_at_low:
        raise Unclear(
            f"To bring the middles together would take {_farad(found.capacitance)} across the tank, "
            f"more than the tank itself holds, since the ranges lie {_mhz(scheme.gap)} apart. "
            "Choose an intermediate frequency nearer to where the bands meet, or another pair.")
    yield (f"To bring the middles together, switch {_farad(found.capacitance)} across the tank on "
           f"{names[found.switched_on]}; the switch's own 1 pF to 3 pF is part of it. The whole "
           f"dial then covers {_khz(found.span)} on {names[narrow]}.")


def _rejection(plan: Plan, band: str, planned: BandPlan) -> str:
    """What the plan's preselector does at the worse edge of one band."""
    q, circuits = plan.value("preselector.loaded_q"), plan.value("preselector.circuits")
    edges = [preselect(edge, planned.intermediate_frequency, planned.injection, q, circuits)
             for edge in (planned.band_low, planned.band_high)]
    image = min(edges, key=lambda edge: edge.image_rejection_db)
    beside = min(edges, key=lambda edge: edge.intermediate_frequency_rejection_db)
    number = "1 circuit" if circuits == 1 else f"{circuits} circuits"
    return (
        f"{plan.shown(f'{band}.name')}, {number} of loaded Q {q:g}: tuned to {_mhz(image.signal)} "
        f"the image on {_mhz(image.image_frequency)} is held down "
        f"{_decibels(image.image_rejection_db)}; tuned to {_mhz(beside.signal)} a signal on the "
        f"intermediate frequency is held down "
        f"{_decibels(beside.intermediate_frequency_rejection_db)}."
    )


def _beat_oscillator(plan: Plan, band: str, planned: BandPlan) -> str:
    """Where the beat oscillator belongs on one band, for the upper sideband."""
    offset = plan.value("beat_oscillator.offset")
    place = beat_oscillator_frequency(
        planned.intermediate_frequency, UPPER, planned.sideband_inverted, offset)
    sign = "+" if place > planned.intermediate_frequency else "-"
    turned = "turned over" if planned.sideband_inverted else "left upright"
    return (f"{plan.shown(f'{band}.name')}, {planned.injection} side: the upper sideband is "
            f"{turned}, so the beat oscillator belongs on {_mhz(planned.intermediate_frequency)} {sign} "
            f"{_khz(offset)} = {_mhz(place)}; for the lower sideband, on the other side.")


def _farad(value: float) -> str:
    return show(value, "F", digits=3)


def _khz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="k", digits=6)


def _decibels(value: float) -> str:
    return show(value, "dB", decimals=1)


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", digits=8)


EXAMPLES: dict[str, Callable[[Plan], Iterator[str]]] = {
    "superheterodyne_basics": _basics,
    "injection_side": _injection,
    "image_swapping": _swapping,
    "band_spread": band_spread_steps,
    "power_supply": power_supply_steps,
    "stage_by_stage": stage_by_stage_steps,
    "coils": coil_steps,
    "crystal_filter": crystal_filter_steps,
    "tolerances": tolerances_steps,
    "spurious_responses": spurious_steps,
    "choosing_the_intermediate_frequency": frequency_choice_steps,
    "third_band": third_band_steps,
    "parts_and_budget": parts_steps,
    "measured_at_the_bench": measured_steps,
    "build_sheet": build_sheet_steps,
}
"""Lesson to the generator of its steps."""

"""Worked examples, one for each lesson, recomputed from whatever plan is in use."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rxlearn.compute.quantities import Unclear, show, show_span
from rxlearn.compute.tuning import BandPlan, image_frequency, oscillator_frequency, plan_band
from rxlearn.plan.document import Plan

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


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", digits=8)


EXAMPLES: dict[str, Callable[[Plan], Iterator[str]]] = {
    "superheterodyne_basics": _basics,
    "injection_side": _injection,
}
"""Lesson to the generator of its steps."""

"""Worked examples, one for each lesson, recomputed from whatever plan is in use."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rxlearn.compute.quantities import Unclear, show, show_span
from rxlearn.compute.tuning import (
    image_frequency, is_sideband_inverted, oscillator_frequency, plan_band,
)
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
    """Both sides for both bands: oscillator range, ratio, image, sideband."""
    intermediate = plan.value("intermediate_frequency")
    for band in BANDS:
        low, high = plan.value(f"{band}.low"), plan.value(f"{band}.high")
        name = plan.shown(f"{band}.name")
        for side in ("high", "low"):
            planned = plan_band(low, high, intermediate, side)
            opening = f"{name}, {side} side"
            if planned.reasons:
                yield f"{opening}: {' '.join(planned.reasons)}"
                continue
            turned = "inverted" if is_sideband_inverted(side) else "upright"
            yield (
                f"{opening}: oscillator {show_span(planned.oscillator_low, planned.oscillator_high, 'Hz')}"
                f", a ratio of {planned.oscillator_ratio:.4f} and so a capacitance ratio of "
                f"{planned.capacitance_ratio:.4f}; image "
                f"{show_span(planned.image_low, planned.image_high, 'Hz')}; sidebands {turned}."
            )


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", digits=8)


EXAMPLES: dict[str, Callable[[Plan], Iterator[str]]] = {
    "superheterodyne_basics": _basics,
    "injection_side": _injection,
}
"""Lesson to the generator of its steps."""

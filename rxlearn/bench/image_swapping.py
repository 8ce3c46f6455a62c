"""Live figures on image swapping: one oscillator, where two bands meet, one dial for both.

All start from the plan.  A plan whose bands cannot share an oscillator is
shown as it is; the sentence under the figure says why.
"""

from __future__ import annotations

import math

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.image_swapping import LOWER_BAND, UPPER_BAND, SwapScheme
from rxlearn.compute.meeting import meet, meeting_of, view_meeting
from rxlearn.compute.recentring import switch_capacitor
from rxlearn.compute.swap_setting import set_swap, view_dial
from rxlearn.compute.tuning import HIGH
from rxlearn.figures.image_swapping import ImageSwappingFigure
from rxlearn.figures.meeting import MeetingFigure
from rxlearn.figures.names import cut
from rxlearn.figures.recentring import RecentringFigure
from rxlearn.plan.document import Plan
from rxlearn.plan.proposals import scheme_of

LONGEST_NAME = 16
"""Longest band name, in letters, for which a figure has room."""


def image_swapping() -> LiveBench:
    """Turn the one oscillator and watch both signals move; the preselector chooses."""
    plan = the_desk().plan()
    scheme, view = scheme_of(plan), view_dial(scheme_of(plan))
    low, high, fine = _stops(view.low, view.high)

    def compute(oscillator: float, preselector: str):
        return set_swap(scheme, oscillator, preselector,
                        loaded_q=plan.value("preselector.loaded_q"),
                        circuits=plan.value("preselector.circuits"))

    return live(
        "One oscillator, two bands",
        [
            Knob(key="oscillator", label="Oscillator", unit="Hz", low=low, high=high,
                 start=min(high, max(low, view.start)), fine=fine, coarse=10 * fine, prefix="M",
                 decimals=4),
            _preselector_choice(scheme, names_of(plan)),
        ],
        compute,
        lambda: ImageSwappingFigure(view, names_of(plan)),
        predict="swap.predict_drag",
    )


def _preselector_choice(scheme: SwapScheme, names: tuple[str, str]) -> Choice:
    """Which of the two signals the preselector picks; by band where each stands for one."""
    options = {LOWER_BAND: names[0], UPPER_BAND: names[1]}
    if not scheme.works:
        options = {LOWER_BAND: "signal below the oscillator",
                   UPPER_BAND: "signal above the oscillator"}
    start = LOWER_BAND if scheme.lower.injection == HIGH else UPPER_BAND
    return Choice(key="preselector", label="Preselector on", options=options, start=start)


def meeting() -> LiveBench:
    """Slide the intermediate frequency and see two oscillator ranges meet, or miss."""
    plan = the_desk().plan()
    scheme = scheme_of(plan)
    view = view_meeting(scheme)
    low, high, fine = _stops(view.low, view.high)
    return live(
        "Where two bands meet",
        [
            Knob(key="intermediate_frequency", label="Intermediate frequency", unit="Hz",
                 low=low, high=high, start=min(high, max(low, scheme.intermediate_frequency)),
                 fine=fine, coarse=20 * fine, prefix="M", decimals=4),
        ],
        lambda intermediate_frequency: meet(scheme, intermediate_frequency),
        lambda: MeetingFigure(scheme, view, names_of(plan)),
        predict="swap.predict_share" if meeting_of(scheme) else "",
    )


def recentring() -> LiveBench:
    """Switch a capacitor across the oscillator tank and bring two bands to one dial's middle."""
    plan = the_desk().plan()
    scheme, coil = scheme_of(plan), plan.value("oscillator.inductance")
    largest = _largest_capacitor(switch_capacitor(scheme, coil, 0.0).wanted)
    coil_step = _clean(10.0 ** (math.floor(math.log10(coil)) - 2))
    steps = round(coil / coil_step)
    return live(
        "One dial for both bands",
        [
            Knob(key="capacitance", label="Switched capacitor", unit="F", low=0, high=largest,
                 start=min(largest, plan.value("recentring.capacitance")), fine=largest / 500,
                 coarse=largest / 50, prefix="p", decimals=1),
            Knob(key="inductance", label="Oscillator coil", unit="H",
                 low=_clean(steps // 3 * coil_step), high=_clean(3 * steps * coil_step), start=coil,
                 fine=coil_step, coarse=10 * coil_step, prefix=_coil_prefix(coil), decimals=2),
        ],
        lambda capacitance, inductance: switch_capacitor(scheme, inductance, capacitance),
        lambda: RecentringFigure(scheme, names_of(plan)),
        predict="swap.predict_recentring" if scheme.works else "",
    )


def names_of(plan: Plan) -> tuple[str, str]:
    """The lower and the upper band's name, cut short where a figure has no room for more."""
    return tuple(cut(plan.value(f"{band}.name"), LONGEST_NAME)
                 for band in ("lower_band", "upper_band"))


def _stops(low: float, high: float) -> tuple[float, float, float]:
    """Ends inside ``low``..``high`` (Hz) on a round step, and that step: 300 to 3000 of them."""
    fine = 10.0 ** math.floor(math.log10((high - low) / 300))
    return _clean(math.ceil(low / fine) * fine), _clean(math.floor(high / fine) * fine), fine


def _clean(value: float) -> float:
    """``value`` without the dust of binary arithmetic, as a slider's stops have it."""
    return float(f"{value:.12g}")


def _largest_capacitor(wanted: float | None) -> float:
    """A round end for the capacitor's knob: 50 pF, or more where more is ``wanted`` (F)."""
    sizes = (50e-12, 100e-12, 200e-12, 500e-12, 1e-9, 2e-9, 5e-9, 10e-9)
    return next((size for size in sizes if size >= 1.5 * (wanted or 0.0)), sizes[-1])


def _coil_prefix(coil: float) -> str:
    return "n" if coil < 1e-6 else "µ" if coil < 1e-3 else "m"

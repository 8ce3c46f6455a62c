"""Live figures on the oscillator's side: one signal, a band, the image's place, many bands."""

from __future__ import annotations

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.image_neighbourhood import Neighbourhood, look_around_image
from rxlearn.compute.injection_side import compare_sides, inject
from rxlearn.compute.multiband import follow_bands, ordinary_bands
from rxlearn.compute.tuning import HIGH, LOW, SUM
from rxlearn.figures.image_neighbourhood import ImageNeighbourhoodFigure
from rxlearn.figures.injection import InjectionFigure
from rxlearn.figures.multiband import MultibandFigure
from rxlearn.figures.oscillator_range import OscillatorRangeFigure
from rxlearn.plan.document import Plan

SIDES = {HIGH: "high side: oscillator above", LOW: "low side: oscillator below"}
SCHEMES = {HIGH: "high side: oscillator - signal", LOW: "low side: signal - oscillator",
           SUM: "sum: oscillator + signal"}

LOWEST_IF, HIGHEST_IF = 0.4e6, 10.8e6
"""Intermediate frequencies (Hz) that the knobs reach: from broadcast sets to VHF ones, and
further for a plan that lies beyond."""

LOWEST_SIGNAL, HIGHEST_SIGNAL = 0.5e6, 15e6
"""Signals (Hz) that the first figure's knob reaches, before it is stretched for a plan's band."""

STRETCHES = (1.0, 1.5, 2.0, 2.5, 4.0)
"""By what that knob and the figure's axis are stretched, the first choice first."""

SHRUNK = 0.1
"""The same for a band below that knob, on a low intermediate frequency."""


def injection() -> LiveBench:
    """Place the oscillator above, below, or as the part missing to a sum.

    Starts at the middle of the plan's lower band.
    """
    plan = the_desk().plan()
    middle = (plan.value("lower_band.low") + plan.value("lower_band.high")) / 2
    signal = round(middle, -4 if middle > LOWEST_SIGNAL else -3)
    planned = plan.value("intermediate_frequency")
    stretch = next(s for s in ((SHRUNK,) if signal < LOWEST_SIGNAL else ()) + STRETCHES
                   if signal <= s * HIGHEST_SIGNAL and planned <= s * HIGHEST_IF)
    side = plan.value("lower_band.injection")
    return live(
        "Above, below, or the sum",
        [
            Knob(key="signal", label="Signal frequency", unit="Hz",
                 low=min(LOWEST_SIGNAL, signal // 1e4 * 1e4), high=stretch * HIGHEST_SIGNAL, start=signal,
                 fine=1e4, coarse=1e5, prefix="M", decimals=2 if signal >= LOWEST_SIGNAL else 3),
            _intermediate_knob(planned),
            Choice(key="injection", label="Injection", options=SCHEMES, start=side),
        ],
        inject,
        lambda: InjectionFigure(stretch),
        predict="injection.predict_backwards",
    )


def oscillator_range() -> LiveBench:
    """Compare the oscillator's range on either side for a whole band; starts at medium waves."""
    return live(
        "What the oscillator's capacitor must do",
        [
            Knob(key="band_low", label="Band, low edge", unit="Hz", low=150e3, high=1500e3,
                 start=540e3, fine=1e3, coarse=50e3, prefix="k"),
            Knob(key="band_high", label="Band, high edge", unit="Hz", low=500e3, high=2600e3,
                 start=1600e3, fine=1e3, coarse=50e3, prefix="k"),
            Knob(key="intermediate_frequency", label="Intermediate frequency", unit="Hz",
                 low=50e3, high=800e3, start=455e3, fine=1e3, coarse=10e3, prefix="k"),
            Choice(key="injection", label="Injection", options=SIDES, start=HIGH),
        ],
        compare_sides,
        OscillatorRangeFigure,
        predict="injection.predict_low_side",
    )


def image_neighbourhood() -> LiveBench:
    """Tune through a band of the plan and see where its image lies and who is there."""
    plan = the_desk().plan()
    region = int(plan.value("region"))

    def compute(
        band: str, share: float, intermediate_frequency: float, side: str
    ) -> Neighbourhood:
        return _look(plan, band, share, intermediate_frequency, side)

    return live(
        "Who is on the image",
        [
            Choice(key="band", label="Band", start="lower_band", options={
                band: plan.shown(f"{band}.name") for band in ("lower_band", "upper_band")}),
            Knob(key="share", label="Place on the dial (0 % is the band's low edge)", unit="%",
                 low=0, high=100, start=50, fine=0.5, coarse=5, decimals=1),
            Choice(key="side", label="Injection", start="planned", options={
                "planned": "the side in your plan", "other": "the other side"}),
            _intermediate_knob(plan.value("intermediate_frequency")),
        ],
        compute,
        lambda: ImageNeighbourhoodFigure(region),
        predict="injection.predict_image",
    )


def _look(
    plan: Plan, band: str, share: float, intermediate_frequency: float, side: str
) -> Neighbourhood:
    """The neighbourhood for a band of the plan with its preselector."""
    chosen = plan.value(f"{band}.injection")
    if side == "other":
        chosen = LOW if chosen == HIGH else HIGH
    return look_around_image(
        plan.value(f"{band}.low"), plan.value(f"{band}.high"), share, intermediate_frequency,
        chosen, region=int(plan.value("region")),
        loaded_q=plan.value("preselector.loaded_q"), circuits=plan.value("preselector.circuits"),
    )


def multiband() -> LiveBench:
    """Follow an ordinary receiver's oscillator from band to band, beside the plan's two bands."""
    plan = the_desk().plan()
    bands = ordinary_bands(int(plan.value("region")))
    pair = tuple(
        (plan.shown(f"{band}.name"), plan.value(f"{band}.low"), plan.value(f"{band}.high"))
        for band in ("lower_band", "upper_band")
    )
    return live(
        "From band to band",
        [
            _intermediate_knob(plan.value("intermediate_frequency")),
            Choice(key="injection", label="Injection on every band", options=SIDES, start=HIGH),
        ],
        lambda intermediate_frequency, injection: follow_bands(
            bands, intermediate_frequency, injection, pair=pair),
        lambda: MultibandFigure(bands, pair),
        predict="injection.predict_multiband",
    )


def _intermediate_knob(start: float) -> Knob:
    return Knob(key="intermediate_frequency", label="Intermediate frequency", unit="Hz",
                low=min(LOWEST_IF, start // 5e3 * 5e3), high=max(HIGHEST_IF, -(-start // 5e3) * 5e3),
                start=start, fine=5e3, coarse=1e5, prefix="M", decimals=3)

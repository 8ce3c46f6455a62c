"""The live figure on the beat oscillator's side."""

from __future__ import annotations

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.image_swapping import names_of
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.beat import LOWER, UPPER, set_beat
from rxlearn.compute.image_swapping import LOWER_BAND, UPPER_BAND
from rxlearn.figures.beat import BeatSideFigure
from rxlearn.plan.proposals import scheme_of

FURTHEST = 3e3
"""Largest offset (Hz) on the knob."""


def beat_side() -> LiveBench:
    """See where a sideband lands on either band, and on which side the beat oscillator belongs."""
    plan = the_desk().plan()
    scheme, names = scheme_of(plan), names_of(plan)
    bands = {LOWER_BAND: scheme.lower, UPPER_BAND: scheme.upper}

    def compute(band: str, sideband: str, offset: float):
        chosen = bands[band]
        # A band that begins just above the intermediate frequency is tuned a little further up.
        carrier = max((chosen.band_low + chosen.band_high) / 2,
                      chosen.intermediate_frequency + 2 * FURTHEST
                      if chosen.injection == "low" else 0.0)
        return set_beat(carrier, sideband, chosen.intermediate_frequency, chosen.injection, offset)

    return live(
        "The beat oscillator's side",
        [
            Choice(key="band", label="Band", options=dict(zip(bands, names)), start=LOWER_BAND),
            Choice(key="sideband", label="Sideband on the air",
                   options={UPPER: "upper sideband", LOWER: "lower sideband"}, start=UPPER),
            Knob(key="offset", label="Beat oscillator from the filter's middle", unit="Hz",
                 low=100, high=FURTHEST, start=min(FURTHEST, plan.value("beat_oscillator.offset")),
                 fine=50, coarse=500),
        ],
        compute,
        BeatSideFigure,
        predict="swap.predict_beat",
    )

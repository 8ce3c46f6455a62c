"""The live figure on the beat oscillator's side, and what the wrong side sounds like."""

from __future__ import annotations

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.hearing import Hearing
from rxlearn.bench.image_swapping import names_of
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.beat import FILTER_WIDTH, LOWER, UPPER, BeatSetting, set_beat
from rxlearn.compute.image_swapping import LOWER_BAND, UPPER_BAND
from rxlearn.compute.quantities import show
from rxlearn.compute.receiver_sound import (
    LOWER_VOICE,
    UPPER_VOICE,
    Sound,
    Station,
    listen,
    one_after_other,
    plain_filter,
)
from rxlearn.figures.beat import BeatSideFigure
from rxlearn.plan.proposals import scheme_of

FURTHEST = 3e3
"""Largest offset (Hz) on the knob."""

NOISE_DB = -30.0
"""Noise behind the voice, dB."""


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
        sound=Hearing(_speech, _said),
    )


def _speech(result: BeatSetting) -> Sound:
    """The voice with the beat oscillator on the proper side, then on the other one."""
    found = result.converted
    kind = UPPER_VOICE if found.sideband_after == UPPER else LOWER_VOICE
    response = plain_filter(found.intermediate_frequency, FILTER_WIDTH)
    station = Station(found.intermediate_carrier, kind=kind)
    return one_after_other([
        listen([station], beat, response=response, noise_db=NOISE_DB, seconds=3.0)
        for beat in (result.beat_oscillator, result.wrong_beat_oscillator)])


def _said(result: BeatSetting) -> str:
    """Both halves in words."""
    apart = show(2 * result.offset, "Hz", prefix="k", digits=3)
    return (
        "3 s of a voice without words, with the beat oscillator where it belongs: vowels at their "
        f"true pitch. Then 3 s with it as far on the other side of the filter, {apart} away: "
        "low tones come out high, and the voice turns to gabble.")

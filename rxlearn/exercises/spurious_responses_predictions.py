"""Predictions on spurious responses."""

from __future__ import annotations

import numpy as np

from rxlearn.compute.spur_chart import chart_spurs
from rxlearn.compute.spur_mixer import mix_response
from rxlearn.compute.spurs import BREAKTHROUGH, HARMONIC_IMAGE, IMAGE, WANTED, spurious_responses
from rxlearn.compute.tuning import HIGH, LOW, plan_band
from rxlearn.compute.whistle_map import whistling_stretches
from rxlearn.compute.whistle_pitch import sweep_pitch
from rxlearn.compute.whistles import whistles
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Tolerance
from rxlearn.exercises.wording import hz, khz, number

LESSON = "spurious_responses"


def _strongest():
    """Which kind comes through best on the demo's upper band."""
    found = spurious_responses(plan_band(10.1e6, 10.15e6, 3.2768e6, LOW), 10.125e6)
    kinds = {IMAGE: "image", BREAKTHROUGH: "through", HARMONIC_IMAGE: "harmonic"}
    return next(kinds[row.kind] for row in found.responses if row.kind != WANTED)


def _slope():
    """How far 2·signal − oscillator's signal moves for each kHz tuned."""
    lines = chart_spurs(plan_band(7.0e6, 7.3e6, 3.579545e6, HIGH), order=3).lines
    (line,) = (line for line in lines if line.name == "2·signal − oscillator")
    return {0.5: "half", 1.0: "same", 2.0: "twice"}[line.slope]


def _pitch():
    """The pitch 500 Hz off the whistle on twice the intermediate frequency."""
    found = whistles(plan_band(7.0e6, 7.3e6, 3.579545e6, HIGH), order=3)
    (whistle,) = (row for row in found if not row.self_made)
    return sweep_pitch(whistle, HIGH, dial_offset=500.0).whistle_now


def _covered(low, high, side):
    """The share of 1 to 5 MHz of intermediate frequency that whistles on a band."""
    found = whistling_stretches(low, high, side, order=9)
    places = np.linspace(1e6, 5e6, 8001)[:, None]
    return float(np.mean(np.any((places >= found.low) & (places <= found.high), axis=1)))


_NARROW, _WIDE = (10.1e6, 10.15e6, LOW), (3.5e6, 4.0e6, HIGH)
"""The demo's bands, each with the side that its oscillator is on."""


def _width():
    narrow, wide = _covered(*_NARROW), _covered(*_WIDE)
    if abs(narrow - wide) < 0.02:
        return "same"
    return "narrow" if narrow < wide else "wide"


def _half():
    """How far the half-IF product moves with a station that moves by 40 kHz."""
    before, after = (mix_response(7.0268e6, 3.2768e6, (2, -2, 1), moved=m) for m in (0.0, 40e3))
    moved = after.signal - before.signal
    return abs(after.product_frequency - before.product_frequency) / moved * 40e3


PREDICTIONS = (
    Prediction(
        key="spurs.predict_strongest",
        lesson=LESSON,
        prompt="The demo receiver, with an IF of 3.2768 MHz, is tuned to 10.125 MHz, its oscillator on "
               "6.8482 MHz, behind one circuit of loaded Q 50. Which unwanted signal comes "
               "through strongest?",
        options=(("image", "The image on 3.5714 MHz."),
                 ("through", "A station on the IF itself."),
                 ("harmonic", "One on 10.4196 MHz, by the oscillator's second harmonic.")),
        truth=_strongest,
        because=lambda: "The second harmonic less the IF lands close to the band, where the "
                        "preselector hardly weakens it; image and IF lie far away.",
    ),
    Prediction(
        key="spurs.predict_line",
        lesson=LESSON,
        prompt="The oscillator is on the high side. A signal is also heard where 2·signal − "
               "oscillator makes the IF. You tune up by 10 kHz. How does that unwanted frequency "
               "move?",
        options=(("half", "Up by half of that."), ("same", "Up by the same."),
                 ("twice", "Up by twice that.")),
        truth=_slope,
        because=lambda: "Twice the signal must follow the oscillator, so the signal itself moves "
                        "half as far: the line crosses the wanted one, and there it whistles.",
    ),
    Prediction(
        key="spurs.predict_pitch",
        lesson=LESSON,
        prompt="A steady station stands exactly where 2·signal − oscillator whistles, the "
               "oscillator on the high side. You tune 500 Hz off. Which pitch do you hear?",
        unit="Hz",
        truth=_pitch,
        near=Tolerance("A guess within a tenth is a good one.", relative=0.1),
        because=lambda: "The station's carrier goes up by 500 Hz in the IF and the product goes "
                        "down by 500 Hz: the whistle runs twice as fast as the dial.",
    ),
    Prediction(
        key="spurs.predict_width",
        lesson=LESSON,
        prompt="You look for an intermediate frequency without a whistle. Which band leaves you "
               "more of them: 10.1 MHz to 10.15 MHz, or 3.5 MHz to 4 MHz?",
        options=(("narrow", "The first, 50 kHz wide."), ("wide", "The second, 500 kHz wide."),
                 ("same", "Both the same.")),
        truth=_width,
        because=lambda: "Each crossing spoils a stretch as wide, in percent, as the band. Between "
                        f"1 MHz and 5 MHz {number(100 * _covered(*_NARROW), 2)} % is spoilt for the "
                        "first, its oscillator below the signal, and "
                        f"{number(100 * _covered(*_WIDE), 2)} % for the second, its oscillator "
                        "above: up to order nine.",
    ),
    Prediction(
        key="spurs.predict_half",
        lesson=LESSON,
        prompt="A station stands on the half-IF response, where 2·oscillator − 2·signal makes the "
               "IF. It moves up by 40 kHz. How far does its product move in the mixer's output?",
        unit="Hz",
        truth=_half,
        near=Tolerance("A guess within a tenth is a good one.", relative=0.1),
        because=lambda: f"The signal counts twice in the product, so {khz(40e3)} at the aerial are "
                        f"{hz(_half())} at the IF.",
    ),
)

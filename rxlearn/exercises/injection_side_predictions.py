"""Predictions on injection: the broadcast band on 455 kHz, unless the prompt says otherwise."""

from __future__ import annotations

from rxlearn.compute.tuning import (
    HIGH,
    LOW,
    SUM,
    image_frequency,
    multiband_steps,
    oscillator_frequency,
    plan_band,
    signal_frequency,
)
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Tolerance
from rxlearn.exercises.wording import khz, number

LESSON = "injection_side"


def _example(injection):
    return plan_band(540e3, 1600e3, 455e3, injection)


_MOVES = (("up", "Up by as much."), ("down", "Down by as much."),
          ("twice", "Up by twice as much."), ("stays", "It stays."))


def _image_move():
    before = image_frequency(3.6e6, 3.2768e6, HIGH)
    oscillator = oscillator_frequency(3.6e6, 3.2768e6, HIGH) + 100e3
    after = image_frequency(signal_frequency(oscillator, 3.2768e6, HIGH), 3.2768e6, HIGH)
    return "up" if abs(after - before - 100e3) < 1 else "twice" if after > before else "down"


def _backwards_move():
    after = signal_frequency(oscillator_frequency(3.5e6, 9e6, SUM) + 100e3, 9e6, SUM)
    return "down" if after < 3.5e6 else "up"


def _compare_ratio():
    plan = _example(HIGH)
    if abs(plan.oscillator_ratio / plan.signal_ratio - 1) < 1e-3:
        return "same"
    return "smaller" if plan.oscillator_ratio < plan.signal_ratio else "larger"


_FIVE_BANDS = ((3.5e6, 4e6), (7e6, 7.3e6), (14e6, 14.35e6), (21e6, 21.45e6), (28e6, 29.7e6))


def _sharing():
    for answer, intermediate in (("low", 455e3), ("high", 10.7e6)):
        if any(step.overlap > 0 for step in multiband_steps(_FIVE_BANDS, intermediate, HIGH)):
            return answer
    return "none"


PREDICTIONS = (
    Prediction(
        key="injection.predict_ratio",
        lesson=LESSON,
        prompt="The aerial circuit tunes 540 kHz to 1600 kHz. The intermediate frequency is "
               "455 kHz, the oscillator on the high side. Is the oscillator's ratio of highest to "
               "lowest frequency larger than the aerial circuit's, the same, or smaller?",
        options=(("larger", "Larger."), ("same", "The same."), ("smaller", "Smaller.")),
        truth=_compare_ratio,
        because=lambda: f"The oscillator runs {khz(_example(HIGH).oscillator_low)} to "
                        f"{khz(_example(HIGH).oscillator_high)}, a ratio of "
                        f"{number(_example(HIGH).oscillator_ratio)} against "
                        f"{number(_example(HIGH).signal_ratio)}.",
    ),
    Prediction(
        key="injection.predict_capacitance",
        lesson=LESSON,
        prompt="For the same range, 540 kHz to 1600 kHz on an intermediate frequency of 455 kHz "
               "with the oscillator above: how many times its smallest must the oscillator's "
               "capacitance reach?",
        truth=lambda: _example(HIGH).capacitance_ratio,
        near=Tolerance("A guess within a fifth is a good one.", relative=0.2),
        because=lambda: "Capacitance goes as the square of frequency; the aerial circuit needs "
                        f"{number(_example(HIGH).signal_capacitance_ratio)}.",
    ),
    Prediction(
        key="injection.predict_low_side",
        lesson=LESSON,
        prompt="Now put the oscillator below the signal, still for 540 kHz to 1600 kHz and "
               "455 kHz. Roughly what ratio of highest to lowest frequency must it tune?",
        truth=lambda: _example(LOW).oscillator_ratio,
        near=Tolerance("A guess within a fifth is a good one.", relative=0.2),
        because=lambda: f"It would run {khz(_example(LOW).oscillator_low)} to "
                        f"{khz(_example(LOW).oscillator_high)}, which no ordinary capacitor tunes: "
                        "that is why such sets put it above.",
    ),
    Prediction(
        key="injection.predict_image",
        lesson=LESSON,
        prompt="High-side injection, intermediate frequency 3.2768 MHz, tuned to 3.6 MHz. You "
               "raise the oscillator by 100 kHz. What does the image do?",
        options=_MOVES,
        truth=_image_move,
        because=lambda: "Signal and image keep their places on either side of the oscillator and "
                        "move along with it.",
    ),
    Prediction(
        key="injection.predict_backwards",
        lesson=LESSON,
        prompt="Signal and oscillator add up to an intermediate frequency of 9 MHz, and you hear "
               "3.5 MHz. You raise the oscillator by 100 kHz. What does the frequency you hear do?",
        options=_MOVES,
        truth=_backwards_move,
        because=lambda: "The sum stands still, so what the oscillator gains the signal loses: the "
                        "dial runs backwards.",
    ),
    Prediction(
        key="injection.predict_multiband",
        lesson=LESSON,
        prompt="An ordinary receiver has its oscillator above the signal on 80 m, 40 m, 20 m, 15 m "
               "and 10 m. Can you choose the intermediate frequency so that two of these bands "
               "share a stretch of the oscillator's range?",
        options=(("low", "Yes, a low one, such as 455 kHz."),
                 ("high", "Yes, a high one, such as 10.7 MHz."),
                 ("none", "No, none will do it.")),
        truth=_sharing,
        because=lambda: "The same amount is added on every band, so the ranges stay as far apart "
                        "as the bands do.",
    ),
)

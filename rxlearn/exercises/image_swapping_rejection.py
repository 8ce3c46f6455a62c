"""Questions on image swapping, continued: rejection, stray oscillator, beat oscillator's side."""

from __future__ import annotations

import math

from rxlearn.compute.beat import beat_side, sideband_after
from rxlearn.compute.image_swapping import swap_bands
from rxlearn.compute.preselector import preselect, response_db
from rxlearn.compute.tuning import HIGH, LOW, is_sideband_inverted
from rxlearn.exercises.image_swapping_predictions import LESSON
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance
from rxlearn.exercises.receiver_numbers import one_band, receiver
from rxlearn.exercises.wording import SCHEME, decibels, hz, number, whose

KILOHERTZ = Tolerance("Dial and crystal are read to a kilohertz, so come as near as that.",
                      absolute=1e3)
DECIBEL = Tolerance("A loaded Q is known to some five percent, which is half a decibel.",
                    absolute=0.5)


# Rejection by the preselector.

def _draw_rejection(rng, plan):
    """A signal of the plan (or the demo) whose image is a frequency, and the preselector's Q."""
    why = ""
    for chosen in (plan, None):
        n = one_band(rng, chosen)
        n["loaded_q"] = receiver(plan if n["own"] else None)["preselector.loaded_q"]
        if math.isfinite(_preselect(n).image_rejection_db):
            break
        why = "The image of your signal falls on zero, where nothing transmits."
    return n if n["own"] or n["why"] else n | {"why": why}


def _preselect(n, circuits=1):
    return preselect(n["signal"], n["intermediate_frequency"], n["injection"], n["loaded_q"],
                     circuits)


def _ratio(rejection_db):
    return 10 ** (rejection_db / 20)


def _rejection(n):
    return _preselect(n).image_rejection_db


def _detuning(n, frequency):
    return abs(frequency / n["signal"] - n["signal"] / frequency)


def _working_rejection(n, frequency, answer):
    rho = _detuning(n, frequency)
    return [
        f"The detuning is ρ = f/f₀ - f₀/f = {number(rho)} in size, for f = {hz(frequency)} and "
        f"f₀ = {hz(n['signal'])}.",
        f"With Q = {number(n['loaded_q'])} the voltage falls by √(1 + Q²ρ²) = "
        f"{number(_ratio(answer))} times.",
        f"20 lg {number(_ratio(answer))} = {decibels(answer)}.",
    ]


_REJECTION_HINTS = (
    "The detuning is ρ = f/f₀ - f₀/f, with f₀ the frequency tuned to.",
    "The voltage falls by √(1 + Q²ρ²) times; in decibels that is 20 lg of it.",
)
_POWER = "You took 10 lg of a ratio of voltages: decibels are 20 lg of it."
_RATIO = "That is the ratio itself: decibels are 20 lg of it."

REJECTION = Question(
    key="swap.image_rejection",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} has one tuned circuit of loaded Q {number(n['loaded_q'])} before "
                     f"the mixer, tuned to {hz(n['signal'])}. The image lies at "
                     f"{hz(_preselect(n).image_frequency)}. By how many dB is it held down?",
    draw=_draw_rejection,
    answer=_rejection,
    working=lambda n: _working_rejection(n, _preselect(n).image_frequency, _rejection(n)),
    hints=_REJECTION_HINTS,
    unit="dB",
    tolerance=DECIBEL,
    digits=3,
    uses_plan=True,
    misconceptions=(
        Misconception("power", lambda n: _rejection(n) / 2, _POWER),
        Misconception("ratio", lambda n: _ratio(_rejection(n)), _RATIO),
        Misconception("near_formula", lambda n: 20 * math.log10(math.hypot(
            1, 2 * n["loaded_q"] * (_preselect(n).image_frequency / n["signal"] - 1))),
                      "You used 2 Q Δf / f₀, which holds near resonance only: so far away take "
                      "f/f₀ - f₀/f."),
        Misconception("oscillator", lambda n: -response_db(
            (n["signal"] + _preselect(n).image_frequency) / 2, n["signal"], n["loaded_q"]),
                      "That is how far the oscillator's own frequency is held down: the image is "
                      "as far again beyond it."),
    ),
)


def _draw_two(rng, plan):
    return {"signal": float(rng.choice([3.75, 7.1, 10.125, 14.2])) * 1e6, "injection": HIGH,
            "intermediate_frequency": float(rng.choice([455e3, 1.6e6, 3.2768e6])),
            "loaded_q": float(rng.choice([40, 60, 80, 100]))}


def _both(n):
    return _preselect(n, 2).image_rejection_db


TWO = Question(
    key="swap.two_circuits",
    lesson=LESSON,
    prompt=lambda n: f"One tuned circuit of loaded Q {number(n['loaded_q'])} holds the image of "
                     f"{hz(n['signal'])} down by {decibels(_rejection(n))}. A second one just like "
                     "it follows, kept apart by a valve. How much is that together?",
    draw=_draw_two,
    answer=_both,
    working=lambda n: [
        f"One circuit divides the image's voltage by {number(_ratio(_rejection(n)))}, the other "
        "divides what is left by as much again.",
        "Ratios multiply, so decibels add.",
        f"{decibels(_rejection(n))} twice is {decibels(_both(n))}.",
    ],
    hints=("The second circuit works on what the first has left.",
           "Ratios multiply: what do their decibels do?"),
    unit="dB",
    tolerance=DECIBEL,
    digits=3,
    misconceptions=(
        Misconception("same", _rejection,
                      "That is one circuit alone: the second works on what is left."),
        Misconception("three", lambda n: _rejection(n) + 3,
                      "Adding 3 dB is doubling a power: here ratios multiply, so decibels add."),
        Misconception("six", lambda n: _rejection(n) + 6,
                      "Adding 6 dB is doubling a voltage: here ratios multiply, so decibels add."),
        Misconception("squared", lambda n: _rejection(n) ** 2,
                      "You squared the decibels: the ratio is squared, and decibels double."),
    ),
)


def _draw_beside(rng, plan):
    numbers = receiver(plan)
    return {"own": numbers["own"], "why": numbers["why"], "signal": numbers["lower_band.low"],
            "intermediate_frequency": numbers["intermediate_frequency"],
            "injection": numbers["lower_band.injection"],
            "loaded_q": numbers["preselector.loaded_q"]}


def _beside(n):
    return _preselect(n).intermediate_frequency_rejection_db


BESIDE = Question(
    key="swap.if_rejection",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} has one tuned circuit of loaded Q {number(n['loaded_q'])} before "
                     f"the mixer, tuned to {hz(n['signal'])}. A station sits on the intermediate "
                     f"frequency itself, {hz(n['intermediate_frequency'])}. By how many dB is it "
                     "held down?",
    draw=_draw_beside,
    answer=_beside,
    working=lambda n: _working_rejection(n, n["intermediate_frequency"], _beside(n)),
    hints=_REJECTION_HINTS,
    unit="dB",
    tolerance=DECIBEL,
    digits=3,
    uses_plan=True,
    misconceptions=(
        Misconception("power", lambda n: _beside(n) / 2, _POWER),
        Misconception("ratio", lambda n: _ratio(_beside(n)), _RATIO),
        Misconception("image", _rejection,
                      "That is for the image: a station on the intermediate frequency lies "
                      "elsewhere."),
    ),
)


# Where the oscillator strays, and the side of the beat oscillator.

def _draw_stray(rng, plan):
    crystals = (3.072e6, 3.2768e6, 3.4e6, 3.4560e6)
    return {"low": 3.5e6, "high": 4.0e6, "upper_low": 10.1e6, "upper_high": 10.15e6,
            "intermediate_frequency": float(rng.choice(crystals))}


def _scheme(n):
    return swap_bands(n["low"], n["high"], n["upper_low"], n["upper_high"],
                      n["intermediate_frequency"])


def _stray(n):
    return next(row for row in _scheme(n).radiation
                if row.tuned_band == "lower" and row.crossed.low == 7.0e6)


STRAY = Question(
    key="swap.radiation",
    lesson=LESSON,
    prompt=lambda n: f"A receiver tunes {hz(n['low'])} to {hz(n['high'])} with high-side injection "
                     f"and an intermediate frequency of {hz(n['intermediate_frequency'])}. From "
                     "which tuned frequency up does its own oscillator stand inside the amateur "
                     "band that begins at 7 MHz?",
    draw=_draw_stray,
    answer=lambda n: _stray(n).signal_low,
    working=lambda n: [
        f"The oscillator runs {hz(_scheme(n).lower.oscillator_low)} to "
        f"{hz(_scheme(n).lower.oscillator_high)}.",
        f"It enters the other band at {hz(_stray(n).oscillator_low)}; what leaks to the aerial is "
        "heard there.",
        f"Then the receiver is tuned to {hz(_stray(n).oscillator_low)} - "
        f"{hz(n['intermediate_frequency'])} = {hz(_stray(n).signal_low)}.",
    ],
    hints=("Which signal is tuned when the oscillator stands on 7 MHz?",),
    unit="Hz",
    tolerance=KILOHERTZ,
    misconceptions=(
        Misconception("added", lambda n: 7.0e6 + n["intermediate_frequency"],
                      "That is the other signal that the oscillator brings in, its image: the "
                      "tuned one lies below the oscillator."),
        Misconception("twice", lambda n: 7.0e6 - 2 * n["intermediate_frequency"],
                      "You took the intermediate frequency off twice: from the oscillator to the "
                      "signal it is once."),
        Misconception("itself", lambda n: 7.0e6,
                      "That is where the oscillator stands: the signal is lower, by the "
                      "intermediate frequency."),
    ),
)


def _draw_beat(rng, plan):
    return {"injection": str(rng.choice([HIGH, LOW])),
            "sideband": str(rng.choice(["upper", "lower"]))}


def _beat(n):
    return beat_side(n["sideband"], is_sideband_inverted(n["injection"]))


def _arrives(n):
    return sideband_after(n["sideband"], is_sideband_inverted(n["injection"]))


def _beat_wrong(n):
    return f"After the mixer it is the {_arrives(n)} sideband: its missing carrier stands " \
           f"{_beat(n)} it."


BEAT = Question(
    key="swap.beat_side",
    lesson=LESSON,
    prompt=lambda n: f"A band is received with {SCHEME[n['injection']]}. You want the "
                     f"{n['sideband']} sideband as it is on the air. On which side of the filter's "
                     "passband does the beat oscillator belong?",
    draw=_draw_beat,
    answer=_beat,
    working=lambda n: [
        "High-side injection turns the sideband over." if n["injection"] == HIGH else
        "Low-side injection leaves the sideband upright.",
        f"So the {_arrives(n)} sideband reaches the filter.",
        f"Its missing carrier, which the beat oscillator puts back, stands {_beat(n)} the "
        "passband.",
    ],
    hints=("Which sideband leaves the mixer?",
           "An upper sideband lies above its carrier, a lower one below."),
    options=(
        Option("above", "Above the passband", _beat_wrong),
        Option("below", "Below the passband", _beat_wrong),
        Option("middle", "In the middle of the passband",
               "In the middle half the speech would fold over the other half: the carrier stands "
               "at the edge of its sideband."),
    ),
)

QUESTIONS = (REJECTION, TWO, BESIDE, STRAY, BEAT)

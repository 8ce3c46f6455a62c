"""Questions on a third band: where it lands, which way it runs, what else comes; more beside it."""

from __future__ import annotations

import math

from rxlearn.compute.converter_setting import tune_converter
from rxlearn.compute.tuning import HIGH
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance
from rxlearn.exercises.third_band_bench import QUESTIONS as BENCH_QUESTIONS
from rxlearn.exercises.third_band_crystal import QUESTIONS as CRYSTAL_QUESTIONS
from rxlearn.exercises.third_band_numbers import (
    KILOHERTZ,
    LESSON,
    converter,
    planned,
    reading,
)
from rxlearn.exercises.third_band_predictions import PREDICTIONS
from rxlearn.exercises.wording import decibels, hz, number, whose

__all__ = ["LESSON", "PREDICTIONS", "QUESTIONS"]


def _opening(n):
    whom = f"Suppose {whose(n)[0].lower()}{whose(n)[1:]}" if n.get("supposed") else whose(n)
    return (f"{whom} hears {n['name']} on its {n['main_name']} dial, through a converter with "
            f"a crystal on {hz(n['crystal'])}.")


# Where a station is read.

def _difference(n):
    """The difference as it is worked out, larger number first."""
    low, high = sorted((n["crystal"], n["signal"]))
    return f"{hz(high)} - {hz(low)}"


def _main_oscillator(n):
    return abs(tune_converter(planned(n), n["signal"]).oscillator)


LANDING = Question(
    key="third.landing",
    lesson=LESSON,
    prompt=lambda n: f"{_opening(n)} A station calls on {hz(n['signal'])}. What does the main dial "
                     "read?",
    draw=converter,
    answer=reading,
    working=lambda n: [
        "The converter's mixer gives the difference between signal and crystal.",
        f"{_difference(n)} = {hz(reading(n))}.",
    ],
    hints=("The crystal stands still: what does the mixer make of the two?",
           "Take the smaller from the larger."),
    unit="Hz",
    tolerance=KILOHERTZ,
    uses_plan=True,
    misconceptions=(
        Misconception("sum", lambda n: n["signal"] + n["crystal"],
                      "That is the sum: it comes out of the mixer too, but the main dial does not "
                      "reach it."),
        Misconception("oscillator", _main_oscillator,
                      "That is where the main oscillator runs: the dial shows what it receives."),
        Misconception("from_the_edge", lambda n: n["main_low"] + n["signal"] - n["low"],
                      "You laid the band's low edge on the dial's low end: only a crystal cut for "
                      "it would do that."),
    ),
)


# The converter's image.

def _image(n):
    return tune_converter(planned(n), n["signal"]).also_heard[0].frequency


def _wrong_side(n):
    away = 2 * reading(n) * (1 if n["crystal"] < n["signal"] else -1)
    found = n["signal"] + away
    return found if found > 0 else math.nan


IMAGE = Question(
    key="third.image",
    lesson=LESSON,
    prompt=lambda n: f"{_opening(n)} It is tuned to {hz(n['signal'])}. On which frequency does the "
                     "converter's own image lie?",
    draw=converter,
    answer=_image,
    working=lambda n: [
        f"The station lies {hz(reading(n))} from the crystal.",
        "The image lies as far from it on its other side"
        + (", and folds back at zero." if 2 * n["crystal"] < n["signal"] and
           n["crystal"] < n["signal"] else "."),
        f"2 × {hz(n['crystal'])} and {hz(n['signal'])} differ by {hz(_image(n))}.",
    ],
    hints=("Which other signal has the same difference from the crystal?",
           "Twice the crystal less the signal."),
    unit="Hz",
    tolerance=KILOHERTZ,
    uses_plan=True,
    misconceptions=(
        Misconception("wrong_side", _wrong_side,
                      "You went away from the crystal: the image lies on its other side."),
        Misconception("main_image", lambda n: n["signal"] + 2 * n["intermediate_frequency"],
                      "You went by the main receiver's intermediate frequency: for the converter, "
                      "the main dial's reading takes its place."),
        Misconception("crystal", lambda n: n["crystal"],
                      "That is the crystal: the image lies as far beyond it as the station lies "
                      "before it."),
    ),
)


# How far the front end holds it down.

def _rejection(n):
    return tune_converter(planned(n), n["signal"]).also_heard[0].rejection_db


def _detuning(n):
    return abs(_image(n) / n["signal"] - n["signal"] / _image(n))


def _narrow(n):
    """The rule for small detuning, far outside where it holds."""
    share = 2 * abs(_image(n) - n["signal"]) / n["signal"]
    return 10 * math.log10(1 + (n["loaded_q"] * share) ** 2)


REJECTION = Question(
    key="third.rejection",
    lesson=LESSON,
    prompt=lambda n: f"{_opening(n)} One circuit of loaded Q {number(n['loaded_q'])}, tuned to "
                     f"{hz(n['signal'])}, stands before its mixer. How far does it hold the image "
                     f"on {hz(_image(n))} down?",
    draw=lambda rng, plan: {**converter(rng, plan), "circuits": 1},
    answer=_rejection,
    working=lambda n: [
        f"ρ = f/f₀ - f₀/f = {number(_detuning(n))} in size.",
        f"√(1 + Q²ρ²) = {number(math.hypot(1, n['loaded_q'] * _detuning(n)))}.",
        f"20 × lg of that is {decibels(_rejection(n))}.",
    ],
    hints=("The detuning is f/f₀ - f₀/f, with f the image and f₀ the station.",
           "The response falls to one part in √(1 + Q²ρ²); decibels are 20 × lg."),
    unit="dB",
    tolerance=Tolerance("Q is never known to better than a tenth, so one decibel is allowed.",
                        absolute=1.0),
    digits=3,
    uses_plan=True,
    misconceptions=(
        Misconception("power", lambda n: _rejection(n) / 2,
                      "You took 10 × lg of a ratio of voltages: it is 20 × lg."),
        Misconception("narrow", _narrow,
                      "You used twice the share of detuning: that holds near the circuit's own "
                      "frequency only."),
        Misconception("no_q", lambda n: 20 * math.log10(math.hypot(1, _detuning(n))),
                      "You left the Q out: it multiplies the detuning."),
    ),
)


# Which way it runs, and the sideband.

def _both(n):
    plan = planned(n)
    return (f"{'backwards' if plan.dial_reversed else 'upwards'}_"
            f"{'inverted' if plan.sideband_inverted else 'upright'}")


def _why(n):
    return [
        f"The crystal stands {'above' if n['crystal'] > n['signal'] else 'below'} the band, so "
        f"the converter {'turns it round' if n['crystal'] > n['signal'] else 'leaves it upright'}.",
        f"The main oscillator stands on the {n['injection']} side, so the main receiver "
        f"{'turns the sidebands over' if n['injection'] == HIGH else 'leaves the sidebands'}; the "
        "dial follows the converter alone, the sidebands follow both.",
    ]


_TURNS = ("Count what turns the band round: for the dial only the converter, for the sidebands the "
          "converter and the main receiver.")


def _option(way, turned, text):
    return Option(f"{way}_{turned}", text, _TURNS)


SIDEBAND = Question(
    key="third.sideband",
    lesson=LESSON,
    prompt=lambda n: f"{_opening(n)} Its main oscillator stands on the {n['injection']} side. "
                     f"Which way does the dial run for {n['name']}, and how does an upper sideband come "
                     "out?",
    draw=converter,
    answer=_both,
    working=_why,
    hints=("Does a higher station give a larger or a smaller difference from the crystal?",
           "Turned over twice is upright again."),
    options=(
        _option("upwards", "upright", "Upwards, and upright"),
        _option("upwards", "inverted", "Upwards, but inverted"),
        _option("backwards", "upright", "Backwards, but upright"),
        _option("backwards", "inverted", "Backwards, and inverted"),
    ),
    uses_plan=True,
)

QUESTIONS = (LANDING, SIDEBAND, IMAGE, REJECTION, *CRYSTAL_QUESTIONS, *BENCH_QUESTIONS)

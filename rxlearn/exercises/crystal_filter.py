"""Questions on the crystal filter: its crystals, the ladder, the beat oscillator.

Choices are in :mod:`~rxlearn.exercises.crystal_filter_choices`.  Numbers follow the learner's plan
where the question is about its intermediate frequency.
"""

from __future__ import annotations

import math

from rxlearn.compute.crystal import (
    crystal_from_capacitance,
    measured_in_fixture,
    series_from_marked,
    typical_crystal,
)
from rxlearn.compute.quantities import show
from rxlearn.exercises.crystal_filter_choices import CHOICES
from rxlearn.exercises.crystal_filter_predictions import LESSON, PREDICTIONS
from rxlearn.exercises.questions import Misconception, Question, Tolerance
from rxlearn.exercises.receiver_numbers import receiver
from rxlearn.exercises.wording import hz, whose

__all__ = ["LESSON", "PREDICTIONS", "QUESTIONS"]

PF, FF = 1e-12, 1e-15


def _pf(value):
    return show(value, "F", digits=4, prefix="p")


# Series resonance of a marked crystal ----------------------------------------------------


def _draw_marked(rng, plan):
    return {"marked": float(rng.choice([3.0, 3.579545, 4.0, 4.194304, 5.0])) * 1e6,
            "motional": float(rng.integers(10, 17)) * FF,
            "across": float(rng.choice([3, 3.5, 4])) * PF,
            "load": float(rng.choice([16, 18, 20])) * PF}


def _series(n, **other):
    at = {**n, **other}
    crystal = crystal_from_capacitance(at["marked"], at["motional"], 30.0, at["across"])
    return series_from_marked(at["marked"], crystal, at["load"])


MARKED = Question(
    key="crystal.marked",
    lesson=LESSON,
    prompt=lambda n: f"A crystal is marked {hz(n['marked'])}, for a load of {_pf(n['load'])}. Its "
                     f"motional capacitance is {_pf(n['motional'])}, and {_pf(n['across'])} lie across "
                     "it. Where is its series resonance?",
    draw=_draw_marked,
    answer=_series,
    working=lambda n: [
        "With a load in series the resonance lies above the series resonance, by the share "
        "Cₘ / 2(C₀ + C_L) of the frequency.",
        f"That is {_pf(n['motional'])} / (2 × {_pf(n['across'] + n['load'])}) = "
        f"{1e6 * n['motional'] / 2 / (n['across'] + n['load']):.0f} ppm, or "
        f"{show(n['marked'] - _series(n), 'Hz', decimals=0, prefix='')}.",
        f"So the series resonance lies below the marking, at {show(_series(n), 'Hz', digits=8)}.",
    ],
    hints=("Does a load in series raise or lower the resonance?",
           "The shift's share of the frequency is half of Cₘ over C₀ and C_L together."),
    unit="Hz", digits=8,
    tolerance=Tolerance("Motional capacitance is known to some percent, so 100 Hz are allowed.",
                        absolute=100.0),
    misconceptions=(
        Misconception("as_marked", lambda n: n["marked"],
                      "That is the marking: it holds with the load, and a ladder has its own."),
        Misconception("above", lambda n: 2 * n["marked"] - _series(n),
                      "You went upwards: the load raised it, so without one it is lower."),
        Misconception("no_half", lambda n: 2 * _series(n) - n["marked"],
                      "You left out the half: frequency goes with the root of capacitance."),
    ),
)


# Motional inductance from the fixture ----------------------------------------------------


def _draw_fixture(rng, plan):
    return {"frequency": float(rng.choice([3.2768, 3.579545, 4.0])) * 1e6,
            "width": float(rng.integers(50, 121)), "loop": float(rng.choice([25, 50])),
            "own": float(rng.integers(20, 46))}


def _inductance(n):
    drop = 20 * math.log10(1 + n["own"] / n["loop"])
    return measured_in_fixture(
        n["frequency"], n["width"], drop, n["loop"], 3.3 * PF).motional_inductance


FIXTURE = Question(
    key="crystal.fixture",
    lesson=LESSON,
    prompt=lambda n: f"A crystal of {show(n['own'], 'Ω')} stands in a fixture of "
                     f"{show(n['loop'], 'Ω')}. Its peak at {hz(n['frequency'])} is "
                     f"{show(n['width'], 'Hz')} wide between the points of -3 dB. What is its motional "
                     "inductance?",
    draw=_draw_fixture,
    answer=_inductance,
    working=lambda n: [
        f"All that is in the loop counts: {show(n['loop'], 'Ω')} + {show(n['own'], 'Ω')} = "
        f"{show(n['loop'] + n['own'], 'Ω')}.",
        f"L = R / (2π × width) = {show(n['loop'] + n['own'], 'Ω')} / (2π × "
        f"{show(n['width'], 'Hz')}) = {show(_inductance(n), 'H', digits=4)}.",
    ],
    hints=("Which resistances does the current pass through?",
           "Width = R/(2πL), as in every series circuit."),
    unit="H", digits=4,
    tolerance=Tolerance("Widths are read to a hertz or two, so three percent are allowed.",
                        relative=0.03),
    misconceptions=(
        Misconception("fixture_alone", lambda n: n["loop"] / (2 * math.pi * n["width"]),
                      "The crystal's own resistance is in the loop as well: add it."),
        Misconception("no_turn", lambda n: (n["loop"] + n["own"]) / n["width"],
                      "You left out 2π: a width in hertz is not one in radians."),
        Misconception("half", lambda n: 2 * _inductance(n),
                      "You took half the width: it is measured from one 3 dB point to the other."),
    ),
)


# The room between the resonances ---------------------------------------------------------


def _draw_room(rng, plan):
    numbers = receiver(plan)
    usual = typical_crystal(numbers["intermediate_frequency"])
    return {"own": numbers["own"], "frequency": numbers["intermediate_frequency"],
            "motional": float(f"{usual.motional_capacitance:.3g}"),
            "across": float(f"{usual.parallel_capacitance:.2g}")}


def _room(n):
    return crystal_from_capacitance(n["frequency"], n["motional"], 0.0, n["across"]).spacing


ROOM = Question(
    key="crystal.room",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} has crystals for {hz(n['frequency'])}. A usual one has a motional "
                     f"capacitance of {_pf(n['motional'])} and {_pf(n['across'])} across it. How far "
                     "apart are its two resonances?",
    draw=_draw_room,
    answer=_room,
    working=lambda n: [
        "At the parallel resonance the motional capacitance and that across it are in series; the "
        "resonance rises by the share Cₘ / 2C₀.",
        f"That share is {_pf(n['motional'])} / (2 × {_pf(n['across'])}) = "
        f"{100 * n['motional'] / 2 / n['across']:.4f} %.",
        f"Of {hz(n['frequency'])} it makes {show(_room(n), 'Hz', digits=3)}.",
    ],
    hints=("Which two capacitances decide?", "Frequency goes with the root: halve the share."),
    unit="Hz", digits=3, uses_plan=True,
    tolerance=Tolerance("Both capacitances are usual values, so three percent are allowed.",
                        relative=0.03),
    misconceptions=(
        Misconception("no_half", lambda n: n["frequency"] * n["motional"] / n["across"],
                      "You left out the half: frequency goes with the root of capacitance."),
        Misconception("root", lambda n: n["frequency"] * math.sqrt(n["motional"] / n["across"]),
                      "You took the root of the share itself: it is the root of one plus the share."),
    ),
)


# Where the beat oscillator belongs -------------------------------------------------------

LOWEST_TONE = 300.0


def _draw_place(rng, plan):
    numbers = receiver(plan)
    frequency = numbers["intermediate_frequency"]
    low = frequency + float(rng.integers(4, 9)) * 100.0
    return {"own": numbers["own"], "frequency": frequency, "low": low,
            "high": low + float(rng.integers(21, 25)) * 100.0}


PLACE = Question(
    key="crystal.place",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} has a crystal filter that passes {hz(n['low'])} to {hz(n['high'])}. "
                     "A lower sideband arrives in it. Where must the beat oscillator stand so that a "
                     f"voice's {show(LOWEST_TONE, 'Hz')} just pass?",
    draw=_draw_place,
    answer=lambda n: n["high"] + LOWEST_TONE,
    working=lambda n: [
        "A lower sideband lies below its carrier, and the beat oscillator stands where the carrier "
        "would be: above the pass band.",
        f"The lowest tone is next to it, and must fall on the upper edge, {hz(n['high'])}.",
        f"So {hz(n['high'])} + {show(LOWEST_TONE, 'Hz')} = {hz(n['high'] + LOWEST_TONE)}.",
    ],
    hints=("On which side of a lower sideband is its carrier?",
           "Which tone of the voice is nearest to the carrier?"),
    unit="Hz", digits=8, uses_plan=True,
    tolerance=Tolerance("A voice off by 50 Hz still sounds natural, so that is allowed.",
                        absolute=50.0),
    misconceptions=(
        Misconception("middle", lambda n: (n["low"] + n["high"]) / 2,
                      "That is the middle of the pass band: there both sidebands are heard, and "
                      "half of the voice is lost."),
        Misconception("edge", lambda n: n["high"],
                      "On the edge itself the tones below 300 Hz pass, which a voice does without, "
                      "and the other sideband's come along."),
        Misconception("other_side", lambda n: n["low"] - LOWEST_TONE,
                      "There an upper sideband is made right: a lower one comes out upside down."),
    ),
)


# The same pitch again --------------------------------------------------------------------


def _draw_again(rng, plan):
    numbers = receiver(plan)
    beat = numbers["intermediate_frequency"] + float(rng.integers(5, 30)) * 100.0
    return {"own": numbers["own"], "intermediate": numbers["intermediate_frequency"], "beat": beat,
            "station": beat - float(rng.integers(12, 30)) * 50.0}


AGAIN = Question(
    key="crystal.again",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} has its beat oscillator on {hz(n['beat'])}. A station comes out of "
                     f"the mixer on {hz(n['station'])}. On which other frequency would a station make "
                     "the same pitch?",
    draw=_draw_again,
    answer=lambda n: 2 * n["beat"] - n["station"],
    working=lambda n: [
        f"The pitch is the difference: {hz(n['beat'])} - {hz(n['station'])} = "
        f"{show(n['beat'] - n['station'], 'Hz')}.",
        "As far on the other side of the beat oscillator lies the frequency with the same "
        "difference.",
        f"{hz(n['beat'])} + {show(n['beat'] - n['station'], 'Hz')} = "
        f"{hz(2 * n['beat'] - n['station'])}.",
    ],
    hints=("What does a detector make of two frequencies?", "A difference has no side."),
    unit="Hz", digits=8, uses_plan=True,
    tolerance=Tolerance("These are sums of whole hertz, so only rounding is allowed: 10 Hz.",
                        absolute=10.0),
    misconceptions=(
        Misconception("zero_beat", lambda n: n["beat"],
                      "That is zero beat: a station there makes no pitch at all."),
        Misconception("twice", lambda n: n["station"] - (n["beat"] - n["station"]),
                      "You went on in the same direction: there the pitch is twice as high."),
    ),
)


# Shape factor ----------------------------------------------------------------------------


def _draw_shape(rng, plan):
    narrow = float(rng.integers(20, 27)) * 100.0
    return {"narrow": narrow, "wide": round(narrow * float(rng.uniform(1.7, 4.0)), -2)}


SHAPE = Question(
    key="crystal.shape",
    lesson=LESSON,
    prompt=lambda n: f"A filter is {hz(n['narrow'])} wide at -6 dB and {hz(n['wide'])} at -60 dB. "
                     "What is its shape factor?",
    draw=_draw_shape,
    answer=lambda n: n["wide"] / n["narrow"],
    working=lambda n: [
        "The shape factor is the width far down over the width at the top; one would be a wall.",
        f"{hz(n['wide'])} / {hz(n['narrow'])} = {show(n['wide'] / n['narrow'], '', digits=3)}.",
    ],
    hints=("Is a steep filter's number large or small?", "Divide the larger width by the smaller."),
    unit="", digits=3,
    tolerance=Tolerance("Widths are read to a few percent, so three are allowed.", relative=0.03),
    misconceptions=(
        Misconception("upside_down", lambda n: n["narrow"] / n["wide"],
                      "You divided the other way: it is never below one."),
        Misconception("of_decibels", lambda n: 10.0,
                      "You divided the decibels: it is the widths that count."),
    ),
)


QUESTIONS = (MARKED, ROOM, FIXTURE, SHAPE, AGAIN, PLACE, *CHOICES)
"""In the order of the lesson."""

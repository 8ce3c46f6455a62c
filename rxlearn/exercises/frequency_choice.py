"""Questions on choosing frequencies: where bands meet, how near, what fails; the rest beside it."""

from __future__ import annotations

import numpy as np

from rxlearn.compute.frequency_choice_columns import (
    IF_IN_BAND,
    NO_OSCILLATOR,
    Layout,
    failures,
)
from rxlearn.compute.image_swapping import swap_bands
from rxlearn.compute.quantities import show
from rxlearn.compute.tuning import HIGH, LOW
from rxlearn.exercises.frequency_choice_judging import QUESTIONS as JUDGING_QUESTIONS
from rxlearn.exercises.frequency_choice_predictions import LESSON, PREDICTIONS
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance
from rxlearn.exercises.receiver_numbers import receiver
from rxlearn.exercises.wording import hz, khz, whose

__all__ = ["LESSON", "PREDICTIONS", "QUESTIONS"]

REACH = 0.05
"""How far a switched capacitor may move the oscillator in these questions."""

_PAIRS = (
    (3.5e6, 4.0e6, 10.1e6, 10.15e6),
    (14.0e6, 14.35e6, 18.068e6, 18.168e6),
    (10.1e6, 10.15e6, 14.0e6, 14.35e6),
    (1.8e6, 2.0e6, 10.1e6, 10.15e6),
    (7.0e6, 7.3e6, 14.0e6, 14.35e6),
    (3.5e6, 4.0e6, 24.89e6, 24.99e6),
)
"""Pairs of bands to practise on."""


def _edges(low, high, upper_low, upper_high):
    return {"low": low, "high": high, "upper_low": upper_low, "upper_high": upper_high}


def _bands(n):
    return f"{hz(n['low'])} to {hz(n['high'])} and {hz(n['upper_low'])} to {hz(n['upper_high'])}"


def _middles(n):
    return (n["low"] + n["high"]) / 2, (n["upper_low"] + n["upper_high"]) / 2


def _meeting(n):
    return (_middles(n)[1] - _middles(n)[0]) / 2


def _oscillator(n):
    """Where the oscillator's middle stands when the bands meet by difference."""
    return sum(_middles(n)) / 2


def _draw_planned(rng, plan):
    """The plan's bands if they can work, else the demo's."""
    numbers = receiver(plan)
    return {"own": numbers["own"], "intermediate_frequency": numbers["intermediate_frequency"],
            **_edges(*(numbers[f"{band}_band.{edge}"] for band in ("lower", "upper")
                       for edge in ("low", "high")))}


# The other arrangement: signal and oscillator add up on the lower band.

SUM_MEETING = Question(
    key="choice.sum_meeting",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} tunes {_bands(n)}. By difference they meet at {hz(_meeting(n))}. "
                     "By the other arrangement, where oscillator and signal add up on the lower "
                     "band, which intermediate frequency brings the middles together?",
    draw=_draw_planned,
    answer=_oscillator,
    working=lambda n: [
        f"The middles are {hz(_middles(n)[0])} and {hz(_middles(n)[1])}.",
        "On the lower band the oscillator is the intermediate frequency less the signal; on the "
        "upper band the signal less the intermediate frequency. Both must be the same.",
        f"So the intermediate frequency is half the sum: ({hz(_middles(n)[0])} + "
        f"{hz(_middles(n)[1])}) / 2 = {hz(_oscillator(n))}.",
    ],
    hints=("Write down the oscillator for either band.",
           "IF − lower = upper − IF: solve that for the IF."),
    unit="Hz",
    tolerance=Tolerance("A crystal is chosen to a kilohertz, so come as near as that.",
                        absolute=1e3),
    uses_plan=True,
    misconceptions=(
        Misconception("difference", _meeting,
                      "That is half the difference, the other arrangement: here they add up."),
        Misconception("whole", lambda n: 2 * _oscillator(n),
                      "That is the whole sum: either band takes half of it."),
        Misconception("upper", lambda n: _middles(n)[1],
                      "That is the middle of the upper band: the oscillator would have to stand "
                      "still at zero."),
    ),
)


# How near must a crystal be?

def _draw_reach(rng, plan):
    percent = int(rng.choice([2, 3, 4, 5]))
    return {**_edges(*_PAIRS[int(rng.integers(len(_PAIRS)))]), "percent": percent}


def _may_miss(n):
    return n["percent"] / 100 * _oscillator(n) / 2


WINDOW = Question(
    key="choice.window",
    lesson=LESSON,
    prompt=lambda n: f"The bands {_bands(n)} meet at an intermediate frequency of "
                     f"{hz(_meeting(n))}; the oscillator then stands about {hz(_oscillator(n))}. "
                     f"A switched capacitor may move it by {n['percent']} %. How far from the "
                     "meeting may a crystal lie?",
    draw=_draw_reach,
    answer=_may_miss,
    working=lambda n: [
        f"{n['percent']} % of {hz(_oscillator(n))} is "
        f"{khz(n['percent'] / 100 * _oscillator(n))}: so far apart may the middles lie.",
        "A crystal that misses parts the middles by twice its miss.",
        "So the crystal may lie half of that from the meeting: "
        f"{show(_may_miss(n), 'Hz', digits=4)}.",
    ],
    hints=("How many kilohertz may the oscillator be moved?",
           "A miss of the crystal counts on both bands, once up and once down."),
    unit="Hz",
    tolerance=Tolerance("The dial's middle moves a little with the crystal, so three percent is "
                        "near enough.", relative=0.03),
    digits=4,
    misconceptions=(
        Misconception("whole", lambda n: 2 * _may_miss(n),
                      "So far may the middles part: a crystal's miss counts twice, so it may lie "
                      "half as far away."),
        Misconception("of_the_if", lambda n: n["percent"] / 100 * _meeting(n),
                      "You took the percentage of the intermediate frequency: it is the oscillator "
                      "that is moved."),
        Misconception("half_of_the_if", lambda n: n["percent"] / 200 * _meeting(n),
                      "You halved rightly, but took the percentage of the intermediate frequency: "
                      "it is the oscillator that is moved."),
    ),
)


# Why does this one fail?

_CASES = (
    (_PAIRS[0], 3.2768e6), (_PAIRS[0], 3.072e6), (_PAIRS[1], 2.0e6), (_PAIRS[4], 3.6864e6),
    (_PAIRS[0], 4.608e6), (_PAIRS[1], 3.072e6), (_PAIRS[2], 3.2768e6), (_PAIRS[5], 8.0e6),
    ((7.0e6, 7.3e6, 21.0e6, 21.45e6), 7.15909e6), ((3.5e6, 4.0e6, 10.9e6, 11.4e6), 3.6864e6),
    (_PAIRS[0], 10.24e6), (_PAIRS[0], 12.0e6), (_PAIRS[2], 16.0e6),
)
"""Pairs of bands with a crystal: some work, some fail in each of three ways."""


def _draw_case(rng, plan):
    edges, crystal = _CASES[int(rng.integers(len(_CASES)))]
    return {**_edges(*edges), "intermediate_frequency": crystal}


def _layout(n):
    edges = (np.array([n[key]]) for key in ("low", "high", "upper_low", "upper_high"))
    return Layout(*edges, np.array([n["intermediate_frequency"]]), np.array([False]))


def _failure(n):
    reasons, _ = failures(_layout(n), REACH)
    bits = int(reasons[0])
    if bits & NO_OSCILLATOR:
        return "no_oscillator"
    if bits & IF_IN_BAND:
        return "in_band"
    return "too_far" if bits else "works"


def _failure_words(n):
    crystal, upper = hz(n["intermediate_frequency"]), hz(n["upper_low"])
    apart = abs(float(_layout(n).centre_shift[0]))
    return {
        "no_oscillator": f"Low side on the upper band asks for {upper} less {crystal}, and nothing "
                         "is left.",
        "in_band": f"{crystal} lies inside one of the bands.",
        "too_far": f"The middles lie {khz(apart)} apart, more than 5 % of about "
                   f"{hz(_oscillator(n))}.",
        "works": f"The middles lie {khz(apart)} apart, within 5 % of about {hz(_oscillator(n))}, "
                 "and no band holds the crystal.",
    }[_failure(n)]


FAILS = Question(
    key="choice.fails",
    lesson=LESSON,
    prompt=lambda n: f"{_bands(n)}, high side below and low side above, with a crystal of "
                     f"{hz(n['intermediate_frequency'])}. A switched capacitor may move the "
                     "oscillator by 5 %. What is to be said of it?",
    draw=_draw_case,
    answer=_failure,
    working=lambda n: [
        "The crystal must lie below the upper band and outside both, and the middles of the two "
        "oscillator ranges near enough.",
        _failure_words(n),
    ],
    hints=("Ask in this order: can there be an oscillator, does a band hold the crystal, how far "
           "apart are the middles?",
           "The middles part by twice the crystal's distance from the meeting frequency."),
    options=(
        Option("works", "It can work.",
               "Look again: something stops it. Ask the three questions one by one."),
        Option("too_far", "The middles lie too far apart.",
               "That is not what stops it, or not first. Work out how far apart they are, and compare "
               "with 5 % of the oscillator."),
        Option("in_band", "The intermediate frequency lies inside a band.",
               "Compare the crystal with the edges of both bands once more."),
        Option("no_oscillator", "There is no oscillator for the upper band.",
               "Take the crystal off the upper band's low edge, and see what is left."),
    ),
)


# How much of the tank is that?

def _draw_tank(rng, plan):
    """The plan's pair if it swaps images with middles visibly apart, else the demo's."""
    numbers = receiver(plan)
    sides = numbers["lower_band.injection"], numbers["upper_band.injection"]
    drawn = _draw_planned(rng, plan)
    if sides == (HIGH, LOW) and 0.001 < _apart(drawn) / _oscillator(drawn) < 0.3:
        return drawn
    return _draw_planned(rng, None)


def _ranges(n):
    """Middles of the two oscillator ranges, the higher first."""
    scheme = swap_bands(n["low"], n["high"], n["upper_low"], n["upper_high"],
                        n["intermediate_frequency"])
    return sorted((scheme.lower.oscillator_centre, scheme.upper.oscillator_centre), reverse=True)


def _apart(n):
    return _ranges(n)[0] - _ranges(n)[1]


def _growth(n):
    high, low = _ranges(n)
    return 100 * ((high / low) ** 2 - 1)


CAPACITOR = Question(
    key="choice.capacitor_share",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} has its oscillator ranges about {hz(_ranges(n)[0])} and "
                     f"{hz(_ranges(n)[1])}. By what percentage must the tank's capacitance grow, "
                     "in the middle of the dial, to bring the first down to the second?",
    draw=_draw_tank,
    answer=_growth,
    working=lambda n: [
        f"The frequencies are as {show(_ranges(n)[0] / _ranges(n)[1], '', digits=6)} to 1.",
        "Capacitance goes as one over the frequency squared, so the percentage is twice as large, "
        "nearly.",
        "The table names the same capacitor in percent of what the tank has at the dial's high end, "
        "which is less: so it says a little more.",
        f"({hz(_ranges(n)[0])} / {hz(_ranges(n)[1])})² − 1 = {show(_growth(n), '%', digits=3)}.",
    ],
    hints=("What is the ratio of the two frequencies?",
           "f = 1 / (2 π √(LC)): for a lower frequency C must grow as the square."),
    unit="%",
    tolerance=Tolerance("A trimmer sets the last five percent of the capacitor.", relative=0.05),
    digits=3,
    uses_plan=True,
    misconceptions=(
        Misconception("once", lambda n: 100 * (_ranges(n)[0] / _ranges(n)[1] - 1),
                      "By so much the frequency falls: the capacitance goes as its square, so it "
                      "takes twice as much."),
        Misconception("root", lambda n: 50 * (_ranges(n)[0] / _ranges(n)[1] - 1),
                      "You took the root where the square belongs: frequency goes as the root of "
                      "the capacitance, not the other way round."),
        Misconception("twice", lambda n: 2 * _growth(n),
                      "You doubled twice: the ranges are apart by what they are apart, and the "
                      "square alone makes it twice as much."),
    ),
)

QUESTIONS = (WINDOW, FAILS, SUM_MEETING, CAPACITOR, *JUDGING_QUESTIONS)

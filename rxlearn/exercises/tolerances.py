"""Questions on tolerances: the coil, the trimmer, sums, shares; the rest beside it."""

from __future__ import annotations

import math

from rxlearn.compute.quantities import show
from rxlearn.compute.tank import resonant_frequency
from rxlearn.exercises.questions import Misconception, Question
from rxlearn.exercises.tolerances_choices import QUESTIONS as CHOICES
from rxlearn.exercises.tolerances_numbers import CLOSE, PF, SMALL, farad, percent, wide
from rxlearn.exercises.tolerances_predictions import LESSON, PREDICTIONS
from rxlearn.exercises.wording import hz, number, whose

__all__ = ["LESSON", "PREDICTIONS", "QUESTIONS"]


# A coil that is off moves the dial by half of it.

def _draw_coil(rng, plan):
    return {**wide(plan), "tolerance": float(rng.choice([1, 2, 3, 5])) / 100}


def _moved(n):
    larger = n["inductance"] * (1 + n["tolerance"])
    return n["low"] - float(resonant_frequency(larger, n["total"]))


COIL = Question(
    key="tolerance.coil",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} has its dial's low end at {hz(n['low'])} of the oscillator. "
                     f"Somebody's coil came out {percent(n['tolerance'])} too large, and nothing is "
                     "trimmed. How far does that end go down?",
    draw=_draw_coil,
    answer=_moved,
    working=lambda n: [
        f"The frequency goes with 1 / √L: {percent(n['tolerance'])} more coil is about "
        f"{percent(n['tolerance'] / 2)} less frequency.",
        f"f × (1 - 1 / √(1 + {number(n['tolerance'])})) = {show(_moved(n), 'Hz', digits=3)}.",
    ],
    hints=("By which percentage does the frequency change, when the coil changes by that much?",
           "Under a square root a small percentage halves."),
    unit="Hz",
    tolerance=SMALL,
    digits=3,
    uses_plan=True,
    misconceptions=(
        Misconception("not_halved", lambda n: n["low"] * n["tolerance"],
                      "You took the whole percentage: under the square root it is half."),
        Misconception("squared", lambda n: 2 * n["low"] * n["tolerance"],
                      "You doubled the percentage: a square root halves it."),
        Misconception("quarter", lambda n: n["low"] * n["tolerance"] / 4,
                      "You halved twice: once is enough."),
    ),
)


# What the trimmer must have, from end to end, for the coil alone.

def _reach(n):
    return n["total"] / (1 - n["tolerance"]) - n["total"] / (1 + n["tolerance"])


REACH = Question(
    key="tolerance.reach",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} wants {farad(n['total'])} across its coil at the dial's low end. "
                     f"The coil is good to ± {percent(n['tolerance'])}. How many pF must the trimmer "
                     "have between its ends, to make up for the coil alone?",
    draw=_draw_coil,
    answer=_reach,
    working=lambda n: [
        "Inductance times capacitance must stay the same: a coil too large by so much wants that "
        "much less capacitance.",
        f"{percent(n['tolerance'])} of {farad(n['total'])} is "
        f"{farad(n['tolerance'] * n['total'])}, either way.",
        f"From end to end that is twice as much, {farad(_reach(n))}.",
    ],
    hints=("L times C must stay the same. What does a larger coil ask for?",
           "The coil may be too large or too small: count both."),
    unit="F",
    tolerance=SMALL,
    digits=3,
    uses_plan=True,
    misconceptions=(
        Misconception("one_side", lambda n: n["total"] * n["tolerance"],
                      "That is one side only: the coil may be too large as well as too small."),
        Misconception("as_frequency", lambda n: n["total"] * n["tolerance"] / 2,
                      "That is half a percentage of one side: the capacitance follows the coil in "
                      "full, only the frequency takes half."),
        Misconception("squared", lambda n: 4 * n["total"] * n["tolerance"],
                      "You doubled once too often: capacitance goes with the coil, not with its "
                      "square."),
    ),
)


# Sums of several.

def _draw_sum(rng, plan):
    count, each = ((4, 47), (9, 33), (16, 22), (4, 82), (9, 56))[int(rng.integers(5))]
    return {"count": float(count), "each": each * PF,
            "tolerance": float(rng.choice([2, 5, 10])) / 100}


def _root(n):
    return n["each"] * n["tolerance"] * math.sqrt(n["count"])


ROOT = Question(
    key="tolerance.root",
    lesson=LESSON,
    prompt=lambda n: f"A tank's {farad(n['count'] * n['each'])} are put together of equal "
                     f"capacitors of {farad(n['each'])}, each good to ± {percent(n['tolerance'])} and "
                     "each from another reel. By how many pF is the sum off, by the root of the sum "
                     "of squares?",
    draw=_draw_sum,
    answer=_root,
    working=lambda n: [
        f"There are {number(n['count'])} of them, and one is off by up to "
        f"{farad(n['each'] * n['tolerance'])}.",
        f"The squares of {number(n['count'])} such add up to {number(n['count'])} times one, and the "
        f"root of that is {number(math.sqrt(n['count']))} times.",
        f"{number(math.sqrt(n['count']))} × {farad(n['each'] * n['tolerance'])} = {farad(_root(n))}.",
    ],
    hints=("By how many pF may one of them be off?",
           "Square it, add the squares of all, and take the root."),
    unit="F",
    tolerance=SMALL,
    digits=3,
    misconceptions=(
        Misconception("worst", lambda n: n["each"] * n["tolerance"] * n["count"],
                      "That is the worst case, all of them off the same way: independent parts "
                      "partly cancel."),
        Misconception("one", lambda n: n["each"] * n["tolerance"],
                      "That is one capacitor: the sum is off by more, though its percentage is "
                      "smaller."),
        Misconception("mean", lambda n: n["each"] * n["tolerance"] / math.sqrt(n["count"]),
                      "You divided by the root: that is for the average, and here they are added."),
    ),
)


# Shares of the scatter.

def _draw_share(rng, plan):
    one, other = ((6, 8), (5, 12), (3, 4), (4, 12), (6, 12))[int(rng.integers(5))]
    return {"coil": one * PF, "fixed": other * PF}


def _share(n):
    return 100 * n["fixed"] ** 2 / (n["coil"] ** 2 + n["fixed"] ** 2)


SHARE = Question(
    key="tolerance.share",
    lesson=LESSON,
    prompt=lambda n: f"The coil moves the trimmer's setting by ± {farad(n['coil'])}, the fixed "
                     f"capacitor by ± {farad(n['fixed'])}; neither knows of the other. Which share of "
                     "the variance does the fixed capacitor make?",
    draw=_draw_share,
    answer=_share,
    working=lambda n: [
        "Independent scatters add by their squares.",
        f"{number(n['fixed'] / PF)}² / ({number(n['coil'] / PF)}² + {number(n['fixed'] / PF)}²) = "
        f"{show(_share(n), '%', digits=3)}.",
    ],
    hints=("What is it that adds up: the scatters, or their squares?",
           "Its square over the sum of both squares."),
    unit="%",
    tolerance=CLOSE,
    digits=3,
    misconceptions=(
        Misconception("not_squared", lambda n: 100 * n["fixed"] / (n["coil"] + n["fixed"]),
                      "You took shares of the scatters themselves: it is the squares that add."),
        Misconception("other", lambda n: 100 - _share(n),
                      "That is the coil's share: the larger scatter has the larger one."),
        Misconception("root", lambda n: 100 * n["fixed"] / math.hypot(n["coil"], n["fixed"]),
                      "That is its share of the scatter; the variance is the square of it."),
    ),
)


# How well a share is known.

COUNTS = {100: "a hundred", 400: "four hundred", 900: "nine hundred", 1600: "sixteen hundred"}


def _draw_error(rng, plan):
    return {"count": float(rng.choice(list(COUNTS))),
            "share": float(rng.choice([50, 70, 80])) / 100}


def _error(n):
    return 100 * math.sqrt(n["share"] * (1 - n["share"]) / n["count"])


ERROR = Question(
    key="tolerance.error",
    lesson=LESSON,
    prompt=lambda n: f"A loop draws {COUNTS[int(n['count'])]} receivers by plain chance, and "
                     f"{percent(n['share'])} of them have the whole band. What is the standard error "
                     "of that share, in percent?",
    draw=_draw_error,
    answer=_error,
    working=lambda n: [
        f"p is {number(n['share'])}, and what is left is {number(1 - n['share'])}.",
        f"√({number(n['share'])} × {number(1 - n['share'])} / {number(n['count'])}) = "
        f"{show(_error(n), '%', digits=2)}.",
    ],
    hints=("The standard error of a share p of N is √(p (1 - p) / N).",
           "Put both shares in as fractions, and do not forget the root."),
    unit="%",
    tolerance=SMALL,
    digits=2,
    misconceptions=(
        Misconception("no_share", lambda n: 100 / math.sqrt(n["count"]),
                      "That is 1 / √N: a share near one end scatters less than that."),
        Misconception("no_root_of_count",
                      lambda n: 100 * math.sqrt(n["share"] * (1 - n["share"])) / n["count"],
                      "The number stands under the root: four times as many only halve it."),
        Misconception("root_of_share", lambda n: 100 * math.sqrt(n["share"] / n["count"]),
                      "You left out the receivers that fail: both shares count."),
    ),
)

QUESTIONS = (COIL, REACH, ROOT, SHARE, ERROR, *CHOICES)

"""Questions on choosing frequencies, second part: harmonics, order of work, judging, growth."""

from __future__ import annotations

from math import comb

from rxlearn.compute.quantities import show
from rxlearn.data.crystals import STOCK_CRYSTALS
from rxlearn.data.spectrum import AMATEUR_BANDS
from rxlearn.exercises.frequency_choice_predictions import LESSON
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance
from rxlearn.exercises.wording import hz, khz

HIGHEST = 9
"""Highest harmonic of a crystal that is asked about."""


# A harmonic of the beat oscillator, in band.

def _found():
    """Crystal, band and order of every harmonic that falls well inside an amateur band."""
    return [
        (crystal.frequency, band.low, band.high, order)
        for crystal in STOCK_CRYSTALS for band in AMATEUR_BANDS[2]
        for order in range(2, HIGHEST + 1)
        if band.low + 2e3 < order * crystal.frequency < band.high - 2e3
    ]


def _draw_harmonic(rng, plan):
    crystal, low, high, order = (rows := _found())[int(rng.integers(len(rows)))]
    return {"intermediate_frequency": crystal, "low": low, "high": high, "order": order}


def _harmonic(n):
    return n["order"] * n["intermediate_frequency"]


HARMONIC = Question(
    key="choice.harmonic",
    lesson=LESSON,
    prompt=lambda n: f"The beat oscillator runs on the intermediate frequency of "
                     f"{hz(n['intermediate_frequency'])}. One of its harmonics falls into the band "
                     f"of {hz(n['low'])} to {hz(n['high'])}. On which frequency will the receiver "
                     "hear itself?",
    draw=_draw_harmonic,
    answer=_harmonic,
    working=lambda n: [
        f"{hz(n['low'])} / {hz(n['intermediate_frequency'])} = "
        f"{show(n['low'] / n['intermediate_frequency'], '', digits=5)}: the next whole number is "
        f"order {n['order']}.",
        f"{n['order']} × {hz(n['intermediate_frequency'])} = {hz(_harmonic(n))}.",
    ],
    hints=("Divide the band's low edge by the crystal.",
           "Take the next whole number, and multiply back."),
    unit="Hz",
    tolerance=Tolerance("A whistle is met to a kilohertz on the dial, so come as near as that.",
                        absolute=1e3),
    misconceptions=(
        Misconception("one_low", lambda n: _harmonic(n) - n["intermediate_frequency"],
                      "That harmonic lies below the band: take the next one."),
        Misconception("one_high", lambda n: _harmonic(n) + n["intermediate_frequency"],
                      "That harmonic lies above the band: take the one before."),
        Misconception("mixed", lambda n: n["low"] + n["intermediate_frequency"],
                      "You added the intermediate frequency to the band's edge, which gives an "
                      "oscillator: a harmonic is a whole multiple."),
    ),
)


# Which crystal is nearer?

_CROSSROADS = (
    (3.75e6, 10.125e6, 3.072e6, 3.2768e6), (14.175e6, 18.118e6, 1.8432e6, 2.048e6),
    (10.125e6, 14.175e6, 1.8432e6, 2.097152e6), (1.9e6, 10.125e6, 4.0e6, 4.194304e6),
    (7.15e6, 14.175e6, 3.2768e6, 3.6864e6), (3.75e6, 24.94e6, 10.24e6, 10.7e6),
    (18.118e6, 28.85e6, 5.12e6, 5.5e6),
)
"""Middles of two bands, and a crystal on either side of the frequency where they meet."""


def _draw_crossroads(rng, plan):
    lower, upper, first, second = _CROSSROADS[int(rng.integers(len(_CROSSROADS)))]
    return {"lower": lower, "upper": upper, "first": first, "second": second}


def _parts(n):
    """By how much each crystal parts the middles (Hz)."""
    meeting = (n["upper"] - n["lower"]) / 2
    return tuple(2 * abs(n[key] - meeting) for key in ("first", "second"))


def _nearer(n):
    first, second = _parts(n)
    return "first" if first < second else "second"


def _nearer_words(n):
    first, second = _parts(n)
    return (f"They meet at {hz((n['upper'] - n['lower']) / 2)}; {hz(n['first'])} parts the middles "
            f"by {khz(first)}, {hz(n['second'])} by {khz(second)}.")


NEARER = Question(
    key="choice.nearer",
    lesson=LESSON,
    prompt=lambda n: f"By difference, two bands with their middles on {hz(n['lower'])} and "
                     f"{hz(n['upper'])}. In the drawer lie a crystal of {hz(n['first'])} and one of "
                     f"{hz(n['second'])}. Which parts the middles less on the dial?",
    draw=_draw_crossroads,
    answer=_nearer,
    working=lambda n: [
        "Half the distance of the middles is where they meet; a miss counts twice.",
        _nearer_words(n),
    ],
    hints=("Where do the two bands meet?", "Which crystal is nearer to that?"),
    options=(
        Option("first", "The lower one.",
               "Take half the distance of the middles, and see how far each crystal is from that."),
        Option("second", "The higher one.",
               "Take half the distance of the middles, and see how far each crystal is from that."),
        Option("alike", "Both alike, since one lies below and one above.",
               "Below and above do not count, only how far."),
        Option("unknown", "That depends on how wide the bands are.",
               "The width decides the share of the dial, not where the middles are."),
    ),
)


# In which order does one plan?

ORDER = Question(
    key="choice.order",
    lesson=LESSON,
    prompt=lambda n: "You plan a receiver for two bands with one oscillator range. In which order "
                     "do you settle things?",
    draw=lambda rng, plan: {},
    answer=lambda n: "bands",
    working=lambda n: [
        "Each step can only choose from what the step before has left open.",
        "The bands say where they meet, the meeting says which crystals come near, the crystal "
        "says where image and neighbours are, and only then is it known which coil and capacitor "
        "the dial wants.",
    ],
    hints=("What cannot be moved at all?", "What is left open when the bands are chosen?"),
    options=(
        Option("bands", "Bands; meeting frequency; crystal; preselector; coil and capacitor.",
               "That is the order."),
        Option("crystal", "Crystal; bands; preselector; meeting frequency; coil and capacitor.",
               "A crystal taken first chooses your bands for you: few pairs meet there."),
        Option("coil", "Coil and capacitor; crystal; bands; meeting frequency; preselector.",
               "A coil can be wound for any range: it is what you settle last, not first."),
        Option("preselector", "Preselector; coil and capacitor; bands; crystal; meeting frequency.",
               "How sharp a preselector must be is known only when the image's place is known."),
    ),
)


# Fewest points: is it the best?

FRONT = Question(
    key="choice.front",
    lesson=LESSON,
    prompt=lambda n: "Of four schemes for your pair one has the fewest points against it. Another "
                     "has more, yet the table does not call it outdone. May one still prefer it?",
    draw=lambda rng, plan: {},
    answer=lambda n: "better_somewhere",
    working=lambda n: [
        "Outdone is a scheme that another beats in something without losing anywhere.",
        "One that is not outdone is better than each rival in something; whoever needs just that "
        "may well prefer it, whatever the points say.",
    ],
    hints=("What does it mean that no other scheme outdoes it?",
           "Who chose how much a fair and a poor verdict count?"),
    options=(
        Option("points", "No: fewer points is better, since they are computed.",
               "The values are computed; how much each counts is a choice, and yours may differ."),
        Option("better_somewhere", "Yes: it is better in something, and that may matter more here.",
               "That is so."),
        Option("error", "Yes: points carry an error, so schemes a few points apart are alike.",
               "They carry no error of measurement: they weigh unlike things against each other, "
               "and that is why they cannot settle it."),
        Option("cheap", "Only if its crystal is cheaper.",
               "Cost is one thing that may matter; being better in any one thing is reason "
               "enough."),
    ),
)


# What does it cost to try more?

_NAMES = {4: "four", 5: "five"}


def _draw_growth(rng, plan):
    return {"fold": int(rng.integers(2, 7)), "bands": int(rng.choice([4, 5]))}


def _factor(n):
    return n["fold"] * comb(n["bands"], 2)


GROWTH = Question(
    key="choice.growth",
    lesson=LESSON,
    prompt=lambda n: f"You make the list of crystals {n['fold']}-fold, and instead of one pair you "
                     f"try every pair of {_NAMES[n['bands']]} bands. By what factor does the "
                     "number of schemes to be weighed grow?",
    draw=_draw_growth,
    answer=lambda n: float(_factor(n)),
    working=lambda n: [
        f"From {_NAMES[n['bands']]} bands one can make {comb(n['bands'], 2)} pairs.",
        "Every pair is tried with every crystal in both arrangements, so the factors multiply.",
        f"{comb(n['bands'], 2)} × {n['fold']} = {_factor(n)}.",
    ],
    hints=("How many pairs are there?", "Is each pair tried with each crystal?"),
    unit="",
    tolerance=Tolerance("Schemes are counted, so it must be exact.", absolute=0.4),
    misconceptions=(
        Misconception("bands", lambda n: n["fold"] * n["bands"],
                      "You counted bands: pairs are what is tried."),
        Misconception("added", lambda n: n["fold"] + comb(n["bands"], 2),
                      "You added: each pair is tried with each crystal, so multiply."),
        Misconception("ordered", lambda n: 2 * _factor(n),
                      "You counted each pair twice: which band is the lower one is not a choice."),
    ),
)

QUESTIONS = (NEARER, HARMONIC, ORDER, FRONT, GROWTH)

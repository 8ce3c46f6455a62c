"""Questions on spurious responses: where they lie and where they whistle; the rest beside it."""

from __future__ import annotations

import math


from rxlearn.compute.spurs import response_frequencies
from rxlearn.compute.tuning import HIGH, LOW, oscillator_frequency, plan_band
from rxlearn.compute.whistles import whistles
from rxlearn.exercises.questions import Misconception, Question, Tolerance
from rxlearn.exercises.receiver_numbers import one_band
from rxlearn.exercises.spurious_responses_causes import QUESTIONS as CAUSE_QUESTIONS
from rxlearn.exercises.spurious_responses_predictions import LESSON, PREDICTIONS
from rxlearn.exercises.wording import SIDE, hz, number, whose

__all__ = ["LESSON", "PREDICTIONS", "QUESTIONS"]

DIAL = Tolerance("A dial is read to a kilohertz, so that is allowed.", absolute=1e3)
PITCH = Tolerance("An ear is sure of a pitch to five percent, so that is allowed.", relative=0.05)


def _oscillator(n):
    return oscillator_frequency(n["signal"], n["intermediate_frequency"], n["injection"])


# The half-IF response.

def _half(n):
    """The product of orders two and two whose signal lies nearer to the wanted one."""
    found = [f for f, m, k in response_frequencies(_oscillator(n), n["intermediate_frequency"])
             if (m, k) == (2, 2)]
    return min(found, key=lambda f: abs(f - n["signal"]))


def _toward(n):
    return "+" if n["injection"] == HIGH else "-"


HALF_IF = Question(
    key="spurs.half_if",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} has an IF of {hz(n['intermediate_frequency'])} and is tuned to "
                     f"{hz(n['signal'])} with {SIDE[n['injection']]} injection. On which frequency "
                     "is its half-IF response, the one nearer to the wanted signal?",
    draw=one_band,
    answer=_half,
    working=lambda n: [
        f"The oscillator runs on {hz(_oscillator(n))}.",
        "The half-IF response makes twice the oscillator less twice the signal equal to the IF, so "
        "oscillator and signal lie half an IF apart.",
        f"{hz(n['signal'])} {_toward(n)} {hz(n['intermediate_frequency'] / 2)} lies half an IF from "
        f"the oscillator, on the wanted signal's side: {hz(_half(n))}.",
    ],
    hints=("Where does the oscillator run?",
           "Both count twice in the product: how far apart must they be themselves?"),
    unit="Hz",
    tolerance=DIAL,
    uses_plan=True,
    misconceptions=(
        Misconception("image", lambda n: n["signal"] + 2 * (_oscillator(n) - n["signal"]),
                      "That is the image: it lies as far from the oscillator as the wanted signal "
                      "does. This one lies half as far."),
        Misconception("oscillator", _oscillator,
                      "That is the oscillator itself: the response lies half an IF from it."),
        Misconception("wrong_side",
                      lambda n: n["signal"] - (_oscillator(n) - n["signal"]) / 2,
                      "You went half an IF away from the oscillator: the response lies between it "
                      "and the wanted signal."),
        Misconception("far_one",
                      lambda n: n["signal"] + 1.5 * (_oscillator(n) - n["signal"]),
                      "That is the other one, beyond the oscillator; the nearer one was asked."),
    ),
)


# Where a product crosses the wanted signal.

PRODUCTS = {"2·signal − oscillator": HIGH, "3·oscillator − 2·signal": LOW,
            "2·oscillator − signal": LOW}


def _draw_place(rng, plan):
    name = list(PRODUCTS)[int(rng.integers(3))]
    return {"product": name, "injection": PRODUCTS[name],
            "intermediate": float(rng.choice([455e3, 1.6e6, 2e6, 3.579545e6, 5e6]))}


def _place(n):
    """Where that product whistles, taken from the table of whistles of a wide band."""
    intermediate = n["intermediate"]
    plan = plan_band(1.2 * intermediate, 9.9 * intermediate, intermediate, n["injection"])
    return next(w.signal for w in whistles(plan, order=5) if w.name == n["product"])


def _crossing_steps(n):
    times = number(_place(n) / n["intermediate"])
    side = "signal + IF" if n["injection"] == HIGH else "signal − IF"
    return [
        f"On the {SIDE[n['injection']]} the oscillator is {side}.".replace("-side", " side"),
        f"Put that into {n['product']} = IF: only signal and IF are left.",
        f"The signal is {times} times the IF: {hz(_place(n))}.",
    ]


PLACE = Question(
    key="spurs.place",
    lesson=LESSON,
    prompt=lambda n: f"A set with an IF of {hz(n['intermediate'])} uses {SIDE[n['injection']]} "
                     f"injection. At which dial reading does the product {n['product']} whistle?",
    draw=_draw_place,
    answer=_place,
    working=_crossing_steps,
    hints=("There the wanted signal itself makes the product as well: both equations hold.",
           "Write the oscillator as the signal and the IF, and put it into the product."),
    unit="Hz",
    tolerance=DIAL,
    misconceptions=(
        Misconception("if_itself", lambda n: n["intermediate"],
                      "On the IF itself the signal needs no oscillator: that is breakthrough."),
        Misconception("oscillator",
                      lambda n: oscillator_frequency(_place(n), n["intermediate"], n["injection"]),
                      "That is where the oscillator runs then; the dial reads the signal."),
        Misconception("other_product",
                      lambda n: (2 * n["intermediate"]
                                 if not math.isclose(_place(n), 2 * n["intermediate"])
                                 else float("nan")),
                      "Twice the IF is where 2·signal − oscillator whistles with the oscillator "
                      "above the signal: put this product's own orders into the rule."),
        Misconception("one_more", lambda n: _place(n) + 2 * n["intermediate"],
                      "You are twice the IF too high: look which side the oscillator is on."),
    ),
)


# How fast a whistle runs.

_FAST = {"2·signal − oscillator": HIGH, "3·oscillator − 2·signal": LOW,
         "3·signal − 2·oscillator": HIGH, "4·oscillator − 2·signal": LOW}


def _draw_pitch(rng, plan):
    return {"whistle": int(rng.integers(len(_FAST))),
            "offset": float(rng.choice([500, 600, 700, 800]))}


def _fast(n):
    """The whistle's name, its orders and its slope."""
    name = list(_FAST)[n["whistle"]]
    plan = plan_band(1.05e6, 30e6, 1e6, _FAST[name])
    return next(w for w in whistles(plan, order=7) if w.name == name)


def _pitch(n):
    return _fast(n).pitch_slope * n["offset"]


def _other_way(n):
    """The pitch with the carrier's direction mistaken, where that is another one."""
    times = _fast(n).oscillator_order
    other = 2 * times - _fast(n).pitch_slope
    return other * n["offset"] if other > 1 and other != times else float("nan")


RUNS = Question(
    key="spurs.pitch",
    lesson=LESSON,
    prompt=lambda n: f"With {SIDE[_FAST[_fast(n).name]]} injection a steady station stands where "
                     f"{_fast(n).name} whistles. The pitch is zero. You tune by {hz(n['offset'])}. "
                     "Which pitch do you hear, without a beat oscillator?",
    draw=_draw_pitch,
    answer=_pitch,
    working=lambda n: [
        f"The station's carrier moves in the IF by {hz(n['offset'])}, once the oscillator.",
        f"The product holds the oscillator {_fast(n).oscillator_order}-fold, and moves by "
        f"{hz(_fast(n).oscillator_order * n['offset'])}.",
        f"What is heard is their difference, {_fast(n).pitch_slope} times the offset: "
        f"{hz(_pitch(n))}.",
    ],
    hints=("How far does the station's own carrier move in the IF, and which way?",
           "How far does the product move, and does it go the same way?"),
    unit="Hz",
    tolerance=PITCH,
    digits=4,
    misconceptions=(
        Misconception("as_the_dial", lambda n: n["offset"],
                      "That is how far one carrier moves: a whistle is the difference of two."),
        Misconception("product_alone",
                      lambda n: (_fast(n).oscillator_order * n["offset"]
                                 if _fast(n).oscillator_order > 1 else float("nan")),
                      "That is how far the product moves: the station's carrier moves as well."),
        Misconception("wrong_way", _other_way,
                      "You let carrier and product move the other way against each other: look "
                      "at the signs of both, and add or take off."),
        Misconception("orders_added", lambda n: _fast(n).order * n["offset"],
                      "The station stands still, so its order does not count here: only the "
                      "oscillator moves."),
    ),
)


# Harmonics of the beat oscillator.

_IN_BAND = ((2e6, 14.0e6, 14.35e6), (2.048e6, 14.0e6, 14.35e6), (3.579545e6, 7.0e6, 7.3e6),
            (3.579545e6, 14.0e6, 14.35e6), (455e3, 1.8e6, 2.0e6), (5.0688e6, 10.1e6, 10.15e6))


def _draw_harmonic(rng, plan):
    intermediate, low, high = _IN_BAND[int(rng.integers(len(_IN_BAND)))]
    return {"intermediate": intermediate, "low": low, "high": high}


def _times(n):
    return int(n["high"] // n["intermediate"])


HARMONIC = Question(
    key="spurs.harmonic",
    lesson=LESSON,
    prompt=lambda n: f"The beat oscillator runs on the IF of {hz(n['intermediate'])}. One of its "
                     f"harmonics falls into the band {hz(n['low'])} to {hz(n['high'])}. At which "
                     "dial reading does the set hear itself?",
    draw=_draw_harmonic,
    answer=lambda n: _times(n) * n["intermediate"],
    working=lambda n: [
        f"{hz(n['low'])} / {hz(n['intermediate'])} is {number(n['low'] / n['intermediate'])}: the "
        f"next whole number is {_times(n)}.",
        f"{_times(n)} times {hz(n['intermediate'])} is {hz(_times(n) * n['intermediate'])}.",
    ],
    hints=("Divide the band's low edge by the IF.", "Only whole multiples are harmonics."),
    unit="Hz",
    tolerance=DIAL,
    misconceptions=(
        Misconception("one_less", lambda n: (_times(n) - 1) * n["intermediate"],
                      "That multiple lies below the band: take the next."),
        Misconception("edge_of_band", lambda n: (n["low"] + n["high"]) / 2
                      + (n["high"] - n["low"]),
                      "That is no whole multiple of the IF: divide first."),
        Misconception("added_if", lambda n: (_times(n) + 1) * n["intermediate"],
                      "You added the IF once more: the dial already reads the signal, not the "
                      "oscillator."),
    ),
)


# To be read off the chart or worked out.

def _draw_read(rng, plan):
    found = one_band(rng, plan)
    return found | {"signal": (found["low"] + found["high"]) / 2}


def _read(n):
    return 2 * _oscillator(n) - n["intermediate_frequency"]


READ = Question(
    key="spurs.read",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} is tuned to the middle of its {n['band']} band, "
                     f"{hz(n['signal'])}, on an IF of {hz(n['intermediate_frequency'])}. Set the "
                     "first figure so and point at 2·oscillator − signal, or work it out. On which "
                     "frequency does that receive?",
    draw=_draw_read,
    answer=_read,
    working=lambda n: [
        f"{SIDE[n['injection']].capitalize()} injection: the oscillator runs on "
        f"{hz(_oscillator(n))}, its second harmonic on {hz(2 * _oscillator(n))}.",
        f"Less {hz(n['intermediate_frequency'])} that is {hz(_read(n))}.",
    ],
    hints=("Where does the oscillator run, and where is twice that?",
           "The signal lies below that harmonic by one IF."),
    unit="Hz",
    tolerance=Tolerance("The figure shows whole kilohertz, so one is allowed.", absolute=1e3),
    uses_plan=True,
    misconceptions=(
        Misconception("above", lambda n: 2 * _oscillator(n) + n["intermediate_frequency"],
                      "That is signal − 2·oscillator, an IF above the harmonic instead of below."),
        Misconception("image", lambda n: 2 * _oscillator(n) - n["signal"],
                      "That is the image, which the oscillator itself makes; here its second "
                      "harmonic does."),
        Misconception("harmonic", lambda n: 2 * _oscillator(n),
                      "That is the harmonic itself: the signal lies one IF away from it."),
        Misconception("half", lambda n: (2 * _oscillator(n) - n["intermediate_frequency"]) / 2,
                      "You halved it: that is the half-IF response, where the signal counts twice."),
    ),
)


QUESTIONS = (HALF_IF, READ, PLACE, RUNS, HARMONIC, *CAUSE_QUESTIONS)

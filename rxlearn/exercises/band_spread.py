"""Questions on band spread: swing, series capacitor and dial; the rest beside it."""

from __future__ import annotations

import math

from rxlearn.compute.band_spread import series_for_swing
from rxlearn.compute.dial import Drive
from rxlearn.compute.quantities import show
from rxlearn.compute.variable_capacitor import VariableCapacitor
from rxlearn.exercises.band_spread_drift import QUESTIONS as DRIFT_QUESTIONS
from rxlearn.exercises.band_spread_numbers import (
    PERCENT,
    PF,
    TRIMMED,
    farad,
    held,
    narrow,
    totals,
)
from rxlearn.exercises.band_spread_parts import QUESTIONS as PARTS_QUESTIONS
from rxlearn.exercises.band_spread_predictions import LESSON, PREDICTIONS
from rxlearn.exercises.questions import Misconception, Question, Tolerance
from rxlearn.exercises.wording import hz, khz, number, whose

__all__ = ["LESSON", "PREDICTIONS", "QUESTIONS"]

# The swing that the coil asks for.

def _swing(n):
    return totals(n)[0] - totals(n)[1]


SWING = Question(
    key="spread.swing",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} has an oscillator coil of {show(n['inductance'], 'H')}. On its "
                     f"narrower band the oscillator must run from {hz(n['low'])} to "
                     f"{hz(n['high'])}. By how much must the capacitance change?",
    draw=lambda rng, plan: narrow(plan),
    answer=_swing,
    working=lambda n: [
        f"C = 1 / ((2 π f)² L) gives {show(totals(n)[0], 'F', digits=5)} at {hz(n['low'])}.",
        f"At {hz(n['high'])} it gives {show(totals(n)[1], 'F', digits=5)}.",
        f"The swing is the difference: {farad(_swing(n))}.",
    ],
    hints=("Work out the whole capacitance that the coil needs at either end.",
           "C = 1 / ((2 π f)² L): keep five digits, since two nearly equal numbers are taken "
           "apart."),
    unit="F",
    tolerance=TRIMMED,
    digits=3,
    uses_plan=True,
    misconceptions=(
        Misconception("total", lambda n: totals(n)[0],
                      "That is all the capacitance at the low end: only a part of it must change."),
        Misconception("half", lambda n: _swing(n) / 2,
                      "You let capacitance go as the frequency: it goes as its square, which takes "
                      "twice as much."),
        Misconception("two_pi_forgotten", lambda n: _swing(n) * (2 * math.pi) ** 2,
                      "You left out the 2 π that belongs to every f in the formula."),
    ),
)


# The series capacitor that leaves so much of a variable's swing.

def _draw_series(rng, plan):
    low, high = ((10, 50), (10, 100), (12, 140), (15, 365))[int(rng.integers(4))]
    return {"least": low * PF, "most": high * PF,
            "series": float(rng.choice([10, 12, 15, 18, 22, 27, 33, 39])) * PF}


def _behind(n, own):
    return own * n["series"] / (own + n["series"])


def _left(n):
    return _behind(n, n["most"]) - _behind(n, n["least"])


SERIES = Question(
    key="spread.series",
    lesson=LESSON,
    prompt=lambda n: f"A variable capacitor of {show(n['least'], 'F')} to {show(n['most'], 'F')} "
                     f"stands behind a series capacitor of {show(n['series'], 'F')}. What swing is "
                     "left?",
    draw=_draw_series,
    answer=_left,
    working=lambda n: [
        f"Two in series: {show(n['most'], 'F')} behind {show(n['series'], 'F')} makes "
        f"{show(_behind(n, n['most']), 'F', digits=4)}.",
        f"{show(n['least'], 'F')} behind it makes {show(_behind(n, n['least']), 'F', digits=4)}.",
        f"The difference is {farad(_left(n))}.",
    ],
    hints=("Work out the two in series with the plates meshed, and again with them open.",
           "Two capacitors in series make C₁ C₂ / (C₁ + C₂)."),
    unit="F",
    tolerance=PERCENT,
    digits=3,
    misconceptions=(
        Misconception("whole", lambda n: n["most"] - n["least"],
                      "That is the variable's own swing: the series capacitor leaves only a part."),
        Misconception("meshed", lambda n: _behind(n, n["most"]),
                      "That is what the two make with the plates meshed: take off what they make "
                      "with the plates open."),
        Misconception("swing_in_series", lambda n: _behind(n, n["most"] - n["least"]),
                      "You put the swing itself in series: combine either end, then take the "
                      "difference."),
    ),
)


def _needed(n):
    return series_for_swing(VariableCapacitor(n["least"], n["most"]), n["swing"])


def _draw_stand_in(rng, plan):
    return {"least": 15 * PF, "most": 365 * PF,
            "swing": float(rng.choice([40, 60, 85, 90, 130])) * PF}


STAND_IN = Question(
    key="spread.stand_in",
    lesson=LESSON,
    prompt=lambda n: f"A plan asks for a tuning capacitor with a swing of {show(n['swing'], 'F')}, "
                     f"and all you find is one of {show(n['least'], 'F')} to "
                     f"{show(n['most'], 'F')}. Which capacitor in series leaves the swing that is "
                     "wanted?",
    draw=_draw_stand_in,
    answer=_needed,
    working=lambda n: [
        f"With x in series the ends are x × {show(n['most'], 'F')} / (x + {show(n['most'], 'F')}) "
        f"and the same with {show(n['least'], 'F')}.",
        f"Their difference is to be {show(n['swing'], 'F')}: a quadratic equation in x, or a few "
        "trials.",
        f"Its positive root is {farad(_needed(n))}.",
    ],
    hints=("Try a value: combine it with either end, and look at the difference.",
           lambda n: f"Try {show(1.2 * _needed(n), 'F', digits=2)}: does it leave too much or too "
                     "little?"),
    unit="F",
    tolerance=TRIMMED,
    digits=3,
    misconceptions=(
        Misconception("swing", lambda n: n["swing"],
                      "A series capacitor as large as the swing leaves less than the swing: it "
                      "takes off at both ends."),
        Misconception("rest", lambda n: n["most"] - n["swing"],
                      "You subtracted: in series it is the reciprocals that add."),
        Misconception("meshed", lambda n: n["swing"] * n["most"] / (n["most"] - n["swing"]),
                      "You made the meshed end equal to the swing and forgot what is left with the "
                      "plates open."),
    ),
)


# The dial and its drive.

def _draw_dial(rng, plan):
    return {**narrow(plan), "degrees": float(held(plan, "dial.degrees", 180.0)),
            "reduction": float(held(plan, "dial.reduction", 8.0))}


def _span(n):
    return n["band_high"] - n["band_low"]


def _turns(n):
    return Drive(n["reduction"]).turns_for(n["degrees"])


def _per_turn(n):
    return _span(n) / _turns(n)


PER_TURN = Question(
    key="spread.per_turn",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} spreads {hz(n['band_low'])} to {hz(n['band_high'])} over "
                     f"{number(n['degrees'])} ° of the shaft, geared down "
                     f"{number(n['reduction'])}-fold. How much does one turn of the knob tune, on average?",
    draw=_draw_dial,
    answer=_per_turn,
    working=lambda n: [
        f"The whole dial is {number(n['degrees'] / 360)} of a turn of the shaft and so "
        f"{number(_turns(n))} turns of the knob.",
        f"{khz(_span(n))} / {number(_turns(n))} = {show(_per_turn(n), 'Hz', digits=4)}.",
    ],
    hints=("How many turns does the shaft make from end to end? Less than one?",
           "The knob turns as many times more as the reduction says."),
    unit="Hz",
    tolerance=PERCENT,
    digits=4,
    uses_plan=True,
    misconceptions=(
        Misconception("shaft_turn", lambda n: _span(n) / n["reduction"],
                      "You counted the dial as a whole turn of the shaft: look at its degrees."),
        Misconception("no_reduction", lambda n: _span(n) * 360 / n["degrees"],
                      "That is one turn of the shaft: the knob turns more often."),
        Misconception("upside_down", lambda n: _span(n) * 360 / n["degrees"] * n["reduction"],
                      "You multiplied by the reduction: it makes a turn finer, not coarser."),
    ),
)


def _draw_reduction(rng, plan):
    return {"span": float(rng.choice([60, 100, 150, 200, 300])) * 1e3, "degrees": 180.0,
            "needed": float(rng.choice([50, 100]))}


def _reduction(n):
    return n["span"] / n["degrees"] / n["needed"]


REDUCTION = Question(
    key="spread.reduction",
    lesson=LESSON,
    prompt=lambda n: f"A dial spreads {khz(n['span'])} evenly over {number(n['degrees'])} ° of the "
                     f"shaft. A hand sets 1 ° of the knob, and {hz(n['needed'])} is wanted. Which "
                     "reduction does that take?",
    draw=_draw_reduction,
    answer=_reduction,
    working=lambda n: [
        f"One degree of the shaft tunes {khz(n['span'])} / {number(n['degrees'])} = "
        f"{show(n['span'] / n['degrees'], 'Hz', digits=4)}.",
        f"One degree of the knob is to tune {hz(n['needed'])}, so it must be geared down "
        f"{number(_reduction(n), 3)}.",
    ],
    hints=("How much does one degree of the shaft tune?",
           "How many times less is wanted?"),
    unit="",
    tolerance=Tolerance("Drives come in round numbers, so five percent are allowed.",
                        relative=0.05),
    digits=3,
    misconceptions=(
        Misconception("whole_turn", lambda n: n["span"] / 360 / n["needed"],
                      "You spread the range over a whole turn: the shaft turns only half of one."),
        Misconception("radians", lambda n: _reduction(n) * 2 * math.pi,
                      "There is no 2 π in this: degrees are divided by degrees."),
        Misconception("upside_down", lambda n: 1 / _reduction(n),
                      "You divided the other way round: a reduction is above one."),
    ),
)


QUESTIONS = (SWING, SERIES, STAND_IN, PER_TURN, REDUCTION, *PARTS_QUESTIONS, *DRIFT_QUESTIONS)

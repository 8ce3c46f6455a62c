"""Questions on parts and budget: values, ratings, what serves instead, what to order first.

Those that name high voltages are ``gated``: covered until the safety list is ticked.
"""

from __future__ import annotations

from rxlearn.compute.audio_matching import reflected_impedance
from rxlearn.compute.band_spread import series_for_swing
from rxlearn.compute.part_ratings import preferred_pair, rate_capacitor
from rxlearn.compute.preferred_values import nearest_preferred
from rxlearn.compute.quantities import show
from rxlearn.compute.variable_capacitor import VariableCapacitor
from rxlearn.data.parts_trade import FILM_MARGIN, POWER_MARGIN
from rxlearn.exercises.parts_choices import CHOICES
from rxlearn.exercises.parts_predictions import LESSON, PREDICTIONS
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance

__all__ = ["LESSON", "PREDICTIONS", "QUESTIONS"]

_HEAT = Tolerance("Resistors are within five per cent, so the heat is within ten.", relative=0.05)
_VALUE = Tolerance("A value on a counter is exact; only rounding is forgiven.", relative=1e-3)
_TRIMMED = Tolerance("A trimmer makes up for the last few per cent.", relative=0.03)
_LOAD = Tolerance("Loudspeakers are within ten per cent at best.", relative=0.03)

STALL = VariableCapacitor(11e-12, 365e-12)
"""The variable capacitor from an old broadcast receiver that a question is about."""


# Heat -----------------------------------------------------------------------------------


def _draw_heat(rng, plan):
    return {"ohms": float(rng.choice([27, 33, 47, 82])) * 1e3,
            "current": float(rng.choice([2.2, 3.1, 4.3, 5.2])) * 1e-3}


def _heat(n) -> float:
    return n["current"] ** 2 * n["ohms"]


HEAT = Question(
    key="parts.heat",
    lesson=LESSON,
    prompt=lambda n: f"A screen resistor of {_ohms(n['ohms'])} carries {_amperes(n['current'])}. What "
                     "must its rating be at least, with the margin of two that this lesson keeps?",
    draw=_draw_heat,
    answer=lambda n: POWER_MARGIN * _heat(n),
    working=lambda n: [
        f"Its heat is I² R = ({_amperes(n['current'])})² × {_ohms(n['ohms'])} = {_watts(_heat(n))}.",
        f"Twice that: {_watts(2 * _heat(n))}.",
    ],
    hints=("Heat goes with the square of the current.", "Then double it, for the warm cabinet."),
    unit="W", tolerance=_HEAT, digits=3,
    misconceptions=(
        Misconception("no_margin", _heat,
                      "That is the heat itself: a part that just stands it in free air does not last "
                      "in a warm cabinet."),
        Misconception("halved", lambda n: _heat(n) / 2,
                      "The margin goes the other way: the rating is twice the heat, not half of it."),
        Misconception("product", lambda n: n["current"] * n["ohms"],
                      "Current times resistance is the voltage across it; the heat takes the current "
                      "twice."),
    ),
)


# A pair for a value that nobody sells -----------------------------------------------------


def _draw_pair(rng, plan):
    return {"wanted": float(rng.choice([37, 43, 52, 61, 74, 91])) * 1e-12}


def _larger(n) -> float:
    return preferred_pair(n["wanted"], "E12").first


def _smaller(n) -> float:
    return preferred_pair(n["wanted"], "E12").second


PAIR = Question(
    key="parts.pair",
    lesson=LESSON,
    prompt=lambda n: f"Set the first figure to {_farad(n['wanted'])}, E12, two in parallel. What is the "
                     "larger of the two parts?",
    draw=_draw_pair,
    answer=_larger,
    working=lambda n: [
        "In parallel capacitances add, so the two must sum to what is wanted.",
        f"With {_farad(_smaller(n))} beside it they make "
        f"{_farad(preferred_pair(n['wanted'], 'E12').made)}, nearer than any other two: "
        f"{_farad(_larger(n))}.",
    ],
    hints=("Turn the knob and read the lower of the two lines below the picture.",
           "Two values of E12 whose sum is nearest to what is wanted."),
    unit="F", tolerance=_VALUE, digits=3,
    misconceptions=(
        Misconception("one_part", lambda n: _apart(nearest_preferred(n["wanted"], "E12"), _larger(n)),
                      "That is the nearest single part; with a second one beside it the sum would be "
                      "far too large."),
        Misconception("smaller", lambda n: _apart(_smaller(n), _larger(n)),
                      "That is the smaller one of the two."),
        Misconception("half", lambda n: nearest_preferred(n["wanted"] / 2, "E12"),
                      "Two equal ones would be near, but an unequal pair comes nearer."),
    ),
)


def _apart(value: float, answer: float) -> float:
    """``value``, or nothing where it is the answer itself."""
    return float("nan") if _VALUE.holds(value, answer) else value


# A larger variable capacitor --------------------------------------------------------------


def _draw_variable(rng, plan):
    return {"swing": float(rng.choice([25, 30, 40, 50, 60])) * 1e-12}


def _series(n) -> float:
    return series_for_swing(STALL, n["swing"])


VARIABLE = Question(
    key="parts.variable",
    lesson=LESSON,
    prompt=lambda n: "An oscillator wants a swing of "
                     f"{_farad(n['swing'])}. A broken receiver gave you a variable of "
                     f"{_farad(STALL.minimum)} to {_farad(STALL.maximum)}. Which capacitor in series "
                     "with it leaves just that swing?",
    draw=_draw_variable,
    answer=_series,
    working=lambda n: [
        "In series with S the ends become S × 365/(S + 365) and S × 11/(S + 11), in picofarads.",
        f"Their difference is {_farad(n['swing'])} with S = {_farad(_series(n))}.",
    ],
    hints=("In series capacitances multiply over their sum; do it for both ends.",
           "Try a value, take the difference of the ends, and correct it: it is above the swing."),
    unit="F", tolerance=_TRIMMED, digits=3,
    misconceptions=(
        Misconception("swing_itself", lambda n: n["swing"],
                      "With so much in series even the meshed end stays below the swing, and the open "
                      "end takes more away."),
        Misconception("no_minimum",
                      lambda n: n["swing"] * STALL.maximum / (STALL.maximum - n["swing"]),
                      "You made the meshed end as large as the swing; the open end is not zero, so a "
                      "part of the swing is missing."),
        Misconception("difference", lambda n: STALL.swing - n["swing"],
                      "In series capacitances do not subtract."),
    ),
)


# An output transformer that is none --------------------------------------------------------


def _draw_load(rng, plan):
    return {"mains": float(rng.choice([120, 230])), "low": float(rng.choice([6, 9, 12])),
            "speaker": float(rng.choice([4, 8]))}


def _seen(n) -> float:
    return reflected_impedance(n["speaker"], n["mains"] / n["low"])


LOAD = Question(
    key="parts.turned_round",
    lesson=LESSON,
    prompt=lambda n: f"A small mains transformer is marked {n['mains']:g} V to {n['low']:g} V. Turned "
                     f"round it stands in for an output transformer, with a loudspeaker of "
                     f"{n['speaker']:g} Ω at its low winding. Which load does the valve meet?",
    draw=_draw_load,
    answer=_seen,
    working=lambda n: [
        f"Its turns are as its voltages, {n['mains'] / n['low']:.4g} to 1.",
        f"Impedances go with the square: ({n['mains'] / n['low']:.4g})² × {n['speaker']:g} Ω = "
        f"{show(_seen(n), 'Ω', digits=3)}.",
    ],
    hints=("The turns ratio is the ratio of the voltages.", "Impedances go with its square."),
    unit="Ω", tolerance=_LOAD, digits=3, gated=True,
    misconceptions=(
        Misconception("not_squared", lambda n: n["speaker"] * n["mains"] / n["low"],
                      "Impedances go with the square of the turns ratio, not with the ratio."),
        Misconception("wrong_way", lambda n: n["speaker"] / (n["mains"] / n["low"]) ** 2,
                      "The valve looks into the winding of many turns: the load is larger there."),
    ),
)


# A rating -----------------------------------------------------------------------------------


def _draw_rating(rng, plan):
    return {"load": float(rng.choice([210, 240])), "worst": float(rng.choice([290, 310, 350, 380]))}


def _working_rating(n) -> list[str]:
    wanted = FILM_MARGIN * n["worst"]
    return ["Before the valves are warm nothing draws current, and the part meets the highest voltage.",
            f"With the margin that is {n['worst']:.0f} V × {FILM_MARGIN:g} = {wanted:.0f} V, and the "
            f"next step sold is {rate_capacitor(n['worst']):.0f} V."]


RATING = Question(
    key="parts.capacitor_rating",
    lesson=LESSON,
    prompt=lambda n: f"A coupling capacitor hangs at an anode. Under load {n['load']:.0f} V stand there; "
                     f"mains high and valves cold, it is {n['worst']:.0f} V. Which film capacitor do you "
                     "buy, with the margin of a quarter?",
    draw=_draw_rating,
    answer=lambda n: f"{rate_capacitor(n['worst']):.0f}",
    working=_working_rating,
    hints=("Which of the two voltages does the part meet first, when you switch on?",
           "A quarter more than the highest voltage, then the next step up."),
    gated=True,
    options=(
        Option("250", "250 V",
               "That is enough for the running set at most; it breaks down while the valves warm up."),
        Option("400", "400 V",
               lambda n: f"It is too little here: {n['worst']:.0f} V and a quarter are "
                         f"{FILM_MARGIN * n['worst']:.0f} V."),
        Option("630", "630 V",
               lambda n: f"It would serve, but {FILM_MARGIN * n['worst']:.0f} V ask for less: a step "
                         "lower is smaller and costs less."),
        Option("1000", "1000 V", "It would serve, but it is larger and dearer than need be."),
    ),
)


def _ohms(value: float) -> str:
    return show(value, "Ω")


def _amperes(value: float) -> str:
    return show(value, "A", digits=3)


def _watts(value: float) -> str:
    return show(value, "W", digits=3)


def _farad(value: float) -> str:
    return show(value, "F", digits=3)


QUESTIONS = (PAIR, HEAT, VARIABLE, *CHOICES, LOAD, RATING)

"""Questions of the first lesson: units, how the workbook behaves, and the bench.

The cautions are common practice (no single source); local codes and licensed
practice come first, and the options say so where it matters.
"""

from __future__ import annotations

from rxlearn.compute.quantities import Unclear, parse, show
from rxlearn.compute.tank import resonant_frequency
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance

LESSON = "start_here"

EXACT = Tolerance("The numbers are exact, so the answer is wanted to a part in a thousand.",
                  relative=1e-3)


def _no_numbers(rng, plan):
    """A question of words: nothing is drawn."""
    return {}


def _kilohertz(value: float) -> str:
    """Print a frequency in kHz."""
    return show(value, "Hz", prefix="k")


# How wide is a dial whose ends are written with different prefixes?

def _draw_span(rng, plan):
    low = float(rng.integers(30, 75)) * 50e3
    return {"low": low, "high": low + float(rng.integers(3, 12)) * 50e3}


def _working_span(n):
    return [
        f"Write both ends with one prefix: {_kilohertz(n['low'])} and {_kilohertz(n['high'])}.",
        f"Subtract: {_kilohertz(n['high'])} - {_kilohertz(n['low'])} = "
        f"{show(n['high'] - n['low'], 'Hz')}.",
    ]


SPAN = Question(
    key="start.span",
    lesson=LESSON,
    prompt=lambda n: f"A dial begins at {_kilohertz(n['low'])} and ends at "
                     f"{show(n['high'], 'Hz', prefix='M')}. How wide is its range? "
                     "Any unit of frequency will do.",
    draw=_draw_span,
    answer=lambda n: n["high"] - n["low"],
    working=_working_span,
    hints=("Write both ends in kHz before you subtract.", "1 MHz is 1000 kHz."),
    unit="Hz",
    tolerance=EXACT,
    misconceptions=(
        Misconception("prefix_ignored", lambda n: abs(n["low"] - n["high"] / 1e3),
                      "You subtracted MHz from kHz as if they were the same: "
                      "write both with one prefix first."),
        Misconception("sum", lambda n: n["low"] + n["high"],
                      "That is the two ends added: the width is their difference."),
        Misconception("middle", lambda n: (n["low"] + n["high"]) / 2,
                      "That is the middle of the dial: the width is how far apart the ends are."),
    ),
)


# Two capacitors across each other, marked with different prefixes.

def _draw_capacitors(rng, plan):
    return {"small": float(rng.choice([33, 47, 68, 120, 220])) * 1e-12,
            "large": float(rng.choice([1, 2, 3, 5])) * 1e-9}


def _microfarad(n) -> str:
    return show(n["large"], "F", prefix="µ")


CAPACITORS = Question(
    key="start.capacitors",
    lesson=LESSON,
    prompt=lambda n: f"One capacitor is marked {show(n['small'], 'F')}, another {_microfarad(n)}. "
                     "You connect them in parallel. How much is that together?",
    draw=_draw_capacitors,
    answer=lambda n: n["small"] + n["large"],
    working=lambda n: [
        f"Write both with one prefix: {_microfarad(n)} is {show(n['large'], 'F', prefix='p')}.",
        "In parallel capacitances add.",
        f"{show(n['small'], 'F')} + {show(n['large'], 'F', prefix='p')} = "
        f"{show(n['small'] + n['large'], 'F')}.",
    ],
    hints=("1 µF is a million pF, so 0.001 µF is 1000 pF.", "In parallel capacitances add."),
    unit="F",
    tolerance=EXACT,
    misconceptions=(
        Misconception("series", lambda n: n["small"] * n["large"] / (n["small"] + n["large"]),
                      "That is the two in series: in parallel capacitances add."),
        Misconception("tenth", lambda n: n["small"] + n["large"] / 10,
                      "The larger one slipped by a factor of ten: 0.001 µF is 1000 pF."),
        Misconception("tenfold", lambda n: n["small"] + n["large"] * 10,
                      "The larger one slipped by a factor of ten: 0.001 µF is 1000 pF."),
    ),
)


# What the workbook does with text that could mean two things.

def _draw_comma(rng, plan):
    return {"text": f"{rng.integers(2, 30)},{rng.integers(1, 10)}00 kHz"}


def _reading(n) -> str:
    """What reading the text leads to; the workbook's own reader decides."""
    try:
        value = parse(n["text"], "Hz")
    except Unclear:
        return "asks"
    return "kilohertz" if value < 1e5 else "megahertz"


COMMA = Question(
    key="start.comma",
    lesson=LESSON,
    prompt=lambda n: f"You type {n['text']} into a field. The comma may be a decimal comma or part "
                     "thousands from hundreds. What does this workbook do?",
    draw=_draw_comma,
    answer=_reading,
    working=lambda n: ["With the comma as a decimal comma it is one frequency, with the comma as "
                       "a thousands mark another, a thousand times as high.",
                       "It asks which of the two you mean, because a guess could be a thousand "
                       "times out."],
    hints=("Try it in any field of this lesson.",),
    options=(
        Option("kilohertz", "It takes the comma as a decimal comma",
               "In some countries that is right, in others it is a thousand times out: "
               "it does not guess."),
        Option("asks", "It asks which of the two you mean",
               "It never guesses, so it asks."),
        Option("megahertz", "It takes the comma as a thousands mark",
               "In some countries that is right, in others it is a thousand times out: "
               "it does not guess."),
    ),
)

PLAN = Question(
    key="start.plan",
    lesson=LESSON,
    prompt=lambda n: "You have turned a knob under a figure for a while. What has that changed in "
                     "your receiver plan?",
    draw=_no_numbers,
    answer=lambda n: "nothing",
    working=lambda n: ["A figure is for trying things out.",
                       "Nothing changes until you propose it, see what else it changes, and "
                       "agree."],
    hints=("Think of a sketch beside the drawing that counts.",),
    options=(
        Option("last", "The last value is in the plan",
               "Turning a knob is only trying: the plan changes when you propose it and agree."),
        Option("nothing", "Nothing, until I propose a change and agree to it",
               "Nothing changes by itself."),
        Option("lost", "The plan was reset to the workbook's values",
               "Your plan is kept on disk: a figure never resets it."),
    ),
)

DISCHARGE = Question(
    key="start.discharge",
    lesson=LESSON,
    prompt=lambda n: "A valve receiver has been switched off. You want to reach under the chassis. "
                     "What comes first?",
    draw=_no_numbers,
    answer=lambda n: "discharge",
    working=lambda n: [
        "Switched off is not isolated, so the plug comes out and stays in sight.",
        "A bleeder resistor can fail without a sign, and a capacitor can recover some charge.",
        "Pull the plug, wait, discharge every large capacitor through a resistor with an insulated "
        "probe, then measure; your local code and licensed practice come first.",
    ],
    hints=("Which part still holds energy when the mains are gone?",
           "How would you know that a bleeder resistor has not failed?"),
    options=(
        Option("bleeder", "Pull the plug; the bleeder resistor does the rest",
               "A bleeder can be open and nothing shows it: discharge through a resistor yourself, "
               "then measure."),
        Option("screwdriver", "Pull the plug and short the capacitors with a screwdriver",
               "A dead short throws metal, welds the blade and harms the capacitor: "
               "use a resistor on an insulated probe, then measure."),
        Option("discharge", "Pull the plug, wait, discharge the capacitors through a resistor, "
                            "then measure",
               "This is the order to keep."),
        Option("switch", "Nothing: the switch is off",
               "A switch may open one conductor only, and capacitors keep their charge: "
               "pull the plug, discharge, measure."),
    ),
)

ONE_HAND = Question(
    key="start.one_hand",
    lesson=LESSON,
    prompt=lambda n: "The plug is out and the capacitors have been discharged. You measure once "
                     "more before touching. Why keep the other hand in your pocket?",
    draw=_no_numbers,
    answer=lambda n: "chest",
    working=lambda n: ["Current needs a way in and a way out.",
                       "From hand to hand it crosses the chest, so one hand leaves the worst "
                       "path open, should something still be charged."],
    hints=("Draw the path that a current would take through you.",),
    options=(
        Option("steady", "It keeps the meter steady",
               "The meter does not mind: ask which way a current would take through you."),
        Option("chest", "From hand to hand, a current would cross the chest",
               "That is the path to avoid."),
        Option("static", "It keeps static charge away from the valves",
               "Valves hardly mind static: ask which way a current would take through you."),
    ),
)

RCD = Question(
    key="start.rcd",
    lesson=LESSON,
    prompt=lambda n: "Your bench has a residual current device (RCD), which compares the currents "
                     "in line and neutral. Does it protect someone who bridges the high-voltage "
                     "secondary of the mains transformer?",
    draw=_no_numbers,
    answer=lambda n: "no",
    working=lambda n: [
        "A current from the secondary returns to the secondary, through whatever bridges it.",
        "On the mains side it looks like any load: line and neutral stay equal.",
        "It does not trip; isolating, discharging and measuring are what protects, and "
        "your local code and a licensed electrician decide about the RCD itself.",
    ],
    hints=("Follow the current round its whole loop.",
           "What do line and neutral carry while the secondary is loaded?"),
    options=(
        Option("trips", "Yes: it trips at 30 mA",
               "It trips on a difference between line and neutral, and a load on the secondary "
               "makes none."),
        Option("slow", "No: it would trip, but too late",
               "It would not trip at all: line and neutral stay equal when the secondary is "
               "loaded."),
        Option("no", "No: line and neutral stay equal, so it does not trip",
               "It cannot see that side."),
    ),
)

ALONE = Question(
    key="start.alone",
    lesson=LESSON,
    prompt=lambda n: "It is late, the class has gone home, and the power supply is ready for its "
                     "first switching on. What do you do?",
    draw=_no_numbers,
    answer=lambda n: "wait",
    working=lambda n: ["Someone must be there who can cut the mains and call for help.",
                       "Leave it until somebody is with you, rested, who knows where the main "
                       "switch is."],
    hints=("Who would cut the mains?",),
    options=(
        Option("brief", "Switch on for a few seconds only",
               "A few seconds are enough for harm: never work on high voltage alone."),
        Option("wait", "Leave it until somebody is with me",
               "Never work on high voltage alone."),
        Option("phone", "Switch on with a telephone beside me",
               "A telephone does not cut the mains: somebody must be with you who can."),
    ),
)

def _half_ratio() -> float:
    """How many times the frequency rises when 300 pF become 150 pF on one coil."""
    return resonant_frequency(1.83e-6, 150e-12) / resonant_frequency(1.83e-6, 300e-12)


def _what_half_does() -> str:
    nearest = {"double": 2.0, "root": 2**0.5, "half": 0.5, "same": 1.0}
    return min(nearest, key=lambda key: abs(nearest[key] - _half_ratio()))


QUESTIONS = (SPAN, CAPACITORS, COMMA, PLAN, DISCHARGE, ONE_HAND, RCD, ALONE)

PREDICTIONS = (
    Prediction(
        key="start.half_the_capacitance",
        lesson=LESSON,
        prompt="The capacitor is turned from 300 pF to 150 pF. What becomes of the frequency?",
        options=(
            ("double", "It doubles."),
            ("root", "It rises to about 1.4 times."),
            ("half", "It halves."),
            ("same", "It stays."),
        ),
        truth=_what_half_does,
        because=lambda: "Frequency goes with one over the square root of the capacitance, so half "
                        f"the capacitance gives {_half_ratio():.3f} times the frequency.",
    ),
)

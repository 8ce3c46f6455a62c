"""Questions on readings at the bench: coil and strays, uncertainty, doubt, and what to turn."""

from __future__ import annotations

import math

from rxlearn.compute.quantities import show
from rxlearn.compute.tank import resonant_frequency
from rxlearn.exercises.measured_predictions import LESSON, PREDICTIONS
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance
from rxlearn.exercises.wording import hz, number

__all__ = ["LESSON", "PREDICTIONS", "QUESTIONS"]

_CLOSE = Tolerance("Three digits are enough: a coil is not known better.", relative=0.01)
_ROUGH = Tolerance("Two digits are enough for an uncertainty.", relative=0.05)
_PF, _UH = 1e-12, 1e-6


def _farad(value):
    return show(value, "F", digits=4)


def _henry(value):
    return show(value, "H", digits=4)


def _draw_coil(rng, plan):
    coil = float(rng.choice([1.2, 1.8, 2.7, 4.2, 6.5])) * _UH
    strays = float(rng.integers(6, 16)) * _PF
    small, large = float(rng.choice([33, 47, 56])) * _PF, float(rng.choice([220, 270, 330])) * _PF
    return {
        "coil": coil, "strays": strays, "small": small, "large": large,
        "at_small": round(float(resonant_frequency(coil, small + strays)), -3),
        "at_large": round(float(resonant_frequency(coil, large + strays)), -3),
    }


def _inverse(frequency):
    return 1 / (2 * math.pi * frequency) ** 2


def _coil(n):
    return (_inverse(n["at_large"]) - _inverse(n["at_small"])) / (n["large"] - n["small"])


def _strays(n):
    return _inverse(n["at_small"]) / _coil(n) - n["small"]


COIL = Question(
    key="measured.coil",
    lesson=LESSON,
    prompt=lambda n: f"A coil resonates at {hz(n['at_small'])} with {_farad(n['small'])} across it "
                     f"and at {hz(n['at_large'])} with {_farad(n['large'])}. Its strays are the same "
                     "both times. What is its inductance?",
    draw=_draw_coil,
    answer=_coil,
    working=lambda n: [
        "1/(2πf)² = L·(C + strays), twice. Take one from the other: the strays are gone.",
        f"L = (1/(2π·{hz(n['at_large'])})² − 1/(2π·{hz(n['at_small'])})²) / "
        f"({_farad(n['large'])} − {_farad(n['small'])}) = {_henry(_coil(n))}.",
    ],
    hints=("Write 1/(2πf)² = L·(C + strays) for each reading.",
           "Subtract the two, so that the strays drop out."),
    unit="H",
    tolerance=_CLOSE,
    digits=4,
    misconceptions=(
        Misconception("no_strays", lambda n: _inverse(n["at_small"]) / n["small"],
                      "You took the small capacitor alone: then its strays are counted as coil."),
        Misconception("one_reading", lambda n: _inverse(n["at_large"]) / n["large"],
                      "One reading leaves the strays in: use both, and subtract."),
        Misconception("no_two_pi", lambda n: _coil(n) * (2 * math.pi) ** 2,
                      "2π is missing: 1/(2πf)², not 1/f²."),
    ),
)

STRAYS = Question(
    key="measured.strays",
    lesson=LESSON,
    prompt=lambda n: f"The same two capacitors on another bench: {_farad(n['small'])} gives "
                     f"{hz(n['at_small'])}, and the coil is known to be {_henry(_coil(n))}. "
                     "How much are the strays?",
    draw=_draw_coil,
    answer=_strays,
    working=lambda n: [
        f"In all the coil wants 1/((2πf)²·L) = {_farad(_inverse(n['at_small']) / _coil(n))}.",
        f"The capacitor is {_farad(n['small'])} of that; what is left is "
        f"{show(_strays(n), 'F', digits=3)}.",
    ],
    hints=("How much capacitance in all resonates with this coil there?",
           "Take the known capacitor away."),
    unit="F",
    tolerance=Tolerance("Strays are known to half a picofarad at best.", absolute=0.5 * _PF),
    digits=3,
    misconceptions=(
        Misconception("all", lambda n: _inverse(n["at_small"]) / _coil(n),
                      "That is the whole capacitance: the known capacitor is part of it."),
        Misconception("no_two_pi",
                      lambda n: (2 * math.pi) ** 2 * _inverse(n["at_small"]) / _coil(n) - n["small"],
                      "2π is missing: the whole capacitance is 1/((2πf)²·L)."),
        Misconception("added", lambda n: _inverse(n["at_small"]) / _coil(n) + n["small"],
                      "Take the known capacitor away from the whole; don't add it."),
    ),
)


def _draw_step(rng, plan):
    return {"step": float(rng.choice([0.5, 1.0, 2.0, 3.6]))}


STEP = Question(
    key="measured.step",
    lesson=LESSON,
    prompt=lambda n: f"You read a dial to the nearest {show(n['step'], '°')}. What is the standard "
                     "uncertainty of a reading, if all places within the step are as likely?",
    draw=_draw_step,
    answer=lambda n: n["step"] / math.sqrt(12),
    working=lambda n: [
        f"The true place lies anywhere from half a step below to half a step above, that is "
        f"± {show(n['step'] / 2, '°')}.",
        f"Evenly spread, that has a standard deviation of half its half-width times 2/√3: "
        f"{show(n['step'], '°')} / √12 = {show(n['step'] / math.sqrt(12), '°', digits=2)}.",
    ],
    hints=("It is less than half a step: most places are nearer than that.",
           "Divide the whole step by the root of twelve."),
    unit="°",
    tolerance=_ROUGH,
    digits=2,
    misconceptions=(
        Misconception("whole", lambda n: n["step"],
                      "That is the whole step. The true place is never that far off."),
        Misconception("half", lambda n: n["step"] / 2,
                      "Half a step is the worst case; a standard uncertainty is what is usual."),
        Misconception("root_three", lambda n: n["step"] / math.sqrt(3),
                      "Root of three divides the half-width, not the whole step."),
    ),
)


_WORDS = {5: "five", 6: "six", 7: "seven", 8: "eight", 9: "nine", 12: "twelve", 20: "twenty"}
_TIMES = {2: "twice", 3: "three times"}


def _draw_more(rng, plan):
    return {"count": float(rng.choice([5, 6, 7, 8])), "times": float(rng.choice([2, 3]))}


MORE = Question(
    key="measured.more",
    lesson=LESSON,
    prompt=lambda n: f"{_WORDS[n['count']].capitalize()} readings give a coil to ± 0.4 %. About how "
                     f"many readings of the same kind give it {_TIMES[n['times']]} as closely?",
    draw=_draw_more,
    answer=lambda n: n["count"] * n["times"] ** 2,
    working=lambda n: [
        "An average narrows with the root of the number of readings.",
        f"{number(n['times'])} times as close wants {number(n['times'])}² = "
        f"{number(n['times'] ** 2)} times as many: {number(n['count'] * n['times'] ** 2)}.",
    ],
    hints=("Does the interval shrink with the number of readings, or with its root?",),
    unit="",
    tolerance=Tolerance("Any count within a tenth serves.", relative=0.1),
    digits=3,
    misconceptions=(
        Misconception("in_proportion", lambda n: n["count"] * n["times"],
                      "It goes with the root: twice as close wants four times as many."),
        Misconception("root", lambda n: n["count"] * math.sqrt(n["times"]),
                      "The other way round: the interval shrinks with the root of the number."),
    ),
)


def _nothing(rng, plan):
    return {}


def _draw_doubt(rng, plan):
    return {"count": float(rng.choice([7, 8, 9])), "off": float(rng.choice([8, 12, 20]))}


DOUBT = Question(
    key="measured.doubt",
    lesson=LESSON,
    prompt=lambda n: f"One of {_WORDS[n['count']]} readings lies {_WORDS[n['off']]} standard "
                     "uncertainties from the fit of the others. What do you do first?",
    draw=_draw_doubt,
    answer=lambda n: "again",
    working=lambda n: [
        "By chance alone that happens less than once in a million readings.",
        "A slip of the hand, the wrong division, another station: only a second reading tells.",
    ],
    hints=("What would tell you whether it was a slip?",),
    options=(
        Option("again", "Take that reading again.", "Only a second reading tells."),
        Option("average", "Leave it in: the others will average it out.",
               "It pulls the fit towards itself and makes all other readings look worse."),
        Option("delete", "Strike it out and say nothing.",
               "Then nobody finds out whether the drive slips there. Leave a note, and read again."),
        Option("widen", "Make all uncertainties larger until it fits.",
               "That hides one slip by distrusting every good reading."),
    ),
)

_ENDS = {
    "more": "right at the meshed end and too low at the open end",
    "less": "too low at the meshed end and right at the open end",
}


def _draw_turn(rng, plan):
    return {"case": str(rng.choice(sorted(_ENDS)))}


TURN = Question(
    key="measured.turn",
    lesson=LESSON,
    prompt=lambda n: f"An oscillator's range is {_ENDS[n['case']]}. What do coil and trimmer want, both "
                     "at once?",
    draw=_draw_turn,
    answer=lambda n: n["case"],
    working=lambda n: [
        "From end to end the variable changes the capacitance by its swing, whatever coil and trimmer "
        "do: L = (1/(2πf_low)² − 1/(2πf_high)²)/swing. How far the ends lie apart is the coil's.",
        f"Here they lie too {'near' if n['case'] == 'more' else 'far'}, so the coil wants "
        f"{'more' if n['case'] == 'more' else 'less'} inductance; that alone puts both ends too "
        f"{'low' if n['case'] == 'more' else 'high'}, and the trimmer brings them back.",
    ],
    hints=("Does the range lie in the wrong place only, or is it also too narrow or too wide?",
           "The trimmer moves both ends the same way, and so does the coil: one alone cannot do it."),
    options=(
        Option("more", "More inductance and less trimmer capacitance.",
               "That widens the range; look whether it is too narrow or too wide now."),
        Option("less", "Less inductance and more trimmer capacitance.",
               "That narrows the range; look whether it is too narrow or too wide now."),
        Option("trimmer", "The trimmer alone.",
               "It moves the end that is right almost as much as the wrong one."),
        Option("coil", "The coil alone.",
               "It moves both ends by the same percentage, and one of them is right."),
    ),
)

ORDER = Question(
    key="measured.order",
    lesson=LESSON,
    prompt=lambda n: "Why is the oscillator set before the preselector is peaked?",
    draw=_nothing,
    answer=lambda n: "place",
    working=lambda n: [
        "The dial says nothing true until the oscillator is right.",
        "A preselector peaked at a wrong dial reading is peaked for another frequency, perhaps for "
        "the image.",
    ],
    hints=("What does the dial tell you while the oscillator is off?",),
    options=(
        Option("place", "Because only then does the dial say which frequency is being peaked.",
               "The dial must be true before anything is set by it."),
        Option("load", "Because the preselector's trimmers detune the oscillator for good.",
               "They pull it a little at most; that is not the reason for the order."),
        Option("gain", "Because the oscillator makes the receiver louder.",
               "Loudness is no measure here: an image can be loud, too."),
        Option("habit", "It is only custom: the order does not matter.",
               "Try it: you would peak a circuit for a frequency that you do not know."),
    ),
)

QUESTIONS = (COIL, STRAYS, STEP, MORE, DOUBT, TURN, ORDER)

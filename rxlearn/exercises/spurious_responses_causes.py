"""Questions on spurious responses, continued: levels, causes and cures."""

from __future__ import annotations

from rxlearn.compute.mixer_levels import Mixer, level_db
from rxlearn.compute.spurs import (
    BREAKTHROUGH,
    HALF_IF,
    HARMONIC_IMAGE,
    IMAGE,
    WANTED,
    spurious_responses,
)
from rxlearn.compute.tuning import plan_band
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance
from rxlearn.exercises.receiver_numbers import one_band, receiver
from rxlearn.exercises.spurious_responses_predictions import LESSON
from rxlearn.exercises.wording import SIDE, decibels, hz, whose

# What the preselector is worth against a higher order.

def _draw_worth(rng, plan):
    return {"order": int(rng.choice([2, 3])), "more": float(rng.choice([6, 8, 10, 12, 15]))}


def _worth(n):
    """How far the response falls, with a signal so weak that the law holds, but above the floor."""
    mixer = Mixer(signal_drive=0.02)
    before, after = (float(level_db(mixer, 1, n["order"], taken)) for taken in (0.0, n["more"]))
    return before - after


WORTH = Question(
    key="spurs.worth",
    lesson=LESSON,
    prompt=lambda n: "A spurious response holds the signal "
                     f"{'twice' if n['order'] == 2 else 'three times'}. A better "
                     f"preselector weakens that signal by {decibels(n['more'])} more. By how "
                     "much does the response fall?",
    draw=_draw_worth,
    answer=_worth,
    working=lambda n: [
        f"The product goes with the signal's voltage to the power {n['order']}.",
        f"So each dB counts {n['order']}-fold: {decibels(_worth(n))}.",
    ],
    hints=("To which power of the signal's voltage does the product go?",),
    unit="dB",
    tolerance=Tolerance("Decibels of selectivity are known to half a dB, so that is allowed.",
                        absolute=0.5),
    digits=3,
    misconceptions=(
        Misconception("once", lambda n: n["more"],
                      "So much the image falls, which holds the signal once: here it counts more "
                      "often."),
        Misconception("shared", lambda n: n["more"] / n["order"],
                      "You divided: the order makes the fall larger, not smaller."),
        Misconception("one_too_many", lambda n: n["more"] * (n["order"] + 1),
                      "You counted the oscillator too: the preselector does not weaken it."),
    ),
)


# The strongest of the plan's unwanted responses.

def _draw_strongest(rng, plan):
    numbers = receiver(plan)
    found = one_band(rng, plan)
    return found | {"loaded_q": float(numbers["preselector.loaded_q"]),
                    "circuits": int(numbers["preselector.circuits"])}


def _responses(n):
    band = plan_band(n["low"], n["high"], n["intermediate_frequency"], n["injection"])
    return spurious_responses(band, n["signal"], order=7, loaded_q=n["loaded_q"],
                              circuits=n["circuits"]).responses


def _strongest(n):
    return next(row for row in _responses(n) if row.kind != WANTED)


_KINDS = {IMAGE: "image", BREAKTHROUGH: "through", HALF_IF: "half", HARMONIC_IMAGE: "harmonic"}


STRONGEST = Question(
    key="spurs.strongest",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} is tuned to {hz(n['signal'])} on an IF of "
                     f"{hz(n['intermediate_frequency'])}, {SIDE[n['injection']]}. Set the first "
                     "figure so, with your preselector and the switch as mixer. Which kind of "
                     "response stands highest beside the wanted one?",
    draw=_draw_strongest,
    answer=lambda n: _KINDS.get(_strongest(n).kind, "higher"),
    working=lambda n: [
        f"The strongest is {_strongest(n).name}, on {hz(round(_strongest(n).frequency, -2))}.",
        f"Its level is {decibels(_strongest(n).level_db)}: the preselector takes "
        f"{decibels(_strongest(n).attenuation_db)} off that signal, and the mixer the rest.",
    ],
    hints=("The table under the figure has the strongest first.",
           "What lies near the tuned signal gets past the preselector."),
    uses_plan=True,
    options=(
        Option("image", "The image",
               "The mixer takes the image as gladly as the wanted signal, but here the preselector "
               "holds it down further than something else."),
        Option("through", "A signal on the IF itself",
               "The switch is nearly balanced and holds the IF down too: look what stands higher."),
        Option("half", "The half-IF response",
               "It needs the second order of both, which costs far more than the preselector "
               "gives."),
        Option("harmonic", "One that mixes with a harmonic of the oscillator",
               "Harmonics are strong in a switch, but here their signals lie where the preselector "
               "is deep."),
        Option("higher", "One that holds the signal twice or more",
               "Those are weak in a mixer, unless the preselector lets them by for nothing."),
    ),
)


# Which of them is it?

_CLUES = (
    ("it stays when the aerial is taken off, and its pitch moves as you tune", "self"),
    ("it goes with the aerial, stands at one place of the dial, and its pitch runs twice as fast as "
     "that of other stations", "whistle"),
    ("the same broadcast station is heard all over the dial, and the aerial brings it", "through"),
    ("a station is heard at one place of the dial, and another receiver finds it twice the IF away",
     "image"),
)


def _draw_clue(rng, plan):
    return {"clue": int(rng.integers(len(_CLUES)))}


CLUE = Question(
    key="spurs.which",
    lesson=LESSON,
    prompt=lambda n: "Your set lets you hear something that should not be there: "
                     f"{_CLUES[n['clue']][0]}. What is it?",
    draw=_draw_clue,
    answer=lambda n: _CLUES[n["clue"]][1],
    working=lambda n: [
        "Take the aerial off first: what stays is made by the set itself.",
        "Then look where it comes: all over the dial is breakthrough, at one place with a "
        "whistle that runs too fast is a crossing, at one place as a clear station is a response "
        "of its own, the image most of all.",
    ],
    hints=("Does it need an aerial?", "Is it there all over the dial or at one place?"),
    options=(
        Option("self", "A whistle that the set makes itself",
               "That would stay without the aerial."),
        Option("whistle", "A product of a wanted station that crosses the dial",
               "That needs a station, and whistles at one place only."),
        Option("through", "Breakthrough on the intermediate frequency",
               "That comes all over the dial: the oscillator plays no part in it."),
        Option("image", "The image",
               "That is heard as a clear station, at one place, and lies twice the IF away."),
    ),
)


# What helps.

_CURES = (
    ("a broadcast station on the IF comes through all over the dial", "trap"),
    ("the image of a strong station is heard", "circuit"),
    ("a wanted station is spoilt by a whistle at one place of the dial", "scheme"),
    ("the set whistles with its aerial off", "screen"),
)

CURE = Question(
    key="spurs.cure",
    lesson=LESSON,
    prompt=lambda n: f"In a finished set {_CURES[n['case']][0]}. What helps, and with least to "
                     "build?",
    draw=lambda rng, plan: {"case": int(rng.integers(len(_CURES)))},
    answer=lambda n: _CURES[n["case"]][1],
    working=lambda n: [
        "Ask by which way it comes in: through the aerial on its own frequency, as the wanted "
        "signal itself, or from inside.",
        "A trap takes out one fixed frequency; a second circuit weakens all that lies away from the "
        "dial; screening keeps the set's own harmonics home; and what the wanted signal makes "
        "itself only another IF can mend.",
    ],
    hints=("Would a sharper preselector see any difference between it and the wanted signal?",),
    options=(
        Option("trap", "A trap tuned to the IF, at the aerial",
               "A trap takes out one frequency, the IF, and this does not come from there."),
        Option("circuit", "A second tuned circuit before the mixer",
               "It weakens what comes in by the aerial away from the dial. Either this does not, or "
               "it stays strong at any dial setting and a part for that one frequency is smaller."),
        Option("scheme", "Another intermediate frequency",
               "It means to begin again, and there is something smaller for this one."),
        Option("screen", "Screening and filtering of the beat oscillator",
               "That keeps in what the set makes itself, and this comes from outside."),
    ),
)


# In which order to look.

_ORDERS = {
    "aerial_first": "Note the dial; take the aerial off; stop the beat oscillator; move the dial "
                    "and count how fast the pitch runs",
    "rebuild_first": "Change the IF; note the dial; take the aerial off; move the dial",
    "beat_first": "Stop the beat oscillator; change the preselector; note the dial; take the "
                  "aerial off",
}


STEPS = Question(
    key="spurs.steps",
    lesson=LESSON,
    prompt=lambda n: "A whistle is heard at one place of the dial. In which order do you find out "
                     "where it comes from?",
    draw=lambda rng, plan: {},
    answer=lambda n: "aerial_first",
    working=lambda n: [
        "The dial reading tells which orders to suspect; the aerial parts what comes in from what "
        "the set makes; the beat oscillator parts a harmonic of its own from the rest.",
        "The pitch's speed then names the product, and only after that is anything rebuilt.",
    ],
    hints=("What costs nothing and can be put back comes first.",),
    options=(
        Option("rebuild_first", _ORDERS["rebuild_first"],
               "You rebuild before you know what to mend: three tests cost nothing."),
        Option("aerial_first", _ORDERS["aerial_first"], "This is the order."),
        Option("beat_first", _ORDERS["beat_first"],
               "Without the dial reading you don't know what you listened to, and the preselector "
               "has no part in a whistle."),
    ),
)


QUESTIONS = (WORTH, STRONGEST, CLUE, CURE, STEPS)

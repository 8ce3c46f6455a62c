"""Questions on a third band, at the bench: overtones, drive, what is heard, in which order."""

from __future__ import annotations

import math

from rxlearn.compute.converter_plan import plan_converter
from rxlearn.compute.converter_setting import tune_converter
from rxlearn.compute.quantities import show
from rxlearn.compute.tuning import HIGH, plan_band
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance
from rxlearn.exercises.third_band_numbers import LESSON
from rxlearn.exercises.wording import hz, number

# A crystal stamped with its third overtone.

OVERTONE = Question(
    key="third.overtone",
    lesson=LESSON,
    prompt=lambda n: f"A crystal is stamped {hz(n['crystal'])}, its third overtone. You put it "
                     "into an oscillator without any tuned circuit. About where does it run?",
    draw=lambda rng, plan: {
        "crystal": float(rng.choice([25.0, 27.0, 28.63636, 32.0, 36.0])) * 1e6},
    answer=lambda n: n["crystal"] / 3,
    working=lambda n: [
        "Nothing in the circuit holds it to the overtone, so it takes its fundamental.",
        f"That is about a third of what is stamped: {show(n['crystal'] / 3, 'Hz', digits=4)}.",
    ],
    hints=("Which vibration of the crystal comes easiest?",),
    unit="Hz",
    tolerance=Tolerance("An overtone is not exactly a multiple, so one percent is allowed.",
                        relative=0.01),
    digits=4,
    misconceptions=(
        Misconception("stamped", lambda n: n["crystal"],
                      "It runs there only if a tuned circuit holds it to the overtone."),
        Misconception("tripled", lambda n: 3 * n["crystal"],
                      "The overtone is stamped already: its fundamental lies below."),
        Misconception("half", lambda n: n["crystal"] / 2,
                      "A crystal of this kind has odd overtones only."),
    ),
)


# How hard it is driven.

def _draw_drive(rng, plan):
    return {"current": float(rng.choice([8, 10, 12, 15])) * 1e-3,
            "resistance": float(rng.choice([25, 30, 40, 50])),
            "rating": float(rng.choice([0.5, 1.0])) * 1e-3}


def _times(n):
    return n["current"] ** 2 * n["resistance"] / n["rating"]


DRIVE = Question(
    key="third.drive",
    lesson=LESSON,
    prompt=lambda n: f"A small crystal has a resistance of {show(n['resistance'], 'Ω')} and may "
                     f"take {show(n['rating'], 'W')}. In a valve oscillator its current is "
                     f"{show(n['current'], 'A')} r.m.s. How many times what it may take is that?",
    draw=_draw_drive,
    answer=_times,
    working=lambda n: [
        f"P = I² R = {show(n['current'] ** 2 * n['resistance'], 'W', digits=4)}.",
        f"Against {show(n['rating'], 'W')} that is {number(_times(n), 3)}.",
    ],
    hints=("Which power does a current make in a resistance?",
           "Power goes with the square of the current."),
    unit="",
    tolerance=Tolerance("The crystal's resistance is known to a few percent, so three are allowed.",
                        relative=0.03),
    digits=3,
    misconceptions=(
        Misconception("root", lambda n: math.sqrt(_times(n)),
                      "That is by how much the current is too large: power goes with its square."),
        Misconception("peak", lambda n: _times(n) / 2,
                      "You took the current for a peak value: r.m.s. was said."),
        Misconception("twice", lambda n: 2 * _times(n),
                      "You doubled the power: r.m.s. current and resistance give it as it is."),
    ),
)


# A station that does not care about the crystal.

_PATHS = ("image", "direct", "main_image")


def _unmoved(n):
    """Of the image, the main band itself and the main image by the crystal: which one stands."""
    places = []
    for crystal in (14.31818e6, 14.32818e6):
        plan = plan_converter(18.068e6, 18.168e6, crystal, plan_band(3.5e6, 4.0e6, 3.2768e6, HIGH))
        # The main dial is not touched: the station that is tuned moves with the crystal.
        heard = tune_converter(plan, crystal + 3.8e6).also_heard
        places.append([row.frequency for row in heard[:3]])
    return next(name for name, one, other in zip(_PATHS, *places) if abs(one - other) < 1)


DIRECT = Question(
    key="third.direct",
    lesson=LESSON,
    prompt=lambda n: "Through the converter you hear a weak station where the third band should be "
                     "empty. You pull the crystal out of its socket, plug out before and in again "
                     "after, and the station is still there. How does it come in?",
    draw=lambda rng, plan: {},
    answer=_unmoved,
    working=lambda n: [
        "Whatever comes by way of the crystal goes with the crystal.",
        "What is left is a signal on the main dial's own frequency, past the converter: through "
        "its front end, along the outside of the cable, or by a badly screened main receiver.",
    ],
    hints=("Which of these paths needs the crystal?",),
    options=(
        Option("image", "It is the converter's image",
               "The image is made with the crystal: without it there is none."),
        Option("direct", "On the main dial's own frequency, past the converter",
               "No crystal is needed for a signal that is there already."),
        Option("main_image", "It is the main receiver's image, brought down by the crystal",
               "By way of the crystal nothing comes while it lies on the bench."),
    ),
)


# In which order.

ORDER = Question(
    key="third.order",
    lesson=LESSON,
    prompt=lambda n: "The converter is wired and checked with the plug out. In which order do you "
                     "bring it up?",
    draw=lambda rng, plan: {},
    answer=lambda n: "low_first",
    working=lambda n: [
        "A crystal cracks from too much drive, and how hard it is driven shows only when it is "
        "measured.",
        "So: meters clipped on with the plug out, reduced high tension, hear the crystal in "
        "another receiver, work out its drive, then full high tension; peak the front end last.",
    ],
    hints=("What could be destroyed first?", "When is a meter connected?"),
    options=(
        Option("full_first", "Full high tension; turn the oscillator's circuit until it starts; "
                             "then measure the drive",
               "That is how crystals crack: the drive is known when it is too late."),
        Option("low_first", "Clip meters on, plug out; low high tension; find the crystal in "
                            "another receiver; check the drive; then full, then the front end",
               "Each step shows that the next one can be taken."),
        Option("front_first", "Peak the front end on a station; then look at the oscillator",
               "Without the crystal nothing is brought down, so there is nothing to peak on."),
        Option("probe", "Full high tension; hold a probe to the anode and see whether it swings",
               "Nobody holds a probe in a set that has power: it is clipped on with the plug out "
               "and everything discharged."),
    ),
)

QUESTIONS = (OVERTONE, DRIVE, DIRECT, ORDER)

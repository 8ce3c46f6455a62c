"""Questions on injection: oscillator, image, ratios, direction, sideband."""

from __future__ import annotations

from rxlearn.compute.tuning import (
    HIGH,
    INJECTIONS,
    LOW,
    image_frequency,
    is_sideband_inverted,
    multiband_steps,
    occupants_of,
    oscillator_frequency,
    plan_band,
    signal_frequency,
    tunes_backwards,
)
from rxlearn.data.spectrum import AMATEUR, BROADCAST, TIME
from rxlearn.exercises.injection_side_predictions import LESSON, PREDICTIONS
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance
from rxlearn.exercises.receiver_numbers import one_band
from rxlearn.exercises.wording import SCHEME, SIDE, hz, khz, number, whose

__all__ = ["LESSON", "PREDICTIONS", "QUESTIONS"]

DIAL = Tolerance("A dial is read to about a kilohertz, so that is how near you must come.",
                 absolute=1e3)
RATIO = Tolerance("Half a percent is about what a capacitor can be measured to.", relative=0.005)

_SIGN = {HIGH: "+", LOW: "-"}


def _other(injection: str) -> str:
    """The side that was not asked for."""
    return LOW if injection == HIGH else HIGH


# Where must the oscillator stand?

def _away(n, times):
    """Go ``times`` the intermediate frequency from the signal, on the oscillator's side."""
    step = times * n["intermediate_frequency"]
    return abs(n["signal"] + (step if n["injection"] == HIGH else -step))


def _receiver_prompt(n, ending):
    return (f"{whose(n)} has its intermediate frequency on {hz(n['intermediate_frequency'])} and "
            f"uses {SIDE[n['injection']]} injection on the {n['band']} band. It is tuned to "
            f"{hz(n['signal'])}. {ending}")


def _oscillator(n):
    return oscillator_frequency(n["signal"], n["intermediate_frequency"], n["injection"])


OSCILLATOR = Question(
    key="injection.oscillator",
    lesson=LESSON,
    prompt=lambda n: _receiver_prompt(n, "Where does the oscillator stand?"),
    draw=one_band,
    answer=_oscillator,
    working=lambda n: [
        f"With {SIDE[n['injection']]} injection the oscillator stands "
        f"{'above' if n['injection'] == HIGH else 'below'} the signal by the intermediate "
        "frequency.",
        f"{hz(n['signal'])} {_SIGN[n['injection']]} {hz(n['intermediate_frequency'])} = "
        f"{hz(_oscillator(n))}.",
    ],
    hints=("The oscillator differs from the signal by exactly the intermediate frequency.",
           lambda n: f"{SIDE[n['injection']].capitalize()} means that the oscillator is "
                     f"{'higher' if n['injection'] == HIGH else 'lower'} than the signal."),
    unit="Hz",
    tolerance=DIAL,
    uses_plan=True,
    misconceptions=(
        Misconception("wrong_side", lambda n: _away(n, -1),
                      lambda n: f"That is the oscillator for {SIDE[_other(n['injection'])]} "
                                "injection: this band uses the other side."),
        Misconception("image", lambda n: _away(n, 2),
                      "That is the image: it lies two intermediate frequencies from the signal, "
                      "and the oscillator stands half-way, at one."),
        Misconception("half", lambda n: _away(n, 0.5),
                      "You went half the intermediate frequency from the signal: go all of it."),
        Misconception("stays", lambda n: n["signal"],
                      "On the signal itself the difference would be zero: the oscillator must "
                      "differ by the intermediate frequency."),
    ),
)


# Where is the image?

def _image(n):
    return image_frequency(n["signal"], n["intermediate_frequency"], n["injection"])


def _working_image(n):
    oscillator, intermediate = _oscillator(n), n["intermediate_frequency"]
    start = f"The oscillator stands at {hz(n['signal'])} {_SIGN[n['injection']]} " \
            f"{hz(intermediate)} = {hz(oscillator)}."
    beyond = f"The image differs from the oscillator by {hz(intermediate)} as well, on its " \
             "other side."
    if n["injection"] == LOW and n["signal"] < 2 * intermediate:
        beyond = f"Below the oscillator {hz(oscillator)} - {hz(intermediate)} would be negative: " \
                 "a frequency is the size of it, and there the oscillator and the image add up."
        return [start, beyond, f"The image lies at {hz(intermediate)} - {hz(oscillator)} = "
                               f"{hz(_image(n))}."]
    return [start, beyond, f"The image lies at {hz(oscillator)} {_SIGN[n['injection']]} "
                           f"{hz(intermediate)} = {hz(_image(n))}."]


IMAGE = Question(
    key="injection.image",
    lesson=LESSON,
    prompt=lambda n: _receiver_prompt(n, "At which other frequency would a signal reach the "
                                         "intermediate frequency just as well?"),
    draw=one_band,
    answer=_image,
    working=_working_image,
    hints=("First find the oscillator.",
           "The image is as far from the oscillator as the signal is, on its other side.",
           "So it lies twice the intermediate frequency from the signal."),
    unit="Hz",
    tolerance=DIAL,
    uses_plan=True,
    misconceptions=(
        Misconception("oscillator", lambda n: _away(n, 1),
                      "That is the oscillator: the image lies as far again beyond it."),
        Misconception("wrong_side", lambda n: _away(n, -2),
                      "That is twice the intermediate frequency away, but not on the "
                      "oscillator's side of the signal."),
        Misconception("half", lambda n: _away(n, 0.5),
                      "That is half the intermediate frequency away, where a harmonic of the "
                      "signal may trouble you; the image lies at twice the intermediate "
                      "frequency."),
        Misconception("signal", lambda n: n["signal"],
                      "That is the wanted signal itself: look on the oscillator's other side."),
    ),
)


# Tuning ratio and capacitance ratio of the oscillator, medium waves.

def _draw_broadcast(rng, plan):
    low, high, intermediate = ((520, 526.5, 530, 535, 540), (1600, 1606.5, 1620, 1700, 1705),
                               (450, 455, 460, 465, 470))
    return {"low": float(rng.choice(low)) * 1e3, "high": float(rng.choice(high)) * 1e3,
            "intermediate_frequency": float(rng.choice(intermediate)) * 1e3}


def _plan(n, injection=HIGH):
    return plan_band(n["low"], n["high"], n["intermediate_frequency"], injection)


def _broadcast_prompt(n, ending):
    return (f"A set tunes {khz(n['low'])} to {khz(n['high'])} with an intermediate frequency of "
            f"{khz(n['intermediate_frequency'])} and high-side injection. {ending}")


def _working_ratio(n):
    plan, intermediate = _plan(n), khz(n["intermediate_frequency"])
    return [
        f"Lowest oscillator frequency: {khz(n['low'])} + {intermediate} = "
        f"{khz(plan.oscillator_low)}.",
        f"Highest: {khz(n['high'])} + {intermediate} = {khz(plan.oscillator_high)}.",
        f"The signal's ratio is {number(plan.signal_ratio)}; the oscillator's is less: "
        f"{khz(plan.oscillator_high)} / {khz(plan.oscillator_low)} = "
        f"{number(plan.oscillator_ratio)}.",
    ]


RATIO_QUESTION = Question(
    key="injection.tuning_ratio",
    lesson=LESSON,
    prompt=lambda n: _broadcast_prompt(n, "What is the ratio of the oscillator's highest to its "
                                          "lowest frequency?"),
    draw=_draw_broadcast,
    answer=lambda n: _plan(n).oscillator_ratio,
    working=_working_ratio,
    hints=("Find the oscillator at either end of the range.",
           "On the high side add the intermediate frequency to both ends, then divide."),
    tolerance=RATIO,
    digits=4,
    misconceptions=(
        Misconception("signal_ratio", lambda n: _plan(n).signal_ratio,
                      "That is the ratio of the signals: add the intermediate frequency to both "
                      "ends before you divide."),
        Misconception("squared", lambda n: _plan(n).capacitance_ratio,
                      "That is the ratio of the capacitances: a frequency goes as the square root "
                      "of it."),
        Misconception("wrong_side", lambda n: _plan(n, LOW).oscillator_ratio,
                      "That is the ratio on the low side, far more than one capacitor can tune: "
                      "here the oscillator is above."),
        Misconception("difference", lambda n: (n["high"] - n["low"]) / n["intermediate_frequency"],
                      "You compared the range with the intermediate frequency: divide the "
                      "oscillator's highest frequency by its lowest."),
    ),
)

CAPACITANCE = Question(
    key="injection.capacitance_ratio",
    lesson=LESSON,
    prompt=lambda n: _broadcast_prompt(n, "One coil tunes the oscillator. How many times its "
                                          "smallest must the tank's whole capacitance reach?"),
    draw=_draw_broadcast,
    answer=lambda n: _plan(n).capacitance_ratio,
    working=lambda n: [
        *_working_ratio(n)[:2],
        f"The frequencies stand as {number(_plan(n).oscillator_ratio)} to one.",
        f"Capacitance goes as the square: the aerial circuit needs "
        f"{number(_plan(n).signal_capacitance_ratio)}, the oscillator "
        f"{number(_plan(n).capacitance_ratio)}.",
    ],
    hints=("Find the ratio of the oscillator's frequencies first.",
           "Frequency goes as one over the square root of capacitance: square the ratio."),
    tolerance=Tolerance("A square doubles the error of a ratio, so one percent is allowed.",
                        relative=0.01),
    digits=4,
    misconceptions=(
        Misconception("square_forgotten", lambda n: _plan(n).oscillator_ratio,
                      "That is the ratio of the frequencies: capacitance goes as its square."),
        Misconception("signal", lambda n: _plan(n).signal_capacitance_ratio,
                      "That is what the aerial circuit needs: the oscillator's ratio is smaller."),
        Misconception("signal_ratio", lambda n: _plan(n).signal_ratio,
                      "That is the ratio of the signals: take the oscillator's frequencies, and "
                      "square their ratio."),
        Misconception("square_root", lambda n: _plan(n).oscillator_ratio ** 0.5,
                      "You took the square root: going from frequency to capacitance you square."),
    ),
)


# Where the image lies inside the tuned band.

IMAGE_IN_BAND = Question(
    key="injection.image_in_band",
    lesson=LESSON,
    prompt=lambda n: _broadcast_prompt(n, "Below which tuned frequency does the image itself lie "
                                          "inside the range?"),
    draw=_draw_broadcast,
    answer=lambda n: _plan(n).image_in_band[1],
    working=lambda n: [
        "The image lies twice the intermediate frequency above the signal.",
        f"It leaves the range when it passes {khz(n['high'])}.",
        f"{khz(n['high'])} - 2 × {khz(n['intermediate_frequency'])} = "
        f"{hz(_plan(n).image_in_band[1])}.",
    ],
    hints=("How far above the signal does the image lie?",
           "Go down from the top of the range by twice the intermediate frequency."),
    unit="Hz",
    tolerance=DIAL,
    misconceptions=(
        Misconception("once", lambda n: n["high"] - n["intermediate_frequency"],
                      "You went down by the intermediate frequency once: the image is twice that "
                      "away."),
        Misconception("image_of_low_end", lambda n: n["low"] + 2 * n["intermediate_frequency"],
                      "That is the image of the low end: ask which signal has its image at the "
                      "top end."),
        Misconception("twice", lambda n: 2 * n["intermediate_frequency"],
                      "That is how far the image is from the signal: subtract it from the top of "
                      "the range."),
    ),
)


# Which way does the dial run, and which sideband comes out?

def _draw_direction(rng, plan):
    return {"injection": str(rng.choice(INJECTIONS)), "intermediate_frequency": 9e6,
            "signal": float(rng.choice([1.8e6, 3.5e6, 7e6])),
            "step": float(rng.choice([10, 50, 100])) * 1e3}


def _direction(n):
    intermediate = n["intermediate_frequency"]
    signal = n["signal"] + (2 * intermediate if n["injection"] == LOW else 0.0)
    before = oscillator_frequency(signal, intermediate, n["injection"])
    after = signal_frequency(before + n["step"], intermediate, n["injection"])
    return "up" if after > signal else "down"


DIRECTION = Question(
    key="injection.direction",
    lesson=LESSON,
    prompt=lambda n: f"A receiver uses {SCHEME[n['injection']]}. You raise the oscillator by "
                     f"{khz(n['step'])}. Which way does the frequency you hear move?",
    draw=_draw_direction,
    answer=_direction,
    working=lambda n: [
        "The intermediate frequency stands still, because its filter does.",
        "With the sum, more from the oscillator must mean less from the signal, so the dial runs "
        "backwards." if tunes_backwards(n["injection"]) else
        "With a difference, signal and oscillator keep their distance and move together.",
        f"The signal goes {_direction(n)} by {khz(n['step'])}.",
    ],
    hints=("What stands still while you tune?",
           "Write the rule down and keep the intermediate frequency fixed."),
    options=(
        Option("up", "Up by as much", "With the sum, what the oscillator gains the signal must "
                                      "lose: it goes down."),
        Option("down", "Down by as much", "With a difference the two keep their distance, on "
                                          "either side: it goes up with the oscillator."),
        Option("twice", "Up by twice as much", "Twice is the distance of the image from the "
                                               "signal, not how far it moves: it moves by as "
                                               "much as the oscillator."),
        Option("stays", "It stays", "Then nothing would be tuned: it is the intermediate "
                                    "frequency that stays."),
    ),
)


def _draw_sideband(rng, plan):
    return {"injection": str(rng.choice(INJECTIONS)),
            "sideband": str(rng.choice(["upper", "lower"]))}


def _sideband(n):
    swapped = {"upper": "lower", "lower": "upper"}[n["sideband"]]
    return swapped if is_sideband_inverted(n["injection"]) else n["sideband"]


def _sideband_wrong(n):
    if is_sideband_inverted(n["injection"]):
        return "The signal is subtracted from the oscillator here, so its highest note becomes " \
               "the lowest: the sideband is inverted."
    return "Nothing is subtracted from the oscillator here: what was higher stays higher, and " \
           "the sideband stays upright."


SIDEBAND = Question(
    key="injection.sideband",
    lesson=LESSON,
    prompt=lambda n: f"A receiver uses {SCHEME[n['injection']]}. A station sends the "
                     f"{n['sideband']} sideband. Which sideband reaches the filter?",
    draw=_draw_sideband,
    answer=_sideband,
    working=lambda n: [
        "Ask what becomes of a signal that moves up a little while the oscillator stands.",
        "Oscillator less signal goes down, so the sideband is turned over."
        if is_sideband_inverted(n["injection"]) else
        "What comes out goes up too, so the sideband stays upright.",
        f"The {_sideband(n)} sideband reaches the filter.",
    ],
    hints=("Move the signal up by 1 kHz in your head: which way does the product move?",),
    options=(
        Option("upper", "The upper sideband", _sideband_wrong),
        Option("lower", "The lower sideband", _sideband_wrong),
        Option("both", "Both", "Mixing moves a sideband and may turn it over, but it makes no "
                               "second one."),
    ),
)


# What lies on the image, and how far must the oscillator move from band to band?

_HEARD = {BROADCAST: "broadcast", AMATEUR: "amateur", TIME: "time"}


def _draw_neighbour(rng, plan):
    signals = (4.09, 5.06, 6.13, 8.79, 9.09, 10.95, 12.81, 13.2, 14.09, 14.3, 16.7, 17.2)
    return {"signal": float(rng.choice(signals)) * 1e6, "intermediate_frequency": 455e3,
            "injection": HIGH}


def _occupant(n):
    """Which listed service holds the image; a time station counts before its band."""
    image = _image(n)
    found = {row.service for row in occupants_of(image, image, 2, services=tuple(_HEARD))}
    return next(word for service, word in reversed(_HEARD.items()) if service in found)


def _occupant_wrong(n):
    return f"The image lies at {hz(_image(n))}: look that up in the table of bands."


NEIGHBOUR = Question(
    key="injection.neighbour",
    lesson=LESSON,
    prompt=lambda n: f"A short-wave set in ITU Region two is tuned to {hz(n['signal'])}. Its "
                     f"intermediate frequency is {khz(n['intermediate_frequency'])}, with "
                     "high-side injection. What is assigned to the place of its image?",
    draw=_draw_neighbour,
    answer=_occupant,
    working=lambda n: [
        f"The image lies at {hz(n['signal'])} + 2 × {khz(n['intermediate_frequency'])} = "
        f"{hz(_image(n))}.",
        {"broadcast": "A broadcast band lies there, with the strongest signals on the air.",
         "amateur": "An amateur band lies there.",
         "time": "A time station stands there, ticking all day."}[_occupant(n)],
    ],
    hints=("Work out the image first.", "Then look in the table of bands of the first lesson."),
    options=(
        Option("broadcast", "A broadcast band", _occupant_wrong),
        Option("amateur", "An amateur band", _occupant_wrong),
        Option("time", "A time station", _occupant_wrong),
    ),
)


_BANDS = ((1.8e6, 2.0e6), (3.5e6, 4.0e6), (7.0e6, 7.3e6), (14.0e6, 14.35e6), (21.0e6, 21.45e6))


def _draw_change(rng, plan):
    one, other = sorted(int(place) for place in rng.choice(len(_BANDS), 2, replace=False))
    return {"low": _BANDS[one][0], "high": _BANDS[one][1], "next_low": _BANDS[other][0],
            "next_high": _BANDS[other][1],
            "intermediate_frequency": float(rng.choice([455e3, 1.6e6, 1.65e6]))}


def _step(n):
    bands = (n["low"], n["high"]), (n["next_low"], n["next_high"])
    return multiband_steps(bands, n["intermediate_frequency"], HIGH)[1]


def _span(low, high):
    return f"{hz(low)} to {hz(high)}"


BAND_CHANGE = Question(
    key="injection.band_change",
    lesson=LESSON,
    prompt=lambda n: f"An ordinary receiver, high-side on every band, intermediate frequency "
                     f"{hz(n['intermediate_frequency'])}, is switched from "
                     f"{_span(n['low'], n['high'])} over to "
                     f"{_span(n['next_low'], n['next_high'])}. "
                     "By how much must the middle of its oscillator's range move?",
    draw=_draw_change,
    answer=lambda n: _step(n).moved_by,
    working=lambda n: [
        f"The middles of the bands are {hz((n['low'] + n['high']) / 2)} and "
        f"{hz((n['next_low'] + n['next_high']) / 2)}.",
        "The oscillator stands above either by the same intermediate frequency, so that falls out.",
        f"The oscillator moves with the signal, by {hz(_step(n).moved_by)}.",
    ],
    hints=("Take the middle of each band.",
           "The same intermediate frequency is added to both: does it matter?"),
    unit="Hz",
    tolerance=Tolerance("The middle of a band is known to a few kilohertz.", absolute=5e3),
    misconceptions=(
        Misconception("added", lambda n: _step(n).moved_by + n["intermediate_frequency"],
                      "You added the intermediate frequency on one band only: it is there on "
                      "both, and falls out."),
        Misconception("taken", lambda n: abs(_step(n).moved_by - n["intermediate_frequency"]),
                      "You took the intermediate frequency off on one band only: it is there on "
                      "both, and falls out."),
        Misconception("stays", lambda n: 0.0,
                      "With the same side on both bands it must move; to leave it where it is "
                      "takes another side and a fitting intermediate frequency."),
        Misconception("edges", lambda n: n["next_high"] - n["low"],
                      "That is from the bottom of one band to the top of the other: take the "
                      "middles."),
    ),
)

QUESTIONS = (OSCILLATOR, IMAGE, RATIO_QUESTION, CAPACITANCE, IMAGE_IN_BAND, DIRECTION, SIDEBAND,
             NEIGHBOUR, BAND_CHANGE)

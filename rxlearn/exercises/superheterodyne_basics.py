"""Questions on the basics: mixing, one fixed filter, and what a simple set lacks."""

from __future__ import annotations

from rxlearn.compute.noise import thermal_noise_dbm, volts_to_dbm
from rxlearn.compute.preselector import bandwidth, response_db
from rxlearn.compute.quantities import show
from rxlearn.compute.simple_set import SimpleSet, judge, straight_set_bandwidth
from rxlearn.compute.tuning import mixer_products, oscillator_frequency
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance
from rxlearn.exercises.receiver_numbers import one_band
from rxlearn.exercises.superheterodyne_basics_predictions import (
    LESSON,
    PREDICTIONS,
    what_leaves,
)
from rxlearn.exercises.wording import decibels, hz, khz, number, whose

__all__ = ["LESSON", "PREDICTIONS", "QUESTIONS"]

KILOHERTZ = Tolerance("A dial is read to about a kilohertz, so that is how near you must come.",
                      absolute=1e3)
WIDTH = Tolerance("A loaded Q is known to some two percent at best, and the width with it.",
                  relative=0.02)
THREE_DB = 3.0103
"""Half the power, in dB: where the width of a circuit is read."""


def _nothing(rng, plan):
    """A question of words: nothing is drawn."""
    return {}


# What leaves a mixer?

def _draw_mix(rng, plan):
    signal = float(rng.integers(110, 300)) * 5e3
    intermediate = float(rng.choice([450, 455, 465, 470])) * 1e3
    return {"signal": signal, "oscillator": signal + intermediate}


def _products(n):
    return mixer_products(n["oscillator"], n["signal"])


DIFFERENCE = Question(
    key="basics.difference",
    lesson=LESSON,
    prompt=lambda n: f"An oscillator of {khz(n['oscillator'])} is multiplied with a signal of "
                     f"{khz(n['signal'])}. At which frequency does the lower of the two products "
                     "come out?",
    draw=_draw_mix,
    answer=lambda n: _products(n).difference,
    working=lambda n: [
        "Multiplying two waves gives their sum and their difference.",
        f"The lower product is the difference: {khz(n['oscillator'])} - {khz(n['signal'])} = "
        f"{hz(_products(n).difference)}.",
    ],
    hints=("Multiplying two waves gives two new ones.", "They are the sum and the difference."),
    unit="Hz",
    tolerance=KILOHERTZ,
    misconceptions=(
        Misconception("sum", lambda n: _products(n).sum,
                      "That is the sum, the higher of the two: the lower is the difference."),
        Misconception("half", lambda n: _products(n).difference / 2,
                      "That is half the difference: the product is the whole of it."),
        Misconception("input", lambda n: n["signal"],
                      "That is the signal as it went in: a balanced mixer does not let it "
                      "through."),
        Misconception("twice", lambda n: 2 * _products(n).difference,
                      "That is twice the difference: the product is the difference itself."),
    ),
)


def _draw_sum(rng, plan):
    n = one_band(rng, plan)
    return n | {"oscillator": oscillator_frequency(
        n["signal"], n["intermediate_frequency"], n["injection"])}


SUM_QUESTION = Question(
    key="basics.sum",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} is tuned to {hz(n['signal'])}, with its oscillator on "
                     f"{hz(n['oscillator'])}. The filter keeps one product of the mixer. At which "
                     "frequency lies the other, which it must hold back?",
    draw=_draw_sum,
    answer=lambda n: _products(n).sum,
    working=lambda n: [
        f"The difference is {hz(_products(n).difference)}, the intermediate frequency: the filter "
        "keeps it.",
        f"The other is the sum: {hz(n['oscillator'])} + {hz(n['signal'])} = "
        f"{hz(_products(n).sum)}.",
    ],
    hints=("Which product falls on the intermediate frequency?", "The other product is the sum."),
    unit="Hz",
    tolerance=KILOHERTZ,
    uses_plan=True,
    misconceptions=(
        Misconception("difference", lambda n: _products(n).difference,
                      "That is the difference, on the intermediate frequency: the filter keeps "
                      "it."),
        Misconception("half", lambda n: _products(n).sum / 2,
                      "That is the middle between the two: the sum is not halved."),
        Misconception("oscillator", lambda n: n["oscillator"],
                      "That is the oscillator: it may leak through too, but it is no product."),
        Misconception("image", lambda n: abs(2 * n["oscillator"] - n["signal"]),
                      "That is the image, another signal that could go in: a product that comes "
                      "out is asked for."),
    ),
)

UNBALANCED = Question(
    key="basics.unbalanced",
    lesson=LESSON,
    prompt=lambda n: "A single valve mixes signal and oscillator, and nothing balances either of "
                     "them out. Which frequencies leave its anode?",
    draw=_nothing,
    answer=lambda n: what_leaves(1.0),
    working=lambda n: [
        "Its bent characteristic makes the sum and the difference.",
        "Its straight part passes both inputs on as they are.",
        "The sum, the difference and both inputs leave, and the filter picks one of them.",
    ],
    hints=("A mixing valve also amplifies.",),
    options=(
        Option("both", "The sum and the difference only",
               "That is a balanced mixer: in a single valve both inputs pass as well."),
        Option("difference", "The difference only",
               "The filter does that, not the mixer: the sum and both inputs leave as well."),
        Option("all", "The sum, the difference and both inputs", "Nothing holds any back."),
        Option("inputs", "Both inputs only",
               "Then nothing would have been mixed: the sum and the difference leave as well."),
    ),
)

WHY = Question(
    key="basics.why",
    lesson=LESSON,
    prompt=lambda n: "Why does a superheterodyne bring every signal to one intermediate frequency "
                     "instead of amplifying it where it is?",
    draw=_nothing,
    answer=lambda n: "once",
    working=lambda n: [
        "A circuit's width is its frequency over its Q, so a tuned amplifier changes width as it "
        "is tuned, and all its circuits must be tuned together.",
        "At one frequency the filter is tuned once: it can be narrow, steep and the same for "
        "every station.",
    ],
    hints=("How many circuits must be turned together in each case?",),
    options=(
        Option("louder", "Mixing makes the signal stronger",
               "A mixer is rather a poor amplifier: the gain follows it, where it is easy to "
               "have."),
        Option("once", "Filter and amplifier are tuned once, and stay as narrow for every station",
               "That is the reason."),
        Option("image", "It keeps other stations from reaching the detector by an image",
               "It is the other way round: an image is the price of it."),
        Option("aerial", "The aerial works better at the intermediate frequency",
               "The aerial works at the signal's frequency: the change comes after it."),
    ),
)


# Selectivity.

def _draw_straight(rng, plan):
    return {"frequency": float(rng.choice([1.8, 3.6, 7.1, 10.1, 14.2, 18.1])) * 1e6,
            "loaded_q": float(rng.choice([40, 50, 60, 80, 100, 120]))}


def _straight(n):
    return straight_set_bandwidth(n["frequency"], n["loaded_q"], 1, down_db=THREE_DB)


def _working_width(frequency, loaded_q, width):
    return [
        "Between its 3 dB points a tuned circuit is as wide as its frequency over its loaded Q.",
        f"{hz(frequency)} / {number(loaded_q)} = {show(width, 'Hz', digits=4)}.",
    ]


_WIDTH_HINTS = ("Width, frequency and Q belong together: Q says how many times the width goes into "
                "the frequency.",
                "Divide the frequency by the loaded Q.")

STRAIGHT = Question(
    key="basics.straight_width",
    lesson=LESSON,
    prompt=lambda n: f"A straight set has one tuned circuit of loaded Q {number(n['loaded_q'])}, "
                     f"tuned to {hz(n['frequency'])}. How wide is it between its 3 dB points?",
    draw=_draw_straight,
    answer=_straight,
    working=lambda n: _working_width(n["frequency"], n["loaded_q"], _straight(n)),
    hints=_WIDTH_HINTS,
    unit="Hz",
    tolerance=WIDTH,
    digits=4,
    misconceptions=(
        Misconception("one_side", lambda n: _straight(n) / 2,
                      "That is from the middle to one edge: the width is from edge to edge."),
        Misconception("each_side", lambda n: 2 * _straight(n),
                      "You took the frequency over Q on either side: that is the whole width, from "
                      "edge to edge."),
        Misconception("no_q", lambda n: n["frequency"],
                      "That is the frequency tuned to: divide it by the loaded Q."),
    ),
)


def _draw_at_if(rng, plan):
    return one_band(rng, plan) | {"loaded_q": float(rng.choice([50, 80, 100, 120]))}


def _at_if(n):
    return bandwidth(n["intermediate_frequency"], n["loaded_q"])


AT_IF = Question(
    key="basics.width_at_if",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} is tuned to {hz(n['signal'])}, with its intermediate frequency "
                     f"on {hz(n['intermediate_frequency'])}. One tuned circuit behind the mixer "
                     f"has a loaded Q of {number(n['loaded_q'])}. How wide is it between its 3 dB "
                     "points?",
    draw=_draw_at_if,
    answer=_at_if,
    working=lambda n: [
        "Behind the mixer the signal is on the intermediate frequency, wherever the dial stands.",
        *_working_width(n["intermediate_frequency"], n["loaded_q"], _at_if(n)),
    ],
    hints=("On which frequency is the signal behind the mixer?", _WIDTH_HINTS[1]),
    unit="Hz",
    tolerance=WIDTH,
    digits=4,
    uses_plan=True,
    misconceptions=(
        Misconception("signal", lambda n: bandwidth(n["signal"], n["loaded_q"]),
                      "That would be its width at the signal's frequency: behind the mixer it is "
                      "tuned to the intermediate frequency."),
        Misconception("one_side", lambda n: _at_if(n) / 2,
                      "That is from the middle to one edge: the width is from edge to edge."),
        Misconception("each_side", lambda n: 2 * _at_if(n),
                      "You took the frequency over Q on either side: that is the whole width."),
    ),
)


def _draw_neighbour(rng, plan):
    return {"frequency": float(rng.choice([600, 800, 1000, 1200, 1400])) * 1e3,
            "loaded_q": float(rng.choice([80, 100, 120])),
            "offset": float(rng.choice([10, 20, 30])) * 1e3}


def _neighbour(n):
    return -response_db(n["frequency"] + n["offset"], n["frequency"], n["loaded_q"])


def _ratio(n):
    return 10 ** (_neighbour(n) / 20)


NEIGHBOUR = Question(
    key="basics.neighbour",
    lesson=LESSON,
    prompt=lambda n: f"A straight set's only tuned circuit, of loaded Q {number(n['loaded_q'])}, "
                     f"is tuned to {khz(n['frequency'])}. A neighbour, as strong, sends "
                     f"{khz(n['offset'])} higher. By how many dB is it weakened?",
    draw=_draw_neighbour,
    answer=_neighbour,
    working=lambda n: [
        "The detuning is ρ = f/f₀ - f₀/f, near resonance about 2 Δf/f₀.",
        f"With Q = {number(n['loaded_q'])} the voltage falls by √(1 + Q²ρ²) = {number(_ratio(n))} "
        "times.",
        f"20 lg {number(_ratio(n))} = {decibels(_neighbour(n))}.",
    ],
    hints=("How far is the neighbour, counted in half widths of the circuit?",
           "The voltage falls by √(1 + x²) times, with x = 2 Q Δf / f₀; decibels are 20 lg of it."),
    unit="dB",
    tolerance=Tolerance("A loaded Q is known to a few percent, which is a third of a decibel.",
                        absolute=0.3),
    digits=3,
    misconceptions=(
        Misconception("power", lambda n: _neighbour(n) / 2,
                      "You took 10 lg of a ratio of voltages: decibels are 20 lg of it."),
        Misconception("half_detuning", lambda n: -response_db(
            n["frequency"] + n["offset"] / 2, n["frequency"], n["loaded_q"]),
                      "You left out the 2 in 2 Q Δf / f₀."),
        Misconception("ratio", _ratio,
                      "That is the ratio itself: decibels are 20 lg of it."),
    ),
)


# Sensitivity and band spread.

def _draw_noise(rng, plan):
    return {"wide": float(rng.choice([5, 6, 8, 10])) * 1e3,
            "narrow": float(rng.choice([250, 300, 400, 500]))}


def _quieter(n):
    return thermal_noise_dbm(n["wide"]) - thermal_noise_dbm(n["narrow"])


NOISE = Question(
    key="basics.noise_width",
    lesson=LESSON,
    prompt=lambda n: f"A simple set passes {hz(n['wide'])}. For code a filter of "
                     f"{hz(n['narrow'])} would do. By how many dB less noise would reach the "
                     "detector through it?",
    draw=_draw_noise,
    answer=_quieter,
    working=lambda n: [
        "Noise power goes as the width that it comes through.",
        f"The width falls {number(n['wide'] / n['narrow'])} times, and powers take 10 lg.",
        f"10 lg {number(n['wide'] / n['narrow'])} = {decibels(_quieter(n))}.",
    ],
    hints=("Noise power goes as the width.", "For powers decibels are 10 lg of the ratio."),
    unit="dB",
    tolerance=Tolerance("Nobody hears half a decibel of noise.", absolute=0.5),
    digits=3,
    misconceptions=(
        Misconception("voltage", lambda n: 2 * _quieter(n),
                      "You took 20 lg, as for voltages: the width goes with the power, so take "
                      "10 lg."),
        Misconception("ratio", lambda n: n["wide"] / n["narrow"],
                      "That is the ratio itself: decibels are 10 lg of it."),
        Misconception("root", lambda n: _quieter(n) / 2,
                      "You let the power go as the square root of the width: the voltage does "
                      "that, the power goes as the width."),
    ),
)


def _draw_gain(rng, plan):
    return {"aerial": float(rng.choice([1, 2, 5, 10, 20])) * 1e-6,
            "detector": float(rng.choice([0.1, 0.2, 0.5, 1.0]))}


def _gain(n):
    return volts_to_dbm(n["detector"]) - volts_to_dbm(n["aerial"])


GAIN = Question(
    key="basics.gain",
    lesson=LESSON,
    prompt=lambda n: f"A weak station gives {show(n['aerial'], 'V')} at the aerial socket. The "
                     f"detector wants {show(n['detector'], 'V')}. How many dB must the stages "
                     "between raise the voltage?",
    draw=_draw_gain,
    answer=_gain,
    working=lambda n: [
        f"The voltage must grow {number(n['detector'] / n['aerial'], 6)} times.",
        f"20 lg {number(n['detector'] / n['aerial'], 6)} = {decibels(_gain(n))}.",
    ],
    hints=("How many times must the voltage grow?", "For voltages decibels are 20 lg."),
    unit="dB",
    tolerance=Tolerance("Half a decibel is far less than a valve's spread.", absolute=0.5),
    digits=3,
    misconceptions=(
        Misconception("power", lambda n: _gain(n) / 2,
                      "You took 10 lg, as for powers: for voltages it is 20 lg."),
        Misconception("ratio", lambda n: n["detector"] / n["aerial"],
                      "That is the ratio itself: decibels are 20 lg of it."),
        Misconception("millivolt", lambda n: _gain(n) - 60,
                      "You counted the microvolts as millivolts, which is 60 dB out."),
    ),
)


def _draw_dial(rng, plan):
    return {"low": float(rng.choice([5.8, 5.9, 6.0])) * 1e6,
            "high": float(rng.choice([16, 17, 18, 19, 22])) * 1e6,
            "drive": float(rng.choice([5, 6, 8, 10])), "turn": float(rng.choice([1, 2, 5]))}


def _set(n):
    """The set as drawn, judged in the middle of its even dial."""
    drawn = SimpleSet(lowest_frequency=n["low"], highest_frequency=n["high"],
                      plate_law="frequency", drive_ratio=n["drive"], hand_step_degrees=n["turn"])
    return judge(drawn, (n["low"] + n["high"]) / 2)


HAND = Question(
    key="basics.hand_step",
    lesson=LESSON,
    prompt=lambda n: f"A simple set's dial runs evenly from {hz(n['low'])} to {hz(n['high'])} over "
                     f"180 °, its knob geared down {number(n['drive'])}-fold. By how much does it "
                     f"tune when the knob turns by {show(n['turn'], '°')}?",
    draw=_draw_dial,
    answer=lambda n: _set(n).hand_step,
    working=lambda n: [
        f"The dial covers {hz(n['high'] - n['low'])} in 180 °, which is "
        f"{show(_set(n).tuning_rate, 'Hz', digits=4)} a degree.",
        f"The knob turns {number(n['drive'])} times as far as the dial, so {show(n['turn'], '°')} "
        f"of it moves the dial {show(n['turn'] / n['drive'], '°', digits=3)}.",
        f"Code wants {hz(_set(n).setting_needed)}; one such turn gives "
        f"{show(_set(n).hand_step, 'Hz', digits=4)}.",
    ],
    hints=("How much does one degree of the dial cover?",
           "The gear makes the dial turn less than the knob: divide by it."),
    unit="Hz",
    tolerance=Tolerance("A dial is even to a few percent at best.", relative=0.03),
    digits=4,
    misconceptions=(
        Misconception("no_gear", lambda n: _set(n).hand_step * n["drive"],
                      "That is for the dial itself: the knob is geared down, so the dial turns "
                      "less."),
        Misconception("gear_upside_down", lambda n: _set(n).hand_step * n["drive"] ** 2,
                      "You multiplied by the gear: geared down, the dial turns less than the "
                      "knob."),
        Misconception("full_turn", lambda n: _set(n).hand_step / 2,
                      "You took 360 ° for the dial: a tuning capacitor turns only 180 °."),
    ),
)

QUESTIONS = (WHY, DIFFERENCE, SUM_QUESTION, UNBALANCED, STRAIGHT, AT_IF, NEIGHBOUR, NOISE, GAIN,
             HAND)

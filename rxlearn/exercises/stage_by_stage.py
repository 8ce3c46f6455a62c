"""Questions on a receiver's stages: where to listen for each, levels, noise, cathodes, currents."""

from __future__ import annotations

import math

from rxlearn.compute.noise import Stage, cascade
from rxlearn.compute.quantities import show
from rxlearn.compute.stages import ReceiverStage, add_currents
from rxlearn.compute.tuning import HIGH, oscillator_frequency
from rxlearn.data.valves import VALVES
from rxlearn.exercises.questions import Misconception, Question, Tolerance
from rxlearn.exercises.receiver_numbers import one_band
from rxlearn.exercises.stage_by_stage_predictions import LESSON, PREDICTIONS
from rxlearn.exercises.stage_by_stage_words import WORD_QUESTIONS
from rxlearn.exercises.wording import SIDE, hz, whose

__all__ = ["LESSON", "PREDICTIONS", "QUESTIONS"]

DIAL = Tolerance("A receiver's dial is read to a kilohertz, so that is allowed.", absolute=1e3)
METER = Tolerance("A meter and a resistor are good to some percent, so that is near enough.",
                  relative=0.04)
TENTH = Tolerance("Noise figures are known to a tenth of a decibel at best.", absolute=0.1)


# Where to listen for the oscillator --------------------------------------------------------


def _oscillator(n) -> float:
    return oscillator_frequency(n["signal"], n["intermediate_frequency"], n["injection"])


LISTEN = Question(
    key="stages.listen",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} is tuned to {hz(n['signal'])} with {SIDE[n['injection']]} injection "
                     f"and an intermediate frequency of {hz(n['intermediate_frequency'])}. It hears "
                     "nothing. On which frequency must a second receiver hear its oscillator, if that "
                     "runs?",
    draw=one_band,
    answer=_oscillator,
    working=lambda n: [
        "High-side injection puts the oscillator above the signal, low-side below it, by the "
        "intermediate frequency.",
        f"{hz(n['signal'])} {'+' if n['injection'] == HIGH else '-'} "
        f"{hz(n['intermediate_frequency'])} = {hz(_oscillator(n))}.",
    ],
    hints=("How far is the oscillator from the signal?", "On which side is it on this band?"),
    unit="Hz", tolerance=DIAL, uses_plan=True,
    misconceptions=(
        Misconception("other_side", lambda n: abs(
            2 * n["signal"] - _oscillator(n)), "That is the other side: look at the injection."),
        Misconception("intermediate", lambda n: n["intermediate_frequency"],
                      "That is where the filter is, and where the beat oscillator is heard."),
        Misconception("signal", lambda n: n["signal"],
                      "There you would hear the station itself, whether the oscillator runs or not."),
    ),
)


# A level on its way --------------------------------------------------------------------------


def _draw_level(rng, plan):
    return {"aerial": float(rng.choice([1, 2, 5, 10, 20, 50])) * 1e-6,
            "before": float(rng.integers(4, 8)) * 4.0, "filter": -float(rng.integers(2, 8)),
            "after": float(rng.integers(15, 24)) * 2.0}


def _total(n) -> float:
    return n["before"] + n["filter"] + n["after"]


def _level(n) -> float:
    return n["aerial"] * 10 ** (_total(n) / 20)


LEVEL = Question(
    key="stages.level",
    lesson=LESSON,
    prompt=lambda n: f"{show(n['aerial'], 'V')} from the aerial pass stages with voltage gains of "
                     f"{show(n['before'], 'dB')}, {show(n['filter'], 'dB')} and "
                     f"{show(n['after'], 'dB')}. What voltage comes out?",
    draw=_draw_level,
    answer=_level,
    working=lambda n: [
        f"Decibels add: {show(n['before'], 'dB')} {show(n['filter'], 'dB')} + "
        f"{show(n['after'], 'dB')} make {show(_total(n), 'dB')}.",
        f"As a ratio of voltages: 10 to the power {_total(n):g}/20 = {10 ** (_total(n) / 20):.4g}.",
        f"{show(n['aerial'], 'V')} times that is {show(_level(n), 'V', digits=3)}.",
    ],
    hints=("Add the decibels first; one of them is a loss.", "Twenty decibels are ten times in voltage."),
    unit="V", tolerance=METER, digits=3,
    misconceptions=(
        Misconception("power", lambda n: n["aerial"] * 10 ** (_total(n) / 10),
                      "That takes the decibels as a ratio of powers: for voltages divide by 20."),
        Misconception("loss_added", lambda n: n["aerial"] * 10 ** ((_total(n) - 2 * n["filter"]) / 20),
                      "The filter loses: its decibels are taken off."),
        Misconception("filter_left_out", lambda n: n["aerial"] * 10 ** (
            (_total(n) - n["filter"]) / 20), "The filter's loss is missing."),
    ),
)


# Noise of two stages ---------------------------------------------------------------------------


def _draw_noise(rng, plan):
    return {"gain": float(rng.integers(3, 16)), "first": float(rng.integers(2, 9)) / 2 + 1.0,
            "second": float(rng.integers(10, 18))}


def _friis(n) -> float:
    return cascade([Stage("first", n["gain"], n["first"]),
                    Stage("second", 20.0, n["second"])]).noise_figure_db


def _factor(decibels: float) -> float:
    return 10 ** (decibels / 10)


def _db(factor: float) -> float:
    return 10 * math.log10(factor)


NOISE = Question(
    key="stages.noise",
    lesson=LESSON,
    prompt=lambda n: f"A signal-frequency amplifier of {show(n['gain'], 'dB')} power gain and "
                     f"{show(n['first'], 'dB')} noise figure stands before a mixer of "
                     f"{show(n['second'], 'dB')} noise figure. What is the noise figure of both?",
    draw=_draw_noise,
    answer=_friis,
    working=lambda n: [
        f"As factors: F1 = {_factor(n['first']):.3f}, F2 = {_factor(n['second']):.3f}, gain "
        f"{_factor(n['gain']):.3f}.",
        f"F = F1 + (F2 - 1) / G1 = {_factor(_friis(n)):.3f} (H. T. Friis, 1944).",
        f"In decibels that is {show(_friis(n), 'dB', digits=3)}.",
    ],
    hints=("Turn all decibels into factors first.",
           "The second stage's own share, F2 - 1, is divided by the first stage's gain."),
    unit="dB", tolerance=TENTH, digits=3,
    misconceptions=(
        Misconception("sum", lambda n: n["first"] + n["second"],
                      "Noise figures in decibels do not add: turn them into factors."),
        Misconception("first_only", lambda n: n["first"],
                      "That leaves the mixer out, as if the gain before it were endless."),
        Misconception("no_gain", lambda n: _db(_factor(n["first"]) + _factor(n["second"]) - 1),
                      "The mixer's share is divided by the gain before it."),
        Misconception("gain_in_db", lambda n: _db(_factor(n["first"]) + (
            _factor(n["second"]) - 1) / n["gain"]), "The gain goes in as a factor, not in decibels."),
    ),
)


# A cathode's voltage ---------------------------------------------------------------------------

_PENTODES = ("6BA6", "6AU6", "6BE6")


def _draw_cathode(rng, plan):
    valve = VALVES[_PENTODES[int(rng.integers(len(_PENTODES)))]]
    return {"kind": valve.kind, "anode": valve.anode_current, "screen": valve.screen_current,
            "resistor": float(rng.choice([68, 100, 150, 220, 330]))}


def _cathode(n) -> float:
    return (n["anode"] + n["screen"]) * n["resistor"]


CATHODE = Question(
    key="stages.cathode",
    lesson=LESSON,
    prompt=lambda n: f"A {n['kind']} has {show(n['resistor'], 'Ω')} from cathode to chassis. Its anode "
                     f"draws {show(n['anode'], 'A')}, its screen {show(n['screen'], 'A')}. What does "
                     "the meter that was clipped on show at the cathode?",
    draw=_draw_cathode,
    answer=_cathode,
    working=lambda n: [
        "All that arrives at anode and screen left the cathode: "
        f"{show(n['anode'] + n['screen'], 'A')}.",
        f"Times {show(n['resistor'], 'Ω')} that is {show(_cathode(n), 'V', digits=3)}.",
    ],
    hints=("Which currents flow through the cathode resistor?", "Then Ohm's law."),
    unit="V", tolerance=METER, digits=3,
    misconceptions=(
        Misconception("anode_only", lambda n: n["anode"] * n["resistor"],
                      "The screen's current comes out of the cathode, too."),
        Misconception("screen_only", lambda n: n["screen"] * n["resistor"],
                      "The anode's current comes out of the cathode, too."),
        Misconception("difference", lambda n: abs(n["anode"] - n["screen"]) * n["resistor"],
                      "Both currents leave by the cathode: they add."),
    ),
)


# Currents add up -------------------------------------------------------------------------------


def _draw_bill(rng, plan):
    return {"bulbs": int(rng.integers(3, 7)), "lamp": float(rng.choice([0.15, 0.25])),
            "output": float(rng.choice([0.45, 0.6])), "winding": float(rng.choice([3.0, 3.5, 4.0]))}


def _bill(n) -> float:
    small = [ReceiverStage(function="other", device="x", heater_current=0.3)] * n["bulbs"]
    return add_currents([
        *small, ReceiverStage(function="output", device="x", heater_current=n["output"]),
        ReceiverStage(function="lamp", device="x", heater_current=n["lamp"])]).heaters


def _percent(n) -> float:
    return 100 * _bill(n) / n["winding"]


HEATERS = Question(
    key="stages.heaters",
    lesson=LESSON,
    prompt=lambda n: f"Heaters in parallel: {('three', 'four', 'five', 'six')[n['bulbs'] - 3]} valves of "
                     f"{show(0.3, 'A')} each, an output valve of {show(n['output'], 'A')} and a lamp of "
                     f"{show(n['lamp'], 'A')}. The winding is rated for {show(n['winding'], 'A')}. How "
                     "much of the rating is used?",
    draw=_draw_bill,
    answer=_percent,
    working=lambda n: [
        f"In parallel the currents add: {n['bulbs']} × {show(0.3, 'A')} + {show(n['output'], 'A')} + "
        f"{show(n['lamp'], 'A')} = {show(_bill(n), 'A')}.",
        f"Of {show(n['winding'], 'A')} that is {show(_percent(n), '%', digits=3)}.",
    ],
    hints=("In parallel, what adds: voltages or currents?", "Then divide by the rating."),
    unit="%", tolerance=Tolerance("A rating is kept or not to a percent or so.", absolute=1.0), digits=3,
    misconceptions=(
        Misconception("no_lamp", lambda n: _percent(n) - 100 * n["lamp"] / n["winding"],
                      "The lamp hangs on the same winding."),
        Misconception("one_of_each", lambda n: 100 * (0.3 + n["output"] + n["lamp"]) / n["winding"],
                      "Each valve draws its own current: count them."),
        Misconception("upside_down", lambda n: 1e4 / _percent(n),
                      "That is the rating over the current: the other way round."),
    ),
)

QUESTIONS = (HEATERS, LISTEN, LEVEL, NOISE, CATHODE, *WORD_QUESTIONS)
"""In the order of the lesson."""

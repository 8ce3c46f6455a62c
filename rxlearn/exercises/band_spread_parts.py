"""Questions on band spread, continued: parts that are off, the switched capacitor, what to choose."""

from __future__ import annotations

import math

from rxlearn.compute.band_spread import Network, cover
from rxlearn.compute.quantities import show
from rxlearn.compute.switched_dial import pulling_capacitor
from rxlearn.compute.tank import resonant_frequency
from rxlearn.compute.variable_capacitor import PLATE_LAWS, VariableCapacitor
from rxlearn.exercises.band_spread_numbers import PF, TRIMMED, farad, narrow, totals
from rxlearn.exercises.band_spread_predictions import LESSON
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance
from rxlearn.exercises.wording import hz, khz, whose

# Parts that are not exactly right.

def _draw_rounding(rng, plan):
    return {"frequency": float(rng.choice([5.2, 6.85, 7.0, 9.1])) * 1e6,
            "total": float(rng.choice([150, 200, 250, 300])) * PF,
            "less": float(rng.choice([3, 4, 6, 8])) * PF}


def _shift(n):
    coil = 1 / ((2 * math.pi * n["frequency"]) ** 2 * n["total"])
    return float(resonant_frequency(coil, n["total"] - n["less"])) - n["frequency"]


ROUNDING = Question(
    key="spread.rounding",
    lesson=LESSON,
    prompt=lambda n: f"A tank wants {show(n['total'], 'F')} in all at {hz(n['frequency'])}. The "
                     f"capacitor you fit leaves it {show(n['less'], 'F')} short. How far too high "
                     "does the oscillator run?",
    draw=_draw_rounding,
    answer=_shift,
    working=lambda n: [
        f"{show(n['less'], 'F')} of {show(n['total'], 'F')} is "
        f"{show(100 * n['less'] / n['total'], '%', digits=3)}.",
        "The frequency changes by half of that, a little more for so large a step.",
        f"f × (√(C / (C - {show(n['less'], 'F')})) - 1) = {show(_shift(n), 'Hz', digits=3)}.",
    ],
    hints=("Which percentage of the capacitance is missing?",
           "The frequency goes with the square root, so half of that percentage."),
    unit="Hz",
    tolerance=Tolerance("Half the percentage is near enough, so six percent are allowed.",
                        relative=0.06),
    digits=3,
    misconceptions=(
        Misconception("not_halved", lambda n: n["frequency"] * n["less"] / n["total"],
                      "You took the whole percentage: under the square root it is half."),
        Misconception("squared", lambda n: 2 * n["frequency"] * n["less"] / n["total"],
                      "You doubled the percentage: a square root halves it."),
        Misconception("quarter", lambda n: n["frequency"] * n["less"] / n["total"] / 4,
                      "You halved twice: once is enough."),
    ),
)


# A capacitor switched in.

def _draw_switched(rng, plan):
    band = narrow(plan)
    # A long-wave plan's oscillator may lie below 100 kHz: never ask to pull it past nought.
    down = min(float(rng.choice([40, 60, 100])) * 1e3, 0.02 * band["low"])
    return {**band, "down": down}


def _plain_tank(n):
    """The tank at its low end as a network; a swing of no account makes the capacitor variable."""
    total = totals(n)[0]
    return Network(n["inductance"], VariableCapacitor(0.5 * total, total))


def _pull(n):
    return pulling_capacitor(_plain_tank(n), n["low"] - n["down"], 0.0)


SWITCHED = Question(
    key="spread.switched",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} has its dial's low end at {hz(n['low'])} of the oscillator, with "
                     f"{show(totals(n)[0], 'F', digits=4)} across the coil. Which capacitor, "
                     f"switched across the tank, pulls that end down by {khz(n['down'])}?",
    draw=_draw_switched,
    answer=_pull,
    working=lambda n: [
        f"The frequency must go to {hz(n['low'] - n['down'])}.",
        f"Capacitance goes as 1/f²: {show(totals(n)[0], 'F', digits=4)} × ({hz(n['low'])} / "
        f"{hz(n['low'] - n['down'])})² = {show(totals(n)[0] + _pull(n), 'F', digits=5)}.",
        f"The capacitor is the difference, the switch's own 1 pF to 3 pF included: "
        f"{farad(_pull(n))}.",
    ],
    hints=("By which share must the frequency fall?",
           "The capacitance must rise by twice that share."),
    unit="F",
    tolerance=TRIMMED,
    digits=3,
    uses_plan=True,
    misconceptions=(
        Misconception("not_doubled", lambda n: totals(n)[0] * n["down"] / n["low"],
                      "You raised the capacitance by the same share: it takes twice that."),
        Misconception("whole", lambda n: totals(n)[0] + _pull(n),
                      "That is the whole capacitance: most of it is there already."),
        Misconception("quadrupled", lambda n: 4 * totals(n)[0] * n["down"] / n["low"],
                      "You doubled twice: capacitance goes with the square, once."),
    ),
)


# What to choose.

def _evenest(n):
    """The plate law that gives the evenest dial where the fixed capacitance is large."""
    found = {
        law: cover(Network(1.83e-6, VariableCapacitor(10 * PF, 50 * PF, law), None,
                           251 * PF)).unevenness
        for law in PLATE_LAWS
    }
    return min(found, key=found.get)


LAW = Question(
    key="spread.law",
    lesson=LESSON,
    prompt=lambda n: "A small variable capacitor swings by 40 pF across 250 pF of fixed "
                     "capacitance. Which plates give the evenest marks on the dial?",
    draw=lambda rng, plan: {},
    answer=_evenest,
    working=lambda n: [
        "Where the swing is a small part of the whole, the frequency changes almost in proportion "
        "to the capacitance.",
        "So plates that change the capacitance evenly change the frequency almost evenly.",
    ],
    hints=("How large is the swing against the whole?",
           "A law holds for the capacitor alone; what does a large fixed capacitor make of it?"),
    options=(
        Option("midline", "Midline (logarithmic)",
               "They are even in percent, and for the capacitor alone, with nothing across it."),
        Option("frequency", "Straight-line frequency",
               "They are even only with nothing across the capacitor; here they crowd the open "
               "end."),
        Option("capacitance", "Straight-line capacitance",
               "They follow the capacitance, and so does the frequency here."),
        Option("wavelength", "Straight-line wavelength",
               "They are between the others: even for a wavelength scale with nothing across "
               "the capacitor."),
    ),
)


def _best_cure(n):
    """Which cure makes the crowded dial even, by trying each."""
    variable = VariableCapacitor(10 * PF, 50 * PF)
    tried = {
        "across": Network(1.83e-6, variable, 63 * PF, 239 * PF, 100 * PF),
        "parallel": Network(1.83e-6, variable, 12 * PF, 320 * PF),
        # Gearing changes every place alike: the network stays.
        "reduction": Network(1.83e-6, variable, 12 * PF, 287 * PF),
    }
    return min(tried, key=lambda name: cover(tried[name]).unevenness)


CROWDED = Question(
    key="spread.crowded",
    lesson=LESSON,
    prompt=lambda n: "A small series capacitor spreads the band, but the marks crowd together at "
                     "one end of the dial. What evens them out?",
    draw=lambda rng, plan: {},
    answer=_best_cure,
    working=lambda n: [
        "The marks crowd where the variable is large against the series capacitor, since then it "
        "hardly counts any more.",
        "A fixed capacitor across the variable, with a larger series capacitor, makes its changes "
        "small against the rest, and every degree counts nearly alike.",
    ],
    hints=("Why does the variable count less when it is meshed?",),
    options=(
        Option("reduction", "A drive with more reduction",
               "Gearing makes every place finer by the same factor: what is crowded stays so."),
        Option("parallel", "A larger capacitor across the tank",
               "It moves the dial down and narrows it a little, but leaves the crowding."),
        Option("across", "A capacitor across the variable, and a larger series capacitor",
               "The variable's changes become small against the rest, and that evens them out."),
    ),
)

QUESTIONS = (ROUNDING, SWITCHED, LAW, CROWDED)

"""Questions on band spread, continued: tracking, drift and compensation."""

from __future__ import annotations

import math

from rxlearn.compute.drift import Capacitor, compensating_share, drift
from rxlearn.compute.quantities import show
from rxlearn.compute.tracking import track
from rxlearn.exercises.band_spread_predictions import LESSON
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance
from rxlearn.exercises.wording import hz, number

PF = 1e-12

WARM = Tolerance("Nobody knows a coefficient closer than five percent.", relative=0.05)


def _draw_drift(rng, plan):
    return {"frequency": float(rng.choice([5.2, 6.85, 7.0, 9.0])) * 1e6,
            "coil": float(rng.choice([40, 50, 70])), "capacitors": float(rng.choice([20, 30])),
            "rise": float(rng.choice([10, 15, 20]))}


def _moved(n):
    found = drift(n["frequency"], n["coil"], [Capacitor("all", 100 * PF, n["capacitors"])])
    return -found.per_degree * n["rise"]


def _whole(n):
    return 2 * _moved(n)


DRIFT = Question(
    key="spread.drift",
    lesson=LESSON,
    prompt=lambda n: f"An oscillator on {hz(n['frequency'])} has a coil that grows by "
                     f"{number(n['coil'])} ppm for each °C and capacitors that grow by "
                     f"{number(n['capacitors'])} ppm. By how much does it go down when it warms by "
                     f"{number(n['rise'])} °C?",
    draw=_draw_drift,
    answer=_moved,
    working=lambda n: [
        f"Coil and capacitors together grow by {number(n['coil'] + n['capacitors'])} ppm for each "
        "°C, and the frequency falls by half of that.",
        f"{number((n['coil'] + n['capacitors']) / 2)} ppm of {hz(n['frequency'])} is "
        f"{show(_moved(n) / n['rise'], 'Hz', digits=4)} for each °C.",
        f"Times {number(n['rise'])}: {show(_moved(n), 'Hz', digits=3)}.",
    ],
    hints=("Add coil and capacitors: each counts by half.",
           "A ppm of a megahertz is one hertz."),
    unit="Hz",
    tolerance=WARM,
    digits=3,
    misconceptions=(
        Misconception("not_halved", _whole,
                      "You forgot the half: the frequency goes with the square root of inductance "
                      "times capacitance."),
        Misconception("coil_alone", lambda n: n["frequency"] * n["coil"] * 1e-6 * n["rise"] / 2,
                      "That is the coil alone: the capacitors drift as well."),
        Misconception("root_of_sum", lambda n: n["frequency"] * n["rise"] * 1e-6
                      * math.sqrt(n["coil"] * n["capacitors"]),
                      "You took the root of the coefficients: small changes add, and half of their "
                      "sum counts."),
    ),
)


def _draw_compensator(rng, plan):
    return {"total": float(rng.choice([150, 200, 250, 295])) * PF,
            "coil": float(rng.choice([40, 50, 60])), "rest": 30.0,
            "kind": float(rng.choice([-470, -750]))}


def _compensator(n):
    return n["total"] * compensating_share(n["coil"], n["rest"], n["kind"])


COMPENSATOR = Question(
    key="spread.compensator",
    lesson=LESSON,
    prompt=lambda n: f"A tank holds {show(n['total'], 'F')}. The coil grows by "
                     f"{number(n['coil'])} ppm for each °C, the capacitors by "
                     f"{number(n['rest'])} ppm. How much of the capacitance must shrink by {number(-n['kind'])} ppm "
                     "instead, so that nothing drifts?",
    draw=_draw_compensator,
    answer=_compensator,
    working=lambda n: [
        f"A share x of the compensating kind makes the capacitors drift by {number(n['kind'])} x + "
        f"{number(n['rest'])} (1 - x) ppm, and the coil adds {number(n['coil'])} ppm.",
        f"The sum is zero at x = {number(n['coil'] + n['rest'])} / "
        f"{number(n['rest'] - n['kind'])} = {number(_compensator(n) / n['total'], 3)}.",
        f"That share of {show(n['total'], 'F')} is {show(_compensator(n), 'F', digits=3)}.",
    ],
    hints=("Write down how much coil and capacitors drift, with a share x of the new kind.",
           "What you take out no longer grows, and what you put in shrinks: both count."),
    unit="F",
    tolerance=Tolerance("Coefficients are known to a few percent, so two are allowed.",
                        relative=0.02),
    digits=3,
    misconceptions=(
        Misconception("not_replaced", lambda n: n["total"] * (n["coil"] + n["rest"]) / -n["kind"],
                      "You added the compensating part to what is there: it takes the place of "
                      "some, which no longer grows."),
        Misconception("capacitors_alone",
                      lambda n: n["total"] * n["rest"] / (n["rest"] - n["kind"]),
                      "You made up for the capacitors alone: the coil grows as well."),
        Misconception("coil_alone", lambda n: n["total"] * n["coil"] / (n["rest"] - n["kind"]),
                      "You made up for the coil alone: the capacitors grow as well."),
    ),
)


def _crossings(n):
    """At how many frequencies three parts make the oscillator exact, by counting them."""
    found = track(540e3, 1600e3, 455e3, 15 * PF, 365 * PF, points=400)
    signs = found.errors > 0
    count = int((signs[1:] != signs[:-1]).sum())
    return {1: "one", 2: "two", 3: "three"}.get(count, "all")


TRACKING = Question(
    key="spread.tracking",
    lesson=LESSON,
    prompt=lambda n: "One gang tunes aerial circuit and oscillator. You may choose the "
                     "oscillator's coil, its trimmer and its padder. At how many frequencies can the difference "
                     "be exactly the intermediate frequency?",
    draw=lambda rng, plan: {},
    answer=_crossings,
    working=lambda n: [
        "Each part that you may choose makes one frequency exact.",
        "Three parts, three frequencies; between them the error swings to and fro.",
    ],
    hints=("How many parts may you choose?",),
    options=(
        Option("one", "At one",
               "One part would do that: you have three to choose."),
        Option("two", "At two, the ends of the band",
               "Coil and trimmer would do that: the padder gives one more."),
        Option("three", "At three", "One for each part that may be chosen."),
        Option("all", "At all of them",
               "That would take plates cut for this very oscillator; with three parts it is exact "
               "at a few places only."),
    ),
)

QUESTIONS = (DRIFT, COMPENSATOR, TRACKING)

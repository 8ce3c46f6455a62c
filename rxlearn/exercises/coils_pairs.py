"""Questions on coils, continued: two coupled circuits."""

from __future__ import annotations

import math

from rxlearn.compute.coupled_circuits import CoupledPair, intermediate_transformer
from rxlearn.compute.quantities import show
from rxlearn.exercises.coils_predictions import LESSON
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance
from rxlearn.exercises.receiver_numbers import receiver
from rxlearn.exercises.wording import hz, khz, whose

COUPLING = Tolerance("A gap is set by hand, so three percent are near enough.", relative=0.03)


def _draw_critical(rng, plan):
    numbers = receiver(plan)
    centre = numbers["intermediate_frequency"]
    return {"own": numbers["own"], "why": numbers["why"], "centre": centre,
            "width": float(f"{centre / float(rng.choice([30, 40, 50, 60])):.2g}")}


def _critical(n):
    """Critical coupling in percent for this width."""
    return 100 * intermediate_transformer(n["centre"], 200e-12, n["width"], 2000.0).coupling


CRITICAL = Question(
    key="coils.critical",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} has its intermediate frequency on {hz(n['centre'])}. Two equal "
                     f"circuits, critically coupled, are to be {khz(n['width'])} wide. Which coupling, "
                     "in percent?",
    draw=_draw_critical,
    answer=_critical,
    working=lambda n: [
        "Critically coupled, a pair is √2 times as wide as one circuit: width = √2 × f / Q.",
        f"So Q = √2 × {hz(n['centre'])} / {khz(n['width'])} = "
        f"{math.sqrt(2) * n['centre'] / n['width']:.4g}.",
        f"Critical coupling is one over Q: {show(_critical(n), '%', digits=3)}.",
    ],
    hints=("How wide is one circuit of Q? And the critically coupled pair?",
           "Critical coupling is one over Q."),
    unit="%", tolerance=COUPLING, digits=3, uses_plan=True,
    misconceptions=(
        Misconception("one_circuit", lambda n: 100 * n["width"] / n["centre"],
                      "That takes the width of one circuit: the pair is √2 times as wide."),
        Misconception("ratio", lambda n: n["width"] / n["centre"] / math.sqrt(2),
                      "That is the plain ratio: percent were asked, a hundred times that number."),
        Misconception("multiplied", lambda n: 100 * math.sqrt(2) * n["width"] / n["centre"],
                      "The √2 is on the wrong side: a pair is wider than one of its circuits, so "
                      "for this width each may have √2 times the Q of one alone, and that takes less "
                      "coupling."),
    ),
)


def _draw_dip(rng, plan):
    return {"index": float(rng.choice([1.4, 1.6, 1.8, 2.0, 2.5, 3.0]))}


def _dip(n):
    return CoupledPair(1e6, 100.0, 100.0, n["index"] / 100.0).dip_db


DIP = Question(
    key="coils.dip",
    lesson=LESSON,
    prompt=lambda n: "Two equal circuits are over-coupled, "
                     f"{n['index']:g} times as tightly as critically. How deep is the dip between the "
                     "humps? Read it off “Two circuits, coupled”, or work it out.",
    draw=_draw_dip,
    answer=_dip,
    working=lambda n: [
        "In the middle the level is 2kQ/(1 + (kQ)²) of what it is on the humps.",
        f"With kQ = {n['index']:g} that is {2 * n['index'] / (1 + n['index'] ** 2):.4f}.",
        "In decibels, twenty times its logarithm, taken positive: "
        f"{show(_dip(n), 'dB', digits=3)}.",
    ],
    hints=("Set the coupling knob, leave both Q alike, and read the dip above the curve.",
           "The middle is 2kQ/(1 + (kQ)²) of the humps."),
    unit="dB", tolerance=Tolerance("The figure shows a tenth of a decibel, so that is allowed.",
                                   absolute=0.1), digits=3,
    misconceptions=(
        Misconception("power", lambda n: _dip(n) / 2,
                      "That is ten times the logarithm: of a ratio of voltages it is twenty times."),
        Misconception("coupling", lambda n: 20 * math.log10(n["index"]),
                      "That is the coupling itself in decibels: the dip follows a curve of its own."),
        Misconception("doubled", lambda n: 2 * _dip(n),
                      "That counts both circuits apart: the formula holds both already."),
    ),
)


def _answer_humps(n):
    """What brings two humps back to one without losing width: by trying each."""
    start = CoupledPair(455e3, 100.0, 100.0, 0.02)
    tried = {
        "apart": CoupledPair(455e3, 100.0, 100.0, 0.01),
        "nearer": CoupledPair(455e3, 100.0, 100.0, 0.04),
        "damp": CoupledPair(455e3, 50.0, 50.0, 0.02),
    }
    return max((key for key, pair in tried.items() if not pair.hump),
               key=lambda key: tried[key].bandwidth() / start.bandwidth())


HUMPS = Question(
    key="coils.humps",
    lesson=LESSON,
    prompt=lambda n: "Two circuits are over-coupled by two times: a dip in the middle, humps at the "
                     "sides. You want one flat top and about the width you have. What do you do?",
    draw=lambda rng, plan: {},
    answer=_answer_humps,
    working=lambda n: [
        "Moving the coils apart gives one top, but the pair becomes much narrower.",
        "A resistor across each circuit halves Q, so that the coupling you have is critical.",
        "The top is flat and the width nearly kept; what is lost is gain.",
    ],
    hints=("Two things decide whether there are humps: coupling and Q.",
           "Which of them would also change the width?"),
    options=(
        Option("apart", "Move the coils apart until the dip is gone",
               "The dip goes, but so does nearly half of the width: read it off the figure."),
        Option("nearer", "Move the coils nearer to each other",
               "That pushes the humps further apart and makes the dip deeper."),
        Option("damp", "Put a resistor across each circuit",
               "It costs gain, but think what it does to the critical coupling."),
    ),
)

PAIR_QUESTIONS = (CRITICAL, DIP, HUMPS)
"""The questions of this module, in the order of the lesson."""

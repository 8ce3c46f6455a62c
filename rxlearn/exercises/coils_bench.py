"""Questions on coils, continued: what the hand does."""

from __future__ import annotations

from rxlearn.compute.coils import Coil, length_wanted
from rxlearn.compute.wire import wire_called
from rxlearn.exercises.coils_predictions import LESSON
from rxlearn.exercises.questions import Option, Question

MM = 1e-3


def _spread(n):
    """What to do with a coil that measures four percent too much: by trying each."""
    coil = Coil(turns=11.0, former=20 * MM, length=15 * MM, wire=wire_called("0.8 mm"))
    wanted = coil.inductance / 1.04
    tried = {
        "squeeze": Coil(turns=11.0, former=20 * MM, length=13 * MM, wire=coil.wire),
        "spread": length_wanted(coil, wanted),
        "turn_off": Coil(turns=10.0, former=20 * MM, length=15 * 10 / 11 * MM, wire=coil.wire),
    }
    return min(tried, key=lambda key: abs(tried[key].inductance / wanted - 1))


TRIM = Question(
    key="coils.trim",
    lesson=LESSON,
    prompt=lambda n: "Your air coil of 11 turns is done and measures 4 % too much inductance. "
                     "What do you do?",
    draw=lambda rng, plan: {},
    answer=_spread,
    working=lambda n: [
        "A whole turn of eleven is worth about 15 % of the inductance, so that is too much.",
        "Spread turns see less of each other's field: the coil becomes longer, the inductance less.",
        "Spread the end turns a little, measure again, and fix them with a drop of low-loss varnish.",
    ],
    hints=("How many percent is one turn worth, if the inductance goes with their square?",
           "Does a longer coil of the same turns have more or less?"),
    options=(
        Option("squeeze", "Squeeze the turns together",
               "Turns that are closer see more of each other's field: the inductance rises."),
        Option("spread", "Spread the turns at the ends a little",
               "A longer coil of the same turns has less inductance, as fine as you like."),
        Option("turn_off", "Take one turn off",
               "One turn is worth some 15 % here: that is four times too much."),
    ),
)

_ORDERS = {
    "wind_first": ("wind", "measure the former", "cut", "measure the coil", "spread and fix"),
    "right": ("measure the former", "cut", "wind", "measure the coil", "spread and fix"),
    "fix_first": ("measure the former", "cut", "wind", "spread and fix", "measure the coil"),
}


def _order(n):
    """The order in which every step has what it needs: found from what each step asks for."""
    needs = {"cut": "measure the former", "wind": "cut", "measure the coil": "wind",
             "spread and fix": "measure the coil"}
    return next(key for key, steps in _ORDERS.items()
                if all(steps.index(before) < steps.index(step) for step, before in needs.items()))


def _words(key):
    return "; ".join(_ORDERS[key]).capitalize()


ORDER = Question(
    key="coils.order",
    lesson=LESSON,
    prompt=lambda n: "In which order do you make an air coil that is to be right at the end?",
    draw=lambda rng, plan: {},
    answer=_order,
    working=lambda n: [
        "The former's diameter decides turns and wire, so it is measured before anything is cut.",
        "A fixed winding cannot be spread, so the coil is measured before it is fixed.",
        f"So: {_words(_order(n)).lower()}.",
    ],
    hints=("What must be known before the wire is cut?", "What cannot be undone?"),
    options=(
        Option("wind_first", _words("wind_first"),
               "The former decides the turns: what is wound before it is measured is wound twice."),
        Option("right", _words("right"),
               "Each step has what it needs."),
        Option("fix_first", _words("fix_first"),
               "Once it is varnished the turns no longer move: measure it before."),
    ),
)


def _draw_meter(rng, plan):
    return {}


def _meter(n):
    """Which way a coil's reading goes near its self-resonance: apparent over true inductance."""
    share = 0.5  # of the self-resonant frequency
    return "more" if 1 / (1 - share**2) > 1 else "less"


METER = Question(
    key="coils.meter",
    lesson=LESSON,
    prompt=lambda n: "A coil is measured at half of its own self-resonant frequency. What does the "
                     "meter read?",
    draw=_draw_meter,
    answer=_meter,
    working=lambda n: [
        "The coil's own capacitance lies across it and takes part of the current away.",
        "What the meter takes for inductance is L / (1 - (f/f₀)²), with f₀ its self-resonance: "
        f"{1 / (1 - 0.5**2):.3g} times the truth here.",
        "So it reads more than there is. Measure far below, and count that capacitance into the "
        "tank instead.",
    ],
    hints=("A capacitance lies across the coil. Which sign has its current?",
           "At self-resonance the meter would read without end."),
    options=(
        Option("less", "Less than the coil has",
               "The capacitance's current is opposite, so less current flows and more is read."),
        Option("same", "What the coil has",
               "That holds far below the self-resonance only, below a tenth of it."),
        Option("more", "More than the coil has",
               "The own capacitance makes a coil look larger as its resonance comes near."),
    ),
)

BENCH_QUESTIONS = (TRIM, ORDER, METER)
"""The questions of this module, in the order of the lesson."""

"""Questions of choice on parts: what stops the build, what to order first, two electrolytics."""

from __future__ import annotations

from dataclasses import replace

from rxlearn.exercises.parts_predictions import LESSON
from rxlearn.exercises.questions import Option, Question
from rxlearn.plan.document import Plan
from rxlearn.plan.parts import parts_of
from rxlearn.plan.parts_substitutes import obstacles


def _nothing(rng, plan):
    return {}


_KINDS = {"choke": "choke", "variable": "variable capacitor", "transformer": "mains transformer",
          "bypass": "capacitor"}
"""Option to the kind of part that it speaks of."""


def _stops(n) -> str:
    """Which of the four is an obstacle in the demo while nothing is at hand."""
    plan = Plan.demo()
    missing = tuple(replace(part, have=False) for part in parts_of(plan))
    kinds = {found.part.kind for found in obstacles(plan, missing)}
    return next(key for key, kind in _KINDS.items() if kind in kinds)


STOPS = Question(
    key="parts.stops",
    lesson=LESSON,
    prompt=lambda n: "The demo receiver's drawer is empty. Which of these missing parts stops its build, "
                     "as long as nothing else is changed?",
    draw=_nothing,
    answer=_stops,
    working=lambda n: [
        "A part stops the build if it is hard to find and nothing serves in its place.",
        "A choke gives way to a resistor, a variable to a larger one, a bypass lies on every counter. "
        "For the mains transformer nothing that is worked out gives enough.",
    ],
    hints=("Two of the four have a substitute; look at the list.",
           "One of them is easily bought, however many you need."),
    options=(
        Option("choke", "The filter choke",
               "It is hard to find, but a resistor and more capacitance serve: the list shows the sum."),
        Option("variable", "The tuning capacitor",
               "It is no longer made, but a larger one with a capacitor in series has the same ends."),
        Option("transformer", "The mains transformer", "It is the one."),
        Option("bypass", "The bypass capacitors",
               "There are many of them, but every counter has them in every preferred value."),
    ),
)

FIRST = Question(
    key="parts.order",
    lesson=LESSON,
    prompt=lambda n: "The list is ready, nothing is bought yet. In which order do you go about it?",
    draw=_nothing,
    answer=lambda n: "hard",
    working=lambda n: [
        "What cannot be had may change the plan, and with the plan the list changes.",
        "So first find what stops the build, then what decides values: crystals and the variable "
        "capacitor. Order what every counter has last.",
    ],
    hints=("Which part, if you get another one, changes the values of the rest?",),
    options=(
        Option("cheap", "The cheap and easy ones first, the rest when money is there.",
               "If the transformer or the crystals turn out different, much of what you bought is of "
               "the wrong value."),
        Option("hard", "What stops the build, then what decides values, then what every counter has.",
               "That is the order."),
        Option("stages", "Stage by stage, from the aerial on.",
               "That is an order to build in; to buy in that order means to wait long for the last."),
        Option("all", "All at once, so that postage is paid only once.",
               "One letter more costs less than a drawer full of parts for a plan that has changed."),
    ),
)

SERIES = Question(
    key="parts.two_in_series",
    lesson=LESSON,
    prompt=lambda n: "Two alike electrolytics in series stand in for one of a higher rating. What else "
                     "must be there, and what do they give?",
    draw=_nothing,
    answer=lambda n: "half",
    working=lambda n: [
        "In series the same charge sits on both, so half the capacitance is left.",
        "Their leakages differ, and the one that leaks less takes more than its half: a resistor "
        "across each holds the halves together.",
    ],
    hints=("What decides how the voltage is shared when no current but leakage flows?",),
    options=(
        Option("half", "Half the capacitance of one, and a resistor across each.",
               "That is it."),
        Option("bare", "Half the capacitance of one, and nothing else: equal parts share equally.",
               "They share by their leakage, which is never equal: one would take too much, and fail."),
        Option("same", "The capacitance of one, and a resistor across each.",
               "In series capacitances go like resistances in parallel: half is left."),
        Option("double", "Twice the capacitance, and a resistor across each.",
               "That would be two in parallel, which then have the rating of one."),
    ),
)

SAVES = Question(
    key="parts.only_new",
    lesson=LESSON,
    prompt=lambda n: "Money is short. On which of these lines do you save nothing, and take nothing old?",
    draw=_nothing,
    answer=lambda n: "cord",
    working=lambda n: [
        "A worn cord, a switch that arcs or a fuse of the wrong kind makes the whole set a danger.",
        "Cord, plug, fuse and switch are bought new, with the mark of your country's approval.",
    ],
    hints=("Where does a fault reach a hand, or set fire to the house?",),
    options=(
        Option("valves", "Valves",
               "Used ones often work for years; a tester or another set tells."),
        Option("variable", "The variable capacitor",
               "Old ones are the usual source: clean the bearings and look for plates that touch."),
        Option("cord", "Mains cord, plug, fuse and switch", "That is it."),
        Option("speaker", "The loudspeaker",
               "One from a discarded set does very well; measure its impedance first."),
    ),
)

CHOICES = (STOPS, FIRST, SERIES, SAVES)
"""In the order of the lesson."""

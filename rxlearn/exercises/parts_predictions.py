"""Predictions on parts: the nearest value, a hotter resistor, a resistor in the choke's place."""

from __future__ import annotations

from rxlearn.compute.filter_choice import resistor_for_choke
from rxlearn.compute.part_ratings import rate_resistor, widest_miss
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Tolerance
from rxlearn.plan.document import Plan
from rxlearn.plan.power_supply import supply_of

LESSON = "parts_and_budget"

_OHMS, _MILLIAMPERES = 1000.0, 15.0
"""A resistor whose heat, with the margin, just fits half a watt."""


def _rating(times: float) -> float:
    return rate_resistor(_OHMS, times * _MILLIAMPERES * 1e-3).rating


def _ripple_ratio() -> float:
    """Ripple over that with the choke, in the demo: a resistor as large as the choke's winding."""
    plan = Plan.demo()
    return resistor_for_choke(supply_of(plan), plan.value("supply.choke_resistance")).ripple_ratio


def _ripple() -> str:
    ratio = _ripple_ratio()
    return "same" if ratio < 1.5 else "twice" if ratio < 3 else "many"


PREDICTIONS = (
    Prediction(
        key="parts.predict_miss",
        lesson=LESSON,
        prompt="E12 has twelve values in each decade. How far, at most, can the value that you want "
               "lie from the nearest one, in per cent?",
        unit="%",
        digits=2,
        truth=lambda: 100 * widest_miss("E12"),
        near=Tolerance("A guess within a quarter is a good one.", relative=0.25),
        because=lambda: f"The widest step goes from 1.2 to 1.5, a quarter up; halfway along it, in "
                        f"ratio, you are {100 * widest_miss('E12'):.2g} % away. That is about the "
                        "10 % for which the series was made.",
    ),
    Prediction(
        key="parts.predict_rating",
        lesson=LESSON,
        prompt="A resistor of 1 kΩ carries 15 mA, and a 0.5 W part is right with its margin of two. "
               "Another valve draws twice as much. Which part do you buy now?",
        options=(("0.5", "0.5 W: the margin covers it."), ("1", "1 W."), ("2", "2 W.")),
        truth=lambda: f"{_rating(2.0):g}",
        because=lambda: "Heat goes with the square: twice the current is four times the heat, "
                        f"{_heat(2.0):.2g} W, and twice that, {2 * _heat(2.0):.2g} W, must fit.",
    ),
    Prediction(
        key="parts.predict_resistor",
        lesson=LESSON,
        prompt="In the demo's supply a resistor with the same resistance as the choke's winding takes "
               "the choke's place. All else stays. How much ripple reaches the load?",
        options=(("same", "About the same."), ("twice", "About twice as much."),
                 ("many", "Many times as much.")),
        truth=_ripple,
        because=lambda: f"About {_ripple_ratio():.2g} times as much: what held the ripple back was the "
                        "choke's reactance, and the resistor has none.",
    ),
)


def _heat(times: float) -> float:
    return rate_resistor(_OHMS, times * _MILLIAMPERES * 1e-3).power

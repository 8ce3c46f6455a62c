"""Predictions on the power supply: what it does without a load, with a choke first, and in time.

The truth comes from the demo supply.  No prompt names a voltage.
"""

from __future__ import annotations

from dataclasses import replace

from rxlearn.compute.audio_matching import turns_ratio
from rxlearn.compute.choke_input import choke_first
from rxlearn.compute.first_seconds import first_seconds
from rxlearn.compute.power_supply import demonstration_supply, highest_voltage, solve
from rxlearn.compute.supply_parts import Load, Supply
from rxlearn.compute.supply_ratings import check_ratings
from rxlearn.compute.supply_switch_off import switch_off
from rxlearn.exercises.power_supply_safety import LESSON
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Tolerance
from rxlearn.exercises.wording import number

MOVED = 0.03
"""A voltage that moves by less than this part of itself counts as staying (a choice)."""


def _unloaded(supply: Supply) -> Supply:
    return replace(supply, load=Load(), bleeder=None)


def _rise(supply: Supply) -> float:
    """By which part of itself the output rises when the load is taken off, bleeder left on."""
    return solve(replace(supply, load=Load())).output_voltage / solve(supply).output_voltage - 1


def _no_load() -> str:
    rise = _rise(demonstration_supply())
    return "stays" if abs(rise) < MOVED else ("rises" if rise > 0 else "falls")


def _choke() -> str:
    """What becomes of choke input without load and bleeder: the average kept, or the peak."""
    supply = choke_first(demonstration_supply())
    peak = solve(_unloaded(supply)).output_voltage
    if abs(peak / highest_voltage(supply) - 1) < MOVED:
        return "peak"
    return "average" if abs(_rise(supply)) < MOVED else "zero"


def _highest() -> str:
    """When the demo supply's first capacitor bears most, silicon rectifiers fitted."""
    course = first_seconds(demonstration_supply()).course
    at = course.peak_voltage_times[0]
    return "cold" if at < course.load_warm_up else "warm"


def _left() -> str:
    """What ten minutes leave of the charge when the bleeder has failed open."""
    found = switch_off(demonstration_supply(), bleeder_works=False, duration=600.0)
    part = float(found.voltages[-1][-1]) / found.start[-1]
    return "gone" if part < 0.1 else ("half" if part < 0.9 else "all")


def _culprit() -> str:
    """Which parts of the demo supply are beyond a rating at high mains."""
    findings = check_ratings(solve(demonstration_supply()))
    parts = {finding.part for finding in findings if finding.exceeded}
    if any(part.startswith("capacitor") for part in parts):
        return "capacitor"
    return "heat" if parts else "none"


PREDICTIONS = (
    Prediction(
        key="supply.predict_no_load",
        lesson=LESSON,
        prompt="The receiver draws its current. Now the valves are pulled out, and only the bleeder is "
               "left. What does the direct voltage do?",
        options=(("rises", "It rises."), ("stays", "It stays."), ("falls", "It falls.")),
        truth=_no_load,
        because=lambda: f"It rises by {100 * _rise(demonstration_supply()):.0f} % in the demo supply: "
                        "winding, rectifier and choke no longer drop anything.",
    ),
    Prediction(
        key="supply.predict_choke",
        lesson=LESSON,
        prompt="With the choke first, the output is the average of the wave. What is it when nothing "
               "at all draws current, no bleeder either?",
        options=(("average", "The average, as before."), ("peak", "The peak."), ("zero", "Nothing.")),
        truth=_choke,
        because=lambda: "Without current the choke does nothing, and each peak tops the capacitor "
                        "up.",
    ),
    Prediction(
        key="supply.predict_switch_on",
        lesson=LESSON,
        prompt="Silicon rectifiers. You switch on and wait until the set plays. When is the voltage on "
               "the first capacitor highest?",
        options=(("cold", "In the first seconds, with all valves cold."),
                 ("warm", "When the set plays."), ("off", "At the moment of switching off.")),
        truth=_highest,
        because=lambda: "Cold valves draw nothing, so nothing drops any voltage: it is highest when "
                        "nothing seems to have happened yet.",
    ),
    Prediction(
        key="supply.predict_switch_off",
        lesson=LESSON,
        prompt="The bleeder has failed open, and nobody knows. The plug has been out for ten minutes. "
               "How much of the voltage is left, as far as the circuit goes?",
        options=(("gone", "Next to none."), ("half", "About half."), ("all", "All of it.")),
        truth=_left,
        because=lambda: "Nothing conducts. Real capacitors leak a little, and nobody may count on "
                        "that: discharge and measure.",
    ),
    Prediction(
        key="supply.predict_ratings",
        lesson=LESSON,
        prompt="The demo supply has capacitors well above the winding's peak. Which of its parts is "
               "beyond its rating at high mains?",
        options=(("capacitor", "A capacitor."), ("heat", "One that gets too hot."),
                 ("none", "None.")),
        truth=_culprit,
        because=lambda: "A winding is heated by the r.m.s. value of its short, tall pulses, and a "
                        "bleeder by the square of the highest voltage: neither shows in the direct "
                        "current.",
    ),
    Prediction(
        key="supply.predict_matching",
        lesson=LESSON,
        prompt="An output valve wants 5 kΩ, the loudspeaker has 8 Ω. How many primary turns to one "
               "secondary turn?",
        unit="",
        truth=lambda: turns_ratio(5000.0, 8.0),
        near=Tolerance("A guess within a tenth is a good one.", relative=0.1),
        because=lambda: f"The impedances are as {number(5000 / 8)} to 1; the turns go with the "
                        "root of that.",
    ),
)

"""Live figures on parts: preferred values, a resistor's heat, a resistor in the choke's place."""

from __future__ import annotations

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.filter_choice import FilterChoice, resistor_for_choke
from rxlearn.compute.part_ratings import (
    HeatedResistor,
    PreferredChoice,
    choose_preferred,
    heat_resistor,
)
from rxlearn.compute.power_supply import highest_voltage
from rxlearn.compute.quantities import Unclear, show
from rxlearn.figures.filter_choice import FilterChoiceFigure
from rxlearn.figures.preferred_parts import PreferredPartsFigure
from rxlearn.figures.resistor_heat import MOST_TIMES, ResistorHeatFigure
from rxlearn.plan.document import Plan
from rxlearn.plan.parts import hot_resistors
from rxlearn.plan.parts_substitutes import RIPPLE_ALLOWED
from rxlearn.plan.power_supply import supply_of

DECADE = 10e-12
"""Where the decade of the first figure begins, F."""

MOST_CHOICES = 8
"""So many of the plan's resistors are offered, the hottest first."""

LEAST_RESISTOR, MOST_RESISTOR = 20.0, 2000.0
LEAST_FILTER, MOST_FILTER = 10e-6, 470e-6
MOST_LOAD = 0.1
"""Ends of the knobs: filter resistor (Ω), last capacitor (F), load (A)."""


def preferred_parts() -> LiveBench:
    """Look for a value on the counter: one part of a series, or two that add up."""
    plan = the_desk().plan()
    wanted = next((value for key in ("band_spread.parallel", "recentring.capacitance",
                                     "band_spread.series")
                   if DECADE <= (value := plan.value(key)) <= 10 * DECADE), 37e-12)

    def compute(wanted: float, series: str, number: str) -> PreferredChoice:
        return choose_preferred(wanted, series, two=number == "two")

    return live(
        "Values that a counter sells",
        [
            Knob(key="wanted", label="Capacitance wanted", unit="F", low=DECADE, high=100e-12,
                 start=wanted, fine=0.1e-12, coarse=1e-12, prefix="p", decimals=1),
            Choice(key="series", label="Series", start="E12",
                   options={"E6": "E6: six values", "E12": "E12: twelve", "E24": "E24: twenty-four"}),
            Choice(key="number", label="Take", start="one",
                   options={"one": "one part", "two": "two in parallel"}),
        ],
        compute, lambda: PreferredPartsFigure(DECADE), predict="parts.predict_miss",
    )


def resistor_heat() -> LiveBench:
    """See how the heat in the plan's own resistors goes with the current, and what rating it asks."""
    plan, note = _plan_with_resistors()
    resistors = {str(place): use for place, use in enumerate(hot_resistors(plan)[:MOST_CHOICES])}
    names = {key: f"{use.where}, {show(use.amount, 'Ω')}" for key, use in resistors.items()}

    def compute(which: str, times: float) -> HeatedResistor:
        use = resistors[which]
        name = f"{use.where[0].upper()}{use.where[1:]}"
        return heat_resistor(name, use.amount, use.current, times)

    return live(
        "Heat in a resistor",
        [
            Choice(key="which", label="Resistor", start="0", options=names),
            Knob(key="times", label="Current over what is planned", unit="", low=0.0, high=MOST_TIMES,
                 start=1.0, fine=0.05, coarse=0.25, decimals=2),
        ],
        compute, lambda: ResistorHeatFigure(note), predict="parts.predict_rating",
    )


def choke_or_resistor() -> LiveBench:
    """Put a resistor in the place of the plan's choke, and see what it costs."""
    supply, note = _supply()

    def compute(resistor: float, capacitor: float, load: float) -> FilterChoice:
        return resistor_for_choke(supply, resistor, capacitance=capacitor, load=load)

    last = supply.sections[-1].capacitance
    return live(
        "Choke or resistor",
        [
            Knob(key="resistor", label="Filter resistor", unit="Ω", low=LEAST_RESISTOR,
                 high=MOST_RESISTOR, start=120.0, fine=10.0, coarse=100.0),
            Knob(key="capacitor", label="Capacitor after the resistor", unit="F", low=LEAST_FILTER,
                 high=MOST_FILTER, start=min(max(last, LEAST_FILTER), MOST_FILTER), fine=1e-6,
                 coarse=10e-6, prefix="µ"),
            Knob(key="load", label="Load, bleeder left out", unit="A", low=0.0, high=MOST_LOAD,
                 start=min(supply.load.current, MOST_LOAD), fine=0.5e-3, coarse=5e-3, prefix="m",
                 decimals=1),
        ],
        compute,
        lambda: FilterChoiceFigure(highest_voltage(supply, 1.1), RIPPLE_ALLOWED, note),
        predict="parts.predict_resistor", gated=True,
    )


def _plan_with_resistors() -> tuple[Plan, str]:
    plan = the_desk().plan()
    try:
        if hot_resistors(plan):
            return plan, ""
        reason = "Your plan has no resistor with a current in it."
    except Unclear as fault:
        reason = f"Your plan's circuits cannot be worked out. {fault}"
    return Plan.demo(), f"{reason} The demo receiver stands in."


def _supply():
    """The plan's supply if it can give its load; else the demo's, and why."""
    supply = None
    try:
        supply = supply_of(the_desk().plan())
        resistor_for_choke(supply, LEAST_RESISTOR)
    except Unclear as reason:
        return supply_of(Plan.demo()), (
            f"Your plan's supply cannot work. {reason} The demo receiver stands in.")
    return supply, ""

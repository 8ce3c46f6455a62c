"""Live figures on the power supply.  Each names high voltages, so each waits for the safety list."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.choke_input import (
    InputCompared,
    choke_first,
    critical_load,
    load_curve,
    with_choke,
)
from rxlearn.compute.first_seconds import COURSE, SURGE, FirstSeconds, first_seconds
from rxlearn.compute.power_supply import highest_voltage, solve
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.supply_parts import CHOKE_INPUT, FULL_WAVE, HALF_WAVE, Load, Supply
from rxlearn.compute.supply_ratings import Finding, check_ratings, first_surge
from rxlearn.compute.supply_result import SupplyResult
from rxlearn.compute.supply_switch_off import SwitchOff, switch_off
from rxlearn.data.cautions import THRESHOLDS
from rxlearn.figures.choke_input import ChokeInputFigure
from rxlearn.figures.supply_ratings import SupplyRatingsFigure
from rxlearn.figures.supply_waveforms import SupplyWaveformsFigure
from rxlearn.figures.switching_off import SwitchingOffFigure
from rxlearn.figures.switching_on import SwitchingOnFigure
from rxlearn.plan.document import Plan
from rxlearn.plan.fields import FIELDS
from rxlearn.plan.power_supply import supply_of

RECTIFIERS = {"silicon": "silicon", "6X4": "valve 6X4, indirectly heated",
              "5Y3-GT": "valve 5Y3-GT, directly heated"}
"""Rectifiers to compare, by the plan's key."""

MOST_LOAD = 0.1
LEAST_FIRST, MOST_FIRST = 2e-6, 100e-6
LEAST_CHOKE, MOST_CHOKE = 1.0, 30.0
LEAST_BLEEDER, MOST_BLEEDER = 5e3, 500e3
"""Ends of the knobs: load (A), first capacitor (F), choke (H), bleeder (Ω)."""

HIGH_MAINS = 1.1
"""Mains a tenth high, as a ratio."""

WATCHED = 30.0
"""Seconds after the plug is out that the figure shows."""


def supply_waveforms() -> LiveBench:
    """See the steady state of your plan's supply, with the rules of thumb beside it."""
    plan, whose, why = _plan(solve, first=True)

    def compute(rectifier: str, connection: str, load: float, first: float) -> SupplyResult:
        return solve(supply_of(plan, rectifier=rectifier, arrangement=connection, load=load,
                               first=first))

    def figure() -> SupplyWaveformsFigure:
        hardest = supply_of(plan, rectifier="silicon", arrangement="half wave", load=MOST_LOAD,
                            first=MOST_FIRST)
        found = _first_that_works(hardest, _capacitor_first(plan))
        return SupplyWaveformsFigure(
            volts=1.12 * highest_voltage(hardest), amperes=1.1 * found.elements[0].peak,
            period=1 / hardest.transformer.frequency)

    connections = dict(FIELDS["supply.connection"].choices)
    return live(
        "What a supply gives" + whose,
        [
            _rectifier(plan),
            Choice(key="connection", label="Connection", options=connections,
                   start=plan.value("supply.connection")),
            _load(plan), _first(plan),
        ],
        compute, figure, predict="supply.predict_no_load", gated=True, note=why,
    )


def choke_input() -> LiveBench:
    """See what happens when the choke comes first, and when its current stops."""
    plan, whose, why = _plan(lambda supply: solve(choke_first(supply)))
    planned = _capacitor_first(plan)
    if planned.arrangement == HALF_WAVE:  # no choke keeps the current of half wave flowing
        planned = replace(planned, arrangement=FULL_WAVE)
    curves = _Curves(planned)

    def compute(load: float, choke: float, bleeder: float) -> InputCompared:
        supply = replace(with_choke(planned, choke), bleeder=bleeder)
        first = replace(choke_first(supply), load=Load(load))
        return InputCompared(solve(first), *curves.at(choke, bleeder), critical_load(first))

    def figure() -> ChokeInputFigure:
        hardest = choke_first(replace(
            with_choke(planned, LEAST_CHOKE), load=Load(MOST_LOAD), bleeder=LEAST_BLEEDER))
        found = _first_that_works(hardest, choke_first(planned))
        return ChokeInputFigure(
            volts=1.1 * highest_voltage(planned), load=MOST_LOAD,
            amperes=1.1 * found.branches[0].highest,
            period=1 / planned.transformer.frequency)

    return live("Choke first" + whose, [_load(plan), _choke(plan), _bleeder(plan)], compute, figure,
                predict="supply.predict_choke", gated=True, note=why)


class _Curves:
    """Both curves over the load, computed anew only where choke or bleeder change."""

    def __init__(self, planned: Supply) -> None:
        self._planned = planned
        self._last: tuple[tuple[float, float], tuple] | None = None

    def at(self, choke: float, bleeder: float) -> tuple:
        """Loads (A), volts with the choke first, volts with the capacitor first."""
        key = choke, bleeder
        if self._last is None or self._last[0] != key:
            supply = replace(with_choke(self._planned, choke), bleeder=bleeder)
            loads, volts = load_curve(choke_first(supply), MOST_LOAD)
            self._last = key, (loads, volts, load_curve(supply, MOST_LOAD)[1])
        return self._last[1]


def switching_on() -> LiveBench:
    """See the surge, and the voltage before the valves are warm."""
    plan, whose, why = _plan(solve, first=True)
    rating = plan.value("supply.first_rating")

    def compute(rectifier: str, mains: float, first: float, series: float) -> FirstSeconds:
        supply = replace(supply_of(plan, rectifier=rectifier, first=first), series_resistance=series)
        return first_seconds(supply, mains=mains / 100)

    def figure() -> SwitchingOnFigure:
        bare = replace(_capacitor_first(plan, rectifier="silicon"), series_resistance=0.0)
        highest = highest_voltage(bare, HIGH_MAINS)
        return SwitchingOnFigure(
            volts=1.15 * max(highest, rating), amperes=1.1 * first_surge(bare), surge=SURGE,
            seconds=COURSE, rating=rating)

    return live(
        "The first seconds" + whose,
        [
            _rectifier(plan), _first(plan),
            Knob(key="mains", label="Mains, of nominal", unit="%", low=90, high=110, start=100, fine=1,
                 coarse=5),
            Knob(key="series", label="Resistor in each rectifier lead", unit="Ω", low=0, high=500,
                 start=_within(plan.value("supply.series_resistance"), 0, 500), fine=5, coarse=50),
        ],
        compute, figure, predict="supply.predict_switch_on", gated=True, note=why,
    )


def switching_off() -> LiveBench:
    """See what the capacitors still hold when the plug is out, and with the bleeder open."""
    plan, whose, why = _plan(switch_off, first=True)
    planned = _capacitor_first(plan)

    def compute(state: str, bleeder: float, first: float, threshold: str) -> SwitchOff:
        supply = replace(supply_of(plan, first=first), bleeder=bleeder)
        return switch_off(supply, threshold=THRESHOLDS[threshold].volts,
                          bleeder_works=state == "sound", duration=WATCHED)

    return live(
        "The last seconds" + whose,
        [
            Choice(key="state", label="The bleeder is", start="sound",
                   options={"sound": "sound", "open": "failed open"}),
            _bleeder(plan), _first(plan),
            Choice(key="threshold", label="Count down to", start="guarding",
                   options={key: row.name for key, row in THRESHOLDS.items()}),
        ],
        compute,
        lambda: SwitchingOffFigure(volts=1.08 * highest_voltage(planned, HIGH_MAINS),
                                   seconds=WATCHED),
        predict="supply.predict_switch_off", gated=True, note=why,
    )


def supply_ratings() -> LiveBench:
    """See how much of each rating is used in the supply's worst hour."""
    plan, whose, why = _plan(solve)

    def compute(rectifier: str, load: float, bleeder: float, rating: float) -> tuple[Finding, ...]:
        supply = supply_of(plan, rectifier=rectifier, load=load)
        sections = tuple(replace(section, rated_voltage=rating) for section in supply.sections)
        supply = replace(supply, sections=sections, bleeder=bleeder)
        return check_ratings(solve(supply, mains=HIGH_MAINS))

    return live(
        "Which part is beyond its rating?" + whose,
        [
            _rectifier(plan), _load(plan), _bleeder(plan),
            Knob(key="rating", label="Rating of the capacitors", unit="V", low=100, high=600,
                 start=_within(plan.value("supply.first_rating"), 100, 600), fine=10, coarse=50),
        ],
        compute, SupplyRatingsFigure, predict="supply.predict_ratings", gated=True, note=why,
    )


def _capacitor_first(plan: Plan, rectifier: str | None = None) -> Supply:
    """The plan's supply with its first capacitor, even where the plan has the choke first."""
    return supply_of(plan, rectifier=rectifier, first=plan.value("supply.first_capacitor"))


def _plan(needed: Callable[[Supply], object], *, first: bool = False) -> tuple[Plan, str, str]:
    """The plan, or the demo where ``needed`` cannot be worked out of its supply.

    Words for the title and the reason come with it; both are empty where the plan can be used.
    ``first``: the figure has a knob for the first capacitor, which a plan may not have.
    """
    plan = the_desk().plan()
    try:
        supply_of(plan)
        for rectifier in (None, "silicon"):
            needed(_capacitor_first(plan, rectifier) if first else supply_of(plan, rectifier=rectifier))
    except Unclear as reason:
        return (Plan.demo(), " (the demo supply: yours cannot work as planned)",
                f"Your plan's supply cannot work. {reason} The demo supply stands in.")
    if first and plan.value("supply.input") == CHOKE_INPUT:
        return plan, "", ("Your plan has the choke first; this figure puts a capacitor before it, to "
                          "be set below.")
    return plan, "", ""


def _first_that_works(*supplies: Supply) -> SupplyResult:
    """The steady state of the first of ``supplies`` that gives what is drawn; the last must."""
    for supply in supplies[:-1]:
        try:
            return solve(supply)
        except Unclear:
            continue
    return solve(supplies[-1])


def _rectifier(plan: Plan) -> Choice:
    planned = plan.value("supply.rectifier")
    return Choice(key="rectifier", label="Rectifier", options=RECTIFIERS,
                  start=planned if planned in RECTIFIERS else "silicon")


def _load(plan: Plan) -> Knob:
    return Knob(key="load", label="Load, bleeder left out", unit="A", low=0.0, high=MOST_LOAD,
                start=_within(plan.value("supply.load"), 0.0, MOST_LOAD), fine=1e-3, coarse=10e-3,
                prefix="m")


def _first(plan: Plan) -> Knob:
    return Knob(key="first", label="First capacitor", unit="F", low=LEAST_FIRST, high=MOST_FIRST,
                start=_within(plan.value("supply.first_capacitor"), LEAST_FIRST, MOST_FIRST),
                fine=1e-6, coarse=10e-6, prefix="µ")


def _choke(plan: Plan) -> Knob:
    return Knob(key="choke", label="Choke", unit="H", low=LEAST_CHOKE, high=MOST_CHOKE,
                start=_within(plan.value("supply.choke"), LEAST_CHOKE, MOST_CHOKE), fine=0.5,
                coarse=2.0, decimals=1)


def _bleeder(plan: Plan) -> Knob:
    return Knob(key="bleeder", label="Bleeder", unit="Ω", low=LEAST_BLEEDER, high=MOST_BLEEDER,
                start=_within(plan.value("supply.bleeder"), LEAST_BLEEDER, MOST_BLEEDER), fine=1e3,
                coarse=10e3, prefix="k")


def _within(value: float, low: float, high: float) -> float:
    """``value`` where it lies between the ends, else the nearer end."""
    return min(high, max(low, value))

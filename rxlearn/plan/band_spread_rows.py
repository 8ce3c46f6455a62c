"""What follows from a plan for the dial: networks, parts, rates and drift, worded.

Each row takes the plan and returns a text, or a value in SI with its unit;
it raises Unclear with the reason where there is no answer.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from rxlearn.compute.band_spread import Coverage, Network, cover, series_for_swing
from rxlearn.compute.dial import HAND_STEP
from rxlearn.compute.drift import (
    Capacitor,
    Drift,
    compensating_share,
    decode_class_one,
    drift,
)
from rxlearn.compute.quantities import Unclear, show, show_span
from rxlearn.compute.simple_set import SETTING_NEEDED
from rxlearn.plan.band_spread import (
    OTHER,
    band_of,
    bought,
    drive_of,
    fitted,
    narrow_band,
    solved,
    variable_of,
)
from rxlearn.plan.document import Plan

PlanRow = Callable[[Plan], str | tuple[float, str]]


def _swing(plan: Plan) -> str:
    variable, planned = variable_of(plan), plan.value("oscillator.capacitance_swing")
    has = show(variable.swing, "F", digits=4)
    if abs(variable.swing - planned) <= 0.01 * planned:
        return f"{has}, as planned"
    if variable.swing < planned:
        raise Unclear(
            f"It has {has} where {show(planned, 'F')} is planned: take a larger capacitor, or plan "
            "with this swing, which asks for a larger coil."
        )
    series = series_for_swing(variable, planned)
    behind = "" if series is None else f"; {show(series, 'F', digits=3)} in series would leave that"
    return f"{has} where {show(planned, 'F')} is planned{behind}"


def words_for(network: Network) -> str:
    """The series and parallel capacitor of a network in a few words."""
    series = "none" if network.series is None else show(network.series, "F", digits=3)
    return f"{series} in series, {show(network.parallel, 'F', digits=4)} across the tank"


def _capacitors(wider: bool) -> PlanRow:
    return lambda plan: words_for(solved(plan, _band(plan, wider)))


def _band(plan: Plan, wider: bool) -> str:
    return OTHER[narrow_band(plan)] if wider else narrow_band(plan)


def _parts(plan: Plan) -> str:
    found = bought(plan)
    series = found.trimmed.network.series
    first = "no series capacitor" if series is None else f"{show(series, 'F')} in series"
    fixed = f"{show(found.fixed, 'F')} and " if found.fixed else ""
    return f"{first}; {fixed}a trimmer set to {show(found.trimmer, 'F', digits=3)} across the tank"


def _fitted(plan: Plan) -> str:
    if not plan.value("band_spread.series") and not plan.value("band_spread.parallel"):
        return "none fitted yet"
    found, band = cover(fitted(plan)), band_of(plan, narrow_band(plan))
    words = show_span(found.low, found.high, "Hz", digits=7)
    short = [
        f"{show(by, 'Hz', digits=3)} short at the {end} end"
        for end, by in (("low", found.low - band.oscillator_low),
                        ("high", band.oscillator_high - found.high)) if by > 1.0
    ]
    return f"{words}, {' and '.join(short)}" if short else f"{words}, the whole band"


def _solved_dial(plan: Plan, wider: bool) -> Coverage:
    return cover(solved(plan, _band(plan, wider)))


def _turn(wider: bool) -> PlanRow:
    def row(plan: Plan) -> str:
        found = _solved_dial(plan, wider)
        turns = drive_of(plan).turns_for(plan.value("dial.degrees"))
        per_turn = found.span / turns
        division = per_turn / plan.value("dial.divisions")
        return (f"{show(per_turn, 'Hz', digits=4)} on average, {show(division, 'Hz', digits=3)} a "
                "division")
    return row


def _unevenness(plan: Plan) -> str:
    return f"{show(_solved_dial(plan, False).unevenness, '', digits=3)} times"


def _hand(wider: bool) -> PlanRow:
    def row(plan: Plan) -> str:
        fastest = float(_solved_dial(plan, wider).rates.max())
        step = fastest / plan.value("dial.reduction") * HAND_STEP
        needed = SETTING_NEEDED["code"]
        verdict = "fine enough" if step <= needed else f"{step / needed:.1f} times too coarse"
        return (f"{show(step, 'Hz', digits=3)} to a degree of the knob; {verdict} for the "
                f"{show(needed, 'Hz')} that code wants")
    return row


def tank_drift(plan: Plan) -> Drift:
    """The oscillator's drift mid-dial on the wider band, the compensating capacitor included."""
    network = solved(plan, _band(plan, True))
    angle = plan.value("dial.degrees") / 2
    total, fitted_in = float(network.total_at(angle)), plan.value("drift.compensating_capacitance")
    if fitted_in > total:
        raise Unclear(
            f"The compensating capacitor of {show(fitted_in, 'F')} is more than the tank's "
            f"{show(total, 'F', digits=4)} in all: choose a smaller one."
        )
    kind = decode_class_one(plan.value("drift.compensator"))
    return drift(float(network.frequency_at(angle)), plan.value("drift.coil"), [
        Capacitor("rest", total - fitted_in, plan.value("drift.capacitors")),
        Capacitor("compensator", fitted_in, kind.nominal),
    ])


def compensator_wanted(plan: Plan) -> float:
    """Capacitance (F) to make of the plan's compensating kind, so that nothing drifts."""
    network = solved(plan, _band(plan, True))
    total = float(network.total_at(plan.value("dial.degrees") / 2))
    kind = decode_class_one(plan.value("drift.compensator"))
    return total * compensating_share(
        plan.value("drift.coil"), plan.value("drift.capacitors"), kind.nominal)


def _drift(plan: Plan) -> str:
    return f"{show(tank_drift(plan).per_degree, 'Hz', digits=3)} per °C"


BAND_SPREAD_ROWS: Mapping[str, PlanRow] = MappingProxyType({
    "Tuning capacitor, swing": _swing,
    "Wider band, capacitors that make it fill the dial": _capacitors(True),
    "Narrower band, capacitors that make it fill the dial": _capacitors(False),
    "Narrower band, parts to buy": _parts,
    "Narrower band, oscillator with your band-spread capacitors": _fitted,
    "Wider band, one turn of the knob": _turn(True),
    "Narrower band, one turn of the knob": _turn(False),
    "Narrower band, fastest tuning over slowest": _unevenness,
    "Wider band, what a hand can set at worst": _hand(True),
    "Narrower band, what a hand can set at worst": _hand(False),
    "Oscillator, drift": _drift,
    "Compensating capacitor wanted": lambda plan: (compensator_wanted(plan), "F"),
})
"""Label to the row."""

"""The worked example on band spread, recomputed from whatever plan is in use."""

from __future__ import annotations

from collections.abc import Iterator

from rxlearn.compute.band_spread import Network, cover
from rxlearn.compute.dial import HAND_STEP
from rxlearn.compute.quantities import show
from rxlearn.compute.simple_set import SETTING_NEEDED
from rxlearn.plan.band_spread import (
    band_of,
    bought,
    drive_of,
    narrow_band,
    solved,
    variable_of,
)
from rxlearn.plan.band_spread_rows import compensator_wanted, tank_drift
from rxlearn.plan.document import Plan


def band_spread_steps(plan: Plan) -> Iterator[str]:
    """From the narrower band to its parts, its dial and its drift.

    Raises :class:`~rxlearn.compute.quantities.Unclear` at the step that the plan cannot take.
    """
    band = narrow_band(plan)
    found, coil = band_of(plan, band), plan.value("oscillator.inductance")
    yield (f"{plan.shown(f'{band}.name')} is the narrower band: the oscillator runs from "
           f"{_mhz(found.oscillator_low)} to {_mhz(found.oscillator_high)}.")
    variable = variable_of(plan)
    network = solved(plan, band)
    covered = cover(network)
    yield (f"With the coil of {show(coil, 'H', digits=4)}, C = 1/((2πf)²L) asks for "
           f"{_pf(covered.total_at_low)} at the low end and {_pf(covered.total_at_high)} at the "
           f"high end: a swing of {_pf(covered.swing)}.")
    yield _series_step(network, variable.swing)
    yield (f"Strays of {_pf(network.strays)}, the valve's {_pf(network.valve)} and the variable's "
           f"branch are there already. What is left to fit across the tank is "
           f"{_pf(network.parallel)}.")
    yield from _parts(plan)
    yield from _dial(plan, covered.span, float(covered.rates.max()))
    coefficients = plan.value("drift.coil"), plan.value("drift.capacitors")
    moved = show(tank_drift(plan).per_degree, "Hz", digits=3)
    yield (f"Drift: half of {coefficients[0]:.0f} and {coefficients[1]:.0f} ppm/°C, less what is "
           f"compensated, makes {moved} per °C; {_pf(compensator_wanted(plan))} of {plan.shown('drift.compensator')} would "
           "leave none.")


def _series_step(network: Network, swing: float) -> str:
    if network.series is None:
        return (f"The variable's own swing of {_pf(swing)} is as much as that, so no series "
                "capacitor is needed.")
    a, b = (c + network.across for c in (network.variable.minimum, network.variable.maximum))
    ends = [_pf(c * network.series / (c + network.series)) for c in (b, a)]
    return (f"The variable has {_pf(swing)}. Behind {_pf(network.series)} it makes {ends[0]} "
            f"meshed and {ends[1]} open, and the difference is just that swing.")


def _parts(plan: Plan) -> Iterator[str]:
    """The parts that can be bought, and what they leave."""
    found = bought(plan)
    series = found.rounded.network.series
    named = "no series capacitor" if series is None else f"{show(series, 'F')} in series"
    off = (found.rounded.low + found.rounded.high - found.low - found.high) / 2
    yield (f"In {found.preferred} steps that is {named} and "
           f"{show(found.rounded.network.parallel, 'F')} across, which puts the dial "
           f"{show(abs(off), 'Hz', digits=3)} too {'high' if off > 0 else 'low'}.")
    yield (f"{show(found.fixed, 'F')} with a trimmer set to {show(found.trimmer, 'F', digits=3)} "
           f"puts it right; the dial is then {show(found.trimmed.span, 'Hz', digits=4)} wide.")


def _dial(plan: Plan, span: float, fastest: float) -> Iterator[str]:
    """Turns, divisions, and what a hand sets where the dial runs fastest."""
    drive, degrees = drive_of(plan), plan.value("dial.degrees")
    turns = drive.turns_for(degrees)
    per_turn = span / turns
    yield (f"{degrees:g}° behind {drive.reduction:g}:1 are {show(turns, '', digits=4)} turns of "
           f"the knob: {show(per_turn, 'Hz', digits=4)} to a turn and "
           f"{show(per_turn / drive.divisions, 'Hz', digits=3)} to one of {drive.divisions} "
           "divisions, on average.")
    step, needed = fastest / drive.reduction * HAND_STEP, SETTING_NEEDED["code"]
    verdict = "fine enough" if step <= needed else f"{step / needed:.1f} times too coarse"
    yield (f"Where it runs fastest, 1° of the knob tunes {show(step, 'Hz', digits=3)}: {verdict} "
           f"for the {show(needed, 'Hz')} that code wants.")


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", digits=7)


def _pf(capacitance: float) -> str:
    return show(capacitance, "F", prefix="p", digits=4)

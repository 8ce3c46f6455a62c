"""What the questions on tolerances share: the wider band's tank, and how closely to answer."""

from __future__ import annotations

from rxlearn.compute.build_from_parts import Oscillator, Quality, build_from_parts
from rxlearn.compute.image_swapping import swap_bands
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.tank import capacitance_for
from rxlearn.compute.tuning import plan_band
from rxlearn.compute.variable_capacitor import VariableCapacitor
from rxlearn.exercises.band_spread_numbers import held
from rxlearn.exercises.questions import Tolerance
from rxlearn.exercises.receiver_numbers import receiver
from rxlearn.plan.fields import FIELDS

PF = 1e-12

_PARTS = {key: FIELDS[key].demo for key in (
    "tuning_capacitor.minimum", "tuning_capacitor.maximum", "oscillator.stray_capacitance",
    "oscillator.valve_capacitance", "tolerance.coil", "tolerance.capacitors",
    "tolerance.variable", "tolerance.strays", "trimmer.low", "trimmer.high",
)}

SMALL = Tolerance("Tolerances are round numbers themselves, so five percent are allowed.",
                  relative=0.05)
CLOSE = Tolerance("Two digits are plenty for a share, so two percent are allowed.", relative=0.02)


def farad(value):
    """Print a capacitance (F) to three digits."""
    return show(value, "F", digits=3)


def percent(fraction):
    """Print a fraction in percent."""
    return show(100 * fraction, "%", digits=3)


def parts(plan):
    """What of the plan is built many times, as plain numbers; the demo's if that cannot be built."""
    numbers = receiver(plan)
    found = dict(numbers, **{key: float(held(plan, key, demo)) for key, demo in _PARTS.items()})
    try:
        build_with_room(found, 0.0)
    except Unclear:
        return parts(None)
    return found


def build_with_room(n, room):
    """The parts list for the numbers of :func:`parts`, narrower band as is simplest to build."""
    scheme = swap_bands(
        n["lower_band.low"], n["lower_band.high"], n["upper_band.low"], n["upper_band.high"],
        n["intermediate_frequency"], lower_injection=n["lower_band.injection"],
        upper_injection=n["upper_band.injection"])
    planned = Oscillator(
        inductance=n["oscillator.inductance"],
        variable=VariableCapacitor(n["tuning_capacitor.minimum"], n["tuning_capacitor.maximum"]),
        strays=n["oscillator.stray_capacitance"], valve=n["oscillator.valve_capacitance"])
    quality = Quality(
        coil=n["tolerance.coil"] / 100, capacitors=n["tolerance.capacitors"] / 100,
        variable=n["tolerance.variable"] / 100, strays=n["tolerance.strays"] / 100)
    return build_from_parts(scheme, planned, quality, margin=room, spread=not scheme.works,
                            trimmer_low=n["trimmer.low"], trimmer_high=n["trimmer.high"])


def wide(plan):
    """The wider band of the plan, or of the demo: its oscillator's low end and the tank there."""
    numbers = receiver(plan)
    width = {band: numbers[f"{band}.high"] - numbers[f"{band}.low"]
             for band in ("lower_band", "upper_band")}
    band = max(width, key=lambda name: (width[name], name == "lower_band"))
    planned = plan_band(numbers[f"{band}.low"], numbers[f"{band}.high"],
                        numbers["intermediate_frequency"], numbers[f"{band}.injection"])
    total = capacitance_for(planned.oscillator_low, numbers["oscillator.inductance"])
    # A coil far from its band leaves no capacitor that one could hold in a hand: ask of the demo.
    if not 5e-12 < total < 5e-9:
        return wide(None)
    return {"own": numbers["own"], "low": planned.oscillator_low,
            "inductance": numbers["oscillator.inductance"], "total": float(total)}

"""What the questions on tolerances share: the wider band's tank, and how closely to answer."""

from __future__ import annotations

from rxlearn.compute.quantities import show
from rxlearn.compute.tank import capacitance_for
from rxlearn.compute.tuning import plan_band
from rxlearn.exercises.questions import Tolerance
from rxlearn.exercises.receiver_numbers import receiver

PF = 1e-12

SMALL = Tolerance("Tolerances are round numbers themselves, so five percent are allowed.",
                  relative=0.05)
CLOSE = Tolerance("Two digits are plenty for a share, so two percent are allowed.", relative=0.02)


def farad(value):
    """Print a capacitance (F) to three digits."""
    return show(value, "F", digits=3)


def percent(fraction):
    """Print a fraction in percent."""
    return show(100 * fraction, "%", digits=3)


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

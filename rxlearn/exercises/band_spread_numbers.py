"""What the questions on band spread share: the narrower band, its tank, and tolerances."""

from __future__ import annotations

from rxlearn.compute.quantities import show
from rxlearn.compute.tank import capacitance_for
from rxlearn.compute.tuning import plan_band
from rxlearn.exercises.questions import Tolerance
from rxlearn.exercises.receiver_numbers import receiver

PF = 1e-12

TRIMMED = Tolerance("A trimmer sets the last five percent, so that is allowed.", relative=0.05)
PERCENT = Tolerance("Dials and capacitors are known to a few percent, so three are allowed.",
                    relative=0.03)


def farad(value):
    """Print a capacitance (F) to three digits."""
    return show(value, "F", digits=3)


def held(plan, key, demo):
    """A value of the plan; the demo's where a plan has no such entry."""
    try:
        return plan.value(key) if plan is not None else demo
    except KeyError:
        return demo


def narrow(plan):
    """The narrower band of the plan, or of the demo, with the oscillator that tunes it."""
    numbers = receiver(plan)
    width = {band: numbers[f"{band}.high"] - numbers[f"{band}.low"]
             for band in ("lower_band", "upper_band")}
    band = min(width, key=lambda name: (width[name], name == "lower_band"))
    planned = plan_band(numbers[f"{band}.low"], numbers[f"{band}.high"],
                        numbers["intermediate_frequency"], numbers[f"{band}.injection"])
    # A coil far from its band leaves no capacitor that one could hold in a hand: ask of the demo.
    least, most = 1e-12, 5e-9
    coil = numbers["oscillator.inductance"]
    wanted, meshed = (capacitance_for(edge, coil)
                      for edge in (planned.oscillator_high, planned.oscillator_low))
    if not (least < wanted and meshed < most):
        return narrow(None) | {"why": (
            f"Your coil of {show(coil, 'H')} would want {farad(wanted if wanted < most / 2 else meshed)} "
            "on your narrower band, "
            "which no hand tunes: choose another coil.")}
    return {
        "own": numbers["own"], "why": numbers["why"], "band_low": planned.band_low, "band_high": planned.band_high,
        "low": planned.oscillator_low, "high": planned.oscillator_high,
        "inductance": numbers["oscillator.inductance"],
    }


def totals(n):
    """Whole capacitance (F) that the coil needs at the oscillator's low and high end."""
    return [capacitance_for(edge, n["inductance"]) for edge in (n["low"], n["high"])]

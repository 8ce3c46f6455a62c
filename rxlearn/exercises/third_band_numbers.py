"""What the questions on a third band share: a converter that works, and tolerances."""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.converter_choice import choose_third_band
from rxlearn.compute.converter_plan import ConverterPlan, plan_converter
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tuning import BandPlan, plan_band
from rxlearn.exercises.band_spread_numbers import held
from rxlearn.exercises.questions import Numbers, Tolerance
from rxlearn.exercises.receiver_numbers import dial_frequency, receiver

LESSON = "third_band"

KILOHERTZ = Tolerance("A dial is read to a kilohertz, so one is allowed.", absolute=1e3)


@dataclass(frozen=True)
class _Demo:
    """Fields of the third band where a plan has none: the demo receiver's (SI)."""

    name: str = "17 m"
    low: float = 18.068e6
    high: float = 18.168e6
    crystal: float = 14.31818e6


def converter(rng, plan=None):
    """A third band, its crystal and the main dial, and a ``signal`` in what is reached (Hz).

    The plan's where it works; a crystal or band that cannot work gives way as in the figures,
    and a plan without a main dial gives way to the demo receiver.
    """
    numbers, demo = receiver(plan), _Demo()
    source = plan if numbers["own"] else None
    main_key = held(source, "converter.main_band", "lower_band")
    main = plan_band(numbers[f"{main_key}.low"], numbers[f"{main_key}.high"],
                     numbers["intermediate_frequency"], numbers[f"{main_key}.injection"])
    region = int(held(source, "region", 2))
    try:
        chosen = choose_third_band(
            held(source, "third_band.name", demo.name), held(source, "third_band.low", demo.low),
            held(source, "third_band.high", demo.high),
            held(source, "converter.crystal", demo.crystal), main,
            [(numbers[f"{band}.low"], numbers[f"{band}.high"])
             for band in ("lower_band", "upper_band")],
            drawer=[row[0] for row in held(source, "crystals.drawer", ())], region=region)
    except Unclear:
        return converter(rng, None)
    own_third = not chosen.why and held(source, "third_band.wanted", "no") == "yes"
    found = {
        "own": numbers["own"], "why": numbers["why"], "supposed": not own_third,
        "about": "" if own_third or not numbers["own"] else (
            f"{chosen.why} What serves on your dials stands in." if chosen.why else
            "Your plan wants no third band yet: one that your dials can read stands in."),
        "name": chosen.name, "low": chosen.low, "high": chosen.high,
        "crystal": chosen.crystal, "main_low": main.band_low, "main_high": main.band_high,
        "main_name": held(source, f"{main_key}.name", "80 m"), "injection": main.injection,
        "intermediate_frequency": main.intermediate_frequency,
        "loaded_q": float(held(source, "converter.loaded_q", 50.0)),
        "circuits": int(held(source, "converter.circuits", 1)),
    }
    reached = planned(found).converted
    return {**found, "signal": dial_frequency(rng, reached.covered_low, reached.covered_high)}


def main_of(n: Numbers) -> BandPlan:
    """The main band's frequency plan."""
    return plan_band(n["main_low"], n["main_high"], n["intermediate_frequency"], n["injection"])


def planned(n: Numbers) -> ConverterPlan:
    """The converter worked out."""
    return plan_converter(n["low"], n["high"], n["crystal"], main_of(n),
                          loaded_q=n["loaded_q"], circuits=n["circuits"])


def reading(n: Numbers) -> float:
    """What the main dial reads for the signal, Hz."""
    return abs(n["signal"] - n["crystal"])

"""The worked example on a third band, recomputed from whatever plan is in use."""

from __future__ import annotations

from collections.abc import Iterator

from rxlearn.compute.beat import UPPER, beat_oscillator_frequency
from rxlearn.compute.converter_choice import best_of, offers
from rxlearn.compute.converter_plan import ConverterPlan
from rxlearn.compute.quantities import show
from rxlearn.compute.tuning import HIGH
from rxlearn.plan.document import Plan
from rxlearn.plan.stages import passed_middle
from rxlearn.plan.third_band import ORDER, ThirdBand, example_of


def third_band_steps(plan: Plan) -> Iterator[str]:
    """From the crystal to the dial, the sideband, the image, whistles and what else there is.

    Where the plan's own converter cannot work, the first step says what stands in.
    """
    third = example_of(plan)
    if third.note:
        yield third.note
    found = third.planned()
    yield from _landing(third, found)
    yield _sidebands(third, found, plan)
    yield from _front(third, found)
    yield _oscillators(third, found)
    yield _others(third)


def _landing(third: ThirdBand, found: ConverterPlan) -> Iterator[str]:
    band = found.converted
    side = "above" if band.inverted else "below"
    yield (f"{third.name} reaches from {_mhz(third.low)} to {_mhz(third.high)}; the crystal on "
           f"{_mhz(third.crystal)} stands {side} it.")
    ends = (band.covered_low, band.covered_high)
    sums = [f"{_mhz(max(end, band.crystal))} - {_mhz(min(end, band.crystal))} = "
            f"{_mhz(abs(end - band.crystal))}" for end in ends]
    part = "" if found.covered_share > 0.9999 else (
        f" Only {_mhz(ends[0])} to {_mhz(ends[1])}, {100 * found.covered_share:.0f} % of the band, "
        "lands on the dial.")
    low, high = found.stretch_share
    yield (f"Read on the {third.main_name} dial: {sums[0]} to {sums[1]}, which is "
           f"{100 * (high - low):.0f} % of it.{part}")
    way = "backwards" if found.dial_reversed else "upwards"
    marks = [f"{_mhz(mark.frequency)} at {_mhz(mark.reading)}" for mark in found.marks[:3]]
    yield f"The dial runs {way}. Marks for the third band: {', '.join(marks)}, and so on."


def _sidebands(third: ThirdBand, found: ConverterPlan, plan: Plan) -> str:
    turns = [("the converter", found.converted.inverted),
             ("the main receiver", third.main.injection == HIGH)]
    over = [who for who, turned in turns if turned]
    words = {0: "Neither converter nor main receiver turns the sidebands over",
             1: f"Only {' '.join(over)} turns the sidebands over",
             2: "Both converter and main receiver turn the sidebands over"}[len(over)]
    own = third.main.intermediate_frequency == plan.value("intermediate_frequency")
    place = beat_oscillator_frequency(
        passed_middle(plan) if own else third.main.intermediate_frequency, UPPER,
        found.sideband_inverted, plan.value("beat_oscillator.offset"))
    return (f"{words}: they come out "
            f"{'inverted' if found.sideband_inverted else 'upright'}, so the beat oscillator "
            f"belongs on {show(place, 'Hz', digits=7)} for an upper sideband.")


def _front(third: ThirdBand, found: ConverterPlan) -> Iterator[str]:
    image, worst = found.image, min(found.rejects, key=lambda row: row.rejection_db)
    there = f", where the table has {' and '.join(image.there[:2])}" if image.there else ""
    circuits = "1 circuit" if third.circuits == 1 else f"{third.circuits} circuits"
    yield (f"The converter's image lies on the crystal's other side, on {_mhz(image.low)} to "
           f"{_mhz(image.high)}{there}. With {circuits} of loaded Q {third.loaded_q:g} it is held "
           f"down {_db(image.rejection_db)} at the worse edge.")
    yield f"Held down least of all: {worst.name}, by {_db(worst.rejection_db)}."


def _oscillators(third: ThirdBand, found: ConverterPlan) -> str:
    inside = [f"{row.name} ({'itself' if order == 1 else f'its harmonic {order}'})"
              for order, row in found.crystal_in]
    words = (f"The crystal falls into {', '.join(inside)}: keep it in a tin box. " if inside else
             "Neither the crystal nor its second or third harmonic falls into an amateur band. ")
    if not found.whistles:
        return f"{words}No whistle of the two oscillators up to order {ORDER} falls into the band."
    lowest = min(found.whistles, key=lambda row: row.order)
    number = len(found.whistles)
    return (f"{words}Whistles in the band: {number}; the lowest order, {lowest.order}, on "
            f"{_mhz(lowest.frequency)}, {lowest.name}.")


def _others(third: ThirdBand) -> str:
    found = offers(third.low, third.high, third.main, own=third.crystal, drawer=third.drawer,
                   region=third.region, loaded_q=third.loaded_q, circuits=third.circuits)
    best = best_of(found[1:])
    if best is None:
        return "No other crystal at hand or to order reaches the band."
    against = "; ".join(best.plan.speaks_against) or "nothing found"
    return (f"To compare: {_mhz(best.crystal)} ({best.source}) reaches "
            f"{100 * best.plan.covered_share:.0f} % of the band; against it: {against}.")


def _db(value: float) -> str:
    return show(value, "dB", decimals=1)


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", digits=8)

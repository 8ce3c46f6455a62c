"""The worked example on parts: from the plan to ratings, substitutes, sums and obstacles."""

from __future__ import annotations

from collections.abc import Iterator

from rxlearn.compute.part_ratings import rate_resistor
from rxlearn.compute.quantities import show
from rxlearn.plan.document import Plan
from rxlearn.plan.parts import HOLDS, budget_of, hot_resistors, parts_of
from rxlearn.plan.parts_rows import cost_words, missing_words
from rxlearn.plan.parts_substitutes import obstacles, substitutes_for


def parts_steps(plan: Plan) -> Iterator[str]:
    """Count, rate, replace, add up; no voltage is named."""
    parts = parts_of(plan)
    drawn = [part for part in parts if part.group != HOLDS and part.quantity]
    places = sum(part.quantity for part in drawn)
    yield (f"Your circuits have room for {places} pieces. Equal ones together make {len(drawn)} "
           "lines.")
    holding = [part for part in parts if part.group == HOLDS]
    yield (f"What holds it together is on no drawing: {sum(part.quantity for part in holding)} pieces "
           f"and metres on {len(holding)} lines, counted from bulbs, shafts and circuits.")
    most = max(drawn, key=lambda part: part.quantity)
    yield f"The most of one kind: {most.quantity} pieces, {most.name}."
    hot = [use for use in hot_resistors(plan) if "bleeder" not in use.where][:2]
    for use in hot:
        found = rate_resistor(use.amount, use.current)
        buy = "more than one part" if found.rating is None else f"{found.rating:g} W"
        yield (f"{use.where[0].upper()}{use.where[1:]}: ({show(use.current, 'A', digits=3)})² × "
               f"{show(use.amount, 'Ω')} = {show(found.power, 'W', digits=2)} of heat; twice that is "
               f"{show(found.wanted, 'W', digits=2)}, so buy {buy}.")
    tuning = next(part for part in parts if part.what == "variable capacitor, tuning")
    for way in substitutes_for(plan, tuning)[-1:]:
        yield f"If a tuning capacitor of {tuning.value} cannot be had: {way.what}. {way.sentence}"
    budget = budget_of(plan, parts)
    yield f"Still to find: {missing_words(budget)}."
    yield f"Money: {cost_words(budget)}."
    unfit = [part.what for part in parts if part.unfit]
    if unfit:
        yield f"Not to be bought as the plan has it: {', '.join(unfit)}; the list says what is needed."
    stops = [found.part.what for found in obstacles(plan, parts)]
    yield (f"What stops the build while it is missing: {', '.join(stops)}." if stops else
           "No missing part stops the build.")

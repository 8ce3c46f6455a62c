"""What a choice of frequencies takes from the plan, and what a chosen scheme puts into it."""

from __future__ import annotations

from rxlearn.compute.frequency_choice import AtHand, Band
from rxlearn.compute.frequency_choice_columns import DIFFERENCE
from rxlearn.compute.frequency_choice_words import WeighedScheme
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tuning import HIGH, INTERMEDIATE_FREQUENCY, LOW
from rxlearn.data.crystals import STOCK_CRYSTALS, StockCrystal
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.proposals import proposal

LESSON = "choosing_the_intermediate_frequency"

DRAWER = "crystals.drawer"

LONGEST_NAME = 16
"""Longest name of a band, in characters, that a picture has room for."""

LONGEST_NOTE = 24


def bands_of(plan: Plan) -> tuple[Band, Band]:
    """The plan's lower and upper band (Hz), their names cut to what a picture has room for."""
    return tuple(
        Band(_cut(plan.value(f"{band}.name"), LONGEST_NAME),
             plan.value(f"{band}.low"), plan.value(f"{band}.high"))
        for band in ("lower_band", "upper_band")
    )


def at_hand_of(plan: Plan, **changes: float | int) -> AtHand:
    """What the plan's bench has; ``changes`` replace some of it."""
    return AtHand(**{
        "region": int(plan.value("region")),
        "loaded_q": plan.value("preselector.loaded_q"),
        "circuits": int(plan.value("preselector.circuits")),
        "capacitance_swing": plan.value("oscillator.capacitance_swing"),
    } | changes)


def drawer_of(plan: Plan) -> tuple[StockCrystal, ...]:
    """The crystals in the learner's drawer that can be an intermediate frequency (Hz)."""
    return tuple(
        StockCrystal(frequency, "your drawer" + (f": {_cut(note, LONGEST_NOTE)}" if note else ""))
        for frequency, note in plan.value(DRAWER)
        if INTERMEDIATE_FREQUENCY.low <= frequency <= INTERMEDIATE_FREQUENCY.high
    )


def all_crystals(own: tuple[StockCrystal, ...]) -> tuple[StockCrystal, ...]:
    """Stock and ``own`` crystals in rising order; of the same frequency only the own one."""
    found = {row.frequency: row for row in (*STOCK_CRYSTALS, *own)}
    return tuple(found[frequency] for frequency in sorted(found))


def scheme_changes(
    plan: Plan, scheme: WeighedScheme, region: int, added: tuple[float, ...] = ()
) -> dict[str, Change]:
    """What ``scheme`` changes in ``plan``: bands, sides, intermediate frequency, coil, capacitor.

    ``added`` are crystals (Hz) to be put into the drawer besides.  Raises
    :class:`Unclear` for the sum, which a plan cannot hold, and
    :class:`~rxlearn.plan.document.PlanFault` for what the plan refuses.
    """
    if scheme.arrangement != DIFFERENCE:
        raise Unclear(
            f"{scheme.name}: your plan knows an oscillator on the high or the low side only, and "
            f"this one adds to the signal on {scheme.lower.name}; it can be weighed here, but "
            "not put into the plan."
        )
    wished = {
        "region": region,
        **_band(plan, "lower_band", scheme.lower, HIGH),
        **_band(plan, "upper_band", scheme.upper, LOW),
        "intermediate_frequency": scheme.crystal.frequency,
    }
    known = [frequency for frequency, _ in plan.value(DRAWER)]
    new = [frequency for frequency in added if frequency not in known]
    if new:
        wished[DRAWER] = (*plan.value(DRAWER), *((frequency, None) for frequency in new))
    changes = {
        key: Change(value=value, status="wished", origin=LESSON)
        for key, value in wished.items() if plan.value(key) != value
    }
    for proposed in proposal(LESSON, plan.changed(changes)):
        if proposed.status == "computed" and plan.value(proposed.key) != proposed.value:
            changes[proposed.key] = Change(
                value=proposed.value, status="computed", origin=LESSON)
    return changes


def _band(plan: Plan, key: str, band: Band, injection: str) -> dict[str, float | str]:
    """One band's fields; a band that is the plan's own keeps its full name."""
    own = bands_of(plan)[key == "upper_band"]
    name = plan.value(f"{key}.name") if band == own else band.name
    return {f"{key}.name": name, f"{key}.low": band.low, f"{key}.high": band.high,
            f"{key}.injection": injection}


def _cut(text: str, longest: int) -> str:
    return text if len(text) <= longest else f"{text[:longest - 1]}…"

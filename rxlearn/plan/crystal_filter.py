"""The plan's crystal filter: which crystals it takes, and what is built of them."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import fmean

from rxlearn.compute.beat import ABOVE, UPPER, beat_side
from rxlearn.compute.circuits import GRID_LEAK, MIXER_LOAD
from rxlearn.compute.crystal import Crystal, closest_set, typical_crystal
from rxlearn.compute.ladder_build import BuiltLadder, build_ladder
from rxlearn.compute.ladder_measures import opposite_sideband_db
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.tuning import is_sideband_inverted
from rxlearn.plan.crystal_filter_fields import ENDS, MEASURED
from rxlearn.plan.document import Plan

NEAR = 0.01
"""Measured crystals must lie within this part of the intermediate frequency."""

TONE = 1e3
"""Audio tone by which the other sideband is judged, Hz (common practice)."""


@dataclass(frozen=True)
class ChosenCrystals:
    """The measured crystals that the filter takes: their ``places`` in the plan's table, from
    zero, in the order of Y1, Y2 …, with their average ``frequency`` and ``offsets`` from it (Hz).

    Without enough measured ones ``places`` is empty and all are taken as alike.
    """

    places: tuple[int, ...]
    frequency: float
    offsets: tuple[float, ...]


def chosen_crystals(plan: Plan) -> ChosenCrystals:
    """The crystals closest together; raises :class:`Unclear` where they are not on the plan's
    intermediate frequency."""
    count, wanted = plan.value("crystal_filter.crystals"), plan.value("intermediate_frequency")
    measured = [row[0] for row in plan.value("crystal_filter.measured")]
    if len(measured) < count:
        return ChosenCrystals((), fmean(measured) if measured else wanted, (0.0,) * count)
    places = closest_set(measured, count)
    taken = [measured[place] for place in places]
    frequency = fmean(taken)
    return ChosenCrystals(places, frequency, tuple(one - frequency for one in taken))


def crystal_of(plan: Plan) -> Crystal:
    """The filter's crystal: the plan's measured figures, or what is typical; raises Unclear."""
    frequency, wanted = chosen_crystals(plan).frequency, plan.value("intermediate_frequency")
    if abs(frequency / wanted - 1) > NEAR:
        raise Unclear(
            f"The measured crystals lie at {show(frequency, 'Hz')}, the intermediate frequency at "
            f"{show(wanted, 'Hz')}: put one of the two right.")
    if plan.value("crystal_filter.figures") == MEASURED:
        return Crystal(frequency, plan.value("crystal_filter.inductance"),
                       plan.value("crystal_filter.resistance"),
                       plan.value("crystal_filter.capacitance"))
    return typical_crystal(frequency)


def filter_of(plan: Plan) -> BuiltLadder:
    """The plan's filter as it is built between mixer and amplifier.

    Raises :class:`Unclear` with the reason where its crystals cannot make it.
    """
    chosen = chosen_crystals(plan)
    return build_ladder(
        crystal_of(plan), plan.value("crystal_filter.crystals"),
        plan.value("crystal_filter.width"), plan.value("crystal_filter.kind"), MIXER_LOAD,
        GRID_LEAK, chosen.offsets, plan.value(ENDS))


def other_sideband_db(plan: Plan, band: str) -> tuple[str, float]:
    """On ``band``: the beat oscillator's side of the filter, and by how much (dB) the other
    sideband's :data:`TONE` is held down there."""
    built = filter_of(plan)
    side = beat_side(UPPER, is_sideband_inverted(plan.value(f"{band}.injection")))
    return side, float(opposite_sideband_db(
        built.ladder, beat_of(plan, side), TONE, side)[0])


def beat_of(plan: Plan, side: str) -> float:
    """The beat oscillator (Hz) at the plan's offset on ``side`` of the filter as it is built."""
    offset = plan.value("beat_oscillator.offset")
    return filter_of(plan).measures.centre + (offset if side == ABOVE else -offset)

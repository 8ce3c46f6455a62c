"""Cards for the converter's coils: ring cores, the smallest of the common ones that take the turns.

The plan has no fields for them; a learner who winds something else reads what is wanted off the
card.
"""

from __future__ import annotations

from rxlearn.compute.coil_ways import ring_way
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.toroid import ring_core, wind_ring
from rxlearn.compute.wire import wire_called
from rxlearn.plan.circuits import supply_voltage
from rxlearn.plan.coils import LEADS, CoilCard
from rxlearn.plan.converter_stages import converter_numbers
from rxlearn.plan.document import Plan

CORES = ("T50-6", "T50-2", "T68-6", "T68-2", "T94-6", "T94-2")
"""Ring cores in the order in which they are tried; the first meant for the frequency is taken."""

WIRES = ("0.5 mm", "0.4 mm", "0.315 mm", "0.25 mm", "0.2 mm")
"""Wires in the order in which they are tried."""

FEWEST = 8
"""With less turns than this a link of one turn couples too much (a choice, no source)."""


def converter_cards(plan: Plan) -> tuple[CoilCard, ...]:
    """A card for each input coil and for the mixer's; none where the plan has no converter."""
    numbers = converter_numbers(plan, supply_voltage(plan))
    if numbers is None:
        return ()
    links = "Over its earthed end {} to the aerial.", "Over its end at the high tension {} to the " \
        "main receiver, well insulated."
    return (
        _card("converter_input", "Converter's input coil, each of " + str(numbers.circuits),
              numbers.input_coil, numbers.signal, numbers.input_ratio, links[0]),
        _card("converter", "Converter's mixer coil", numbers.output_coil, numbers.reading,
              numbers.output_ratio, links[1]),
    )


def _card(key: str, name: str, wanted: float, frequency: float, ratio: float, link: str) -> CoilCard:
    """The first core and the thickest wire that take the turns in one layer."""
    problem = (f"No common ring core takes {show(wanted, 'H', digits=3)} at "
               f"{show(frequency, 'Hz', digits=4)}: wind an air coil.")
    for core in CORES:
        row = ring_core(core)
        if not row.lowest <= frequency <= row.highest:
            continue
        for called in WIRES:
            wire = wire_called(called)
            try:
                ring = wind_ring(wanted, core, wire)
            except Unclear:
                break
            if not ring.fits or ring.turns < FEWEST:
                continue
            way = ring_way(ring, wanted, frequency)
            turns = max(1, round(ring.turns / ratio))
            overall = show(wire.overall, "m", digits=2, prefix="m")
            return CoilCard(
                key=key, name=name, on=f"ring core {core}",
                wire=f"{wire.name}, enamelled, {overall} over all",
                winding=f"{ring.turns} turns, counted on the inside, spread over the ring but for a "
                        "gap of 30°",
                cut=way.wire_length + LEADS, way=way, notes=(link.format(_go(turns)),))
    return CoilCard(key=key, name=name, on="", wire="", problem=problem)


def _go(turns: int) -> str:
    return "goes 1 turn" if turns == 1 else f"go {turns} turns"

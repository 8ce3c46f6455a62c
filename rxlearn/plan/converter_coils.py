"""Cards for the converter's coils: ring cores, the smallest of the common ones that take the turns.

The plan has no fields for them; a learner who winds something else reads what is wanted off the
card.
"""

from __future__ import annotations

from rxlearn.compute.coil_ways import ring_way
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.toroid import RingCoil, common_ring
from rxlearn.compute.wire import Wire
from rxlearn.plan.circuits import supply_voltage
from rxlearn.plan.coil_cards import CoilCard
from rxlearn.plan.coils import LEADS
from rxlearn.plan.converter_stages import converter_numbers
from rxlearn.plan.document import Plan

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
    try:
        ring = common_ring(wanted, frequency)
    except Unclear as reason:
        problem = f"{str(reason).rstrip('.')}: wind an air coil."
        return CoilCard(key=key, name=name, on="", wire="", problem=problem)
    way = ring_way(ring, wanted, frequency)
    return CoilCard(
        key=key, name=name, on=f"ring core {ring.name}", wire=enamelled_words(ring.wire),
        winding=ring_words(ring), cut=way.wire_length + LEADS, way=way,
        notes=(link.format(_go(max(1, round(ring.turns / ratio)))),))


def enamelled_words(wire: Wire) -> str:
    """A wire as a card has it."""
    return f"{wire.name}, enamelled, {show(wire.overall, 'm', digits=2, prefix='m')} over all"


def ring_words(ring: RingCoil) -> str:
    """How a ring is wound."""
    return (f"{ring.turns} turns, counted on the inside, spread over the ring but for a gap of 30°")


def _go(turns: int) -> str:
    return "goes 1 turn" if turns == 1 else f"go {turns} turns"

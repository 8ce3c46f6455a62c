"""Cards for the transformers at the crystal filter's ends, where the plan has them."""

from __future__ import annotations

from rxlearn.compute.filter_transformer import STAGE_CAPACITANCE, TransformedEnd, turns_words
from rxlearn.compute.quantities import show
from rxlearn.compute.toroid import RingCoil
from rxlearn.plan.coil_cards import LEADS, CoilCard
from rxlearn.plan.converter_coils import enamelled_words, ring_words
from rxlearn.plan.document import Plan
from rxlearn.plan.stages import filter_in

WINDINGS = {"source": ("L1", "L2", "mixer"), "load": ("L4", "L3", "amplifier's grid")}
"""End of the filter to its tuned winding and link in the drawing, and the stage that it lies at."""


def transformed_ends(plan: Plan) -> dict[str, TransformedEnd]:
    """The ends (keys of :data:`WINDINGS`) that have a transformer; none where the plan has no filter."""
    built = filter_in(plan)
    ends = {} if built is None else {"source": built.source, "load": built.load}
    return {name: end for name, end in ends.items() if isinstance(end, TransformedEnd)}


def filter_cards(plan: Plan) -> tuple[CoilCard, ...]:
    """A card for each transformer at the filter's ends."""
    return tuple(_card(name, end) for name, end in transformed_ends(plan).items())


def _card(name: str, end: TransformedEnd) -> CoilCard:
    winding, link, stage = WINDINGS[name]
    made = end.transformer
    over = RingCoil(turns=made.link, name=made.coil.name, core=made.coil.core, wire=made.coil.wire)
    for_link = over.wire_length + LEADS
    return CoilCard(
        key=f"filter_{name}", name=f"Crystal filter's transformer at the {stage} ({winding}, {link})",
        on=f"ring core {made.coil.name}", wire=enamelled_words(made.coil.wire),
        winding=ring_words(made.coil), cut=made.way.wire_length + LEADS + for_link, way=made.way,
        more=((f"link {link}", f"{turns_words(made.link)} of the same wire, "
               f"{show(for_link, 'm', digits=2)} of it, over the whole of {winding}, evenly"),),
        notes=(
            f"{winding} goes to the {stage} and the chassis, {link} to the filter and the chassis.",
            f"{show(made.capacitance, 'F', digits=3)} tune it, of which the stage has about "
            f"{show(STAGE_CAPACITANCE, 'F')} by itself; a trimmer makes up the rest.",
            f"The filter sees {show(end.seen, 'Ω', digits=3)}, reckoned with a coupling of 0.9: a link "
            "that is bunched together couples less.",
        ))

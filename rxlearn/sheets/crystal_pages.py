"""The build sheet's pages on the crystal filter: what is fitted, what to expect, room for readings."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rxlearn.compute.beat import ABOVE, BELOW
from rxlearn.compute.filter_transformer import (
    COUPLING,
    STAGE_CAPACITANCE,
    TransformedEnd,
    turns_words,
)
from rxlearn.compute.ladder_build import BuiltLadder
from rxlearn.compute.ladder_matching import NONE, SERIES, EndMatch, l_network, match_end, turns_ratio
from rxlearn.compute.quantities import show
from rxlearn.plan.crystal_filter import chosen_crystals, filter_of
from rxlearn.plan.document import Plan
from rxlearn.plan.parts_uses import SPARE_CRYSTALS
from rxlearn.sheets.pages import Block, Paragraph, Table

LEVELS = (3.0, 6.0, 20.0, 40.0, 60.0)
"""How far down (dB) the slopes are printed."""

_HERTZ = 8


def filter_blocks(plan: Plan) -> list[Block]:
    """Parts with the design's and the fitted values, the response to expect, and tables to fill in.

    Raises Unclear with the reason where the plan's crystals cannot make the filter.
    """
    built = filter_of(plan)
    return [
        Table("Parts of the crystal filter", ("part", "where", "design", "fitted"),
              tuple(_parts(built)), (1, 4, 2, 2)),
        Paragraph("Strays between a node and the chassis count: a wiring picofarad is one less to "
                  "fit. Keep in and out apart, with a screen between, and earth the crystals' cans."),
        *_lossless(built), *_transformers(built),
        Table("Response to expect", ("below the top", "from", "to", "width", "yours: from", "to"),
              tuple(_response(built)), (1.6, 2.4, 2.4, 1.8, 2, 2)),
        Table("Your crystals", ("mark", "series resonance", "width 3 dB down", "less than a wire",
                                "taken as"), tuple(_crystals(plan)), (2, 3, 2.4, 2.4, 1.6)),
        Paragraph("Put each crystal in series between two small resistances, such as 12.5 Ω of pads "
                  "on either side, drive it weakly, and write down where most comes through, how far "
                  "apart the places 3 dB below it lie, and by how much it is weaker than with a wire "
                  "in its place."),
    ]


def _parts(built: BuiltLadder) -> Iterator[tuple[str, ...]]:
    design, fitted = built.design.ladder, built.ladder
    number = 0
    for place, (exact, value) in enumerate(
            zip(design.couplings, fitted.couplings, strict=True), start=1):
        number += 1
        yield f"C{number}", f"between Y{place} and Y{place + 1}, to the chassis", *_both(exact, value)
    for place, (exact, value) in enumerate(zip(design.series, fitted.series, strict=True), start=1):
        if value is not None and exact is not None:
            number += 1
            yield f"C{number}", f"in series with Y{place}", *_both(exact, value)
    for end, winding in ((built.source, "L1"), (built.load, "L4")):
        if isinstance(end, TransformedEnd):
            number += 1
            yield (f"C{number}", f"across {winding}, a trimmer in it, and the stage's strays beside it",
                   *_both(end.transformer.fitted, end.transformer.fitted))
    wanted = built.design.termination
    for ref, end, name, windings in (("R1", built.source, "mixer's anode load", ("L1", "L2")),
                                     ("R2", built.load, "amplifier's grid leak", ("L4", "L3"))):
        if isinstance(end, TransformedEnd):
            yield from _transformed(ref, end, name, wanted, *windings)
        else:
            yield (ref, *_end(end, name, wanted))


def _transformed(ref: str, end: TransformedEnd, name: str, wanted: float, winding: str,
                 link: str) -> Iterator[tuple[str, ...]]:
    """A transformer's two windings, and what lies across the tuned one."""
    made = end.transformer
    exact = COUPLING * math.sqrt(end.high_side / wanted)
    yield (winding, f"across the {name} of {show(end.stage, 'Ω')}, tuned",
           f"{exact:.3g} turns to 1 of {link}", f"{turns_words(made.coil.turns)} on {made.coil.name}")
    yield (link, f"over {winding}, to the filter, for {show(wanted, 'Ω', digits=3)}",
           f"shows {show(end.seen, 'Ω', digits=3)}", turns_words(made.link))
    if end.resistor:
        bare = 1 / (1 / end.stage + 1 / made.loss_resistance)
        across = made.across(wanted)
        yield (ref, f"across {winding}", show(1 / (1 / across - 1 / bare), "Ω", digits=3),
               show(end.resistor, "Ω"))


def _both(exact: float, value: float) -> tuple[str, str]:
    return show(exact, "F", digits=3), show(value, "F", digits=3)


def _end(end: EndMatch, name: str, wanted: float) -> tuple[str, str, str]:
    stage = f"the {name} of {show(end.stage, 'Ω')}"
    if end.way == NONE:
        return f"none: {stage} is near enough", show(wanted, "Ω", digits=3), "none"
    where = "in series with" if end.way == SERIES else "across"
    exact = match_end(wanted, end.stage).resistor
    return (f"{where} {stage}, for {show(wanted, 'Ω', digits=3)} together",
            show(exact, "Ω", digits=3), show(end.resistor, "Ω"))


def _lossless(built: BuiltLadder) -> list[Block]:
    """What takes the place of each end's resistor: coil and capacitor, or a tuned transformer."""
    rows = []
    for end, name in ((built.source, "mixer"), (built.load, "amplifier")):
        if end.way == NONE or isinstance(end, TransformedEnd):
            continue
        net = l_network(end.filter_resistance, end.stage, built.design.middle)
        across = "stage" if end.stage > end.filter_resistance else "filter"
        coil, capacitor = (show(net.inductance, "H", digits=3),
                           f"{show(net.capacitance, 'F', digits=3)} across the {across}")
        if net.capacitance < STAGE_CAPACITANCE:
            coil, capacitor = "not to be made", "less than the stage has by itself"
        turns = f"{turns_ratio(end.filter_resistance, end.stage):.2g} turns to 1"
        rows.append((name, coil, capacitor, turns, show(end.loss_db, "dB", digits=3)))
    if not rows:
        return []
    return [Table("In place of the end resistors, for more gain",
                  ("side", "coil in series", "capacitor, strays counted in", "or a transformer",
                   "brings"), tuple(rows), (1.4, 1.8, 3.2, 2, 1.2))]


def _transformers(built: BuiltLadder) -> list[Block]:
    """What to do with transformers at the ends, and why one is missing."""
    blocks = []
    if any(isinstance(end, TransformedEnd) for end in (built.source, built.load)):
        blocks.append(Paragraph(
            "Tuned winding and link lie on one ring: their cards are among the coils. Set each trimmer "
            "for the most in the middle of the pass band; a peak at the trimmer's end wants another "
            "capacitor beside it. Far more ripple than is expected means that an end sees the wrong "
            "resistance: try a turn more or fewer on that link. In and out must not see each other, "
            "so keep the two rings at the filter's two ends. The mixer's coupling capacitor alone keeps the "
            "high tension off its winding: plug out, discharged and measured before a hand goes there."))
    if built.problem:
        blocks.append(Paragraph(built.problem))
    return blocks


def _response(built: BuiltLadder) -> Iterator[tuple[str, ...]]:
    for level in LEVELS:
        low, high = (built.measures.edge(level, side) for side in (BELOW, ABOVE))
        yield (show(level, "dB"), _place(low), _place(high),
               "not reached" if math.isnan(high - low) else show(high - low, "Hz", digits=4), "", "")


def _place(frequency: float) -> str:
    return "not reached" if math.isnan(frequency) else show(frequency, "Hz", digits=_HERTZ)


def _crystals(plan: Plan) -> Iterator[tuple[str, ...]]:
    """The measured crystals, and empty lines up to a handful more than are wanted."""
    measured, taken = plan.value("crystal_filter.measured"), chosen_crystals(plan).places
    for place, (frequency, note) in enumerate(measured):
        as_ref = f"Y{taken.index(place) + 1}" if place in taken else "spare"
        yield note or str(place + 1), show(frequency, "Hz", digits=9), "", "", as_ref
    for number in range(len(measured), plan.value("crystal_filter.crystals") + SPARE_CRYSTALS):
        yield str(number + 1), "", "", "", ""

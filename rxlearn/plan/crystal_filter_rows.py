"""What follows from a plan for its crystal filter, worded.

Each row takes a plan and returns a text; it raises Unclear with
the reason where there is no answer.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

from rxlearn.compute.circuits import GRID_LEAK, MIXER_LOAD
from rxlearn.compute.crystal_ladder import widest_ladder
from rxlearn.compute.filter_transformer import TransformedEnd, said
from rxlearn.compute.ladder_matching import NONE, SERIES, EndMatch
from rxlearn.compute.quantities import show, show_span
from rxlearn.plan.crystal_filter import (
    TONE,
    chosen_crystals,
    crystal_of,
    filter_of,
    other_sideband_db,
)
from rxlearn.plan.document import Plan
from rxlearn.plan.stages import stages_of

FilterRow = Callable[[Plan], str]

NARROW = 0.9
"""From this part of the largest width on the filter is hard to build (a choice, no source)."""

NO_FILTER = "the plan's stages list no crystal filter"


def _crystals(plan: Plan) -> str:
    crystal, chosen = crystal_of(plan), chosen_crystals(plan)
    words = (f"{show(crystal.motional_inductance, 'H', digits=3)} or "
             f"{show(1e15 * crystal.motional_capacitance, '', digits=3)} fF, "
             f"{show(crystal.resistance, 'Ω', digits=3)}, "
             f"{show(crystal.parallel_capacitance, 'F', digits=3)} across; parallel resonance "
             f"{show(crystal.spacing, 'Hz', digits=3)} above the series one")
    if chosen.places:
        span = max(chosen.offsets) - min(chosen.offsets)
        words += f"; the chosen ones lie within {show(span, 'Hz', digits=3)}"
    return words


def _widest(plan: Plan) -> str:
    widest = widest_ladder(crystal_of(plan), plan.value("crystal_filter.crystals"),
                           plan.value("crystal_filter.kind"))
    words = show(widest, "Hz", digits=3)
    room = plan.value("crystal_filter.width") / widest
    if NARROW < room < 1:
        words += (f"; the wanted width takes {show(100 * room, '%', digits=2)} of that, so that every "
                  "picofarad of strays counts")
    return words


def _capacitors(plan: Plan) -> str:
    ladder = filter_of(plan).ladder
    words = "between the crystals " + ", ".join(map(_farad, ladder.couplings))
    series = [f"Y{place} {_farad(c)}" for place, c in enumerate(ladder.series, start=1) if c]
    return words + (f"; in series with {', '.join(series)}" if series else "")


def _ends(plan: Plan) -> str:
    built = filter_of(plan)
    words = (f"{show(built.design.termination, 'Ω', digits=3)} on either side: "
             f"{_end(built.source, MIXER_LOAD, 'mixer')}; {_end(built.load, GRID_LEAK, 'grid leak')}")
    return f"{words}. {built.problem.rstrip('.')}" if built.problem else words


def _end(end: EndMatch, stage: float, name: str) -> str:
    if isinstance(end, TransformedEnd):
        across = f", {show(end.resistor, 'Ω')} across it" if end.resistor else ""
        return (f"{said(end)} bring the {name}'s {show(stage, 'Ω')} to "
                f"{show(end.seen, 'Ω', digits=3)}{across}")
    if end.way == NONE:
        return f"the {name}'s {show(stage, 'Ω')} will do"
    where = "in series with" if end.way == SERIES else "across"
    return f"{show(end.resistor, 'Ω')} {where} the {name}'s {show(stage, 'Ω')}"


def _width(plan: Plan) -> str:
    found = filter_of(plan).measures
    words = (f"{show(found.width, 'Hz', digits=3)} 3 dB down, "
             f"{show(found.width_6, 'Hz', digits=3)} 6 dB down, ")
    if math.isnan(found.width_60):
        return words + f"nowhere 60 dB down: far off {show(found.ultimate_db, 'dB', digits=2)} is all"
    return words + (f"{show(found.width_60, 'Hz', digits=3)} 60 dB down, a shape factor of "
                    f"{found.shape_factor:.2g}")


def _pass_band(plan: Plan) -> str:
    found = filter_of(plan).measures
    above = found.centre - plan.value("intermediate_frequency")
    side = "above" if above >= 0 else "below"
    return (f"{show_span(found.low[0], found.high[0], 'Hz', digits=7)}, its middle "
            f"{show(abs(above), 'Hz', digits=3)} {side} the plan's intermediate frequency")


def _loss(plan: Plan) -> str:
    built = filter_of(plan)
    ends = show(built.source.loss_db + built.load.loss_db, "dB", digits=3)
    words = (f"{show(built.measures.insertion_loss_db, 'dB', digits=2)} in the filter, with "
             f"{show(built.measures.ripple_db, 'dB', digits=2)} of ripple; ")
    if any(isinstance(end, TransformedEnd) for end in (built.source, built.load)):
        return f"{words}its ends take {ends} against a match without loss"
    return f"{words}coils in place of the end resistors would bring {ends} more"


def _other_sideband(plan: Plan) -> str:
    words = []
    for band in ("lower_band", "upper_band"):
        side, down = other_sideband_db(plan, band)
        words.append(f"{plan.value(f'{band}.name')} {show(down, 'dB', digits=2)} (oscillator {side})")
    return f"for a tone of {show(TONE, 'Hz')}: {', '.join(words)}"


def _matching(plan: Plan) -> str:
    hertz = show(filter_of(plan).matching, "Hz", digits=2)
    return f"within {hertz}, up or down, for 1 dB more loss at worst"


def _with_filter(row: FilterRow) -> FilterRow:
    """``row``, where the plan has a filter at all."""
    def asked(plan: Plan) -> str:
        if all(stage.function != "filter" for stage in stages_of(plan)):
            return NO_FILTER
        return row(plan)
    return asked


def _farad(value: float) -> str:
    return show(value, "F", digits=3)


CRYSTAL_FILTER_ROWS: Mapping[str, FilterRow] = MappingProxyType({
    label: _with_filter(row) for label, row in {
        "Crystal filter, each crystal": _crystals,
        "Crystal filter, widest that the crystals allow": _widest,
        "Crystal filter, capacitors": _capacitors,
        "Crystal filter, ends": _ends,
        "Crystal filter, width": _width,
        "Crystal filter, pass band": _pass_band,
        "Crystal filter, loss": _loss,
        "Crystal filter, other sideband held down": _other_sideband,
        "Crystal filter, crystals must agree": _matching,
    }.items()
})
"""Label to row, in the order in which to show them."""

"""What follows from a plan for its third band, worded.

Each row takes the planned converter and returns a text, or a value in SI with its unit; it
raises Unclear with the reason where there is no answer.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from rxlearn.compute.beat import UPPER, beat_oscillator_frequency
from rxlearn.compute.converter_choice import ORDER as TO_ORDER
from rxlearn.compute.converter_choice import best_of, offers
from rxlearn.compute.converter_plan import ConverterPlan, Reject
from rxlearn.compute.quantities import Unclear, show, show_span
from rxlearn.plan.document import Plan
from rxlearn.plan.stages import passed_middle
from rxlearn.plan.third_band import ORDER, check_free, converter_of, is_wanted, third_band_of

PlanRow = Callable[[Plan], str | tuple[float, str]]

NONE_WANTED = "no third band is wanted"
"""What every row says until one is."""

MOST_WHISTLES = 3
"""How many whistles a row names."""


def _if_wanted(row: PlanRow) -> PlanRow:
    return lambda plan: row(plan) if is_wanted(plan) else NONE_WANTED


def _of_converter(row: Callable[[ConverterPlan, Plan], str | tuple[float, str]]) -> PlanRow:
    """A row that has an answer only where the converter works; the first row says why not."""
    def answer(plan: Plan) -> str | tuple[float, str]:
        try:
            found = converter_of(plan)
        except Unclear:
            raise Unclear("No answer while the converter cannot work.") from None
        return row(found, plan)
    return _if_wanted(answer)


def _on_dial(plan: Plan) -> str:
    found = converter_of(plan)
    band = found.converted
    covered = show_span(band.covered_low, band.covered_high, "Hz", digits=8)
    stretch = show_span(*found.stretch, "Hz", digits=8)
    way = "backwards" if found.dial_reversed else "upwards"
    name = plan.value(f"{plan.value('converter.main_band')}.name")
    return f"{covered} on {stretch} of the {name} dial, tuning {way}"


def _shares(found: ConverterPlan, plan: Plan) -> str:
    low, high = found.stretch_share
    return (f"{100 * found.covered_share:.0f} % of the band, on {100 * (high - low):.0f} % of the "
            f"dial, from {100 * low:.0f} % to {100 * high:.0f} %")


def _marks(found: ConverterPlan, plan: Plan) -> str:
    """Each mark of the third band with the reading at which it stands, both in MHz."""
    marks = [f"{mark.frequency / 1e6:.8g} at {mark.reading / 1e6:.8g}" for mark in found.marks]
    return f"{', '.join(marks)} MHz" if marks else "no round frequency is reached"


def _sideband(found: ConverterPlan, plan: Plan) -> str:
    return "comes out inverted" if found.sideband_inverted else "comes out upright"


def _beat(found: ConverterPlan, plan: Plan) -> tuple[float, str]:
    return beat_oscillator_frequency(
        passed_middle(plan), UPPER, found.sideband_inverted,
        plan.value("beat_oscillator.offset")), "Hz"


def _image(found: ConverterPlan, plan: Plan) -> str:
    return _where(found.image)


def _where(row: Reject) -> str:
    span = show_span(row.low, row.high, "Hz", digits=7)
    there = f", where the table has {' and '.join(row.there[:2])}" if row.there else ""
    return f"{span}{there}"


def _least_rejected(found: ConverterPlan, plan: Plan) -> str:
    worst = min(found.rejects, key=lambda row: row.rejection_db)
    return f"{worst.name}, {show(worst.rejection_db, 'dB', digits=3)} down"


def _crystal_in(found: ConverterPlan, plan: Plan) -> str:
    rows = [f"{row.name} ({'the crystal itself' if order == 1 else f'its harmonic {order}'})"
            for order, row in found.crystal_in]
    return "; ".join(rows) or "none"


def _whistles(found: ConverterPlan, plan: Plan) -> str:
    lowest = sorted(found.whistles, key=lambda whistle: whistle.order)[:MOST_WHISTLES]
    rows = [f"{show(whistle.frequency, 'Hz', digits=7)}, {whistle.name}" for whistle in lowest]
    return "; ".join(rows) or f"none up to order {ORDER}"


def _beat_harmonics(found: ConverterPlan, plan: Plan) -> str:
    rows = [f"{order} × at {show(at, 'Hz', digits=7)}" for order, at in found.beat_harmonics]
    return "; ".join(rows) or f"none up to the {ORDER}th"


def _from_stock(plan: Plan) -> str:
    """What drawer and parts counter offer besides the plan's own crystal."""
    third = third_band_of(plan)
    check_free(third, plan)
    listed = [
        offer for offer in offers(
            third.low, third.high, third.main, own=third.crystal, drawer=third.drawer,
            region=third.region, loaded_q=third.loaded_q, circuits=third.circuits, order=ORDER)[1:]
        if offer.source != TO_ORDER
    ]
    best = best_of(listed)
    if best is None:
        return "none that reaches the band"
    return (f"{show(best.crystal, 'Hz', digits=8)}, {100 * best.plan.covered_share:.0f} % of the "
            f"band; against it: {'; '.join(best.plan.speaks_against) or 'nothing found'}")


THIRD_BAND_ROWS: Mapping[str, PlanRow] = MappingProxyType({
    "Third band, on the main dial": _if_wanted(_on_dial),
    "Third band, shares": _of_converter(_shares),
    "Third band, marks on the main dial": _of_converter(_marks),
    "Third band, sideband": _of_converter(_sideband),
    "Third band, beat oscillator for an upper sideband": _of_converter(_beat),
    "Third band, the converter's image": _of_converter(_image),
    "Third band, image rejection at the worse edge":
        _of_converter(lambda found, plan: (found.image.rejection_db, "dB")),
    "Third band, what its front end holds down least": _of_converter(_least_rejected),
    "Third band, amateur bands that the crystal falls into": _of_converter(_crystal_in),
    "Third band, whistles between the two oscillators": _of_converter(_whistles),
    "Third band, harmonics of the beat oscillator in it": _of_converter(_beat_harmonics),
    "Third band, next best crystal at hand": _if_wanted(_from_stock),
})
"""Label to the row."""

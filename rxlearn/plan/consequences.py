"""What follows from a plan, and what a change to it changes besides.

Nothing is computed here: each row asks ``compute`` and words the answer.  A
row that has no answer says why in words.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache

from rxlearn.compute.image_swapping import (
    HIGHEST_HARMONIC,
    SwapScheme,
    meeting_intermediate_frequency,
    swap_bands,
)
from rxlearn.compute.preselector import Preselector, preselect
from rxlearn.compute.quantities import Unclear, show, show_span
from rxlearn.compute.recentring import recentre
from rxlearn.compute.tank import capacitance_for, resonant_frequency, tank_for_range
from rxlearn.compute.tuning import BandPlan, plan_band
from rxlearn.plan.band_spread_rows import BAND_SPREAD_ROWS
from rxlearn.plan.coil_rows import COIL_ROWS
from rxlearn.plan.crystal_filter_rows import CRYSTAL_FILTER_ROWS
from rxlearn.plan.document import Plan
from rxlearn.plan.fields import FIELDS
from rxlearn.plan.oscillator_start import start_words
from rxlearn.plan.parts_rows import PARTS_ROWS, PlannedParts
from rxlearn.plan.power_supply_rows import POWER_SUPPLY_ROWS, PlannedSupply
from rxlearn.plan.spurious_rows import SPURIOUS_ROWS
from rxlearn.plan.stage_rows import STAGE_CONSEQUENCES
from rxlearn.plan.stages import beat_on
from rxlearn.plan.third_band_rows import THIRD_BAND_ROWS
from rxlearn.plan.tolerance_rows import TOLERANCE_ROWS, PlannedReceivers

_DIGITS = {"Hz": 7, "dB": 3, "F": 4, "H": 4, "%": 3, "V": 4, "J": 3}


@dataclass(frozen=True)
class Consequence:
    """One thing that follows from a plan.

    ``text`` is what to show.  ``value`` is the number in SI of ``unit`` where
    there is just one, else None.  ``possible`` is False where the scheme
    cannot work; ``text`` then says why.
    """

    label: str
    text: str
    value: float | None = None
    unit: str = ""
    possible: bool = True


@dataclass(frozen=True)
class Difference:
    """One line of what a change does.

    ``direct`` is True for a field that was set, False for what changes with it.
    """

    label: str
    before: str
    after: str
    direct: bool


def derive(plan: Plan) -> dict[str, Consequence]:
    """Return what follows from ``plan``, by label, in the order in which to show it.

    The labels are the same for every plan.  Never raises for a plan whose
    scheme cannot work: the consequence then says why.
    """
    return dict(_derive(_AsKept(plan)))


class _AsKept:
    """A plan as a key: two that would be kept alike are one, so that neither is worked out twice."""

    def __init__(self, plan: Plan) -> None:
        self.plan, self._text = plan, plan.to_text()

    def __hash__(self) -> int:
        return hash(self._text)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _AsKept) and self._text == other._text


@lru_cache(maxsize=8)
def _derive(kept: _AsKept) -> dict[str, Consequence]:
    scheme = _Scheme(kept.plan)
    return {label: _derived(label, row, scheme) for label, row in _ROWS.items()}


def compare(before: Plan, after: Plan) -> list[Difference]:
    """Return what differs between two plans: fields first, then what changes with them."""
    differences = []
    for key, row in FIELDS.items():
        old, new = before.entry(key), after.entry(key)
        if old.value != new.value or old.status != new.status:
            shown = [before.shown(key), after.shown(key)]
            if old.status != new.status or shown[0] == shown[1]:
                shown = [f"{shown[0]} ({old.status})", f"{shown[1]} ({new.status})"]
            differences.append(Difference(row.label, *shown, direct=True))
    follows = zip(derive(before).values(), derive(after).values(), strict=True)
    differences += [
        Difference(old.label, old.text, new.text, direct=False)
        for old, new in follows
        if old.text != new.text
    ]
    return differences


class _Scheme:
    """A plan with what compute makes of it, each part worked out once and when first asked."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan

    def edges(self, band: str) -> tuple[float, float]:
        return self.plan.value(f"{band}.low"), self.plan.value(f"{band}.high")

    def band(self, band: str) -> BandPlan:
        """The band's frequency plan; raises Unclear with its reasons if it cannot work."""
        found = plan_band(
            *self.edges(band), self.plan.value("intermediate_frequency"),
            self.plan.value(f"{band}.injection"),
        )
        if not found.works:
            raise Unclear(" ".join(found.reasons))
        return found

    def preselected(self, band: str) -> tuple[Preselector, Preselector]:
        """The preselector at either edge of the band, one of which is its worst place."""
        found = self.band(band)
        low, high = (
            preselect(
                edge, found.intermediate_frequency, found.injection,
                self.plan.value("preselector.loaded_q"), self.plan.value("preselector.circuits"),
            )
            for edge in (found.band_low, found.band_high)
        )
        return low, high

    @cached_property
    def judged(self) -> SwapScheme:
        """Both bands on one oscillator, whether or not that works."""
        return swap_bands(
            *self.edges("lower_band"), *self.edges("upper_band"),
            self.plan.value("intermediate_frequency"),
            lower_injection=self.plan.value("lower_band.injection"),
            upper_injection=self.plan.value("upper_band.injection"),
            region=self.plan.value("region"),
        )

    @cached_property
    def supply(self) -> PlannedSupply:
        """The plan's power supply."""
        return PlannedSupply(self.plan)

    @cached_property
    def receivers(self) -> PlannedReceivers:
        """Many receivers built from the plan's parts."""
        return PlannedReceivers(self.plan)

    @cached_property
    def parts(self) -> PlannedParts:
        """The plan's parts list."""
        return PlannedParts(self.plan)

    @property
    def swap(self) -> SwapScheme:
        """Both bands on one oscillator; raises Unclear if they cannot share it."""
        if not self.judged.works:
            raise Unclear("No answer while the two bands cannot share one oscillator.")
        return self.judged


Row = Callable[[_Scheme], Consequence | str | tuple[float, str]]


def _derived(label: str, row: Row, scheme: _Scheme) -> Consequence:
    try:
        found = row(scheme)
    except Unclear as reason:
        return Consequence(label, str(reason), possible=False)
    if isinstance(found, str):
        return Consequence(label, found)
    value, unit = found
    return Consequence(label, show(value, unit, digits=_DIGITS[unit]), value, unit)


def _oscillator(band: str) -> Row:
    def row(scheme: _Scheme) -> str:
        found = scheme.band(band)
        return show_span(found.oscillator_low, found.oscillator_high, "Hz", digits=7)
    return row


def _image(band: str) -> Row:
    def row(scheme: _Scheme) -> str:
        found = scheme.band(band)
        inside = "" if found.image_in_band is None else ", partly inside the band itself"
        return show_span(found.image_low, found.image_high, "Hz", digits=7) + inside
    return row


def _image_rejection(band: str) -> Row:
    return lambda scheme: (
        min(edge.image_rejection_db for edge in scheme.preselected(band)), "dB"
    )


def _intermediate_frequency_rejection(band: str) -> Row:
    return lambda scheme: (
        min(edge.intermediate_frequency_rejection_db for edge in scheme.preselected(band)), "dB"
    )


def _sideband(band: str) -> Row:
    return lambda scheme: (
        "comes out inverted" if scheme.band(band).sideband_inverted else "comes out upright"
    )


def _beat(band: str) -> Row:
    def row(scheme: _Scheme) -> tuple[float, str]:
        scheme.band(band)  # raises with its reasons where the band cannot work
        return beat_on(scheme.plan, band), "Hz"
    return row


def _shared(scheme: _Scheme) -> str:
    if not scheme.judged.works:
        raise Unclear(" ".join(scheme.judged.reasons))
    if scheme.judged.gap > 0:
        return (f"possible, but on this intermediate frequency {show(scheme.judged.gap, 'Hz')} lie "
                "between the two ranges")
    return "possible"


def _meeting(scheme: _Scheme) -> tuple[float, str]:
    return meeting_intermediate_frequency(
        scheme.edges("lower_band"), scheme.edges("upper_band"),
        lower_injection=scheme.plan.value("lower_band.injection"),
        upper_injection=scheme.plan.value("upper_band.injection"),
    ), "Hz"


def _wanted_coil(scheme: _Scheme) -> tuple[float, str]:
    swing = scheme.plan.value("oscillator.capacitance_swing")
    return tank_for_range(scheme.swap.dial_low, scheme.swap.dial_high, swing).inductance, "H"


def _capacitance(scheme: _Scheme) -> str:
    """Total capacitance from one end of the dial to the other with the plan's coil and swing."""
    top, bottom = _tank_ends(scheme)
    return show_span(top, bottom, "F", digits=4)


def _coverage(scheme: _Scheme) -> str:
    """What the plan's coil and swing cover when the dial's low end is set right."""
    coil = scheme.plan.value("oscillator.inductance")
    top, bottom = _tank_ends(scheme)
    return show_span(
        resonant_frequency(coil, bottom), resonant_frequency(coil, top), "Hz", digits=5
    )


def _tank_ends(scheme: _Scheme) -> tuple[float, float]:
    swing = scheme.plan.value("oscillator.capacitance_swing")
    bottom = capacitance_for(scheme.swap.dial_low, scheme.plan.value("oscillator.inductance"))
    if not bottom > swing:
        raise Unclear(
            f"The coil reaches {show(scheme.swap.dial_low, 'Hz')} with "
            f"{show(bottom, 'F', digits=4)} in all, no more than the swing of "
            f"{show(swing, 'F')}: choose a smaller coil or swing."
        )
    return bottom - swing, bottom


def _recentring(scheme: _Scheme) -> str:
    found = recentre(scheme.swap, scheme.plan.value("oscillator.inductance"))
    if found.switched_on is None:
        return "none: the middles agree"
    return f"{show(found.capacitance, 'F', digits=3)}, switched in on the {found.switched_on} band"


def _left_over(scheme: _Scheme) -> tuple[float, str]:
    """How far the narrower band's middle stands from the dial's, with the plan's capacitor."""
    coil, fitted = (
        scheme.plan.value(key) for key in ("oscillator.inductance", "recentring.capacitance")
    )
    swap = scheme.swap
    narrow, wide = swap.upper, swap.lower
    if swap.wider == "upper":
        narrow, wide = wide, narrow
    # The capacitor belongs to the band that lies lower; the dial is laid on the wider one.
    sign = 1 if narrow.oscillator_centre < wide.oscillator_centre else -1
    total = capacitance_for(wide.oscillator_centre, coil) + sign * fitted
    if not total > 0:
        raise Unclear(
            f"The tank holds less than the recentring capacitor of {show(fitted, 'F')}: choose a "
            "smaller one."
        )
    # To a millihertz: what is less is dust of the arithmetic.
    return round(narrow.oscillator_centre - resonant_frequency(coil, total), 3) + 0.0, "Hz"


def _crossings(scheme: _Scheme) -> str:
    found = [
        f"{row.crossed.name} while {show_span(row.signal_low, row.signal_high, 'Hz', digits=7)} "
        "is tuned"
        for row in scheme.judged.radiation
    ]
    return "; ".join(found) or "none"


def _harmonics(scheme: _Scheme) -> str:
    found = [
        f"{row.order} × at {show(row.frequency, 'Hz', digits=7)} in the {row.band} band"
        for row in scheme.judged.harmonics
    ]
    return "; ".join(found) or f"none up to the {HIGHEST_HARMONIC}th"


def _occupants(scheme: _Scheme) -> str:
    found = [row.name for row in scheme.judged.on_intermediate_frequency]
    return "; ".join(found) or "nothing that the workbook's table holds"


def _of_plan(row: Callable[[Plan], str | tuple[float, str]]) -> Row:
    """A row that needs nothing but the plan itself."""
    return lambda scheme: row(scheme.plan)


def _of_supply(row: Callable[[PlannedSupply], str | tuple[float, str]]) -> Row:
    """A row on the power supply, which is worked out once for all of them."""
    return lambda scheme: row(scheme.supply)


def _of_parts(row: Callable[[PlannedParts], str]) -> Row:
    """A row on the parts list, which is worked out once for all of them."""
    return lambda scheme: row(scheme.parts)


def _of_receivers(row: Callable[[PlannedReceivers], str | tuple[float, str]]) -> Row:
    """A row on many receivers built from the plan, which are drawn once for all of them."""
    return lambda scheme: row(scheme.receivers)


def _band_rows(band: str, name: str) -> dict[str, Row]:
    return {
        f"{name}, oscillator": _oscillator(band),
        f"{name}, image": _image(band),
        f"{name}, image rejection at the worse edge": _image_rejection(band),
        f"{name}, rejection of a signal on the intermediate frequency at the worse edge":
            _intermediate_frequency_rejection(band),
        f"{name}, sideband": _sideband(band),
        f"{name}, beat oscillator for an upper sideband": _beat(band),
    }


_ROWS: dict[str, Row] = {
    **_band_rows("lower_band", "Lower band"),
    **_band_rows("upper_band", "Upper band"),
    "One oscillator range for both bands": _shared,
    "Intermediate frequency at which the bands meet": _meeting,
    "Intermediate frequency, miss": lambda scheme: (scheme.swap.miss, "Hz"),
    "Upper band's oscillator centre above the lower band's":
        lambda scheme: (scheme.swap.centre_shift, "Hz"),
    "Dial, oscillator": lambda scheme: show_span(
        scheme.swap.dial_low, scheme.swap.dial_high, "Hz", digits=7
    ),
    "Dial, share of the lower band": lambda scheme: (100 * scheme.swap.lower_share, "%"),
    "Dial, share of the upper band": lambda scheme: (100 * scheme.swap.upper_share, "%"),
    "Coil that your swing asks for": _wanted_coil,
    "Tank capacitance with your coil": _capacitance,
    "Oscillator with your coil and swing": _coverage,
    "Oscillator with your coil, start": _of_plan(start_words),
    "Recentring capacitor wanted": _recentring,
    "Narrower band's middle off the dial's with your recentring capacitor": _left_over,
    "Amateur bands that the oscillator crosses": _crossings,
    "Harmonics of the intermediate frequency in a band": _harmonics,
    "On the intermediate frequency": _occupants,
    **{label: _of_plan(row) for label, row in SPURIOUS_ROWS.items()},
    **{label: _of_plan(row) for label, row in BAND_SPREAD_ROWS.items()},
    **{label: _of_receivers(row) for label, row in TOLERANCE_ROWS.items()},
    **{label: _of_plan(row) for label, row in THIRD_BAND_ROWS.items()},
    **{label: _of_plan(row) for label, row in COIL_ROWS.items()},
    **{label: _of_plan(row) for label, row in CRYSTAL_FILTER_ROWS.items()},
    **{label: _of_supply(row) for label, row in POWER_SUPPLY_ROWS.items()},
    **{label: _of_plan(row) for label, row in STAGE_CONSEQUENCES.items()},
    **{label: _of_parts(row) for label, row in PARTS_ROWS.items()},
}

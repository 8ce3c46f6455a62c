"""The plan's third band and its converter as ``compute`` wants them."""

from __future__ import annotations

from dataclasses import dataclass, replace

from rxlearn.compute.converter_choice import choose_third_band, taken_by
from rxlearn.compute.converter_plan import ConverterPlan, plan_converter
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.tuning import BandPlan
from rxlearn.plan.band_spread import OTHER, band_of
from rxlearn.plan.document import Plan
from rxlearn.plan.third_band_fields import YES

ORDER = 8
"""Highest sum of harmonics whose whistles a plan is held against (a choice)."""


@dataclass(frozen=True)
class ThirdBand:
    """A third band, its crystal and the main receiver that tunes it.  Hz.

    ``main_key`` is the plan's key of the main band.  ``own`` is False where something stands in
    for the plan's own values; ``note`` then says what, and why.
    """

    name: str
    low: float
    high: float
    crystal: float
    main: BandPlan
    main_key: str
    main_name: str
    region: int
    loaded_q: float
    circuits: int
    drawer: tuple[float, ...]
    own: bool = True
    note: str = ""

    def planned(self, *, crystal: float | None = None, order: int = ORDER) -> ConverterPlan:
        """The converter worked out, with another ``crystal`` (Hz) if one is given."""
        return plan_converter(
            self.low, self.high, self.crystal if crystal is None else crystal, self.main,
            region=self.region, loaded_q=self.loaded_q, circuits=self.circuits, order=order,
        )


def is_wanted(plan: Plan) -> bool:
    """Whether the learner wishes for a third band."""
    return plan.value("third_band.wanted") == YES


def third_band_of(plan: Plan) -> ThirdBand:
    """The plan's third band as it stands; raises Unclear where the main band cannot work."""
    main_key = str(plan.value("converter.main_band"))
    return ThirdBand(
        str(plan.value("third_band.name")), plan.value("third_band.low"),
        plan.value("third_band.high"), plan.value("converter.crystal"), band_of(plan, main_key),
        main_key, str(plan.value(f"{main_key}.name")), plan.value("region"),
        plan.value("converter.loaded_q"), plan.value("converter.circuits"),
        tuple(row[0] for row in plan.value("crystals.drawer")),
    )


def main_bands(plan: Plan) -> tuple[tuple[float, float], ...]:
    """The edges (Hz) of the two bands that the receiver tunes itself."""
    return tuple((plan.value(f"{band}.low"), plan.value(f"{band}.high")) for band in OTHER)


def check_free(third: ThirdBand, plan: Plan) -> None:
    """Raise Unclear if the receiver tunes the third band by itself already."""
    taken = taken_by(third.name, third.low, third.high, main_bands(plan))
    if taken:
        raise Unclear(taken)


def converter_of(plan: Plan) -> ConverterPlan:
    """The plan's converter worked out; raises Unclear with its reasons where it cannot work."""
    third = third_band_of(plan)
    check_free(third, plan)
    found = third.planned()
    if not found.works:
        raise Unclear(" ".join(found.reasons))
    return found


def example_of(plan: Plan) -> ThirdBand:
    """A third band that can be drawn: the plan's, or what stands in for it with its ``note``.

    The learner's own main bands are kept where they work; only a plan without any oscillator
    gives way to the demo receiver.
    """
    try:
        third = third_band_of(plan)
        chosen = choose_third_band(
            third.name, third.low, third.high, third.crystal, third.main, main_bands(plan),
            drawer=third.drawer, region=third.region)
    except Unclear as reason:
        return replace(third_band_of(Plan.demo()), own=False, note=(
            f"Your plan gives no dial to bring a third band to. {reason} The demo receiver "
            "stands in."))
    if not chosen.why:
        return third
    crystal = show(chosen.crystal, "Hz", digits=8)
    what = (f"A crystal on {crystal} stands in." if chosen.name == third.name
            else f"{chosen.name} and a crystal on {crystal} stand in.")
    why = (f"Your plan's converter cannot work. {chosen.why}" if is_wanted(plan)
           else "Your plan wants no third band yet.")
    return replace(third, name=chosen.name, low=chosen.low, high=chosen.high,
                   crystal=chosen.crystal, own=False, note=f"{why} {what}")

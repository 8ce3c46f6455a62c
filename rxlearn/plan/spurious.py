"""The plan's bands as the sums on spurious responses want them."""

from __future__ import annotations

from rxlearn.compute.tuning import BandPlan, plan_band
from rxlearn.compute.whistles import check_oscillator
from rxlearn.plan.document import Plan

BANDS = ("lower_band", "upper_band")


def band_plan(plan: Plan, band: str) -> BandPlan:
    """``band``'s frequency plan; raises :class:`Unclear` with the reason without an oscillator."""
    found = plan_band(
        plan.value(f"{band}.low"), plan.value(f"{band}.high"),
        plan.value("intermediate_frequency"), plan.value(f"{band}.injection"),
    )
    check_oscillator(found)
    return found


def band_plans(plan: Plan) -> dict[str, BandPlan]:
    """Both bands by key; raises :class:`Unclear` if either has no oscillator."""
    return {band: band_plan(plan, band) for band in BANDS}

"""The plan's two bands on one oscillator range, as ``compute`` judges them."""

from __future__ import annotations

from rxlearn.compute.image_swapping import SwapScheme, swap_bands
from rxlearn.plan.document import Plan


def scheme_of(plan: Plan) -> SwapScheme:
    """The plan's two bands on one oscillator range; see :func:`swap_bands`."""
    return swap_bands(
        plan.value("lower_band.low"), plan.value("lower_band.high"),
        plan.value("upper_band.low"), plan.value("upper_band.high"),
        plan.value("intermediate_frequency"),
        lower_injection=plan.value("lower_band.injection"),
        upper_injection=plan.value("upper_band.injection"),
        region=int(plan.value("region")),
    )

"""The plan's tuning capacitor, dial and networks as ``compute`` wants them.

Everything here raises :class:`~rxlearn.compute.quantities.Unclear` with the
reason where the plan holds no such thing.
"""

from __future__ import annotations

from rxlearn.compute.band_spread import Network, solve_network
from rxlearn.compute.dial import Drive
from rxlearn.compute.dial_scale import signal_offset
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.spread_parts import BoughtSpread, spread_with_parts
from rxlearn.compute.tuning import BandPlan, plan_band
from rxlearn.compute.variable_capacitor import VariableCapacitor
from rxlearn.plan.document import Plan

PREFERRED = "E12"
"""The series from which a lesson proposes parts: small capacitors are stocked in it."""

OTHER = {"lower_band": "upper_band", "upper_band": "lower_band"}


def variable_of(plan: Plan) -> VariableCapacitor:
    """The plan's tuning capacitor with its law and the dial's rotation."""
    return VariableCapacitor(
        plan.value("tuning_capacitor.minimum"), plan.value("tuning_capacitor.maximum"),
        plan.value("tuning_capacitor.law"), plan.value("dial.degrees"),
    )


def drive_of(plan: Plan) -> Drive:
    """The plan's drive and its divisions."""
    return Drive(plan.value("dial.reduction"), plan.value("dial.divisions"))


def narrow_band(plan: Plan) -> str:
    """The band to spread, ``lower_band`` or ``upper_band``: the one that is fewer hertz wide."""
    widths = {
        band: plan.value(f"{band}.high") - plan.value(f"{band}.low") for band in OTHER
    }
    return "upper_band" if widths["upper_band"] <= widths["lower_band"] else "lower_band"


def band_of(plan: Plan, band: str) -> BandPlan:
    """``band``'s frequency plan; raises Unclear with its reasons if it cannot work."""
    found = plan_band(
        plan.value(f"{band}.low"), plan.value(f"{band}.high"),
        plan.value("intermediate_frequency"), plan.value(f"{band}.injection"),
    )
    if not found.works:
        raise Unclear(" ".join(found.reasons))
    return found


def offset_of(plan: Plan, band: str) -> float:
    """What to add to the oscillator's frequency to get ``band``'s signal, Hz."""
    return signal_offset(plan.value("intermediate_frequency"), plan.value(f"{band}.injection"))


def fixed_parts(plan: Plan) -> dict[str, float]:
    """The plan's strays and valve, as the networks take them."""
    return {"strays": plan.value("oscillator.stray_capacitance"),
            "valve": plan.value("oscillator.valve_capacitance")}


def solved(plan: Plan, band: str) -> Network:
    """The network that makes ``band`` fill the dial exactly, with the plan's coil and capacitor.

    On the narrower band the plan's capacitor across the variable is used as well.
    """
    found = band_of(plan, band)
    across = plan.value("band_spread.across") if band == narrow_band(plan) else 0.0
    return solve_network(
        found.oscillator_low, found.oscillator_high, plan.value("oscillator.inductance"),
        variable_of(plan), across=across, **fixed_parts(plan),
    )


def bought(plan: Plan) -> BoughtSpread:
    """The narrower band's network and the parts that can be bought for it."""
    found = band_of(plan, narrow_band(plan))
    return spread_with_parts(
        found.oscillator_low, found.oscillator_high, plan.value("oscillator.inductance"),
        variable_of(plan), preferred=PREFERRED, across=plan.value("band_spread.across"),
        **fixed_parts(plan),
    )


def fitted(plan: Plan) -> Network:
    """The narrower band's network with the capacitors that the plan holds (zero series: none)."""
    return Network(
        plan.value("oscillator.inductance"), variable_of(plan),
        plan.value("band_spread.series") or None, plan.value("band_spread.parallel"),
        plan.value("band_spread.across"), **fixed_parts(plan),
    )

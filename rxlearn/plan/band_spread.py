"""The plan's tuning capacitor, dial and networks as ``compute`` wants them.

Everything here raises :class:`~rxlearn.compute.quantities.Unclear` with the
reason where the plan holds no such thing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from rxlearn.compute.band_spread import PARALLEL, Network, solve_network
from rxlearn.compute.dial import Drive
from rxlearn.compute.dial_scale import signal_offset
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.spread_parts import BoughtSpread, spread_with_parts
from rxlearn.compute.tuning import BandPlan, plan_band
from rxlearn.compute.variable_capacitor import VariableCapacitor
from rxlearn.plan.document import Plan
from rxlearn.plan.scheme import scheme_of

PREFERRED = "E12"
"""The series from which a lesson proposes parts: small capacitors are stocked in it."""

FINE = "E24"
"""The series for a capacitor that decides how wide a dial is; of two E12 ones in parallel if need be."""

ROOM = 0.01
"""Room beyond either end of a dial of parts that can be bought, as a share of its width."""

OTHER = {"lower_band": "upper_band", "upper_band": "lower_band"}

SWITCHED_WAY, SPREAD_WAY = "switched", "spread"
WAYS: Mapping[str, str] = MappingProxyType({
    SWITCHED_WAY: "a capacitor switched in", SPREAD_WAY: "capacitors of its own (band spread)",
})
"""How the narrower band comes onto the dial, and in words."""


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


def bought(plan: Plan, band: str | None = None) -> BoughtSpread:
    """The network of ``band`` (the narrower one if none is given) with parts that can be bought.

    Its dial is never narrower than the band, with a little room for a trimmer set by hand.
    """
    narrow = narrow_band(plan)
    found = band_of(plan, band or narrow)
    room = ROOM * (found.oscillator_high - found.oscillator_low)
    return spread_with_parts(
        found.oscillator_low, found.oscillator_high, plan.value("oscillator.inductance"),
        variable_of(plan), preferred=FINE, covering=True, margin=room,
        across=plan.value("band_spread.across") if band in (None, narrow) else 0.0,
        **fixed_parts(plan),
    )


def has_fitted(plan: Plan) -> bool:
    """Whether the plan holds band-spread capacitors of its own."""
    return bool(plan.value("band_spread.series") or plan.value("band_spread.parallel"))


def fitted(plan: Plan) -> Network:
    """The narrower band's network with the capacitors that the plan holds (zero series: none)."""
    return Network(
        plan.value("oscillator.inductance"), variable_of(plan),
        plan.value("band_spread.series") or None, plan.value("band_spread.parallel"),
        plan.value("band_spread.across"), **fixed_parts(plan),
    )


def way_of(plan: Plan) -> str:
    """How the narrower band comes onto the dial: a key of :data:`WAYS`.

    Capacitors of its own count more than one to recentre it: with them that one is not needed.
    """
    switched = (plan.value("recentring.capacitance") and not has_fitted(plan)
                and scheme_of(plan).works)
    return SWITCHED_WAY if switched else SPREAD_WAY


def built(plan: Plan, band: str) -> Network:
    """What the receiver has on ``band``, with parts that can be bought and trimmers set.

    On the wider band the trimmer puts the dial where the band is, and a series capacitor, if the
    variable has too much swing, is a preferred one.  The narrower band has the capacitors of the
    plan (those that fill the dial exactly while it has none), or the wider one's with the
    recentring capacitor in or out.
    """
    narrow = narrow_band(plan)
    if band == narrow and way_of(plan) == SPREAD_WAY:
        return fitted(plan) if has_fitted(plan) else solved(plan, band)
    wide = solved(plan, OTHER[narrow])
    if wide.series is not None:
        wide = bought(plan, OTHER[narrow]).trimmed.network
    if band == narrow:
        change = plan.value("recentring.capacitance")
        sign = 1 if switched_on(plan) == narrow else -1
        return replace(wide, parallel=PARALLEL.check(wide.parallel + sign * change))
    return wide


def switched_on(plan: Plan) -> str:
    """The band, ``lower_band`` or ``upper_band``, on which the recentring capacitor is in."""
    scheme = scheme_of(plan)
    centres = {"lower_band": scheme.lower.oscillator_centre,
               "upper_band": scheme.upper.oscillator_centre}
    # A tank only goes down by adding.
    return min(centres, key=lambda band: (centres[band], band != narrow_band(plan)))


def shape(plan: Plan, band: str) -> Network:
    """:func:`built`, or what stands round the variable where no network covers the band.

    A coil as measured may leave none.  Raises Unclear only where the band itself cannot work.
    """
    try:
        return built(plan, band)
    except Unclear:
        band_of(plan, band)
        return fitted(plan) if band == narrow_band(plan) else Network(
            plan.value("oscillator.inductance"), variable_of(plan), **fixed_parts(plan))

"""The plan's oscillator as a list of parts with tolerances, ready to be built many times.

Everything here raises :class:`~rxlearn.compute.quantities.Unclear` with the
reason where the plan holds what cannot be built.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from rxlearn.compute.build_from_parts import Oscillator, Quality, build_from_parts
from rxlearn.compute.drift import ClassOneCode, decode_class_one
from rxlearn.compute.image_swapping import SwapScheme
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.receiver_parts import COIL, FIXED, Build
from rxlearn.compute.tank import INDUCTANCE
from rxlearn.plan.band_spread import (
    SPREAD_WAY,
    SWITCHED_WAY,
    WAYS,
    has_fitted,
    narrow_band,
    variable_of,
)
from rxlearn.plan.document import Plan
from rxlearn.plan.scheme import scheme_of


@dataclass(frozen=True)
class ManyTimes:
    """What of a plan is built many times.

    ``scheme``, ``oscillator`` and ``quality`` are the plan's; ``room`` (a fraction of the
    dial), ``trimmer`` (F, smallest and largest) and ``way`` how it is built; of ``ways`` those
    that can be built are named.  ``compensator`` (F) of the fixed capacitance is of the kind
    ``kind``.  ``names`` are the wider and the narrower band's.  ``note`` says what stands in
    for a plan that cannot be built, and why.
    """

    plan: Plan
    scheme: SwapScheme
    oscillator: Oscillator
    quality: Quality
    room: float
    trimmer: tuple[float, float]
    way: str
    compensator: float
    kind: ClassOneCode
    names: tuple[str, str]
    ways: tuple[str, ...] = ()
    note: str = ""

    def build(
        self, *, quality: Quality | None = None, room: float | None = None,
        trimmer: tuple[float, float] | None = None, way: str | None = None,
        compensator: float | None = None,
    ) -> Build:
        """The parts list, with something else than the plan's where it is given."""
        low, high = trimmer or self.trimmer
        build = build_from_parts(
            self.scheme, self.oscillator, quality or self.quality,
            margin=self.room if room is None else room, trimmer_low=low, trimmer_high=high,
            spread=(way or self.way) == SPREAD_WAY)
        fitted = self.compensator if compensator is None else compensator
        return _compensated(build, fitted, self.kind) if fitted else build


def _compensated(build: Build, fitted: float, kind: ClassOneCode) -> Build:
    """``fitted`` (F) of the fixed capacitor and its trimmer become of ``kind``."""
    fixed = build.part(FIXED)
    held = fixed.nominal + (build.trimmer_low + build.trimmer_high) / 2
    if fitted > held:
        raise Unclear(
            f"The compensating capacitor of {show(fitted, 'F')} is more than the "
            f"{show(held, 'F', digits=4)} that are fitted across the coil: choose a smaller one.")
    share = fitted / held
    return build.with_part(
        FIXED,
        coefficient=(1 - share) * fixed.coefficient + share * kind.nominal * 1e-6,
        coefficient_spread=(1 - share) * fixed.coefficient_spread + share * kind.tolerance * 1e-6)


def quality_of(plan: Plan) -> Quality:
    """How far the plan's parts may be off, and how they move with warmth."""
    capacitors = plan.value("drift.capacitors") * 1e-6
    return Quality(
        coil=plan.value("tolerance.coil") / 100,
        capacitors=plan.value("tolerance.capacitors") / 100,
        variable=plan.value("tolerance.variable") / 100,
        strays=plan.value("tolerance.strays") / 100,
        coil_coefficient=plan.value("drift.coil") * 1e-6,
        capacitor_coefficient=capacitors, variable_coefficient=capacitors)


def many_times(plan: Plan, *, inductance: float | None = None) -> ManyTimes:
    """What of ``plan`` is built many times, perhaps with another coil of ``inductance`` (H).

    Raises Unclear with the reason where nothing can be built.
    """
    scheme = scheme_of(plan)
    oscillator = Oscillator(
        inductance=inductance or plan.value("oscillator.inductance"),
        variable=variable_of(plan),
        strays=plan.value("oscillator.stray_capacitance"),
        valve=plan.value("oscillator.valve_capacitance"),
        switched=plan.value("recentring.capacitance"),
        series=plan.value("band_spread.series"), across=plan.value("band_spread.across"))
    narrow = narrow_band(plan)
    wide = "lower_band" if narrow == "upper_band" else "upper_band"
    found = ManyTimes(
        plan, scheme, oscillator, quality_of(plan), plan.value("tolerance.room") / 100,
        (plan.value("trimmer.low"), plan.value("trimmer.high")),
        SPREAD_WAY if has_fitted(plan) else SWITCHED_WAY,
        plan.value("drift.compensating_capacitance"),
        decode_class_one(plan.value("drift.compensator")),
        (plan.shown(f"{wide}.name"), plan.shown(f"{narrow}.name")))
    return _with_ways(found)


def _with_ways(found: ManyTimes) -> ManyTimes:
    """The ways that can be built noted, the first of them taken where the planned one cannot."""
    reasons, ways = {}, []
    for way in WAYS:
        try:
            found.build(way=way)
            ways.append(way)
        except Unclear as reason:
            reasons[way] = reason
    if not ways:
        raise reasons[found.way]
    return replace(found, ways=tuple(ways), way=found.way if found.way in ways else ways[0])


def usable(plan: Plan) -> ManyTimes:
    """:func:`many_times` of ``plan``; else with another coil, else of the demo, and why."""
    try:
        return many_times(plan)
    except Unclear as problem:
        reason = problem
    try:
        # The smallest coil there is leaves no swing to spare: it is made larger until it does.
        coil = plan.value("oscillator.inductance")
        found = many_times(plan, inductance=INDUCTANCE.low)
        taken = show(found.build().part(COIL).nominal, "H", digits=3)
        note = (f"Your coil of {show(coil, 'H', digits=3)} cannot be built with. {reason} A coil "
                f"of {taken} stands in, which your tuning capacitor's whole swing asks for.")
        return replace(found, note=note)
    except Unclear:
        note = f"Your plan cannot be built. {reason} The demo receiver stands in."
        return replace(many_times(Plan.demo()), note=note)


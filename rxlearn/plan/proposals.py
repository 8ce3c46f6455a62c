"""What each lesson proposes for the plan: wishes to confirm, and values that compute works out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from rxlearn.compute.audio_matching import turns_ratio
from rxlearn.compute.preferred_values import nearest_preferred
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.recentring import recentre
from rxlearn.compute.tank import tank_for_range
from rxlearn.plan.band_spread import PREFERRED, bought
from rxlearn.plan.band_spread_rows import compensator_wanted
from rxlearn.plan.coil_fields import COIL_FIELDS, COILS
from rxlearn.plan.coils import turns_and_length
from rxlearn.plan.crystal_filter_fields import CRYSTAL_FILTER_FIELDS
from rxlearn.plan.document import Plan
from rxlearn.plan.field import Status, Value
from rxlearn.plan.fields import FIELDS
from rxlearn.plan.parts_fields import PARTS_FIELDS
from rxlearn.plan.power_supply import CHECKS, SUPPLY_PARTS, fuse_wanted
from rxlearn.plan.scheme import scheme_of
from rxlearn.plan.stages import STAGES, currents_of
from rxlearn.plan.third_band_fields import THIRD_BAND_FIELDS
from rxlearn.plan.tolerance_fields import TOLERANCE_FIELDS
from rxlearn.plan.tolerance_rows import coil_wanted

_BANDS = tuple(
    f"{band}.{part}" for band in ("lower_band", "upper_band") for part in ("name", "low", "high")
)
_WISHES = {
    "start_here": ("receiver.name", "region"),
    "superheterodyne_basics": _BANDS,
    "injection_side": ("lower_band.injection", "upper_band.injection"),
    "image_swapping": (
        "intermediate_frequency", "oscillator.capacitance_swing", "preselector.loaded_q",
        "preselector.circuits",
    ),
    "band_spread": (
        "tuning_capacitor.minimum", "tuning_capacitor.maximum", "tuning_capacitor.law",
        "dial.degrees", "dial.reduction", "dial.divisions", "oscillator.stray_capacitance",
        "oscillator.valve_capacitance", "band_spread.across", "drift.coil", "drift.capacitors",
        "drift.compensator",
    ),
    "choosing_the_intermediate_frequency": (
        *_BANDS, "lower_band.injection", "upper_band.injection", "intermediate_frequency",
        "crystals.drawer",
    ),
    "third_band": tuple(field.key for field in THIRD_BAND_FIELDS),
    "tolerances": tuple(field.key for field in TOLERANCE_FIELDS),
    "spurious_responses": (
        "intermediate_frequency", "preselector.loaded_q", "preselector.circuits",
    ),
    "coils": tuple(field.key for field in COIL_FIELDS
                   if not field.key.endswith((".turns", ".length"))),
    "crystal_filter": (*(field.key for field in CRYSTAL_FILTER_FIELDS), "beat_oscillator.offset"),
    "power_supply": (*SUPPLY_PARTS, "output.anode_load", "output.loudspeaker", *CHECKS),
    "stage_by_stage": (STAGES,),
    "parts_and_budget": tuple(field.key for field in PARTS_FIELDS),
    "measured_at_the_bench": ("measured.coil", "measured.dial", "measured.dial_step"),
    "supply_measured": ("measured.supply",),
    "build_sheet": ("dial.scale_radius", "dial.sense"),
}


@dataclass(frozen=True)
class Proposed:
    """One value for the plan: field ``key``, ``value`` (SI), and its ``status``."""

    key: str
    value: Value
    status: Status


def proposal(lesson: str, plan: Plan) -> tuple[Proposed, ...]:
    """What ``lesson`` puts into the plan, starting from ``plan``; KeyError for an unknown lesson.

    Wishes come as they stand in the plan, to be confirmed or changed.  What can
    be computed is computed from the plan; where the scheme cannot work, the
    value in the plan is proposed again.
    """
    wishes = tuple(
        Proposed(key, plan.value(key), plan.entry(key).status) for key in _WISHES[lesson]
    )
    return wishes + tuple(
        Proposed(key, _computed(key, plan, work_out), "computed")
        for key, work_out in _COMPUTED.get(lesson, {}).items()
    )


def computed_keys(lesson: str) -> tuple[str, ...]:
    """Fields whose values ``lesson`` works out from the plan's others."""
    return tuple(_COMPUTED.get(lesson, {}))


def _computed(key: str, plan: Plan, work_out: Callable[[Plan], float]) -> Value:
    """What ``work_out`` finds, as far as the field can hold it; else what the plan has."""
    try:
        return FIELDS[key].check(work_out(plan))
    except Unclear:
        return plan.value(key)


def _inductance(plan: Plan) -> float:
    scheme = scheme_of(plan)
    swing = plan.value("oscillator.capacitance_swing")
    return tank_for_range(scheme.dial_low, scheme.dial_high, swing).inductance


def _recentring(plan: Plan) -> float:
    return recentre(scheme_of(plan), _inductance(plan)).capacitance


def _recentring_again(plan: Plan) -> float:
    """The switched capacitor, if one is fitted, for the coil that leaves room for tolerances."""
    fitted = plan.value("recentring.capacitance")
    return recentre(scheme_of(plan), coil_wanted(plan)).capacitance if fitted else fitted


_COMPUTED: dict[str, dict[str, Callable[[Plan], float]]] = {
    "image_swapping": {
        "oscillator.inductance": _inductance,
        "recentring.capacitance": _recentring,
    },
    "choosing_the_intermediate_frequency": {
        "oscillator.inductance": _inductance,
        "recentring.capacitance": _recentring,
    },
    "band_spread": {
        "band_spread.series": lambda plan: bought(plan).trimmed.network.series or 0.0,
        # To what a hand can set a trimmer, not to the last digit.
        "band_spread.parallel":
            lambda plan: float(f"{bought(plan).trimmed.network.parallel:.4g}"),
        "drift.compensating_capacitance":
            lambda plan: nearest_preferred(compensator_wanted(plan), PREFERRED),
    },
    "tolerances": {
        "oscillator.inductance": coil_wanted,
        "recentring.capacitance": _recentring_again,
    },
    "coils": {
        f"{coil}.{part}": lambda plan, coil=coil, place=place: turns_and_length(plan, coil)[place]
        for coil in COILS for place, part in enumerate(("turns", "length"))
    },
    "power_supply": {
        "supply.fuse": fuse_wanted,
        # To half a turn: nobody winds or buys it finer.
        "output.turns_ratio": lambda plan: round(2 * turns_ratio(
            plan.value("output.anode_load"), plan.value("output.loudspeaker"))) / 2,
    },
    "stage_by_stage": {
        "supply.load": lambda plan: currents_of(plan).supply,
        "supply.heater_current": lambda plan: currents_of(plan).heaters,
        # Load and heaters decide it, and here they change.
        "supply.fuse": lambda plan: fuse_wanted(
            plan, load=currents_of(plan).supply, heaters=currents_of(plan).heaters),
    },
}

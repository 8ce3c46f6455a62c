"""The plan's power supply as ``compute`` wants it, and the checks before first power.

Everything here raises :class:`~rxlearn.compute.quantities.Unclear` with the
reason where the plan holds what cannot work.
"""

from __future__ import annotations

from dataclasses import replace

from rxlearn.compute import supply_circuit as drawn
from rxlearn.compute.power_supply import solve
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.rectifiers import Rectifier, SiliconRectifier, valve_rectifier
from rxlearn.compute.supply_parts import (
    CHOKE_INPUT,
    HALF_WAVE,
    HeaterWinding,
    Load,
    Section,
    Supply,
    Transformer,
)
from rxlearn.compute.supply_ratings import primary_fuse
from rxlearn.compute.supply_result import SupplyResult
from rxlearn.plan.document import Plan
from rxlearn.plan.fields import FIELDS

CHECKS = tuple(key for key in FIELDS if key.startswith("check."))
"""Keys of the checks that must have passed before first power."""

SUPPLY_PARTS = tuple(
    key for key in FIELDS if key.startswith("supply.") and key != "supply.fuse"
)
"""Keys of what is wished of the supply; the fuse follows from it."""

HIGH_MAINS = 1.1
"""Mains a tenth high, as a ratio of nominal."""


def open_checks(plan: Plan) -> tuple[str, ...]:
    """Labels of the checks that have not passed, in order."""
    return tuple(FIELDS[key].label for key in CHECKS if plan.value(key) != "passed")


def fuse_wanted(plan: Plan, *, load: float | None = None, heaters: float | None = None) -> float:
    """The line fuse (A) that the plan's supply asks for at high mains.

    ``load`` and ``heaters`` (A) replace what the plan has of them.
    """
    supply = supply_of(plan, load=load)
    if heaters is not None:
        supply = replace(supply, heater=replace(supply.heater, load_current=heaters))
    return primary_fuse(solve(supply, mains=HIGH_MAINS)).rating


def other_fuse(plan: Plan, worst: SupplyResult | None = None) -> str:
    """What is wrong with the plan's line fuse; empty for the one that its supply asks for.

    ``worst`` is the supply at high mains, if it is worked out already.
    """
    wanted = primary_fuse(worst or solve(supply_of(plan), mains=HIGH_MAINS))
    fitted = plan.value("supply.fuse")
    asks = f"the supply asks for {show(wanted.rating, 'A')}, your plan has {show(fitted, 'A')}"
    if fitted < wanted.least_rating:
        return f"{asks}, which is smaller and would go"
    return f"{asks}, which is larger and guards later" if fitted > wanted.rating else ""


def transformer_of(plan: Plan) -> Transformer:
    """The plan's high-tension winding."""
    return Transformer(
        plan.value("supply.winding_voltage"), plan.value("supply.winding_resistance"),
        rated_current=plan.value("supply.winding_rating"),
        frequency=float(plan.value("supply.mains_frequency")),
        mains_voltage=plan.value("supply.mains_voltage"),
    )


def rectifier_of(plan: Plan, kind: str | None = None) -> Rectifier:
    """The plan's rectifier, or one of ``kind``: ``silicon``, or a valve's type."""
    kind = plan.value("supply.rectifier") if kind is None else kind
    if kind != "silicon":
        return valve_rectifier(kind)
    return SiliconRectifier(peak_inverse_voltage=plan.value("supply.inverse_rating"))


def sections_of(plan: Plan, *, first: float | None = None) -> tuple[Section, ...]:
    """The filter's sections: first capacitor, unless the choke comes first; choke and second.

    ``first`` (F) replaces the first capacitor, and puts one in where the plan has none.
    """
    behind = Section(plan.value("supply.second_capacitor"), plan.value("supply.choke"),
                     plan.value("supply.choke_resistance"),
                     rated_voltage=plan.value("supply.second_rating"),
                     rated_current=plan.value("supply.choke_rating"))
    if first is None and plan.value("supply.input") == CHOKE_INPUT:
        return (behind,)
    return (Section(plan.value("supply.first_capacitor") if first is None else first,
                    rated_voltage=plan.value("supply.first_rating")), behind)


def fitted_parts(plan: Plan) -> tuple[str, ...]:
    """Keys of what the plan's supply has: without a first capacitor where the choke comes first."""
    unfitted = (("supply.first_capacitor", "supply.first_rating")
                if plan.value("supply.input") == CHOKE_INPUT else ())
    return tuple(key for key in SUPPLY_PARTS if key not in unfitted)


def marks_of(plan: Plan) -> dict[str, str]:
    """Key of each fitted part's field to its marks in the supply's drawing; empty for what is no part."""
    parts = drawn.supply_circuit(supply_of(plan), plan.value("supply.fuse")).parts
    capacitors = [part.ref for part in parts if part.ref[0] == "C"]
    found = {topic: ", ".join(part.ref for part in parts if part.kind in kinds)
             for topic, kinds in _DRAWN.items()} | {"first": capacitors[0], "second": capacitors[-1]}
    return {key: found.get(key.removeprefix("supply.").partition("_")[0], "")
            for key in fitted_parts(plan)}


_RECTIFIERS = (drawn.DIODE, drawn.DOUBLE_DIODE, drawn.FILAMENT_DIODE)

_DRAWN = {"winding": (drawn.WINDING,), "rectifier": _RECTIFIERS, "inverse": _RECTIFIERS,
          "series": (drawn.SURGE,), "choke": (drawn.CHOKE,), "bleeder": (drawn.BLEEDER,),
          "heater": (drawn.HEATER,)}
"""First word of a field's key to the kinds of part that it is about, as the drawing calls them."""


def supply_of(plan: Plan, *, rectifier: str | None = None, arrangement: str | None = None,
              load: float | None = None, first: float | None = None) -> Supply:
    """The plan's supply; what is given (A, F, or a key of the field's choices) replaces its own.

    Raises :class:`~rxlearn.compute.quantities.Unclear` for what no circuit can be made of.
    """
    supply = Supply(
        transformer_of(plan), rectifier_of(plan, rectifier),
        plan.value("supply.connection") if arrangement is None else arrangement,
        sections_of(plan, first=first),
        load=Load(plan.value("supply.load") if load is None else load),
        bleeder=plan.value("supply.bleeder"), bleeder_rating=plan.value("supply.bleeder_rating"),
        series_resistance=plan.value("supply.series_resistance"),
        heater=HeaterWinding(rated_current=plan.value("supply.heater_rating"),
                             load_current=plan.value("supply.heater_current")),
    )
    if supply.input == CHOKE_INPUT and supply.arrangement == HALF_WAVE:
        raise Unclear(
            "Half wave with the choke first leaves hardly any voltage, since the choke's current "
            "stops in every period: take full wave or a bridge, or put the capacitor first.")
    return supply

"""Choke input beside capacitor input with the same parts, over the load.  SI units.

Model and limits are those of :func:`rxlearn.compute.power_supply.solve`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from rxlearn.compute.power_supply import solve
from rxlearn.compute.quantities import Range, Unclear
from rxlearn.compute.supply_parts import CHOKE_INPUT, Load, Section, Supply, peak
from rxlearn.compute.supply_result import SupplyResult

CURVE_POINTS = 12
"""Loads at which a curve is computed."""

CURVE_END = Range("The largest load of the curve", "A", 1e-3, 10.0)


@dataclass(frozen=True, eq=False)
class InputCompared:
    """Choke input beside capacitor input with the same winding, choke, last capacitor and bleeder.

    ``result`` is the choke-input supply at its load.  ``loads`` (A) are those
    of the curves ``choke_volts`` and ``capacitor_volts`` (V d.c. at the load).
    ``critical_load`` (A): with less than this, bleeder left out, the choke's
    current stops (nan where even no load keeps it flowing).
    """

    result: SupplyResult
    loads: np.ndarray
    choke_volts: np.ndarray
    capacitor_volts: np.ndarray
    critical_load: float


def choke_first(supply: Supply) -> Supply:
    """``supply`` without its first capacitor, so that its choke comes first.

    Raises :class:`Unclear` for a supply whose second section has no choke.
    """
    if supply.input == CHOKE_INPUT:
        return supply
    if len(supply.sections) < 2 or not supply.sections[1].inductance > 0:
        raise Unclear("This supply has no choke after its first capacitor: give it one first.")
    return replace(supply, sections=supply.sections[1:])


def with_choke(supply: Supply, inductance: float) -> Supply:
    """``supply`` with the first choke of its filter changed to ``inductance`` (H)."""
    sections: list[Section] = list(supply.sections)
    for place, section in enumerate(sections):
        if section.inductance > 0:
            sections[place] = replace(section, inductance=inductance)
            return replace(supply, sections=tuple(sections))
    raise Unclear("This supply has no choke to change: give it one first.")


def load_curve(supply: Supply, end: float) -> tuple[np.ndarray, np.ndarray]:
    """Loads (A, from none to ``end``) and the output voltage (V d.c.) at each, denser at the start.

    nan where the supply cannot give so much.
    """
    loads = CURVE_END.check(end) * np.linspace(0.0, 1.0, CURVE_POINTS) ** 2
    return loads, np.array([_output(replace(supply, load=Load(load))) for load in loads.tolist()])


def _output(supply: Supply) -> float:
    try:
        return solve(supply, points=16).output_voltage
    except Unclear:
        return math.nan


def critical_load(supply: Supply) -> float:
    """The load (A), bleeder left out, at which a first choke of this size is just critical.

    From L = R/(6πf) with the direct voltage of an uninterrupted current, 2√2/π times the e.m.f.
    less what the resistances drop (full wave and bridge, rectifier's drop left out;
    DERIVED).  nan where the bleeder alone keeps the current flowing.
    """
    transformer, choke = supply.transformer, supply.sections[0]
    average = 2 / math.pi * peak(transformer.emf)
    inside = transformer.resistance + supply.series_resistance + choke.resistance
    outside = 6 * math.pi * transformer.frequency * choke.inductance
    current = average / (inside + outside)
    voltage = current * outside
    bleeder = voltage / supply.bleeder if supply.bleeder else 0.0
    return current - bleeder if current > bleeder else math.nan

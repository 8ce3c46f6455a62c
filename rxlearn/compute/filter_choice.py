"""A filter resistor in the choke's place: what voltage it costs and what ripple it leaves.

Limits: those of :mod:`rxlearn.compute.power_supply`; the load draws the same current at either
voltage, as valves do nearly, and it is the last section that is changed.  SI units.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from rxlearn.compute.part_ratings import ResistorRating, rate_resistor
from rxlearn.compute.power_supply import solve
from rxlearn.compute.quantities import Range
from rxlearn.compute.supply_parts import Load, Supply
from rxlearn.compute.supply_result import SupplyResult

FILTER_RESISTOR = Range("The filter resistor", "Ω", 1.0, 100e3)


@dataclass(frozen=True)
class FilterChoice:
    """The same supply with its ``choke`` and with a ``resistor``: both results, SI.

    ``rating`` is the resistor's, for the direct current at high mains.
    """

    choke: SupplyResult
    resistor: SupplyResult
    rating: ResistorRating

    @property
    def resistance(self) -> float:
        """The filter resistor, Ω."""
        return self.resistor.supply.sections[-1].resistance

    @property
    def lost(self) -> float:
        """How much less voltage (V) the load gets with the resistor."""
        return self.choke.output_voltage - self.resistor.output_voltage

    @property
    def ripple_ratio(self) -> float:
        """Ripple with the resistor over that with the choke, as a ratio."""
        return self.resistor.capacitors[-1].ripple_rms / self.choke.capacitors[-1].ripple_rms


def resistor_for_choke(
    supply: Supply, resistance: float, *, capacitance: float | None = None,
    load: float | None = None, high: float = 1.1,
) -> FilterChoice:
    """Solve ``supply`` with its choke, and with a resistor of ``resistance`` (Ω) in its place.

    ``capacitance`` (F) replaces the last capacitor behind the resistor, ``load`` (A) the load of
    both; ``high`` is high mains as a ratio, at which the resistor is rated.  Raises
    :class:`~rxlearn.compute.quantities.Unclear` where the supply cannot give the current.
    """
    resistance = FILTER_RESISTOR.check(resistance)
    if load is not None:
        supply = replace(supply, load=Load(load))
    last = supply.sections[-1]
    section = replace(last, inductance=0.0, resistance=resistance, rated_current=None,
                      capacitance=last.capacitance if capacitance is None else capacitance)
    changed = replace(supply, sections=(*supply.sections[:-1], section))
    hot = solve(changed, mains=high).branches[-1]
    return FilterChoice(solve(supply), solve(changed), rate_resistor(resistance, hot.direct))

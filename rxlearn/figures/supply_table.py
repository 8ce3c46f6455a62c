"""Every number of a supply in a table, each beside its rule of thumb and where the rule fails."""

from __future__ import annotations

from rxlearn.compute.quantities import show
from rxlearn.compute.rectifiers import SiliconRectifier
from rxlearn.compute.supply_parts import (
    BLEEDER_NAME,
    BRIDGE,
    FULL_WAVE,
    capacitor_name,
    series_resistors,
)
from rxlearn.compute.supply_ratings import primary_fuse
from rxlearn.compute.supply_result import SupplyResult
from rxlearn.compute.supply_rules import Rule, rules_for

CAPTION = "Every number, the rule of thumb for it, and where the rule fails"
COLUMNS = ("number", "here", "by the rule", "the rule, and where it fails")

NO_RULE = "none"
_ORDINARY = ("peak", "sawtooth", "average", "critical", "choke input")


def every_number(found: SupplyResult) -> list[list[str]]:
    """Rows of text for :data:`COLUMNS`: voltages, currents, then heat and the fuse."""
    rules = {rule.key: rule for rule in rules_for(found)}
    rows = [_ruled(rules.pop(key)) for key in _ORDINARY if key in rules]
    for number in range(2, len(found.capacitors) + 1):
        rows.append(_direct(found, number))
        rule = rules.pop(f"section {number}", None)
        rows.append(_ruled(rule) if rule else _row(
            f"ripple at {capacitor_name(number)}, r.m.s.", found.capacitors[number - 1].ripple_rms, "V",
            why="this near to resonance no rule holds"))
    element = found.elements[0]
    rows += [
        _row("rectifier, peak current", element.peak, "A",
             why="it follows from the resistances and the first capacitor"),
        _row("rectifier, r.m.s. current", element.rms, "A",
             why="what heats it: short, tall pulses have more of it than the direct current says"),
        *map(_ruled, rules.values()),
    ]
    return rows + _heat(found) + _line(found)


def _ruled(rule: Rule) -> list[str]:
    return _row(rule.quantity, rule.computed, rule.unit, rule.estimate,
                f"{rule.formula}: {rule.fails}")


def _row(quantity: str, here: float, unit: str, estimate: float | None = None,
         why: str = "") -> list[str]:
    by_rule = NO_RULE if estimate is None else show(estimate, unit, digits=3)
    return [quantity, show(here, unit, digits=3), by_rule, why]


def _direct(found: SupplyResult, number: int) -> list[str]:
    """The direct voltage at capacitor ``number``, two or later, by the drop before it."""
    before, branch = found.capacitors[number - 2], found.branches[number - 1]
    return _row(f"direct voltage at {capacitor_name(number)}", found.capacitors[number - 1].direct, "V",
                before.direct - branch.direct * branch.resistance,
                "voltage before − current × resistance between: holds for direct current; with the "
                "iron warm the resistance is a tenth higher")


def _heat(found: SupplyResult) -> list[list[str]]:
    """The heat in each part, beside what the direct current alone would make."""
    current, supply, rows = found.direct_current, found.supply, []
    halves = 2 if supply.arrangement == FULL_WAVE else 1
    rules = {
        "winding": (current**2 * supply.transformer.resistance / halves,
                    "direct current² × resistance: far too low, since its pulses heat by their "
                    "r.m.s. value"),
        series_resistors(supply): (current**2 * supply.series_resistance / halves,
                            "direct current² × resistance: far too low, for the same reason"),
        BLEEDER_NAME: (found.output_voltage**2 / supply.bleeder if supply.bleeder else 0.0,
                    "voltage² / resistance: holds, and grows with the square at high mains"),
    }
    if isinstance(supply.rectifier, SiliconRectifier):
        in_turn = 2 if supply.arrangement == BRIDGE else 1
        rules["rectifier"] = (in_turn * supply.rectifier.drop * current,
                              "forward drop × current: near enough; an old valve makes far more")
    for branch in found.branches:
        rules[supply.series_name(branch.section + 1)] = (
            branch.direct**2 * branch.resistance,
            "direct current² × resistance: holds while the ripple in it is small")
    for entry in found.dissipation:
        if entry.power > 0 and entry.part != "load":
            estimate, why = rules.get(entry.part, (None, "the drop moves with the current"))
            rows.append(_row(f"heat, {entry.part}", entry.power, "W", estimate, why))
    return rows


def _line(found: SupplyResult) -> list[list[str]]:
    """The primary's current with the heaters' share, and the fuse that it asks for."""
    transformer, heater = found.supply.transformer, found.supply.heater
    power = found.input_power
    if heater is not None and found.heater_voltage is not None:
        power += found.heater_voltage * heater.load_current
    fuse = primary_fuse(found)
    return [
        _row("primary, r.m.s. current", found.primary_current, "A",
             power / (transformer.mains_voltage * found.mains),
             "power of heaters and high tension / mains voltage: too low, since the high tension's "
             "share comes in pulses; iron loss is in neither"),
        ["line fuse, time-lag", show(fuse.rating, "A"), show(fuse.least_rating, "A", digits=3),
         "current / 0.75, rounded up to a value that is made; reckon it at high mains. It guards "
         "the transformer and the house, not you"],
    ]

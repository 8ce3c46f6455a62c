"""The table of a supply's numbers: nothing missing, each beside its rule and where it fails."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rxlearn.compute.power_supply import solve
from rxlearn.compute.quantities import parse
from rxlearn.compute.supply_parts import Load
from rxlearn.compute.supply_rules import rules_for
from rxlearn.figures.supply_table import COLUMNS, NO_RULE, every_number
from rxlearn.plan.document import Plan
from rxlearn.plan.power_supply import supply_of

SUPPLIES = {
    "demo": {}, "valve": {"rectifier": "6X4"}, "bridge": {"arrangement": "bridge"},
    "half wave": {"arrangement": "half wave"}, "no load": {"load": 0.0},
}


def table(**changes):
    """The solved supply and its rows by the first column."""
    found = solve(supply_of(Plan.demo(), **changes))
    return found, {row[0]: row[1:] for row in every_number(found)}


def power(text: str) -> float:
    return parse(text, "W")


@pytest.mark.parametrize("which", SUPPLIES)
def test_every_rule_and_every_part_that_gets_warm_has_its_row(which):
    found, rows = table(**SUPPLIES[which])
    assert all(len(row) == len(COLUMNS) - 1 and all(row) for row in rows.values())
    said = " ".join(why for *_, why in rows.values())
    for rule in rules_for(found):
        assert rule.fails in said and rule.formula in said
    warm = {entry.part for entry in found.dissipation if entry.power > 0} - {"load"}
    assert {name.removeprefix("heat, ") for name in rows if name.startswith("heat")} == warm
    assert {"rectifier, peak current", "rectifier, r.m.s. current", "primary, r.m.s. current",
            "line fuse, time-lag", "peak inverse voltage",
            "direct voltage at capacitor C2"} <= rows.keys()


@pytest.mark.parametrize("which", SUPPLIES)
def test_heat_and_load_are_what_goes_in(which):
    """DERIVED: energy is kept; each number is shown to three digits."""
    found, rows = table(**SUPPLIES[which])
    heat = sum(power(row[0]) for name, row in rows.items() if name.startswith("heat"))
    assert heat + found.power_in("load") == pytest.approx(found.input_power, rel=5e-3)


def test_rules_for_heat_by_hand():
    """DERIVED: I²R with the demo's 120 Ω choke, V²/R with its 47 kΩ, and a drop for each diode.

    Two halves of 150 Ω that take turns have the heat of the direct current in one half of 75 Ω.
    """
    found, rows = table()
    current = found.direct_current
    assert power(rows["heat, choke L4"][1]) == pytest.approx(current**2 * 120, rel=5e-3)
    assert power(rows["heat, winding"][1]) == pytest.approx(current**2 * 75, rel=5e-3)
    assert power(rows["heat, bleeder R1"][0]) == pytest.approx(found.output_voltage**2 / 47e3, rel=5e-3)
    bridge, rows = table(arrangement="bridge")
    assert power(rows["heat, rectifier"][1]) == pytest.approx(
        2 * bridge.supply.rectifier.drop * bridge.direct_current, rel=5e-3)
    assert power(rows["heat, rectifier"][0]) == pytest.approx(
        power(rows["heat, rectifier"][1]), rel=0.05)


def test_pulses_heat_the_winding_more_than_the_direct_current_says():
    _, rows = table()
    assert power(rows["heat, winding"][0]) > 5 * power(rows["heat, winding"][1])
    assert parse(rows["primary, r.m.s. current"][0], "A") > parse(
        rows["primary, r.m.s. current"][1], "A")


def test_a_valves_heat_has_no_rule():
    _, rows = table(rectifier="6X4")
    assert rows["heat, rectifier"][1] == NO_RULE


def test_nothing_drawn_at_all():
    supply = replace(supply_of(Plan.demo()), bleeder=None, load=Load(0.0))
    rows = {row[0]: row[1:] for row in every_number(solve(supply))}
    assert "voltage with high mains and no load" in rows and "peak inverse voltage" in rows
    assert not [name for name in rows if name.startswith("heat")]

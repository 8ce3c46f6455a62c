"""Ratings in words, rules of thumb with their errors, the fuse."""

import math
from dataclasses import replace

import pytest

from rxlearn.compute.power_supply import demonstration_supply, highest_voltage, solve
from rxlearn.compute.rectifiers import SiliconRectifier
from rxlearn.compute.supply_parts import (
    BRIDGE,
    FULL_WAVE,
    HALF_WAVE,
    HeaterWinding,
    Load,
    Regulator,
    Section,
    Supply,
    Transformer,
)
from rxlearn.compute.supply_ratings import (
    FUSE_RATINGS,
    check_ratings,
    exceeded,
    first_surge,
    highest_inverse,
    primary_fuse,
)
from rxlearn.compute.supply_rules import capacitor_ripple, l_section_ripple, rules_for
from rxlearn.data.rectifier_valves import RECTIFIER_VALVES, REGULATOR_TUBES


def finding(supply, part, quantity):
    """The one finding about ``quantity`` of ``part``."""
    found = [f for f in check_ratings(solve(supply))
             if f.part == part and f.quantity.startswith(quantity)]
    assert len(found) == 1, [f"{f.part}: {f.quantity}" for f in check_ratings(solve(supply))]
    return found[0]


def ideal(voltage=300.0, resistance=1.0, arrangement=FULL_WAVE, **more):
    return Supply(Transformer(voltage, resistance, frequency=60.0, mains_tolerance=0.0),
                  SiliconRectifier(0.0, 1e-3), arrangement, (Section(40e-6),), **more)


# Ratings ---------------------------------------------------------------------------------


def test_capacitors_are_judged_at_high_mains_without_load():
    """DERIVED: √2 × e.m.f. × 1.1; the load's 289 V would have passed 350 V."""
    supply = demonstration_supply()
    weak = replace(supply, sections=(Section(22e-6, rated_voltage=350.0), supply.sections[1]))
    judged = finding(weak, "capacitor C1", "voltage")
    assert judged.value == pytest.approx(1.1 * math.sqrt(2) * supply.transformer.emf, abs=1)
    assert judged.exceeded and "take one of higher voltage" in judged.sentence
    assert "high mains and nothing drawing current" in judged.sentence
    assert not finding(supply, "capacitor C2", "voltage").exceeded


@pytest.mark.parametrize(
    "arrangement, expected", [(FULL_WAVE, 848.5), (BRIDGE, 424.3), (HALF_WAVE, 848.5)]
)
def test_inverse_voltage(arrangement, expected):
    """DERIVED: 2·E_peak, E_peak, 2·E_peak of 300 V r.m.s."""
    assert highest_inverse(ideal(arrangement=arrangement)) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize("rms, inverse, broken", [(325.0, 919.0, False), (450.0, 1273.0, True)])
def test_6x4_inverse_rating(rms, inverse, broken):
    """General Electric 6X4: 1250 V; 2√2 × 325 = 919 V keeps it, 2√2 × 450 = 1273 V does not."""
    supply = replace(demonstration_supply("6X4"), transformer=Transformer(
        rms, 525.0, mains_tolerance=0.0))
    judged = finding(supply, "rectifier 6X4", "inverse voltage")
    assert judged.value == pytest.approx(inverse, abs=1)
    assert judged.limit == 1250.0
    assert judged.exceeded is broken


def test_6x4_wants_resistance_in_its_plates():
    """General Electric 6X4: at least 525 Ω per plate at 325 V r.m.s., capacitor input."""
    supply = replace(demonstration_supply("6X4"), transformer=Transformer(325.0, 150.0))
    judged = finding(supply, "rectifier 6X4", "resistance in each plate")
    assert judged.limit == pytest.approx(525.0)
    assert judged.exceeded and judged.at_least and "add resistors" in judged.sentence
    assert not finding(replace(supply, series_resistance=375.0), "rectifier 6X4",
                       "resistance in each plate").exceeded
    choke = replace(supply, sections=(Section(22e-6, 20.0, 200.0),))
    assert not any("resistance in each" in f.quantity for f in check_ratings(solve(choke)))


def test_5y3_wants_a_small_first_capacitor():
    """RCA manuals 5Y3-GT: 20 µF at most before the choke."""
    supply = demonstration_supply("5Y3-GT")
    judged = finding(supply, "rectifier 5Y3-GT", "first capacitor")
    assert judged.exceeded and "at most 20 µF" in judged.sentence
    small = replace(supply, sections=(Section(16e-6), supply.sections[1]))
    assert not finding(small, "rectifier 5Y3-GT", "first capacitor").exceeded
    assert not any("heater" in f.quantity for f in check_ratings(solve(small))
                   if f.part.startswith("rectifier"))


def test_too_much_current_is_said_at_each_part():
    heavy = solve(replace(demonstration_supply("6X4"), load=Load(0.12)))
    said = " ".join(exceeded(check_ratings(heavy)))
    for words in ("Choke L4: direct current", "Rectifier 6X4: peak current of a plate",
                  "Rectifier 6X4: direct current (capacitor input)", "Transformer: r.m.s. current"):
        assert words in said


def test_first_surge():
    """DERIVED: peak at high mains over the resistance; a choke prevents it."""
    supply = demonstration_supply()
    assert first_surge(supply) == pytest.approx(1.1 * math.sqrt(2) * supply.transformer.emf / 150)
    assert first_surge(replace(supply, sections=supply.sections[1:])) == 0
    weak = replace(supply, rectifier=SiliconRectifier(surge_current=2.0))
    assert finding(weak, "rectifier", "first surge").exceeded


def test_heater_winding_bleeder_and_regulator():
    supply = demonstration_supply()
    hot = replace(supply, heater=HeaterWinding(6.3, 2.0, 3.0))
    assert finding(hot, "heater winding", "current").exceeded
    assert finding(supply, "heater winding", "highest voltage").value == pytest.approx(
        6.3 * (1.1 * 1.1 - 0.1 * 0.9))
    bleeder = finding(replace(supply, bleeder_rating=7.0), "bleeder R1", "dissipation")
    assert bleeder.value == pytest.approx(highest_voltage(supply, 1.1) ** 2 / 47e3)
    assert not bleeder.exceeded and finding(supply, "bleeder R1", "dissipation").exceeded
    starved = replace(supply, regulator=Regulator(150.0, 12e3, Load(0.008), 100.0))
    assert finding(starved, "regulator", "lowest current").exceeded
    flooded = replace(supply, regulator=Regulator(150.0, 2e3, Load(0.008), 100.0))
    assert finding(flooded, "regulator", "highest current").exceeded


def test_a_reversed_electrolytic_is_noticed():
    """Too small a capacitor before a choke is swung below zero once half wave leaves it alone."""
    supply = replace(demonstration_supply(), arrangement=HALF_WAVE, load=Load(0.0, 8000.0),
                     sections=(Section(0.3e-6, rated_voltage=450.0), Section(22e-6, 3.0, 120.0)))
    assert finding(supply, "capacitor C1", "lowest voltage").exceeded


def test_unknown_ratings_are_not_judged():
    bare = Supply(Transformer(230.0, 150.0), SiliconRectifier(0.8, 0.1, None, None, None),
                  FULL_WAVE, (Section(22e-6),), Load(0.05))
    assert check_ratings(solve(bare)) == ()


def test_sentences_are_sentences():
    for name in ("silicon", *RECTIFIER_VALVES):
        for judged in check_ratings(solve(demonstration_supply(name))):
            assert judged.sentence.endswith(".") and judged.part.lower() in judged.sentence.lower()
            assert ("allowed:" in judged.sentence) is judged.exceeded


def test_tables_hang_together():
    """The makers' own points keep their own limits: 2√2 × capacitor-input volts below the PIV."""
    for valve in RECTIFIER_VALVES.values():
        assert valve.source
        assert 2 * math.sqrt(2) * valve.capacitor_input[0] < valve.peak_inverse_voltage
        assert valve.steady_peak_current > 2 * valve.capacitor_input[1]
    for tube in REGULATOR_TUBES.values():
        assert tube.source and tube.least_current < tube.most_current
        assert tube.striking_voltage > tube.voltage


# The fuse ----------------------------------------------------------------------------------


def test_fuse_is_the_next_preferred_value_above_the_current_over_three_quarters():
    """Makers' practice: use UL types at 75 % of their rating at 25 °C; values IEC 60127-2."""
    result = solve(demonstration_supply())
    fuse = primary_fuse(result)
    assert fuse.least_rating == pytest.approx(result.primary_current / 0.75)
    assert fuse.rating == min(value for value in FUSE_RATINGS if value >= fuse.least_rating)
    assert {0.032, 0.25, 0.315, 0.63, 1.0, 10.0} <= set(FUSE_RATINGS)


def test_primary_current_is_the_ampere_turns():
    """DERIVED: a bridge's primary carries the winding's current times the turns ratio."""
    supply = replace(demonstration_supply(), arrangement=BRIDGE, heater=None)
    result = solve(supply)
    ratio = supply.transformer.emf / supply.transformer.mains_voltage
    assert result.primary_current == pytest.approx(ratio * result.winding_rms[0])
    full = solve(replace(supply, arrangement=FULL_WAVE))
    assert full.primary_current == pytest.approx(
        ratio * math.sqrt(2) * full.winding_rms[0], rel=1e-6)


# Rules of thumb ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "current, frequency, capacitance, volts",
    [(0.060, 120.0, 40e-6, 12.50), (0.100, 100.0, 47e-6, 21.28)],
)
def test_linear_discharge(current, frequency, capacitance, volts):
    """V = I/(f·C), r.m.s. V/(2√3): common formula, from memory; DERIVED."""
    voltage = 300.0
    factor = capacitor_ripple(voltage / current, capacitance, frequency)
    assert factor * voltage * 2 * math.sqrt(3) == pytest.approx(volts, rel=1e-3)


def test_ripple_factors():
    """Millman and Halkias: 1/(4√3·f·C·R) full wave; (√2/3)/(4ω²LC): 0.8292 and 1.1941/(LC)."""
    assert capacitor_ripple(5000.0, 40e-6, 120.0) == pytest.approx(0.012028, rel=1e-4)
    assert capacitor_ripple(1.0, 1e-6, 100.0) == pytest.approx(2886.75, rel=1e-5)
    assert l_section_ripple(1.0, 1e-6, 60.0) == pytest.approx(0.8292, rel=1e-4)
    assert l_section_ripple(1.0, 1e-6, 50.0) == pytest.approx(1.1941, rel=1e-4)
    assert l_section_ripple(10.0, 16e-6, 60.0) == pytest.approx(0.005183, rel=1e-3)


def rule(supply, key):
    return next(rule for rule in rules_for(solve(supply)) if rule.key == key)


def test_rules_hold_in_their_range_and_fail_outside():
    """Each rule is right where its derivation holds, and wrong where it says it is."""
    light = ideal(load=Load(0.0, 50e3))
    assert abs(rule(light, "peak").error) < 0.01
    assert abs(rule(light, "sawtooth").error) < 0.15
    assert abs(rule(light, "inverse").error) < 0.01
    heavy = ideal(resistance=500.0, load=Load(0.0, 2000.0))
    assert rule(heavy, "peak").error > 0.3
    assert rule(heavy, "sawtooth").error > 0.4
    choke = replace(light, sections=(Section(16e-6, 10.0, 1.0),), load=Load(0.0, 5000.0))
    assert abs(rule(choke, "average").error) < 0.01
    assert abs(rule(choke, "choke input").error) < 0.03
    assert rule(choke, "critical").error == pytest.approx(1131 / 1000 - 1, abs=0.01)
    stopping = replace(choke, sections=(Section(16e-6, 1.0, 1.0),), load=Load(0.0, 10e3))
    assert rule(stopping, "average").error < -0.1


def test_each_rule_says_where_it_fails():
    supplies = [demonstration_supply(), demonstration_supply("6X4"),
                replace(demonstration_supply(), sections=(Section(22e-6, 20.0, 200.0),)),
                replace(demonstration_supply(), load=Load(), bleeder=None)]
    for supply in supplies:
        rules = rules_for(solve(supply))
        assert rules
        for one in rules:
            assert len(one.fails) > 30 and one.formula and math.isfinite(one.error)

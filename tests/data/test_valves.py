"""Receiving valves: rows that are whole and agree with themselves and with one another."""

import pytest

from rxlearn.data.parts_trade import SOCKETS
from rxlearn.data.rectifier_valves import RECTIFIER_VALVES
from rxlearn.data.valve_pins import PINS
from rxlearn.data.valves import ALIASES, VALVES


@pytest.mark.parametrize("valve", VALVES.values(), ids=VALVES)
def test_row_is_whole(valve):
    assert valve.name in VALVES and valve.kind and "memory" in valve.source
    assert 0.1 <= valve.heater_current <= 1.0 and valve.heater_voltage == 6.3
    assert (valve.screen_voltage is None) == (valve.screen_current == 0.0)
    assert 0.5 <= valve.bias <= 15.0


@pytest.mark.parametrize("valve", [v for v in VALVES.values() if v.amplification], ids=lambda v: v.name)
def test_a_triodes_three_figures_agree(valve):
    """DERIVED: anode resistance = amplification / transconductance; makers print 5 to 70 kΩ."""
    assert 5e3 < valve.amplification / valve.transconductance < 70e3


@pytest.mark.parametrize("valve", [v for v in VALVES.values() if v.amplification], ids=lambda v: v.name)
def test_a_triodes_noise_is_its_conductances(valve):
    """A triode's noise resistance is about 2.5 / transconductance (W. A. Harris, RCA Review 5
    (1941) 505, from memory); rows are rounded to two digits."""
    assert valve.noise_resistance == pytest.approx(2.5 / valve.transconductance, rel=0.06)


# RCA receiving-tube manuals, typical operation (from memory): anode and screen in mA, volts.
PRINTED = {
    "6BE6": (250, 100, 2.9, 6.8), "6BA6": (250, 100, 11, 4.2), "6AU6": (100, 100, 5.0, 2.1),
    "12AX7": (250, None, 1.2, 0), "12AU7": (250, None, 10.5, 0), "6AQ5": (250, 250, 45, 4.5),
    # European makers' pocket books (from memory).
    "EF80": (170, 170, 10, 2.5), "EF85": (250, 100, 10, 2.5), "EF89": (250, 100, 9, 3),
    "EF183": (200, 90, 12, 4.5), "ECH81": (250, 100, 3.25, 6.7), "EL84": (250, 250, 48, 5.5),
}


@pytest.mark.parametrize("name", PRINTED)
def test_currents_as_printed(name):
    anode, screen, anode_current, screen_current = PRINTED[name]
    valve = VALVES[name]
    assert (valve.anode_voltage, valve.screen_voltage) == (anode, screen)
    assert valve.supply_current == pytest.approx((anode_current + screen_current) * 1e-3)


def test_every_alias_leads_to_a_row():
    assert ALIASES and all(name in VALVES for name in ALIASES.values())
    assert not set(ALIASES) & set(VALVES)


@pytest.mark.parametrize("valve", VALVES.values(), ids=VALVES)
def test_the_printed_operation_is_within_the_printed_limits(valve):
    """Makers print typical operation inside their own ratings; DERIVED: heat = volts × current."""
    assert valve.anode_voltage <= valve.most_anode_voltage
    assert valve.anode_voltage * valve.anode_current <= valve.most_anode_power * 1.01
    assert 0.5 <= valve.most_anode_power <= 15.0
    assert (valve.screen_voltage is None) == (valve.most_screen_voltage is None)
    assert (valve.screen_voltage or 0.0) <= (valve.most_screen_voltage or 0.0)


@pytest.mark.parametrize("name", PINS)
def test_a_base_has_its_pins(name):
    """As many pins as its socket, two for the heater, and each electrode that the valve has."""
    assert name in VALVES or name in RECTIFIER_VALVES
    pins = PINS[name]
    assert len(pins) == int(SOCKETS[name].split()[1])
    assert sum(p in ("heater", "filament") for p in pins) == (1 if "heater and cathode" in pins else 2)
    if name in VALVES:
        words = " ".join(pins)
        assert "anode" in words and "cathode" in words
        assert ("grid 2" in words or "grids 2" in words) == (VALVES[name].screen_voltage is not None)
        assert pins.count("anode a") == pins.count("anode b") == (VALVES[name].sections == 2)


# Pins as in the symbol library of a circuit-drawing program (Valve.kicad_sym, version 6.0.10, seen
# November 2026): another hand's reading of the makers' sheets.
DRAWN = {
    "12AT7": {1: "anode", 2: "grid", 3: "cathode", 6: "anode", 7: "grid", 8: "cathode", 4: "heater",
              5: "heater"},
    "12AX7": {1: "anode", 2: "grid", 3: "cathode", 6: "anode", 7: "grid", 8: "cathode"},
    "EL84": {2: "grid 1", 3: "cathode and grid 3", 4: "heater", 5: "heater", 7: "anode", 9: "grid 2"},
    "EF80": {2: "grid 1", 4: "heater", 5: "heater", 6: "screen", 7: "anode", 8: "grid 2", 9: "grid 3"},
    "EF85": {2: "grid 1", 7: "anode", 8: "grid 2", 9: "grid 3"},
    "ECH81": {1: "grids 2 and 4", 2: "grid 1", 3: "cathode", 4: "heater", 5: "heater", 6: "anode",
              7: "grid 3", 8: "triode's anode", 9: "triode's grid"},
}


@pytest.mark.parametrize("name", DRAWN)
def test_pins_as_others_draw_them(name):
    for pin, electrode in DRAWN[name].items():
        assert PINS[name][pin - 1].startswith(electrode), (name, pin)

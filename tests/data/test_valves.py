"""Receiving valves: rows that are whole and agree with themselves and with one another."""

import pytest

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

"""Electrode voltages, sound and faulty: Ohm's law and the straight valve, solved anew."""

import pytest

from rxlearn.compute.circuits import ValveFigures
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.stage_voltages import ANODE_LOADS, FAULTS, stage_voltages

TRIODE = ValveFigures(name="12AX7", bias=2.0, current=1.2e-3, anode_current=1.2e-3,
                      conductance=1.6e-3, mu=100.0)
PENTODE = ValveFigures(name="6BA6", bias=1.0, current=15.2e-3, anode_current=11e-3, conductance=4.4e-3,
                       screen=100.0, screen_current=4.2e-3)


def by_steps(valve, resistor, grid):
    """Cathode current found by halving: the straight characteristic against Ohm's law."""
    slope = valve.conductance * valve.current / valve.anode_current
    low, high = 0.0, 1.0
    for _ in range(80):
        current = (low + high) / 2
        wanted = valve.current + slope * (grid - current * resistor + valve.bias)
        low, high = (current, high) if wanted > current else (low, current)
    return low


def test_a_sound_triode_by_ohms_law():
    """DERIVED: cathode I R, anode supply less I times the load; resistor 1.8 kΩ (E12)."""
    found = stage_voltages("audio_amplifier", TRIODE, supply=250.0)
    current = by_steps(TRIODE, 1.8e3, 0.0)
    assert found.current_found == pytest.approx(current, rel=1e-9, abs=0)
    assert found.reading("cathode").found == pytest.approx(1.8e3 * current, rel=1e-6, abs=0)
    assert found.reading("anode").found == pytest.approx(250 - 100e3 * current, rel=1e-6, abs=0)
    assert all(row.sound == row.found for row in found.readings)


def test_a_leak_lifts_the_grid_and_the_current():
    """DERIVED: divider of leak and grid leak from half the supply, then the same two laws."""
    found = stage_voltages("output", TRIODE, supply=250.0, fault="leak", leakage=5e6)
    grid = 125 * 470e3 / 5.47e6
    assert found.reading("grid").found == pytest.approx(grid, rel=1e-6, abs=0)
    assert found.current_found == pytest.approx(by_steps(TRIODE, 1.8e3, grid), rel=1e-9, abs=0)
    assert found.current_found > 1.5 * found.current_sound


@pytest.mark.parametrize("stage", ANODE_LOADS)
@pytest.mark.parametrize("supply", [60.0, 250.0, 400.0])
def test_a_cold_valve_drops_nothing(stage, supply):
    found = stage_voltages(stage, PENTODE, supply=supply, fault="heater")
    assert found.current_found == 0.0
    assert found.reading("anode").found == found.reading("screen").found == supply
    assert found.reading("cathode").found == 0.0


def test_open_parts():
    anode = stage_voltages("audio_amplifier", TRIODE, supply=250.0, fault="anode")
    assert anode.reading("anode").found == 0.0 and anode.current_found == 0.0
    cathode = stage_voltages("audio_amplifier", TRIODE, supply=250.0, fault="cathode")
    # The straight line meets zero current at bias + I/g.
    assert cathode.reading("cathode").found == pytest.approx(2.0 + 1.2 / 1.6, rel=1e-6, abs=0)
    screen = stage_voltages("intermediate_amplifier", PENTODE, supply=250.0, fault="screen")
    assert screen.reading("screen").found == 0.0 and screen.reading("anode").found == 250.0


def test_what_cannot_be_is_left_out_or_refused():
    without = stage_voltages("output", TRIODE, supply=250.0, fault="screen")
    assert without == stage_voltages("output", TRIODE, supply=250.0)
    with pytest.raises(Unclear):
        stage_voltages("output", TRIODE, supply=float("nan"))
    with pytest.raises(Unclear):
        stage_voltages("output", TRIODE, supply=250.0, fault="leak", leakage=0.0)
    with pytest.raises(KeyError):
        stage_voltages("output", TRIODE, supply=250.0).reading("screen")
    assert set(FAULTS) == {"none", "heater", "cathode", "anode", "screen", "leak"}

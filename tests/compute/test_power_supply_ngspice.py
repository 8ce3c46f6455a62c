"""Steady states against ngspice, circuit by circuit, with the same laws of the elements.

ngspice: a general circuit simulator that steps through time; the reference
side (tests/compute/supply_circuits.py) imports nothing from rxlearn.  Bounds:
direct voltage 0.2 %, ripple 1 %, peak current 2 %.
"""

import dataclasses
import math

import pytest

from rxlearn.compute.power_supply import solve
from tests.compute.supply_builds import built
from tests.compute.supply_circuits import CIRCUITS, Circuit, ngspice_or_reason, simulate


@pytest.mark.parametrize("circuit", CIRCUITS, ids=lambda circuit: circuit.name)
def test_steady_state_against_ngspice(circuit, tmp_path):
    measured = simulate(ngspice_or_reason(), circuit.netlist(), tmp_path)
    result = solve(built(circuit))
    assert len(result.capacitors) == len(circuit.sections)
    for number, capacitor in enumerate(result.capacitors, start=1):
        direct, swing = measured[f"v{number}avg"], measured[f"v{number}pp"]
        assert capacitor.direct == pytest.approx(direct, rel=0.002), f"d.c. at {number}"
        ripple = capacitor.ripple_peak_to_peak
        assert ripple == pytest.approx(swing, rel=0.01), f"ripple at {number}"
        assert capacitor.highest == pytest.approx(measured[f"v{number}max"], rel=0.003)
        alternating = math.sqrt(max(measured[f"v{number}rms"] ** 2 - direct**2, 0.0))
        # Of two printed numbers that are nearly equal the difference has few digits left.
        if alternating > 0.03 * direct:
            assert capacitor.ripple_rms == pytest.approx(alternating, rel=0.01), f"r.m.s. {number}"
    for element, name in zip(result.elements, circuit.elements, strict=True):
        assert element.peak == pytest.approx(measured[f"{name}max"], rel=0.02), f"peak {name}"
        assert element.average == pytest.approx(measured[f"{name}avg"], rel=0.005), f"average {name}"
        assert element.rms == pytest.approx(measured[f"{name}rms"], rel=0.01), f"r.m.s. {name}"


def test_enough_circuits_and_the_hard_ones_among_them():
    assert len(CIRCUITS) >= 24
    names = " ".join(circuit.name for circuit in CIRCUITS)
    for word in ("bleeder alone", "overload", "tiny choke", "huge choke", "below critical",
                 "high resistance", "half wave 50 Hz", "unbalanced"):
        assert word in names


@pytest.mark.parametrize(
    "kind, valve",
    [("full wave", None), ("bridge", None), ("half wave", None), ("full wave", 6.8e-4),
     ("half wave", 6.8e-4)],
)
def test_no_load_is_the_limit_that_ngspice_creeps_to(kind, valve, tmp_path):
    """With nothing drawing current a simulation only ever creeps up; ours is the limit."""
    circuit = Circuit("no load", kind=kind, valve=valve, bleeder=None, start=0.99, settle=2.0,
                      sections=((0.0, 0.0, 1e-6),))
    measured = simulate(ngspice_or_reason(), circuit.netlist(), tmp_path)
    result = solve(built(circuit))
    assert result.output_voltage == pytest.approx(measured["v1avg"], rel=0.002)
    assert result.output_voltage >= measured["v1max"] - 1e-3
    assert result.capacitors[-1].ripple_peak_to_peak == 0
    assert measured["v1pp"] < 0.2


@pytest.mark.parametrize("name", ["usual, silicon", "choke below critical", "half wave 50 Hz"])
def test_the_reference_itself_has_settled(name, tmp_path):
    """Twice the time and half the step change ngspice's answer by far less than the bounds."""
    program = ngspice_or_reason()
    circuit = next(circuit for circuit in CIRCUITS if circuit.name == name)
    plain = simulate(program, circuit.netlist(), tmp_path)
    finer = simulate(program, circuit.netlist(settle=2 * circuit.settle, steps=800), tmp_path)
    assert plain["v1avg"] == pytest.approx(finer["v1avg"], rel=3e-4)
    assert plain["v1pp"] == pytest.approx(finer["v1pp"], rel=3e-3)
    assert plain["amax"] == pytest.approx(finer["amax"], rel=3e-3)


def test_a_wrong_circuit_would_be_noticed(tmp_path):
    """The bounds can fail: a tenth more capacitance before the choke breaks the ripple's."""
    circuit = CIRCUITS[0]
    other = dataclasses.replace(circuit, sections=((0.0, 0.0, 24.2e-6), circuit.sections[1]))
    measured = simulate(ngspice_or_reason(), other.netlist(), tmp_path)
    ripple = solve(built(circuit)).capacitors[0].ripple_peak_to_peak
    assert ripple != pytest.approx(measured["v1pp"], rel=0.01)

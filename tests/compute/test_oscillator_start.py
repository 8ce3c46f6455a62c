"""Whether an oscillator starts: held against the poles of the drawn circuit, and sums by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest

from rxlearn.compute.circuits import ValveFigures
from rxlearn.compute.oscillator_start import oscillator_start
from rxlearn.compute.quantities import Unclear

# RCA receiving-tube manuals, typical operation (from memory).
PENTODE = ValveFigures(name="6AU6", bias=1.0, current=7.1e-3, anode_current=5e-3, conductance=3.9e-3,
                       screen=100.0, screen_current=2.1e-3)
TRIODE = ValveFigures(name="6C4", bias=8.5, current=10.5e-3, anode_current=10.5e-3, conductance=2.2e-3, mu=17.0)


def grows(inductance, frequency, tank, share, pentode=None, triode=None):
    """Whether the drawn circuit has a growing swing: poles of its node equations, written anew.

    Nodes: tank's top (grid), tap (cathode) and, with a triode, anode.  The coil is two parts that catch
    nearly one flux; the quadratic eigenvalue problem C s² + G s + Γ = 0 is solved as a linear one.
    """
    parts = inductance * np.array([(1 - share) ** 2, share**2])
    mutual = 0.999 * math.sqrt(parts[0] * parts[1])
    # Branches: top to tap, tap to chassis.
    branch = np.linalg.inv(np.array([[parts[0], mutual], [mutual, parts[1]]]))
    size = 2 if triode is None else 3
    joined = np.zeros((2, size))
    joined[0, :2], joined[1, 1] = (1, -1), 1
    gamma = joined.T @ branch @ joined
    farads = np.eye(size) * 1e-15
    farads[0, 0] = 1 / ((2 * math.pi * frequency) ** 2 * inductance)
    leads = np.zeros((size, size))
    leads[0, 0] = 1 / tank + 1 / 47e3  # tank and grid leak as drawn
    if pentode:
        leads[1, :2] += (-pentode, pentode)
    else:
        conductance, resistance = triode
        for node, sign in ((2, 1), (1, -1)):
            leads[node] += sign * np.array([conductance, -conductance - 1 / resistance, 1 / resistance])
        leads[2, 2] += 1 / 4.7e3
    top = np.linalg.solve(farads, np.hstack([leads, gamma]))
    poles = np.linalg.eigvals(np.block([[-top], [np.eye(size), np.zeros((size, size))]]))
    swing = poles[np.argmin(np.abs(np.abs(poles.imag) - 2 * math.pi * frequency))]
    return swing.real > 0


@pytest.mark.parametrize("valve", [PENTODE, TRIODE], ids=["pentode", "triode"])
@pytest.mark.parametrize("share", [0.15, 0.25, 0.4])
def test_it_starts_where_the_poles_of_the_circuit_cross(valve, share):
    """DERIVED: linear network theory; a tank just below and just above what the gain asks for."""
    inductance, frequency = 1e-6, 10e6
    found = oscillator_start(inductance, frequency, 100.0, share, valve)
    wanted = 1 / (share * found.current)  # of tank and leak together, so that the gain is one
    tank = 1 / (1 / wanted - 1 / 47e3)
    given = {"pentode": 3.9e-3 * 7.1 / 5} if valve.screen else {"triode": (2.2e-3, 17 / 2.2e-3)}
    assert grows(inductance, frequency, 1.05 * tank, share, **given)
    assert not grows(inductance, frequency, 0.95 * tank, share, **given)


def test_the_gain_by_hand():
    """DERIVED: ωL 62.8 Ω, with Q 100 6.28 kΩ, beside 47 kΩ 5.54 kΩ; cathode's slope 3.9 × 7.1/5 = 5.54 mS;
    × ¼ × ¾ is 5.75."""
    found = oscillator_start(1e-6, 10e6, 100.0, 0.25, PENTODE)
    assert found.resistance == pytest.approx(5543, rel=1e-3) and found.gain == pytest.approx(5.755, rel=2e-3)
    assert found.sure
    again = oscillator_start(found.inductance_wanted, 10e6, 100.0, 0.25, PENTODE)
    assert again.gain == pytest.approx(2.0, rel=1e-9)
    assert not oscillator_start(0.1e-6, 10e6, 100.0, 0.25, PENTODE).sure


def test_what_no_coil_cures_and_what_cannot_be():
    weak = replace(PENTODE, conductance=0.1e-3)  # 47 kΩ × 0.142 mS × 3/16 is 1.25 at most
    assert oscillator_start(1e-6, 10e6, 100.0, 0.25, weak).inductance_wanted == math.inf
    with pytest.raises(Unclear):
        oscillator_start(1e-6, 10e6, 1.0, 0.25, PENTODE)

"""How finely a steady state is sampled, and that its ways of solving agree.

Sources: DERIVED, each case solved again with the same equations on a finer grid or another way.
"""

from dataclasses import replace

import numpy as np
import pytest

from rxlearn.compute import supply_balance
from rxlearn.compute.power_supply import demonstration_supply, solve
from rxlearn.compute.rectifiers import SiliconRectifier, ValveRectifier
from rxlearn.compute.supply_network import source
from rxlearn.compute.supply_parts import Load, Section
from tests.compute.supply_builds import built
from tests.compute.supply_circuits import CIRCUITS, K_6X4

FINER = {
    "PULSE_INSTANTS": {SiliconRectifier: 120, ValveRectifier: 80},
    "STEADY_INSTANTS": {True: 512, False: 1024},
    "FINE_INSTANTS": {True: 320, False: 480},
    "MOST_WITH_KINK": {True: 240, False: 320},
    "MOST_CONDUCTING": 500,
}
CHOKES = [c for c in CIRCUITS if c.name.startswith("choke input") and "short" not in c.name]


@pytest.mark.parametrize("circuit", CIRCUITS, ids=lambda circuit: circuit.name)
def test_the_usual_grid_spends_at_most_half_of_the_promised_accuracy(circuit, monkeypatch):
    """Promised: direct voltage 0.2 %, ripple 1 %, peak current 2 %."""
    usual = solve(built(circuit))
    for name, value in FINER.items():
        monkeypatch.setattr(supply_balance, name, value)
    finer = solve(built(circuit))
    assert finer.instants > 2 * usual.instants
    for one, other in zip(usual.capacitors, finer.capacitors, strict=True):
        assert one.direct == pytest.approx(other.direct, rel=0.001)
        assert one.ripple_peak_to_peak == pytest.approx(other.ripple_peak_to_peak, rel=0.005)
    for one, other in zip(usual.elements, finer.elements, strict=True):
        assert one.peak == pytest.approx(other.peak, rel=0.01)


@pytest.mark.parametrize("circuit", CHOKES, ids=lambda circuit: circuit.name)
def test_substitution_and_newton_agree_on_a_choke_that_never_stops(circuit, monkeypatch):
    """Within half of what is promised; of the two, Newton's way samples the commutation worse."""
    quick = solve(built(circuit))
    assert quick.continuous
    monkeypatch.setattr(supply_balance, "_never_stops", lambda *_: False)
    other = solve(built(circuit))
    assert other.continuous
    for one, two in zip(quick.capacitors, other.capacitors, strict=True):
        assert one.direct == pytest.approx(two.direct, rel=1e-3)
        assert one.ripple_peak_to_peak == pytest.approx(two.ripple_peak_to_peak, rel=5e-3)


@pytest.mark.parametrize("rectifier", [SiliconRectifier(), ValveRectifier(K_6X4)])
@pytest.mark.parametrize("arrangement", ["full wave", "half wave", "bridge"])
def test_forced_current_comes_back_from_the_voltage_that_it_makes(rectifier, arrangement):
    """Away from commutation one leg carries all of it: Kirchhoff there and back."""
    if arrangement == "bridge" and isinstance(rectifier, ValveRectifier):
        return
    feed = source(replace(demonstration_supply(), arrangement=arrangement, rectifier=rectifier))
    emfs = feed.emfs(np.sin(np.linspace(0.3, 2.8, 40)))
    current = np.linspace(0.01, 0.08, 40)
    total, _ = feed.total(emfs, feed.before(emfs, current))
    np.testing.assert_allclose(total, current, rtol=1e-7)


def test_no_element_peaks_above_the_whole_current():
    """DERIVED: a leg carries at most all of it, also where it takes over between two samples."""
    supply = replace(demonstration_supply(), sections=(Section(20e-6, 30.0, 3.0),),
                     load=Load(0.033), arrangement="bridge")
    supply = replace(supply, transformer=replace(supply.transformer, resistance=3.0))
    result = solve(supply)
    assert result.elements[0].peak <= result.branches[0].highest * (1 + 1e-9)
    assert result.elements[0].peak == pytest.approx(result.branches[0].highest, rel=1e-3)


@pytest.mark.parametrize(
    "wanted, most, expected", [(10, 96, 32), (64, 96, 64), (65, 96, 72), (500, 108, 108),
                               (500, 107, 96), (1e9, 1e9, 60 << 9)],
)
def test_instants_are_enough_or_else_the_most(wanted, most, expected):
    assert supply_balance._instants(wanted, most) == expected

"""Losses of a coil: Medhurst's tables whole, the limits of the blend, and what a former takes."""

import math

import numpy as np
import pytest

from rxlearn.compute.coil_q import (
    coil_loss,
    proximity_ratio,
    q_curve,
    self_capacitance,
)
from rxlearn.compute.coils import Coil
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.wire import direct_resistance, skin_depth, skin_ratio, wire_called
from rxlearn.data.cores import FORMERS

MEDHURST_H = {  # length over diameter: pF per cm of diameter
    50: 5.8, 40: 4.6, 30: 3.4, 25: 2.9, 20: 2.36, 15: 1.86, 10: 1.32, 9: 1.22, 8: 1.12, 7: 1.01,
    6: 0.92, 5: 0.81, 4.5: 0.77, 4: 0.72, 3.5: 0.67, 3: 0.61, 2.5: 0.56, 2: 0.50, 1.5: 0.47,
    1: 0.46, 0.9: 0.46, 0.8: 0.46, 0.7: 0.47, 0.6: 0.48, 0.5: 0.50, 0.45: 0.52, 0.4: 0.54,
    0.35: 0.57, 0.3: 0.60, 0.25: 0.64, 0.2: 0.70, 0.15: 0.79, 0.1: 0.96,
}


@pytest.mark.parametrize("shape, printed", MEDHURST_H.items())
def test_medhursts_column_of_self_capacitance(shape, printed):
    """R. G. Medhurst, Wireless Engineer 24 (1947), table of H (from memory)."""
    assert 1e12 * self_capacitance(1e-2, shape * 1e-2) == pytest.approx(printed, rel=1e-9, abs=0)


def test_self_capacitance_between_the_entries():
    """His own formula, H = 0.1126·l/D + 0.08 + 0.27/√(l/D), lies within a tenth of his table."""
    for shape in np.geomspace(0.1, 50, 300):
        formula = 0.1126 * shape + 0.08 + 0.27 / math.sqrt(shape)
        assert 1e12 * self_capacitance(1e-2, shape * 1e-2) == pytest.approx(formula, rel=0.1, abs=0)
    # Half way on a logarithmic scale lies half way between 0.96 and 0.79 pF to the cm.
    between = self_capacitance(1e-2, math.sqrt(0.1 * 0.15) * 1e-2)
    assert 1e12 * between == pytest.approx(0.875, rel=1e-6, abs=0)
    assert self_capacitance(2e-2, 2e-2) / self_capacitance(1e-2, 1e-2) == pytest.approx(2, rel=1e-6, abs=0)


# The same paper, table of φ (from memory): corners, and the two columns used most.
@pytest.mark.parametrize("filling, at_one, at_ten", [
    (1.0, 5.55, 3.23), (0.9, 4.10, 2.93), (0.8, 3.17, 2.65), (0.7, 2.47, 2.37), (0.6, 1.94, 2.10),
    (0.5, 1.67, 1.83), (0.4, 1.45, 1.58), (0.3, 1.24, 1.35), (0.2, 1.10, 1.17), (0.1, 1.03, 1.04),
])
def test_medhursts_columns_of_resistance(filling, at_one, at_ten):
    assert proximity_ratio(filling, 1.0) == pytest.approx(at_one, rel=1e-6, abs=0)
    assert proximity_ratio(filling, 10.0) == proximity_ratio(filling, 99.0) == pytest.approx(at_ten, rel=1e-6, abs=0)


def test_turns_far_apart_do_not_see_each_other():
    assert proximity_ratio(0.0, 1.0) == 1.0
    rising = [proximity_ratio(filling, 2.0) for filling in np.linspace(0, 1, 41)]
    assert np.all(np.diff(rising) > 0)


COIL = Coil(turns=20, former=20e-3, length=25e-3, wire=wire_called("0.8 mm"))


def test_far_up_the_resistance_is_medhursts():
    """DERIVED: φ times the leading term of the skin effect, less the end turns' share."""
    loss = coil_loss(COIL, 30e6)
    phi = 1 + (proximity_ratio(COIL.filling, COIL.shape) - 1) * (1 - 1 / 20)
    leading = 0.8e-3 / (4 * skin_depth(30e6))
    straight = direct_resistance(0.8e-3, COIL.wire_length)
    assert loss.resistance / straight == pytest.approx(phi * leading + 0.25, rel=0.02, abs=0)
    assert loss.skin == pytest.approx(skin_ratio(0.8e-3, 30e6), rel=1e-6, abs=0)


def test_low_down_only_the_wires_own_resistance_is_left():
    loss = coil_loss(COIL, 1e3)
    assert loss.resistance == pytest.approx(direct_resistance(0.8e-3, COIL.wire_length), rel=1e-2, abs=0)
    assert loss.q == pytest.approx(
        2 * math.pi * 1e3 * COIL.inductance_at(1e3) / loss.resistance, rel=1e-9, abs=0)


def test_q_grows_about_with_the_root_of_frequency_and_with_size():
    """DERIVED: resistance goes with √f where the skin is thin, so Q does, too; a coil twice as
    large in every way has twice the inductance and twice the copper's skin around it."""
    ratio = coil_loss(COIL, 14e6).q / coil_loss(COIL, 3.5e6).q
    assert ratio == pytest.approx(2, rel=0.05, abs=0)


def test_there_is_a_best_wire_neither_thin_nor_touching():
    """On a fixed length the wire that gives most Q is well below the pitch: with Medhurst's φ the
    best filling of coils as long as thick is 0.5 to 0.75 (DERIVED from the table)."""
    def q(filling):
        wire = wire_called("0.8 mm")
        length = 20 * wire.diameter / filling
        scale = 25e-3 / length  # the same coil, seen with a wire that fills it so
        thickness = wire.diameter * scale
        return thickness / (proximity_ratio(filling, 1.2))

    fillings = np.linspace(0.2, 1.0, 81)
    best = fillings[int(np.argmax([q(f) for f in fillings]))]
    assert 0.5 <= best <= 0.8


def test_a_former_takes_its_share_and_more_of_it_at_high_frequency():
    none = coil_loss(COIL, 7e6)
    assert math.isinf(none.q_former) and none.q == none.q_wire
    for material in FORMERS:
        loss = coil_loss(COIL, 7e6, material=material)
        assert loss.q <= none.q and loss.own_capacitance >= none.own_capacitance
        # DERIVED: two losses add as reciprocals of Q.
        assert 1 / loss.q == pytest.approx(1 / loss.q_wire + 1 / loss.q_former, rel=1e-9, abs=0)
    one, four = (coil_loss(COIL, f, material="PVC").q_former for f in (3.5e6, 14e6))
    assert one / four == pytest.approx(16, rel=0.02, abs=0)


def test_doubts_are_named():
    assert coil_loss(COIL, 7e6).doubts == ()
    assert "self-resonance" in coil_loss(COIL, 60e6).doubts[0]
    assert "skin depths" in coil_loss(COIL, 0.1e6).doubts[0]
    few = Coil(turns=3, former=20e-3, length=10e-3, wire=wire_called("0.8 mm"))
    assert "fewer than five turns" in coil_loss(few, 7e6).doubts[0]


@pytest.mark.parametrize("material", ["none", "PVC"])
def test_the_curve_holds_the_single_values(material):
    curve = q_curve(COIL, 7e6, 1e6, 100e6, material=material)
    for at in (0, 17, 40, 60):
        single = coil_loss(COIL, float(curve.frequencies[at]), material=material)
        assert curve.values[at] == pytest.approx(single.q, rel=0.02, abs=0)
        assert bool(curve.trusted[at]) == (not single.doubts)
    assert curve.here.q == coil_loss(COIL, 7e6, material=material).q
    assert curve.without_neighbours > curve.here.q_wire


def test_what_cannot_be_is_refused():
    with pytest.raises(Unclear, match="take one of"):
        coil_loss(COIL, 7e6, material="cheese")
    with pytest.raises(Unclear, match="Frequency"):
        coil_loss(COIL, 1.0)

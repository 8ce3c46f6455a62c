"""One crystal's curve and fixture, a ladder with faults, the beat oscillator against it."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rxlearn.compute.beat_and_filter import beat_against
from rxlearn.compute.crystal import Crystal, typical_crystal
from rxlearn.compute.crystal_curve import impedance_of, read_fixture, sweep_crystal
from rxlearn.compute.ladder_measures import opposite_sideband_db
from rxlearn.compute.ladder_setting import set_ladder
from rxlearn.compute.quantities import Unclear

F, LM, RM, C0 = 4.0e6, 0.12, 25.0, 3.5e-12
CRYSTAL = Crystal(F, LM, RM, C0)
CM = 1 / ((2 * math.pi * F) ** 2 * LM)


def branch(frequency, series=0.0):
    """The textbook circuit, written out: Rm + jωLm + 1/jωCm across C0, with a capacitor in series."""
    w = 2 * math.pi * frequency
    motional = complex(RM, w * LM - 1 / (w * CM))
    whole = 1 / (1 / motional + 1j * w * C0)
    return whole + (1 / (1j * w * series) if series else 0)


# Equivalent circuit of a crystal: IEC 60122-1.
@pytest.mark.parametrize("off", [-3e3, -20.0, 0.0, 50.0, 2e3, 6.0e3, 9e3])
def test_the_impedance_is_that_of_the_circuit(off):
    assert impedance_of(CRYSTAL, np.array([F + off]))[0] == pytest.approx(branch(F + off), rel=1e-5)


@pytest.mark.parametrize("load", [5e-12, 20e-12, 100e-12])
def test_with_a_load_it_resonates_where_its_reactance_is_gone(load):
    curve = sweep_crystal(CRYSTAL, load, F - 5e3, F + 15e3)
    below, above = (branch(curve.loaded + off, load).imag for off in (-30.0, 30.0))
    assert below < 0 < above, "the reactance turns its sign there"
    assert curve.pulled == pytest.approx(F * CM / 2 / (C0 + load), rel=2e-3)


def test_a_sweep_meets_both_resonances_and_the_holder_far_off():
    curve = sweep_crystal(CRYSTAL, 20e-12, F - 200e3, F + 220e3)
    assert curve.impedance.min() == pytest.approx(RM, rel=1e-3)
    top = curve.frequencies[np.argmax(curve.impedance)]
    assert top == pytest.approx(F * math.sqrt(1 + CM / C0), abs=20)
    assert curve.impedance[0] == pytest.approx(curve.holder[0], rel=0.05)
    assert (np.diff(curve.frequencies) > 0).all()


# Series circuit: 3 dB down where the reactance is as large as all resistance (DERIVED).
@pytest.mark.parametrize("resistance", [12.5, 25.0, 100.0])
def test_markers_on_the_3_db_points_give_the_crystal_back(resistance):
    half = (resistance + RM) / (4 * math.pi * LM)
    reading = read_fixture(CRYSTAL, resistance, -half, half, 8 * half)
    # What passes by C0 makes the peak a little lopsided, the more the larger the resistance.
    assert (reading.left_db, reading.right_db) == pytest.approx((3.01, 3.01), abs=0.1)
    assert reading.peak_db == pytest.approx(20 * math.log10(1 + RM / resistance), abs=0.01)
    assert reading.width == pytest.approx(2 * half)
    assert reading.found.motional_inductance == pytest.approx(LM, rel=1e-3, abs=0)
    assert reading.found.resistance == pytest.approx(RM, rel=1e-3)
    near = read_fixture(CRYSTAL, resistance, -half / 2, half / 2, 8 * half)
    assert near.found.motional_inductance == pytest.approx(2 * LM, rel=1e-3, abs=0)


@pytest.mark.parametrize(("left", "right"), [(10.0, 20.0), (-20.0, -10.0), (0.0, 5.0)])
def test_markers_on_one_side_are_refused(left, right):
    with pytest.raises(Unclear, match="one below it and one above"):
        read_fixture(CRYSTAL, 25.0, left, right, 400.0)


def test_a_ladder_without_faults_is_the_design_and_faults_make_ripple():
    plain = set_ladder(CRYSTAL, 4, 2400.0, F - 2e3, F + 8e3)
    assert np.array_equal(plain.levels_db, plain.right_db)
    assert plain.measures.width == pytest.approx(2400, rel=0.03)
    for fault in ({"spread": 600.0}, {"termination": 25.0}):
        bad = set_ladder(CRYSTAL, 4, 2400.0, F - 2e3, F + 8e3, **fault)
        assert bad.measures.ripple_db > plain.measures.ripple_db + 1
        assert bad.designed == plain.measures
        assert bad.levels_db.max() <= 1e-9, "a passive filter gives nothing"
    spread = set_ladder(CRYSTAL, 3, 2400.0, F, F + 8e3, spread=300.0).measures.ladder.crystals
    places = [crystal.frequency - F for crystal in spread]
    assert max(places) - min(places) == pytest.approx(300) and sum(places) == pytest.approx(0, abs=1e-6)


def test_the_two_stations_are_parted_as_the_measures_say():
    """Two routes: the stations' levels, and the ladder's own other sideband."""
    measures = set_ladder(CRYSTAL, 4, 2400.0, F, F + 8e3).measures
    place = measures.width_6 / 2 + 300
    found = beat_against(measures, 4, place, 700.0, F, F + 8e3)
    other = opposite_sideband_db(measures.ladder, found.beat, 700.0, "above")[0]
    assert found.suppression_db == pytest.approx(other, abs=0.01) and other > 20
    assert found.lower_db > found.upper_db
    middle = beat_against(measures, 4, 0.0, 700.0, F, F + 8e3)
    assert middle.suppression_db < 1 and middle.beat == pytest.approx(measures.centre)
    none = beat_against(measures, 0, place, 700.0, F, F + 8e3)
    assert none.suppression_db == 0 and not none.levels_db.any()


@pytest.mark.parametrize("crystals", range(2, 9))
def test_the_upper_slope_is_the_steeper_one(crystals):
    """The parallel resonance lies above: at most a usual crystal's spacing away (IEC 60122-1)."""
    measures = set_ladder(typical_crystal(3.2768e6), crystals, 2200.0, 3.27e6, 3.29e6).measures
    assert measures.edge(20.0, "above") - measures.high[1] < (
        measures.low[1] - measures.edge(20.0, "below"))

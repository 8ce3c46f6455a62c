"""A crystal's equivalent circuit, against the circuit itself, and its figures from the bench."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq, minimize_scalar

from rxlearn.compute.crystal import (
    Crystal,
    capacitance_from_shift,
    closest_set,
    crystal_from_capacitance,
    measured_in_fixture,
    series_from_marked,
    typical_crystal,
)
from rxlearn.compute.quantities import Unclear
from rxlearn.data.crystals import TYPICAL_CRYSTALS

CRYSTALS = st.builds(
    crystal_from_capacitance, st.floats(50e3, 30e6), st.floats(3e-15, 30e-15),
    st.floats(1.0, 100.0), st.floats(3e-12, 8e-12))


def impedance(crystal, frequency):
    """The circuit as drawn in IEC 60122-1: R, L and C in series, C₀ across them (DERIVED)."""
    omega = 2 * math.pi * frequency
    motional = crystal.resistance + 1j * omega * crystal.motional_inductance + 1 / (
        1j * omega * crystal.motional_capacitance)
    return 1 / (1 / motional + 1j * omega * crystal.parallel_capacitance)


def test_a_crystal_says_its_figures():
    # DERIVED: L = 1/(ω²C), Q = ωL/R, parallel resonance from Cm in series with C0.
    crystal = crystal_from_capacitance(8e6, 20e-15, 10.0, 5e-12)
    omega = 2 * math.pi * 8e6
    assert crystal.motional_inductance == pytest.approx(1 / (omega**2 * 20e-15), rel=1e-12, abs=0)
    assert crystal.motional_capacitance == pytest.approx(20e-15, rel=1e-12, abs=0)
    assert crystal.q == pytest.approx(1 / (omega * 20e-15 * 10.0), rel=1e-12, abs=0)
    both = 20e-15 * 5e-12 / (20e-15 + 5e-12)
    parallel = 1 / (2 * math.pi * math.sqrt(crystal.motional_inductance * both))
    assert crystal.parallel_resonance == pytest.approx(parallel, rel=1e-12, abs=0)
    assert crystal.spacing == pytest.approx(parallel - 8e6, rel=1e-6, abs=0)


@given(CRYSTALS, st.floats(0.02, 0.95))
def test_reactance_is_the_circuits_and_comes_back_as_frequency(crystal, part):
    frequency = crystal.frequency + part * crystal.spacing
    lossless = Crystal(crystal.frequency, crystal.motional_inductance, 0.0,
                       crystal.parallel_capacitance)
    found = lossless.reactance(frequency)
    assert found == pytest.approx(impedance(lossless, frequency).imag, rel=1e-6, abs=0)
    # A thousandth of a hertz, beside a megahertz in 64-bit numbers.
    assert lossless.frequency_at(found) == pytest.approx(frequency, rel=1e-9, abs=2e-3)


def test_what_is_no_crystal_is_refused():
    with pytest.raises(Unclear, match="give a larger inductance"):
        Crystal(8e6, 1e-3, 10.0, 4e-12)
    with pytest.raises(Unclear, match="motional inductance"):
        Crystal(8e6, 0.0, 10.0, 4e-12)


@given(CRYSTALS.filter(lambda crystal: crystal.frequency > 1e6), st.sampled_from([12.5, 25.0, 50.0]))
def test_a_fixture_gives_back_the_crystal(crystal, total):
    """Reference: the series circuit itself, swept; the crystal sits between two halves of R."""
    def level(frequency):
        omega = 2 * math.pi * frequency
        motional = crystal.resistance + 1j * crystal.motional_inductance * (
            omega - (2 * math.pi * crystal.frequency) ** 2 / omega)
        return 20 * math.log10(total / abs(total + motional))

    top = level(crystal.frequency)
    wide = 2 * (total + crystal.resistance) / (2 * math.pi * crystal.motional_inductance)
    low, high = (brentq(lambda f: level(f) - top + 10 * math.log10(2), crystal.frequency,
                        crystal.frequency + sign * wide, xtol=1e-6) for sign in (-1, 1))
    found = measured_in_fixture(crystal.frequency, high - low, -top, total,
                                crystal.parallel_capacitance)
    assert found.motional_inductance == pytest.approx(crystal.motional_inductance, rel=1e-4, abs=0)
    assert found.resistance == pytest.approx(crystal.resistance, rel=1e-6, abs=1e-6)


def test_a_fixture_with_the_parallel_capacitance_in_it_errs_little():
    """The limit that the function states: what C₀ lets past costs some percent, no more."""
    crystal = typical_crystal(9e6)
    total = 25.0

    def loss(frequency):
        return 20 * math.log10(abs(total + impedance(crystal, frequency)) / total)

    best = minimize_scalar(loss, bounds=(crystal.frequency - 300, crystal.frequency + 300),
                           method="bounded", options={"xatol": 1e-3})
    low, high = (brentq(lambda f: loss(f) - best.fun - 10 * math.log10(2), best.x, best.x + way)
                 for way in (-2e3, 2e3))
    found = measured_in_fixture(best.x, high - low, best.fun, total, crystal.parallel_capacitance)
    assert found.motional_inductance == pytest.approx(crystal.motional_inductance, rel=0.02, abs=0)
    with pytest.raises(Unclear, match="less resistance"):
        measured_in_fixture(9e6, 1e3, 1.0, 5e3, 5e-12)


@given(CRYSTALS, st.floats(10e-12, 100e-12))
def test_a_shift_gives_back_the_motional_capacitance(crystal, known):
    """Reference: where the crystal without loss and the capacitor resonate, by a root finder."""
    lossless = Crystal(crystal.frequency, crystal.motional_inductance, 0.0,
                       crystal.parallel_capacitance)

    def left(frequency):
        return lossless.reactance(frequency) - 1 / (2 * math.pi * frequency * known)

    shifted = brentq(left, crystal.frequency, crystal.frequency + 0.999 * crystal.spacing,
                     xtol=1e-7)
    found = capacitance_from_shift(crystal.frequency, shifted, known, crystal.parallel_capacitance)
    assert found == pytest.approx(crystal.motional_capacitance, rel=1e-5, abs=0)
    marked = series_from_marked(shifted, lossless, known)
    assert marked == pytest.approx(crystal.frequency, rel=1e-9, abs=0)


def test_a_shift_downwards_is_refused():
    with pytest.raises(Unclear, match="exchange the two"):
        capacitance_from_shift(8e6, 7.999e6, 30e-12, 4e-12)


@pytest.mark.parametrize("frequency", [50e3, 455e3, 1.7e6, 3.2768e6, 9e6, 27e6])
def test_typical_crystals_are_quartz(frequency):
    """C₀/Cm of AT-cut quartz is no less than about 200, Q between 10⁴ and some 10⁵: common
    knowledge of the trade, from memory."""
    crystal = typical_crystal(frequency)
    assert 200 < crystal.parallel_capacitance / crystal.motional_capacitance < 600
    assert 1e4 < crystal.q < 3e5


def test_typical_crystals_meet_their_table():
    for row in TYPICAL_CRYSTALS:
        crystal = typical_crystal(row.frequency)
        assert crystal.motional_capacitance == pytest.approx(row.motional_capacitance, rel=1e-9, abs=0)
        assert crystal.resistance == pytest.approx(row.resistance, rel=1e-9, abs=0)


def test_the_closest_crystals_are_chosen():
    offsets = np.array([120.0, -40.0, 35.0, 300.0, 10.0, -260.0, 60.0])
    assert closest_set(9e6 + offsets, 4) == (1, 4, 2, 6)  # spans 100 Hz; by hand
    with pytest.raises(Unclear, match="only 3 are measured"):
        closest_set(np.array([9e6, 9e6, 9e6]), 4)

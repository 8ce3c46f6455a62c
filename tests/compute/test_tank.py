"""Tuned circuits against published values, exact algebra and a general root finder."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tank import (
    capacitance_for,
    capacitance_ratio,
    fixed_capacitance_for_ratio,
    inductance_for,
    resonant_frequency,
    shift_capacitance,
    tank_for_range,
)

FREQUENCIES = st.floats(1e3, 1e9)
INDUCTANCES = st.floats(1e-8, 1e-2)


@pytest.mark.parametrize(
    "inductance, capacitance, frequency, tolerance",
    [
        # T. R. Kuphaldt, Lessons in Electric Circuits, vol. II, ch. 6 "Resonance".
        (100e-3, 10e-6, 159.155, 5e-6),
        # Worked textbook solution, printed 22507.9 Hz (title not recorded).
        (10e-3, 5e-9, 22507.9, 1e-5),
        # DERIVED from f = 1/(2π√(LC)).
        (5e-6, 100e-12, 7.11763e6, 1e-5),
        (220e-6, 365e-12, 561.646e3, 1e-5),
        (1e-6, 100e-12, 15.9155e6, 1e-5),
    ],
)
def test_resonance(inductance, capacitance, frequency, tolerance):
    assert resonant_frequency(inductance, capacitance) == pytest.approx(frequency, rel=tolerance, abs=0)


def test_inductance_capacitance_product():
    """LC constant 25330.3 for µH, pF, MHz: NEETS Module 9; Terman; DERIVED 1e6/(4π²)."""
    assert capacitance_for(1e6, 1e-6) * 1e12 == pytest.approx(25330.3, rel=1e-5, abs=0)


@given(FREQUENCIES, INDUCTANCES)
def test_round_trips(frequency, inductance):
    capacitance = capacitance_for(frequency, inductance)
    if 1e-15 <= capacitance <= 1:
        assert resonant_frequency(inductance, capacitance) == pytest.approx(frequency, rel=1e-12, abs=0)
        assert inductance_for(frequency, capacitance) == pytest.approx(inductance, rel=1e-12, abs=0)


@given(FREQUENCIES, INDUCTANCES)
def test_reactances_are_equal_at_resonance(frequency, inductance):
    """The definition itself: ωL = 1/(ωC), with no square root in between."""
    omega = 2 * math.pi * frequency
    capacitance = capacitance_for(frequency, inductance)
    assert omega * inductance == pytest.approx(1 / (omega * capacitance), rel=1e-12, abs=0)


def test_arrays_broadcast():
    frequencies = np.array([[1e6], [2e6]])
    capacitances = capacitance_for(frequencies, np.array([1e-6, 2e-6, 4e-6]))
    assert capacitances.shape == (2, 3)
    assert capacitances[0, 0] == pytest.approx(4 * capacitances[1, 0], rel=1e-6, abs=0)


@pytest.mark.parametrize(
    "low, high, ratio",
    [
        # DERIVED: capacitance ratio = (f_high/f_low)², band edges of ITU RR Art. 5, in kHz.
        (3500, 4000, 1.3061),
        (7000, 7300, 1.08755),
        (14000, 14350, 1.050625),
        (28000, 29700, 1.12511),
        (540, 1600, 8.7791),
        (526.5, 1606.5, 9.3103),
        (535, 1705, 10.1564),
    ],
)
def test_capacitance_ratio_for_band(low, high, ratio):
    assert capacitance_ratio(low * 1e3, high * 1e3) == pytest.approx(ratio, rel=1e-4, abs=0)


def test_gang_covers_the_broadcast_band_exactly():
    """DERIVED: 15 to 365 pF over 540 to 1600 kHz wants 29.992 pF and 219.920 µH."""
    fixed = fixed_capacitance_for_ratio(15e-12, 365e-12, 1600 / 540)
    assert fixed == pytest.approx(29.992e-12, rel=1e-4, abs=0)
    assert inductance_for(1600e3, 15e-12 + fixed) == pytest.approx(219.920e-6, rel=1e-4, abs=0)
    assert 15e-12 + fixed == pytest.approx(44.992e-12, rel=1e-4, abs=0)
    assert 365e-12 + fixed == pytest.approx(394.992e-12, rel=1e-4, abs=0)


@pytest.mark.parametrize(
    "smallest, largest, fixed, ratio",
    [
        # DERIVED: √((C_max + x)/(C_min + x)), in pF.
        (15, 365, 0, 4.9329),
        (15, 365, 30, 2.9627),
        (10, 140, 20, 2.3094),
    ],
)
def test_fixed_capacitance_reverses_the_tuning_ratio(smallest, largest, fixed, ratio):
    exact = math.sqrt((largest + fixed) / (smallest + fixed))
    assert exact == pytest.approx(ratio, rel=1e-4, abs=0)
    found = fixed_capacitance_for_ratio(smallest * 1e-12, largest * 1e-12, exact)
    assert found == pytest.approx(fixed * 1e-12, rel=1e-9, abs=1e-20)


@given(st.floats(5, 30), st.floats(50, 500), st.floats(1.02, 2.5))
def test_fixed_capacitance_against_a_root_finder(smallest, largest, ratio):
    """Independent route: scipy's brentq on the ratio itself, in pF."""
    if ratio >= 0.99 * math.sqrt(largest / smallest):
        return
    root = brentq(lambda x: (largest + x) / (smallest + x) - ratio**2, 0, 1e6, xtol=1e-12)
    found = fixed_capacitance_for_ratio(smallest * 1e-12, largest * 1e-12, ratio)
    assert found == pytest.approx(root * 1e-12, rel=1e-6, abs=1e-18)


def test_gang_that_cannot_reach_says_how_far_it_goes():
    with pytest.raises(Unclear, match=r"ratio of 5 .* reaches 4\.933 "):
        fixed_capacitance_for_ratio(15e-12, 365e-12, 5.0)


def test_workbook_oscillator_tank():
    """Invented for the workbook; arithmetic DERIVED: 40 pF over 6.7768 to 7.2768 MHz."""
    tank = tank_for_range(6.7768e6, 7.2768e6, 40e-12)
    assert tank.inductance == pytest.approx(1.83e-6, rel=1e-3, abs=0)
    assert tank.capacitance_at_high == pytest.approx(261e-12, abs=0.5e-12)
    assert tank.capacitance_at_low == pytest.approx(301e-12, abs=0.5e-12)
    assert (tank.low, tank.high, tank.capacitance_swing) == (6.7768e6, 7.2768e6, 40e-12)
    # The 10 MHz time station wants about 5 pF more than the dial's lower end has.
    calibration = shift_capacitance(6.7768e6, 6.7232e6, tank.inductance)
    assert calibration == pytest.approx(5e-12, abs=0.3e-12)
    # The upper band wants a swing of about 4.3 pF around 295 pF.
    at_low, at_high = (capacitance_for(f, tank.inductance) for f in (6.8232e6, 6.8732e6))
    assert at_low - at_high == pytest.approx(4.3e-12, abs=0.05e-12)
    assert (at_low + at_high) / 2 == pytest.approx(295e-12, abs=0.5e-12)


@given(st.floats(1e5, 3e7), st.floats(1.005, 3.0), st.floats(5e-12, 500e-12))
def test_tank_reaches_both_edges(low, ratio, swing):
    tank = tank_for_range(low, low * ratio, swing)
    ends = np.array([tank.capacitance_at_low, tank.capacitance_at_high])
    assert resonant_frequency(tank.inductance, ends) == pytest.approx(
        np.array([tank.low, tank.high]), rel=1e-9
    )
    assert ends[0] - ends[1] == pytest.approx(swing, rel=1e-9, abs=0)


@given(st.floats(1e6, 3e7), st.floats(0.5, 2.0), st.floats(1e-7, 1e-4))
def test_shift_is_antisymmetric_and_does_what_it_says(start, ratio, inductance):
    end = start * ratio
    shift = shift_capacitance(start, end, inductance)
    assert shift == pytest.approx(-shift_capacitance(end, start, inductance), rel=1e-9, abs=1e-22)
    pulled = resonant_frequency(inductance, capacitance_for(start, inductance) + shift)
    assert pulled == pytest.approx(end, rel=1e-9, abs=0)
    assert (shift > 0) == (end < start) or end == start


def test_half_a_percent_of_capacitance_is_a_quarter_of_frequency():
    """DERIVED: 7 MHz, C +1000 ppm: −3497.4 Hz against −3500 Hz of the linear rule."""
    inductance = 5e-6
    pulled = resonant_frequency(inductance, 1.001 * capacitance_for(7e6, inductance))
    assert pulled - 7e6 == pytest.approx(-3497.4, abs=0.1)


BAD = [math.nan, math.inf, -math.inf, -1.0, 0.0, "7e6", None, True, 1e300]


@pytest.mark.parametrize("bad", BAD, ids=repr)
@pytest.mark.parametrize(
    "call, name",
    [
        (lambda bad: resonant_frequency(bad, 1e-10), "Inductance"),
        (lambda bad: resonant_frequency(1e-6, bad), "Capacitance"),
        (lambda bad: capacitance_for(bad, 1e-6), "Frequency"),
        (lambda bad: capacitance_for(7e6, bad), "Inductance"),
        (lambda bad: inductance_for(7e6, bad), "Capacitance"),
        (lambda bad: capacitance_ratio(bad, 7e6), "Frequency"),
        (lambda bad: tank_for_range(7e6, bad, 1e-11), "Frequency"),
        (lambda bad: tank_for_range(7e6, 8e6, bad), "Capacitance swing"),
        (lambda bad: shift_capacitance(7e6, bad, 1e-6), "Frequency"),
        (lambda bad: fixed_capacitance_for_ratio(bad, 1e-9, 2), "Capacitance"),
        (lambda bad: fixed_capacitance_for_ratio(1e-11, 1e-9, bad), "Frequency ratio"),
    ],
)
def test_bad_value_is_named(call, name, bad):
    with pytest.raises(Unclear) as error:
        call(bad)
    assert str(error.value).startswith(f"{name} ")
    assert len(str(error.value).splitlines()) == 1


def test_swing_that_no_coil_suits_says_so():
    with pytest.raises(Unclear, match="^Capacitance swing of 1 µF .* would need a coil of 49.9"):
        tank_for_range(100e6, 101e6, 1e-6)


@pytest.mark.parametrize(
    "call",
    [
        lambda: capacitance_ratio(4e6, 3.5e6),
        lambda: capacitance_ratio(4e6, 4e6),
        lambda: tank_for_range(7.3e6, 7e6, 1e-11),
        lambda: fixed_capacitance_for_ratio(365e-12, 15e-12, 2),
    ],
)
def test_reversed_edges_are_named(call):
    with pytest.raises(Unclear, match="the wrong way round; give the (lower edge|smallest) first"):
        call()

"""Tracking against Terman's constants, exact fractions and a numerical solution of the circuit."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import least_squares, root

from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tracking import (
    ACROSS_COIL,
    ACROSS_GANG,
    EVEN_INSET,
    TRIMMER_PLACES,
    signal_circuit,
    three_point_parts,
    track,
    tracking_constants,
)

PF = 1e-12
POINTS = (600e3, 1000e3, 1500e3)
IF = 455e3
COIL = 219.920e-6

places = pytest.mark.parametrize("place", TRIMMER_PLACES)


def test_constants():
    """F. E. Terman, Radio Engineers' Handbook (1943), section 9 (from memory; confirmed)."""
    found = tracking_constants(POINTS, IF)
    assert found.l2 / 1e6 == pytest.approx(12230769.23, rel=1e-8, abs=0)
    assert found.m2 / 1e6 == pytest.approx(21868794.23, rel=1e-8, abs=0)
    assert found.n2 / 1e6 == pytest.approx(280814.52, rel=1e-8, abs=0)


def test_constants_against_exact_fractions():
    """The same formulas in exact fractions of kHz²."""
    f1, f2, f3, intermediate = (Fraction(f) for f in (600, 1000, 1500, 455))
    a, b2, c3 = f1 + f2 + f3, f1 * f2 + f1 * f3 + f2 * f3, f1 * f2 * f3
    d = a + 2 * intermediate
    l2 = (b2 * d - c3) / (2 * intermediate)
    m2 = l2 + intermediate**2 + a * d - b2
    n2 = (c3 * d + intermediate**2 * l2) / m2
    found = tracking_constants(POINTS, IF)
    assert [found.l2, found.m2, found.n2] == pytest.approx(
        [float(x) * 1e6 for x in (l2, m2, n2)], rel=1e-13, abs=0)


# Langford-Smith, Radiotron Designer's Handbook, 4th ed., ch. 25, and Terman, as above; the numbers
# were found again by solving the three equations.
def test_trimmer_across_the_gang():
    parts = three_point_parts(POINTS, IF, COIL, place=ACROSS_GANG)
    assert parts.trimmer == pytest.approx(9.417 * PF, rel=1e-4, abs=0)
    assert parts.trimmer + 29.992 * PF == pytest.approx(39.409 * PF, rel=1e-4, abs=0)
    assert parts.padder == pytest.approx(400.75 * PF, rel=1e-4, abs=0)
    assert parts.inductance == pytest.approx(125.887e-6, rel=1e-4, abs=0)


def test_trimmer_across_the_coil():
    parts = three_point_parts(POINTS, IF, COIL, place=ACROSS_COIL)
    assert parts.trimmer == pytest.approx(9.638 * PF, rel=1e-4, abs=0)
    assert parts.padder == pytest.approx(410.16 * PF, rel=1e-4, abs=0)
    assert parts.inductance == pytest.approx(120.173e-6, rel=1e-4, abs=0)


def resonance(inductance, capacitance):
    return 1 / (2 * math.pi * np.sqrt(inductance * capacitance))


def circuit(logs, gang, place):
    """The oscillator written out: coil (µH), padder and trimmer (pF) as logarithms, gang in pF."""
    coil, padder, trimmer = np.exp(logs)
    own = gang + trimmer if place == ACROSS_GANG else gang
    total = padder * own / (padder + own) + (trimmer if place == ACROSS_COIL else 0)
    return resonance(coil * 1e-6, total * PF)


@places
def test_parts_against_a_numerical_solution(place):
    """Independent route: scipy's root finder on the three equations themselves."""
    signals = np.array(POINTS)
    gang = 1 / ((2 * math.pi * signals) ** 2 * COIL) / PF
    found = root(lambda logs: circuit(logs, gang, place) - signals - IF,
                 np.log([120.0, 400.0, 10.0]), method="lm", options={"xtol": 1e-14, "ftol": 1e-14})
    parts = three_point_parts(POINTS, IF, COIL, place=place)
    assert np.exp(found.x) == pytest.approx(
        [parts.inductance * 1e6, parts.padder / PF, parts.trimmer / PF], rel=1e-6, abs=0)


@places
@given(st.floats(0.2e6, 10e6), st.floats(1.1, 3.0), st.floats(0.02, 3.0), st.floats(0.0, 0.3))
def test_three_points_are_exact(place, low, ratio, share, inset):
    found = track(low, low * ratio, low * share, 15 * PF, 365 * PF, place=place, inset=inset)
    gang = 1 / ((2 * math.pi * np.array(found.points)) ** 2 * found.circuit.inductance)
    wanted = np.array(found.points) + low * share
    # Where the intermediate frequency is tiny the padder is huge, and digits are lost.
    assert found.parts.frequency_with(gang) == pytest.approx(wanted, rel=1e-6, abs=0)
    assert min(found.parts.padder, found.parts.trimmer, found.parts.inductance) > 0


@places
def test_least_squares_against_another_way(place):
    """Independent route: scipy's least_squares without derivatives, from a poor start."""
    found = track(540e3, 1600e3, IF, 15 * PF, 365 * PF, place=place)
    signals = np.linspace(540e3, 1600e3, 121)
    gang = 1 / ((2 * math.pi * signals) ** 2 * found.circuit.inductance) / PF
    other = least_squares(
        lambda logs: (circuit(logs, gang, place) - signals - IF) / 1e3,
        np.log([130.0, 350.0, 12.0]), xtol=1e-14, ftol=1e-14, gtol=1e-14)
    mean = float(np.sqrt(np.mean((1e3 * other.fun) ** 2)))
    assert found.root_mean_square[1] == pytest.approx(mean, rel=1e-6, abs=0)
    assert found.root_mean_square[1] < found.root_mean_square[0]


def test_both_places_of_the_trimmer_leave_the_same_error():
    """DERIVED: the same two capacitors in another order; the errors are one function."""
    gang, coil = (track(540e3, 1600e3, IF, 15 * PF, 365 * PF, place=place).errors
                  for place in TRIMMER_PLACES)
    assert gang == pytest.approx(coil, abs=1e-3)


def test_the_even_inset_makes_the_outer_errors_nearly_equal():
    """DERIVED: Chebyshev's third polynomial has its zeros at cos 30° of the half-band."""
    assert EVEN_INSET == pytest.approx((1 - math.sqrt(3) / 2) / 2, rel=1e-6, abs=0)
    found = track(3.5e6, 4.0e6, 3.2768e6, 10 * PF, 50 * PF)
    peaks = [abs(found.errors[0]), abs(found.errors[-1]), found.errors.max(), -found.errors.min()]
    assert max(peaks) / min(peaks) < 1.15


def test_signal_circuit():
    """DERIVED: 15 to 365 pF over 540 to 1600 kHz wants 29.992 pF and 219.920 µH."""
    found = signal_circuit(540e3, 1600e3, 15 * PF, 365 * PF)
    assert found.trimmer == pytest.approx(29.992 * PF, rel=1e-4, abs=0)
    assert found.inductance == pytest.approx(219.920e-6, rel=1e-4, abs=0)


def test_mistuning_costs_what_the_circuit_says():
    """DERIVED: 1 + Q²(f/f₀ − f₀/f)² at the worst place, with the error as the distance."""
    found = track(540e3, 1600e3, IF, 15 * PF, 365 * PF, loaded_q=100)
    losses = [
        10 * math.log10(1 + (100 * ((s + e) / s - s / (s + e))) ** 2)
        for s, e in zip(found.signals, found.errors)
    ]
    assert found.worst_loss_db == pytest.approx(max(losses), rel=1e-6, abs=0)
    assert found.half_width[0] == pytest.approx(540e3 / 200, rel=1e-6, abs=0)
    assert found.worst == max(abs(found.errors)) and found.best_worst == max(abs(found.best_errors))


@pytest.mark.parametrize("points", [(1e6, 1e6, 2e6), (3e6, 2e6, 1e6), (1e6, 2e6, math.nan)])
def test_points_that_are_not_three_are_refused(points):
    with pytest.raises(Unclear, match="^Tracking freq"):
        tracking_constants(points, IF)


@pytest.mark.parametrize("values, message", [
    (dict(injection="low"), "larger tuning ratio"),
    (dict(injection="sideways"), "choose high, low or sum"),
    (dict(inset=0.5), "^Tracking points"),
    (dict(place="elsewhere"), "^Trimmer's place"),
    (dict(loaded_q=0), "^Loaded Q"),
])
def test_what_cannot_be_tracked_is_refused(values, message):
    with pytest.raises(Unclear, match=message):
        track(540e3, 1600e3, IF, 15 * PF, 365 * PF, **values)


def test_a_section_with_too_little_swing_is_refused():
    with pytest.raises(Unclear, match="^Frequency ratio of 2.963 is beyond"):
        track(540e3, 1600e3, IF, 15 * PF, 100 * PF)

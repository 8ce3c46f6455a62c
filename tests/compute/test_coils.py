"""Air coils against published coefficient tables, a sum over rings, and Wheeler's own claim."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from rxlearn.compute.coils import (
    Coil,
    bare,
    coil_uncertainty,
    length_wanted,
    nagaoka,
    rosa_shape,
    rosa_turns,
    sheet_inductance,
    turns_wanted,
    wheeler_inductance,
    wind,
    wire_of,
)
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.wire import wire_called

INCH = 25.4e-3
MU = 4e-7 * math.pi


# H. Nagaoka, J. Coll. Sci. Tokyo 27 (1909) art. 6, table p. 31; recomputed from elliptic integrals
# where his last digits are off (4 and 10), and by Lorenz's formula below 0.25 and between.
@pytest.mark.parametrize("shape, coefficient", [
    (0.1, 0.958807), (0.2, 0.920093), (0.25, 0.901649), (0.3, 0.883803), (0.4, 0.849853),
    (0.5, 0.818136), (0.6, 0.788525), (0.8, 0.735079), (1.0, 0.688423), (1.5, 0.595045),
    (2.0, 0.525510), (4.0, 0.365432), (10.0, 0.203324),
])
def test_nagaokas_column(shape, coefficient):
    assert nagaoka(shape) == pytest.approx(coefficient, abs=2e-6)


def lundin(shape):
    """R. Lundin, Proc. IEEE 73 no. 9 (1985) 1428: within about 3 ppm; ``shape`` is D/l."""
    def f1(x):
        return (1 + 0.383901 * x + 0.017108 * x**2) / (1 + 0.258952 * x)

    def f2(x):
        return 0.093842 * x + 0.002029 * x**2 - 0.000801 * x**3

    if shape <= 1:
        return f1(shape**2) - 4 / (3 * math.pi) * shape
    return (2 / (math.pi * shape)) * (
        (math.log(4 * shape) - 0.5) * f1(1 / shape**2) + f2(1 / shape**2))


def test_lundins_formula_over_its_whole_range():
    for shape in np.geomspace(0.01, 20, 200):
        assert nagaoka(shape) == pytest.approx(lundin(shape), abs=3e-6)


def test_a_very_long_coil_and_the_seam_to_the_series():
    """DERIVED: K goes to 1; value and slope run on where the series takes over."""
    assert nagaoka(1e-6) == pytest.approx(1, abs=1e-6)
    shapes = np.array([0.9e-3, 0.99e-3, 1.01e-3, 1.1e-3])
    expected = 1 - 4 / (3 * np.pi) * shapes + shapes**2 / 8
    assert nagaoka(shapes) == pytest.approx(expected, abs=1e-9)


# H. A. Wheeler, Proc. IRE 16 (1928) 1398: L[µH] = r²N²/(9r + 10l), inches.
@pytest.mark.parametrize("turns, radius, length, wheeler, exact", [
    (20, 0.5, 1.0, 6.8966e-6, 6.9032e-6), (100, 1.0, 4.0, 204.08e-6, 205.10e-6),
])
def test_wheelers_rule_and_the_sheet(turns, radius, length, wheeler, exact):
    size = turns, 2 * radius * INCH, length * INCH
    assert wheeler_inductance(*size) == pytest.approx(wheeler, rel=1e-4, abs=0)
    assert sheet_inductance(*size) == pytest.approx(exact, rel=1e-4, abs=0)


# DERIVED from both formulas; Wheeler claims about 1 % for l/D > 0.4.
@pytest.mark.parametrize("shape, percent", [
    (0.2, -4.06), (0.3, -1.57), (0.4, -0.54), (0.5, -0.12), (0.7, 0.06), (1, -0.10), (2, -0.50),
    (3, -0.58), (5, -0.56), (10, -0.47),
])
def test_where_wheelers_rule_fails(shape, percent):
    off = wheeler_inductance(30, 1e-2, shape * 1e-2) / sheet_inductance(30, 1e-2, shape * 1e-2) - 1
    assert 100 * off == pytest.approx(percent, abs=0.01)


# E. B. Rosa and F. W. Grover, NBS Scientific Paper 169 (1912), table of B (from memory), turns
# 1 to 10; and A, of which the table gives 0.5568 for turns that touch.
@pytest.mark.parametrize("turns, printed", [
    (1, 0.0), (2, 0.1137), (3, 0.1663), (4, 0.1973), (5, 0.2180), (6, 0.2329), (7, 0.2443),
    (8, 0.2532), (9, 0.2604), (10, 0.2664),
])
def test_rosas_column(turns, printed):
    assert rosa_turns(turns) == pytest.approx(printed, abs=1e-4)


def test_rosas_other_correction():
    assert rosa_shape(1.0) == pytest.approx(0.5568, abs=1e-4)
    assert rosa_shape(0.5) == pytest.approx(-0.1363, abs=1e-4)


def test_many_turns_in_rosas_sum_are_summed_without_losing_digits():
    """DERIVED: the mean of ln r of two collinear ribbons, by numerical integration instead."""
    def mean(m):
        return quad(lambda u: (1 - abs(u)) * math.log(m + u), -1, 1, epsabs=1e-12)[0]

    turns = 160
    expected = 2 / turns * sum((turns - m) * (math.log(m) - mean(m)) for m in range(1, turns))
    assert rosa_turns(turns) == pytest.approx(expected, abs=1e-6)


def test_broken_turns_lie_between_whole_ones():
    assert rosa_turns(4.5) == pytest.approx((rosa_turns(4) + rosa_turns(5)) / 2, rel=1e-6, abs=0)


# The whole coil against rings ------------------------------------------------------------


def elliptic(parameter):
    """Complete elliptic integrals by the arithmetic-geometric mean (Abramowitz and Stegun 17.6)."""
    a, b, c, total, power = 1.0, math.sqrt(1 - parameter), math.sqrt(parameter), 0.0, 0.5
    while abs(c) > 1e-15:
        total += power * c**2
        power *= 2
        a, b, c = (a + b) / 2, math.sqrt(a * b), (a - b) / 2
    total += power * c**2
    first = math.pi / (2 * a)
    return first, first * (1 - total)


def rings(turns, diameter, pitch, thickness, inside=0.25):
    """Maxwell: every ring's own inductance and every pair's mutual one; H.

    A ring has µ₀·a·(ln(8a/ρ) − 2 + Y): Y = 1/4 with the current all through the wire, 0 on its skin.
    """
    a, total = diameter / 2, 0.0
    for one in range(turns):
        for other in range(turns):
            if one == other:
                total += MU * a * (math.log(16 * a / thickness) - 2 + inside)
                continue
            square = 4 * a * a / (4 * a * a + ((one - other) * pitch) ** 2)
            k = math.sqrt(square)
            first, second = elliptic(square)
            total += MU * a * ((2 / k - k) * first - 2 / k * second)
    return total


@pytest.mark.parametrize("turns, diameter, length, thickness", [
    (10, 25e-3, 20e-3, 0.5e-3), (20, 12e-3, 20e-3, 0.8e-3), (6, 40e-3, 10e-3, 1e-3),
    (30, 8e-3, 30e-3, 0.25e-3),
])
def test_a_coil_is_what_its_rings_are(turns, diameter, length, thickness):
    wire = bare(thickness)
    coil = Coil(turns=turns, former=diameter - thickness, length=length, wire=wire)
    low = rings(turns, diameter, length / turns, thickness)
    high = rings(turns, diameter, length / turns, thickness, inside=0.0)
    assert coil.inductance == pytest.approx(low, rel=1.5e-3, abs=0)
    assert coil.inductance_at(1e9) == pytest.approx(high, rel=2.5e-3, abs=0)


def test_the_inside_of_the_wire_is_lost_little_by_little():
    coil = Coil(turns=10, former=20e-3, length=15e-3, wire=wire_called("0.8 mm"))
    found = [coil.inductance_at(f) for f in (0.0, 1e3, 1e5, 1e6, 1e7)]
    assert found[0] == pytest.approx(found[1], rel=1e-6, abs=0)
    assert all(later <= earlier for earlier, later in zip(found, found[1:]))
    assert 0.005 < 1 - found[-1] / found[0] < 0.03


# Bench words -----------------------------------------------------------------------------


def test_sizes_follow_from_former_and_wire():
    wire = wire_of(0.5e-3)
    coil = Coil(turns=20, former=10e-3, length=20e-3, wire=wire)
    assert coil.diameter == 10e-3 + wire.overall
    assert coil.pitch == pytest.approx(1e-3, rel=1e-6, abs=0) and coil.filling == pytest.approx(0.5, rel=1e-6, abs=0)
    # DERIVED: a helix unrolled is the hypotenuse of pitch and circumference.
    assert coil.wire_length == pytest.approx(20 * math.hypot(math.pi * coil.diameter, 1e-3), rel=1e-6, abs=0)
    assert coil.fits and coil.most_turns == pytest.approx(20e-3 / wire.overall, rel=1e-6, abs=0)
    assert not Coil(turns=40, former=10e-3, length=20e-3, wire=wire).fits


@given(st.floats(0.2e-6, 50e-6), st.floats(5e-3, 40e-3), st.floats(1.0, 3.0))
def test_turns_wanted_give_what_is_wanted(inductance, former, spacing):
    wire = wire_called("0.4 mm")
    try:
        coil = turns_wanted(inductance, former, wire, spacing=spacing, frequency=7e6)
    except Unclear as reason:
        assert str(reason).endswith(".")
        return
    assert coil.inductance_at(7e6) == pytest.approx(inductance, rel=1e-6, abs=0)
    assert coil.pitch == pytest.approx(spacing * wire.overall, rel=1e-6, abs=0) and coil.fits


def test_a_length_is_kept_where_the_turns_fit_and_else_refused():
    coil = turns_wanted(2e-6, 10e-3, wire_called("0.5 mm"), length=25e-3)
    assert coil.length == 25e-3 and coil.fits
    assert coil.inductance == pytest.approx(2e-6, rel=1e-6, abs=0)
    assert "does not fit" in str(pytest.raises(
        Unclear, turns_wanted, 100e-6, 10e-3, wire_called("2 mm"), length=10e-3).value)
    assert "thinner former" in str(pytest.raises(
        Unclear, turns_wanted, 20e-9, 0.2, wire_called("0.4 mm")).value)


def test_spreading_takes_inductance_away_until_the_ends():
    coil = turns_wanted(2e-6, 15e-3, wire_called("0.4 mm"), spacing=1.5)
    tuned = length_wanted(coil, 1.8e-6)
    assert tuned.turns == coil.turns and tuned.length > coil.length
    assert tuned.inductance == pytest.approx(1.8e-6, rel=1e-6, abs=0)
    tight = length_wanted(coil, 5e-6)
    assert tight.length == pytest.approx(coil.turns * coil.wire.overall, rel=1e-6, abs=0)
    assert length_wanted(coil, 50e-9).length >= 40 * coil.diameter


def test_uncertainty_is_the_slopes_added_as_squares():
    """DERIVED: for a long coil L goes with D², N² and 1/l."""
    coil = Coil(turns=1000, former=5e-3, length=0.2, wire=bare(0.2e-3))
    expected = math.hypot(0.02, 0.5e-3 / 0.2, 2 * 0.1 / 1000, 0.01)
    assert coil_uncertainty(coil) == pytest.approx(expected, rel=0.03, abs=0)


def test_a_wound_coil_says_how_far_it_is_off():
    coil = Coil(turns=10, former=20e-3, length=15e-3, wire=wire_called("0.8 mm"))
    found = wind(coil, 2e-6)
    assert found.off == pytest.approx(coil.inductance / 2e-6 - 1, rel=1e-6, abs=0)
    assert found.wheeler_off == pytest.approx(found.wheeler / found.sheet - 1, rel=1e-6, abs=0)
    assert wind(coil, 2e-6, 7e6).inductance == coil.inductance_at(7e6) < found.inductance


@pytest.mark.parametrize("wrong", [
    {"turns": 0.5}, {"turns": math.nan}, {"former": 0.0}, {"length": -1e-3}, {"turns": True},
])
def test_what_is_no_coil_is_refused(wrong):
    good = {"turns": 10, "former": 10e-3, "length": 10e-3, "wire": wire_called("0.4 mm")}
    with pytest.raises(Unclear, match="\\.$"):
        Coil(**(good | wrong))

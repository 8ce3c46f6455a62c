"""Wire tables by their definitions, skin effect against published figures and by integration."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from rxlearn.compute.quantities import Unclear
from rxlearn.compute.wire import (
    COPPER_RESISTIVITY,
    WIRES,
    direct_resistance,
    enamelled,
    gauge_diameter,
    internal_ratio,
    skin_depth,
    skin_ratio,
    transverse_shape,
    wire_called,
)
from rxlearn.data.wires import METRIC


# ASTM B258, diameters in mm as two printed tables agree.
@pytest.mark.parametrize("gauge, millimetres", [
    (10, 2.588), (14, 1.628), (18, 1.024), (22, 0.644), (24, 0.511), (26, 0.405), (28, 0.321),
    (30, 0.255),
])
def test_gauges_in_millimetres(gauge, millimetres):
    assert 1e3 * gauge_diameter(gauge) == pytest.approx(millimetres, abs=0.0006)


# T. R. Kuphaldt, *Lessons in Electric Circuits*, vol. I, wire table, inches.
@pytest.mark.parametrize("gauge, inches", [
    (10, .1019), (14, .06408), (18, .04030), (20, .03196), (22, .02535), (24, .02010),
    (26, .01594), (28, .01264), (30, .01003), (32, .00795), (36, .00500), (40, .003145),
])
def test_gauges_in_inches(gauge, inches):
    assert gauge_diameter(gauge) / 25.4e-3 == pytest.approx(inches, abs=6e-6)


def test_the_rule_of_gauges():
    """ASTM B258: 39 equal ratios from 0.46 inch (4/0) to 0.005 inch (36)."""
    assert gauge_diameter(-3) == pytest.approx(0.46 * 25.4e-3, rel=1e-12, abs=0)
    assert gauge_diameter(9) / gauge_diameter(10) == pytest.approx(1.1229322, rel=1e-7, abs=0)
    for wrong in (2.5, -4, 60, math.nan, "24"):
        with pytest.raises(Unclear):
            gauge_diameter(wrong)


def test_metric_sizes_are_the_r10_series_and_enamel_grows_with_its_grade():
    """ISO 3, R 10: 1.00 1.25 1.60 2.00 2.50 3.15 4.00 5.00 6.30 8.00."""
    series = (1.00, 1.25, 1.60, 2.00, 2.50, 3.15, 4.00, 5.00, 6.30, 8.00)
    expected = [0.1e-3 * value for value in series] + [1e-3 * value for value in series[:4]]
    assert list(METRIC) == pytest.approx(expected, rel=1e-6, abs=0)
    for size, (thin, thick) in METRIC.items():
        assert size < thin < thick < 1.3 * size
    enamel = [thick - size for size, (_, thick) in METRIC.items()]
    assert enamel == sorted(enamel)


def test_enamel_between_the_sizes():
    assert enamelled(0.4e-3) == METRIC[0.4e-3][1] and enamelled(0.4e-3, grade=1) == METRIC[0.4e-3][0]
    assert METRIC[0.4e-3][1] < enamelled(0.45e-3) < METRIC[0.5e-3][1]


def test_reels_are_found_by_name():
    assert wire_called("0.5 mm").diameter == 0.5e-3
    assert wire_called("AWG 24").diameter == gauge_diameter(24)
    assert len(WIRES) == 26
    with pytest.raises(Unclear, match="take one of"):
        wire_called("thick")


# IEC 60028 gives ρ = 1/58 µΩm; the rest is DERIVED: ρ/A.
@pytest.mark.parametrize("gauge, ohms", [(18, 0.020948), (24, 0.084213), (28, 0.21292),
                                         (36, 1.3610)])
def test_direct_resistance_of_a_metre(gauge, ohms):
    assert direct_resistance(gauge_diameter(gauge), 1.0) == pytest.approx(ohms, rel=1e-3, abs=0)


# DERIVED: δ = √(ρ/(π·f·µ₀)); 8.5 mm at 60 Hz is in print.
@pytest.mark.parametrize("frequency, depth", [
    (60, 8.53e-3), (1e6, 66.09e-6), (3.5e6, 35.32e-6), (7e6, 24.98e-6), (10e6, 20.90e-6),
    (14e6, 17.66e-6), (30e6, 12.07e-6),
])
def test_skin_depth(frequency, depth):
    assert skin_depth(frequency) == pytest.approx(depth, rel=1e-3, abs=0)


# F. E. Terman, *Radio Engineers' Handbook* (1943), section 2, by Kelvin functions.
@pytest.mark.parametrize("gauge, frequency, ratio", [
    (10, 1e6, 10.046), (14, 1e6, 6.415), (18, 1e6, 4.135), (22, 1e6, 2.704), (24, 7e6, 5.369),
])
def test_skin_effect_of_round_wire(gauge, frequency, ratio):
    assert skin_ratio(gauge_diameter(gauge), frequency) == pytest.approx(ratio, rel=1e-3, abs=0)


def impedance_by_integration(diameter, frequency):
    """Impedance per metre over the direct resistance, from the field equation itself.

    DERIVED: J'' + J'/r = jωµ/ρ·J, integrated outwards; R = the power for a unit of current.
    """
    radius, factor = diameter / 2, 2j * math.pi * frequency * 4e-7 * math.pi / COPPER_RESISTIVITY
    start = radius * 1e-6

    def slope(r, y):
        density, its_slope, current = y
        return [its_slope, factor * density - its_slope / r, 2 * math.pi * r * density]

    found = solve_ivp(slope, (start, radius), [1 + 0j, factor * start / 2, 0j], rtol=1e-10,
                      atol=1e-12)
    density, _, current = found.y[:, -1]
    return density / current * math.pi * radius**2


@pytest.mark.parametrize("diameter, frequency", [(0.5e-3, 1e5), (0.5e-3, 1e6), (1e-3, 3.5e6)])
def test_skin_effect_against_the_field_equation(diameter, frequency):
    """The imaginary part is the inductance inside: ωL over R₀, L₀ = µ₀/8π."""
    found = impedance_by_integration(diameter, frequency)
    assert skin_ratio(diameter, frequency) == pytest.approx(found.real, rel=1e-6, abs=0)
    resistance = COPPER_RESISTIVITY / (math.pi * diameter**2 / 4)
    inside = found.imag * resistance / (2 * math.pi * frequency)
    assert internal_ratio(diameter, frequency) == pytest.approx(inside / 0.5e-7, rel=1e-6, abs=0)


def test_limits_of_both_effects():
    """DERIVED: 1 at d.c.; r/2δ + 1/4 far up; a field across the wire does nothing at d.c."""
    assert skin_ratio(0.5e-3, 10.0) == pytest.approx(1, abs=1e-6)
    depth = skin_depth(30e6)
    assert skin_ratio(1e-3, 30e6) == pytest.approx(1e-3 / (4 * depth) + 0.25, rel=2e-3, abs=0)
    shape = transverse_shape(1e-3, np.array([10.0, 1e3, 1e5, 1e6, 1e8]))
    assert shape[0] < 1e-4 and shape[-1] == pytest.approx(1, abs=0.01)
    assert np.all(np.diff(shape) > 0)
    assert internal_ratio(1e-3, 10.0) == pytest.approx(1, abs=1e-6)


def test_eddy_currents_of_a_thin_wire():
    """DERIVED: at low frequency the loss of a cylinder across a field is π·r⁴·ω²·B²/(8ρ) per metre,
    that is ω·|Im J₂/J₀| with J₂/J₀ → ζ²/8·(1 + ζ²/6); ζ² = −2j(r/δ)²."""
    diameter, frequency = 0.2e-3, 1e4
    ratio = (diameter / 2) / skin_depth(frequency)
    assert transverse_shape(diameter, frequency) == pytest.approx(ratio**2 / 4 * ratio, rel=1e-3, abs=0)

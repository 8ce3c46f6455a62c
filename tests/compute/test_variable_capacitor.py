"""Plate laws against their definitions, their inverse, and what fixed capacitance makes of them."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.quantities import Unclear
from rxlearn.compute.variable_capacitor import (
    PLATE_LAWS,
    VariableCapacitor,
    turn_capacitor,
)

GANG = (15e-12, 365e-12)

laws = st.sampled_from(list(PLATE_LAWS))
shares = st.floats(0.0, 1.0)


@st.composite
def capacitors(draw):
    minimum = draw(st.floats(2e-12, 50e-12))
    return VariableCapacitor(
        minimum, minimum * draw(st.floats(1.2, 40)), draw(laws), draw(st.floats(90, 360))
    )


# DERIVED from the definitions: C, C^(-1/2), C^(1/2) or log C even in the angle; 15 to 365 pF.
@pytest.mark.parametrize("law, picofarads, frequency", [
    ("capacitance", 190.0, 0.2810),
    ("frequency", 41.478, 0.6014),
    ("wavelength", 131.997, 0.3371),
    ("midline", 73.993, 0.4502),
])
def test_half_rotation(law, picofarads, frequency):
    capacitor = VariableCapacitor(*GANG, law)
    found = capacitor.capacitance_at(90.0)
    assert found == pytest.approx(picofarads * 1e-12, rel=1e-4, abs=0)
    assert math.sqrt(15e-12 / found) == pytest.approx(frequency, abs=1e-4)


def test_means_at_half_rotation():
    """DERIVED: the arithmetic mean of the end frequencies, their geometric, their harmonic one."""
    low = math.sqrt(15 / 365)
    assert turn_capacitor(VariableCapacitor(*GANG), 90.0).shares["frequency"][45] == pytest.approx(
        (1 + low) / 2, rel=1e-12, abs=0)
    shares = turn_capacitor(VariableCapacitor(*GANG), 90.0).shares
    assert shares["midline"][45] == pytest.approx(math.sqrt(low), rel=1e-12, abs=0)
    assert shares["wavelength"][45] == pytest.approx(2 / (1 + 1 / low), rel=1e-12, abs=0)


# DERIVED: the frequency ratio is the square root of the capacitance ratio.
@pytest.mark.parametrize("minimum, maximum, added, ratio", [
    (15, 365, 0, 4.9329), (15, 365, 30, 2.9627), (10, 140, 20, 2.3094),
])
def test_tuning_ratio(minimum, maximum, added, ratio):
    turned = turn_capacitor(
        VariableCapacitor(minimum * 1e-12, maximum * 1e-12), 0.0, added=added * 1e-12)
    assert turned.highest / turned.lowest == pytest.approx(ratio, rel=1e-4, abs=0)
    for share in turned.shares.values():
        assert 1 / share[0] == pytest.approx(ratio, rel=1e-4, abs=0)
        assert share[-1] == pytest.approx(1.0, rel=1e-12, abs=0)


@given(capacitors(), shares)
def test_angle_and_capacitance_are_each_others_inverse(capacitor, share):
    angle = share * capacitor.degrees
    capacitance = capacitor.capacitance_at(angle)
    assert capacitor.angle_for(capacitance) == pytest.approx(angle, abs=1e-6)
    back = capacitor.minimum + share * capacitor.swing
    assert capacitor.capacitance_at(capacitor.angle_for(back)) == pytest.approx(back, rel=1e-9, abs=0)


@given(capacitors())
def test_every_law_falls_from_maximum_to_minimum(capacitor):
    angles = np.linspace(0, capacitor.degrees, 50)
    curve = capacitor.capacitance_at(angles)
    assert curve[0] == pytest.approx(capacitor.maximum, rel=1e-12, abs=0)
    assert curve[-1] == pytest.approx(capacitor.minimum, rel=1e-12, abs=0)
    assert np.all(np.diff(curve) < 0)
    assert capacitor.angle_for(curve) == pytest.approx(angles, abs=1e-6)


@given(capacitors(), st.floats(0.01, 0.99))
def test_slope_is_the_difference_quotient(capacitor, share):
    """Independent route: a central difference."""
    angle, step = share * capacitor.degrees, 1e-4 * capacitor.degrees
    rise = capacitor.capacitance_at(angle + step) - capacitor.capacitance_at(angle - step)
    assert capacitor.slope_at(angle) == pytest.approx(rise / (2 * step), rel=1e-5, abs=0)


def test_a_fixed_capacitor_spoils_every_law_but_the_first():
    """A straight-line-frequency capacitor is even alone and uneven with 100 pF across it."""
    cut = VariableCapacitor(*GANG, "frequency")
    alone = np.diff(turn_capacitor(cut, 0.0).shares["frequency"])
    assert alone.max() / alone.min() == pytest.approx(1, abs=1e-9)
    loaded = np.diff(turn_capacitor(cut, 0.0, added=100e-12).shares["frequency"])
    assert loaded.max() / loaded.min() > 3


def test_turned_keeps_what_it_was_given_and_places_it():
    """DERIVED: f = 1/(2π√(LC)), 219.92 µH with 44.992 and 394.992 pF gives 1600 and 540 kHz."""
    turned = turn_capacitor(
        VariableCapacitor(*GANG), 180.0, added=29.992e-12, inductance=219.920e-6)
    assert turned.highest == pytest.approx(1600e3, rel=1e-4, abs=0)
    assert turned.lowest == pytest.approx(540e3, rel=1e-4, abs=0)
    assert turned.place == 1.0 and turned.frequency == turned.highest
    assert (turned.angle, turned.added) == (180.0, 29.992e-12)


@pytest.mark.parametrize("values, message", [
    (dict(minimum=50e-12, maximum=10e-12), "has no swing"),
    (dict(minimum=10e-12, maximum=10e-12), "has no swing"),
    (dict(minimum=math.nan, maximum=10e-12), "finite"),
    (dict(minimum=-1e-12, maximum=10e-12), "below what is allowed"),
    (dict(minimum="10 pF", maximum=50e-12), "must be a number"),
    (dict(minimum=10e-12, maximum=50e-12, law="round"), "choose capacitance, frequency"),
    (dict(minimum=10e-12, maximum=50e-12, law=None), "is unknown"),
    (dict(minimum=10e-12, maximum=50e-12, degrees=0), "below what is allowed"),
    (dict(minimum=10e-12, maximum=50e-12, degrees=math.inf), "finite"),
])
def test_what_is_no_capacitor_is_refused_in_a_sentence(values, message):
    with pytest.raises(Unclear, match=message) as problem:
        VariableCapacitor(**values)
    assert str(problem.value).endswith(".")


@pytest.mark.parametrize("angle", [-0.1, 180.1, math.nan, "90", None])
def test_an_angle_off_the_dial_is_refused(angle):
    with pytest.raises(Unclear, match="^Angle"):
        VariableCapacitor(*GANG).capacitance_at(angle)
    with pytest.raises(Unclear):
        turn_capacitor(VariableCapacitor(*GANG), angle)


def test_a_capacitance_that_it_does_not_have_is_refused():
    with pytest.raises(Unclear, match="^Capacitance"):
        VariableCapacitor(*GANG).angle_for(400e-12)

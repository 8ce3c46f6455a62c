"""Marks on a dial: round, few enough, and where the frequency is."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.band_spread import Network
from rxlearn.compute.dial_scale import MOST_LABELS, draw_scale, signal_offset
from rxlearn.compute.variable_capacitor import VariableCapacitor

PF = 1e-12
SMALL = VariableCapacitor(10 * PF, 50 * PF)
WIDE = Network(1.83e-6, SMALL, None, 251.4 * PF)


def test_offset():
    """Definitions: high side, signal = oscillator − IF; low side, signal = oscillator + IF."""
    assert signal_offset(3.2768e6, "high") == -3.2768e6
    assert signal_offset(3.2768e6, "low") == 3.2768e6


def test_the_demo_dial_on_80_m():
    """DERIVED: 500 kHz in at most ten steps makes 50 kHz, with 10 kHz between."""
    scale = draw_scale(WIDE, -3.2768e6, 3.5e6, 4.0e6)
    assert np.diff(scale.major) == pytest.approx(np.full(len(scale.major) - 1, 50e3), rel=1e-6, abs=0)
    assert np.diff(scale.minor) == pytest.approx(np.full(len(scale.minor) - 1, 10e3), rel=1e-6, abs=0)
    assert scale.share == pytest.approx(1.0, abs=1e-3)


def test_the_narrow_band_on_the_wide_dial():
    scale = draw_scale(WIDE, 3.2768e6, 10.1e6, 10.15e6)
    assert scale.covers and scale.share == pytest.approx(0.107, abs=2e-3)
    assert scale.short_low < 0 and scale.short_high < 0


@pytest.mark.parametrize("low, high, end", [(9.0e6, 9.1e6, 0.0), (11e6, 12e6, 180.0)])
def test_a_band_off_the_dial_has_no_width(low, high, end):
    scale = draw_scale(WIDE, 3.2768e6, low, high)
    assert scale.wanted_angles == pytest.approx((end, end), abs=1e-6)
    assert not scale.covers and scale.share == pytest.approx(0, abs=1e-9)


@given(st.floats(0.3, 30), st.floats(3, 500), st.floats(0, 400), st.floats(-3, 3))
def test_marks_are_few_rising_and_in_their_places(coil, series, parallel, shift):
    network = Network(coil * 1e-6, SMALL, series * PF, (20 + parallel) * PF)
    scale = draw_scale(network, shift * 1e6, 1e6, 2e6)
    assert len(scale.major) <= MOST_LABELS + 1
    assert len(scale.major) >= 3 and len(scale.minor) >= 2 * len(scale.major) - 2
    assert np.all(np.diff(scale.major_angles) > 0)
    frequencies = network.frequency_at(scale.major_angles) + shift * 1e6
    assert frequencies == pytest.approx(scale.major, abs=1e-6 * scale.coverage.low)
    assert set(np.round(scale.major)) <= set(np.round(scale.minor))

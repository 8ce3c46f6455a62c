"""The switched capacitor on the dial, against f = 1/(2π√(LC)) written out again."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from rxlearn.compute.image_swapping import swap_bands
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.recentring import switch_capacitor

DEMO = swap_bands(3.5e6, 4.0e6, 10.1e6, 10.15e6, 3.2768e6)
COIL = 1.83e-6


def total(frequency):
    """Capacitance that tunes the coil to a frequency.  T. R. Kuphaldt, Lessons in Electric
    Circuits, vol. II, chapter 6."""
    return 1 / ((2 * math.pi * frequency) ** 2 * COIL)


def test_without_a_capacitor_the_dial_is_plain_arithmetic():
    # DERIVED: (6.8232 - 6.7768) / 0.5 and so on; the time station's 6.7232 lies 53.6 kHz below.
    found = switch_capacitor(DEMO, COIL, 0.0)
    assert found.before == found.after
    assert found.before.low == pytest.approx(0.0928, rel=1e-6, abs=0) and found.before.high == pytest.approx(0.1928, rel=1e-6, abs=0)
    assert found.before.station == pytest.approx(-0.0536 / 0.5, rel=1e-6, abs=0)
    assert (found.switched_on, found.narrow_band, found.station) == ("upper", "upper", 10.0e6)
    assert found.span == pytest.approx(500e3, rel=1e-6, abs=0) and not found.centred


def test_the_capacitor_wanted_is_the_difference_of_two_totals():
    wanted = total(6.8482e6) - total(7.0268e6)
    found = switch_capacitor(DEMO, COIL, wanted)
    assert found.wanted == pytest.approx(wanted, rel=1e-6, abs=0) == pytest.approx(14.8e-12, rel=0.01, abs=0)
    assert found.after.middle == pytest.approx(0.5, rel=1e-6, abs=0) and found.centred


def test_the_time_station_comes_to_the_dials_end_with_about_five_picofarads():
    reaching = total(6.7232e6) - total(6.7768e6)
    assert reaching == pytest.approx(4.8e-12, rel=0.02, abs=0)
    assert switch_capacitor(DEMO, COIL, reaching).after.station == pytest.approx(0, abs=1e-9)


def test_the_capacitor_narrows_what_the_dial_covers():
    found = switch_capacitor(DEMO, COIL, 14.8e-12)
    ends = [1 / (2 * math.pi * math.sqrt(COIL * (total(f) + 14.8e-12))) + 3.2768e6
            for f in (6.7768e6, 7.2768e6)]
    assert [found.signal_low, found.signal_high] == pytest.approx(ends, rel=1e-6, abs=0)
    assert found.span < 470e3


@given(st.floats(-8e4, 8e4), st.floats(0.8e-6, 5e-6))
def test_the_wanted_capacitor_centres_any_pair(off, coil):
    assume(abs(off) > 10)
    scheme = swap_bands(3.5e6, 4.0e6, 10.1e6, 10.15e6, 3.1875e6 + off)
    found = switch_capacitor(scheme, coil, switch_capacitor(scheme, coil, 0.0).wanted)
    assert found.after.middle == pytest.approx(0.5, abs=1e-6)
    assert found.switched_on == ("upper" if off > 0 else "lower")


def test_a_positive_shift_asks_for_the_capacitor_on_the_lower_band():
    # 160 m and 30 m with 4.096 MHz: middles 5.996 and 6.029 MHz, so +33 kHz (DERIVED).
    scheme = swap_bands(1.8e6, 2.0e6, 10.1e6, 10.15e6, 4.096e6)
    found = switch_capacitor(scheme, 2e-6, 0.0)
    assert found.switched_on == "lower" and found.narrow_band == "upper"
    assert switch_capacitor(scheme, 2e-6, found.wanted).after.middle == pytest.approx(0.5, rel=1e-6, abs=0)


def test_a_capacitor_larger_than_the_tank_leaves_the_dial():
    found = switch_capacitor(DEMO, COIL, 400e-12)
    assert found.after.middle == math.inf and not found.after.on_dial
    assert math.isfinite(found.signal_low)


def test_a_scheme_that_cannot_work_says_why():
    same = swap_bands(3.5e6, 4.0e6, 10.1e6, 10.15e6, 3.2768e6, upper_injection="high")
    found = switch_capacitor(same, COIL, 5e-12)
    assert found.before is None and found.after is None and found.wanted is None
    assert found.reasons == same.reasons and math.isnan(found.span)


@pytest.mark.parametrize("given_", [-1e-12, math.nan, 1.0])
def test_no_capacitor_is_refused(given_):
    with pytest.raises(Unclear, match="Switched capacitor"):
        switch_capacitor(DEMO, COIL, given_)

"""One oscillator, two signals: the scheme's arithmetic by hand, rejection by its formula."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.image_swapping import swap_bands
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.swap_setting import set_swap, view_dial

DEMO = swap_bands(3.5e6, 4.0e6, 10.1e6, 10.15e6, 3.2768e6)


def down(frequency, centre, q, circuits=1):
    """20 lg √(1 + Q²ρ²), after Terman, Radio Engineering; written out again here."""
    rho = frequency / centre - centre / frequency
    return circuits * 20 * math.log10(math.sqrt(1 + (q * rho) ** 2))


def test_both_signals_stand_one_intermediate_frequency_away():
    # DERIVED from the definition: 6.8482 ∓ 3.2768.
    found = set_swap(DEMO, 6.8482e6, "lower", loaded_q=50)
    assert found.below.frequency == pytest.approx(3.5714e6, abs=1e-3)
    assert found.above.frequency == pytest.approx(10.125e6, abs=1e-3)
    assert (found.below.band, found.above.band) == ("lower", "upper")
    assert found.wanted is found.below and found.image is found.above
    assert found.image_rejection_db == pytest.approx(down(10.125e6, 3.5714e6, 50), abs=1e-6)


def test_the_preselector_decides_which_is_the_image():
    found = set_swap(DEMO, 6.8482e6, "upper", loaded_q=50, circuits=2)
    assert found.wanted is found.above and found.image is found.below
    assert found.image_rejection_db == pytest.approx(down(3.5714e6, 10.125e6, 50, 2), abs=1e-6)


def test_out_of_band_and_what_is_there():
    # 10.000 MHz less 3.2768 is 6.7232: the time station, below the 80 m band's own range.
    found = set_swap(DEMO, 6.7232e6, "upper", loaded_q=50)
    assert found.above.band is None and "time station on 10 MHz" in found.above.there
    assert found.below.frequency == pytest.approx(3.4464e6, rel=1e-6, abs=0) and found.below.band is None


@given(st.floats(6.7e6, 7.3e6), st.floats(-1e5, 1e5))
def test_the_two_move_together(oscillator, step):
    here, there = (set_swap(DEMO, place, "lower", loaded_q=50)
                   for place in (oscillator, oscillator + step))
    for side in ("below", "above"):
        moved = getattr(there, side).frequency - getattr(here, side).frequency
        assert moved == pytest.approx(step, abs=1e-6)


def test_what_cannot_be_tuned_is_refused():
    with pytest.raises(Unclear, match="too low to tune a circuit to"):
        set_swap(DEMO, 3.2768e6, "lower", loaded_q=50)
    with pytest.raises(Unclear, match="lower or on the upper"):
        set_swap(DEMO, 7e6, "both", loaded_q=50)


def test_the_oscillator_inside_an_amateur_band_is_named():
    # 40 m begins at 7.0 MHz in all regions (ITU Radio Regulations, Article 5).
    assert set_swap(DEMO, 7.05e6, "lower", loaded_q=50).oscillator_in == ("40 m",)
    assert set_swap(DEMO, 6.95e6, "lower", loaded_q=50).oscillator_in == ()


def test_an_image_on_zero_is_infinitely_far_down():
    assert math.isinf(set_swap(DEMO, 3.2768e6, "upper", loaded_q=50).image_rejection_db)


def test_the_view_holds_both_ranges_and_the_time_station():
    view = view_dial(DEMO)
    assert view.low < 6.7232e6 < 6.7768e6 and view.high > 7.2768e6
    assert view.start == pytest.approx((6.8232e6 + 6.8732e6) / 2, rel=1e-6, abs=0)
    assert (10.0e6, pytest.approx(6.7232e6, rel=1e-6, abs=0)) in view.stations


def test_ranges_far_apart_are_both_in_view():
    view = view_dial(swap_bands(3.5e6, 4.0e6, 10.1e6, 10.15e6, 2.0e6))
    assert view.low < 5.5e6 and view.high > 8.15e6
    assert 5.5e6 < view.start < 6.0e6


def test_a_scheme_that_cannot_work_is_viewed_on_its_lower_band():
    both_high = swap_bands(3.5e6, 4.0e6, 10.1e6, 10.15e6, 3.2768e6, upper_injection="high")
    view = view_dial(both_high)
    assert both_high.reasons
    assert 6.7768e6 - 1e5 < view.low < view.start < view.high < 7.2768e6 + 1e5

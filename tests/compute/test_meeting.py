"""The meeting frequency against the demo's arithmetic and as a property of any two bands."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.image_swapping import swap_bands
from rxlearn.compute.meeting import meet, meeting_of, view_meeting
from rxlearn.compute.quantities import Unclear

DEMO = swap_bands(3.5e6, 4.0e6, 10.1e6, 10.15e6, 3.2768e6)


def test_the_demo_meets_half_way_and_the_crystal_misses():
    # DERIVED: (10.125 - 3.75) / 2 = 3.1875; 3.2768 misses it by 89.3 kHz, the middles by twice.
    found = meet(DEMO, 3.2768e6)
    assert found.meeting == pytest.approx(3.1875e6, rel=1e-6, abs=0)
    assert found.crystal.crystal.frequency == 3.2768e6 and found.crystal.miss == 0
    assert found.crystal_from_meeting == pytest.approx(89.3e3, rel=1e-6, abs=0)
    assert abs(found.scheme.centre_shift) == pytest.approx(178.6e3, rel=1e-6, abs=0)
    assert (found.scheme.lower_share, found.scheme.upper_share) == (1.0, pytest.approx(0.1, rel=1e-6, abs=0))


@given(st.floats(2e6, 5e6))
def test_ranges_slide_in_opposite_directions(intermediate):
    here, there = meet(DEMO, intermediate).scheme, meet(DEMO, intermediate + 1e4).scheme
    assert there.lower.oscillator_low - here.lower.oscillator_low == pytest.approx(1e4, rel=1e-6, abs=0)
    assert there.upper.oscillator_low - here.upper.oscillator_low == pytest.approx(-1e4, rel=1e-6, abs=0)


@given(st.floats(1e6, 5e6), st.floats(1e4, 5e5), st.floats(0.5e6, 9e6), st.floats(1e4, 5e5))
def test_middles_agree_at_the_meeting(low, width, gap, other):
    scheme = swap_bands(low, low + width, low + width + gap, low + width + gap + other, 3e5)
    assert meet(scheme, meeting_of(scheme)).scheme.centre_shift == pytest.approx(0, abs=1e-3)


def test_same_sides_never_meet():
    same = swap_bands(3.5e6, 4.0e6, 10.1e6, 10.15e6, 3.2768e6, upper_injection="high")
    found = meet(same, 3.2768e6)
    assert found.meeting is None and found.crystal_from_meeting is None and found.scheme.reasons


def test_the_view_holds_the_meeting_and_the_plans_own_crystal():
    for own in (3.2768e6, 2.0e6, 455e3):
        view = view_meeting(swap_bands(3.5e6, 4.0e6, 10.1e6, 10.15e6, own))
        assert view.low < min(own, 3.1875e6) and max(own, 3.1875e6) < view.high
        assert all(view.low <= crystal.frequency <= view.high for crystal in view.crystals)
    assert 3.2768e6 in [crystal.frequency for crystal in view.crystals]


def test_no_frequency_is_refused():
    with pytest.raises(Unclear, match="Intermediate frequency"):
        meet(DEMO, float("nan"))

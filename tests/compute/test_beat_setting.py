"""The beat oscillator beside the filter: what is heard decides, not a table of sides."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.beat import FILTER_WIDTH, SPEECH, set_beat

CARRIER = {"high": 3.75e6, "low": 10.125e6}
INTERMEDIATE = 3.2768e6


def landed(on_air, injection, oscillator):
    """DERIVED from the difference: oscillator less signal, or signal less oscillator."""
    return oscillator - on_air if injection == "high" else on_air - oscillator


@given(st.sampled_from(["high", "low"]), st.sampled_from(["upper", "lower"]),
       st.floats(100, 3000))
def test_speech_comes_out_at_its_own_pitch(injection, sideband, offset):
    found = set_beat(CARRIER[injection], sideband, INTERMEDIATE, injection, offset)
    oscillator = found.converted.oscillator
    for tone in SPEECH:
        on_air = CARRIER[injection] + (tone if sideband == "upper" else -tone)
        place = landed(on_air, injection, oscillator)
        assert abs(place - found.beat_oscillator) == pytest.approx(tone, abs=1e-3)
        inside = abs(place - INTERMEDIATE) <= FILTER_WIDTH / 2
        assert inside == (found.passed_low - 1e-6 <= tone <= found.passed_high + 1e-6)
    assert found.beat_oscillator - INTERMEDIATE == pytest.approx(
        offset if found.side == "above" else -offset, abs=1e-3)


@pytest.mark.parametrize(("injection", "sideband", "side"), [
    ("high", "upper", "above"), ("high", "lower", "below"),
    ("low", "upper", "below"), ("low", "lower", "above"),
])
def test_the_side_changes_with_the_band(injection, sideband, side):
    # High-side injection turns the sideband over; an upper sideband's carrier is below it.
    assert set_beat(CARRIER[injection], sideband, INTERMEDIATE, injection, 1500).side == side


def test_the_wrong_side_turns_speech_upside_down():
    found = set_beat(3.75e6, "upper", INTERMEDIATE, "high", 1500)
    assert found.converted.heard(found.wrong_beat_oscillator) == pytest.approx([2700, 1500, 300], rel=1e-6, abs=0)


def test_what_the_filter_passes():
    assert (set_beat(3.75e6, "upper", INTERMEDIATE, "high", 1500).passed_low,) == (300.0,)
    near = set_beat(3.75e6, "upper", INTERMEDIATE, "high", 500)
    assert (near.passed_low, near.passed_high) == (300.0, 1700.0)
    far = set_beat(3.75e6, "upper", INTERMEDIATE, "high", 5000)
    assert math.isnan(far.passed_low) and math.isnan(far.passed_high)

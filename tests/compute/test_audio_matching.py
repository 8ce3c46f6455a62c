"""Output transformers against printed examples and the ideal transformer's own laws."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.audio_matching import (
    best_tap,
    match_output,
    peak_swing,
    reflected_impedance,
    says,
    turns_ratio,
)
from rxlearn.compute.quantities import Unclear

LOADS = st.floats(10.0, 1e5)
SPEAKERS = st.floats(1.0, 600.0)


@pytest.mark.parametrize(
    "anode, speaker, ratio",
    [
        # T. R. Kuphaldt, Lessons in Electric Circuits, vol. II, ch. 9: 500 Ω to 8 Ω (from memory).
        (500.0, 8.0, 7.906),
        # DERIVED: √(5000/8), √(7000/4), √(10000/16).
        (5000.0, 8.0, 25.0),
        (7000.0, 4.0, 41.833),
        (10000.0, 16.0, 25.0),
    ],
)
def test_turns_ratio(anode, speaker, ratio):
    assert turns_ratio(anode, speaker) == pytest.approx(ratio, rel=1e-4, abs=0)


@given(LOADS, SPEAKERS)
def test_round_trip(anode, speaker):
    assert reflected_impedance(speaker, turns_ratio(anode, speaker)) == pytest.approx(anode, rel=1e-6, abs=0)


@given(LOADS, SPEAKERS, st.floats(0.5, 200.0))
def test_power_passes_an_ideal_transformer(anode, speaker, ratio):
    """DERIVED from volts with the turns, amperes against them: what goes in comes out."""
    match = match_output(anode, speaker, ratio=ratio)
    primary_volts = 10.0
    primary_amperes = primary_volts / match.seen
    secondary = (primary_volts / ratio) * (primary_amperes * ratio)
    assert secondary == pytest.approx(primary_volts**2 / match.seen, rel=1e-6, abs=0)
    assert (primary_volts / ratio) / (primary_amperes * ratio) == pytest.approx(speaker, rel=1e-6, abs=0)
    assert match.efficiency == pytest.approx(1.0, rel=1e-6, abs=0)


def test_power_is_greatest_where_load_and_source_are_equal():
    """Maximum power transfer (Kuphaldt vol. I, ch. 10); half of it at a sixth and at six times."""
    match = match_output(5000.0, 8.0)
    assert match.relative_power == pytest.approx(1.0, rel=1e-6, abs=0)
    assert match.loads[np.argmax(match.powers)] == pytest.approx(5000.0, rel=0.05, abs=0)
    for times in (3 - 2 * math.sqrt(2), 3 + 2 * math.sqrt(2)):
        off = match_output(5000.0, 8.0, ratio=25 * math.sqrt(times))
        assert off.relative_power == pytest.approx(0.5, rel=1e-9, abs=0)
        assert off.mismatch == pytest.approx(times, rel=1e-6, abs=0)


def test_windings_cost_power():
    """DERIVED: the loudspeaker's share of all resistance in the chain."""
    match = match_output(5000.0, 8.0, primary_resistance=400.0, secondary_resistance=0.6)
    assert match.seen == pytest.approx(400 + 625 * 8.6, rel=1e-6, abs=0)
    assert match.efficiency == pytest.approx(5000 / match.seen, rel=1e-6, abs=0)
    assert match.relative_power < 1


def test_best_tap():
    choice = best_tap(5000.0, 7000.0, (4.0, 8.0, 16.0), 4.0)
    assert (choice.tap, choice.seen) == (4.0, 7000.0) or choice.mismatch == pytest.approx(0.7, rel=1e-6, abs=0)
    assert best_tap(5000.0, 5000.0, (4.0, 8.0, 16.0), 8.0).tap == 8.0
    assert best_tap(5000.0, 5000.0, (4.0, 8.0, 16.0), 16.0).seen == pytest.approx(5000.0, rel=1e-6, abs=0)


def test_peak_swing():
    """DERIVED: 2 W in 5 kΩ: √(2·2·5000) = 141.4 V and √(2·2/5000) = 28.28 mA."""
    volts, amperes = peak_swing(2.0, 5000.0)
    assert (volts, amperes) == pytest.approx((141.42, 0.028284), rel=1e-4, abs=0)
    assert volts * amperes / 2 == pytest.approx(2.0, rel=1e-6, abs=0)


def test_said_in_words():
    assert says(match_output(5000.0, 8.0)).endswith("as wanted.")
    assert says(match_output(5000.0, 8.0, ratio=15.0)).endswith("too little.")
    assert says(match_output(5000.0, 8.0, ratio=40.0)).endswith("too much.")


@pytest.mark.parametrize(
    "make, words",
    [
        (lambda: turns_ratio(0.0, 8.0), "valve's load of 0 Ω is below"),
        (lambda: turns_ratio(5000.0, float("nan")), "must be a finite number"),
        (lambda: match_output(5000.0, 8.0, ratio=-3.0), "turns ratio of -3 is below"),
        (lambda: best_tap(5000.0, 5000.0, (), 8.0), "No secondary taps"),
        (lambda: peak_swing(-1.0, 5000.0), "power of -1 W is below"),
    ],
)
def test_refused_in_one_sentence(make, words):
    with pytest.raises(Unclear) as caught:
        make()
    assert words in str(caught.value) and str(caught.value).endswith(".")

"""Which intermediate frequencies whistle, and how fast a whistle runs: by trying and by counting."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tuning import HIGH, LOW, SUM, plan_band
from rxlearn.compute.whistle_map import compare_schemes, whistling_stretches
from rxlearn.compute.whistle_pitch import sweep_pitch
from rxlearn.compute.whistles import whistles


@given(st.sampled_from([(HIGH, 3.5e6, 4.0e6), (LOW, 10.1e6, 10.15e6), (LOW, 14e6, 14.35e6)]),
       st.floats(0.4e6, 9e6), st.integers(3, 9))
def test_a_scheme_whistles_just_where_a_stretch_holds_its_if(case, intermediate, order):
    """Another route: the whistles of the plan itself, found along the dial."""
    side, low, high = case
    found = whistling_stretches(low, high, side, order=order)
    inside = (found.low <= intermediate) & (intermediate <= found.high)
    near = np.min(np.abs(np.concatenate([found.low, found.high]) / intermediate - 1))
    if near > 1e-9:
        assert len(whistles(plan_band(low, high, intermediate, side), order=order)) == inside.sum()


def test_twice_the_if_in_the_band_is_one_of_them():
    """DERIVED: 2·f − O = IF on the high side at f = 2·IF: half the band's edges."""
    found = whistling_stretches(7.0e6, 7.3e6, HIGH, order=3)
    assert np.any(np.isclose(found.low, 3.5e6) & np.isclose(found.high, 3.65e6))


def test_each_stretch_is_as_wide_as_the_band_in_percent():
    found = whistling_stretches(3.5e6, 4.0e6, HIGH, order=9)
    assert found.high / found.low == pytest.approx(np.full(len(found.low), 4.0 / 3.5), rel=1e-6, abs=0)


def test_the_invented_receiver_stands_in_a_gap_and_its_neighbour_does_not():
    plans = [plan_band(3.5e6, 4e6, 3.2768e6, HIGH), plan_band(10.1e6, 10.15e6, 3.2768e6, LOW),
             plan_band(7e6, 7.3e6, 3.579545e6, HIGH), plan_band(14e6, 14.35e6, 3.579545e6, LOW)]
    counts = [len(side.whistles) for side in compare_schemes(plans, order=9).sides]
    assert counts[:2] == [0, 0] and min(counts[2:]) >= 1


@pytest.mark.parametrize("side, edges, intermediate", [
    (HIGH, (1.05e6, 9e6), 1e6), (LOW, (1.3e6, 9e6), 1e6), (SUM, (1e6, 8e6), 9e6),
])
def test_pitch_is_the_difference_of_what_both_products_make(side, edges, intermediate):
    """DERIVED: tune the dial, leave the station, and subtract the two frequencies in the IF."""
    tune = {HIGH: lambda f: f + intermediate, LOW: lambda f: f - intermediate,
            SUM: lambda f: intermediate - f}[side]
    wanted = {HIGH: lambda o, f: o - f, LOW: lambda o, f: f - o, SUM: lambda o, f: o + f}[side]
    for whistle in whistles(plan_band(*edges, intermediate, side), order=6):
        for dial, station in ((700.0, 0.0), (-300.0, 250.0), (0.0, -400.0)):
            found = sweep_pitch(whistle, side, dial_offset=dial, station_offset=station)
            oscillator = tune(whistle.signal + dial)
            if whistle.self_made:
                k = whistle.other_order * intermediate
                heard = [abs(abs(whistle.oscillator_order * oscillator + way * k) - intermediate)
                         for way in (1, -1)]
                assert min(heard) == pytest.approx(found.whistle_now, abs=1e-3)
                continue
            signal = whistle.signal + station
            product = whistle.sign * (whistle.oscillator_order * oscillator
                                      + whistle.other_order * signal)
            carrier = wanted(oscillator, signal)
            assert abs(product - carrier) == pytest.approx(found.whistle_now, abs=1e-3)
            assert abs(carrier - intermediate) == pytest.approx(found.carrier_now, abs=1e-3)
            assert found.passes_now == (abs(product - intermediate) <= 3e3
                                        and abs(carrier - intermediate) <= 3e3)


def test_the_slope_of_a_sweep_is_the_whistles_own():
    (whistle,) = [w for w in whistles(plan_band(7e6, 7.3e6, 3.579545e6, HIGH), order=3)
                  if not w.self_made]
    found = sweep_pitch(whistle, HIGH)
    above = found.dial > 100
    slopes = np.diff(found.whistle_pitch[above]) / np.diff(found.dial[above])
    assert slopes == pytest.approx(np.full(len(slopes), whistle.pitch_slope), rel=1e-6, abs=0)


@pytest.mark.parametrize("call, name", [
    (lambda: whistling_stretches(4e6, 3e6, HIGH), "Band from"),
    (lambda: whistling_stretches(3e6, 4e6, "up"), "Injection “up”"),
    (lambda: whistling_stretches(3e6, 4e6, HIGH, order=50), "Highest order"),
    (lambda: compare_schemes([]), "Schemes to compare"),
    (lambda: compare_schemes([plan_band(1e6, 2e6, 9e6, LOW)]), "Products of the mixer"),
    (lambda: sweep_pitch(_one(), HIGH, dial_offset=math.nan), "Dial off the whistle"),
    (lambda: sweep_pitch(_one(), HIGH, station_offset=1e9), "Station off the whistle"),
    (lambda: sweep_pitch(_one(), "up"), "Injection “up”"),
])
def test_bad_value_is_named(call, name):
    with pytest.raises(Unclear) as error:
        call()
    assert str(error.value).startswith(name)


def _one():
    return whistles(plan_band(7e6, 7.3e6, 3.579545e6, HIGH), order=3)[0]

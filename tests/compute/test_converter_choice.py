"""Which crystal, and one signal on its way: arithmetic DERIVED from |f − X|, written out."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.compute.converter_choice import (
    ABOVE,
    BELOW,
    DRAWER,
    ORDER,
    OWN,
    STOCK,
    best_of,
    choose_third_band,
    crystal_at,
    map_crystals,
    offers,
)
from rxlearn.compute.converter_plan import plan_converter
from rxlearn.compute.converter_setting import tune_converter
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tuning import HIGH, LOW, SUM, plan_band

MAIN = plan_band(3.5e6, 4.0e6, 3.2768e6, HIGH)
OWN_BANDS = ((3.5e6, 4.0e6), (10.1e6, 10.15e6))
BAND_17, BAND_15 = (18.068e6, 18.168e6), (21.0e6, 21.45e6)


def test_the_distance_is_where_the_middle_lands():
    """DERIVED: 18.118 less 3.75 and plus 3.75 MHz."""
    assert crystal_at(*BAND_17, 3.75e6, BELOW) == pytest.approx(14.368e6, rel=1e-6, abs=0)
    assert crystal_at(*BAND_17, 3.75e6, ABOVE) == pytest.approx(21.868e6, rel=1e-6, abs=0)
    for side in (BELOW, ABOVE):
        plan = plan_converter(*BAND_17, crystal_at(*BAND_17, 3.75e6, side), MAIN)
        assert sum(plan.stretch) / 2 == pytest.approx(3.75e6, rel=1e-6, abs=0)
        assert plan.dial_reversed == (side == ABOVE)


def test_what_is_on_offer_for_17_m():
    """By hand: only 14.31818 and 22.1184 MHz lie 3.5 to 4 MHz from it; 14.37 and 21.87 are cut."""
    found = offers(*BAND_17, MAIN, own=14.31818e6)
    assert [(offer.source, offer.crystal) for offer in found] == [
        (OWN, 14.31818e6), (STOCK, 22.1184e6), (ORDER, 14.37e6), (ORDER, 21.87e6)]
    # 22.1184 − 18.168 = 3.9504, − 18.068 = 4.0504: the band's upper 49.6 kHz.
    assert found[1].plan.covered_share == pytest.approx(0.496, rel=1e-6, abs=0)
    assert best_of(found).crystal == 14.31818e6


def test_the_drawer_is_looked_into_and_nothing_comes_twice():
    found = offers(*BAND_17, MAIN, own=22.1184e6, drawer=(14.3182e6, 22.1184e6, 5e6))
    assert [(offer.source, offer.crystal) for offer in found[:2]] == [
        (OWN, 22.1184e6), (DRAWER, 14.3182e6)]
    # 14.3182 is 14.31818 MHz written to fewer digits: stock does not offer it again.
    crystals = [offer.crystal for offer in found]
    assert 14.31818e6 not in crystals and 5e6 not in crystals
    assert all(abs(a - b) > 1e3 for i, a in enumerate(crystals) for b in crystals[:i])
    full = offers(*BAND_17, MAIN, own=9e6, drawer=[14.3e6 + 1e3 * n for n in range(50)])
    assert len(full) == 6 and full[0].source == OWN and full[-1].source == ORDER


def test_the_whistle_map_by_the_whistles_themselves():
    """15 m from above: the whistle by hand, 25 MHz less 3·O on the IF, is the lowest."""
    distances = np.array([3.3e6, 3.775e6, 4.15e6])
    found = map_crystals(*BAND_15, MAIN, ABOVE, distances)
    assert found.lowest_order[1] == 4 and found.covered[1] == 1.0
    for distance, lowest, share in zip(distances, found.lowest_order, found.covered):
        plan = plan_converter(*BAND_15, 21.225e6 + distance, MAIN)
        orders = [whistle.order for whistle in plan.whistles]
        assert lowest == min(orders) if orders else math.isnan(lowest)
        assert share == plan.covered_share
    # By hand: the dial's ends are 3.5 and 4 MHz, the band's middle lies 225 kHz from its edges.
    assert found.covered == pytest.approx([25 / 450, 1.0, 75 / 450], rel=1e-6, abs=0)


def test_choosing_keeps_what_serves_and_says_why_not():
    kept = choose_third_band("17 m", *BAND_17, 14.31818e6, MAIN, OWN_BANDS)
    assert (kept.name, kept.crystal, kept.why) == ("17 m", 14.31818e6, "")
    other = choose_third_band("17 m", *BAND_17, 9e6, MAIN, OWN_BANDS)
    assert (other.name, other.crystal) == ("17 m", 14.31818e6) and "beyond" in other.why
    taken = choose_third_band("30 m", 10.1e6, 10.15e6, 6e6, MAIN, OWN_BANDS)
    assert (taken.name, taken.crystal) == ("17 m", 14.31818e6)
    assert taken.why.startswith("The receiver tunes 30 m already")


@pytest.mark.parametrize("main, crystal, signal", [
    (MAIN, 14.31818e6, 18.1e6), (MAIN, 25e6, 21.2e6),
    (plan_band(10.1e6, 10.15e6, 3.2768e6, LOW), 38.15e6, 28.02e6),
    (plan_band(3.5e6, 4.0e6, 9e6, SUM), 17.4e6, 21.2e6),
])
def test_what_else_is_heard_with_one_signal(main, crystal, signal):
    """DERIVED: each must reach the IF by way of |s − X| and |… ± O|, or without the crystal."""
    plan = plan_converter(signal - 20e3, signal + 20e3, crystal, main)
    found = tune_converter(plan, signal)
    reading, intermediate = abs(signal - crystal), main.intermediate_frequency
    oscillator = {HIGH: reading + intermediate, LOW: reading - intermediate,
                  SUM: intermediate - reading}[main.injection]
    assert (found.reading, found.oscillator) == pytest.approx((reading, oscillator), rel=1e-6, abs=0)
    assert found.on_dial
    ways = {"directly": 1, "own band": 1}
    for row, stretch in zip(found.also_heard, plan.rejects, strict=True):
        assert row.name == stretch.name
        assert stretch.low - 1 <= row.frequency <= stretch.high + 1
        moved = row.frequency if any(word in row.name for word in ways) else abs(
            row.frequency - crystal)
        if "intermediate" not in row.name:
            assert min(abs(moved - oscillator), moved + oscillator,
                       key=lambda f: abs(f - intermediate)) == pytest.approx(intermediate, abs=1)
        rho = row.frequency / signal - signal / row.frequency
        # One resonator of loaded Q 50; Terman, Radio Engineering.
        assert row.rejection_db == pytest.approx(10 * math.log10(1 + (50 * rho) ** 2), rel=1e-6, abs=0)


def test_a_signal_beyond_the_dial_is_told():
    plan = plan_converter(28e6, 29.7e6, 32e6, MAIN)
    assert tune_converter(plan, 28.4e6).on_dial
    beyond = tune_converter(plan, 29.0e6)
    assert not beyond.on_dial and beyond.reading == 3.0e6 and beyond.place == pytest.approx(-1.0, rel=1e-6, abs=0)


@given(st.integers(200, 30_000), st.integers(20, 1500), st.integers(500, 20_000),
       st.integers(20, 700))
@settings(max_examples=60, deadline=None)
def test_any_band_gets_a_crystal_that_serves(low, width, bottom, main_width):
    main = plan_band(bottom * 1e3, (bottom + main_width) * 1e3, 455e3, HIGH)
    found = choose_third_band("x", low * 1e3, (low + width) * 1e3, 60e6, main, ())
    assert plan_converter(found.low, found.high, found.crystal, main).works


@pytest.mark.parametrize("call, name", [
    (lambda: crystal_at(*BAND_17, math.nan, BELOW), "Crystal's distance"),
    (lambda: crystal_at(*BAND_17, 18.1e6, BELOW), "A crystal 18.1 MHz below"),
    (lambda: crystal_at(*BAND_17, 3e6, "beside"), "Crystal's side “beside”"),
    (lambda: crystal_at(18e6, 17e6, 3e6, BELOW), "Band from"),
    (lambda: tune_converter(plan_converter(*BAND_17, 14.31818e6, MAIN), -1.0), "Signal frequency"),
])
def test_bad_value_is_named(call, name):
    with pytest.raises(Unclear) as error:
        call()
    assert str(error.value).startswith(name)
    assert len(str(error.value).splitlines()) == 1

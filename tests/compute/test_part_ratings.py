"""Ratings and pairs of preferred values, against tables, arithmetic and a search of its own.

The series are printed here a second time, as IEC 60063:2015 lists them (table of E6, E12, E24); the
reference search imports nothing from the package.
"""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.filter_choice import resistor_for_choke
from rxlearn.compute.part_ratings import (
    choose_preferred,
    electrolytics_in_series,
    heat_resistor,
    is_preferred,
    preferred_pair,
    rate_capacitor,
    rate_resistor,
    widest_miss,
)
from rxlearn.compute.power_supply import demonstration_supply
from rxlearn.compute.quantities import Unclear

IEC_60063 = {
    "E6": (10, 15, 22, 33, 47, 68),
    "E12": (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82),
    "E24": (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75,
            82, 91),
}
"""IEC 60063, as several transcriptions agree: one decade, in tenths."""


# Resistors ------------------------------------------------------------------------------

@pytest.mark.parametrize(("ohms", "amperes", "power", "rating"), [
    # P = I² R (Ohm and Joule), twice that to the next of 0.25, 0.5, 1, 2, 5, 10 W: the margin and
    # the steps are common practice, no source.
    (390.0, 21e-3, 0.17199, 0.5),
    (27e3, 6.8e-3, 1.24848, 5.0),
    (82e3, 2.1e-3, 0.36162, 1.0),
    (4.7e3, 2.9e-3, 0.039527, 0.25),
    (1e3, 0.0, 0.0, 0.25),
    (100.0, 50e-3, 0.25, 0.5),  # twice the heat is the step itself: it serves
])
def test_heat_and_rating(ohms, amperes, power, rating):
    found = rate_resistor(ohms, amperes)
    assert found.power == pytest.approx(power, rel=1e-9, abs=1e-15)
    assert found.wanted == pytest.approx(2 * power, rel=1e-9, abs=1e-15)
    assert found.rating == rating


def test_the_voltage_along_the_body_can_decide():
    # 1 mA through 300 kΩ: 0.3 W of heat asks for 1 W by heat; 300 V along it for 0.5 W at least.
    assert not rate_resistor(300e3, 1e-3).by_voltage
    # 0.3 mA through 1 MΩ: 0.09 W asks for 0.25 W by heat, but 300 V is more than its 250 V (makers'
    # sheets, from memory).
    found = rate_resistor(1e6, 0.3e-3)
    assert found.rating == 0.5 and found.by_voltage


def test_more_heat_than_any_single_part_has_no_rating():
    assert rate_resistor(1e3, 0.1).rating is None  # 10 W of heat
    assert heat_resistor("a resistor", 1e3, 50e-3, 2.0).too_hot


@given(st.floats(1.0, 1e6), st.floats(0.0, 0.05))
def test_a_rating_is_enough_and_never_two_steps_too_many(ohms, amperes):
    found = rate_resistor(ohms, amperes)
    steps = (0.25, 0.5, 1.0, 2.0, 5.0, 10.0)
    if found.rating is None:
        assert 2 * amperes**2 * ohms > 10.0 or amperes * ohms > 500.0
        return
    assert found.rating * (1 + 1e-6) >= 2 * amperes**2 * ohms
    smaller = [step for step in steps if step < found.rating]
    if smaller and not found.by_voltage:
        limits = {0.25: 250, 0.5: 350, 1.0: 500, 2.0: 500, 5.0: 750}
        assert (2 * amperes**2 * ohms > smaller[-1] * (1 - 1e-6)
                or amperes * ohms > limits[smaller[-1]] * (1 - 1e-6))


@pytest.mark.parametrize("bad", [(0.0, 1e-3), (math.nan, 1e-3), (100.0, -1e-3), (100.0, math.inf)])
def test_nonsense_is_refused(bad):
    with pytest.raises(Unclear):
        rate_resistor(*bad)


# Capacitors -----------------------------------------------------------------------------

@pytest.mark.parametrize(("volts", "electrolytic", "rating"), [
    # Margins 1.25 and 1.1 and the steps: common practice, no source.
    (0.0, False, 50.0), (40.0, False, 50.0), (41.0, False, 100.0), (370.0, False, 630.0),
    (320.0, False, 400.0), (370.0, True, 450.0), (9.35, True, 16.0), (14.6, True, 25.0),
])
def test_capacitor_ratings(volts, electrolytic, rating):
    assert rate_capacitor(volts, electrolytic=electrolytic) == rating


def test_above_the_highest_step_the_sentence_says_what_to_do():
    with pytest.raises(Unclear, match="put two in series"):
        rate_capacitor(460.0, electrolytic=True)  # 506 V, and 500 V is the last step


def test_two_electrolytics_in_series_share_by_kirchhoff():
    found = electrolytics_in_series(47e-6, 370.0, 250.0)
    assert found.capacitance == pytest.approx(23.5e-6)
    # DERIVED: V1 + V2 = V, and V1/R + I = V2/R where one leaks I more; solved here as two equations.
    r, i, v = found.balance, found.leakage, 370.0
    lower = (v - r * i) / 2
    higher = v - lower
    assert lower / r + i == pytest.approx(higher / r)
    assert found.highest == pytest.approx(higher) and higher <= 250.0 / 1.1
    assert found.power == pytest.approx(higher**2 / r)
    assert i == pytest.approx(0.01 * 47e-6 * 250.0)  # 0.01 C U, makers' sheets, from memory
    with pytest.raises(Unclear, match="take a higher rating"):
        electrolytics_in_series(47e-6, 470.0, 250.0)


# Preferred values -------------------------------------------------------------------------

def by_search(wanted, series):
    """The least miss of any two values not above the wanted one, by trying all of four decades."""
    values = [step * 10.0**power for power in range(-1, 3) for step in IEC_60063[series]
              if step * 10.0**power <= wanted]
    return min(abs(a + b - wanted) for a, b in itertools.combinations_with_replacement(values, 2))


@pytest.mark.parametrize("series", IEC_60063)
@given(wanted=st.floats(10.0, 999.0))
def test_a_pair_comes_as_near_as_any(series, wanted):
    found = preferred_pair(wanted, series)
    assert found.made == pytest.approx(found.first + found.second)
    assert found.first >= found.second
    best = by_search(wanted, series)
    # Parts below a hundredth of the value are left out: they could mend no more than that.
    assert abs(found.made - wanted) <= best + 0.011 * wanted
    for part in (found.first, found.second):
        assert round(part / 10 ** (math.floor(math.log10(part) + 1e-9) - 1)) in IEC_60063[series]


def test_pairs_by_hand():
    # 22 + 15 = 37; 33 + 4.7 = 37.7 and 27 + 10 = 37 (as near, but less equal).
    pair = preferred_pair(37e-12, "E12")
    assert (pair.first, pair.second) == (22e-12, 15e-12)
    assert pair.single == 39e-12 and pair.single_error == pytest.approx(39 / 37 - 1)


@pytest.mark.parametrize(("series", "ratio"), [("E6", 33 / 22), ("E12", 15 / 12), ("E24", 1.3 / 1.2)])
def test_the_widest_miss(series, ratio):
    steps = (*IEC_60063[series], 100)
    widest = max(b / a for a, b in itertools.pairwise(steps))
    assert widest_miss(series) == pytest.approx(math.sqrt(widest) - 1)
    if series != "E24":
        assert widest == pytest.approx(ratio, rel=0.02)


def test_a_choice_shows_its_decade():
    found = choose_preferred(37e-12, "E12", two=True)
    assert [round(step * 1e12) for step in found.steps] == [*IEC_60063["E12"], 100]
    assert found.made == pytest.approx(37e-12) and found.error == pytest.approx(0, abs=1e-9)
    assert choose_preferred(100e-12, "E6").made == 100e-12
    assert is_preferred(47.2e-12, "E12") and not is_preferred(50e-12, "E12")


# A resistor for a choke -------------------------------------------------------------------

def test_a_resistor_costs_its_drop_and_divides_the_ripple():
    supply = demonstration_supply()
    small = resistor_for_choke(supply, 120.0)
    large = resistor_for_choke(supply, 1000.0)
    # Ohm's law: 880 Ω more at the same load cost 880 Ω times the current that flows.
    current = large.resistor.branches[-1].direct
    drop = small.resistor.output_voltage - large.resistor.output_voltage
    assert drop == pytest.approx(880 * current, rel=0.12)
    # A divider of R and C: 1/√(1 + (2π f R C)²) of what stands before it, at twice the mains
    # (textbook); higher harmonics are held back more, so the ratio of the whole is a little less.
    for found in (small, large):
        x = 2 * math.pi * 2 * supply.transformer.frequency * found.resistance * 47e-6
        before, after = (c.ripple_rms for c in found.resistor.capacitors)
        assert after / before == pytest.approx(1 / math.hypot(1, x), rel=0.1)
    more = resistor_for_choke(supply, 1000.0, capacitance=94e-6)
    assert large.ripple_ratio / more.ripple_ratio == pytest.approx(2, rel=0.05)


def test_the_choke_s_side_does_not_change():
    supply = demonstration_supply()
    one, other = (resistor_for_choke(supply, ohms).choke.output_voltage for ohms in (50.0, 900.0))
    assert one == other
    with pytest.raises(Unclear):
        resistor_for_choke(supply, 0.0)

"""Where products cross the tuning line: closed forms against exact fractions and searches."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.mixer_levels import FLOOR_DB, Mixer, level_db
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tuning import HIGH, LOW, SUM, plan_band
from rxlearn.compute.whistles import (
    crossings_between,
    product_name,
    self_made_crossings,
    signal_crossings,
    whistles,
)

INJECTIONS = (HIGH, LOW, SUM)


def wanted_signal(injection, ratio):
    """Signal over IF at an oscillator over IF; definition of the three injections."""
    return {HIGH: ratio - 1, LOW: ratio + 1, SUM: 1 - ratio}[injection]


def search(injection, order):
    """Every ratio by trying: which O/IF makes |m·O + n·f| = IF?  Solved as a straight line.

    The product is a straight line in O/IF: two of its points give where it meets ±1.
    """
    found = {}
    for m in range(order + 1):
        for n in range(-order, order + 1):
            if n == 0 or m + abs(n) > order:
                continue
            at = [m * r + n * wanted_signal(injection, r) for r in (Fraction(0), Fraction(1))]
            slope = at[1] - at[0]
            if slope == 0:
                continue
            for target in (1, -1):
                ratio = (target - at[0]) / slope
                if ratio > 0 and wanted_signal(injection, ratio) > 0:
                    found.setdefault(ratio, set()).add((m, n))
    return found


@pytest.mark.parametrize("injection", INJECTIONS)
@pytest.mark.parametrize("order", [2, 3, 5, 8, 15])
def test_crossings_are_those_of_a_search(injection, order):
    table, searched = signal_crossings(injection, order), search(injection, order)
    assert np.all(np.diff(table.ratio) > 0)
    assert table.ratio.tolist() == pytest.approx([float(r) for r in sorted(searched)], rel=1e-14, abs=0)
    for row, ratio in enumerate(sorted(searched)):
        m, n = int(table.oscillator_order[row]), int(table.other_order[row])
        assert (m, n) in searched[ratio] or (m == 0 and (m, -n) in searched[ratio])
        landed = int(table.sign[row]) * (m * ratio + n * wanted_signal(injection, ratio))
        assert landed == 1
        # The strongest of all that cross here.
        levels = [float(level_db(Mixer(), *orders)) for orders in searched[ratio]]
        assert table.level_db[row] == pytest.approx(max(levels), rel=1e-6, abs=0)


@pytest.mark.parametrize("injection, formulas", [
    # DERIVED: m·O − n·f = ±IF with f = O − IF, f = O + IF; sum with f = IF − O, s the sign of n.
    (HIGH, lambda m, n: [Fraction(n + k, n - m) for k in (1, -1) if n != m]),
    (LOW, lambda m, n: [Fraction(n + k, m - n) for k in (1, -1) if n != m]),
    (SUM, lambda m, n: [Fraction(k - s * n, m - s * n) for k in (1, -1) for s in (1, -1)
                        if m != s * n]),
])
def test_crossings_are_those_of_the_closed_forms(injection, formulas):
    order = 11
    expected = {
        ratio for m in range(order + 1) for n in range(1, order + 1 - m)
        for ratio in formulas(m, n) if ratio > 0 and wanted_signal(injection, ratio) > 0
    }
    if injection != SUM:
        # m·O + n·f: the same with n turned round.
        expected |= {
            ratio for m in range(order + 1) for n in range(1, order + 1 - m)
            for ratio in formulas(m, -n) if ratio > 0 and wanted_signal(injection, ratio) > 0
        }
    found = signal_crossings(injection, order).ratio
    assert found.tolist() == pytest.approx([float(r) for r in sorted(expected)], rel=1e-14, abs=0)


@pytest.mark.parametrize("injection", INJECTIONS)
def test_self_made_whistles_are_those_of_a_search(injection):
    """DERIVED: m·O and k beat-oscillator harmonics, their sum or difference on the IF."""
    order = 9
    searched = {}
    for m in range(1, order + 1):
        for k in range(order + 1 - m):
            for ratio in {Fraction(k + 1, m), Fraction(k - 1, m)}:
                if ratio > 0 and wanted_signal(injection, ratio) > 0:
                    searched.setdefault(ratio, []).append((m, k))
    table = self_made_crossings(injection, order)
    assert table.ratio.tolist() == pytest.approx([float(r) for r in sorted(searched)], rel=1e-6, abs=0)
    for row, ratio in enumerate(sorted(searched)):
        lowest = min(m + k for m, k in searched[ratio])
        assert table.oscillator_order[row] + table.other_order[row] == lowest
    without = self_made_crossings(injection, order, fundamental=False)
    assert without.ratio.tolist() == pytest.approx(
        [float(r) for r in sorted(searched) if all(m > 1 for m, _ in searched[r])]
    )


@given(st.sampled_from(INJECTIONS), st.integers(2, 20),
       st.lists(st.tuples(st.floats(0.01, 12), st.floats(0, 4)), min_size=1, max_size=8))
def test_what_lies_between_is_counted_and_weighed(injection, order, stretches):
    table = signal_crossings(injection, order)
    low = np.array([start for start, _ in stretches])
    high = low + np.array([width for _, width in stretches])
    found = crossings_between(table, low, high)
    for row in range(len(stretches)):
        inside = [i for i, ratio in enumerate(table.ratio)
                  if low[row] * (1 - 1e-12) <= ratio <= high[row] * (1 + 1e-12)]
        assert found.count[row] == len(inside)
        if not inside:
            assert found.strongest[row] == -1 and found.strongest_db[row] == FLOOR_DB
            continue
        assert found.first[row] == inside[0]
        assert found.strongest_db[row] == max(table.level_db[i] for i in inside)
        power = sum(10 ** (table.level_db[i] / 10) for i in inside)
        assert 10 ** (found.sum_db[row] / 10) == pytest.approx(power, rel=1e-6, abs=1e-14)


@pytest.mark.parametrize("injection, edges, intermediate", [
    (HIGH, (0.54e6, 1.6e6), 455e3), (LOW, (4e6, 12e6), 2e6), (SUM, (1e6, 8e6), 9e6),
])
def test_pitch_slopes_are_finite_differences(injection, edges, intermediate):
    """DERIVED: turn the oscillator a little, look at what the two products do."""
    plan = plan_band(*edges, intermediate, injection)
    wanted = {HIGH: lambda o, f: o - f, LOW: lambda o, f: f - o, SUM: lambda o, f: o + f}[injection]
    found = [row for row in whistles(plan, order=7)]
    assert {row.self_made for row in found} == {True, False}
    for row in found:
        def product(oscillator, other):
            return row.sign * (row.oscillator_order * oscillator + row.other_order * other)

        if row.self_made:
            # Against a beat oscillator on the IF; the harmonics may be added or subtracted.
            landed = [abs(row.oscillator_order * row.oscillator + way * row.other_order
                          * intermediate) for way in (1, -1)]
            assert any(value == pytest.approx(intermediate, rel=1e-6, abs=0) for value in landed)
            assert row.pitch_slope == row.oscillator_order and row.level_db is None
            continue
        assert product(row.oscillator, row.signal) == pytest.approx(intermediate, rel=1e-6, abs=0)
        assert wanted(row.oscillator, row.signal) == pytest.approx(intermediate, rel=1e-6, abs=0)
        beat = [product(o, row.signal) - wanted(o, row.signal)
                for o in (row.oscillator, row.oscillator + 1000)]
        assert abs(beat[1] - beat[0]) == pytest.approx(1000 * row.pitch_slope, rel=1e-6, abs=0)
        step = -1000 if injection == SUM else 1000
        centred = product(row.oscillator + 1000, row.signal + step) - intermediate
        assert abs(centred) == pytest.approx(1000 * row.centred_slope, rel=1e-6, abs=0)


def test_whistles_stand_in_the_order_of_the_dial():
    found = whistles(plan_band(0.54e6, 1.6e6, 455e3, HIGH), order=7)
    assert [row.signal for row in found] == sorted(row.signal for row in found)
    names = [row.name for row in found if row.self_made]
    assert "harmonic 2 of the beat oscillator on 910 kHz" in names


def test_a_sum_scheme_meets_its_oscillator_on_the_if():
    """DERIVED: IF 9, f = 4.5, O = 4.5 MHz: 2·O falls on the IF without any station."""
    found = whistles(plan_band(4e6, 5e6, 9e6, SUM), order=4)
    assert any(row.self_made and row.other_order == 0 and row.signal == 4.5e6
               and row.name == "harmonic 2 of the oscillator on the intermediate frequency"
               for row in found)


@pytest.mark.parametrize("orders, name", [
    ((1, -2, -1), "2·signal − oscillator"), ((2, -2, 1), "2·oscillator − 2·signal"),
    ((0, 1, 1), "signal"), ((0, 3, 1), "3·signal"), ((3, 1, 1), "3·oscillator + signal"),
])
def test_names(orders, name):
    assert product_name(*orders) == name


@pytest.mark.parametrize("call, name", [
    (lambda: signal_crossings("sideways", 5), "Injection “sideways”"),
    (lambda: signal_crossings(HIGH, 41), "Highest order of products"),
    (lambda: signal_crossings(HIGH, "9"), "Highest order of products"),
    (lambda: self_made_crossings(LOW, 1), "Highest order of products"),
    (lambda: whistles(plan_band(1e6, 2e6, 9e6, LOW)), "Products of the mixer need"),
])
def test_bad_value_is_named(call, name):
    with pytest.raises(Unclear) as error:
        call()
    assert str(error.value).startswith(name)

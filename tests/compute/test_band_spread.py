"""Networks: closed forms, exact fractions, the inverse of the inverse, and ngspice."""

import math
import os
import shutil
import subprocess
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq

from rxlearn.compute.band_spread import Network, cover, series_for_swing, solve_network, stand_in
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.spread_parts import LEAST_TRIMMER, centred, spread_with_parts
from rxlearn.compute.switched_dial import pulling_capacitor, switch_in
from rxlearn.compute.tank import fixed_capacitance_for_ratio
from rxlearn.compute.variable_capacitor import PLATE_LAWS, VariableCapacitor

PF = 1e-12
SMALL = VariableCapacitor(10 * PF, 50 * PF)
MIDDLE = VariableCapacitor(10 * PF, 140 * PF)
GANG = VariableCapacitor(15 * PF, 365 * PF)


def resonance(inductance, capacitance):
    return 1 / (2 * math.pi * math.sqrt(inductance * capacitance))


# What a network covers

def test_equal_capacitors_in_series_halve():
    """DERIVED from the definition: 365 pF behind 365 pF is 182.5 pF."""
    network = Network(1e-6, GANG, series=365 * PF)
    assert network.total_at(0.0) == pytest.approx(182.5 * PF, rel=1e-12, abs=0)


def test_everything_across_the_coil_adds():
    network = Network(2e-6, SMALL, None, 100 * PF, 7 * PF, 5 * PF, 3 * PF)
    assert network.total_at(0.0) == pytest.approx(165 * PF, rel=1e-12, abs=0)
    assert network.total_at(180.0) == pytest.approx(125 * PF, rel=1e-12, abs=0)
    found = cover(network)
    assert found.low == pytest.approx(resonance(2e-6, 165 * PF), rel=1e-12, abs=0)
    assert found.high == pytest.approx(resonance(2e-6, 125 * PF), rel=1e-12, abs=0)
    assert found.swing == pytest.approx(40 * PF, rel=1e-9, abs=0)
    assert found.span == found.high - found.low


def test_broadcast_gang():
    """DERIVED: 15 to 365 pF over 540 to 1600 kHz: 29.992 pF to add, coil 219.920 µH."""
    added = fixed_capacitance_for_ratio(15 * PF, 365 * PF, 1600 / 540)
    assert added == pytest.approx(29.992 * PF, rel=1e-4, abs=0)
    network = solve_network(540e3, 1600e3, 219.920e-6, GANG)
    assert network.parallel == pytest.approx(29.992 * PF, rel=1e-3, abs=0)
    assert network.series is None or network.series > 1e-8


def test_the_published_band_spread_network():
    """DERIVED, solved numerically: 5 µH, 7.0 to 7.3 MHz, 10 to 140 pF."""
    network = solve_network(7.0e6, 7.3e6, 5e-6, MIDDLE)
    assert network.series == pytest.approx(16.179 * PF, rel=1e-4, abs=0)
    assert network.parallel == pytest.approx(88.886 * PF, rel=1e-4, abs=0)
    assert network.total_at(0.0) == pytest.approx(103.389 * PF, rel=1e-4, abs=0)
    assert network.total_at(180.0) == pytest.approx(95.066 * PF, rel=1e-4, abs=0)


def test_the_workbook_upper_band():
    """Invented for the workbook; DERIVED by hand: 4.31 pF around 295 pF, from 10 to 50 pF."""
    network = solve_network(6.8232e6, 6.8732e6, 1.83e-6, SMALL)
    found = cover(network)
    assert found.swing == pytest.approx(4.31 * PF, rel=1e-3, abs=0)
    assert (found.total_at_low + found.total_at_high) / 2 == pytest.approx(295.2 * PF, rel=1e-3, abs=0)
    # 35.69·x² - 258.6·x - 2155 = 0, in pF: x = 12.196.
    assert network.series == pytest.approx(12.196 * PF, rel=1e-3, abs=0)
    assert network.parallel == pytest.approx(287.5 * PF, rel=1e-3, abs=0)


# Tuning-capacitance ratio, DERIVED: (highest/lowest)².
@pytest.mark.parametrize("low, high, ratio", [
    (3.5, 4.0, 1.3061), (7.0, 7.3, 1.08755), (14.0, 14.35, 1.050625), (28.0, 29.7, 1.12511),
])
def test_capacitance_ratio_of_a_band(low, high, ratio):
    found = cover(solve_network(low * 1e6, high * 1e6, 30e-6 / low**2, GANG))
    assert found.total_at_low / found.total_at_high == pytest.approx(ratio, rel=1e-4, abs=0)


# The inverse

@st.composite
def networks(draw):
    minimum = draw(st.floats(3, 30)) * PF
    variable = VariableCapacitor(
        minimum, minimum + draw(st.floats(10, 400)) * PF, draw(st.sampled_from(list(PLATE_LAWS)))
    )
    return Network(
        draw(st.floats(0.2, 50)) * 1e-6, variable, draw(st.floats(2, 2000)) * PF,
        draw(st.floats(0, 400)) * PF, draw(st.floats(0, 200)) * PF, draw(st.floats(0, 20)) * PF,
        draw(st.floats(0, 15)) * PF,
    )


@given(networks())
def test_the_inverse_of_what_it_covers_is_the_network(network):
    found = cover(network)
    assume(found.swing > 1e-3 * found.total_at_low)
    back = solve_network(
        found.low, found.high, network.inductance, network.variable, across=network.across,
        strays=network.strays, valve=network.valve,
    )
    assert back.series == pytest.approx(network.series, rel=1e-6, abs=0)
    assert back.parallel == pytest.approx(network.parallel, rel=1e-6, abs=1e-6 * found.total_at_low)


@given(st.floats(1e6, 30e6), st.floats(1.001, 1.2), st.floats(0.3, 5), st.floats(0, 100))
def test_what_is_solved_covers_what_was_asked(low, ratio, coil, across):
    try:
        network = solve_network(low, low * ratio, coil * 1e-6, MIDDLE, across=across * PF,
                                strays=4 * PF)
    except Unclear as problem:
        assert str(problem).endswith(".")
        return
    found = cover(network)
    assert found.low == pytest.approx(low, rel=3e-4 if network.series is None else 1e-9, abs=0)
    assert found.high == pytest.approx(low * ratio, rel=1e-9, abs=0)
    assert network.parallel >= 0


@pytest.mark.parametrize("series, parallel, across", [(12, 280, 0), (68, 220, 100), (150, 47, 33)])
def test_against_exact_fractions(series, parallel, across):
    """Reference in exact fractions of a picofarad, from the definitions of series and parallel."""
    ends = [
        parallel + Fraction(series * (own + across), series + own + across) for own in (50, 10)
    ]
    low, high = (resonance(1.83e-6, float(end) * PF) for end in ends)
    network = solve_network(low, high, 1.83e-6, SMALL, across=across * PF)
    assert network.series == pytest.approx(series * PF, rel=1e-9, abs=0)
    assert network.parallel == pytest.approx(parallel * PF, rel=1e-9, abs=0)


def test_series_for_a_swing_against_bisection():
    """Independent route: brentq on the swing itself."""
    for swing in (0.5, 4.3, 20.0, 39.0):
        def off(series, swing=swing):
            return series * 50 / (series + 50) - series * 10 / (series + 10) - swing
        assert series_for_swing(SMALL, swing * PF) == pytest.approx(
            brentq(off, 0.1, 1e5, xtol=1e-12) * PF, rel=1e-9, abs=0)


def test_a_swing_that_the_capacitor_has_needs_no_series_capacitor():
    assert series_for_swing(SMALL, 40 * PF) is None
    assert series_for_swing(SMALL, 39.999 * PF) is None


def test_too_little_swing_is_refused_with_the_reason():
    with pytest.raises(Unclear, match="asks for a swing of 48.6 pF, .* only 40 pF: take a larger"):
        solve_network(6.7e6, 7.3e6, 1.83e-6, SMALL)


def test_too_large_a_coil_is_refused_with_the_reason():
    with pytest.raises(Unclear, match="already hold .* choose a smaller coil"):
        solve_network(6.8232e6, 6.8732e6, 30e-6, SMALL, strays=20 * PF)


@pytest.mark.parametrize("low, high", [(7e6, 7e6), (7.3e6, 7e6), (math.nan, 7e6), (0, 1e6),
                                       ("7 MHz", 7.3e6), (-1, 5)])
def test_what_is_no_range_is_refused(low, high):
    with pytest.raises(Unclear):
        solve_network(low, high, 5e-6, MIDDLE)


@pytest.mark.parametrize("name", ["series", "parallel", "across", "strays", "valve"])
@pytest.mark.parametrize("bad", [math.nan, -1 * PF, math.inf, "5 pF", True])
def test_what_is_no_capacitance_is_refused(name, bad):
    with pytest.raises(Unclear):
        Network(1e-6, SMALL, **{name: bad})


# Places and rates on the dial

@given(networks(), st.floats(0, 1))
def test_a_frequency_is_found_where_it_is(network, share):
    angle = share * network.variable.degrees
    assume(cover(network).swing > 1e-3 * cover(network).total_at_low)
    place = network.angle_for(float(network.frequency_at(angle)))
    assert place == pytest.approx(angle, abs=1e-3)


def test_a_frequency_that_is_not_on_the_dial_has_no_place():
    network = solve_network(7.0e6, 7.3e6, 5e-6, MIDDLE)
    assert network.angle_for(6.9e6) is None and network.angle_for(7.4e6) is None
    assert network.angle_for(1e6) is None
    assert network.angle_for(7.0e6) == pytest.approx(0, abs=1e-3)
    assert network.angle_for(7.3e6) == pytest.approx(180, abs=1e-3)


@given(networks(), st.floats(0.02, 0.98))
def test_rate_is_the_difference_quotient(network, share):
    """Independent route: a central difference of the frequency."""
    angle, step = share * network.variable.degrees, 1e-3 * network.variable.degrees
    rise = network.frequency_at(angle + step) - network.frequency_at(angle - step)
    assert network.rate_at(angle) == pytest.approx(rise / (2 * step), rel=1e-3, abs=0)


def test_a_small_series_capacitor_crowds_the_dial_and_one_across_the_variable_spreads_it():
    bare = cover(solve_network(6.8232e6, 6.8732e6, 1.83e-6, SMALL))
    helped = cover(solve_network(6.8232e6, 6.8732e6, 1.83e-6, SMALL, across=100 * PF))
    # DERIVED: dC/dCv = (Cs/(Cs + Cv))² at 10 and 50 pF: ((12.196 + 50)/(12.196 + 10))² = 7.85,
    # and (297.3/293)^1.5 = 1.022 more, for the rate goes with C^(-3/2).
    assert bare.unevenness == pytest.approx(7.85 * 1.022, rel=1e-3, abs=0)
    assert helped.unevenness < 1.6
    assert abs(helped.bow) < 0.06 < 0.25 < abs(bare.bow)


def test_share_of_a_band_on_the_dial():
    wide = cover(Network(1.83e-6, SMALL, None, 251.4 * PF))
    assert wide.share_of(6.8232e6, 6.8732e6) == pytest.approx(0.107, abs=2e-3)
    assert wide.share_of(1e6, 2e6) == 0.0
    assert wide.share_of(1e6, 9e6) == pytest.approx(1.0, rel=1e-6, abs=0)


# Parts that can be bought

def test_preferred_values_move_the_ends_and_a_trimmer_brings_the_middle_back():
    """DERIVED: 287.5 pF rounds to 270 pF in E12, 17.5 of 295 pF is 3 % of the frequency's half."""
    bought = spread_with_parts(6.8232e6, 6.8732e6, 1.83e-6, SMALL, preferred="E12")
    assert bought.rounded.network.series == pytest.approx(12 * PF, rel=1e-6, abs=0)
    assert bought.rounded.network.parallel == pytest.approx(270 * PF, rel=1e-6, abs=0)
    for end, total in ((bought.rounded.low, 270 + 12 * 50 / 62),
                       (bought.rounded.high, 270 + 12 * 10 / 22)):
        assert end == pytest.approx(resonance(1.83e-6, total * PF), rel=1e-9, abs=0)
    assert bought.misses(bought.exact) == pytest.approx((0, 0), abs=1e-2)
    assert min(bought.misses(bought.rounded)) < -100e3 < 100e3 < max(bought.misses(bought.rounded))
    middle = (bought.trimmed.low + bought.trimmed.high) / 2
    assert middle == pytest.approx(6.8482e6, abs=0.1)
    assert bought.fixed + bought.trimmer == pytest.approx(bought.trimmed.network.parallel, rel=1e-6, abs=0)
    assert bought.trimmer >= LEAST_TRIMMER


def test_room_beyond_the_ends_is_kept():
    bought = spread_with_parts(6.8232e6, 6.8732e6, 1.83e-6, SMALL, margin=5e3)
    assert bought.misses(bought.exact) == pytest.approx((-5e3, -5e3), abs=1e-2)
    with pytest.raises(Unclear, match="^Room beyond"):
        spread_with_parts(6.8232e6, 6.8732e6, 1.83e-6, SMALL, margin=-1)


@given(st.floats(50, 400), st.floats(0.995, 1.005))
def test_centred_puts_the_middle_where_it_is_asked(parallel, factor):
    network = Network(1.83e-6, SMALL, 22 * PF, parallel * PF)
    middle = factor * (cover(network).low + cover(network).high) / 2
    found = cover(centred(network, middle))
    assert (found.low + found.high) / 2 == pytest.approx(middle, rel=1e-9, abs=0)


def test_a_middle_that_no_parallel_capacitor_reaches_is_refused():
    with pytest.raises(Unclear, match="choose a smaller coil"):
        centred(Network(30e-6, GANG, 200 * PF), 7e6)


# A larger capacitor in place of one that can't be had

@given(st.floats(10, 40), st.floats(1.1, 8))
def test_a_larger_capacitor_stands_in(minimum, times):
    wanted = VariableCapacitor(minimum * PF, (minimum + 40) * PF)
    have = VariableCapacitor(15 * PF, (15 + 40 * times) * PF)
    found = stand_in(wanted, have)
    ends = [
        found.parallel + (c if found.series is None else c * found.series / (c + found.series))
        for c in (have.minimum, have.maximum)
    ]
    assert ends == pytest.approx([wanted.minimum, wanted.maximum], rel=1e-6, abs=0)


def test_a_smaller_capacitor_cannot_stand_in():
    with pytest.raises(Unclear, match="has only 40 pF"):
        stand_in(GANG, SMALL)


# A capacitor switched across the tank

WIDE = Network(1.83e-6, SMALL, None, 251.4 * PF)


def test_the_time_station_below_the_dial():
    """Invented for the workbook: 10.000 MHz is 53.6 kHz below the dial; DERIVED, about 5 pF."""
    end = float(WIDE.frequency_at(0.0))
    assert end - 6.7232e6 == pytest.approx(53.6e3, abs=100)
    wanted = pulling_capacitor(WIDE, 6.7232e6, 0.0)
    assert wanted == pytest.approx(301.4 * PF * ((end / 6.7232e6) ** 2 - 1), rel=1e-9, abs=0)
    assert 4.5 * PF < wanted < 5.5 * PF
    pulled = switch_in(WIDE, wanted, 6.7232e6, 0.0)
    assert pulled.after.low == pytest.approx(6.7232e6, abs=0.1)
    assert pulled.place == pytest.approx(0, abs=1e-3)


def test_the_switched_capacitor_narrows_the_dial():
    """DERIVED: the span goes nearly as C^(-3/2)."""
    found = switch_in(WIDE, 20 * PF, 6.7e6, 90.0)
    assert found.narrower == pytest.approx((281.4 / 301.4) ** 1.5, rel=2e-3, abs=0)
    assert found.moved < 0


def test_a_target_above_is_not_reached_by_adding():
    assert switch_in(WIDE, 0.0, 7.5e6, 0.0).wanted is None
    with pytest.raises(Unclear, match="only pulls a tank down"):
        pulling_capacitor(WIDE, 7.5e6, 0.0)


# ngspice

CIRCUITS = [
    # inductance µH, minimum, maximum, series, parallel, across, strays, valve (pF), angle
    (1.83, 10, 50, 12.2, 287.5, 0, 0, 0, 0), (1.83, 10, 50, 12.2, 287.5, 0, 0, 0, 180),
    (1.83, 10, 50, 63, 239, 100, 8, 6, 90), (1.83, 10, 50, None, 240, 0, 8, 6, 45),
    (5.0, 10, 140, 16.179, 88.886, 0, 0, 0, 0), (5.0, 10, 140, 16.179, 88.886, 0, 0, 0, 180),
    (219.92, 15, 365, None, 30, 0, 0, 0, 0), (219.92, 15, 365, None, 30, 0, 0, 0, 180),
    (12.0, 12, 100, 47, 22, 15, 5, 4, 30), (0.8, 10, 140, 33, 68, 0, 6, 5, 120),
    (0.3, 5, 25, 10, 40, 3, 4, 3, 77), (30.0, 15, 365, 100, 33, 0, 10, 8, 150),
]


@pytest.mark.parametrize("circuit", CIRCUITS, ids=str)
def test_resonance_against_ngspice(circuit, tmp_path):
    if shutil.which("ngspice") is None:
        message = "ngspice is not installed, so resonances cannot be compared with it."
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    inductance, minimum, maximum, series, parallel, across, strays, valve, angle = circuit
    variable = VariableCapacitor(minimum * PF, maximum * PF)
    network = Network(
        inductance * 1e-6, variable, series and series * PF, parallel * PF, across * PF,
        strays * PF, valve * PF,
    )
    expected = float(network.frequency_at(angle))
    # The plates by hand, straight-line capacitance: maximum less its share of the turn.
    own = maximum - (maximum - minimum) * angle / 180
    node = "n1" if series is None else "n2"
    net = (
        f"I0 0 n1 AC 1\nR1 n1 0 1e6\nL1 n1 0 {inductance}u\nC1 n1 0 {parallel + strays + valve}p\n"
        f"C2 {node} 0 {own!r}p\nC3 {node} 0 {across + 1e-9!r}p\n"
        # A node between two capacitors needs a way to ground for the operating point.
        + ("" if series is None else f"C4 n1 n2 {series}p\nR2 n2 0 1e12\n")
    )
    table = tmp_path / "phase.txt"
    deck = tmp_path / "circuit.cir"
    deck.write_text(
        f"Band spread\n{net}.control\nset wr_singlescale\nset numdgt=12\n"
        f"ac lin 2001 {expected * 0.999!r} {expected * 1.001!r}\n"
        f"wrdata {table} imag(v(n1))\nquit\n.endc\n.end\n"
    )
    surroundings = {**os.environ, "HOME": str(tmp_path)}
    subprocess.run(["ngspice", "-b", str(deck)], check=True, capture_output=True, timeout=60,
                   env=surroundings)
    rows = np.loadtxt(table)
    assert len(rows) == 2001
    # Without reactance left, the voltage is in phase with the current: that is resonance.
    crossing = float(np.interp(0.0, -rows[:, 1], rows[:, 0]))
    assert crossing == pytest.approx(expected, rel=1e-6, abs=0)

"""Receivers built from a plan's parts: against closed forms, GUM's linear law and a plain loop.

The reference implementations here import nothing from rxlearn: they know a coil, some
capacitors and f = 1/(2π√(LC)).
"""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest

from rxlearn.compute.build_from_parts import Oscillator, Quality, build_from_parts
from rxlearn.compute.image_swapping import swap_bands
from rxlearn.compute.influence import DIAL_WIDTH, NARROW_WIDTH, TRIMMER_SETTING
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.receiver_parts import (
    COIL,
    CRYSTAL,
    FIXED,
    MINIMUM,
    SERIES,
    SPREAD_ACROSS,
    SPREAD_FIXED,
    SPREAD_SERIES,
    STRAYS,
    SWING,
    SWITCHED,
    VALVE,
)
from rxlearn.compute.tolerances import build_many, draw
from rxlearn.compute.variable_capacitor import VariableCapacitor

PF = 1e-12
WORKBOOK = swap_bands(3.5e6, 4.0e6, 10.1e6, 10.15e6, 3.2768e6)
PLANNED = Oscillator(
    inductance=1.83e-6, variable=VariableCapacitor(10 * PF, 50 * PF), strays=8 * PF, valve=6 * PF)
GANG = replace(PLANNED, variable=VariableCapacitor(15 * PF, 365 * PF), inductance=1.5e-6)
EXACT = Quality(**{name: 0.0 for name in Quality.__dataclass_fields__})


def tank(inductance, capacitance):
    return 1 / (2 * math.pi * math.sqrt(inductance * capacitance))


def in_series(one, other):
    return one * other / (one + other) if other else one


def values_of(build):
    return {part.name: part.nominal for part in build.parts}


# A reference receiver: plain arithmetic on a dict of parts, trimmed at its low end.

def wide_rest(part, switched_on_wide=False):
    rest = part[FIXED] + part[STRAYS] + part[VALVE]
    return rest + (part[SWITCHED] if switched_on_wide else 0.0)


def wide_branch(part):
    series = part.get(SERIES, 0.0)
    return (in_series(part[MINIMUM], series), in_series(part[MINIMUM] + part[SWING], series))


def wide_trimmer(part, start_signal, beyond):
    start = start_signal + part[CRYSTAL] - beyond
    total = 1 / ((2 * math.pi * start) ** 2 * part[COIL])
    return total - wide_rest(part) - wide_branch(part)[1]


def wide_width(part, start_signal, beyond):
    rest = wide_rest(part) + wide_trimmer(part, start_signal, beyond)
    opened, meshed = wide_branch(part)
    return tank(part[COIL], rest + opened) - tank(part[COIL], rest + meshed)


def narrow_width(part, start, beyond):
    """The spread dial's width; ``start`` is the band's low edge, low side."""
    across = part.get(SPREAD_ACROSS, 0.0)
    opened, meshed = (in_series(part[MINIMUM] + across + swing, part[SPREAD_SERIES])
                      for swing in (0.0, part[SWING]))
    begin = start - part[CRYSTAL] - beyond
    total = 1 / ((2 * math.pi * begin) ** 2 * part[COIL])
    return tank(part[COIL], total - meshed + opened) - begin


@pytest.mark.parametrize("planned", [PLANNED, GANG, replace(GANG, across=30 * PF)],
                         ids=["all of the swing", "behind a series capacitor", "across it too"])
@pytest.mark.parametrize("margin", [0.0, 0.1, 0.3])
def test_exact_parts_make_the_dial_that_was_asked_for(planned, margin):
    """DERIVED: f = 1/(2π√(LC)); half the margin beyond either end of the bands, 500 and 50 kHz."""
    build = build_from_parts(WORKBOOK, planned, EXACT, margin=margin, spread=True)
    found = build_many(build, receivers=64)
    room, middle = margin / 2, np.full(64, 16.5 * PF)
    assert found.dial_low == pytest.approx(np.full(64, 6.7768e6 - room * 500e3), abs=5)
    # A series capacitor that would take less than 0.3 % of the swing is left out.
    assert found.dial_high == pytest.approx(np.full(64, 7.2768e6 + room * 500e3), abs=1500)
    assert found.narrow_low == pytest.approx(np.full(64, 6.8232e6 - room * 50e3), abs=5)
    assert found.narrow_high == pytest.approx(np.full(64, 6.8732e6 + room * 50e3), abs=5)
    assert found.trimmer_needed == pytest.approx(middle, abs=0.2 * PF)
    assert found.narrow_trimmer_needed == pytest.approx(middle, abs=1e-6 * PF)
    part = values_of(build)
    low, high = (tank(part[COIL], wide_rest(part) + 16.5 * PF + end)
                 for end in reversed(wide_branch(part)))
    assert (low, high) == pytest.approx((6.7768e6 - room * 500e3, 7.2768e6 + room * 500e3), abs=1500)
    assert wide_width(part, 3.5e6, build.beyond) == pytest.approx(
        found.dial_high[0] - found.dial_low[0], rel=1e-9, abs=0)
    assert narrow_width(part, 10.1e6, build.narrow_beyond) == pytest.approx(
        50e3 * (1 + margin), abs=5)


def test_margin_comes_from_spare_swing_or_else_from_the_coil():
    """DERIVED: with all the swing in use, a dial wider by a tenth asks for about a tenth more coil."""
    plain, wider = (build_from_parts(WORKBOOK, PLANNED, EXACT, margin=m) for m in (0.0, 0.1))
    assert plain.part(COIL).nominal == pytest.approx(1.83e-6, rel=1e-3, abs=0)
    low, high = 6.7768e6 - 25e3, 7.2768e6 + 25e3
    coil = (1 / (2 * math.pi * low) ** 2 - 1 / (2 * math.pi * high) ** 2) / (40 * PF)
    assert wider.part(COIL).nominal == pytest.approx(coil, rel=1e-9, abs=0)
    gang = [build_from_parts(WORKBOOK, GANG, EXACT, margin=m) for m in (0.0, 0.1)]
    assert [one.part(COIL).nominal for one in gang] == [1.5e-6, 1.5e-6]
    assert gang[0].part(SERIES).nominal < gang[1].part(SERIES).nominal


def reference_sensitivities(build, output):
    """GUM's c_i·u(x_i) for each part, by central differences; u of a uniform ±a is a/√3 (4.3.7)."""
    nominal = values_of(build)
    found = {}
    for part in build.parts:
        step = part.nominal * part.tolerance
        if not step:
            continue
        ends = [output({**nominal, part.name: part.nominal + side * step / 100}) for side in (-1, 1)]
        found[part.name] = (ends[1] - ends[0]) / (2 * step / 100) * step / math.sqrt(3)
    return found


@pytest.mark.parametrize("planned", [PLANNED, GANG], ids=["plain", "series capacitor"])
def test_spread_follows_the_law_of_propagation_of_uncertainty(planned):
    """JCGM 100:2008 (GUM) 5.1.2, equation (10): u_c² = Σ (∂f/∂x_i)² u²(x_i), inputs independent.

    The tolerances are a tenth of the usual, so that the tank is nearly a straight line of its
    parts; the shares of u_c² are then the first-order indices.
    """
    small = Quality(coil=0.002, capacitors=0.005, variable=0.005, strays=0.03, crystal=5e-6)
    build = build_from_parts(WORKBOOK, planned, small, margin=0.1, spread=True)
    found = build_many(build, receivers=30_000)
    width = found.dial_high - found.dial_low
    narrow = found.narrow_high - found.narrow_low
    for name, values, output in (
        (TRIMMER_SETTING, found.trimmer_needed, lambda p: wide_trimmer(p, 3.5e6, build.beyond)),
        (DIAL_WIDTH, width, lambda p: wide_width(p, 3.5e6, build.beyond)),
        (NARROW_WIDTH, narrow, lambda p: narrow_width(p, 10.1e6, build.narrow_beyond)),
    ):
        parts = reference_sensitivities(build, output)
        combined = math.sqrt(sum(one**2 for one in parts.values()))
        assert values.std() == pytest.approx(combined, rel=0.01, abs=0), name
        for part, one in parts.items():
            assert found.influence[name][part] == pytest.approx(
                (one / combined) ** 2, abs=0.025), (name, part)


def test_a_series_capacitor_alone_off_is_exact():
    """DERIVED: the spread dial is wide enough from one value of its series capacitor upwards."""
    build = build_from_parts(WORKBOOK, PLANNED, EXACT, margin=0.06, spread=True)
    build = build.with_part(SPREAD_SERIES, tolerance=0.1)
    found = build_many(build, receivers=60_000)
    part, low, high = values_of(build), 0.5, 1.5
    wanted = 50e3 + build.narrow_beyond  # from where the dial begins to the band's high edge
    for _ in range(60):  # bisection: a larger series capacitor makes a wider dial
        middle = (low + high) / 2
        tried = {**part, SPREAD_SERIES: middle * part[SPREAD_SERIES]}
        low, high = ((low, middle) if narrow_width(tried, 10.1e6, build.narrow_beyond) >= wanted
                     else (middle, high))
    expected = (1.1 - high) / 0.2
    assert 0.55 < expected < 0.75
    assert found.recentres.value == pytest.approx(expected, abs=1e-3)
    assert found.covers.value == 1.0 and found.all_well.value == found.recentres.value


def test_a_series_capacitor_that_is_fitted_is_taken_as_it_is():
    """DERIVED: 12 pF where 12.2 pF would do: too narrow, so the dial begins at the band's edge."""
    build = build_from_parts(WORKBOOK, replace(PLANNED, series=12 * PF), EXACT, spread=True)
    assert build.part(SPREAD_SERIES).nominal == 12 * PF and build.narrow_beyond == 0.0
    found = build_many(build, receivers=64)
    assert found.narrow_low == pytest.approx(np.full(64, 6.8232e6), abs=5)
    assert found.narrow_high[0] == pytest.approx(
        6.8232e6 + narrow_width(values_of(build), 10.1e6, 0.0), abs=5)
    assert found.recentres.value == 0.0
    wide = build_from_parts(WORKBOOK, replace(PLANNED, series=15 * PF), EXACT, spread=True)
    assert build_many(wide, receivers=64).recentres.value == 1.0


def test_strays_count_like_any_capacitor_across_the_coil():
    """DERIVED: only the strays off by ±2 pF: the trimmer makes up for it, picofarad for picofarad."""
    build = build_from_parts(WORKBOOK, PLANNED, replace(EXACT, strays=0.25), margin=0.1)
    found = build_many(build.with_part(VALVE, tolerance=0.0), receivers=20_000)
    assert found.trimmer_needed.min() == pytest.approx(14.5 * PF, abs=0.01 * PF)
    assert found.trimmer_needed.max() == pytest.approx(18.5 * PF, abs=0.01 * PF)
    assert found.influence[TRIMMER_SETTING][STRAYS] == pytest.approx(1.0, abs=0.01)


def receivers_by_loop(build, count, seed):
    """Ready for both bands, spread, one receiver at a time with pseudo-random draws."""
    random = np.random.default_rng(seed)
    good = 0
    for _ in range(count):
        part = {one.name: one.nominal * (1 + one.tolerance * random.uniform(-1, 1))
                for one in build.parts}
        trimmer = min(max(wide_trimmer(part, 3.5e6, build.beyond), build.trimmer_low),
                      build.trimmer_high)
        rest, (opened, meshed) = wide_rest(part) + trimmer, wide_branch(part)
        wide = (tank(part[COIL], rest + meshed) <= 3.5e6 + part[CRYSTAL]
                and tank(part[COIL], rest + opened) >= 4.0e6 + part[CRYSTAL])
        across = part.get(SPREAD_ACROSS, 0.0)
        opened, meshed = (in_series(part[MINIMUM] + across + swing, part[SPREAD_SERIES])
                          for swing in (0.0, part[SWING]))
        start = 10.1e6 - part[CRYSTAL] - build.narrow_beyond
        rest = part[SPREAD_FIXED] + part[STRAYS] + part[VALVE]
        trimmer = 1 / ((2 * math.pi * start) ** 2 * part[COIL]) - rest - meshed
        rest += min(max(trimmer, build.trimmer_low), build.trimmer_high)
        good += wide and (tank(part[COIL], rest + meshed) <= 10.1e6 - part[CRYSTAL]
                          and tank(part[COIL], rest + opened) >= 10.15e6 - part[CRYSTAL])
    return good / count


def test_a_plain_loop_agrees():
    """Independent route; three sigma of the loop's binomial share, and our own error, set the limit."""
    build = build_from_parts(WORKBOOK, replace(GANG, across=20 * PF), Quality(), margin=0.1,
                             spread=True)
    found = build_many(build, receivers=30_000, warming_high=0.0)
    looped = receivers_by_loop(build, 8000, 5)
    assert 0.2 < looped < 0.9
    assert found.all_well.value == pytest.approx(
        looped, abs=3 * math.sqrt(looped * (1 - looped) / 8000) + found.all_well.standard_error)


def test_drift_behind_a_series_capacitor_is_a_differential():
    """DERIVED: two receivers a tenth of a degree apart, by plain arithmetic."""
    build = build_from_parts(WORKBOOK, GANG, replace(
        EXACT, coil_coefficient=50e-6, capacitor_coefficient=-40e-6, variable_coefficient=60e-6))
    found = build_many(build, receivers=64)
    part = values_of(build)

    def middle(warmer):
        grown = {name: value * (1 + warmer * build.part(name).coefficient)
                 for name, value in part.items()}
        trimmer = found.trimmer_needed[0] * (1 - 40e-6 * warmer)
        own = grown[MINIMUM] + grown[SWING] / 2
        return tank(grown[COIL], wide_rest(grown) + trimmer + in_series(own, grown[SERIES]))

    per_degree = (middle(0.1) - middle(-0.1)) / 0.2
    assert abs(per_degree) > 20
    assert found.drift == pytest.approx(np.full(64, per_degree), rel=1e-6, abs=0)


def test_draws_are_kept_while_tolerances_turn():
    build = build_from_parts(WORKBOOK, PLANNED, Quality(), margin=0.1)
    draws = draw(receivers=1000, seed=7)
    once, again = build_many(build, draws=draws), build_many(build, receivers=1000, seed=7)
    assert np.array_equal(once.dial_high, again.dial_high) and once.covers == again.covers
    better = build_from_parts(WORKBOOK, PLANNED, Quality(variable=0.01), margin=0.1)
    assert build_many(better, draws=draws).covers.value > once.covers.value


def test_a_positive_shift_takes_the_switched_capacitor_on_the_wider_band():
    scheme = swap_bands(1.8e6, 2.0e6, 10.1e6, 10.15e6, 4.096e6)
    build = build_from_parts(scheme, PLANNED, EXACT, margin=0.1)
    assert build.switched_on == build.wide_band == "lower"
    found = build_many(build, receivers=64)
    assert found.covers.value == found.recentres.value == 1.0
    assert found.trimmer_needed == pytest.approx(np.full(64, 16.5 * PF), abs=0.5 * PF)
    assert found.centre_off == pytest.approx(np.zeros(64), abs=1e-9)


@pytest.mark.parametrize("call, name", [
    (lambda: Quality(coil=math.nan), "Tolerance"),
    (lambda: Quality(coil_coefficient_spread=1.0), "Temperature coefficient"),
    (lambda: build_from_parts(WORKBOOK, PLANNED, Quality(), margin=3.0), "Margin beyond the band"),
    (lambda: build_from_parts(WORKBOOK, PLANNED, Quality(), trimmer_low=30 * PF, trimmer_high=3 * PF),
     "Trimmer from 30 pF"),
    (lambda: build_from_parts(WORKBOOK, replace(PLANNED, inductance=30e-6), Quality()),
     "The coil of 30 µH"),
    (lambda: build_from_parts(WORKBOOK, PLANNED, Quality(), trimmer_high=600 * PF),
     "Trimmer, strays, valve and tuning capacitor take"),
    (lambda: build_from_parts(swap_bands(3.5e6, 4e6, 10.1e6, 10.15e6, 3.6e6), PLANNED, Quality()),
     "The intermediate frequency of 3.6 MHz lies inside"),
])
def test_bad_value_is_named(call, name):
    with pytest.raises(Unclear) as error:
        call()
    assert str(error.value).startswith(name), str(error.value)


@pytest.mark.parametrize("planned", [PLANNED, GANG], ids=["plain", "series capacitor"])
def test_the_worst_trimmers_are_those_of_all_corners(planned):
    """Independent route: each of the 2^n corners of the parts' tolerances by plain arithmetic."""
    build = build_from_parts(WORKBOOK, planned, Quality(), margin=0.1)
    parts = [part for part in build.parts if part.name != SWITCHED]
    needed = [
        wide_trimmer({part.name: part.nominal * (1 + sign * part.tolerance)
                      for part, sign in zip(parts, signs)}, 3.5e6, build.beyond)
        for signs in itertools.product((-1, 1), repeat=len(parts))
    ]
    found = build_many(build, receivers=1000)
    assert found.trimmer_worst == pytest.approx((min(needed), max(needed)), rel=1e-9, abs=0)
    assert min(needed) < found.trimmer_needed.min() < found.trimmer_needed.max() < max(needed)

"""Spurious responses: a published list, a numerical mixer, straight lines and their slopes."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.mixer_levels import BENT, FLOOR_DB, SWITCH, Mixer, level_db
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.spur_chart import chart_spurs
from rxlearn.compute.spurs import (
    BREAKTHROUGH,
    HALF_IF,
    HARMONIC_IMAGE,
    IMAGE,
    WANTED,
    response_frequencies,
    spurious_responses,
)
from rxlearn.compute.tuning import HIGH, LOW, SUM, image_frequency, plan_band
from tests.compute import mixer_bench

BROADCAST = plan_band(540e3, 1600e3, 455e3, HIGH)
WORKBOOK = plan_band(3.5e6, 4.0e6, 3.2768e6, HIGH)


def test_all_responses_to_order_two():
    """DERIVED from the mixer's relation |m·LO ± n·f| = IF, LO 1055 kHz, IF 455 kHz, in kHz."""
    expected = [
        (227.5, 0, 2), (300, 1, 2), (455, 0, 1), (600, 1, 1), (755, 1, 2), (827.5, 2, 2),
        (1282.5, 2, 2), (1510, 1, 1), (1655, 2, 1), (2565, 2, 1),
    ]
    found = response_frequencies(1055e3, 455e3)
    assert [(f / 1e3, m, n) for f, m, n in found] == expected


def test_half_if_response():
    """DERIVED: 2·LO − 2·f = IF where f = LO − IF/2; 827.5 kHz for LO 1055, IF 455 kHz."""
    found = spurious_responses(BROADCAST, 600e3, order=4)
    assert [row.frequency for row in found.of_kind(HALF_IF)] == pytest.approx([827.5e3, 1282.5e3], rel=1e-6, abs=0)
    assert all(row.name in ("2·oscillator − 2·signal", "2·signal − 2·oscillator")
               for row in found.of_kind(HALF_IF))


def test_a_whistle_on_twice_the_if():
    """DERIVED: f = 910, LO = 1365 kHz: 2·f − LO = 455 kHz falls on the IF itself."""
    (found,) = [row for row in chart_spurs(BROADCAST, order=3).whistles if not row.self_made]
    assert (found.signal, found.oscillator) == pytest.approx((910e3, 1365e3), rel=1e-6, abs=0)
    assert found.name == "2·signal − oscillator"
    # The carrier's IF falls as the product rises: 2 kHz of pitch for each kHz tuned.
    assert found.pitch_slope == 2 and found.centred_slope == 1


@pytest.mark.parametrize("injection, edges, intermediate", [
    (HIGH, (3.5e6, 4e6), 3.2768e6), (LOW, (10.1e6, 10.15e6), 3.2768e6), (SUM, (3.5e6, 4e6), 9e6),
])
def test_every_response_lands_on_the_if(injection, edges, intermediate):
    plan = plan_band(*edges, intermediate, injection)
    found = spurious_responses(plan, edges[0], order=9)
    for row in found.responses:
        landed = row.sign * (row.oscillator_order * found.oscillator
                             + row.signal_order * row.frequency)
        assert landed == pytest.approx(intermediate, rel=1e-9, abs=0)
    (wanted,) = found.of_kind(WANTED)
    assert wanted.frequency == pytest.approx(edges[0], rel=1e-6, abs=0) and wanted is found.responses[0]
    assert wanted.level_db == pytest.approx(0, abs=1e-9)
    (image,) = found.of_kind(IMAGE)
    assert image.frequency == pytest.approx(image_frequency(edges[0], intermediate, injection), rel=1e-6, abs=0)
    (through,) = found.of_kind(BREAKTHROUGH)
    assert through.frequency == intermediate
    for row in found.of_kind(HARMONIC_IMAGE):
        assert abs(row.frequency - row.oscillator_order * found.oscillator) == pytest.approx(
            intermediate
        )
    levels = [row.level_db for row in found.responses[1:]]
    assert levels == sorted(levels, reverse=True)


def test_workbook_receiver_hears_the_tropical_band_through_its_front_end():
    """Invented receiver; DERIVED: one circuit of Q 50 on 3.5 MHz takes 16.5 dB off 3.2768 MHz."""
    (through,) = spurious_responses(WORKBOOK, 3.5e6).of_kind(BREAKTHROUGH)
    slope = 50 * (3.5 / 3.2768 - 3.2768 / 3.5)
    assert through.attenuation_db == pytest.approx(10 * math.log10(1 + slope**2), rel=1e-6, abs=0)
    assert through.attenuation_db == pytest.approx(16.5, abs=0.05)
    assert through.there == ("90 m broadcast",)


# Against a numerical mixer ---------------------------------------------------------

OSCILLATOR, INTERMEDIATE = 60 * 127, 60 * 47  # bins; 60 so that every n up to 6 divides
SAMPLES = 7**7


@pytest.mark.parametrize("mixer", [
    Mixer(kind=SWITCH, signal_drive=0.2, duty=0.46),
    Mixer(kind=SWITCH, signal_drive=0.05, duty=0.3),
    Mixer(kind=BENT, signal_drive=0.3, oscillator_drive=2.0),
    Mixer(kind=BENT, signal_drive=0.1, oscillator_drive=0.5),
], ids=lambda mixer: f"{mixer.kind} {mixer.signal_drive}")
def test_levels_are_those_of_a_numerical_mixer(mixer):
    """DERIVED: Jacobi–Anger and a square wave's series, against sampled waves and a transform."""
    def at_the_if(signal):
        sampled = mixer_bench.wave(signal, SAMPLES)
        if mixer.kind == SWITCH:
            out = mixer_bench.switched(sampled, OSCILLATOR, mixer.duty, mixer.signal_drive)
        else:
            out = mixer_bench.bent(
                sampled, OSCILLATOR, mixer.oscillator_drive, mixer.signal_drive
            )
        return mixer_bench.one_line(out, INTERMEDIATE)

    wanted = at_the_if(OSCILLATOR - INTERMEDIATE)
    checked = 0
    for frequency, m, n in response_frequencies(
        OSCILLATOR, INTERMEDIATE, highest_oscillator_order=5, highest_signal_order=4
    ):
        expected = float(level_db(mixer, m, n))
        # A sampled square wave folds back; so weak a line drowns in that.
        if expected > (-68 if mixer.kind == SWITCH else -130) and frequency < SAMPLES / 2:
            found = 20 * math.log10(at_the_if(round(frequency)) / wanted)
            assert found == pytest.approx(expected, abs=0.1), (m, n)
            checked += 1
    assert checked >= 15


def test_a_numerical_mixer_hears_nothing_that_is_not_listed():
    """Sweep the signal over every bin; whatever reaches the IF must be a listed response."""
    oscillator, intermediate, samples, drive = 12 * 50, 12 * 19, 16807, 0.3
    mixer = Mixer(kind=BENT, signal_drive=drive, oscillator_drive=2.0)
    found = {}
    for signals in np.array_split(np.arange(1, 3000), 60):
        turns = (signals[:, None] * np.arange(samples)) % samples
        waves = np.cos(2 * np.pi * turns / samples)
        out = np.exp(2.0 * mixer_bench.wave(oscillator, samples) + drive * waves)
        sizes = mixer_bench.one_line(out, intermediate)
        found |= dict(zip(signals.tolist(), sizes))
    wanted = found[oscillator - intermediate]
    heard = {f for f, size in found.items() if 20 * math.log10(size / wanted) > -60}
    expected = {
        round(f) for f, m, n in response_frequencies(
            oscillator * 1e3, intermediate * 1e3, highest_oscillator_order=20,
            highest_signal_order=4,
        )
        for f in [f / 1e3] if f < 3000 and f == round(f) and level_db(mixer, m, n) > -60
    }
    assert heard == expected and len(heard) >= 12


def test_attenuation_costs_n_decibels_for_each():
    """DERIVED: I_n(x) goes as xⁿ for small x."""
    mixer = Mixer(signal_drive=0.01)
    for n in (1, 2, 3):
        lost = level_db(mixer, 1, n) - level_db(mixer, 1, n, 10.0)
        assert lost == pytest.approx(10 * n, abs=0.01)


def test_a_perfect_switch_has_no_even_harmonics():
    # DERIVED: sin(π·m/2) is zero for even m; 1/3 for the third harmonic.
    mixer = Mixer(duty=0.5)
    assert level_db(mixer, 2, 1) == FLOOR_DB and level_db(mixer, 0, 1) == FLOOR_DB
    assert level_db(mixer, 3, 1) == pytest.approx(20 * math.log10(1 / 3), rel=1e-6, abs=0)


# The chart -------------------------------------------------------------------------


@given(st.sampled_from([(HIGH, (3.5e6, 4e6), 3.2768e6), (LOW, (10.1e6, 10.6e6), 3.2768e6),
                        (SUM, (3.5e6, 4e6), 9e6)]), st.integers(2, 9))
def test_lines_are_straight_and_land_on_the_if(case, order):
    injection, edges, intermediate = case
    chart = chart_spurs(plan_band(*edges, intermediate, injection), order=order)
    a, b = {HIGH: (1, 1), LOW: (1, -1), SUM: (-1, 1)}[injection]
    oscillator = a * chart.tuned + b * intermediate
    for line in chart.lines:
        landed = line.sign * (line.oscillator_order * oscillator
                              + line.signal_order * line.frequencies)
        here = ~np.isnan(line.frequencies)
        assert landed[here] == pytest.approx(intermediate, rel=1e-9, abs=0)
        assert np.diff(line.frequencies)[here[1:] & here[:-1]] == pytest.approx(
            line.slope * np.diff(chart.tuned)[0], abs=1e-3
        )
        assert line.kind != WANTED and np.nanmin(line.frequencies) <= chart.highest_frequency


@pytest.mark.parametrize("injection, edges, intermediate", [
    (HIGH, (0.54e6, 1.6e6), 455e3), (LOW, (4e6, 12e6), 2e6), (SUM, (1e6, 8e6), 9e6),
])
def test_lines_cross_the_diagonal_where_whistles_are_listed(injection, edges, intermediate):
    """Independent route: a sign change of (line − tuned) on a fine grid."""
    plan = plan_band(*edges, intermediate, injection)
    chart = chart_spurs(plan, order=6, points=3990)  # no round number on the grid
    crossed = set()
    for line in chart.lines:
        gap = line.frequencies - chart.tuned
        for place in np.flatnonzero(gap[:-1] * gap[1:] < 0):
            crossed.add(round(float(chart.tuned[place] / 1e4)))
    listed = {round(w.signal / 1e4) for w in chart.whistles if not w.self_made
              and edges[0] + 1e4 < w.signal < edges[1] - 1e4}
    assert len(listed) >= 3
    near = {c + d for c in crossed for d in (-1, 0, 1)}
    assert listed <= near and crossed <= {c + d for c in listed for d in (-1, 0, 1)} | {
        round(edge / 1e4) + d for edge in edges for d in (-1, 0, 1)}


def test_worst_line_of_the_workbook_receiver():
    chart = chart_spurs(WORKBOOK, order=5)
    # DERIVED: closest to the band of all first-order products is the IF itself, 16.5 dB down
    # by the front end; the mixer's lopsidedness (duty 0.48: 2·0.04/c₁) takes the rest.
    worst = chart.worst()
    c1 = 4 / math.pi * math.sin(math.pi * 0.48)
    assert worst.kind in (BREAKTHROUGH, IMAGE)
    through = next(line for line in chart.lines if line.kind == BREAKTHROUGH)
    assert np.nanmax(through.levels_db) == pytest.approx(
        20 * math.log10(2 * 0.04 / c1) - 16.48, abs=0.05
    )
    assert chart.worst(in_band=True) is None or chart.worst(in_band=True).kind != WANTED


@pytest.mark.parametrize("call, name", [
    (lambda: chart_spurs(WORKBOOK, order=1), "Highest order"),
    (lambda: chart_spurs(WORKBOOK, order=2.5), "Highest order"),
    (lambda: chart_spurs(WORKBOOK, loaded_q=math.nan), "Loaded Q"),
    (lambda: chart_spurs(WORKBOOK, highest_frequency=-1.0), "Highest frequency"),
    (lambda: spurious_responses(WORKBOOK, -3.5e6), "Signal frequency"),
    (lambda: spurious_responses(plan_band(1e6, 2e6, 9e6, LOW), 1.5e6), "Products of the mixer"),
    (lambda: response_frequencies(math.inf, 455e3), "Oscillator frequency"),
    (lambda: Mixer(kind="magic"), "Mixer of kind “magic”"),
    (lambda: Mixer(signal_drive=0.0), "Signal drive"),
    (lambda: Mixer(duty=1.5), "Duty"),
    (lambda: Mixer(oscillator_drive=math.nan), "Oscillator drive"),
])
def test_bad_value_is_named(call, name):
    with pytest.raises(Unclear) as error:
        call()
    assert str(error.value).startswith(name)
    assert len(str(error.value).splitlines()) == 1

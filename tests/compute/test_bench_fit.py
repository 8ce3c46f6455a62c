"""Fits of simulated benches whose truth is known: estimates, confidence, doubtful readings."""

import math

import numpy as np
import pytest
from scipy import stats

from rxlearn.compute.band_spread import Network
from rxlearn.compute.bench_fit import Reading, adjust, fit_coil, fit_dial
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.variable_capacitor import PLATE_LAWS, VariableCapacitor

BENCHES = 400


def resonance(inductance, capacitance):
    """The resonance formula once more, apart from the package."""
    return 1 / (2 * np.pi * np.sqrt(inductance * capacitance))


def coil_bench(draw, true_coil, true_strays, capacitors, sigma):
    frequencies = resonance(true_coil, np.array(capacitors) + true_strays)
    return [Reading(c, f * (1 + sigma * draw.standard_normal()), f * sigma)
            for c, f in zip(capacitors, frequencies)]


def dial_bench(draw, *, coil=1.79e-6, fixed=259e-12, law="capacitance", sigma=200.0,
               sideways=0.3, count=9):
    """Readings of a dial of 10..50 pF over 180°, from the definitions of the plate laws."""
    readings = []
    for angle in np.linspace(2, 178, count):
        share = angle / 180
        variable = {
            "capacitance": 50e-12 - share * 40e-12,
            "frequency": (50e-12**-0.5 + share * (10e-12**-0.5 - 50e-12**-0.5)) ** -2,
        }[law]
        frequency = resonance(coil, fixed + variable)
        readings.append(Reading(abs(float(angle + sideways * draw.standard_normal())),
                                float(frequency + sigma * draw.standard_normal()), sigma, sideways))
    return readings


PLANNED = Network(1.83e-6, VariableCapacitor(10e-12, 50e-12), parallel=237e-12, strays=8e-12,
                  valve=6e-12)


def covered_as_promised(hits):
    """Whether a share of hits is what 95 % allows: binomial, one chance in a thousand to be out."""
    low, high = stats.binom.interval(0.999, len(hits), 0.95)
    return low <= sum(hits) <= high


def test_without_noise_the_truth_comes_back():
    readings = [Reading(c, float(resonance(4.2e-6, c + 11e-12)), 1.0)
                for c in (47e-12, 100e-12, 220e-12)]
    found = fit_coil(readings)
    assert found.estimates["coil"].value == pytest.approx(4.2e-6, rel=1e-6, abs=0)
    assert found.estimates["strays"].value == pytest.approx(11e-12, rel=1e-5, abs=0)


def test_two_readings_are_the_closed_form():
    # DERIVED: 1/(4π²f²) = L(C + Cs) twice; their difference gives L.
    pairs = ((50e-12, 9.1e6), (150e-12, 5.6e6))
    found = fit_coil([Reading(c, f, 100.0) for c, f in pairs])
    (c1, f1), (c2, f2) = pairs
    y1, y2 = (1 / (2 * math.pi * f) ** 2 for f in (f1, f2))
    assert found.estimates["coil"].value == pytest.approx((y2 - y1) / (c2 - c1), rel=1e-7, abs=0)
    assert found.freedom == 0


def test_one_reading_needs_the_strays():
    with pytest.raises(Unclear, match="second"):
        fit_coil([Reading(100e-12, 7e6, 100.0)])
    found = fit_coil([Reading(100e-12, 7e6, 700.0)], strays=10e-12)
    # DERIVED: L goes as f to the power -2, so its relative error is twice the frequency's.
    assert found.estimates["coil"].value == pytest.approx(
        1 / ((2 * math.pi * 7e6) ** 2 * 110e-12), rel=1e-9, abs=0)
    assert found.estimates["coil"].standard / found.estimates["coil"].value == pytest.approx(
        2e-4, rel=1e-3, abs=0)


@pytest.mark.parametrize("name", ["coil", "strays"])
def test_the_coil_s_confidence_holds_on_simulated_benches(name):
    draw = np.random.default_rng(20)
    truth = {"coil": 4.2e-6, "strays": 11e-12}[name]
    hits = []
    for _ in range(BENCHES):
        found = fit_coil(coil_bench(draw, 4.2e-6, 11e-12, (33e-12, 68e-12, 100e-12, 220e-12, 330e-12),
                                    2e-3)).estimates[name]
        hits.append(abs(found.value - truth) <= found.half_width)
    assert covered_as_promised(hits), np.mean(hits)


def test_the_dial_s_confidence_holds_on_simulated_benches():
    draw = np.random.default_rng(21)
    truth = {"coil": 1.79e-6, "fixed capacitance": 259e-12}
    hits = {name: [] for name in truth}
    for _ in range(BENCHES):
        found = fit_dial(dial_bench(draw, count=13), PLANNED, law="capacitance")
        for name, value in truth.items():
            estimate = found.estimates[name]
            hits[name].append(abs(estimate.value - value) <= estimate.half_width)
    assert all(covered_as_promised(each) for each in hits.values()), {
        name: np.mean(each) for name, each in hits.items()}


def test_uncertainties_that_are_too_small_are_widened_and_still_hold():
    # Three times too small, as if a counter's error had been forgotten.
    draw = np.random.default_rng(22)
    hits, widened = [], 0
    for _ in range(BENCHES):
        readings = [Reading(r.at, r.frequency, r.uncertainty / 3)
                    for r in coil_bench(draw, 4.2e-6, 11e-12, np.linspace(30e-12, 330e-12, 12), 2e-3)]
        found = fit_coil(readings)
        widened += found.widened > 1
        if not found.doubtful:
            hits.append(abs(found.estimates["coil"].value - 4.2e-6)
                        <= found.estimates["coil"].half_width)
    assert widened > 0.9 * BENCHES and np.mean(hits) > 0.9


@pytest.mark.parametrize("law", ["capacitance", "frequency"])
def test_the_plate_law_is_recognised(law):
    draw = np.random.default_rng(23)
    found = fit_dial(dial_bench(draw, law=law), PLANNED)
    assert found.law == law and law not in found.close_laws
    assert set(found.close_laws) < set(PLATE_LAWS)


def test_a_pointer_off_zero_is_fixed_capacitance_on_a_straight_line_dial():
    # DERIVED: C(angle + zero) = C(angle) - zero·swing/degrees, the same as less fixed capacitance.
    readings = [Reading(float(a), float(resonance(1.79e-6, 259e-12 + 50e-12 - (a + 2) / 180 * 40e-12)),
                        10.0) for a in range(0, 179, 20)]
    found = fit_dial(readings, PLANNED, law="capacitance")
    assert found.estimates["fixed capacitance"].value == pytest.approx(
        259e-12 - 2 / 180 * 40e-12, rel=1e-6, abs=0)


def test_a_doubtful_reading_is_named_and_does_no_harm():
    draw = np.random.default_rng(25)
    readings = dial_bench(draw)
    wrong = readings[4]
    readings[4] = Reading(wrong.at, wrong.frequency + 20e3, wrong.uncertainty, wrong.at_uncertainty)
    found = fit_dial(readings, PLANNED, law="capacitance")
    assert found.doubtful == (4,)
    assert abs(found.estimates["coil"].value - 1.79e-6) < 2 * found.estimates["coil"].half_width


def test_good_readings_are_seldom_doubted():
    draw = np.random.default_rng(26)
    doubted = sum(bool(fit_coil(coil_bench(draw, 4.2e-6, 11e-12, np.linspace(30e-12, 330e-12, 8),
                                           2e-3)).doubtful) for _ in range(BENCHES))
    assert doubted <= stats.binom.ppf(0.999, BENCHES, 0.01)


@pytest.mark.parametrize(("readings", "says"), [
    ([], "no reading"),
    ([Reading(50e-12, 5e6, 10.0), Reading(150e-12, 9e6, 10.0)], "exchanged"),
])
def test_readings_that_make_no_coil_are_refused(readings, says):
    with pytest.raises(Unclear, match=says):
        fit_coil(readings)


def test_too_few_or_too_close_readings_make_no_dial():
    draw = np.random.default_rng(27)
    with pytest.raises(Unclear, match="at least four"):
        fit_dial(dial_bench(draw)[:3], PLANNED)
    with pytest.raises(Unclear, match="close together"):
        fit_dial([Reading(90.0 + n, 7e6 + n, 10.0) for n in range(5)], PLANNED)


@pytest.mark.parametrize("value", [math.nan, -1.0, 0.0, math.inf])
def test_nonsense_is_refused(value):
    with pytest.raises(Unclear):
        Reading(10.0, value, 10.0)
    with pytest.raises(Unclear):
        Reading(10.0, 7e6, value)


def test_the_adjustment_brings_both_ends_home():
    off = Network(1.79e-6, VariableCapacitor(10e-12, 50e-12), parallel=259e-12)
    found = adjust(off, 6.7768e6, 7.2768e6)
    coil = off.inductance * (1 + found.inductance_change)
    fixed = off.fixed + found.capacitance_change
    assert resonance(coil, fixed + 50e-12) == pytest.approx(6.7768e6, rel=1e-9, abs=0)
    assert resonance(coil, fixed + 10e-12) == pytest.approx(7.2768e6, rel=1e-9, abs=0)
    assert "core in" in found.says()[0] and "trimmer" in found.says()[1]


def test_with_the_coil_left_alone_the_middle_is_put_right_and_the_rest_is_said():
    narrow = Network(1.83e-6, VariableCapacitor(10e-12, 50e-12), 15e-12, 280e-12)
    found = adjust(narrow, 6.8232e6, 6.8732e6, coil=False)
    assert found.inductance_change == 0
    moved = Network(1.83e-6, narrow.variable, 15e-12, 280e-12 + found.capacitance_change)
    ends = float(moved.frequency_at(0.0)), float(moved.frequency_at(180.0))
    assert sum(ends) / 2 == pytest.approx(6.8482e6, abs=1.5e3)
    assert found.span_error == pytest.approx(ends[1] - ends[0] - 50e3, abs=1.0)
    assert ("series capacitor" in " ".join(found.says())) == (abs(found.span_error) > 500)


def test_one_slip_does_not_make_another_plate_law_the_better_one():
    draw = np.random.default_rng(28)
    readings = dial_bench(draw)
    slip = readings[4]
    readings[4] = Reading(slip.at, slip.frequency + 15e3, slip.uncertainty, slip.at_uncertainty)
    found = fit_dial(readings, PLANNED)
    assert found.law == "capacitance" and found.doubtful == (4,)
    assert abs(found.estimates["coil"].value - 1.79e-6) < 2 * found.estimates["coil"].half_width

"""Fits of simulated benches whose truth is known: estimates, confidence, doubtful readings."""

import math

import numpy as np
import pytest
from scipy import stats

from rxlearn.compute.band_spread import Network
from rxlearn.compute.bench_fit import ZERO, PartsKnown, Reading, adjust, fit_coil, fit_dial, quarrel
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.variable_capacitor import PLATE_LAWS, VariableCapacitor

BENCHES = 100


def resonance(inductance, capacitance):
    """The resonance formula once more, apart from the package."""
    return 1 / (2 * np.pi * np.sqrt(inductance * capacitance))


def coil_bench(draw, true_coil, true_strays, capacitors, sigma):
    frequencies = resonance(true_coil, np.array(capacitors) + true_strays)
    return [Reading(c, f * (1 + sigma * draw.standard_normal()), f * sigma)
            for c, f in zip(capacitors, frequencies)]


def plates(law, share, least=10e-12, most=50e-12):
    """A variable's capacitance by the definition of each law; half one and half another at last."""
    return {
        "capacitance": lambda: most - share * (most - least),
        "frequency": lambda: (most**-0.5 + share * (least**-0.5 - most**-0.5)) ** -2,
        "wavelength": lambda: (most**0.5 + share * (least**0.5 - most**0.5)) ** 2,
        "midline": lambda: most * (least / most) ** share,
        "between": lambda: (plates("midline", share, least, most)
                            + plates("capacitance", share, least, most)) / 2,
    }[law]()


def dial_bench(draw, *, coil=1.79e-6, fixed=259e-12, law="capacitance", sigma=200.0,
               sideways=0.3, count=9, zero=0.0, least=10e-12, most=50e-12, series=None):
    """Readings of a dial of 10..50 pF over 180°, from the definitions of the plate laws.

    The pointer reads ``zero`` degrees too much.
    """
    readings = []
    for angle in np.linspace(2, 178, count):
        variable = plates(law, angle / 180, least, most)
        branch = variable if series is None else variable * series / (variable + series)
        frequency = resonance(coil, fixed + branch)
        readings.append(Reading(float(angle + zero + sideways * draw.standard_normal()),
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
    with pytest.raises(Unclear, match="at least five"):
        fit_dial(dial_bench(draw)[:4], PLANNED)
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


def test_with_the_coil_left_alone_the_middle_is_put_right_and_the_rest_is_said():
    narrow = Network(1.83e-6, VariableCapacitor(10e-12, 50e-12), 15e-12, 280e-12)
    found = adjust(narrow, 6.8232e6, 6.8732e6, coil=False)
    assert found.inductance_change == 0
    moved = Network(1.83e-6, narrow.variable, 15e-12, 280e-12 + found.capacitance_change)
    ends = float(moved.frequency_at(0.0)), float(moved.frequency_at(180.0))
    assert sum(ends) / 2 == pytest.approx(6.8482e6, abs=1.0)
    assert (found.meshed, found.opened) == pytest.approx(ends, abs=1.0)
    assert found.span_error == pytest.approx(ends[1] - ends[0] - 50e3, abs=1.0)


def test_one_slip_does_not_make_another_plate_law_the_better_one():
    draw = np.random.default_rng(28)
    readings = dial_bench(draw)
    slip = readings[4]
    readings[4] = Reading(slip.at, slip.frequency + 15e3, slip.uncertainty, slip.at_uncertainty)
    found = fit_dial(readings, PLANNED)
    assert found.law == "capacitance" and found.doubtful == (4,)
    assert abs(found.estimates["coil"].value - 1.79e-6) < 2 * found.estimates["coil"].half_width


@pytest.mark.parametrize("capacitors", [
    (47e-12, 330e-12), (33e-12, 47e-12, 100e-12, 220e-12, 330e-12)], ids=["two", "five"])
def test_capacitors_known_to_one_per_cent_are_counted(capacitors):
    """With 1 % of scatter in the capacitors themselves the 95 % hold, for two of them, too."""
    draw, hits = np.random.default_rng(30), {"coil": [], "strays": []}
    for _ in range(BENCHES):
        marked = np.array(capacitors)
        true = marked * (1 + 0.01 * draw.standard_normal(marked.size))
        frequencies = resonance(1.8e-6, true + 8e-12) * (1 + 1e-5 * draw.standard_normal(marked.size))
        found = fit_coil([Reading(float(c), float(f), 1e-5 * float(f), 0.01 * float(c))
                          for c, f in zip(marked, frequencies)])
        for name, truth in (("coil", 1.8e-6), ("strays", 8e-12)):
            estimate = found.estimates[name]
            hits[name].append(abs(estimate.value - truth) <= estimate.half_width)
    assert all(covered_as_promised(each) for each in hits.values()), {
        name: np.mean(each) for name, each in hits.items()}


@pytest.mark.parametrize("law", ["capacitance", "midline"])
def test_what_no_reading_tells_is_counted_in_the_confidence(law):
    """Series capacitor, both ends of the variable and the pointer drawn anew for each bench."""
    draw, hits = np.random.default_rng(31), []
    known = PartsKnown(series=0.03, minimum=0.5e-12, maximum=1.4e-12, zero=1.0)
    planned = Network(1.83e-6, VariableCapacitor(10e-12, 50e-12, law), 47e-12, parallel=250e-12)
    for _ in range(BENCHES // 2):
        off = draw.standard_normal(4)
        readings = dial_bench(draw, law=law, series=47e-12 * (1 + 0.03 * off[0]), zero=off[1],
                              least=10e-12 + 0.5e-12 * off[2], most=50e-12 + 1.4e-12 * off[3])
        coil = fit_dial(readings, planned, law=law, known=known).estimates["coil"]
        hits.append(abs(coil.value - 1.79e-6) <= coil.half_width)
    assert covered_as_promised(hits), np.mean(hits)
    assert coil.half_width > 3 * coil.by_readings


def test_plates_between_two_laws_get_no_interval_and_honest_ones_keep_theirs():
    draw = np.random.default_rng(32)
    between = [fit_dial(dial_bench(draw, law="between", count=15, sideways=0.1), PLANNED)
               for _ in range(10)]
    assert all(fit.bowed and math.isinf(fit.estimates["coil"].half_width) for fit in between)
    assert "±" not in between[0].estimates["coil"].says()
    honest = sum(fit_dial(dial_bench(draw, count=9), PLANNED, law="capacitance").bowed
                 for _ in range(BENCHES))
    # Two tests of one in a hundred must both fail.
    assert honest <= stats.binom.ppf(0.999, BENCHES, 0.01)


@pytest.mark.parametrize("law", ["frequency", "wavelength"])
def test_a_pointer_off_zero_is_found_where_the_law_tells_it(law):
    draw = np.random.default_rng(33)
    found = fit_dial(dial_bench(draw, law=law, count=15, zero=3.0, sideways=0.05, sigma=70.0), PLANNED)
    pointer, coil = found.estimates[ZERO], found.estimates["coil"]
    assert found.law == law and abs(pointer.value - 3.0) <= 1.5 * pointer.half_width
    assert abs(coil.value - 1.79e-6) <= 1.5 * coil.half_width


def test_a_pointer_may_read_a_few_degrees_outside_the_dial():
    draw = np.random.default_rng(34)
    readings = dial_bench(draw, zero=4.0)
    assert readings[-1].at > 181
    fit_dial(readings, PLANNED, law="capacitance")
    far = [*readings[:-1], Reading(187.0, readings[-1].frequency, 200.0)]
    with pytest.raises(Unclear, match="Shaft angle"):
        fit_dial(far, PLANNED)


def test_angles_from_the_open_end_are_said_to_be_so():
    draw = np.random.default_rng(35)
    turned = [Reading(180 - r.at, r.frequency, r.uncertainty) for r in dial_bench(draw)]
    with pytest.raises(Unclear, match="fully meshed"):
        fit_dial(turned, PLANNED)


def test_no_digit_is_shown_beyond_the_uncertainty():
    found = fit_coil([Reading(47e-12, 16.143e6, 3e3, 0.47e-12), Reading(330e-12, 6.462e6, 2e3, 3.3e-12)])
    assert found.estimates["coil"].says() == "coil 1.800 µH ± 0.042 µH"
    assert found.estimates["strays"].says() == "strays 7.0 pF ± 1.7 pF"


def test_two_dials_with_one_coil_must_agree():
    draw = np.random.default_rng(36)
    known = PartsKnown(series=0.03, minimum=0.5e-12, maximum=1.4e-12)
    spread = Network(1.83e-6, VariableCapacitor(10e-12, 50e-12), 12e-12, parallel=280e-12)
    wide = fit_dial(dial_bench(draw, sideways=0.05), PLANNED, law="capacitance", known=known)

    def narrow(series):
        return fit_dial(dial_bench(draw, series=series, sideways=0.05, sigma=50.0), spread,
                        law="capacitance", known=known)

    assert quarrel(wide, narrow(12e-12)) is None and quarrel(wide, narrow(12.3e-12)) is None
    found = quarrel(wide, narrow(15e-12))
    assert found.apart > 0.2 and found.series == pytest.approx(15e-12, rel=0.2, abs=0)


def test_strays_below_nothing_are_a_slip():
    with pytest.raises(Unclear, match="less than nothing"):
        fit_coil([Reading(47e-12, 16.143e6, 3e3), Reading(330e-12, 2.462e6, 2e3)])

"""Two bands on one oscillator, against exact arithmetic done here by hand.

The receivers are invented for the workbook; their arithmetic is DERIVED from
oscillator = signal ± intermediate frequency, in whole kHz or Hz.
"""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from rxlearn.compute.image_swapping import (
    UNION,
    meeting_intermediate_frequency,
    nearest_crystal,
    swap_bands,
    tuned_pair,
)
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.recentring import recentre
from rxlearn.compute.tank import tank_for_range
from rxlearn.compute.tuning import HIGH, LOW, SUM, image_frequency, oscillator_frequency

WORKBOOK = (3.5e6, 4.0e6, 10.1e6, 10.15e6, 3.2768e6)

# Band edges in Hz as the invented pairs use them (region 2).
BANDS = {
    "160 m": (1.8e6, 2.0e6), "80 m": (3.5e6, 4.0e6), "40 m": (7.0e6, 7.3e6),
    "30 m": (10.1e6, 10.15e6), "20 m": (14.0e6, 14.35e6), "17 m": (18.068e6, 18.168e6),
    "12 m": (24.89e6, 24.99e6), "10 m": (28.0e6, 29.7e6),
}
# Lower band, upper band, crystal in Hz; oscillator ranges in kHz; centre shift in kHz; all
# invented for the workbook, arithmetic DERIVED.
PAIRS = [
    ("20 m", "17 m", 2.0e6, (16000, 16350), (16068, 16168), -57),
    ("30 m", "17 m", 4.0e6, (14100, 14150), (14068, 14168), -7),
    ("30 m", "20 m", 2.048e6, (12148, 12198), (11952, 12302), -46),
    ("160 m", "30 m", 4.096e6, (5896, 6096), (6004, 6054), 33),
    ("40 m", "20 m", 3.579545e6, (10580, 10880), (10420, 10770), -134),
    ("80 m", "12 m", 10.7e6, (14200, 14700), (14190, 14290), -210),
    ("17 m", "10 m", 5.0e6, (23068, 23168), (23000, 24700), 732),
]
NAMES = [f"{low} and {high}" for low, high, *_ in PAIRS]


def pair(lower, upper, crystal, **options):
    return swap_bands(*BANDS[lower], *BANDS[upper], crystal, **options)


@pytest.mark.parametrize("lower, upper, crystal, low_range, high_range, shift", PAIRS, ids=NAMES)
def test_pair(lower, upper, crystal, low_range, high_range, shift):
    scheme = pair(lower, upper, crystal)
    for plan, expected in ((scheme.lower, low_range), (scheme.upper, high_range)):
        found = plan.oscillator_low, plan.oscillator_high
        assert found == pytest.approx([edge * 1e3 for edge in expected], abs=500)
    assert scheme.centre_shift == pytest.approx(shift * 1e3, abs=500)
    assert scheme.miss == pytest.approx(-scheme.centre_shift / 2, abs=1e-3)
    assert scheme.works


def test_17_m_lies_inside_the_20_m_dial():
    """Invented for the workbook; DERIVED: no shift needed, and 7 × 2.000 falls on 14.000 MHz."""
    scheme = pair("20 m", "17 m", 2.0e6)
    assert scheme.outside == 0 and scheme.overlap == 100e3
    assert [(h.order, h.frequency, h.band) for h in scheme.harmonics] == [(7, 14.0e6, "lower")]


def test_30_m_and_17_m_want_a_slightly_wider_dial():
    """Invented for the workbook; DERIVED: oscillator inside 20 m, IF at the edge of 80 m."""
    scheme = pair("30 m", "17 m", 4.0e6)
    assert (scheme.dial_low, scheme.dial_high) == (14.068e6, 14.168e6)
    assert scheme.outside == 0 and scheme.lower_share == pytest.approx(0.5, rel=1e-6, abs=0)
    assert {r.crossed.name for r in scheme.radiation} == {"20 m"}
    assert [r.tuned_band for r in scheme.radiation] == ["lower", "upper"]
    assert "80 m" in [row.name for row in scheme.on_intermediate_frequency]
    # A dial laid out for 30 m alone would leave 32 kHz and 18 kHz of 17 m beyond its ends.
    beyond = (
        scheme.lower.oscillator_low - scheme.upper.oscillator_low,
        scheme.upper.oscillator_high - scheme.lower.oscillator_high,
    )
    assert beyond == pytest.approx((32e3, 18e3), rel=1e-6, abs=0)


def test_20_m_wants_seven_times_the_dial_of_30_m():
    """Invented for the workbook; DERIVED: and 7 × 2.048 = 14.336 MHz falls in band."""
    scheme = pair("30 m", "20 m", 2.048e6)
    assert scheme.wider == "upper"
    assert 1 / scheme.lower_share == pytest.approx(7.0, rel=1e-6, abs=0)
    assert (7, pytest.approx(14.336e6, rel=1e-6, abs=0), "upper") in [
        (h.order, h.frequency, h.band) for h in scheme.harmonics
    ]


def test_positive_shift_puts_the_capacitor_on_the_low_band():
    """Invented for the workbook; DERIVED: 160 m and 30 m."""
    scheme = pair("160 m", "30 m", 4.096e6)
    assert scheme.outside == 0
    moved = recentre(scheme, 2e-6)
    assert moved.switched_on == "lower" and moved.narrow_band == "upper"
    assert moved.covered
    # Taking the capacitor out puts the dial higher and makes it wider.
    assert moved.span_change > 0 and moved.span_low > scheme.lower.oscillator_low


def test_40_m_and_20_m_meet_television_harmonics():
    """Invented for the workbook; DERIVED: IF inside 80 m, 2 × and 4 × IF in band."""
    scheme = pair("40 m", "20 m", 3.579545e6)
    assert [(h.order, h.band) for h in scheme.harmonics] == [(2, "lower"), (4, "upper")]
    assert "80 m" in [row.name for row in scheme.on_intermediate_frequency]


def test_80_m_and_12_m_put_the_oscillator_in_20_m():
    """Invented for the workbook; DERIVED: 14.2 to 14.35 MHz while 3.5 to 3.65 MHz is tuned."""
    scheme = pair("80 m", "12 m", 10.7e6)
    lower, upper = scheme.radiation
    assert (lower.crossed.name, upper.crossed.name) == ("20 m", "20 m")
    assert (lower.signal_low, lower.signal_high) == pytest.approx((3.5e6, 3.65e6), rel=1e-6, abs=0)
    assert (upper.signal_low, upper.signal_high) == pytest.approx((24.89e6, 24.99e6), rel=1e-6, abs=0)


def test_17_m_dial_shows_only_a_slice_of_10_m():
    """Invented for the workbook; DERIVED: a time station on the IF; 100 kHz of 1.7 MHz."""
    scheme = pair("17 m", "10 m", 5.0e6)
    assert scheme.lower_share == pytest.approx(1 / 17, rel=1e-6, abs=0)
    assert scheme.overlap == pytest.approx(100e3, rel=1e-6, abs=0)
    assert "time station on 5 MHz" in [row.name for row in scheme.on_intermediate_frequency]


def test_workbook_receiver():
    """Invented for the workbook; arithmetic DERIVED."""
    scheme = swap_bands(*WORKBOOK)
    assert (scheme.lower.oscillator_low, scheme.lower.oscillator_high) == (6.7768e6, 7.2768e6)
    assert (scheme.upper.oscillator_low, scheme.upper.oscillator_high) == (6.8232e6, 6.8732e6)
    assert (scheme.lower_share, scheme.upper_share) == pytest.approx((1.0, 0.1), rel=1e-6, abs=0)
    assert scheme.centre_shift == pytest.approx(-178.6e3, rel=1e-6, abs=0)
    assert (scheme.dial_low, scheme.dial_high, scheme.dial_span) == (6.7768e6, 7.2768e6, 500e3)
    assert scheme.outside == 0 and scheme.overlap == pytest.approx(50e3, rel=1e-6, abs=0)
    assert scheme.lower.sideband_inverted and not scheme.upper.sideband_inverted
    assert scheme.works and scheme.harmonics == ()
    # The 10 MHz time station on the low side: 53.6 kHz below the dial's end.
    station = oscillator_frequency(10.0e6, 3.2768e6, LOW)
    assert scheme.dial_low - station == pytest.approx(53.6e3, rel=1e-6, abs=0)


@pytest.mark.parametrize("region, top", [(1, 3.9232e6), (2, 4.0e6), (3, 3.9232e6)])
def test_workbook_oscillator_crosses_40_m(region, top):
    """Invented for the workbook; DERIVED: while 3.7232 MHz and more is tuned."""
    (crossing,) = swap_bands(*WORKBOOK, region=region).radiation
    assert crossing.crossed.name == "40 m" and crossing.tuned_band == "lower"
    assert (crossing.signal_low, crossing.signal_high) == pytest.approx((3.7232e6, top), rel=1e-6, abs=0)
    for signal, oscillator in (
        (crossing.signal_low, crossing.oscillator_low),
        (crossing.signal_high, crossing.oscillator_high),
    ):
        assert oscillator_frequency(signal, 3.2768e6, HIGH) == pytest.approx(oscillator, rel=1e-6, abs=0)


def test_beat_oscillator_changes_sides_for_one_sideband():
    """DERIVED: a carrier lies below an upright upper sideband and above an inverted one."""
    upper = swap_bands(*WORKBOOK)
    assert (upper.lower_beat_side, upper.upper_beat_side) == ("above", "below")
    lower = swap_bands(*WORKBOOK, sideband_on_lower="lower", sideband_on_upper="lower")
    assert (lower.lower_beat_side, lower.upper_beat_side) == ("below", "above")
    assert upper.beat_oscillator_changes_sides and lower.beat_oscillator_changes_sides
    # Lower sideband below 10 MHz and upper above (common practice): it may stay where it is.
    usual = swap_bands(*WORKBOOK, sideband_on_lower="lower")
    assert (usual.lower_beat_side, usual.upper_beat_side) == ("below", "below")
    assert not usual.beat_oscillator_changes_sides


def test_workbook_recentring():
    """Invented for the workbook; DERIVED independently in exact pF: C = 25330.3/(f²L)."""
    scheme = swap_bands(*WORKBOOK)
    tank = tank_for_range(scheme.dial_low, scheme.dial_high, 40e-12)
    moved = recentre(scheme, tank.inductance)
    assert moved.switched_on == "upper" and moved.narrow_band == "upper"
    scale = 1e12 / (4 * math.pi**2 * tank.inductance)
    added = scale / 6.8482e6**2 - scale / 7.0268e6**2
    assert moved.capacitance * 1e12 == pytest.approx(added, rel=1e-9, abs=0)
    assert added == pytest.approx(14.8, abs=0.05)
    ends = [math.sqrt(scale / (c * 1e12 + added)) for c in
            (tank.capacitance_at_low, tank.capacitance_at_high)]
    assert (moved.span_low, moved.span_high) == pytest.approx(ends, rel=1e-6, abs=0)
    assert moved.span == pytest.approx(463e3, abs=1e3) and moved.span_change < 0
    assert moved.share == pytest.approx(50e3 / moved.span, rel=1e-6, abs=0)
    assert moved.covered


@given(st.integers(1000, 8000), st.integers(10, 500), st.integers(1000, 9000),
       st.integers(10, 500))
def test_bands_meet_at_the_meeting_frequency(lower_low, lower_width, gap, upper_width):
    """DERIVED, and independently: scipy's minimiser finds the least distance of the centres."""
    lower = lower_low * 1e3, (lower_low + lower_width) * 1e3
    upper = lower[1] + gap * 1e3, lower[1] + (gap + upper_width) * 1e3
    meeting = meeting_intermediate_frequency(lower, upper)
    scheme = swap_bands(*lower, *upper, meeting)
    assert scheme.centre_shift == pytest.approx(0, abs=1e-3)
    assert scheme.miss == pytest.approx(0, abs=1e-3)
    assert scheme.outside == pytest.approx(0, abs=1e-3)
    lower_middle, upper_middle = sum(lower) / 2, sum(upper) / 2
    least = minimize_scalar(
        lambda f: (lower_middle + f - (upper_middle - f)) ** 2 / 1e6,
        bounds=(1e3, upper[1]), method="bounded", options={"xatol": 1e-3},
    )
    assert meeting == pytest.approx(least.x, rel=1e-5, abs=0)


def test_sum_scheme_on_the_lower_band_meets_too():
    """DERIVED: IF − 3.75 = 10.125 − IF at IF = 6.9375 MHz, oscillator 3.1875 MHz."""
    options = {"lower_injection": SUM, "upper_injection": LOW}
    meeting = meeting_intermediate_frequency((3.5e6, 4e6), (10.1e6, 10.15e6), **options)
    assert meeting == 6.9375e6
    scheme = swap_bands(*WORKBOOK[:4], meeting, **options)
    assert scheme.centre_shift == 0 and scheme.works
    assert scheme.lower.oscillator_centre == 3.1875e6
    assert scheme.lower.tunes_backwards and not scheme.upper.tunes_backwards
    assert not scheme.beat_oscillator_changes_sides


def test_radiation_of_a_backward_dial_runs_backwards():
    """DERIVED: sum scheme, IF 10.6 MHz: 3.5 to 3.6 MHz tuned puts the oscillator on 7.0 to 7.1."""
    scheme = swap_bands(3.5e6, 3.6e6, 17.6e6, 17.7e6, 10.6e6, lower_injection=SUM)
    crossing = scheme.radiation[0]
    assert (crossing.oscillator_low, crossing.oscillator_high) == pytest.approx((7.0e6, 7.1e6), rel=1e-6, abs=0)
    assert (crossing.signal_low, crossing.signal_high) == pytest.approx((3.5e6, 3.6e6), rel=1e-6, abs=0)
    part = swap_bands(3.2e6, 3.6e6, 17.6e6, 17.7e6, 10.6e6, lower_injection=SUM).radiation[0]
    # The oscillator runs 7.0 to 7.4 MHz, of which 7.0 to 7.3 lie in 40 m (region 2).
    assert (part.signal_low, part.signal_high) == pytest.approx((3.3e6, 3.6e6), rel=1e-6, abs=0)


@given(st.floats(1e6, 3e7), st.floats(1e5, 2e7))
def test_each_of_a_tuned_pair_is_the_other_ones_image(oscillator, intermediate):
    assume(abs(oscillator - intermediate) > 1e4)
    found = tuned_pair(oscillator, intermediate)
    injection = HIGH if oscillator > intermediate else SUM
    assert image_frequency(found.lower_signal, intermediate, injection) == pytest.approx(
        found.upper_signal, rel=1e-9
    )
    assert image_frequency(found.upper_signal, intermediate, LOW) == pytest.approx(
        found.lower_signal, rel=1e-9, abs=1e-2
    )


def test_tuned_pair_moves_together():
    oscillators = np.linspace(6.7768e6, 7.2768e6, 11)
    found = tuned_pair(oscillators, 3.2768e6)
    assert np.diff(found.lower_signal) == pytest.approx(np.diff(oscillators), rel=1e-6, abs=0)
    assert found.upper_signal - found.lower_signal == pytest.approx(np.full(11, 6.5536e6), rel=1e-6, abs=0)
    assert tuned_pair(6.8482e6, 3.2768e6).upper_signal == pytest.approx(10.125e6, rel=1e-6, abs=0)


def test_union_dial_holds_both_ranges():
    scheme = pair("40 m", "20 m", 3.579545e6, dial=UNION)
    assert (scheme.dial_low, scheme.dial_high) == pytest.approx((10.420455e6, 10.879545e6), rel=1e-6, abs=0)
    assert scheme.lower_share == pytest.approx(300 / 459.09, rel=1e-6, abs=0)
    assert scheme.outside == pytest.approx(109.09e3, rel=1e-6, abs=0)


def test_nearest_crystals_to_the_workbook_meeting_point():
    """Invented for the workbook; DERIVED: 3.1875 MHz wanted, 3.2768 MHz in stock."""
    wanted = meeting_intermediate_frequency((3.5e6, 4e6), (10.1e6, 10.15e6))
    assert wanted == 3.1875e6
    first, second, *_ = nearest_crystal(wanted)
    assert (first.crystal.frequency, first.miss) == (3.2768e6, pytest.approx(89.3e3, rel=1e-6, abs=0))
    assert (second.crystal.frequency, second.miss) == (3.072e6, pytest.approx(-115.5e3, rel=1e-6, abs=0))
    assert swap_bands(*WORKBOOK[:4], 3.2768e6).miss == pytest.approx(first.miss, rel=1e-6, abs=0)


@given(st.floats(1e5, 4e7), st.integers(1, 20))
def test_nearest_crystals_come_nearest_first(wanted, count):
    found = nearest_crystal(wanted, count=count)
    assert len(found) == count
    misses = [abs(row.miss) for row in found]
    assert misses == sorted(misses)
    assert all(row.crystal.frequency - wanted == row.miss for row in found)


@given(st.integers(500, 3000), st.integers(20, 400), st.integers(20, 400), st.integers(-200, 200),
       st.floats(0.5e-6, 10e-6))
def test_recentred_dial_has_both_middles_at_one_setting(low, wide, narrow, shift, inductance):
    """Whatever the sign of the shift: one capacitor setting, the middles of both bands."""
    intermediate = 3_000_000.0
    centre = 6_000_000.0 + low * 1e3
    lower_middle, upper_middle = centre - intermediate, centre + shift * 1e3 + intermediate
    scheme = swap_bands(
        lower_middle - wide * 500, lower_middle + wide * 500,
        upper_middle - narrow * 500, upper_middle + narrow * 500, intermediate,
    )
    assume(scheme.works)
    moved = recentre(scheme, inductance)
    assert moved.switched_on == (None if shift == 0 else "upper" if shift < 0 else "lower")
    assert moved.capacitance >= 0
    sign = 1 if moved.switched_on == moved.narrow_band else -1
    omega = 2 * math.pi * (
        scheme.lower if moved.narrow_band == "upper" else scheme.upper
    ).oscillator_centre
    total = 1 / (omega**2 * inductance) + sign * moved.capacitance
    reached = 1 / (2 * math.pi * math.sqrt(total * inductance))
    narrow_plan = scheme.upper if moved.narrow_band == "upper" else scheme.lower
    assert reached == pytest.approx(narrow_plan.oscillator_centre, rel=1e-9, abs=0)
    assert moved.span_low < narrow_plan.oscillator_centre < moved.span_high


@pytest.mark.parametrize(
    "options, holds",
    [
        ({"lower_injection": LOW, "upper_injection": LOW}, "Both bands use low injection"),
        ({"lower_injection": HIGH, "upper_injection": HIGH}, "by the whole 6.375 MHz"),
        ({"lower_injection": LOW, "upper_injection": HIGH}, "never meets"),
        ({"lower_injection": SUM, "upper_injection": LOW}, "no oscillator has"),
    ],
)
def test_impossible_pair_gives_its_reason(options, holds):
    scheme = swap_bands(*WORKBOOK, **options)
    assert not scheme.works
    assert any(holds in reason for reason in scheme.reasons)
    with pytest.raises(Unclear, match="^Scheme cannot be recentred: "):
        recentre(scheme, 2e-6)


def test_intermediate_frequency_inside_a_band_is_a_reason():
    reasons = swap_bands(3.5e6, 4.0e6, 10.1e6, 10.15e6, 3.6e6).reasons
    assert len(reasons) == 1 and "lies inside the band 3.5 to 4 MHz" in reasons[0]


BAD = [math.nan, math.inf, -math.inf, -1e6, 0.0, "3.5e6", "<b>3</b>", None, True, 1e300]


@pytest.mark.parametrize("bad", BAD, ids=repr)
@pytest.mark.parametrize(
    "call, name",
    [
        (lambda bad: swap_bands(bad, 4e6, 10e6, 11e6, 3e6), "Band edge"),
        (lambda bad: swap_bands(3e6, bad, 10e6, 11e6, 3e6), "Band edge"),
        (lambda bad: swap_bands(3e6, 4e6, bad, 11e6, 3e6), "Band edge"),
        (lambda bad: swap_bands(3e6, 4e6, 10e6, bad, 3e6), "Band edge"),
        (lambda bad: swap_bands(3e6, 4e6, 10e6, 11e6, bad), "Intermediate frequency"),
        (lambda bad: meeting_intermediate_frequency((3e6, bad), (10e6, 11e6)), "Band edge"),
        (lambda bad: meeting_intermediate_frequency(bad, (10e6, 11e6)), "Band must be given"),
        (lambda bad: nearest_crystal(bad), "Intermediate frequency"),
        (lambda bad: nearest_crystal(3e6, count=bad), "Number of crystals"),
        (lambda bad: tuned_pair(bad, 3e6), "Oscillator frequency"),
        (lambda bad: tuned_pair(7e6, bad), "Intermediate frequency"),
        (lambda bad: recentre(swap_bands(*WORKBOOK), bad), "Inductance"),
        (lambda bad: swap_bands(*WORKBOOK, lower_injection=bad), "Injection"),
        (lambda bad: swap_bands(*WORKBOOK, sideband_on_upper=bad), "Sideband"),
        (lambda bad: swap_bands(*WORKBOOK, dial=bad), "Dial"),
    ],
)
def test_bad_value_is_named(call, name, bad):
    with pytest.raises(Unclear) as error:
        call(bad)
    assert str(error.value).startswith(f"{name} ")
    assert len(str(error.value).splitlines()) == 1


@pytest.mark.parametrize(
    "edges, holds",
    [
        ((4e6, 3.5e6, 10e6, 11e6), "Lower band from 4 MHz to 3.5 MHz has no width"),
        ((3.5e6, 4e6, 11e6, 10e6), "Upper band from 11 MHz to 10 MHz has no width"),
        ((10e6, 11e6, 3.5e6, 4e6), "Lower band 10 to 11 MHz does not lie wholly below"),
        ((3.5e6, 4e6, 3.9e6, 5e6), "Lower band 3.5 to 4 MHz does not lie wholly below"),
    ],
)
def test_disordered_bands_are_named(edges, holds):
    with pytest.raises(Unclear) as error:
        swap_bands(*edges, 3e6)
    assert str(error.value).startswith(holds)


def test_pairs_that_never_meet_are_refused():
    with pytest.raises(Unclear, match="never meets at one oscillator frequency: choose"):
        meeting_intermediate_frequency((3.5e6, 4e6), (10e6, 11e6), lower_injection=LOW)


def test_tank_with_too_little_capacitance_is_refused():
    """DERIVED: the shift would take more than the tank holds at the wide band's upper end."""
    scheme = swap_bands(1e6, 2.9e6, 20.0e6, 20.1e6, 3.0e6)
    with pytest.raises(Unclear, match="^Capacitor of .* would have to be taken from a tank"):
        recentre(scheme, 2e-6)


def test_an_oscillator_that_only_touches_a_band_does_not_cross_it():
    """DERIVED: by the sum on 6 MHz, 160 m asks for 6 - 2.0 to 6 - 1.8 MHz: 4 MHz, the edge of 80 m in
    region 2, is touched with the dial on 2 MHz and never crossed."""
    scheme = swap_bands(1.8e6, 2.0e6, 10.1e6, 10.15e6, 6e6, lower_injection=SUM)
    assert not [item for item in scheme.radiation if item.crossed.name == "80 m"]

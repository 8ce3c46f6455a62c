"""One signal from three sides, a band from two, and an oscillator followed through many bands."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from rxlearn.compute import image_neighbourhood as neighbourhood
from rxlearn.compute.injection_side import compare_sides, inject
from rxlearn.compute.multiband import coil_ratio, follow_bands, ordinary_bands
from rxlearn.compute.quantities import Unclear
from rxlearn.data.spectrum import AMATEUR_BANDS

PAIR = (("80 m", 3.5e6, 4.0e6), ("30 m", 10.1e6, 10.15e6))
frequencies = st.floats(1e5, 3e7)


# One signal ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("signal", "intermediate", "side", "oscillator", "image", "inverted", "backwards"),
    [
        # DERIVED from the product of two cosines: cos(a)cos(b) holds a - b and a + b.
        (3.75e6, 3.2768e6, "high", 7.0268e6, 10.3036e6, True, False),
        (10.125e6, 3.2768e6, "low", 6.8482e6, 3.5714e6, False, False),
        (3.75e6, 3.2768e6, "low", 0.4732e6, 2.8036e6, False, False),
        (3.5e6, 9e6, "sum", 5.5e6, 14.5e6, False, True),
        (1e6, 455e3, "high", 1.455e6, 1.91e6, True, False),
    ],
)
def test_one_signal(signal, intermediate, side, oscillator, image, inverted, backwards):
    found = inject(signal, intermediate, side)
    assert found.oscillator == pytest.approx(oscillator, abs=1e-3)
    assert found.image == pytest.approx(image, abs=1e-3)
    assert (found.inverted, found.tunes_backwards) == (inverted, backwards)


@given(frequencies, frequencies, st.sampled_from(["high", "low", "sum"]))
def test_the_image_mixes_to_the_same_place_and_lies_as_far_away(signal, intermediate, side):
    try:
        found = inject(signal, intermediate, side)
    except Unclear:
        assume(False)
    # DERIVED from the definition: sum or difference of image and oscillator is the
    # intermediate frequency too, and the middle of the two is the larger of the two.
    products = (found.image + found.oscillator, abs(found.image - found.oscillator))
    assert min(abs(p - intermediate) for p in products) < 1e-3
    assert abs(found.signal - found.centre) == pytest.approx(found.reach, abs=1e-3)
    assert abs(found.image - found.centre) == pytest.approx(found.reach, abs=1e-3)


@given(frequencies, frequencies, st.sampled_from(["high", "low", "sum"]))
def test_both_tones_keep_their_distance_through_the_mixer(signal, intermediate, side):
    try:
        found = inject(signal, intermediate, side)
    except Unclear:
        assume(False)
    for tone, sent, after in zip((300, 3000), found.sideband, found.sideband_after):
        assert sent - signal == pytest.approx(tone, abs=1e-3)
        assert abs(after - intermediate) == pytest.approx(tone, abs=1e-3)


@pytest.mark.parametrize(
    ("signal", "intermediate", "side", "cure"),
    [(3e6, 3.2768e6, "low", "below the signal"), (9e6, 3e6, "sum", "above the signal"),
     (math.nan, 455e3, "high", "finite"), (1e6, 455e3, "sideways", "choose high, low or sum")],
)
def test_what_has_no_oscillator_is_refused_with_its_cure(signal, intermediate, side, cure):
    with pytest.raises(Unclear, match=cure):
        inject(signal, intermediate, side)


def test_a_signal_on_the_intermediate_frequency_is_noticed():
    assert inject(455e3, 455e3, "high").passes_straight
    assert not inject(540e3, 455e3, "high").passes_straight


# One band --------------------------------------------------------------------------


def test_the_broadcast_band_from_above():
    # 540 to 1600 kHz on 455 kHz: 995 to 2055 kHz, 2.065 against 2.963, capacitances 4.266
    # against 8.779.  Kennedy and Davis, Electronic Communication Systems, receiver chapter.
    sides = compare_sides(540e3, 1600e3, 455e3, "high")
    assert (sides.high_tuner.low, sides.high_tuner.high) == (995e3, 2055e3)
    assert sides.high_tuner.frequency_ratio == pytest.approx(2.065, abs=5e-4)
    assert sides.high_tuner.capacitance_ratio == pytest.approx(4.266, abs=5e-4)
    assert sides.aerial_tuner.frequency_ratio == pytest.approx(2.963, abs=5e-4)
    assert sides.aerial_tuner.capacitance_ratio == pytest.approx(8.779, abs=5e-4)


def test_the_broadcast_band_from_below_takes_a_capacitor_that_nobody_makes():
    # DERIVED: (1600 - 455)/(540 - 455) = 13.47, squared 181.5, beyond 365/10.
    tuner = compare_sides(540e3, 1600e3, 455e3, "low").chosen_tuner
    assert tuner.frequency_ratio == pytest.approx(1145 / 85, rel=1e-12, abs=0)
    assert tuner.capacitance_ratio == pytest.approx((1145 / 85) ** 2, rel=1e-12, abs=0)
    assert tuner.across is None


@given(st.floats(150e3, 1500e3), st.floats(1.01, 6.0), st.floats(50e3, 800e3))
def test_what_lies_across_makes_the_variable_cover_the_range(low, ratio, intermediate):
    sides = compare_sides(low, low * ratio, intermediate, "high")
    for tuner in (sides.aerial_tuner, sides.high_tuner, sides.low_tuner):
        if tuner is not None and tuner.across is not None:
            # DERIVED from the definition of the capacitance ratio.
            reached = (365e-12 + tuner.across) / (10e-12 + tuner.across)
            assert reached == pytest.approx(tuner.capacitance_ratio, rel=1e-6, abs=0)
    assert sides.high_tuner.frequency_ratio < ratio
    assert sides.low_tuner is None or sides.low_tuner.frequency_ratio > ratio


def test_a_side_without_an_oscillator_says_why():
    sides = compare_sides(540e3, 1600e3, 600e3, "low")
    assert sides.low_tuner is None and "through zero" in sides.chosen.reasons[0]
    with pytest.raises(Unclear, match="lower edge first"):
        compare_sides(1600e3, 540e3, 455e3, "high")
    with pytest.raises(Unclear, match="high and the low side"):
        compare_sides(540e3, 1600e3, 455e3, "sum")


# The image's neighbours ------------------------------------------------------------


def _look(share=50.0, side="high", intermediate=3.2768e6, band=PAIR[0], region=2):
    return neighbourhood.look_around_image(
        band[1], band[2], share, intermediate, side, region=region, loaded_q=50.0, circuits=1)


def test_the_image_of_a_band_and_who_is_there():
    # DERIVED: 3.5 MHz + 2 x 3.2768 MHz = 10.0536 MHz, between 10.005 and 10.1 MHz
    # (aeronautical, ITU Radio Regulations, Appendix 27).
    found = _look(share=0)
    assert found.preselector.image_frequency == pytest.approx(10.0536e6, rel=1e-6, abs=0)
    assert [row.name for row in found.on_image] == ["10 MHz aeronautical"]
    assert "time station on 10 MHz" in [row.name for row in found.around]


def test_the_rejection_is_that_of_one_circuit():
    # DERIVED: 20 lg sqrt(1 + Q^2 rho^2), rho = f/f0 - f0/f (Terman, Radio Engineering).
    rho = 10.3036 / 3.75 - 3.75 / 10.3036
    expected = 20 * math.log10(math.hypot(1, 50 * rho))
    assert _look().preselector.image_rejection_db == pytest.approx(expected, abs=1e-6)


def test_the_end_of_the_table_is_told():
    # DERIVED: 10.125 + 2 x 70 MHz = 150.125 MHz, beyond the 2 m band; 10.125 + 2 x 20.5 MHz is
    # 51.125 MHz, in the 6 m band (ITU Radio Regulations, Article 5).
    assert _look(side="high", intermediate=70e6, band=PAIR[1]).beyond_table
    six = _look(side="high", intermediate=20.5e6, band=PAIR[1])
    assert not six.beyond_table and [row.name for row in six.on_image] == ["6 m"]
    assert not _look().beyond_table


@given(st.floats(0, 100), st.sampled_from([1, 2, 3]), st.floats(0.4e6, 10.8e6))
def test_neighbours_lie_within_reach_and_fit_the_figure(share, region, intermediate):
    found = _look(share=share, region=region, intermediate=intermediate)
    image = found.preselector.image_frequency
    for row in found.around:
        assert row.low <= image + neighbourhood.REACH and row.high >= image - neighbourhood.REACH
    assert set(found.on_image) <= set(found.around)
    assert len(found.around) <= 5


def test_every_kind_of_neighbour_is_known():
    kinds = {neighbourhood.kind_of(row) for row in neighbourhood.short_waves(1)}
    assert kinds == {"broadcast", "amateur", "time", "other"}


@pytest.mark.parametrize("share", [-1, 101, math.nan])
def test_a_place_off_the_dial_is_refused(share):
    with pytest.raises(Unclear, match="Place on the dial"):
        _look(share=share)


# From band to band -----------------------------------------------------------------


@given(st.floats(0.4e6, 10.8e6), st.sampled_from(["high", "low"]))
def test_no_intermediate_frequency_makes_one_side_share_a_range(intermediate, side):
    followed = follow_bands(ordinary_bands(2), intermediate, side, pair=PAIR)
    # DERIVED: every band is shifted by the same amount, so the gaps between them stay.
    assert followed.sharing == 0
    middles = [(low + high) / 2 for _, low, high in followed.bands]
    for step, before, after in zip(followed.steps[1:], middles, middles[1:]):
        assert step.moved_by == pytest.approx(after - before, abs=1e-3)


def test_the_pair_shares_its_range_on_a_clock_crystal():
    # DERIVED: 10.1 - 3.2768 = 6.8232 and 10.15 - 3.2768 = 6.8732, inside 6.7768 to 7.2768 MHz.
    followed = follow_bands(ordinary_bands(2), 3.2768e6, "high", pair=PAIR)
    assert followed.pair_overlap == pytest.approx(50e3, rel=1e-6, abs=0)
    apart = follow_bands(ordinary_bands(2), 455e3, "high", pair=PAIR)
    assert apart.pair_overlap == pytest.approx(-(9.645e6 - 4.455e6), rel=1e-6, abs=0)


def test_the_coil_follows_the_inverse_square():
    steps = follow_bands(ordinary_bands(2), 455e3, "high", pair=PAIR).steps
    # DERIVED from f = 1/(2 pi sqrt(LC)): 80 m to 40 m, middles 4.205 and 7.605 MHz.
    assert coil_ratio(steps[2]) == pytest.approx((4.205 / 7.605) ** 2, rel=1e-9, abs=0)
    lost = follow_bands(ordinary_bands(2), 3.2768e6, "low", pair=PAIR)
    assert math.isnan(coil_ratio(lost.steps[1])) and len(lost.working) == len(lost.steps) - 1


@pytest.mark.parametrize("region", [1, 2, 3])
def test_the_ordinary_receiver_has_the_regions_bands(region):
    names = [name for name, _, _ in ordinary_bands(region)]
    assert names == [row.name for row in AMATEUR_BANDS[region] if row.name != "60 m"]

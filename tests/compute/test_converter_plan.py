"""A third band through a converter: the invented cases by hand, and searches on a grid."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.compute.converter_plan import compare_converters, plan_converter
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tuning import HIGH, LOW, SUM, plan_band

MAIN = plan_band(3.5e6, 4.0e6, 3.2768e6, HIGH)
BAND_17, BAND_15, BAND_10 = (18.068e6, 18.168e6), (21.0e6, 21.45e6), (28.0e6, 29.7e6)


def response(frequency, centre, q=50.0):
    """One resonator's rejection in dB; Terman, *Radio Engineering*."""
    return 10 * math.log10(1 + (q * (frequency / centre - centre / frequency)) ** 2)


def test_17_m_with_a_television_crystal():
    """Invented for the workbook; DERIVED: upright on 3.749 82 to 3.849 82 MHz, crystal in 20 m."""
    plan = plan_converter(*BAND_17, 14.31818e6, MAIN)
    assert plan.works and plan.covered_share == 1.0
    assert plan.stretch == pytest.approx((3.74982e6, 3.84982e6), rel=1e-6, abs=0)
    assert plan.stretch_share == pytest.approx((0.49964, 0.69964), rel=1e-6, abs=0)
    assert not plan.dial_reversed
    # The main receiver's high side inverts, the converter does not.
    assert plan.sideband_inverted
    assert [(order, row.name) for order, row in plan.crystal_in] == [(1, "20 m"), (2, "10 m")]
    assert "the crystal lies inside 20 m" in plan.speaks_against
    # Image 2·L below the band, worst where it comes nearest in ratio: at the low end.
    assert (plan.image.low, plan.image.high) == pytest.approx(
        (14.31818e6 - 3.84982e6, 14.31818e6 - 3.74982e6)
    )
    assert plan.image.rejection_db == pytest.approx(response(14.31818 - 3.74982, 18.068), rel=1e-6, abs=0)
    assert "upwards" in plan.sentence and "20 m" in plan.sentence


def test_15_m_turned_round():
    """Invented; DERIVED: 25 MHz above the band, so 21.0 lands on 4.0 and 21.45 on 3.55 MHz."""
    plan = plan_converter(*BAND_15, 25.0e6, MAIN)
    assert plan.stretch == pytest.approx((3.55e6, 4.0e6), rel=1e-6, abs=0) and plan.dial_reversed
    # Turned over twice: upright again.
    assert not plan.sideband_inverted and plan.covered_share == 1.0
    assert (plan.image.low, plan.image.high) == pytest.approx((28.55e6, 29.0e6), rel=1e-6, abs=0)
    assert plan.image.there == ("10 m",)
    first, last = plan.marks[0], plan.marks[-1]
    assert (first.frequency, first.reading, first.place) == pytest.approx((21.0e6, 4.0e6, 1.0), rel=1e-6, abs=0)
    assert (last.frequency, last.reading, last.place) == pytest.approx((21.45e6, 3.55e6, 0.1), rel=1e-6, abs=0)
    assert "the dial runs backwards" in plan.speaks_against


def test_10_m_only_in_part():
    """Invented; DERIVED: with 32 MHz only 28.0 to 28.5 MHz of 28.0 to 29.7 MHz."""
    plan = plan_converter(*BAND_10, 32.0e6, MAIN)
    assert (plan.converted.covered_low, plan.converted.covered_high) == pytest.approx(
        (28.0e6, 28.5e6)
    )
    assert plan.covered_share == pytest.approx(0.5 / 1.7, rel=1e-6, abs=0)
    assert "only 29 % of the band is reached" in plan.speaks_against


@pytest.mark.parametrize("band, crystal", [(BAND_17, 14.31818e6), (BAND_15, 25e6), (BAND_10, 32e6),
                                           ((5.3515e6, 5.3665e6), 1.6e6)])
def test_marks_are_round_and_where_they_are_heard(band, crystal):
    plan = plan_converter(*band, crystal, MAIN)
    places = [mark.frequency for mark in plan.marks]
    steps = np.diff(places)
    assert 4 <= len(places) <= 13 and steps == pytest.approx(np.full(len(steps), steps[0]), rel=1e-6, abs=0)
    assert round(steps[0] / 10 ** math.floor(math.log10(steps[0] * 1.0001)), 6) in (1, 2, 5)
    assert [f / steps[0] for f in places] == pytest.approx([round(f / steps[0]) for f in places], rel=1e-6, abs=0)
    for mark in plan.marks:
        assert plan.converted.covered_low - 1 <= mark.frequency <= plan.converted.covered_high + 1
        assert mark.reading == pytest.approx(abs(mark.frequency - crystal), rel=1e-6, abs=0)
        assert mark.place == pytest.approx((mark.reading - 3.5e6) / 0.5e6, rel=1e-6, abs=0)


@pytest.mark.parametrize("main, band, crystal", [
    (MAIN, BAND_17, 14.31818e6), (MAIN, BAND_15, 25e6),
    (plan_band(10.1e6, 10.15e6, 3.2768e6, LOW), (28.0e6, 28.05e6), 38.15e6),
    (plan_band(3.5e6, 4.0e6, 9e6, SUM), BAND_15, 17.4e6),
])
def test_what_the_front_end_must_reject_is_heard_if_it_does_not(main, band, crystal):
    """Each stretch, sent through both mixers by difference alone, must end on the main IF.

    DERIVED: a signal s becomes |s − X|, then |… ± O| equals IF; directly, |s ± O| equals IF.
    """
    plan = plan_converter(*band, crystal, main)
    assert plan.works
    for end in (0, 1):
        wanted = (plan.converted.covered_low, plan.converted.covered_high)[end]
        reading = abs(wanted - crystal)
        oscillator = {HIGH: reading + main.intermediate_frequency,
                      LOW: reading - main.intermediate_frequency,
                      SUM: main.intermediate_frequency - reading}[main.injection]

        def on_if(frequency):
            return any(abs(way * frequency + other * oscillator) == pytest.approx(
                main.intermediate_frequency, abs=1.0) for way in (1, -1) for other in (1, -1))

        names = {}
        for row in plan.rejects:
            ends = row.low, row.high
            names[row.name] = min(
                ends, key=lambda f: 0 if on_if(abs(f - crystal)) or on_if(f) else 1
            )
        for name, frequency in names.items():
            if name == "the main receiver's intermediate frequency":
                assert frequency == main.intermediate_frequency
            elif "directly" in name or "own band" in name:
                assert on_if(frequency), name
            else:
                assert on_if(abs(frequency - crystal)), name
        # The image lies on the crystal's other side, unless it folds at zero.
        if crystal > max(reading, band[1]):
            assert plan.image.low > crystal


def test_rejections_are_the_least_over_the_band():
    """DERIVED: one resonator following the signal, at 1001 places."""
    plan = plan_converter(*BAND_10, 32.0e6, MAIN, loaded_q=80.0, circuits=2)
    wanted = np.linspace(28.0, 28.5, 1001)
    images = 64.0 - wanted
    least = min(2 * response(i, w, 80.0) for i, w in zip(images, wanted))
    assert plan.image.rejection_db == pytest.approx(least, rel=1e-6, abs=0)
    own = min(2 * response(32.0 - w, w, 80.0) for w in wanted)
    assert plan.rejects[1].rejection_db == pytest.approx(own, rel=1e-6, abs=0)
    assert plan.rejects[1].there == ("3.4 MHz aeronautical", "80 m")


@pytest.mark.parametrize("main, band, crystal", [
    (MAIN, BAND_15, 25e6), (MAIN, BAND_10, 32e6), (MAIN, BAND_15, 17.5e6),
    (plan_band(10.1e6, 10.6e6, 3.2768e6, LOW), (21.0e6, 21.45e6), 11.0e6),
    (plan_band(3.5e6, 4.0e6, 9e6, SUM), BAND_15, 17.4e6),
])
def test_whistles_against_a_search_on_a_grid(main, band, crystal):
    """Independent route: walk over the band, look for a sign change of (product − IF or signal)."""
    order = 8
    plan = plan_converter(*band, crystal, main, order=order)
    wanted = np.linspace(plan.converted.covered_low, plan.converted.covered_high, 20_011)
    reading = np.abs(wanted - crystal)
    f = main.intermediate_frequency
    oscillator = {HIGH: reading + f, LOW: reading - f, SUM: f - reading}[main.injection]
    met = []
    for q in range(order):
        for p in range(-order, order + 1):
            if p == 0 or q + abs(p) > order:
                continue
            product = q * oscillator + p * crystal
            for target in (reading, np.full_like(reading, f)):
                for sign in (1, -1):
                    gap = sign * product - target
                    if np.ptp(gap) > 1:
                        met += wanted[:-1][gap[:-1] * gap[1:] <= 0].tolist()
    step = wanted[1] - wanted[0]
    found = [whistle.frequency for whistle in plan.whistles]
    assert found == sorted(found) and len(found) >= 1
    for place in met:
        assert min(abs(place - f) for f in found) <= 2 * step
    for place in found:
        assert min(abs(place - f) for f in met) <= 2 * step
    way = -1 if main.injection == SUM else 1
    for whistle in plan.whistles:
        def off(more, whistle=whistle):
            """How far the product lies from what it lands on, the oscillator moved by so much."""
            landed = whistle.sign * (whistle.oscillator_order * (whistle.oscillator + more)
                                     + whistle.crystal_order * crystal)
            return landed - (whistle.reading + way * more if whistle.on_signal else f)

        assert off(0.0) == pytest.approx(0.0, abs=1e-3)
        assert abs(off(1000.0)) == pytest.approx(1000 * whistle.pitch_slope, rel=1e-6, abs=0)


def test_a_whistle_by_hand():
    """DERIVED: 25 MHz less 3·O on the IF: O = 21.7232/3 = 7.24107, reading 3.96427 MHz."""
    plan = plan_converter(*BAND_15, 25.0e6, MAIN)
    whistle = plan.whistles[0]
    assert (whistle.oscillator_order, abs(whistle.crystal_order)) == (3, 1)
    assert whistle.oscillator == pytest.approx(21.7232e6 / 3, rel=1e-6, abs=0)
    assert whistle.reading == pytest.approx(21.7232e6 / 3 - 3.2768e6, rel=1e-6, abs=0)
    assert whistle.frequency == pytest.approx(25e6 - whistle.reading, rel=1e-6, abs=0)
    # Three times the oscillator moves three times as far.
    assert not whistle.on_signal and whistle.pitch_slope == 3
    assert whistle.name.startswith("harmonic 3 of the main oscillator with harmonic 1")


def test_beat_oscillator_in_the_third_band():
    """DERIVED: 6 × 3.5 MHz = 21.0 MHz."""
    main = plan_band(3.6e6, 4.05e6, 3.5e6, HIGH)
    plan = plan_converter(*BAND_15, 17.4e6, main)
    assert plan.beat_harmonics == ((6, 21.0e6),)
    assert any("harmonic 6 of the beat oscillator" in text for text in plan.speaks_against)


def test_comparing_crystals():
    """Invented: the whole band first, then fewest objections; useless ones last, with a reason."""
    plans = compare_converters(*BAND_17, (18.1e6, 14.7456e6, 22.1184e6, 14.31818e6, 22e6), MAIN)
    assert [plan.converted.crystal for plan in plans[:3]] == [22e6, 14.31818e6, 22.1184e6]
    assert [plan.covered_share for plan in plans] == pytest.approx([1, 1, 0.496, 0, 0], rel=1e-6, abs=0)
    assert not plans[3].works and plans[3].image is None and plans[3].stretch is None
    sentences = " ".join(plan.sentence for plan in plans[3:])
    assert "folds over itself" in sentences and "beyond the tunable range" in sentences


@given(st.integers(5_000, 30_000), st.integers(50, 1500), st.integers(2_000, 40_000))
@settings(max_examples=60, deadline=None)
def test_any_band_and_crystal_is_answered(low, width, crystal):
    plan = plan_converter(low * 1e3, (low + width) * 1e3, crystal * 1e3, MAIN, order=6)
    assert plan.works == (plan.stretch is not None) and "nan" not in plan.sentence
    if plan.works:
        assert 0 <= plan.stretch_share[0] <= plan.stretch_share[1] <= 1
        assert plan.dial_reversed == (crystal > low)


@pytest.mark.parametrize("call, name", [
    (lambda: plan_converter(math.nan, 21e6, 25e6, MAIN), "Band edge"),
    (lambda: plan_converter(21.45e6, 21e6, 25e6, MAIN), "Band from"),
    (lambda: plan_converter(*BAND_15, -25e6, MAIN), "Oscillator frequency"),
    (lambda: plan_converter(*BAND_15, 25e6, MAIN, order=99), "Highest order"),
    (lambda: plan_converter(*BAND_15, 25e6, MAIN, loaded_q=0.0), "Loaded Q"),
    (lambda: plan_converter(*BAND_15, 25e6, MAIN, region=7), "Region “7”"),
    (lambda: plan_converter(*BAND_15, 25e6, plan_band(1e6, 2e6, 9e6, LOW)),
     "Products of the mixer"),
    (lambda: compare_converters(*BAND_15, (), MAIN), "Crystals are missing"),
])
def test_bad_value_is_named(call, name):
    with pytest.raises(Unclear) as error:
        call()
    assert str(error.value).startswith(name)
    assert len(str(error.value).splitlines()) == 1

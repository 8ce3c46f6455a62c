"""The frequency plan against published examples, exact rational arithmetic and a mixing table."""

import math
from fractions import Fraction
from itertools import product

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tuning import (
    HIGH,
    INJECTIONS,
    LOW,
    SUM,
    image_frequency,
    is_sideband_inverted,
    mixer_products,
    multiband_steps,
    occupants_of,
    oscillator_frequency,
    plan_band,
    signal_frequency,
    tunes_backwards,
)
from rxlearn.data.spectrum import AMATEUR, BROADCAST, TIME


def mixing_table(oscillator: int, intermediate: int) -> set[int]:
    """Signals that |oscillator ± signal| brings to the IF: searched for, not solved.  kHz."""
    return {
        signal
        for signal in range(1, 2 * oscillator + 2 * intermediate)
        if intermediate in (oscillator + signal, abs(oscillator - signal))
    }


@pytest.mark.parametrize(
    "signal, intermediate, injection, oscillator, image",
    [
        # kHz.  Service-text example; NEETS Module 17 has the same arithmetic (not seen).
        (600, 455, HIGH, 1055, 1510),
        # Kennedy and Davis, Electronic Communication Systems, receiver chapter (image 1910).
        (1000, 455, HIGH, 1455, 1910),
        # Examination answer: signal 8.0 MHz, oscillator 6.5 MHz, image 5.0 MHz.
        (8000, 1500, LOW, 6500, 5000),
        # DERIVED from |oscillator ± image| = IF: an oscillator below the IF folds the image.
        (14200, 9000, LOW, 5200, 3800),
        (14200, 9000, HIGH, 23200, 32200),
        # DERIVED: sum scheme, oscillator + signal = IF, image above the IF.
        (3750, 9000, SUM, 5250, 14250),
    ],
)
def test_oscillator_and_image(signal, intermediate, injection, oscillator, image):
    arguments = signal * 1e3, intermediate * 1e3, injection
    assert oscillator_frequency(*arguments) == oscillator * 1e3
    assert image_frequency(*arguments) == image * 1e3
    assert signal_frequency(oscillator * 1e3, intermediate * 1e3, injection) == signal * 1e3
    assert {signal, image} <= mixing_table(oscillator, intermediate)


@given(st.integers(100, 30_000), st.integers(100, 30_000), st.sampled_from(INJECTIONS))
def test_signal_and_image_are_all_that_the_mixing_table_holds(signal, intermediate, injection):
    """Every receivable whole kHz is signal or image; integer arithmetic throughout."""
    try:
        oscillator = oscillator_frequency(signal * 1e3, intermediate * 1e3, injection) / 1e3
    except Unclear:
        assert (injection, signal <= intermediate) in ((LOW, True), (SUM, False)) or (
            signal == intermediate
        )
        return
    image = image_frequency(signal * 1e3, intermediate * 1e3, injection) / 1e3
    candidates = {oscillator - intermediate, intermediate - oscillator, oscillator + intermediate}
    assert {signal, image} == {f for f in candidates if f >= 0} | ({0.0} if image == 0 else set())


@given(st.integers(200, 30_000), st.integers(100, 30_000), st.sampled_from(INJECTIONS))
def test_round_trip_and_image_of_the_image(oscillator, intermediate, injection):
    """On one oscillator each of the two signals is the other's image."""
    signal = {
        HIGH: oscillator - intermediate, LOW: oscillator + intermediate,
        SUM: intermediate - oscillator,
    }[injection]
    assume(signal > 0)
    found = signal_frequency(oscillator * 1e3, intermediate * 1e3, injection)
    assert found == signal * 1e3
    assert oscillator_frequency(found, intermediate * 1e3, injection) == oscillator * 1e3
    image = image_frequency(found, intermediate * 1e3, injection)
    assume(image > 0)
    on_the_other_side = LOW if injection != LOW else HIGH if oscillator > intermediate else SUM
    assert image_frequency(image, intermediate * 1e3, on_the_other_side) == found


def test_arrays_follow_the_floats():
    signals = np.array([3.5e6, 3.75e6, 4.0e6])
    for injection in (HIGH, LOW):
        for call in (oscillator_frequency, image_frequency):
            values = call(signals, 1.6e6, injection)
            assert values.tolist() == [call(signal, 1.6e6, injection) for signal in signals]
    assert isinstance(image_frequency(3.5e6, 1.6e6, HIGH), float)


@pytest.mark.parametrize(
    "injection, inverted, backwards", [(HIGH, True, False), (LOW, False, False), (SUM, False, True)]
)
def test_directions_follow_from_a_small_step(injection, inverted, backwards):
    """DERIVED by differences: move the signal, then the oscillator, by 1 kHz and look."""
    assert is_sideband_inverted(injection) is inverted
    assert tunes_backwards(injection) is backwards
    signal, intermediate = 5e6, 9e6 if injection == SUM else 2e6
    oscillator = oscillator_frequency(signal, intermediate, injection)
    landed = [
        oscillator + f if injection == SUM else abs(oscillator - f) for f in (signal, signal + 1e3)
    ]
    assert (landed[1] < landed[0]) is inverted
    step = signal_frequency(oscillator + 1e3, intermediate, injection) - signal
    assert (step < 0) is backwards


def test_broadcast_band_plan():
    """DERIVED, the textbook plan: 540 to 1600 kHz with 455 kHz, oscillator 995 to 2055 kHz."""
    plan = plan_band(540e3, 1600e3, 455e3, HIGH)
    assert (plan.oscillator_low, plan.oscillator_high) == (995e3, 2055e3)
    assert plan.oscillator_ratio == pytest.approx(2.0653, rel=1e-4, abs=0)
    assert plan.capacitance_ratio == pytest.approx(4.2656, rel=1e-4, abs=0)
    assert plan.signal_ratio == pytest.approx(2.9630, rel=1e-4, abs=0)
    assert plan.signal_capacitance_ratio == pytest.approx(8.7791, rel=1e-4, abs=0)
    # DERIVED: tuned below 690 kHz the image, 1450 to 1600 kHz, is itself in band.
    assert plan.image_in_band == (540e3, 690e3)
    assert (plan.image_low, plan.image_high) == (1450e3, 2510e3)
    assert plan.works and plan.sideband_inverted and not plan.tunes_backwards


def test_modern_broadcast_band_plan():
    """DERIVED: 530 to 1700 kHz with 455 kHz, oscillator 985 to 2155 kHz."""
    plan = plan_band(530e3, 1700e3, 455e3, HIGH)
    assert (plan.oscillator_low, plan.oscillator_high) == (985e3, 2155e3)


def test_broadcast_band_on_the_low_side_wants_an_impossible_capacitor():
    """DERIVED: 85 to 1145 kHz, ratio 13.47, capacitance ratio 181.5."""
    plan = plan_band(540e3, 1600e3, 455e3, LOW)
    assert (plan.oscillator_low, plan.oscillator_high) == (85e3, 1145e3)
    assert plan.capacitance_ratio == pytest.approx(float(Fraction(1145, 85) ** 2), rel=1e-12, abs=0)
    assert plan.image_in_band == (1450e3, 1600e3)
    # The image folds at zero where the band straddles 910 kHz.
    assert (plan.image_low, plan.image_high) == (0.0, 690e3)


def test_band_of_twice_the_intermediate_frequency_meets_its_image_at_the_edge():
    """DERIVED: 1000 to 1910 kHz with 455 kHz: the image of 1000 is 1910, and only that."""
    assert plan_band(1000e3, 1910e3, 455e3, HIGH).image_in_band == (1000e3, 1000e3)
    assert plan_band(1000e3, 1910e3, 455e3, LOW).image_in_band == (1910e3, 1910e3)
    assert plan_band(1000e3, 1909e3, 455e3, HIGH).image_in_band is None


def test_sum_scheme_turns_the_range_round():
    plan = plan_band(3.5e6, 4.0e6, 9e6, SUM)
    assert (plan.oscillator_low, plan.oscillator_high) == (5e6, 5.5e6)
    assert (plan.image_low, plan.image_high) == (14e6, 14.5e6)
    assert plan.tunes_backwards and not plan.sideband_inverted and plan.image_in_band is None


@given(
    st.integers(500, 30_000), st.integers(1, 5_000), st.integers(100, 20_000),
    st.sampled_from(INJECTIONS),
)
def test_plan_against_exact_rational_arithmetic(low, width, intermediate, injection):
    """Independent route: whole kHz and fractions; the images found by brute force."""
    high = low + width
    plan = plan_band(low * 1e3, high * 1e3, intermediate * 1e3, injection)
    sign = {HIGH: (1, 1), LOW: (1, -1), SUM: (-1, 1)}[injection]
    ends = sorted(sign[0] * f + sign[1] * intermediate for f in (low, high))
    assert (plan.oscillator_low, plan.oscillator_high) == (ends[0] * 1e3, ends[1] * 1e3)
    assert plan.signal_ratio == pytest.approx(float(Fraction(high, low)), rel=1e-12, abs=0)
    inside = low <= intermediate <= high
    assert plan.works == (ends[0] > 0 and not inside)
    if ends[0] <= 0:
        assert math.isnan(plan.oscillator_ratio) and math.isnan(plan.image_low)
        return
    assert plan.capacitance_ratio == pytest.approx(float(Fraction(*ends[::-1]) ** 2), rel=1e-12, abs=0)
    images = {
        f: f + 2 * intermediate if injection == HIGH else abs(f - 2 * intermediate)
        for f in range(low, high + 1)
    }
    assert plan.image_high == max(images.values()) * 1e3
    assert plan.image_low == min(images.values()) * 1e3
    if plan.works:
        meant = [f for f, image in images.items() if low <= image <= high]
        found = plan.image_in_band
        assert found == ((meant[0] * 1e3, meant[-1] * 1e3) if meant else None)


@pytest.mark.parametrize(
    "band, intermediate, injection, holds",
    [
        ((3.5e6, 4e6), 9e6, LOW, "which no oscillator has: the intermediate frequency must lie b"),
        ((3.5e6, 4e6), 1e6, SUM, "which no oscillator has: the intermediate frequency must lie a"),
        ((3.5e6, 4e6), 3.6e6, LOW, "pass through zero"),
        ((3.5e6, 4e6), 3.6e6, SUM, "pass through zero"),
        ((3.5e6, 4e6), 3.5e6, LOW, "pass through zero"),
        ((540e3, 1600e3), 1e6, HIGH, "lies inside the band 0.54 to 1.6 MHz"),
    ],
)
def test_impossible_scheme_gives_its_reason(band, intermediate, injection, holds):
    plan = plan_band(*band, intermediate, injection)
    assert not plan.works
    assert any(holds in reason for reason in plan.reasons)
    assert all(reason.endswith(".") for reason in plan.reasons)


def test_mixer_products():
    """DERIVED: cos a · cos b = ½cos(a−b) + ½cos(a+b); here read from a transform of samples."""
    products = mixer_products(1055e3, 600e3)
    assert (products.sum, products.difference) == (1655e3, 455e3)
    time = np.arange(4096) / 4.096e6
    mixed = np.cos(2 * np.pi * 1055e3 * time) * np.cos(2 * np.pi * 600e3 * time)
    lines = np.nonzero(np.abs(np.fft.rfft(mixed)) > 1.0)[0] * 1e3
    assert lines.tolist() == [products.difference, products.sum]


def test_multiband_receiver_steps():
    """DERIVED: high side, 455 kHz; the oscillator must leap with the band."""
    steps = multiband_steps([(3.5e6, 4e6), (7e6, 7.3e6), (14e6, 14.35e6)], 455e3, HIGH)
    assert [step.moved_by for step in steps] == [0.0, 3.4e6, 7.025e6]
    assert steps[0].centre_ratio == 1.0
    assert steps[1].centre_ratio == pytest.approx(7605 / 4205, rel=1e-12, abs=0)
    assert [step.overlap for step in steps] == [0.0, 0.0, 0.0]
    near = multiband_steps([(3.5e6, 4e6), (3.8e6, 4.2e6)], 455e3, HIGH)[1]
    assert (near.overlap, near.moved_by) == (0.2e6, 0.25e6)


def test_steps_of_a_scheme_without_oscillator_are_no_numbers():
    steps = multiband_steps([(3.5e6, 4e6), (14e6, 14.35e6)], 9e6, LOW)
    assert math.isnan(steps[1].centre_ratio) and not steps[0].plan.works


OCCUPIED = [
    # kHz; ITU Radio Regulations, Article 5 (a national table transcribing it for the edges).
    (3500, 3500, 1, "80 m"),
    (3900, 3900, 1, None),
    (3900, 3900, 2, "80 m"),
    (3850, 3850, 3, "80 m"),
    (7250, 7250, 1, "41 m broadcast"),
    (7250, 7250, 2, "40 m"),
    (10100, 10100, 1, "30 m"),
    (1650, 1650, 2, "medium wave"),
    (1650, 1650, 1, None),
    (9999, 10001, 3, "time station on 10 MHz"),
    (14000, 14350, 1, "20 m"),
]


@pytest.mark.parametrize("low, high, region, name", OCCUPIED)
def test_occupant(low, high, region, name):
    wanted = (AMATEUR, BROADCAST, TIME)
    names = [row.name for row in occupants_of(low * 1e3, high * 1e3, region, services=wanted)]
    assert names == ([] if name is None else [name])


@given(st.floats(0, 30e6), st.floats(0, 5e6), st.sampled_from((1, 2, 3)))
def test_occupants_touch_the_stretch_and_grow_with_it(low, width, region):
    rows = occupants_of(low, low + width, region)
    assert all(row.low <= low + width and row.high >= low for row in rows)
    assert all(row.region in (0, region) for row in rows)
    assert [row.low for row in rows] == sorted(row.low for row in rows)
    assert set(rows) <= set(occupants_of(low, low + width + 1e6, region))


BAD = [math.nan, math.inf, -math.inf, -1e6, 0.0, "7e6", "<b>7</b>", None, True, 1e300]


@pytest.mark.parametrize("bad", BAD, ids=repr)
@pytest.mark.parametrize(
    "call, name",
    [
        (lambda bad: oscillator_frequency(bad, 455e3, HIGH), "Signal frequency"),
        (lambda bad: oscillator_frequency(7e6, bad, HIGH), "Intermediate frequency"),
        (lambda bad: oscillator_frequency([7e6, bad], 455e3, HIGH), "Signal frequency"),
        (lambda bad: signal_frequency(bad, 455e3, LOW), "Oscillator frequency"),
        (lambda bad: signal_frequency(7e6, bad, LOW), "Intermediate frequency"),
        (lambda bad: image_frequency(bad, 455e3, HIGH), "Signal frequency"),
        (lambda bad: image_frequency(7e6, bad, HIGH), "Intermediate frequency"),
        (lambda bad: mixer_products(bad, 7e6), "Oscillator frequency"),
        (lambda bad: mixer_products(7e6, bad), "Signal frequency"),
        (lambda bad: plan_band(bad, 4e6, 455e3, HIGH), "Band edge"),
        (lambda bad: plan_band(3e6, bad, 455e3, HIGH), "Band edge"),
        (lambda bad: plan_band(3e6, 4e6, bad, HIGH), "Intermediate frequency"),
        (lambda bad: multiband_steps([(3e6, bad)], 455e3, HIGH), "Band edge"),
    ],
)
def test_bad_value_is_named(call, name, bad):
    with pytest.raises(Unclear) as error:
        call(bad)
    assert str(error.value).startswith(f"{name} ")
    assert len(str(error.value).splitlines()) == 1


def all_calls(injection):
    return (
        lambda: oscillator_frequency(7e6, 455e3, injection),
        lambda: signal_frequency(7e6, 455e3, injection),
        lambda: image_frequency(7e6, 455e3, injection),
        lambda: plan_band(3e6, 4e6, 455e3, injection),
        lambda: multiband_steps([(3e6, 4e6)], 455e3, injection),
        lambda: is_sideband_inverted(injection),
        lambda: tunes_backwards(injection),
    )


@pytest.mark.parametrize(
    "injection, call",
    list(product(["HIGH", "", None, 3, [], "<i>high</i>\nlow", "high side" * 50], range(7))),
    ids=lambda value: repr(value)[:20],
)
def test_unknown_injection_is_named(injection, call):
    with pytest.raises(Unclear, match="^Injection .* is unknown: choose high, low or sum.$"):
        all_calls(injection)[call]()


@pytest.mark.parametrize("edges", [(4e6, 3.5e6), (4e6, 4e6)])
def test_reversed_band_is_named(edges):
    with pytest.raises(Unclear, match="^Band from .* the wrong way round; give the lower edge fir"):
        plan_band(*edges, 455e3, HIGH)


@pytest.mark.parametrize(
    "call, holds",
    [
        (lambda: oscillator_frequency(3e6, 9e6, LOW), "Oscillator frequency would be -6 MHz"),
        (lambda: oscillator_frequency([10e6, 3e6], 9e6, LOW), "Oscillator frequency would be -6 M"),
        (lambda: oscillator_frequency(9e6, 9e6, SUM), "Oscillator frequency would be 0 Hz"),
        (lambda: image_frequency(3e6, 9e6, LOW), "Oscillator frequency would be -6 MHz"),
        (lambda: signal_frequency(5e6, 9e6, HIGH), "Signal frequency would be -4 MHz"),
        (lambda: signal_frequency(12e6, 9e6, SUM), "Signal frequency would be -3 MHz"),
        (lambda: multiband_steps([], 455e3, HIGH), "Bands are missing"),
        (lambda: multiband_steps([3.5e6], 455e3, HIGH), "Bands must be pairs"),
        (lambda: multiband_steps(None, 455e3, HIGH), "Bands must be pairs"),
        (lambda: occupants_of(4e6, 3e6, 1), "Edge of the stretch: 4 MHz lies above 3 MHz"),
        (lambda: occupants_of(math.nan, 3e6, 1), "Edge of the stretch must be a finite number"),
        (lambda: occupants_of(3e6, -1.0, 1), "Edge of the stretch of -1 Hz is below"),
    ],
)
def test_nonsense_says_what_is_wrong(call, holds):
    with pytest.raises(Unclear) as error:
        call()
    assert str(error.value).startswith(holds)


@pytest.mark.parametrize("region", [0, 4, -1, "1", None, True, 1.5, math.nan, "<b>"])
def test_unknown_region_is_named(region):
    with pytest.raises(Unclear, match="^Region .* is unknown: choose ITU region 1, 2 or 3.$"):
        occupants_of(3e6, 4e6, region)

"""Sidebands through a conversion, against a mixer made of samples and a transform."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.beat import (
    beat_oscillator_frequency,
    beat_side,
    convert_sideband,
    sideband_after,
)
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tuning import HIGH, INJECTIONS, LOW, SUM


@pytest.mark.parametrize(
    "sideband, inverted, after, side",
    [
        # DERIVED: the carrier lies below an upper sideband; inverting exchanges the two.
        ("upper", False, "upper", "below"),
        ("upper", True, "lower", "above"),
        ("lower", False, "lower", "above"),
        ("lower", True, "upper", "below"),
    ],
)
def test_side_of_the_beat_oscillator(sideband, inverted, after, side):
    assert sideband_after(sideband, inverted) == after
    assert beat_side(sideband, inverted) == side
    expected = 3276800 + (1500 if side == "above" else -1500)
    assert beat_oscillator_frequency(3.2768e6, sideband, inverted, 1500.0) == expected


def transformed_lines(oscillator, frequencies, low, high):
    """Lines (Hz) between two limits of sampled signals times a sampled oscillator.

    No formula of the module: samples are multiplied and transformed, one line a 100 Hz.
    """
    rate, count = 32.768e6, 327_680
    time = np.arange(count) / rate
    signal = sum(np.cos(2 * np.pi * frequency * time) for frequency in frequencies)
    spectrum = np.abs(np.fft.rfft(signal * np.cos(2 * np.pi * oscillator * time)))
    lines = np.nonzero(spectrum > 0.1 * count / 4)[0] * rate / count
    return lines[(lines >= low) & (lines <= high)]


@pytest.mark.parametrize("sideband", ["upper", "lower"])
@pytest.mark.parametrize(
    "carrier, intermediate, injection, turned",
    [
        (3.7e6, 3.2768e6, HIGH, True),
        (10.12e6, 3.2768e6, LOW, False),
        (3.7e6, 9.0e6, SUM, False),
    ],
)
def test_two_tones_against_a_sampled_mixer(carrier, intermediate, injection, turned, sideband):
    """Two tones, 700 and 1900 Hz: high-side injection turns the sideband over, nothing else."""
    found = convert_sideband(carrier, [700, 1900], sideband, intermediate, injection)
    on_air = [carrier + (tone if sideband == "upper" else -tone) for tone in (700, 1900)]
    assert found.signal_frequencies.tolist() == on_air
    lines = transformed_lines(
        found.oscillator, on_air, intermediate - 5e3, intermediate + 5e3
    )
    assert sorted(found.intermediate_frequencies) == pytest.approx(lines, abs=1e-3)
    came_out_above = bool(lines.min() > found.intermediate_carrier)
    assert came_out_above is ((sideband == "upper") is not turned)
    assert found.sideband_after == ("upper" if came_out_above else "lower")
    assert found.heard(found.intermediate_carrier) == pytest.approx([700, 1900], abs=1e-3)


@given(
    st.sampled_from(["upper", "lower"]), st.sampled_from(INJECTIONS),
    st.lists(st.integers(100, 4000), min_size=1, max_size=5), st.integers(0, 3000),
)
def test_proper_beat_oscillator_gives_every_tone_back(sideband, injection, tones, offset):
    """Round trip: what is on the air is what is heard, wherever the offset puts the carrier."""
    intermediate = 9e6 if injection == SUM else 2e6
    found = convert_sideband(5e6, tones, sideband, intermediate, injection, offset=offset)
    beat = beat_oscillator_frequency(intermediate, sideband, injection == HIGH, offset)
    assert found.heard(beat) == pytest.approx(np.array(tones, dtype=float), abs=1e-3)
    assert found.intermediate_carrier == pytest.approx(beat, abs=1e-3)


def test_wrong_side_turns_the_pitches_over():
    """DERIVED: carrier at IF + 1500, tones at IF + 800 and IF − 400, beat at IF − 1500."""
    found = convert_sideband(3.7e6, [700, 1900], "upper", 3.2768e6, HIGH, offset=1500)
    assert (found.intermediate_frequencies - 3.2768e6).tolist() == [800.0, -400.0]
    assert found.heard(3.2768e6 - 1500).tolist() == [2300.0, 1100.0]


BAD = [math.nan, math.inf, -math.inf, -1.0, "700", "<b>7</b>", None, True, 1e300]


@pytest.mark.parametrize("bad", BAD, ids=repr)
@pytest.mark.parametrize(
    "call, name",
    [
        (lambda bad: beat_oscillator_frequency(bad, "upper", True, 1e3), "Intermediate frequency"),
        (lambda bad: beat_oscillator_frequency(3e6, "upper", True, bad), "Beat oscillator offset"),
        (lambda bad: beat_oscillator_frequency(3e6, bad, True, 1e3), "Sideband"),
        (lambda bad: sideband_after(bad, False), "Sideband"),
        (lambda bad: convert_sideband(bad, [700], "upper", 3e6, HIGH), "Signal frequency"),
        (lambda bad: convert_sideband(7e6, [bad], "upper", 3e6, HIGH), "Tone"),
        (lambda bad: convert_sideband(7e6, [700], bad, 3e6, HIGH), "Sideband"),
        (lambda bad: convert_sideband(7e6, [700], "upper", bad, HIGH), "Intermediate frequency"),
        (lambda bad: convert_sideband(7e6, [700], "upper", 3e6, bad), "Injection"),
        (lambda bad: convert_sideband(7e6, [700], "upper", 3e6, HIGH).heard(bad),
         "Beat oscillator frequency"),
    ],
)
def test_bad_value_is_named(call, name, bad):
    with pytest.raises(Unclear) as error:
        call(bad)
    assert str(error.value).startswith(f"{name} ")
    assert len(str(error.value).splitlines()) == 1


def test_no_tone_at_all_is_refused():
    with pytest.raises(Unclear, match="^Tone is missing"):
        convert_sideband(7e6, [], "upper", 3e6, HIGH)

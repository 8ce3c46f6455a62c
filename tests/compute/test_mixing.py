"""Mixing: what the transform shows against closed forms, energy, a circuit simulator."""

import math
import os
import shutil
import subprocess

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import signal as scipy_signal

from rxlearn.compute.mixer_output import filter_difference, filter_response_db, two_stations
from rxlearn.compute.mixing import (
    FLOOR_DB,
    KINDS,
    line_amplitudes,
    mix,
    sample_rate_for,
)
from rxlearn.compute.quantities import Unclear

frequencies = st.floats(0.5e6, 60e6)
kinds = st.sampled_from(KINDS)

# DERIVED from cos a·cos b = (cos(a-b) + cos(a+b))/2, the Fourier series of a ±1 square
# wave (4/π, 4/3π, 4/5π …) and (a + b)²; levels relative to a signal of unit amplitude.
CONVERSION = [
    ("multiply", "difference", 1 / 2),
    ("multiply", "sum", 1 / 2),
    ("switch", "difference", 2 / math.pi),
    ("switch", "sum", 2 / math.pi),
    ("switch", "third harmonic less signal", 2 / (3 * math.pi)),
    ("switch", "third harmonic plus signal", 2 / (3 * math.pi)),
    ("switch", "fifth harmonic less signal", 2 / (5 * math.pi)),
    ("switch", "fifth harmonic plus signal", 2 / (5 * math.pi)),
    ("square_law", "difference", 1 / 2),
    ("square_law", "sum", 1 / 2),
    ("square_law", "twice the signal", 1 / 4),
    ("square_law", "twice the oscillator", 1 / 4),
]


@pytest.mark.parametrize("kind, name, amplitude", CONVERSION)
def test_each_product_has_the_size_that_trigonometry_gives(kind, name, amplitude):
    product = mix(3.7e6, 6.9768e6, kind=kind).product(name)
    assert product.amplitude == pytest.approx(amplitude, rel=1e-9, abs=0)
    assert product.level_db == pytest.approx(20 * math.log10(amplitude), abs=1e-7)


def test_conversion_losses_are_the_familiar_ones():
    # Multiplying 6.02 dB, switching 3.92 dB: 20·log10 of 1/2 and of 2/π, DERIVED.
    assert mix(3.7e6, 6.9768e6).product("difference").level_db == pytest.approx(-6.02, abs=0.005)
    switched = mix(3.7e6, 6.9768e6, kind="switch").product("difference")
    assert switched.level_db == pytest.approx(-3.92, abs=0.005)


@pytest.mark.parametrize("kind", KINDS)
def test_a_balanced_mixer_lets_neither_port_through(kind):
    mixing = mix(3.7e6, 6.9768e6, kind=kind)
    for name in ("signal leak", "oscillator leak"):
        assert mixing.product(name).level_db == FLOOR_DB


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("leak", [1.0, 0.1, 0.003])
def test_a_leak_lets_one_port_through_and_leaves_the_other_shut(kind, leak):
    # DERIVED: (s + d)(o + e) = s·o + e·s + d·o + d·e; a ±1 square wave has 4/π of its fundamental.
    fundamental = 4 / math.pi if kind == "switch" else 1.0
    mixing = mix(3.7e6, 6.9768e6, kind=kind, signal_leak=leak)
    assert mixing.product("signal leak").amplitude == pytest.approx(leak, rel=1e-9, abs=0)
    assert mixing.product("oscillator leak").level_db == FLOOR_DB
    mixing = mix(3.7e6, 6.9768e6, kind=kind, oscillator_leak=leak)
    assert mixing.product("oscillator leak").amplitude == pytest.approx(leak * fundamental, rel=1e-6, abs=0)
    assert mixing.product("signal leak").level_db == FLOOR_DB


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_comes_out_but_the_products_that_are_named(kind):
    mixing = mix(3.7e6, 6.9768e6, kind=kind, signal_leak=0.1, oscillator_leak=0.1)
    named = {round(p.frequency / mixing.bin_width) for p in mixing.products}
    found = set(np.flatnonzero(mixing.levels_db > FLOOR_DB + 1))
    # The d.c. line (leak times leak, or the bend's rectifying) and, for a switch, the bare
    # harmonics from the fifth and products from the seventh are there as well, unnamed.
    unnamed = {line for line in found - named - {0}}
    oscillator, signal = (round(f / mixing.bin_width) for f in (6.9768e6, 3.7e6))
    expected = {h * oscillator + n * signal for h in (5, 7, 9) for n in (-1, 0, 1)}
    assert unnamed <= (expected if kind == "switch" else set())
    assert named <= found


@given(frequencies, frequencies, kinds)
def test_the_difference_lies_at_the_difference_for_any_pair(signal, oscillator, kind):
    assume(0.05 < signal / oscillator < 20)
    mixing = mix(signal, oscillator, kind=kind)
    product = mixing.product("difference")
    assert product.nominal_frequency == abs(oscillator - signal)
    assert abs(product.frequency - abs(oscillator - signal)) <= mixing.bin_width * (1 + 1e-6)
    line = round(product.frequency / mixing.bin_width)
    assert product.amplitude == mixing.amplitudes[line]
    assert product.frequency == pytest.approx(mixing.frequencies[line], rel=1e-6, abs=0)
    if not product.shared:
        assert product.amplitude > 0.3


@given(frequencies, frequencies, kinds)
def test_no_frequency_moves_by_more_than_half_a_bin(signal, oscillator, kind):
    assume(0.05 < signal / oscillator < 20)
    mixing = mix(signal, oscillator, kind=kind)
    for shift, given_frequency in (
        (mixing.signal_shift, signal),
        (mixing.oscillator_shift, oscillator),
    ):
        assert abs(shift) <= mixing.bin_width / 2 * (1 + 1e-9)
        cycles = (given_frequency + shift) / mixing.bin_width
        assert cycles == pytest.approx(round(cycles), abs=1e-6)


@given(frequencies, frequencies, kinds, st.floats(0, 1), st.floats(0, 1))
def test_the_transform_keeps_the_energy(signal, oscillator, kind, signal_leak, oscillator_leak):
    # Parseval's theorem: the mean square of the wave is the sum over its lines.
    assume(0.05 < signal / oscillator < 20)
    mixing = mix(signal, oscillator, kind=kind, signal_leak=signal_leak,
                 oscillator_leak=oscillator_leak)
    lines = mixing.amplitudes**2 / 2
    lines[[0, -1]] *= 2
    assert lines.sum() == pytest.approx(np.mean(mixing.sampled**2), rel=1e-9, abs=0)


@given(st.floats(0.5e6, 60e6), st.floats(0.5e6, 60e6), st.floats(1e-6, 1e3))
def test_levels_do_not_depend_on_how_strong_the_signal_is(signal, oscillator, amplitude):
    assume(0.05 < signal / oscillator < 20)
    weak = mix(signal, oscillator, signal_amplitude=amplitude).product("sum")
    assert weak.level_db == pytest.approx(mix(signal, oscillator).product("sum").level_db, abs=1e-6)


@pytest.mark.parametrize("kind", KINDS)
def test_the_chosen_sample_rate_has_room_after_setting_on_bins(kind):
    # The tightest case: the highest product just fits a round bin width before both inputs
    # move up by nearly half a bin, and the fifth harmonic by nearly two and a half.
    for samples in (256, 4096):
        for oscillator in np.linspace(5e6, 11e6, 301):
            assert mix(3.7e6, oscillator, kind=kind, samples=samples).products
    # 5 × 24.51 + 4.6 = 127.15 bins of 100 kHz fit under 128; set on bins they are 130.
    assert mix(4.6e5, 24.51e5, kind="switch", samples=256).products


@given(st.floats(1e3, 500e6), st.floats(1e3, 500e6), kinds)
def test_every_pair_in_range_is_mixed_or_refused_with_a_sentence(signal, oscillator, kind):
    try:
        mixing = mix(signal, oscillator, kind=kind)
    except Unclear as refused:
        assert "under half a bin" in str(refused)
        assert max(signal, oscillator) / min(signal, oscillator) > 100
    else:
        assert np.all(np.isfinite(mixing.levels_db))
        assert np.all(np.isfinite(mixing.output))


def test_the_amplitudes_are_those_of_the_cosines_in_a_wave():
    # Reference: each line correlated with its own cosine and sine, no transform.
    n = np.arange(512)
    wave = 0.25 + 0.7 * np.cos(2 * np.pi * 17 * n / 512 + 0.4) + 0.1 * (-1.0) ** n
    found = line_amplitudes(wave)
    for line, size in ((0, 0.25), (17, 0.7), (256, 0.1), (40, 0.0)):
        correlated = abs(np.mean(wave * np.exp(-2j * np.pi * line * n / 512)))
        correlated *= 1 if line in (0, 256) else 2
        assert found[line] == pytest.approx(size, abs=1e-12)
        assert found[line] == pytest.approx(correlated, abs=1e-12)


def test_zero_beat_is_a_direct_voltage():
    # DERIVED: cos²a = 1/2 + cos(2a)/2.
    product = mix(5e6, 5e6).product("difference")
    assert product.frequency == 0.0
    assert product.amplitude == pytest.approx(0.5, rel=1e-6, abs=0)


def test_lines_that_fall_together_say_so():
    # The difference falls on the signal, twice the signal on the oscillator.
    mixing = mix(4e6, 8e6, kind="square_law")
    assert mixing.product("difference").shared
    assert not mix(3.7e6, 6.9768e6).product("difference").shared


def test_the_switching_wave_folds_nothing_back():
    # Reference: a square wave made of 0/1 decisions folds; the band-limited one must not.
    mixing = mix(3.7e6, 6.9768e6, kind="switch")
    signal, oscillator = (round(f / mixing.bin_width) for f in (3.7e6, 6.9768e6))
    allowed = {h * oscillator + n * signal for h in range(1, 17, 2) for n in (-1, 1)}
    assert set(np.flatnonzero(mixing.levels_db > FLOOR_DB + 1)) <= allowed


def test_the_drawn_stretch_is_made_of_its_own_waves():
    mixing = mix(3.7e6, 6.9768e6, signal_leak=0.2, oscillator_leak=0.3)
    assert mixing.time[0] == 0 and np.all(np.diff(mixing.time) > 0)
    np.testing.assert_allclose(mixing.signal, np.cos(2 * np.pi * 3.7e6 * mixing.time), atol=1e-12)
    np.testing.assert_allclose(
        mixing.output, (mixing.signal + 0.3) * (mixing.oscillator + 0.2), atol=1e-12
    )


def _simulate(expression: str, directory) -> np.ndarray:
    """Output wave of an ngspice behavioural source over 10 µs, signal 4 MHz, oscillator 7 MHz."""
    program = shutil.which("ngspice")
    if program is None:
        sentence = "ngspice is not installed, so mixing was not compared with a circuit simulator"
        if os.environ.get("CI"):
            pytest.fail(sentence)
        pytest.skip(sentence)
    (directory / "mixer.cir").write_text(
        "mixer\n"
        "Vs s 0 SIN(0 1 4meg 0 0 90)\nVo o 0 SIN(0 1 7meg 0 0 90)\n"
        f"B1 out 0 V={expression}\nR1 out 0 1k\n"
        ".control\ntran 0.25n 10u 0 0.25n\nlinearize v(out)\n"
        "wrdata out.txt v(out)\nquit\n.endc\n.end\n"
    )
    subprocess.run(
        [program, "-b", "mixer.cir"], cwd=directory, check=True, capture_output=True, timeout=60
    )
    return np.loadtxt(directory / "out.txt")[:40000, 1]


@pytest.mark.parametrize(
    "kind, expression, names, tolerance",
    [
        ("multiply", "(V(s)+0.2)*(V(o)+0.1)",
         ("difference", "sum", "signal leak", "oscillator leak"), 2e-3),
        ("switch", "(V(s)+0.2)*((V(o) > 0 ? 1 : -1)+0.1)",
         ("difference", "sum", "signal leak", "oscillator leak", "third harmonic less signal"),
         1e-2),
        ("square_law", "0.5*(V(s)+V(o))^2+0.1*V(s)+0.2*V(o)",
         ("difference", "sum", "signal leak", "oscillator leak", "twice the signal"), 2e-3),
    ],
)
def test_a_circuit_simulator_finds_the_same_products(kind, expression, names, tolerance, tmp_path):
    wave = _simulate(expression, tmp_path)
    assert len(wave) == 40000
    time = np.arange(40000) * 0.25e-9
    # 4 and 7 MHz make whole numbers of megahertz: 20 kHz bins leave them unshifted.
    mixing = mix(4e6, 7e6, kind=kind, signal_leak=0.1, oscillator_leak=0.2)
    assert mixing.signal_shift == mixing.oscillator_shift == 0
    for name in names:
        product = mixing.product(name)
        turn = np.exp(-2j * np.pi * product.frequency * time)
        simulated = 2 * abs(np.mean(wave * turn))
        assert product.amplitude == pytest.approx(simulated, abs=tolerance), name


@pytest.mark.parametrize(
    "frequency, loss",
    # DERIVED: 10·log10(1 + x⁸) with x twice the offset over the bandwidth.
    [(3276800.0, 0.0), (3276800.0 + 1200, 3.0103), (3276800.0 + 2400, 24.099)],
)
def test_the_filter_is_three_decibels_down_at_its_edges(frequency, loss):
    assert filter_response_db(frequency, 3276800.0, 2400.0) == pytest.approx(-loss, abs=0.02)


def test_the_filter_agrees_with_a_general_library():
    # Reference: the analogue Butterworth band-pass of scipy, four sections.
    low, high = 3276800.0 - 1200, 3276800.0 + 1200
    zeros, poles, _ = scipy_signal.butter(
        4, [2 * np.pi * low / 1e6, 2 * np.pi * high / 1e6], btype="bandpass", analog=True,
        output="zpk",
    )
    gain = (2 * np.pi * (high - low) / 1e6) ** 4
    for frequency in (3.27e6, 3.275e6, 3.2768e6, 3.279e6, 3.3e6):
        s = 2j * np.pi * frequency / 1e6
        reference = gain * abs(np.prod(s - zeros) / np.prod(s - poles))
        found = float(filter_response_db(frequency, math.sqrt(low * high), high - low))
        assert found == pytest.approx(20 * math.log10(reference), abs=0.01)


def test_only_the_difference_survives_the_filter():
    mixing = mix(3.7e6, 6.9768e6, kind="switch", signal_leak=0.1, oscillator_leak=0.1)
    filtered = filter_difference(mixing, 3.2768e6, 2400)
    assert filtered.wanted.name == "difference"
    before = mixing.product("difference").level_db
    assert filtered.wanted.level_db == pytest.approx(before, abs=0.01)
    assert filtered.strongest_other.level_db == FLOOR_DB
    assert filter_difference(mixing, 5e6, 2400).wanted is None


def test_a_signal_on_the_intermediate_frequency_walks_straight_through():
    leaking = filter_difference(mix(3.2768e6, 6.9768e6, signal_leak=0.1), 3.2768e6, 2400)
    assert leaking.wanted.name == "signal leak"
    assert leaking.wanted.level_db == pytest.approx(-20, abs=0.01)


@pytest.mark.parametrize(
    "wanted, oscillator, image, intermediate",
    [
        # High-side service example: f 600, LO 1055, image 1510 kHz; arithmetic DERIVED.
        (600e3, 1055e3, 1510e3, 455e3),
        # Low-side examination example: f 8.0, LO 6.5, IF 1.5, image 5.0 MHz.
        (8.0e6, 6.5e6, 5.0e6, 1.5e6),
        # IF above the oscillator: f 14.2, IF 9, LO 5.2, image 3.8 MHz; LO 23.2, image 32.2 MHz.
        (14.2e6, 5.2e6, 3.8e6, 9e6),
        (14.2e6, 23.2e6, 32.2e6, 9e6),
    ],
)
@pytest.mark.parametrize("kind", ["multiply", "switch"])
def test_wanted_station_and_image_land_on_one_frequency(
    wanted, oscillator, image, intermediate, kind
):
    both = two_stations(wanted, oscillator, kind=kind)
    assert both.image_frequency == pytest.approx(image, rel=1e-6, abs=0)
    assert both.intermediate_frequency == pytest.approx(intermediate, rel=1e-6, abs=0)
    assert both.wanted_product.frequency == both.image_product.frequency
    assert both.margin_db == pytest.approx(0, abs=1e-6)


@given(frequencies, frequencies)
def test_swapping_image_for_signal_gives_the_same_intermediate_frequency(wanted, oscillator):
    assume(0.05 < wanted / oscillator < 1.95 and abs(wanted - oscillator) > 1e5)
    there = two_stations(wanted, oscillator)
    back = two_stations(there.image_frequency, oscillator)
    assert back.image_frequency == pytest.approx(wanted, rel=1e-6, abs=0)
    assert back.intermediate_frequency == pytest.approx(there.intermediate_frequency, rel=1e-6, abs=0)


@given(st.floats(0, 120), st.sampled_from(["multiply", "switch"]))
def test_the_preselector_alone_separates_them(attenuation, kind):
    both = two_stations(3.7e6, 6.9768e6, kind=kind, preselector_attenuation_db=attenuation)
    assert both.margin_db == pytest.approx(attenuation, abs=1e-3)
    line = round(both.wanted_product.frequency / both.wanted.bin_width)
    together = both.wanted_product.amplitude * (1 + 10 ** (-attenuation / 20))
    assert both.levels_db[line] == pytest.approx(20 * math.log10(together), abs=1e-6)


@pytest.mark.parametrize(
    "change, says",
    [
        ({"signal_frequency": math.nan}, "signal frequency must be a finite number"),
        ({"signal_frequency": -1.0}, "signal frequency of -1 Hz is below"),
        ({"oscillator_frequency": 1e12}, "oscillator frequency of 1000 GHz is above"),
        ({"oscillator_frequency": "7 MHz"}, "oscillator frequency must be a number"),
        ({"signal_amplitude": 0.0}, "signal amplitude of 0 V is below"),
        ({"oscillator_amplitude": math.inf}, "oscillator amplitude must be a finite"),
        ({"signal_leak": 1.5}, "signal leak of 1.5 is above"),
        ({"oscillator_leak": -0.1}, "oscillator leak of -0.1 is below"),
        ({"kind": "add"}, "no mixer of kind 'add'; choose multiply, switch, square_law"),
        ({"kind": ["switch"]}, "no mixer of kind"),
        ({"kind": "add", "sample_rate": 40.96e6}, "no mixer of kind 'add'"),
        ({"samples": 1001}, "even whole number from 256 to 65536"),
        ({"samples": 4096.0}, "even whole number"),
        ({"samples": True}, "even whole number"),
        ({"samples": 10**9}, "even whole number"),
        ({"sample_rate": 20e6}, "too low: the highest product lies at 10.6"),
        ({"sample_rate": 0.0}, "sample rate of 0 Hz is below"),
        ({"signal_frequency": 1e3, "sample_rate": 40.96e6}, "under half a bin"),
    ],
)
def test_nonsense_is_refused_with_a_sentence(change, says):
    arguments = {"signal_frequency": 3.7e6, "oscillator_frequency": 6.9768e6} | change
    with pytest.raises(Unclear) as refused:
        mix(arguments.pop("signal_frequency"), arguments.pop("oscillator_frequency"), **arguments)
    assert says in str(refused.value)
    assert str(refused.value).endswith(".")


@pytest.mark.parametrize(
    "change, says",
    [
        ({"kind": "square_law"}, "multiply or switch"),
        ({"kind": "add"}, "no mixer of kind"),
        ({"preselector_attenuation_db": -3}, "attenuation of -3 dB is below"),
        ({"wanted_frequency": 2 * 6.9768e6}, "image frequency of 0 Hz is below"),
        ({"wanted_frequency": 6.9768e6}, "intermediate frequency of 0 Hz is below"),
        ({"image_amplitude": math.nan}, "signal amplitude must be a finite"),
    ],
)
def test_two_stations_refuse_nonsense(change, says):
    arguments = {"wanted_frequency": 3.7e6, "oscillator_frequency": 6.9768e6} | change
    with pytest.raises(Unclear) as refused:
        two_stations(
            arguments.pop("wanted_frequency"), arguments.pop("oscillator_frequency"), **arguments
        )
    assert says in str(refused.value)


def test_other_questions_that_cannot_be_answered():
    mixing = mix(3.7e6, 6.9768e6)
    with pytest.raises(Unclear, match="no product called “whistle”; ask for one of: difference"):
        mixing.product("whistle")
    with pytest.raises(Unclear, match="filter's bandwidth of 0 Hz is below"):
        filter_difference(mixing, 3.2768e6, 0)
    with pytest.raises(Unclear, match="intermediate frequency must be a finite"):
        filter_difference(mixing, math.nan, 500)
    with pytest.raises(Unclear, match="signal frequency"):
        sample_rate_for(0, 1e6)

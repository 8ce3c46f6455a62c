"""What the loudspeaker gives: pitches, sides, filter, noise, keying, each read in its spectrum."""

from __future__ import annotations

import io
import wave
from functools import partial

import numpy as np
import pytest
from scipy.signal import periodogram

from rxlearn.compute import receiver_sound
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.receiver_sound import (
    CODE,
    ENVELOPE,
    HEADROOM_DB,
    LOWER_VOICE,
    NOISE_WIDTH,
    RATE,
    UPPER_VOICE,
    Station,
    keying,
    one_after_other,
    voice,
)
from rxlearn.sheets.sound_file import wav

BEAT = 3.2768e6
listen = partial(receiver_sound.listen, seconds=1.0)


def tone(sound, near, *, within=40.0):
    """(frequency in Hz, level in dB of a full-scale sine) of the strongest line near a pitch."""
    frequencies, power = periodogram(sound.samples, sound.rate, "hann", scaling="spectrum")
    look = np.flatnonzero(np.abs(frequencies - near) < within)
    top = look[np.argmax(power[look])]
    return frequencies[top], 10 * np.log10(2 * power[top] + 1e-30)


def lines(sound, *, down=40.0):
    """Pitches (Hz) of every line within ``down`` dB of the strongest."""
    frequencies, power = periodogram(sound.samples, sound.rate, "hann", scaling="spectrum")
    peaks = np.flatnonzero((power[1:-1] > power[:-2]) & (power[1:-1] >= power[2:])
                           & (power[1:-1] > power.max() * 10 ** (-down / 10))) + 1
    return frequencies[peaks]


# A product detector: the difference of the two frequencies.  DERIVED: product of two cosines.
@pytest.mark.parametrize("offset", [-2750.0, -800.0, 437.5, 800.0, 3900.0])
def test_a_carrier_sounds_at_its_distance_from_the_beat_oscillator(offset):
    sound = listen([Station(BEAT + offset)], BEAT)
    assert lines(sound) == pytest.approx([abs(offset)], abs=1.0)
    assert sound.pitches == (abs(offset),)


def test_both_sides_of_zero_beat_are_heard_at_once():
    sound = listen([Station(BEAT + 800), Station(BEAT - 800.0 - 300)], BEAT)
    assert lines(sound) == pytest.approx([800, 1100], abs=1.0)
    assert tone(sound, 800)[1] == pytest.approx(tone(sound, 1100)[1], abs=0.1)


@pytest.mark.parametrize("down", [6.0, 20.0, 47.0])
def test_the_other_side_is_weaker_by_what_the_filter_holds_down(down):
    response = BEAT + np.array([-2000.0, -200.0, 200.0, 2000.0]), np.array([-down, -down, 0.0, 0.0])
    sound = listen([Station(BEAT + 800), Station(BEAT - 1100)], BEAT, response=response)
    assert tone(sound, 800)[1] - tone(sound, 1100)[1] == pytest.approx(down, abs=1.0)
    assert sound.levels_db == pytest.approx((0.0, -down))
    # Turned the other way over: now the filter holds the first one down.
    mirrored = 2 * BEAT - response[0][::-1], response[1][::-1]
    turned = listen([Station(BEAT + 800), Station(BEAT - 1100)], BEAT, response=mirrored)
    assert tone(turned, 1100)[1] - tone(turned, 800)[1] == pytest.approx(down, abs=1.0)


def test_loudness_depends_on_what_is_on_the_air_alone():
    stations = [Station(BEAT + 700), Station(BEAT + 1500, level_db=-20)]
    plain = listen(stations, BEAT)
    # DERIVED: 1 and 0.1 share the largest sample less the head-room.
    most = 10 ** (-HEADROOM_DB / 20) / 1.1
    assert tone(plain, 700)[1] == pytest.approx(20 * np.log10(most), abs=0.2)
    assert tone(plain, 1500)[1] == pytest.approx(20 * np.log10(most) - 20, abs=0.2)
    alone = listen(stations[:1], BEAT, scale_of=stations)
    assert tone(alone, 700)[1] == pytest.approx(tone(plain, 700)[1], abs=0.1)
    filtered = listen(stations, BEAT, response=(np.array([BEAT]), np.array([-30.0])))
    assert tone(filtered, 700)[1] == pytest.approx(tone(plain, 700)[1] - 30, abs=0.1)


def test_noise_has_the_power_that_is_said():
    """Real noise of half the complex power, half of it on either side of zero beat: DERIVED."""
    sound = listen([Station(BEAT + 500)], BEAT, noise_db=-10)
    frequencies, density = periodogram(sound.samples, sound.rate)
    look = (frequencies > 1000) & (frequencies < 3500)
    carrier = 10 ** (tone(sound, 500)[1] / 10) / 2
    in_width = density[look].mean() * NOISE_WIDTH / 2  # one side of zero beat
    assert 10 * np.log10(in_width / carrier) == pytest.approx(-10, abs=0.5)
    again = listen([Station(BEAT + 500)], BEAT, noise_db=-10)
    other = listen([Station(BEAT + 500)], BEAT, noise_db=-10, seed=2)
    assert np.array_equal(sound.samples, again.samples)
    assert not np.array_equal(sound.samples, other.samples)


@pytest.mark.parametrize("stations", [
    [Station(BEAT + 700)] * 6, [Station(BEAT + 100 * n, kind=CODE, text="TEST1") for n in range(9)],
    [Station(BEAT, kind=UPPER_VOICE), Station(BEAT + 900, level_db=40)], [],
])
@pytest.mark.parametrize("noise", [None, 20.0])
def test_nothing_ever_clips(stations, noise):
    brick = BEAT + np.array([-301.0, -300.0, 300.0, 301.0]), np.array([-90.0, 0.0, 0.0, -90.0])
    for response in (None, brick):
        for detector in ("product", ENVELOPE):
            sound = listen(stations, BEAT, response=response, noise_db=noise, detector=detector)
            assert sound.samples.dtype == np.float32 and np.abs(sound.samples).max() < 0.9


@pytest.mark.parametrize("offset", [5200.0, 9000.0, 10800.0, 12000.0, -40e3, 1e6])
def test_what_is_too_far_off_is_silent_and_comes_back_as_nothing_else(offset):
    sound = listen([Station(BEAT + offset), Station(BEAT + offset, kind=UPPER_VOICE)], BEAT)
    assert np.abs(sound.samples).max() < 1e-3


def test_an_envelope_detector_gives_the_difference_of_two_carriers():
    """DERIVED: |1 + a·exp(jx)| is 1 + a·cos x for a small a."""
    sound = listen([Station(BEAT + 200), Station(BEAT + 1337, level_db=-20)], BEAT,
                   detector=ENVELOPE)
    assert tone(sound, 1137)[0] == pytest.approx(1137, abs=1.0)
    expected = 20 * np.log10(10 ** (-HEADROOM_DB / 20) / 1.1) - 20
    assert tone(sound, 1137)[1] == pytest.approx(expected, abs=0.3)
    assert tone(sound, 200)[1] < expected - 30, "one carrier alone has no pitch here"


def test_a_glide_ends_where_it_should():
    sound = listen([Station(BEAT + 500, glide=400.0)], BEAT)
    piece = len(sound.samples) // 20
    for part, place in ((slice(piece, 2 * piece), 530), (slice(-2 * piece, -piece), 870)):
        frequencies, power = periodogram(sound.samples[part], sound.rate, "hann")
        assert frequencies[np.argmax(power)] == pytest.approx(place, abs=15)


# Lengths: Recommendation ITU-R M.1677-1, section 2: dash 3 dots, gaps 1, 3 and 7.  A dot of
# 60 ms at 20 words a minute follows from PARIS, 50 dots long (common practice, no source).
@pytest.mark.parametrize(("text", "pattern"), [
    ("E", "10000000"), ("T", "1110000000"),
    ("TEST1", "111 000 1 000 10101 000 111 000 1 0 111 0 111 0 111 0 111 0000000"),
    ("a n", "10111 0000000 11101 0000000"),
])
def test_keying_follows_the_code(text, pattern):
    dots = np.array([int(sign) for sign in pattern.replace(" ", "")])
    envelope = keying(text, 0.06 * len(dots), 10000.0)
    middles = envelope[(np.arange(len(dots)) * 600 + 300)]
    assert np.round(middles, 3).tolist() == dots.tolist()
    assert 0 <= envelope.min() and envelope.max() <= 1 + 1e-12
    # No click: the edge takes 5 ms, 50 samples; a raised cosine's peak is twice its mean, DERIVED.
    assert np.abs(np.diff(envelope)).max() < 1.1 * 2 / 50


def test_an_identifier_fits_into_the_sound():
    for text in ("TEST1", "BENCH2"):
        envelope = keying(text, 8.0, 1000.0)
        rises = np.flatnonzero(np.diff((envelope > 0.5).astype(int)) == 1)
        again = keying(text, 8.0, 1000.0)[: len(envelope)]
        assert len(rises) >= 2 * sum(map(len, ("-", ".", "...", "-", ".----"))) and (
            again == envelope).all()


def test_a_voice_is_one_sideband_in_its_band():
    time = np.arange(2 * RATE) / (2 * RATE)
    spectrum = np.abs(np.fft.fft(voice(time))) ** 2
    frequencies = np.fft.fftfreq(len(time), 1 / (2 * RATE))
    inside = (frequencies > 250) & (frequencies < 2750)
    assert spectrum[inside].sum() > 0.999 * spectrum.sum()
    assert np.abs(voice(time)).max() == pytest.approx(1.0)


def test_the_wrong_sideband_is_speech_upside_down():
    """A tone t of the voice comes out at 3000 Hz - t where the carrier is missed by 3 kHz: DERIVED."""
    right = listen([Station(BEAT, kind=LOWER_VOICE)], BEAT)
    wrong = listen([Station(BEAT, kind=LOWER_VOICE)], BEAT - 3000)
    (frequencies, upright), (_, turned) = (
        periodogram(sound.samples, sound.rate) for sound in (right, wrong))

    def share(power, low, high):
        return power[(frequencies > low) & (frequencies < high)].sum() / power.sum()

    assert share(upright, 300, 700) == pytest.approx(share(turned, 2300, 2700), abs=0.02)
    assert share(upright, 300, 700) > 3 * share(turned, 300, 700)


def test_a_wav_file_is_what_a_player_expects():
    sound = listen([Station(BEAT + 800)], BEAT)
    two = one_after_other([sound, sound])
    content = wav(two)
    assert content[:4] == b"RIFF" and content[8:16] == b"WAVEfmt "
    with wave.open(io.BytesIO(content)) as reader:
        assert (reader.getnchannels(), reader.getsampwidth(), reader.getframerate()) == (1, 2, RATE)
        assert reader.getnframes() == 2 * RATE and two.seconds == pytest.approx(2.0)
        read = np.frombuffer(reader.readframes(RATE), "<i2") / 32767
    assert read == pytest.approx(sound.samples, abs=1 / 32767)


@pytest.mark.parametrize(("call", "words"), [
    (lambda: listen([], 0.0), "Beat oscillator frequency"),
    (lambda: listen([], BEAT, seconds=60), "The sound's length"),
    (lambda: listen([], BEAT, noise_db=99), "The noise"),
    (lambda: listen([], BEAT, detector="ear"), "There is no detector"),
    (lambda: listen([], BEAT, response=([1.0, 2.0], [0.0, 3.0])), "above 0 dB somewhere"),
    (lambda: listen([], BEAT, response=([2.0, 1.0], [0.0, 0.0])), "must rise"),
    (lambda: listen([Station(BEAT, kind=CODE, text="É!")], BEAT), "letters and figures only"),
    (lambda: Station(BEAT, kind="opera"), "There is no station of kind"),
    (lambda: Station(BEAT, level_db=900.0), "A station's level"),
    (lambda: one_after_other([]), "No sound is given"),
])
def test_what_will_not_do_is_said(call, words):
    with pytest.raises(Unclear, match=words):
        call()

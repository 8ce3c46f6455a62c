"""What comes out of the loudspeaker: stations near the intermediate frequency, made audible.

Everything that stands within some kilohertz of the beat oscillator is written as one complex
wave, turned back by the beat oscillator's frequency, weighted by the filter's response and cut
to what an audio stage passes.  Its real part is what a product detector gives: each station at
its distance from the beat oscillator, and both sides of zero beat on top of each other.  Its
size is what an envelope detector gives.  DERIVED from the product of two cosines.

Loudness is fixed by what is on the air alone, so that a station which the filter holds down by
20 dB *sounds* 20 dB weaker: all stations together, and the noise, stay :data:`HEADROOM_DB` below
the largest sample, whatever is turned.

Limits of the model: no automatic gain control and no overload; the filter's response counts in
size only, so that a narrow one rings before a dot as much as after it; the voice is put together
from harmonics and says nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.quantities import Range, Unclear
from rxlearn.data.morse import BETWEEN_SIGNS, BETWEEN_WORDS, DASH, SIGNS

RATE = 11025
"""Samples a second: an ordinary rate, and enough for what an audio stage passes."""

SECONDS = 4.0
"""How long a sound lasts, s: a short identifier in Morse code fits in."""

HEADROOM_DB = 9.0
"""How far all stations together stay below the largest sample, dB."""

AUDIO = (50.0, 100.0, 4000.0, 5000.0)
"""Where an audio stage begins to pass, passes, passes no longer all, and nothing, Hz
(common practice, no source)."""

NOISE_WIDTH = 2400.0
"""Width of the intermediate frequency in which noise is stated, Hz: a sideband filter's."""

NOISE_PEAKS = 5.0
"""Times its r.m.s. value that noise is taken to reach: beyond it lies one sample in a million."""

WORDS_A_MINUTE = 20.0
"""Speed of Morse code; a dot is 1.2 s over it, by the word PARIS (common practice, no source)."""

EDGE = 5e-3
"""Rise of a keyed carrier and of the sound's own ends, s (common practice, no source)."""

CARRIER, CODE, UPPER_VOICE, LOWER_VOICE = "carrier", "code", "upper voice", "lower voice"
KINDS = (CARRIER, CODE, UPPER_VOICE, LOWER_VOICE)

PRODUCT, ENVELOPE = "product", "envelope"
DETECTORS = (PRODUCT, ENVELOPE)

VOWELS = ((730.0, 1090.0, 2440.0), (270.0, 2290.0, 3010.0), (530.0, 1840.0, 2480.0),
          (300.0, 870.0, 2240.0))
"""Formants of four vowels, Hz: Peterson and Barney, J. Acoust. Soc. Am. 24 (1952) 175, averages
of men, from memory."""

SYLLABLES = 3.3
"""Syllables a second (common practice, no source)."""

FORMANT_WIDTH = 90.0
"""Width of a formant, Hz (from memory)."""

VOICE_BAND = (300.0, 2700.0)
"""What telephony passes of a voice, Hz (common practice, no source)."""

FREQUENCY = Range("A station's frequency", "Hz", 1.0, 2e9)
BEAT = Range("Beat oscillator frequency", "Hz", 1.0, 2e9)
LEVEL = Range("A station's level", "dB", -200.0, 60.0)
GLIDE = Range("A station's glide", "Hz", -20e3, 20e3)
NOISE = Range("The noise", "dB", -120.0, 40.0)
SECONDS_RANGE = Range("The sound's length", "s", 0.2, 10.0)


@dataclass(frozen=True)
class Station:
    """Something on the intermediate frequency: its ``frequency`` (Hz) and ``level_db``.

    ``kind`` is one of :data:`KINDS`: a steady carrier, one keyed with ``text`` in Morse code over
    and over, or a voice on the upper or lower sideband of a carrier that is not there.  It moves
    by ``glide`` (Hz) while the sound lasts.
    """

    frequency: float
    level_db: float = 0.0
    kind: str = CARRIER
    text: str = ""
    glide: float = 0.0

    def __post_init__(self) -> None:
        FREQUENCY.check(self.frequency)
        LEVEL.check(self.level_db)
        GLIDE.check(self.glide)
        if self.kind not in KINDS:
            raise Unclear(f"There is no station of kind {self.kind!r}: choose {', '.join(KINDS)}.")


@dataclass(frozen=True, eq=False)
class Sound:
    """``samples`` (float32, one channel, -1 to 1) at ``rate`` samples a second.

    ``pitches`` (Hz) say how far each of ``stations`` begins from the ``beat_oscillator`` (Hz),
    ``levels_db`` how loud it is behind the filter, in dB of its scale.
    """

    samples: np.ndarray
    rate: int
    stations: tuple[Station, ...]
    beat_oscillator: float
    pitches: tuple[float, ...]
    levels_db: tuple[float, ...]

    @property
    def seconds(self) -> float:
        """How long it lasts, s."""
        return len(self.samples) / self.rate


def listen(
    stations: Sequence[Station],
    beat_oscillator: float,
    *,
    response: tuple[np.ndarray, np.ndarray] | None = None,
    noise_db: float | None = None,
    detector: str = PRODUCT,
    scale_of: Sequence[Station] = (),
    seconds: float = SECONDS,
    seed: int = 1,
) -> Sound:
    """What ``stations`` sound like against ``beat_oscillator`` (Hz) behind a filter.

    ``response`` is (frequencies in Hz, rising; levels in dB, 0 at most); beyond its ends the last
    level holds.  ``noise_db`` is white noise ahead of the filter, in :data:`NOISE_WIDTH`, in dB
    of a station of 0 dB; ``seed`` draws it.  An envelope ``detector`` needs no beat oscillator:
    that frequency is then only the middle of what is looked at.  Sounds to be compared take
    the loudness's scale from the same stations, ``scale_of``, the loudest there are.  ``seconds``
    (s) is how long the sound lasts.  Raises :class:`Unclear` for values out of range or a filter that amplifies.
    """
    beat = BEAT.check(beat_oscillator)
    count = round(SECONDS_RANGE.check(seconds) * RATE)
    if detector not in DETECTORS:
        raise Unclear(f"There is no detector {detector!r}: choose {' or '.join(DETECTORS)}.")
    time = np.arange(2 * count) / (2 * RATE)
    wave = np.zeros(2 * count, complex)
    for station in stations:
        wave += 10 ** (station.level_db / 20) * _wave(station, beat, time)
    most = sum(10 ** (station.level_db / 20) for station in scale_of or stations)
    if noise_db is not None:
        size = 10 ** (NOISE.check(noise_db) / 20) * np.sqrt(2 * RATE / NOISE_WIDTH)
        drawn = np.random.default_rng(seed).standard_normal((2, 2 * count))
        wave += size / np.sqrt(2) * (drawn[0] + 1j * drawn[1])
        most += NOISE_PEAKS * 10 ** (noise_db / 20) * np.sqrt(2 * AUDIO[3] / NOISE_WIDTH / 2)
    offsets = np.fft.fftfreq(2 * count, 1 / (2 * RATE))
    spectrum = np.fft.fft(wave) * _passed(beat + offsets, response) * _taper(
        np.abs(offsets), *((0.0, 0.0, *AUDIO[2:]) if detector == ENVELOPE else AUDIO))
    # Half the rate is enough for what is left, so only the middle of the spectrum goes back.
    kept = np.concatenate([spectrum[: count - count // 2], spectrum[-(count // 2):]]) / 2
    heard = np.fft.ifft(kept)
    audio = heard.real if detector == PRODUCT else _coupled(np.abs(heard))
    ends = np.minimum(np.arange(count), np.arange(count)[::-1]) / (4 * EDGE * RATE)
    scale = 10 ** (-HEADROOM_DB / 20) / most if most else 0.0
    samples = (scale * audio * np.minimum(1.0, ends)).astype(np.float32)
    places = np.array([station.frequency for station in stations])
    down = 20 * np.log10(np.maximum(_passed(places, response), 1e-12))
    return Sound(
        samples, RATE, tuple(stations), beat, tuple(np.abs(places - beat).tolist()),
        tuple((down + [station.level_db for station in stations]).tolist()))


def plain_filter(
    centre: float, width: float, *, shoulder: float = 100.0, stop_db: float = -60.0
) -> tuple[np.ndarray, np.ndarray]:
    """Response of a filter that is only a window: ``width`` (Hz) around ``centre`` (Hz), flat.

    It falls to ``stop_db`` (dB) within a ``shoulder`` (Hz) on either side.
    """
    half = width / 2
    places = centre + np.array([-half - shoulder, -half, half, half + shoulder])
    return places, np.array([stop_db, 0.0, 0.0, stop_db])


def one_after_other(sounds: Sequence[Sound]) -> Sound:
    """Several sounds in a row, at least one; stations and pitches (Hz) are those of the first."""
    if not sounds:
        raise Unclear("No sound is given: give at least one.")
    first = sounds[0]
    return Sound(np.concatenate([sound.samples for sound in sounds]), first.rate, first.stations,
                 first.beat_oscillator, first.pitches, first.levels_db)


def keying(text: str, seconds: float, rate: float) -> np.ndarray:
    """Envelope, 0 to 1, of ``text`` in Morse code, over and over for ``seconds`` (s).

    ``rate`` is in samples a second.  Signs and gaps by :mod:`rxlearn.data.morse`; the edges
    take :data:`EDGE`, steepest in their middle.  Raises :class:`Unclear` for a text with other characters.
    """
    unknown = [sign for sign in text.upper() if sign not in SIGNS and sign != " "]
    if unknown or not text.strip():
        raise Unclear("Morse code here has letters and figures only: type a text of these.")
    units: list[int] = []
    for word in text.upper().split():
        for letter in word:
            for sign in SIGNS[letter]:
                units += [1] * (1 if sign == "." else DASH) + [0]
            units += [0] * (BETWEEN_SIGNS - 1)
        units += [0] * (BETWEEN_WORDS - BETWEEN_SIGNS)
    dot = 1.2 / WORDS_A_MINUTE
    place = (np.arange(round(seconds * rate)) / (rate * dot)).astype(int) % len(units)
    edge = np.hanning(max(3, round(EDGE * rate) + 2))[1:-1]
    return np.convolve(np.array(units, float)[place], edge / edge.sum(), mode="same")


def voice(time: np.ndarray) -> np.ndarray:
    """A voice without words, as a complex wave of audio (peak 1) over ``time`` (s, evenly spaced).

    Harmonics of a gliding pitch, louder at the formants of one vowel after another, within
    :data:`VOICE_BAND`; its frequencies are all positive, so that it is an upper sideband.
    """
    pitch = 118.0 + 14.0 * np.sin(2 * np.pi * 0.55 * time) + 8.0 * np.sin(2 * np.pi * SYLLABLES * time)
    turn = np.exp(2j * np.pi * np.cumsum(pitch) * (time[1] - time[0]))
    slow = slice(None, None, 64)  # sizes change slowly: the rest is drawn in between
    syllable = SYLLABLES * time[slow]
    change = np.clip((syllable % 1 - 0.7) / 0.3, 0, 1)[:, None]
    vowel, formants = syllable.astype(int), np.array(VOWELS)
    now = (1 - change) * formants[vowel % len(VOWELS)] + change * formants[(vowel + 1) % len(VOWELS)]
    loud = 0.2 + 0.8 * np.sin(np.pi * (syllable % 1)) ** 2
    wave, power = np.zeros(len(time), complex), np.ones(len(time), complex)
    for number in range(1, int(VOICE_BAND[1] / pitch.min()) + 1):
        power = power * turn
        frequency = number * pitch[slow]
        size = 0.03 + sum(weight / (1 + ((frequency - now[:, i]) / FORMANT_WIDTH) ** 2)
                          for i, weight in enumerate((1.0, 0.6, 0.3)))
        size *= loud * ((frequency >= VOICE_BAND[0]) & (frequency <= VOICE_BAND[1]))
        # Harmonics that begin apart never all peak at once, so the voice is louder for its peak.
        wave += np.interp(time, time[slow], size) * np.exp(1j * np.pi * number**2 / 20) * power
    return wave / np.abs(wave).max()


def _wave(station: Station, beat: float, time: np.ndarray) -> np.ndarray:
    """A station of 0 dB against ``beat`` (Hz), or nothing where it is too far off to be heard."""
    offset = station.frequency - beat
    reach = VOICE_BAND[1] if station.kind in (UPPER_VOICE, LOWER_VOICE) else 0.0
    # At the rate used here anything farther would come back as something else.
    if max(abs(offset), abs(offset + station.glide)) + reach >= RATE:
        return np.zeros(len(time))
    whole = len(time) / (2 * RATE)
    carrier = np.exp(2j * np.pi * (offset * time + station.glide * time**2 / (2 * whole)))
    if station.kind == CARRIER:
        return carrier
    if station.kind == CODE:
        return carrier * keying(station.text, whole, 2 * RATE)
    spoken = voice(time)
    return carrier * (spoken if station.kind == UPPER_VOICE else spoken.conj())


def _passed(places: np.ndarray, response: tuple[np.ndarray, np.ndarray] | None) -> np.ndarray:
    """Which share of a voltage the filter passes at ``places`` (Hz)."""
    if response is None:
        return np.ones(len(places))
    frequencies, levels = (np.asarray(row, float) for row in response)
    if np.any(np.diff(frequencies) <= 0):
        raise Unclear("The filter's frequencies must rise from one to the next.")
    if levels.max() > 1e-6:
        raise Unclear("The filter's response is above 0 dB somewhere: give it below its top.")
    return 10 ** (np.interp(places, frequencies, levels) / 20)


def _taper(away: np.ndarray, none: float, low: float, high: float, end: float) -> np.ndarray:
    """What an audio stage passes, 0 to 1, of tones ``away`` (Hz) from zero beat."""
    rise = np.clip((away - none) / (low - none), 0, 1) if low else np.ones(len(away))
    fall = np.clip((away - high) / (end - high), 0, 1)
    return np.sin(np.pi / 2 * rise) * np.cos(np.pi / 2 * fall)


def _coupled(envelope: np.ndarray) -> np.ndarray:
    """An envelope behind the capacitor that keeps its mean away from the audio stage."""
    spectrum = np.fft.rfft(envelope)
    tones = np.fft.rfftfreq(len(envelope), 1 / RATE)
    return np.fft.irfft(spectrum * _taper(tones, *AUDIO), len(envelope))

"""Mix two sampled signals and read what comes out in a Fourier transform.

Nothing here is worked out from "sum and difference": both waves are sampled,
multiplied (or switched, or bent), transformed with :func:`numpy.fft.rfft`, and
the products are then looked up in that transform.

How it is sampled
    Both frequencies are set on the transform's bins, so that a whole number of
    cycles fits and no line leaks into its neighbours.  Each moves by half a bin
    at most; :class:`Mixing` states both shifts, and every :class:`Product` keeps
    the frequency that the unshifted inputs make (``nominal_frequency``).
The three mixers (``s`` signal, ``o`` oscillator, both cosines)
    ``multiply``: ``(s + oscillator_leak) * (o + signal_leak)``.
    ``switch``: the same with ``o`` a square wave of ±1.  It is a *band-limited*
    square wave: only those odd harmonics of the Fourier series whose products
    stay below half the sample rate, and none above the 15th, so that nothing
    folds back; drawn, it therefore ripples.  Its size does not depend on
    ``oscillator_amplitude``: an oscillator that switches at all switches fully.
    ``square_law``: ``(s + o)² / 2 + signal_leak * s + oscillator_leak * o``, a
    bent characteristic; the leaks are the straight part of the bend, as each
    port meets it.  A single valve has a straight part, so its leaks are near 1.
The leaks
    A d.c. part on one port lets the *other* port through.  A leak of 1 is a
    fully unbalanced mixer: that port's wave comes out at the size it went in.
    A leak of 0 is perfect balance.

Limits of the model: no memory (no capacitance, no transit time), no noise, ideal
ports (no loading, no reflection), no overload, and signals that hold still.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.quantities import Range, Unclear, show

KINDS = ("multiply", "switch", "square_law")
"""The mixers that :func:`mix` knows."""

FLOOR_DB = -160.0
"""Lowest level reported, dB: what lies below is rounding error of the arithmetic."""

HIGHEST_SWITCH_HARMONIC = 15
"""Highest harmonic of the oscillator that the band-limited square wave contains."""

DRAWN_POINTS = 600
"""Points in the short stretch of each waveform."""

SIGNAL_FREQUENCY = Range("The signal frequency", "Hz", 1e3, 500e6)
OSCILLATOR_FREQUENCY = Range("The oscillator frequency", "Hz", 1e3, 500e6)
SIGNAL_AMPLITUDE = Range("The signal amplitude", "V", 1e-9, 1e3)
OSCILLATOR_AMPLITUDE = Range("The oscillator amplitude", "V", 1e-9, 1e3)
SIGNAL_LEAK = Range("The signal leak", "", 0.0, 1.0)
OSCILLATOR_LEAK = Range("The oscillator leak", "", 0.0, 1.0)
SAMPLE_RATE = Range("The sample rate", "Hz", 1e3, 100e9)

# (name, oscillator order, signal order) of what each mixer is asked about.
_COMMON = (
    ("difference", 1, -1),
    ("sum", 1, 1),
    ("signal leak", 0, 1),
    ("oscillator leak", 1, 0),
)
_EXTRA = {
    "multiply": (),
    "switch": (
        ("third harmonic less signal", 3, -1),
        ("third harmonic plus signal", 3, 1),
        ("third harmonic leak", 3, 0),
        ("fifth harmonic less signal", 5, -1),
        ("fifth harmonic plus signal", 5, 1),
    ),
    "square_law": (
        ("twice the signal", 0, 2),
        ("twice the oscillator", 2, 0),
    ),
}


@dataclass(frozen=True)
class Product:
    """One line of the mixer's output, read in the transform.

    ``oscillator_order`` and ``signal_order`` are m and n in ``|m·oscillator +
    n·signal|``.  ``frequency`` (Hz) is where the line was read,
    ``nominal_frequency`` (Hz) where it belongs with the unshifted inputs.
    ``amplitude`` is the peak value; ``level_db`` is dB relative to the incoming
    signal.  ``shared`` says that another listed product fell on the same line,
    so that the amplitude belongs to both together.
    """

    name: str
    oscillator_order: int
    signal_order: int
    frequency: float
    nominal_frequency: float
    amplitude: float
    level_db: float
    shared: bool


@dataclass(frozen=True, eq=False)
class Mixing:
    """What :func:`mix` was given and what came out.

    ``signal_shift`` and ``oscillator_shift`` (Hz) are what setting the
    frequencies on bins moved them by, at most ``bin_width`` / 2 each.
    ``time`` (s), ``signal``, ``oscillator``, ``output``: a short stretch of
    :data:`DRAWN_POINTS` points that begins where both waves peak, from the
    unshifted frequencies; for a switching mixer ``oscillator`` is the switching
    wave.  ``sampled``: the ``samples`` output values that were transformed.
    ``frequencies`` (Hz), ``amplitudes`` (peak) and ``levels_db`` (dB relative to
    the incoming signal, not below :data:`FLOOR_DB`): the spectrum, each of
    length ``samples // 2 + 1``.  ``products``: the lines looked up in it.
    """

    signal_frequency: float
    oscillator_frequency: float
    kind: str
    signal_amplitude: float
    oscillator_amplitude: float
    signal_leak: float
    oscillator_leak: float
    samples: int
    sample_rate: float
    signal_shift: float
    oscillator_shift: float
    time: np.ndarray
    signal: np.ndarray
    oscillator: np.ndarray
    output: np.ndarray
    sampled: np.ndarray
    frequencies: np.ndarray
    amplitudes: np.ndarray
    levels_db: np.ndarray
    products: tuple[Product, ...]

    @property
    def bin_width(self) -> float:
        """Distance between neighbouring points of the spectrum, Hz."""
        return self.sample_rate / self.samples

    def product(self, name: str) -> Product:
        """The product of that name; :class:`Unclear` names those that there are."""
        for found in self.products:
            if found.name == name:
                return found
        names = ", ".join(item.name for item in self.products)
        raise Unclear(f"This mixer has no product called “{name}”; ask for one of: {names}.")


def mix(
    signal_frequency: float,
    oscillator_frequency: float,
    *,
    kind: str = "multiply",
    signal_amplitude: float = 1.0,
    oscillator_amplitude: float = 1.0,
    signal_leak: float = 0.0,
    oscillator_leak: float = 0.0,
    samples: int = 4096,
    sample_rate: float | None = None,
) -> Mixing:
    """Mix a signal with an oscillator (Hz, amplitudes in volts peak) and transform the result.

    ``kind`` is one of :data:`KINDS`; the leaks are fractions 0 to 1 of a fully
    unbalanced mixer.  ``sample_rate`` None takes :func:`sample_rate_for`; fix it
    to keep the frequency axis still while a frequency is dragged.  Raises
    :class:`Unclear` for values out of range, for a sample rate too low for the
    products asked about, and for a frequency under half a bin.
    Source: the products follow from the transform itself, not from a formula;
    the switching wave is the Fourier series of a square wave, DERIVED.
    """
    signal_frequency = SIGNAL_FREQUENCY.check(signal_frequency)
    oscillator_frequency = OSCILLATOR_FREQUENCY.check(oscillator_frequency)
    signal_amplitude = SIGNAL_AMPLITUDE.check(signal_amplitude)
    oscillator_amplitude = OSCILLATOR_AMPLITUDE.check(oscillator_amplitude)
    leaks = SIGNAL_LEAK.check(signal_leak), OSCILLATOR_LEAK.check(oscillator_leak)
    samples = check_samples(samples)
    if sample_rate is None:
        sample_rate = sample_rate_for(
            signal_frequency, oscillator_frequency, kind=kind, samples=samples
        )
    sample_rate = SAMPLE_RATE.check(sample_rate)
    bin_width = sample_rate / samples
    signal_bin = _set_on_bin(SIGNAL_FREQUENCY.name, signal_frequency, bin_width)
    oscillator_bin = _set_on_bin(OSCILLATOR_FREQUENCY.name, oscillator_frequency, bin_width)
    _check_room(kind, signal_bin, oscillator_bin, samples, bin_width)
    harmonics = _switch_harmonics(oscillator_bin, signal_bin, samples)

    ports = kind, signal_amplitude, oscillator_amplitude, harmonics
    _, _, sampled = _pass(
        _bin_phase(signal_bin, samples), _bin_phase(oscillator_bin, samples), ports, leaks
    )
    time = _stretch(signal_frequency, oscillator_frequency)
    signal, oscillator, output = _pass(
        2 * np.pi * signal_frequency * time, 2 * np.pi * oscillator_frequency * time, ports, leaks
    )
    amplitudes = line_amplitudes(sampled)
    levels_db = level_db(amplitudes, signal_amplitude)
    return Mixing(
        signal_frequency, oscillator_frequency, kind, signal_amplitude, oscillator_amplitude,
        *leaks, samples, sample_rate,
        signal_bin * bin_width - signal_frequency,
        oscillator_bin * bin_width - oscillator_frequency,
        time, signal, oscillator, output, sampled,
        np.arange(samples // 2 + 1) * bin_width, amplitudes, levels_db,
        _look_up(kind, (signal_frequency, oscillator_frequency), (signal_bin, oscillator_bin),
                 bin_width, amplitudes, levels_db),
    )


def sample_rate_for(
    signal_frequency: float,
    oscillator_frequency: float,
    *,
    kind: str = "multiply",
    samples: int = 4096,
) -> float:
    """Sample rate (Hz) that holds every product :func:`mix` is asked about, without folding.

    It makes the bin width a round 1, 2 or 5 times a power of ten.  For a slider,
    call it once with the highest frequencies that the slider reaches.
    """
    signal_frequency = SIGNAL_FREQUENCY.check(signal_frequency)
    oscillator_frequency = OSCILLATOR_FREQUENCY.check(oscillator_frequency)
    samples = check_samples(samples)
    highest = max(
        abs(m) * oscillator_frequency + abs(n) * signal_frequency for _, m, n in _orders(kind)
    )
    # Setting on bins can carry the fifth harmonic plus the signal three bins up; four leaves room.
    least = highest / (samples // 2 - 4)
    decade = 10.0 ** math.floor(math.log10(least))
    step = next(s for s in (1, 2, 5, 10) if s * decade >= least * (1 - 1e-12))
    return step * decade * samples


def line_amplitudes(sampled: np.ndarray) -> np.ndarray:
    """Peak amplitude of the cosine on each bin of a real, evenly sampled wave (even length N).

    Returns N/2 + 1 values.  The d.c. bin and the one at half the sample rate
    hold one line each, all others two halves, hence the factor.
    """
    amplitudes = np.abs(np.fft.rfft(sampled)) * (2.0 / len(sampled))
    amplitudes[0] /= 2
    amplitudes[-1] /= 2
    return amplitudes


def _orders(kind: str) -> tuple[tuple[str, int, int], ...]:
    """What to look up for this kind of mixer; refuses a kind that does not exist."""
    if not isinstance(kind, str) or kind not in _EXTRA:
        raise Unclear(f"There is no mixer of kind {kind!r}; choose {', '.join(KINDS)}.")
    return _COMMON + _EXTRA[kind]


def check_samples(samples: int) -> int:
    """Return the number of samples as int; :class:`Unclear` unless even and 256 to 65536."""
    if (
        isinstance(samples, bool)
        or not isinstance(samples, (int, np.integer))
        or not 256 <= samples <= 65536
        or samples % 2
    ):
        raise Unclear(
            f"The number of samples was {samples!r}; give an even whole number from 256 to 65536."
        )
    return int(samples)


def _set_on_bin(name: str, frequency: float, bin_width: float) -> int:
    """Nearest bin; refuses a frequency that would become d.c."""
    nearest = round(frequency / bin_width)
    if nearest < 1:
        raise Unclear(
            f"{name} of {show(frequency, 'Hz')} is under half a bin of {show(bin_width, 'Hz')}: "
            "take more samples, a lower sample rate, or bring the two frequencies nearer together."
        )
    return nearest


def _check_room(
    kind: str, signal_bin: int, oscillator_bin: int, samples: int, width: float
) -> None:
    """Refuse a sample rate at which a product would fold back onto another frequency."""
    highest = max(abs(m) * oscillator_bin + abs(n) * signal_bin for _, m, n in _orders(kind))
    if 2 * highest >= samples:
        raise Unclear(
            f"A sample rate of {show(samples * width, 'Hz')} is too low: the highest product lies "
            f"at {show(highest * width, 'Hz')}, so sample faster than "
            f"{show(2 * highest * width, 'Hz')}."
        )


def _switch_harmonics(oscillator_bin: int, signal_bin: int, samples: int) -> range:
    """Odd harmonics of the switching wave whose products stay below half the sample rate."""
    highest = (samples // 2 - 1 - signal_bin) // oscillator_bin
    return range(1, min(highest, HIGHEST_SWITCH_HARMONIC) + 1, 2)


def _bin_phase(line: int, samples: int) -> np.ndarray:
    """Phase in radians of a wave on bin ``line``; kept inside one turn to stay exact."""
    return (line * np.arange(samples) % samples) * (2 * np.pi / samples)


def _pass(signal_phase, oscillator_phase, ports, leaks):
    """Send both waves through the mixer: (signal, oscillator or switching wave, output)."""
    kind, signal_amplitude, oscillator_amplitude, harmonics = ports
    signal_leak, oscillator_leak = leaks
    signal = signal_amplitude * np.cos(signal_phase)
    if kind == "switch":
        oscillator = sum(
            (4 / np.pi) * (-1) ** (h // 2) / h * np.cos(h * oscillator_phase) for h in harmonics
        )
    else:
        oscillator = oscillator_amplitude * np.cos(oscillator_phase)
    if kind == "square_law":
        output = (signal + oscillator) ** 2 / 2
        output += signal_leak * signal + oscillator_leak * oscillator
    else:
        output = (signal + oscillator_leak) * (oscillator + signal_leak)
    return signal, oscillator, output


def _stretch(signal_frequency: float, oscillator_frequency: float) -> np.ndarray:
    """Times (s) worth drawing: two cycles of the difference, at most 16 of the slower wave."""
    slower = min(signal_frequency, oscillator_frequency)
    difference = abs(oscillator_frequency - signal_frequency)
    return np.linspace(0.0, min(2 / max(difference, slower / 8), 16 / slower), DRAWN_POINTS)


def level_db(amplitude: np.ndarray, reference: float) -> np.ndarray:
    """Level in dB relative to ``reference`` (same unit, above 0), not below :data:`FLOOR_DB`."""
    return 20 * np.log10(np.maximum(amplitude / reference, 10 ** (FLOOR_DB / 20)))


def _look_up(kind, frequencies, bins, bin_width, amplitudes, levels_db) -> tuple[Product, ...]:
    """Read each product at ``|m·oscillator + n·signal|`` in the transform."""
    signal_frequency, oscillator_frequency = frequencies
    signal_bin, oscillator_bin = bins
    orders = _orders(kind)
    lines = [abs(m * oscillator_bin + n * signal_bin) for _, m, n in orders]
    return tuple(
        Product(
            name, m, n, line * bin_width, abs(m * oscillator_frequency + n * signal_frequency),
            float(amplitudes[line]), float(levels_db[line]), lines.count(line) > 1,
        )
        for (name, m, n), line in zip(orders, lines)
    )

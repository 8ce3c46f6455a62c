"""A mixer worked through sample by sample, to find a spurious response in its transform.

The signal is set on the frequency at which a product m·oscillator + n·signal lands on the
IF; oscillator and signal are sampled, sent through the very characteristics that
:mod:`~rxlearn.compute.mixer_levels` states, and transformed.  Nothing is worked out from
orders: where the product comes out, and how strong, is read from the transform, and the
closed form is only set beside it.

How it is sampled
    The oscillator and the IF are set on bins of the transform that n divides, so that the
    signal falls on a bin as well: each moves by n/2 bins at most (:class:`MixedSpur` says to
    where).  The switch is the Fourier series of its wave up to :data:`HIGHEST_HARMONIC`, so
    that nothing folds back.

Limits of the model: those of :mod:`~rxlearn.compute.mixer_levels`: no memory, no noise, no
filter at any port, one signal at a time.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.mixer_levels import FLOOR_DB, SWITCH, Mixer, level_db
from rxlearn.compute.mixing import line_amplitudes
from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.tuning import INTERMEDIATE_FREQUENCY, OSCILLATOR
from rxlearn.compute.whistles import product_name

SAMPLES = 32768
HIGHEST_HARMONIC = 15
"""Highest harmonic of the oscillator in the sampled switch."""

ROOM = 17, 8
"""Harmonics of oscillator and signal for which the sample rate leaves room."""

MOVED = Range("Station moved", "Hz", -10e6, 10e6)
HIGHEST_ORDER = Range("Order", "", -8, 8)


@dataclass(frozen=True)
class SpurLine:
    """A line of the output: orders and sign as in a response, ``frequency`` (Hz), ``level_db``."""

    oscillator_order: int
    signal_order: int
    sign: int
    frequency: float
    level_db: float

    @property
    def name(self) -> str:
        """The product in words."""
        return product_name(self.oscillator_order, self.signal_order, self.sign)

    @property
    def order(self) -> int:
        """Both orders together, without sign."""
        return self.oscillator_order + abs(self.signal_order)


@dataclass(frozen=True, eq=False)
class MixedSpur:
    """A signal on a spurious response, and what the sampled mixer made of it.

    ``oscillator``, ``intermediate_frequency`` and ``signal`` (Hz) are as set on bins of
    ``bin_width`` (Hz); ``moved`` (Hz) is how far the station was moved off the response.
    ``frequencies`` (Hz) and ``levels_db`` are the transform, in dB relative to what the same
    mixer makes of a wanted signal as strong.  ``product_frequency`` (Hz) is where the product
    fell, ``product_level_db`` what was read there, ``expected_db`` the closed form's level.
    """

    oscillator_order: int
    signal_order: int
    sign: int
    mixer: Mixer
    moved: float
    bin_width: float
    oscillator: float
    intermediate_frequency: float
    signal: float
    frequencies: np.ndarray
    levels_db: np.ndarray
    product_frequency: float
    product_level_db: float
    expected_db: float

    def lines(self, order: int, highest: float) -> tuple[SpurLine, ...]:
        """Where each product up to ``order`` lies, up to ``highest`` (Hz), rising, one to a bin."""
        found: dict[int, SpurLine] = {}
        bins = round(self.oscillator / self.bin_width), round(self.signal / self.bin_width)
        for m in range(order + 1):
            for n in range(-(order - m), order - m + 1):
                at = m * bins[0] + n * bins[1]
                place = abs(at)
                here = (place and place * self.bin_width <= highest
                        and place < len(self.levels_db) and (m or n > 0))
                if here and (place not in found or m + abs(n) < found[place].order):
                    found[place] = SpurLine(m, n, 1 if at > 0 else -1, place * self.bin_width,
                                            float(self.levels_db[place]))
        return tuple(found[place] for place in sorted(found))

    @property
    def name(self) -> str:
        """The product looked for, in words."""
        return product_name(self.oscillator_order, self.signal_order, self.sign)


def mix_response(
    oscillator: float, intermediate_frequency: float, orders: tuple[int, int, int], *,
    mixer: Mixer | None = None, moved: float = 0.0, samples: int = SAMPLES,
) -> MixedSpur:
    """Send a signal through the mixer on the response of ``orders`` (m, n, σ), and transform.

    ``oscillator`` and ``intermediate_frequency`` in Hz; ``moved`` (Hz) takes the station off
    the response; ``samples`` is the length of the record.  Raises :class:`Unclear` for values
    out of range and for orders that leave no signal above zero.
    """
    oscillator = OSCILLATOR.check(oscillator)
    intermediate = INTERMEDIATE_FREQUENCY.check(intermediate_frequency)
    m, n, sign = (int(HIGHEST_ORDER.check(order)) for order in orders)
    mixer, moved = mixer or Mixer(), MOVED.check(moved)
    signal = (sign * intermediate - m * oscillator) / n
    width = 2 * (ROOM[0] * oscillator + ROOM[1] * abs(signal)) / samples
    o_bin, i_bin = (max(1, round(f / width / abs(n))) * abs(n) for f in (oscillator, intermediate))
    s_bin = (sign * i_bin - m * o_bin) // n + round(moved / width)
    if s_bin < 1:
        raise Unclear(f"Station would stand on {show(s_bin * width, 'Hz')}: move it less.")
    driven = _driven(_phases(o_bin, samples), mixer)
    amplitudes = line_amplitudes(driven * _bent(_phases(s_bin, samples), mixer))
    wanted = driven * _bent(_phases(o_bin + i_bin, samples), mixer)
    # One line of the transform is enough for the reference.
    turn = _phases(i_bin, samples)
    reference = 2 / samples * abs(complex(
        np.sum(wanted * np.cos(turn)), np.sum(wanted * np.sin(turn))))
    levels = 20 * np.log10(np.maximum(amplitudes / reference, 10 ** (FLOOR_DB / 20)))
    place = abs(m * o_bin + n * s_bin)
    return MixedSpur(
        m, n, sign, mixer, moved, width, o_bin * width, i_bin * width, s_bin * width,
        np.arange(samples // 2 + 1) * width, levels, place * width, float(levels[place]),
        float(level_db(mixer, m, n)),
    )


def _phases(line: int, samples: int) -> np.ndarray:
    """Phase of a wave on bin ``line``, kept inside one turn to stay exact."""
    return (line * np.arange(samples) % samples) * (2 * math.pi / samples)


def _driven(oscillator: np.ndarray, mixer: Mixer) -> np.ndarray:
    """What an oscillator of this phase does to the signal, as :class:`Mixer` states it."""
    turn = np.cos(oscillator)
    if mixer.kind != SWITCH:
        return np.exp(mixer.oscillator_drive * turn)
    before, now = np.ones_like(turn), turn
    wave = np.full_like(turn, 2 * mixer.duty - 1)
    for m in range(1, HIGHEST_HARMONIC + 1):
        # cos(m·a) from the two before it: the Chebyshev recurrence.
        wave += 4 * math.sin(math.pi * m * mixer.duty) / (math.pi * m) * now
        before, now = now, 2 * turn * now - before
    return wave


def _bent(signal: np.ndarray, mixer: Mixer) -> np.ndarray:
    """The bent signal of this phase; before a switch its direct part is blocked."""
    after = np.exp(mixer.signal_drive * np.cos(signal))
    return after - after.mean() if mixer.kind == SWITCH else after

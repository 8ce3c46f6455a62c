"""A mixer on the bench, in plain numpy: sampled waves through a non-linearity, then a transform.

Imports nothing from the package.  Everything is on whole bins of a record of ``samples``
points, so that no line leaks into its neighbours; the number of samples has no factor in
common with the oscillator's bin, so that a switch's edges fall on all phases.
"""

from __future__ import annotations

import numpy as np


def switch(oscillator_bin: int, samples: int, duty: float) -> np.ndarray:
    """A polarity switch: +1 for the share ``duty`` of each cycle, else −1, centred on the peak."""
    turn = (oscillator_bin * np.arange(samples) % samples) / samples
    away = np.minimum(turn, 1 - turn)
    return np.where(away < duty / 2, 1.0, -1.0)


def wave(line: int, samples: int) -> np.ndarray:
    """A cosine on a bin."""
    return np.cos(2 * np.pi * (line * np.arange(samples) % samples) / samples)


def switched(signal: np.ndarray, oscillator_bin: int, duty: float, drive: float) -> np.ndarray:
    """The signal through an exponential bend, its polarity switched.

    The bend's direct part is blocked: it would let the bare switch through, whose sampled
    edges fold back onto every line.
    """
    after = np.exp(drive * signal)
    return switch(oscillator_bin, len(signal), duty) * (after - after.mean())


def bent(signal: np.ndarray, oscillator_bin: int, oscillator_drive: float, drive: float):
    """Signal and oscillator added on one exponential bend."""
    return np.exp(oscillator_drive * wave(oscillator_bin, len(signal)) + drive * signal)


def one_line(output: np.ndarray, line: int) -> np.ndarray:
    """Peak size of the cosine on one bin of the transform, for one record or a row for each."""
    samples = output.shape[-1]
    turn = np.exp(-2j * np.pi * (line * np.arange(samples) % samples) / samples)
    return 2 * np.abs(output @ turn) / samples

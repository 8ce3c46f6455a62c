"""A sound as a file that every browser and player reads: WAV, one channel, 16 bits."""

from __future__ import annotations

import io
import wave

import numpy as np

from rxlearn.compute.receiver_sound import Sound

LARGEST = 32767
"""The largest number that 16 bits hold, for a sample of 1."""


def wav(sound: Sound) -> bytes:
    """``sound`` as a whole WAV file."""
    file = io.BytesIO()
    with wave.open(file, "wb") as writer:
        writer.setnchannels(1)
        writer.setsampwidth(2)
        writer.setframerate(sound.rate)
        writer.writeframes(np.round(sound.samples * LARGEST).astype("<i2").tobytes())
    return file.getvalue()

"""How the figures on spurious responses speak of them, and the colour of each kind."""

from __future__ import annotations

from collections.abc import Sequence

from rxlearn.compute.mixer_levels import FLOOR_DB
from rxlearn.compute.quantities import show
from rxlearn.compute.spurs import (
    BREAKTHROUGH,
    HALF_IF,
    HARMONIC_IMAGE,
    HIGHER,
    IMAGE,
    SUBHARMONIC,
    WANTED,
)
from rxlearn.compute.whistles import Whistle

ROLES = {
    WANTED: "signal", IMAGE: "image", BREAKTHROUGH: "intermediate", SUBHARMONIC: "intermediate",
    HALF_IF: "warning", HARMONIC_IMAGE: "oscillator", HIGHER: "quiet",
}
"""Kind of response to the role that colours it."""


def kind_words(kind: str, oscillator_order: int) -> str:
    """A response's kind in a few words."""
    return {
        BREAKTHROUGH: "breakthrough", SUBHARMONIC: "fraction of the IF",
        HARMONIC_IMAGE: f"oscillator × {oscillator_order}",
    }.get(kind, kind)


def mhz(frequency: float) -> str:
    """A frequency (Hz) in MHz, to a kilohertz."""
    return show(frequency, "Hz", prefix="M", decimals=3)


def khz(frequency: float) -> str:
    """A frequency (Hz) in kHz, to a tenth."""
    return show(frequency, "Hz", prefix="k", decimals=1)


def level(level_db: float) -> str:
    """A level in whole dB; what is too weak to matter is said to be so."""
    return "below -150 dB" if level_db < FLOOR_DB + 10 else show(level_db, "dB", decimals=0)


def listed(words: Sequence[str]) -> str:
    """Several things as a list in a sentence."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def whistle_words(whistle: Whistle) -> str:
    """Where a whistle sits and what makes it."""
    return f"{khz(whistle.signal)} ({whistle.name})"


def whistle_key(whistle: Whistle) -> tuple:
    """Sorts whistles by how loud they are likely to be: with a level first, then by order."""
    unknown = whistle.level_db is None
    return unknown, whistle.order if unknown else -whistle.level_db, whistle.signal

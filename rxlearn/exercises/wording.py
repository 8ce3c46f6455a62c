"""Words that several banks share: numbers as they are printed, sides and schemes in full."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rxlearn.compute.quantities import show
from rxlearn.compute.tuning import HIGH, LOW, SUM

SIDE = {HIGH: "high-side", LOW: "low-side", SUM: "sum"}
"""Injection as an adjective."""

SCHEME = {
    HIGH: "high-side injection (oscillator less signal makes the intermediate frequency)",
    LOW: "low-side injection (signal less oscillator makes the intermediate frequency)",
    SUM: "the sum (oscillator plus signal make the intermediate frequency)",
}
"""Injection with its rule."""


def hz(value: float) -> str:
    """Print a frequency (Hz) with the prefix that suits it."""
    return show(value, "Hz", digits=8)


def khz(value: float) -> str:
    """Print a frequency (Hz) in kHz."""
    return show(value, "Hz", digits=8, prefix="k")


def number(value: float, digits: int = 4) -> str:
    """Print a plain number or ratio."""
    return show(value, "", digits=digits)


def decibels(value: float) -> str:
    """Print a level or ratio in dB to three digits."""
    return show(value, "dB", digits=3)


def whose(numbers: Mapping[str, Any]) -> str:
    """Return the words that open a prompt: whose receiver this is, by ``numbers["own"]``."""
    return "Your receiver" if numbers["own"] else "The demo receiver"

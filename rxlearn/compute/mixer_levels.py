"""How strong a mixer's products are: two stated characteristics, in closed form.

A product m·oscillator ± n·signal has the size c_m·h_n/2, with c_m the m-th
Fourier coefficient of what the oscillator does and h_n that of the bent signal
path (c_0·h_n where m is 0).  Both characteristics bend the signal exponentially,
V·exp(s/V), so that h_n is 2·I_n(x) with x the signal's peak over the bend voltage V.

``switch``: the oscillator turns the polarity over, closed one way for the share
    ``duty`` of each cycle: c_0 = 2·duty − 1, c_m = 4·sin(π·m·duty)/(π·m).  A duty of
    exactly one half has no even harmonics; no real switch holds it.
``bent``: oscillator and signal add on one exponential bend: c_0 = I_0(y),
    c_m = 2·I_m(y), with y the oscillator's peak over the bend voltage.

Source: Jacobi–Anger expansion exp(x·cos a) = I_0(x) + 2·Σ I_n(x)·cos(n·a),
M. Abramowitz and I. Stegun, *Handbook of Mathematical Functions*, 9.6.34; the
square wave's Fourier series, DERIVED.

Limits: no memory, no filter at any port, no balance that cancels whole rows of
products (a balanced mixer gains 20 to 30 dB on even orders, from memory), and one
signal at a time.  A real valve or diode follows the exponential over part of its
range only.  Take the levels as an order of merit, ±10 dB at best; high orders are
in truth stronger than this smooth bend makes them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import iv

from rxlearn.compute.quantities import Range, Unclear

SWITCH = "switch"
BENT = "bent"
CHARACTERISTICS = (SWITCH, BENT)

FLOOR_DB = -160.0
"""Lowest level reported, dB: far below any noise."""

LIMITS = (
    "Levels are reckoned for one smooth bend without memory or balance and one signal at a time: "
    "read them as an order of merit, ten decibels either way at best, and expect high orders to "
    "be stronger on the bench."
)
"""What to say beside every level that comes from here."""

SIGNAL_DRIVE = Range("Signal drive", "", 1e-6, 5.0)
OSCILLATOR_DRIVE = Range("Oscillator drive", "", 1e-3, 50.0)
DUTY = Range("Duty", "", 0.05, 0.95)


@dataclass(frozen=True, kw_only=True)
class Mixer:
    """The assumptions about a mixer: ``kind`` is "switch" or "bent".

    ``signal_drive`` is the signal's peak over the bend voltage (1 µ to 5; 0.1 is a
    strong station), ``duty`` the switch's share of a cycle (0.05 to 0.95),
    ``oscillator_drive`` the oscillator's peak over the bend voltage (0.001 to 50).
    Raises :class:`Unclear` for anything else.
    """

    kind: str = SWITCH
    signal_drive: float = 0.1
    duty: float = 0.48
    oscillator_drive: float = 2.0

    def __post_init__(self) -> None:
        if not isinstance(self.kind, str) or self.kind not in CHARACTERISTICS:
            given = " ".join(str(self.kind).split())[:20]
            raise Unclear(f"Mixer of kind “{given}” is unknown: choose switch or bent.")
        SIGNAL_DRIVE.check(self.signal_drive)
        OSCILLATOR_DRIVE.check(self.oscillator_drive)
        DUTY.check(self.duty)

    @property
    def says(self) -> str:
        """The assumptions in one sentence."""
        bend = f"a signal of {self.signal_drive:g} of the bend voltage"
        if self.kind == SWITCH:
            return f"A switch closed one way for {100 * self.duty:g} % of each cycle, and {bend}."
        return f"One exponential bend, an oscillator of {self.oscillator_drive:g} of it and {bend}."


def level_db(
    mixer: Mixer,
    oscillator_order: int | np.ndarray,
    signal_order: int | np.ndarray,
    attenuation_db: float | np.ndarray = 0.0,
) -> np.ndarray:
    """Level (dB) of products of these orders, relative to the wanted (1, 1) product.

    Orders are whole numbers, oscillator 0 upward and signal 1 upward (signs are
    ignored), scalars or arrays that broadcast.  ``attenuation_db`` (positive) is
    what the preselector takes off *this* signal before the mixer; the wanted signal
    of the same strength loses nothing.  Not below :data:`FLOOR_DB`.  A product of
    signal order n loses n dB for each dB of attenuation, as long as the signal is weak.
    """
    m, n = np.abs(oscillator_order), np.abs(signal_order)
    drive = mixer.signal_drive * 10 ** (-np.asarray(attenuation_db, dtype=float) / 20)
    wanted = _oscillator_part(mixer, np.array(1)) * iv(1, mixer.signal_drive)
    # A product with m of 0 is not split in two.
    size = _oscillator_part(mixer, m) * iv(n, drive) * np.where(m == 0, 2.0, 1.0)
    return 20 * np.log10(np.maximum(size / wanted, 10 ** (FLOOR_DB / 20)))


def _oscillator_part(mixer: Mixer, m: np.ndarray) -> np.ndarray:
    """The size of the oscillator's m-th Fourier coefficient."""
    if mixer.kind == BENT:
        return np.where(m == 0, 1.0, 2.0) * iv(m, mixer.oscillator_drive)
    order = np.maximum(m, 1)
    part = 4 * np.abs(np.sin(np.pi * order * mixer.duty)) / (np.pi * order)
    return np.where(m == 0, abs(2 * mixer.duty - 1), part)

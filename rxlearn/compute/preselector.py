"""The tuned circuits before the mixer: how well they keep image and IF signals out.

Model: each circuit is an ideal parallel resonator whose loaded Q is the same
at all frequencies, so that its voltage falls to 1/α with

    α = √(1 + Q²ρ²),   ρ = f/f₀ − f₀/f

(F. E. Terman, *Radio Engineering*; Kennedy and Davis, *Electronic Communication
Systems*, receiver chapter).  Several circuits are taken as isolated by valves,
so their decibels add.  Limits: a real Q changes over an octave, stray coupling
around the circuits rarely lets more than 60 to 80 dB through on a bench, and a
coil's self-capacitance spoils the law far above resonance.

Frequencies in Hz.  Responses in dB are 0 at best and negative elsewhere;
rejections in dB are positive.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.tuning import (
    INTERMEDIATE_FREQUENCY,
    SIGNAL,
    BandPlan,
    image_frequency,
)

RESPONSE_FREQUENCY = Range("Frequency", "Hz", 1.0, 10e9)
CENTRE = Range("Centre frequency", "Hz", 1.0, 10e9)
LOADED_Q = Range("Loaded Q", "", 1.0, 1000.0)
CIRCUITS = Range("Number of tuned circuits", "", 1, 6)
COUPLING = Range("Coupling coefficient", "", 1e-6, 1.0)
SHARE = Range("Place in the band", "", 0.0, 1.0)
LOWEST_SHOWN = 20e3
"""Images below this (Hz) are not worth a decade of the picture (a choice, no source)."""


def check_circuits(circuits: int) -> int:
    """Return ``circuits`` if it is a whole number from 1 to 6, else raise :class:`Unclear`."""
    value = CIRCUITS.check(circuits)
    if value != int(value):
        raise Unclear(f"Number of tuned circuits of {value:g} is not whole: {CIRCUITS.says}.")
    return int(value)


def _detuning(frequency: float | np.ndarray, centre: float | np.ndarray) -> np.ndarray:
    """ρ = f/f₀ − f₀/f, the detuning that is antisymmetric on a logarithmic scale."""
    frequency = RESPONSE_FREQUENCY.check_each(frequency)
    centre = CENTRE.check_each(centre)
    return np.asarray(frequency / centre - centre / frequency)


def _plain(values: np.ndarray) -> float | np.ndarray:
    """A float for a single value, the array otherwise."""
    return float(values) if values.ndim == 0 else values


def response_db(
    frequency: float | np.ndarray, centre: float | np.ndarray, loaded_q: float, circuits: int = 1
) -> float | np.ndarray:
    """Response (dB, 0 at resonance) of isolated identical circuits tuned to ``centre`` (Hz).

    −20·circuits·lg √(1 + Q²ρ²).  ``frequency`` and ``centre`` in Hz, floats or
    arrays that broadcast; ``loaded_q`` 1 to 1000, ``circuits`` 1 to 6.  Raises
    :class:`Unclear` otherwise.
    """
    loaded_q, circuits = LOADED_Q.check(loaded_q), check_circuits(circuits)
    slope = (loaded_q * _detuning(frequency, centre)) ** 2
    # Minus nought would be printed as such; adding zero makes it plain nought.
    return _plain(-10 * circuits / math.log(10) * np.log1p(slope) + 0.0)


def image_rejection_db(
    signal: float, intermediate_frequency: float, injection: str, loaded_q: float, circuits: int = 1
) -> float:
    """How far (dB, positive) circuits tuned to ``signal`` (Hz) hold its image down.

    Infinite where the image falls on zero.  Raises :class:`Unclear` for values
    out of range or a scheme without an oscillator.
    """
    image = image_frequency(SIGNAL.check(signal), intermediate_frequency, injection)
    return _rejection_db(image, signal, loaded_q, circuits)


def _rejection_db(frequency: float, centre: float, loaded_q: float, circuits: int) -> float:
    """Rejection (dB) at ``frequency``; infinite below 1 Hz, where only a d.c. term is left."""
    if frequency < RESPONSE_FREQUENCY.low:
        return math.inf
    return 0.0 - response_db(frequency, centre, loaded_q, circuits)


def bandwidth(centre: float, loaded_q: float, circuits: int = 1) -> float:
    """Width (Hz) between the points 3.01 dB down: (f₀/Q)·√(2^(1/n) − 1) for n circuits.

    Exact for this model, since the two edges lie in geometric symmetry about
    ``centre`` (Hz).  Raises :class:`Unclear` out of range.
    """
    centre, loaded_q = CENTRE.check(centre), LOADED_Q.check(loaded_q)
    return centre / loaded_q * math.sqrt(2 ** (1 / check_circuits(circuits)) - 1)


@dataclass(frozen=True)
class Preselector:
    """What circuits tuned to ``signal`` do to its image and to a signal on the IF.

    Frequencies and ``bandwidth`` (between the 3 dB points) in Hz, rejections in
    dB, positive.
    """

    signal: float
    intermediate_frequency: float
    injection: str
    loaded_q: float
    circuits: int
    image_frequency: float
    image_rejection_db: float
    intermediate_frequency_rejection_db: float
    bandwidth: float

    def response_db(self, frequency: float | np.ndarray) -> float | np.ndarray:
        """Response (dB) of these very circuits at ``frequency`` (Hz, float or array)."""
        return response_db(frequency, self.signal, self.loaded_q, self.circuits)


def preselect(
    signal: float, intermediate_frequency: float, injection: str, loaded_q: float, circuits: int = 1
) -> Preselector:
    """Image and IF rejection of ``circuits`` tuned to ``signal`` (Hz) with ``loaded_q``.

    Raises :class:`Unclear` for values out of range or a scheme without an oscillator.
    """
    signal = SIGNAL.check(signal)
    intermediate = INTERMEDIATE_FREQUENCY.check(intermediate_frequency)
    loaded_q, circuits = LOADED_Q.check(loaded_q), check_circuits(circuits)
    image = image_frequency(signal, intermediate, injection)
    return Preselector(
        signal=signal, intermediate_frequency=intermediate, injection=injection,
        loaded_q=loaded_q, circuits=circuits, image_frequency=image,
        image_rejection_db=_rejection_db(image, signal, loaded_q, circuits),
        intermediate_frequency_rejection_db=_rejection_db(intermediate, signal, loaded_q, circuits),
        bandwidth=bandwidth(signal, loaded_q, circuits),
    )


@dataclass(frozen=True)
class Sweep:
    """A preselector's response over a wide stretch: ``frequencies`` in Hz, ``levels_db`` in dB.

    The points lie evenly over the logarithm of frequency far out and crowd
    together around resonance, so that the top of a sharp curve is there too.
    """

    preselector: Preselector
    frequencies: np.ndarray
    levels_db: np.ndarray


def sweep(preselector: Preselector, low: float, high: float, *, points: int = 401) -> Sweep:
    """Sweep ``preselector`` from ``low`` to ``high`` (Hz), which must enclose its signal.

    Raises :class:`Unclear` for edges out of range or that leave the signal outside.
    """
    low, high = RESPONSE_FREQUENCY.check(low), RESPONSE_FREQUENCY.check(high)
    centre = preselector.signal
    if not low < centre < high:
        raise Unclear(
            f"Sweep from {show(low, 'Hz')} to {show(high, 'Hz')} leaves out the signal on "
            f"{show(centre, 'Hz')}: widen it."
        )
    crowd = 8.0
    place = np.sinh(crowd * np.linspace(-1.0, 1.0, points)) / math.sinh(crowd)
    reach = np.where(place < 0, math.log(centre / low), math.log(high / centre))
    frequencies = np.clip(centre * np.exp(place * reach), low, high)
    return Sweep(preselector, frequencies, preselector.response_db(frequencies))


def sweep_band(
    band: BandPlan, share: float, loaded_q: float, circuits: int, low: float, high: float
) -> Sweep:
    """Tune circuits to a place in ``band`` and sweep them from ``low`` to ``high`` (Hz).

    ``share`` is the place, from 0 at the band's low edge to 1 at its high edge.
    Raises :class:`Unclear` as :func:`preselect` and :func:`sweep` do.
    """
    signal = band.band_low + SHARE.check(share) * (band.band_high - band.band_low)
    return sweep(
        preselect(signal, band.intermediate_frequency, band.injection, loaded_q, circuits),
        low, high,
    )


def stretch_for(bands: Sequence[BandPlan]) -> tuple[float, float]:
    """Lowest and highest frequency (Hz) of a sweep that shows all of ``bands``, with room.

    It holds the bands, their images and the intermediate frequency.  Images
    below :data:`LOWEST_SHOWN` are left out.
    """
    places = [
        place
        for band in bands
        for place in (band.band_low, band.band_high, band.intermediate_frequency,
                      band.image_low, band.image_high)
        if place >= LOWEST_SHOWN
    ]
    return min(places) / 2, max(places) * 2


def critical_coupling(first_q: float, second_q: float | None = None) -> float:
    """Coupling coefficient at which two circuits pass most: 1/√(Q₁Q₂).

    ``second_q`` defaults to ``first_q``.  Source: Terman, *Radio Engineering*.
    Raises :class:`Unclear` for a Q outside 1 to 1000.
    """
    first_q = LOADED_Q.check(first_q)
    second_q = first_q if second_q is None else LOADED_Q.check(second_q)
    return 1 / math.sqrt(first_q * second_q)


def coupled_pair_response_db(
    frequency: float | np.ndarray, centre: float, loaded_q: float, coupling: float
) -> float | np.ndarray:
    """Response (dB) of two equal circuits coupled by the coefficient ``coupling``.

    y = 2kQ/|(1 + jd)² + (kQ)²| with d = Qρ (Terman, *Radio Engineering*;
    Langford-Smith, *Radiotron Designer's Handbook*, chapter 9, with 2QΔf/f₀ for
    d).  0 dB is the most that any coupling can pass, so weaker coupling than
    :func:`critical_coupling` loses at the centre and closer coupling shows two
    peaks at d = ±√((kQ)² − 1).  Coupling taken as equal at all frequencies: far
    from resonance inductive and capacitive coupling differ from it.
    ``frequency`` in Hz, float or array.  Raises :class:`Unclear` out of range.
    """
    loaded_q = LOADED_Q.check(loaded_q)
    index = COUPLING.check(coupling) * loaded_q
    detuning = loaded_q * _detuning(frequency, CENTRE.check(centre))
    return _plain(20 * np.log10(2 * index / np.abs((1 + 1j * detuning) ** 2 + index**2)) + 0.0)

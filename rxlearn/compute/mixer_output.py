"""What a receiver makes of a mixer's output: the filtered difference, and the image with it.

Limits of the model: those of :mod:`rxlearn.compute.mixing`; the filter is an
ideal Butterworth one, and the preselector acts on the image alone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rxlearn.compute.mixing import (
    FLOOR_DB,
    OSCILLATOR_FREQUENCY,
    SIGNAL_FREQUENCY,
    Mixing,
    Product,
    check_samples,
    level_db,
    line_amplitudes,
    mix,
    sample_rate_for,
)
from rxlearn.compute.quantities import Range, Unclear

INTERMEDIATE_FREQUENCY = Range("The intermediate frequency", "Hz", 1e3, 500e6)
BANDWIDTH = Range("The filter's bandwidth", "Hz", 10.0, 10e6)
IMAGE_FREQUENCY = Range("The image frequency", "Hz", 1e3, 500e6)
ATTENUATION = Range("The preselector's attenuation", "dB", 0.0, 150.0)


@dataclass(frozen=True)
class Filtered:
    """What the intermediate-frequency filter leaves of a mixer's products.

    ``products`` hold the levels behind the filter, strongest first, in dB
    relative to the incoming signal.  ``wanted`` is the strongest inside the
    passband, None if nothing falls there; ``strongest_other`` is the strongest
    of the rest.
    """

    mixing: Mixing
    intermediate_frequency: float
    bandwidth: float
    products: tuple[Product, ...]
    wanted: Product | None
    strongest_other: Product | None


def filter_response_db(
    frequency: float | np.ndarray, intermediate_frequency: float, bandwidth: float
) -> np.ndarray:
    """Response (dB, not below :data:`FLOOR_DB`) of the filter in :func:`filter_difference`.

    A four-section Butterworth band-pass, ``1 / sqrt(1 + x⁸)`` with ``x = (f -
    f0²/f) / bandwidth``: 3 dB down at the edges.  Lossless in the middle; a real
    crystal filter is steeper near the edge and never as deep far away.
    Source: low-pass to band-pass transformation of S. Butterworth (1930), from memory.
    """
    centre = INTERMEDIATE_FREQUENCY.check(intermediate_frequency)
    width = BANDWIDTH.check(bandwidth)
    frequency = np.maximum(np.abs(np.asarray(frequency, dtype=float)), 1e-3)
    detuning = np.abs(frequency - centre**2 / frequency) / width
    return np.maximum(-10 * np.log10(1 + np.minimum(detuning, 1e9) ** 8), FLOOR_DB)


def filter_difference(
    mixing: Mixing, intermediate_frequency: float, bandwidth: float
) -> Filtered:
    """Send a mixer's products through the intermediate-frequency filter (Hz, Hz wide at 3 dB).

    The filter meets each product at its ``nominal_frequency``, because a filter
    may be far narrower than a bin of the transform.
    """
    response = filter_response_db(
        [item.nominal_frequency for item in mixing.products], intermediate_frequency, bandwidth
    )
    passed = tuple(
        sorted(
            (_weaken(item, float(loss)) for item, loss in zip(mixing.products, response)),
            key=lambda item: -item.level_db,
        )
    )
    inside = filter_response_db(
        [item.nominal_frequency for item in passed], intermediate_frequency, bandwidth
    ) > -3.02
    wanted = next(
        (p for p, i in zip(passed, inside) if i and p.level_db > FLOOR_DB), None
    )
    other = next((p for p in passed if p is not wanted), None)
    return Filtered(mixing, intermediate_frequency, bandwidth, passed, wanted, other)


def _weaken(product: Product, loss_db: float) -> Product:
    """The same line behind a filter of that response."""
    return replace(
        product,
        amplitude=product.amplitude * 10 ** (loss_db / 20),
        level_db=max(product.level_db + loss_db, FLOOR_DB),
    )


@dataclass(frozen=True, eq=False)
class TwoStations:
    """A wanted station and its image, converted by one oscillator to one frequency.

    ``wanted`` and ``image`` are the :class:`Mixing` of each alone at its aerial
    amplitude.  The image's is made at the image of the wanted signal *as set on
    the bins*, so that both lines land on one bin; ``image_frequency`` (Hz) is
    the exact one.  ``wanted_product`` and ``image_product`` are those lines, the
    image's behind the preselector.  Levels are dB relative to the wanted
    station's incoming amplitude; ``margin_db`` is wanted less image.
    ``levels_db`` is the spectrum of both together over ``wanted.frequencies``,
    the two stations in phase.
    """

    wanted_frequency: float
    oscillator_frequency: float
    preselector_attenuation_db: float
    image_frequency: float
    intermediate_frequency: float
    wanted: Mixing
    image: Mixing
    wanted_product: Product
    image_product: Product
    margin_db: float
    levels_db: np.ndarray


def two_stations(
    wanted_frequency: float,
    oscillator_frequency: float,
    *,
    kind: str = "multiply",
    wanted_amplitude: float = 1.0,
    image_amplitude: float = 1.0,
    preselector_attenuation_db: float = 0.0,
    samples: int = 4096,
    sample_rate: float | None = None,
) -> TwoStations:
    """Mix a wanted station and the station on its image with one oscillator.

    Frequencies in Hz, amplitudes in volts peak at the aerial.  The preselector
    (0 to 150 dB) weakens the image only.  The image lies at ``|2·oscillator -
    wanted|``; when the intermediate frequency is above the oscillator, the image
    is converted by the sum instead of the difference.  ``kind`` is ``multiply``
    or ``switch``: a bent characteristic would mix the two stations with each
    other as well, which is another subject.  Raises :class:`Unclear`.
    """
    wanted_frequency = SIGNAL_FREQUENCY.check(wanted_frequency)
    oscillator_frequency = OSCILLATOR_FREQUENCY.check(oscillator_frequency)
    attenuation = ATTENUATION.check(preselector_attenuation_db)
    if kind == "square_law":
        raise Unclear("Two stations need a mixer of kind multiply or switch, not square_law.")
    image_frequency = IMAGE_FREQUENCY.check(abs(2 * oscillator_frequency - wanted_frequency))
    intermediate_frequency = INTERMEDIATE_FREQUENCY.check(
        abs(oscillator_frequency - wanted_frequency)
    )
    samples = check_samples(samples)
    if sample_rate is None:
        higher = max(wanted_frequency, image_frequency)
        sample_rate = sample_rate_for(higher, oscillator_frequency, kind=kind, samples=samples)
    settings = {"kind": kind, "samples": samples, "sample_rate": sample_rate}
    wanted = mix(
        wanted_frequency, oscillator_frequency, signal_amplitude=wanted_amplitude, **settings
    )
    oscillator_set = oscillator_frequency + wanted.oscillator_shift
    image_set = abs(2 * oscillator_set - wanted_frequency - wanted.signal_shift)
    image = mix(image_set, oscillator_frequency, signal_amplitude=image_amplitude, **settings)
    wanted_product = wanted.product("difference")
    line = round(wanted_product.frequency / wanted.bin_width)
    weakened = image.sampled * 10 ** (-attenuation / 20)
    image_amplitudes = line_amplitudes(weakened)
    image_level_db = level_db(image_amplitudes, wanted.signal_amplitude)
    image_product = replace(
        image.product("sum" if wanted_frequency > 2 * oscillator_frequency else "difference"),
        nominal_frequency=intermediate_frequency,
        amplitude=float(image_amplitudes[line]),
        level_db=float(image_level_db[line]),
    )
    return TwoStations(
        wanted_frequency, oscillator_frequency, attenuation, image_frequency,
        intermediate_frequency, wanted, image, wanted_product, image_product,
        wanted_product.level_db - image_product.level_db,
        level_db(line_amplitudes(wanted.sampled + weakened), wanted.signal_amplitude),
    )

"""The frequency plan of a superheterodyne: oscillator, image, ranges, directions.  Hz throughout.

Three ways to reach one intermediate frequency IF from a signal f:

- high side: oscillator = f + IF.  The sideband comes out inverted.
- low side: oscillator = f − IF.  Upright.
- sum: oscillator = IF − f, so that oscillator and signal add up to IF.
  Upright, but the dial runs backwards: oscillator up, signal down.

Model: only the wanted product of order (1, 1) and its image.  What harmonics
of oscillator and signal add belongs to the mixer's spurious responses.  All
formulas follow from the product of two cosines, (cos(a−b) + cos(a+b))/2; see
F. E. Terman, *Radio Engineering*, the chapter on superheterodyne receivers.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.quantities import Range, Unclear, show, show_span
from rxlearn.data.spectrum import (
    AMATEUR_BANDS,
    BROADCAST_BANDS,
    EVERYWHERE,
    OTHER_SERVICES,
    REGIONS,
    STANDARD_FREQUENCY_BANDS,
    TIME_STATIONS,
    VHF_BANDS,
    Allocation,
)

HIGH = "high"
LOW = "low"
SUM = "sum"
INJECTIONS = (HIGH, LOW, SUM)
"""Where the oscillator stands: above the signal, below it, or as the part missing to the sum."""

SIGNAL = Range("Signal frequency", "Hz", 1e3, 1e9)
OSCILLATOR = Range("Oscillator frequency", "Hz", 1e3, 2e9)
INTERMEDIATE_FREQUENCY = Range("Intermediate frequency", "Hz", 1e3, 1e9)
BAND_EDGE = Range("Band edge", "Hz", 1e3, 1e9)
STRETCH_EDGE = Range("Edge of the stretch", "Hz", 0.0, 3e9)

Frequencies = float | np.ndarray


def check_injection(injection: str) -> str:
    """Return ``injection`` if it is one of :data:`INJECTIONS`, else raise :class:`Unclear`."""
    if isinstance(injection, str) and injection in INJECTIONS:
        return injection
    raise Unclear(f"Injection {_quoted(injection)} is unknown: choose high, low or sum.")


def check_band(low: float, high: float, *, name: str = "Band") -> tuple[float, float]:
    """Return the two edges (Hz) as floats if they make a band, else raise :class:`Unclear`."""
    low, high = BAND_EDGE.check(low), BAND_EDGE.check(high)
    if not low < high:
        raise Unclear(
            f"{name} from {show(low, 'Hz')} to {show(high, 'Hz')} has no width or stands the wrong "
            "way round; give the lower edge first."
        )
    return low, high


def check_region(region: int) -> int:
    """Return ``region`` if it is an ITU region (1, 2 or 3), else raise :class:`Unclear`."""
    if not isinstance(region, (bool, str)) and region in REGIONS:
        return int(region)
    raise Unclear(f"Region {_quoted(region)} is unknown: choose ITU region 1, 2 or 3.")


def _quoted(value: object) -> str:
    """The start of a wrong value, safe to put in a one-line sentence."""
    return f"“{' '.join(str(value).split())[:20]}”"


def is_sideband_inverted(injection: str) -> bool:
    """Whether an upper sideband comes out as a lower one: on the high side only."""
    return check_injection(injection) == HIGH


def tunes_backwards(injection: str) -> bool:
    """Whether the signal goes down as the oscillator goes up: in the sum scheme only."""
    return check_injection(injection) == SUM


def _oscillator(signal: Frequencies, intermediate: Frequencies, injection: str) -> Frequencies:
    """The oscillator by arithmetic alone; may come out at zero or below."""
    if injection == HIGH:
        return signal + intermediate
    return signal - intermediate if injection == LOW else intermediate - signal


def oscillator_frequency(
    signal: Frequencies, intermediate_frequency: Frequencies, injection: str
) -> Frequencies:
    """Oscillator (Hz) that brings ``signal`` (Hz) to ``intermediate_frequency`` (Hz).

    Floats or arrays that broadcast.  Raises :class:`Unclear` for values
    outside 1 kHz to 1 GHz and where the oscillator would lie at zero or below.
    """
    signal = SIGNAL.check_each(signal)
    intermediate = INTERMEDIATE_FREQUENCY.check_each(intermediate_frequency)
    oscillator = _oscillator(signal, intermediate, check_injection(injection))
    if np.any(np.asarray(oscillator) <= 0):
        raise Unclear(_no_oscillator(float(np.min(oscillator)), injection))
    return oscillator


def _no_oscillator(frequency: float, injection: str) -> str:
    """Why an oscillator at or below zero can't be built, and what to change."""
    cure = (
        "the intermediate frequency must lie below the signal, or choose the sum"
        if injection == LOW
        else "the intermediate frequency must lie above the signal, or choose the low side"
    )
    given = show(frequency, "Hz")
    return f"Oscillator frequency would be {given}, which no oscillator has: {cure}."


def signal_frequency(
    oscillator: Frequencies, intermediate_frequency: Frequencies, injection: str
) -> Frequencies:
    """Signal (Hz) that ``oscillator`` (Hz) brings to ``intermediate_frequency`` (Hz).

    Floats or arrays that broadcast.  Raises :class:`Unclear` for values out of
    range and where no signal above zero fits.
    """
    oscillator = OSCILLATOR.check_each(oscillator)
    intermediate = INTERMEDIATE_FREQUENCY.check_each(intermediate_frequency)
    if check_injection(injection) == LOW:
        return oscillator + intermediate
    signal = oscillator - intermediate if injection == HIGH else intermediate - oscillator
    if np.any(np.asarray(signal) <= 0):
        cure = "above" if injection == HIGH else "below"
        raise Unclear(
            f"Signal frequency would be {show(float(np.min(signal)), 'Hz')}: with {injection} "
            f"injection the oscillator must lie {cure} the intermediate frequency."
        )
    return signal


def image_frequency(
    signal: Frequencies, intermediate_frequency: Frequencies, injection: str
) -> Frequencies:
    """The other frequency (Hz) that the same oscillator brings to the intermediate frequency.

    High side: f + 2·IF.  Low side: |f − 2·IF|.  Sum: 2·IF − f.  The low-side
    image of a signal exactly at 2·IF is zero.  Floats or arrays that
    broadcast; raises :class:`Unclear` as :func:`oscillator_frequency` does.
    """
    oscillator_frequency(signal, intermediate_frequency, injection)
    signal = np.asarray(signal, dtype=float)
    twice = 2 * np.asarray(intermediate_frequency, dtype=float)
    image = signal + twice if injection == HIGH else np.abs(signal - twice)
    return float(image) if image.ndim == 0 else image


@dataclass(frozen=True)
class MixerProducts:
    """Sum and difference (Hz) of ``oscillator`` and ``signal`` (Hz), floats or arrays."""

    oscillator: Frequencies
    signal: Frequencies
    sum: Frequencies
    difference: Frequencies


def mixer_products(oscillator: Frequencies, signal: Frequencies) -> MixerProducts:
    """Sum and difference (Hz) that an ideal mixer makes of two frequencies (Hz).

    From the product of two cosines; an ideal multiplier makes nothing else.
    Floats or arrays that broadcast; raises :class:`Unclear` out of range.
    """
    oscillator = OSCILLATOR.check_each(oscillator)
    signal = SIGNAL.check_each(signal)
    return MixerProducts(oscillator, signal, oscillator + signal, abs(oscillator - signal))


@dataclass(frozen=True)
class BandPlan:
    """What one band asks of the oscillator, and where its image lies.  Hz; ratios plain.

    ``reasons`` says why the scheme cannot work (empty if it can).  Where the
    oscillator would touch zero, ratios are not-a-number, and so are the image edges.
    ``image_in_band`` is the stretch of tuned signal (low, high) whose image
    lies in the very same band, or None.
    """

    band_low: float
    band_high: float
    intermediate_frequency: float
    injection: str
    oscillator_low: float
    oscillator_high: float
    oscillator_ratio: float
    capacitance_ratio: float
    signal_ratio: float
    signal_capacitance_ratio: float
    image_low: float
    image_high: float
    sideband_inverted: bool
    tunes_backwards: bool
    image_in_band: tuple[float, float] | None
    reasons: tuple[str, ...]

    @property
    def works(self) -> bool:
        """Whether nothing stands against the scheme."""
        return not self.reasons

    @property
    def oscillator_centre(self) -> float:
        """Middle of the oscillator's range, in Hz."""
        return (self.oscillator_low + self.oscillator_high) / 2

    @property
    def oscillator_span(self) -> float:
        """Width of the oscillator's range, in Hz (the same as the band's)."""
        return self.oscillator_high - self.oscillator_low


def plan_band(
    band_low: float, band_high: float, intermediate_frequency: float, injection: str
) -> BandPlan:
    """Plan one band (edges in Hz) around an intermediate frequency (Hz).

    The capacitance ratio is the frequency ratio squared (one coil).  Raises
    :class:`Unclear` for values that are no band or no frequency; a scheme that
    is arithmetic but cannot be built comes back with its ``reasons``.
    """
    low, high = check_band(band_low, band_high)
    intermediate = INTERMEDIATE_FREQUENCY.check(intermediate_frequency)
    edges = [_oscillator(f, intermediate, check_injection(injection)) for f in (low, high)]
    bottom, top = min(edges), max(edges)
    ratio = top / bottom if bottom > 0 else math.nan
    image_low, image_high = _image_range(low, high, intermediate, injection, bottom)
    return BandPlan(
        band_low=low, band_high=high, intermediate_frequency=intermediate, injection=injection,
        oscillator_low=bottom, oscillator_high=top,
        oscillator_ratio=ratio, capacitance_ratio=ratio**2,
        signal_ratio=high / low, signal_capacitance_ratio=(high / low) ** 2,
        image_low=image_low, image_high=image_high,
        sideband_inverted=is_sideband_inverted(injection),
        tunes_backwards=tunes_backwards(injection),
        image_in_band=_image_in_band(low, high, intermediate, injection),
        reasons=_reasons(low, high, intermediate, injection, bottom, top),
    )


def _image_range(
    low: float, high: float, intermediate: float, injection: str, oscillator_low: float
) -> tuple[float, float]:
    """Lowest and highest image while the band is tuned; not-a-number without an oscillator."""
    if oscillator_low <= 0:
        return math.nan, math.nan
    if injection == HIGH:
        return low + 2 * intermediate, high + 2 * intermediate
    ends = sorted((abs(low - 2 * intermediate), abs(high - 2 * intermediate)))
    # A low-side image folds at zero when the band straddles twice the IF.
    return (0.0 if low < 2 * intermediate < high else ends[0]), ends[1]


def _image_in_band(
    low: float, high: float, intermediate: float, injection: str
) -> tuple[float, float] | None:
    """Signals of the band whose image lies in the band too.

    A sum scheme never has any: its image lies beyond the IF, its band below it.
    """
    reach = high - low - 2 * intermediate
    if reach < 0 or injection == SUM:
        return None
    return (low, low + reach) if injection == HIGH else (high - reach, high)


def _reasons(
    low: float, high: float, intermediate: float, injection: str, bottom: float, top: float
) -> tuple[str, ...]:
    """Sentences that say why a scheme cannot work."""
    found = []
    band = show_span(low, high, "Hz")
    if top <= 0:
        found.append(_no_oscillator(top, injection))
    elif bottom <= 0:
        found.append(
            f"The oscillator would have to pass through zero, from {show(bottom, 'Hz')} to "
            f"{show(top, 'Hz')}: move the intermediate frequency out of the band {band}."
        )
    if low <= intermediate <= high:
        found.append(
            f"The intermediate frequency of {show(intermediate, 'Hz')} lies inside the band "
            f"{band}: a signal there would pass with the oscillator standing still."
        )
    return tuple(found)


@dataclass(frozen=True)
class BandStep:
    """How the oscillator moves into ``plan``'s band from the band before it.

    ``moved_by`` is the shift of the range's centre (Hz), ``centre_ratio`` the
    new centre over the old one, ``overlap`` the stretch (Hz) common to both
    ranges.  The first step has nothing before it: 0, 1 and 0.
    """

    plan: BandPlan
    moved_by: float
    centre_ratio: float
    overlap: float


def multiband_steps(
    bands: Iterable[tuple[float, float]], intermediate_frequency: float, injection: str
) -> tuple[BandStep, ...]:
    """Follow an ordinary receiver's oscillator through ``bands``, pairs of edges in Hz.

    The same injection on every band, so the oscillator must step with the
    signal: a switched coil, crystal or trimmer for each band.  Raises
    :class:`Unclear` for an empty list and as :func:`plan_band` does.
    """
    try:
        pairs = [(low, high) for low, high in bands]
    except (TypeError, ValueError):
        raise Unclear("Bands must be pairs of edges, lower edge first.") from None
    if not pairs:
        raise Unclear("Bands are missing: give at least one pair of edges.")
    plans = [plan_band(low, high, intermediate_frequency, injection) for low, high in pairs]
    steps = [BandStep(plans[0], 0.0, 1.0, 0.0)]
    for before, plan in zip(plans, plans[1:]):
        shared = min(before.oscillator_high, plan.oscillator_high) - max(
            before.oscillator_low, plan.oscillator_low
        )
        workable = min(before.oscillator_centre, plan.oscillator_centre) > 0
        ratio = plan.oscillator_centre / before.oscillator_centre if workable else math.nan
        moved = plan.oscillator_centre - before.oscillator_centre
        steps.append(BandStep(plan, moved, ratio, max(0.0, shared)))
    return tuple(steps)


def occupants_of(
    low: float, high: float, region: int, *, services: Sequence[str] | None = None
) -> tuple[Allocation, ...]:
    """Known occupants of the stretch ``low``..``high`` (Hz, edges included), in rising order.

    ``services`` keeps only rows of those services (words of
    :mod:`rxlearn.data.spectrum`).  An empty result means that the table holds
    nothing there, not that nothing is on the air.  Raises :class:`Unclear` for
    an unknown region, and for edges that are out of range or reversed.
    """
    low, high = STRETCH_EDGE.check(low), STRETCH_EDGE.check(high)
    region = check_region(region)
    if low > high:
        raise Unclear(
            f"Edge of the stretch: {show(low, 'Hz')} lies above {show(high, 'Hz')}; give the lower "
            "edge first."
        )
    rows = (
        *AMATEUR_BANDS[region], *BROADCAST_BANDS, *STANDARD_FREQUENCY_BANDS, *TIME_STATIONS,
        *OTHER_SERVICES, *VHF_BANDS,
    )
    found = [
        row
        for row in rows
        if row.region in (EVERYWHERE, region)
        and row.low <= high
        and row.high >= low
        and (services is None or row.service in services)
    ]
    return tuple(sorted(found, key=lambda row: (row.low, row.high)))

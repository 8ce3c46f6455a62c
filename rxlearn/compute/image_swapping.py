"""One oscillator range, two bands: each is the other's image, and the preselector chooses.  Hz.

An oscillator on O reaches O − IF with high-side injection and O + IF with
low-side injection.  Two bands whose middles lie 2·IF apart therefore share one
oscillator range.  Stock crystals miss that IF by a little, so one band's range
sits off the other's; a capacitor switched across the tank brings it back.

Model: arithmetic of the frequency plan, an ideal tank for recentring, and the
bands' edges as given.  Oscillator drift, the preselector's tracking and
spurious responses of higher order are other modules' business.  All formulas
DERIVED from oscillator = signal ± IF.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rxlearn.compute.beat import UPPER, beat_side
from rxlearn.compute.quantities import Range, Unclear, show, show_span
from rxlearn.compute.tuning import (
    HIGH,
    INTERMEDIATE_FREQUENCY,
    LOW,
    OSCILLATOR,
    SUM,
    BandPlan,
    check_band,
    check_injection,
    check_region,
    occupants_of,
    plan_band,
)
from rxlearn.data.crystals import STOCK_CRYSTALS, StockCrystal
from rxlearn.data.spectrum import AMATEUR, Allocation

CRYSTAL_COUNT = Range("Number of crystals", "", 1, 100)
HIGHEST_HARMONIC = 10
"""Highest harmonic of the beat oscillator looked for in the bands (a choice, no source)."""

LOWER_BAND = "lower"
UPPER_BAND = "upper"
WIDER = "wider"
UNION = "union"
DIALS = (WIDER, UNION)


def _check_bands(
    lower_band: tuple[float, float], upper_band: tuple[float, float]
) -> tuple[float, float, float, float]:
    """Check two bands (pairs of edges in Hz) and that the first lies wholly below the second."""
    try:
        (lower_low, lower_high), (upper_low, upper_high) = lower_band, upper_band
    except (TypeError, ValueError):
        raise Unclear("Band must be given as two edges, the lower edge first.") from None
    lower_low, lower_high = check_band(lower_low, lower_high, name="Lower band")
    upper_low, upper_high = check_band(upper_low, upper_high, name="Upper band")
    if not lower_high < upper_low:
        raise Unclear(
            f"Lower band {show_span(lower_low, lower_high, 'Hz')} does not lie wholly below the "
            f"upper band {show_span(upper_low, upper_high, 'Hz')}; exchange or shorten them."
        )
    return lower_low, lower_high, upper_low, upper_high


def meeting_intermediate_frequency(
    lower_band: tuple[float, float],
    upper_band: tuple[float, float],
    *,
    lower_injection: str = HIGH,
    upper_injection: str = LOW,
) -> float:
    """Intermediate frequency (Hz) at which both bands' middles use one oscillator frequency.

    High side on the lower band, low side on the upper: half the distance of
    the middles.  Sum on the lower, low side on the upper: half their sum.
    Other pairs never meet.  Bands are pairs of edges in Hz.  Raises
    :class:`Unclear` for those pairs and for bands that overlap.
    """
    lower_low, lower_high, upper_low, upper_high = _check_bands(lower_band, upper_band)
    lower, upper = (lower_low + lower_high) / 2, (upper_low + upper_high) / 2
    pair = check_injection(lower_injection), check_injection(upper_injection)
    if pair == (HIGH, LOW):
        return (upper - lower) / 2
    if pair == (SUM, LOW):
        return (upper + lower) / 2
    raise Unclear(
        f"Injection {pair[0]} on the lower band and {pair[1]} on the upper never meets at one "
        "oscillator frequency: choose high or sum on the lower band and low on the upper."
    )


@dataclass(frozen=True)
class CrystalMiss:
    """A stock crystal and by how much (Hz, signed) it misses the frequency ``wanted`` (Hz)."""

    wanted: float
    crystal: StockCrystal
    miss: float


def nearest_crystal(wanted: float, *, count: int = 3) -> tuple[CrystalMiss, ...]:
    """The ``count`` stock crystals nearest to ``wanted`` (Hz), nearest first.

    With image swapping the two oscillator ranges stand 2·miss apart.  Raises
    :class:`Unclear` for a frequency out of range or a count outside 1 to 100.
    """
    wanted = INTERMEDIATE_FREQUENCY.check(wanted)
    count = int(CRYSTAL_COUNT.check(count))
    ranked = sorted(STOCK_CRYSTALS, key=lambda crystal: abs(crystal.frequency - wanted))
    return tuple(CrystalMiss(wanted, row, row.frequency - wanted) for row in ranked[:count])


@dataclass(frozen=True)
class TunedPair:
    """The two signals (Hz) that one ``oscillator`` (Hz) brings to the intermediate frequency.

    Each is the other's image.  ``lower_signal`` is |oscillator − IF|.
    """

    oscillator: float | np.ndarray
    intermediate_frequency: float
    lower_signal: float | np.ndarray
    upper_signal: float | np.ndarray


def tuned_pair(oscillator: float | np.ndarray, intermediate_frequency: float) -> TunedPair:
    """Both signals (Hz) that ``oscillator`` (Hz, float or array) receives.

    Raises :class:`Unclear` for values out of range.
    """
    oscillator = OSCILLATOR.check_each(oscillator)
    intermediate = INTERMEDIATE_FREQUENCY.check(intermediate_frequency)
    return TunedPair(
        oscillator, intermediate, abs(oscillator - intermediate), oscillator + intermediate
    )


@dataclass(frozen=True)
class Radiation:
    """An amateur band that the oscillator crosses while one of the two bands is tuned.  Hz.

    The oscillator runs from ``oscillator_low`` to ``oscillator_high`` inside
    ``crossed`` while ``signal_low`` to ``signal_high`` of the band
    ``tuned_band`` ("lower" or "upper") is received.
    """

    crossed: Allocation
    tuned_band: str
    oscillator_low: float
    oscillator_high: float
    signal_low: float
    signal_high: float


@dataclass(frozen=True)
class Harmonic:
    """A harmonic of the intermediate (and beat) frequency that falls in a wanted band."""

    order: int
    frequency: float
    band: str


@dataclass(frozen=True)
class SwapScheme:
    """Two bands on one oscillator range: what fits, what does not, what else is there.  Hz.

    ``lower`` and ``upper`` are the bands' own plans.  ``dial_low``..``dial_high``
    is the oscillator range laid on the dial.  ``centre_shift`` is the middle of
    the upper band's oscillator range less that of the lower band's; negative:
    a capacitor belongs across the tank on the upper band.  Shares are the parts
    of the dial that each band's range would fill if centred (1 = all).
    ``overlap`` is what both ranges share and ``outside`` what the narrower
    range leaves beyond the wider one.  ``miss`` is the intermediate frequency less
    the one that meets, or None where nothing meets.  Beat sides are for the
    sidebands given.  ``reasons`` say why it cannot work; the other tuples, what
    to weigh: ``radiation``, ``harmonics`` and ``on_intermediate_frequency``.
    """

    lower: BandPlan
    upper: BandPlan
    intermediate_frequency: float
    region: int
    dial: str
    dial_low: float
    dial_high: float
    miss: float | None
    centre_shift: float
    lower_share: float
    upper_share: float
    overlap: float
    outside: float
    sideband_on_lower: str
    sideband_on_upper: str
    lower_beat_side: str
    upper_beat_side: str
    radiation: tuple[Radiation, ...]
    harmonics: tuple[Harmonic, ...]
    on_intermediate_frequency: tuple[Allocation, ...]
    reasons: tuple[str, ...]

    @property
    def works(self) -> bool:
        """Whether nothing stands against the scheme."""
        return not self.reasons

    @property
    def dial_span(self) -> float:
        """Width of the dial, in Hz of the oscillator."""
        return self.dial_high - self.dial_low

    @property
    def gap(self) -> float:
        """What lies between the two oscillator ranges, Hz; zero where they share some."""
        return max(0.0, max(self.lower.oscillator_low, self.upper.oscillator_low)
                   - min(self.lower.oscillator_high, self.upper.oscillator_high))

    @property
    def beat_oscillator_changes_sides(self) -> bool:
        """Whether the beat oscillator must change sides with the band."""
        return self.lower_beat_side != self.upper_beat_side

    @property
    def wider(self) -> str:
        """The band whose oscillator range is the wider one: "lower" or "upper"."""
        wider_upper = self.upper.oscillator_span > self.lower.oscillator_span
        return UPPER_BAND if wider_upper else LOWER_BAND


def swap_bands(
    lower_low: float,
    lower_high: float,
    upper_low: float,
    upper_high: float,
    intermediate_frequency: float,
    *,
    lower_injection: str = HIGH,
    upper_injection: str = LOW,
    dial: str = WIDER,
    region: int = 2,
    sideband_on_lower: str = UPPER,
    sideband_on_upper: str = UPPER,
) -> SwapScheme:
    """Judge two bands on one oscillator at ``intermediate_frequency`` (Hz).

    ``lower_low`` to ``lower_high`` and ``upper_low`` to ``upper_high`` are the bands' edges, Hz.

    ``dial`` "wider" lays the wider band's range on the dial, "union" both
    ranges end to end.  ``region`` says whose amateur bands the oscillator may
    disturb.  By default the same sideband is wanted on both bands.  Raises
    :class:`Unclear` for values that are no bands or no frequencies; a scheme
    that cannot be built comes back with its ``reasons``.
    """
    _check_bands((lower_low, lower_high), (upper_low, upper_high))
    if dial not in DIALS:
        raise Unclear("Dial must lay out the wider range or the union of both.")
    lower = plan_band(lower_low, lower_high, intermediate_frequency, lower_injection)
    upper = plan_band(upper_low, upper_high, intermediate_frequency, upper_injection)
    region = check_region(region)
    bottom, top = _dial_range(lower, upper, dial)
    overlap = min(lower.oscillator_high, upper.oscillator_high) - max(
        lower.oscillator_low, upper.oscillator_low
    )
    overlap = max(0.0, overlap)
    intermediate = lower.intermediate_frequency
    return SwapScheme(
        lower=lower, upper=upper, intermediate_frequency=intermediate, region=region,
        dial=dial, dial_low=bottom, dial_high=top, miss=_miss(lower, upper),
        centre_shift=upper.oscillator_centre - lower.oscillator_centre,
        lower_share=lower.oscillator_span / (top - bottom),
        upper_share=upper.oscillator_span / (top - bottom),
        overlap=overlap,
        outside=min(lower.oscillator_span, upper.oscillator_span) - overlap,
        sideband_on_lower=sideband_on_lower, sideband_on_upper=sideband_on_upper,
        lower_beat_side=beat_side(sideband_on_lower, lower.sideband_inverted),
        upper_beat_side=beat_side(sideband_on_upper, upper.sideband_inverted),
        radiation=_radiation(lower, LOWER_BAND, region) + _radiation(upper, UPPER_BAND, region),
        harmonics=_harmonics(lower, upper),
        on_intermediate_frequency=occupants_of(intermediate, intermediate, region),
        reasons=_reasons(lower, upper),
    )


def _dial_range(lower: BandPlan, upper: BandPlan, dial: str) -> tuple[float, float]:
    """Oscillator range laid on the dial."""
    if dial == UNION:
        return (
            min(lower.oscillator_low, upper.oscillator_low),
            max(lower.oscillator_high, upper.oscillator_high),
        )
    wider = upper if upper.oscillator_span > lower.oscillator_span else lower
    return wider.oscillator_low, wider.oscillator_high


def _miss(lower: BandPlan, upper: BandPlan) -> float | None:
    """Intermediate frequency less the one at which the two middles meet."""
    try:
        meeting = meeting_intermediate_frequency(
            (lower.band_low, lower.band_high), (upper.band_low, upper.band_high),
            lower_injection=lower.injection, upper_injection=upper.injection,
        )
    except Unclear:
        return None
    return lower.intermediate_frequency - meeting


def _radiation(plan: BandPlan, tuned_band: str, region: int) -> tuple[Radiation, ...]:
    """Amateur bands that the oscillator crosses while ``plan``'s band is tuned."""
    found = []
    bottom = max(plan.oscillator_low, 0.0)
    if plan.oscillator_high < bottom:
        return ()
    for crossed in occupants_of(bottom, plan.oscillator_high, region, services=(AMATEUR,)):
        ends = max(bottom, crossed.low), min(plan.oscillator_high, crossed.high)
        if ends[0] >= ends[1]:  # it only touches an edge
            continue
        if plan.tunes_backwards:
            signals = sorted(plan.intermediate_frequency - end for end in ends)
        else:
            signals = [plan.band_low + (end - plan.oscillator_low) for end in ends]
        found.append(Radiation(crossed, tuned_band, *ends, *signals))
    return tuple(found)


def _harmonics(lower: BandPlan, upper: BandPlan) -> tuple[Harmonic, ...]:
    """Harmonics of the intermediate frequency, where the beat oscillator runs, in either band."""
    return tuple(
        Harmonic(order, order * plan.intermediate_frequency, band)
        for band, plan in ((LOWER_BAND, lower), (UPPER_BAND, upper))
        for order in range(2, HIGHEST_HARMONIC + 1)
        if plan.band_low <= order * plan.intermediate_frequency <= plan.band_high
    )


def _reasons(lower: BandPlan, upper: BandPlan) -> tuple[str, ...]:
    """Why the pair cannot share one oscillator."""
    found = list(dict.fromkeys(lower.reasons + upper.reasons))
    if lower.injection == upper.injection:
        found.append(
            f"Both bands use {lower.injection} injection, so the oscillator must move by the whole "
            f"{show(abs(upper.oscillator_centre - lower.oscillator_centre), 'Hz')} between them: "
            "that is an ordinary multiband receiver."
        )
    elif (lower.injection, upper.injection) not in ((HIGH, LOW), (SUM, LOW)):
        found.append(
            f"Injection {lower.injection} on the lower band and {upper.injection} on the upper "
            "never meets at one oscillator frequency: the middles lie "
            f"{show(abs(upper.oscillator_centre - lower.oscillator_centre), 'Hz')} apart."
        )
    return tuple(found)

"""Bring two bands to the middle of one dial with a capacitor switched across the oscillator tank.

Works on a :class:`~rxlearn.compute.image_swapping.SwapScheme`.  Frequencies in
Hz, capacitances in F, inductances in H.

Model: an ideal tank, f = 1/(2π√(LC)), whose variable capacitor covers the
wider band exactly with the capacitor in or out as that band needs it.  The
switch's own capacitance (1 to 3 pF, common practice) belongs in the value
that is trimmed at the bench.  DERIVED from the resonance formula.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rxlearn.compute.image_swapping import LOWER_BAND, UPPER_BAND, SwapScheme
from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.tank import (
    CAPACITANCE,
    INDUCTANCE,
    capacitance_for,
    resonant_frequency,
    shift_capacitance,
)
from rxlearn.compute.tuning import HIGH, BandPlan
from rxlearn.data.spectrum import TIME_STATIONS

SWITCHED = Range("Switched capacitor", "F", 0.0, 1e-6)
STATION_REACH = 0.05
"""How far from a band to look for a time station, as a share of frequency (a choice, no source)."""


@dataclass(frozen=True)
class Recentring:
    """The switched capacitor, and what the whole dial covers on the narrower band with it.

    ``switched_on`` is the band, lower or upper, on which ``capacitance`` (F)
    is switched across the tank, or None if the middles agree.  ``narrow_band``
    is the band with the narrower range; the dial from end to end then covers
    ``span_low``..``span_high`` (Hz of the oscillator) on it, of which the
    band fills ``share`` (may exceed 1 if it does not fit).  ``covered`` says
    whether the whole band lies on the dial.  ``capacitance_at_low`` and
    ``capacitance_at_high`` are the tank's totals (F) at the ends of the wider band.
    """

    scheme: SwapScheme
    inductance: float
    switched_on: str | None
    capacitance: float
    narrow_band: str
    capacitance_at_low: float
    capacitance_at_high: float
    span_low: float
    span_high: float
    share: float
    covered: bool

    @property
    def span(self) -> float:
        """Width (Hz) that the whole dial covers on the narrower band."""
        return self.span_high - self.span_low

    @property
    def span_change(self) -> float:
        """That width over the wider band's, less 1: negative if the capacitor narrows the dial."""
        wide = max(self.scheme.lower.oscillator_span, self.scheme.upper.oscillator_span)
        return self.span / wide - 1


def recentre(scheme: SwapScheme, inductance: float) -> Recentring:
    """Capacitor that puts the middle of both bands on the same dial setting of a tank (H).

    The band whose oscillator middle lies lower gets the capacitor: a tank
    only goes down by adding.  Raises :class:`Unclear` for a scheme that cannot
    work, an inductance out of range, or a tank with too little capacitance left.
    """
    if not scheme.works:
        raise Unclear(f"Scheme cannot be recentred: {scheme.reasons[0]}")
    wide, narrow = scheme.lower, scheme.upper
    narrow_band = UPPER_BAND
    if scheme.wider == UPPER_BAND:
        wide, narrow, narrow_band = narrow, wide, LOWER_BAND
    # Signed: what the narrow band's tank has more than the wide band's.
    more = shift_capacitance(wide.oscillator_centre, narrow.oscillator_centre, inductance)
    at_low = capacitance_for(wide.oscillator_low, inductance)
    at_high = capacitance_for(wide.oscillator_high, inductance)
    if at_high + more <= 0:
        raise Unclear(
            f"Capacitor of {show(-more, 'F')} would have to be taken from a tank that holds "
            f"{show(at_high, 'F')}: choose bands or a crystal that meet more closely."
        )
    bottom = resonant_frequency(inductance, at_low + more)
    top = resonant_frequency(inductance, at_high + more)
    switched_on = None
    if scheme.centre_shift:
        switched_on = UPPER_BAND if scheme.centre_shift < 0 else LOWER_BAND
    return Recentring(
        scheme=scheme, inductance=float(inductance), switched_on=switched_on,
        capacitance=abs(more), narrow_band=narrow_band,
        capacitance_at_low=at_low, capacitance_at_high=at_high,
        span_low=bottom, span_high=top, share=narrow.oscillator_span / (top - bottom),
        covered=bottom <= narrow.oscillator_low and narrow.oscillator_high <= top,
    )


@dataclass(frozen=True)
class BandOnDial:
    """Where a band lies on the dial, as shares of it: 0 the low end, 1 the high end.

    Beyond either end it is off the dial; infinite where the tank cannot get
    there at all.  ``station`` is the place of a time station near the band, or
    None if there is none.
    """

    low: float
    middle: float
    high: float
    station: float | None

    @property
    def width(self) -> float:
        """The share of the dial that the band takes."""
        return self.high - self.low

    @property
    def on_dial(self) -> bool:
        """Whether the whole band can be tuned."""
        return 0.0 <= self.low and self.high <= 1.0


@dataclass(frozen=True)
class SwitchedDial:
    """The narrower band on the wider band's dial, without and with the switched capacitor.

    The dial's scale is the wider band's: it covers that band from 0 to 1,
    evenly in frequency.  ``capacitance`` (F) is switched in on the band
    ``switched_on``.  ``wanted`` (F) would bring the middles together, None
    where nothing can; ``reasons`` say why the scheme cannot work, and
    ``before`` and ``after`` are then None.  ``signal_low``..``signal_high`` (Hz)
    is what the whole dial receives on the narrower band with the capacitor.
    ``station`` is the frequency (Hz) of the time station looked for, or None.
    """

    scheme: SwapScheme
    inductance: float
    capacitance: float
    switched_on: str
    narrow_band: str
    wanted: float | None
    reasons: tuple[str, ...]
    before: BandOnDial | None
    after: BandOnDial | None
    signal_low: float
    signal_high: float
    station: float | None

    @property
    def span(self) -> float:
        """Width (Hz) that the whole dial covers on the narrower band with the capacitor."""
        return self.signal_high - self.signal_low

    @property
    def centred(self) -> bool:
        """Whether the narrower band's middle lies within a hundredth of the dial's middle."""
        return self.after is not None and abs(self.after.middle - 0.5) <= 0.01


def switch_capacitor(scheme: SwapScheme, inductance: float, capacitance: float) -> SwitchedDial:
    """Switch ``capacitance`` (F) across a tank of ``inductance`` (H); see where the bands lie.

    The capacitor goes on the band whose oscillator range lies lower.  Raises
    :class:`Unclear` for values out of range; a scheme that cannot work, or a
    capacitor larger than the tank allows, is answered in the result.
    """
    inductance, capacitance = INDUCTANCE.check(inductance), SWITCHED.check(capacitance)
    switched_on = UPPER_BAND if scheme.centre_shift <= 0 else LOWER_BAND
    wide, narrow, narrow_band = scheme.lower, scheme.upper, UPPER_BAND
    if scheme.wider == UPPER_BAND:
        wide, narrow, narrow_band = narrow, wide, LOWER_BAND
    wanted, reasons = None, scheme.reasons
    try:
        wanted = recentre(scheme, inductance).capacitance
    except Unclear as problem:
        reasons = reasons or (str(problem),)
    before = after = station = None
    ends = math.nan, math.nan
    if scheme.works:
        station = _station_near(narrow)
        more = capacitance if switched_on == narrow_band else -capacitance
        before = _place_band(wide, narrow, inductance, 0.0, station)
        after = _place_band(wide, narrow, inductance, more, station)
        ends = _received(wide, narrow, inductance, more)
    return SwitchedDial(
        scheme=scheme, inductance=inductance, capacitance=capacitance, switched_on=switched_on,
        narrow_band=narrow_band, wanted=wanted, reasons=reasons, before=before, after=after,
        signal_low=ends[0], signal_high=ends[1], station=station,
    )


def _station_near(plan: BandPlan) -> float | None:
    """The time station nearest to the band's middle, if one lies near enough."""
    middle = (plan.band_low + plan.band_high) / 2
    nearest = min((row.low for row in TIME_STATIONS), key=lambda f: abs(f - middle))
    return nearest if abs(nearest - middle) <= STATION_REACH * middle else None


def _place_band(
    wide: BandPlan, narrow: BandPlan, inductance: float, more: float, station: float | None
) -> BandOnDial:
    """Places on ``wide``'s dial of ``narrow``'s edges, when its tank holds ``more`` (F)."""
    offset = -_to_signal(narrow)
    places = [
        _place(wide, inductance, oscillator, more)
        for oscillator in (narrow.oscillator_low, narrow.oscillator_centre, narrow.oscillator_high)
    ]
    heard = None if station is None else _place(wide, inductance, station + offset, more)
    return BandOnDial(*places, heard)


def _place(wide: BandPlan, inductance: float, oscillator: float, more: float) -> float:
    """Where the dial stands when the oscillator runs at ``oscillator`` (Hz)."""
    # Take the extra away: what is left is what the wider band's tank holds at that place.
    left = capacitance_for(oscillator, inductance) - more
    if left < CAPACITANCE.low:
        return math.inf
    return (resonant_frequency(inductance, left) - wide.oscillator_low) / wide.oscillator_span


def _received(
    wide: BandPlan, narrow: BandPlan, inductance: float, more: float
) -> tuple[float, float]:
    """What the dial's two ends receive on ``narrow`` (Hz); infinite where the tank cannot go."""
    to_signal = _to_signal(narrow)
    ends = []
    for oscillator in (wide.oscillator_low, wide.oscillator_high):
        total = capacitance_for(oscillator, inductance) + more
        reached = total >= CAPACITANCE.low
        ends.append(resonant_frequency(inductance, total) + to_signal if reached else math.inf)
    return ends[0], ends[1]


def _to_signal(plan: BandPlan) -> float:
    """Signal less oscillator (Hz): minus the intermediate frequency on the high side, else plus."""
    return plan.intermediate_frequency * (-1 if plan.injection == HIGH else 1)

"""Bring two bands to the middle of one dial with a capacitor switched across the oscillator tank.

Works on a :class:`~rxlearn.compute.image_swapping.SwapScheme`.  Frequencies in
Hz, capacitances in F, inductances in H.

Model: an ideal tank, f = 1/(2π√(LC)), whose variable capacitor covers the
wider band exactly with the capacitor in or out as that band needs it.  The
switch's own capacitance (1 to 3 pF, common practice) belongs in the value
that is trimmed at the bench.  DERIVED from the resonance formula.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.image_swapping import LOWER_BAND, UPPER_BAND, SwapScheme
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.tank import capacitance_for, resonant_frequency, shift_capacitance


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

"""One setting of the one oscillator: which two signals it brings in, and which is the image.  Hz.

The figure's question: turn the oscillator, and what moves?  Both signals, each
keeping one intermediate frequency from it.  The preselector makes one of them
the wanted signal and the other its image.

Model: the frequency plan and the preselector's ideal resonators (see
:mod:`~rxlearn.compute.preselector` for their limits).  What lies on a frequency
is read from the spectrum table, within :data:`BESIDE` of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rxlearn.compute.image_swapping import (
    LOWER_BAND,
    UPPER_BAND,
    SwapScheme,
    tuned_pair,
)
from rxlearn.compute.preselector import LOADED_Q, RESPONSE_FREQUENCY, check_circuits, response_db
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.tuning import SIGNAL, occupants_of
from rxlearn.data.spectrum import AMATEUR, TIME_STATIONS

BESIDE = 1e3
"""How near (Hz) a frequency must be to a station to count as being on it (a choice, no source)."""

MARGIN = 0.16
"""What a dial shows beyond either end, as a share of its width (a choice, no source)."""


@dataclass(frozen=True)
class Heard:
    """One of the two signals: ``frequency`` in Hz, and where it falls.

    ``band`` is "lower" or "upper" if it lies in one of the scheme's bands, else
    None.  ``there`` names what the spectrum table holds on it; may be empty.
    """

    frequency: float
    band: str | None
    there: tuple[str, ...]


@dataclass(frozen=True)
class SwapSetting:
    """The oscillator at one place, the preselector on one of the two signals.

    ``below`` and ``above`` are the signals one intermediate frequency below and
    above the ``oscillator`` (Hz); ``preselector_on`` ("lower" or "upper") says
    which of them is wanted.  ``image_rejection_db`` is how far the circuits
    hold the other down (infinite where it falls on zero).  ``oscillator_in``
    names the amateur bands that the oscillator itself stands in.
    """

    scheme: SwapScheme
    oscillator: float
    preselector_on: str
    loaded_q: float
    circuits: int
    below: Heard
    above: Heard
    image_rejection_db: float
    oscillator_in: tuple[str, ...]

    @property
    def wanted(self) -> Heard:
        """The signal that the preselector is tuned to."""
        return self.below if self.preselector_on == LOWER_BAND else self.above

    @property
    def image(self) -> Heard:
        """The other signal, which the same oscillator brings to the same frequency."""
        return self.above if self.preselector_on == LOWER_BAND else self.below


def set_swap(
    scheme: SwapScheme,
    oscillator: float,
    preselector_on: str,
    *,
    loaded_q: float,
    circuits: int = 1,
) -> SwapSetting:
    """Tune ``scheme`` to ``oscillator`` (Hz) with the preselector on "lower" or "upper".

    "lower" is the signal below the oscillator, "upper" the one above: in a
    scheme that works, the lower and the upper band.  Raises :class:`Unclear`
    for values out of range, and where no circuit could be tuned to the wanted
    signal.  A scheme with ``reasons`` is tuned like any other.
    """
    if preselector_on not in (LOWER_BAND, UPPER_BAND):
        raise Unclear("Preselector must stand on the lower or on the upper signal.")
    pair = tuned_pair(oscillator, scheme.intermediate_frequency)
    below, above = float(pair.lower_signal), float(pair.upper_signal)
    wanted, image = (below, above) if preselector_on == LOWER_BAND else (above, below)
    if wanted < SIGNAL.low:
        raise Unclear(
            f"Signal of {show(wanted, 'Hz')} is too low to tune a circuit to: move the oscillator "
            f"away from the intermediate frequency of {show(scheme.intermediate_frequency, 'Hz')}."
        )
    loaded_q, circuits = LOADED_Q.check(loaded_q), check_circuits(circuits)
    rejection = math.inf
    if image >= RESPONSE_FREQUENCY.low:
        rejection = 0.0 - response_db(image, wanted, loaded_q, circuits)
    return SwapSetting(
        scheme=scheme, oscillator=float(oscillator), preselector_on=preselector_on,
        loaded_q=loaded_q, circuits=circuits,
        below=_heard(scheme, below), above=_heard(scheme, above),
        image_rejection_db=rejection,
        oscillator_in=tuple(
            row.name
            for row in occupants_of(oscillator, oscillator, scheme.region, services=(AMATEUR,))
        ),
    )


def _heard(scheme: SwapScheme, frequency: float) -> Heard:
    band = None
    for name, plan in ((LOWER_BAND, scheme.lower), (UPPER_BAND, scheme.upper)):
        if plan.band_low <= frequency <= plan.band_high:
            band = name
    found = occupants_of(max(0.0, frequency - BESIDE), frequency + BESIDE, scheme.region)
    return Heard(frequency, band, tuple(dict.fromkeys(row.name for row in found)))


@dataclass(frozen=True)
class DialView:
    """The stretch of oscillator to show for a scheme, and where to start in it.  Hz.

    ``low``..``high`` holds both bands' ranges with a margin, or the lower
    band's alone where the two cannot share an oscillator.  ``start`` is in the
    middle of what both ranges share, or of the lower band's range.
    ``stations`` are the time stations in view: the signal and the oscillator
    that brings it in.
    """

    scheme: SwapScheme
    low: float
    high: float
    start: float
    stations: tuple[tuple[float, float], ...]


def view_dial(scheme: SwapScheme) -> DialView:
    """Choose what to show of the oscillator's dial for ``scheme``; never refuses a scheme."""
    lower, upper = scheme.lower, scheme.upper
    bottom, top = lower.oscillator_low, lower.oscillator_high
    start = lower.oscillator_centre
    if scheme.works:
        bottom = min(bottom, upper.oscillator_low)
        top = max(top, upper.oscillator_high)
        shared = (max(lower.oscillator_low, upper.oscillator_low),
                  min(lower.oscillator_high, upper.oscillator_high))
        start = sum(shared) / 2 if shared[0] < shared[1] else start
    margin = MARGIN * (top - bottom)
    bottom, top = max(bottom - margin, 2 * SIGNAL.low), max(top + margin, 10 * SIGNAL.low)
    start = max(start, bottom)
    intermediate = scheme.intermediate_frequency
    stations = tuple(
        (row.low, place)
        for row in TIME_STATIONS
        for place in sorted({row.low - intermediate, row.low + intermediate})
        if bottom < place < top
    )
    return DialView(scheme, bottom, top, start, stations)


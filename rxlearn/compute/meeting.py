"""Slide the intermediate frequency: two oscillator ranges move, and a crystal has to be bought.  Hz.

With high-side injection on the lower band and low-side on the upper, raising
the intermediate frequency moves one oscillator range up and the other down.
They meet at one value only; the crystals in stock stand where they stand.

Model: the arithmetic of the frequency plan.  A miss of the intermediate
frequency parts the middles by twice as much (DERIVED from oscillator =
signal ± IF).
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.image_swapping import (
    CrystalMiss,
    SwapScheme,
    meeting_intermediate_frequency,
    nearest_crystal,
    swap_bands,
)
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tuning import INTERMEDIATE_FREQUENCY
from rxlearn.data.crystals import STOCK_CRYSTALS, StockCrystal

REACH = 0.12
"""How far to either side of the meeting frequency to look, as a share of it (a choice, no source)."""


@dataclass(frozen=True)
class Meeting:
    """Both ranges at one intermediate frequency, and the crystal nearest to that.

    ``meeting`` is the intermediate frequency (Hz) at which the middles agree,
    None if these sides never meet.  ``crystal`` is the stock crystal nearest to
    the intermediate frequency set (``crystal.miss``: crystal less setting), and
    ``crystal_from_meeting`` how far (Hz, signed) it lies from the meeting, or None.
    """

    scheme: SwapScheme
    meeting: float | None
    crystal: CrystalMiss
    crystal_from_meeting: float | None


def meet(scheme: SwapScheme, intermediate_frequency: float) -> Meeting:
    """Lay ``scheme``'s bands out around another ``intermediate_frequency`` (Hz).

    Raises :class:`Unclear` for a frequency out of range; what cannot work
    comes back with the new scheme's ``reasons``.
    """
    lower, upper = scheme.lower, scheme.upper
    moved = swap_bands(
        lower.band_low, lower.band_high, upper.band_low, upper.band_high, intermediate_frequency,
        lower_injection=lower.injection, upper_injection=upper.injection, region=scheme.region,
    )
    meeting = meeting_of(scheme)
    crystal = nearest_crystal(intermediate_frequency, count=1)[0]
    return Meeting(
        scheme=moved, meeting=meeting, crystal=crystal,
        crystal_from_meeting=None if meeting is None else crystal.crystal.frequency - meeting,
    )


def meeting_of(scheme: SwapScheme) -> float | None:
    """Intermediate frequency (Hz) at which ``scheme``'s middles agree, or None if they never do."""
    lower, upper = scheme.lower, scheme.upper
    try:
        return meeting_intermediate_frequency(
            (lower.band_low, lower.band_high), (upper.band_low, upper.band_high),
            lower_injection=lower.injection, upper_injection=upper.injection,
        )
    except Unclear:
        return None


@dataclass(frozen=True)
class MeetingView:
    """Which intermediate frequencies, ``low`` to ``high`` (Hz), to offer, and the crystals there."""

    low: float
    high: float
    crystals: tuple[StockCrystal, ...]


def view_meeting(scheme: SwapScheme) -> MeetingView:
    """Look to both sides of where ``scheme``'s bands meet, far enough to hold its own crystal.

    Where they never meet, look around the scheme's own intermediate frequency.
    """
    own = scheme.intermediate_frequency
    meeting = meeting_of(scheme) or own
    low = max(INTERMEDIATE_FREQUENCY.low, min((1 - REACH) * meeting, own - 0.02 * meeting))
    high = max((1 + REACH) * meeting, own + 0.02 * meeting)
    return MeetingView(
        low, high, tuple(row for row in STOCK_CRYSTALS if low <= row.frequency <= high)
    )

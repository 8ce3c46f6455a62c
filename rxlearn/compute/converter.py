"""A crystal-controlled converter in front of a receiver that tunes a lower band.  Hz throughout.

The crystal stands still and the receiver behind it tunes, so a crystal above
the band turns the dial round and inverts the sideband; one below leaves both.
The landing range is |f − crystal|: DERIVED from the product of two cosines.

Model: the difference product alone; for the converter's image, its whistles and its
dial see :mod:`~rxlearn.compute.converter_plan`.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.quantities import show, show_span
from rxlearn.compute.tuning import OSCILLATOR, check_band


@dataclass(frozen=True)
class ConvertedBand:
    """A band moved by a crystal into a tunable receiver's range.  Hz.

    ``landing_low``..``landing_high`` is where the whole band would land;
    ``covered_low``..``covered_high`` is the part of the *band* that the tunable
    range reaches (None if it reaches nothing).  ``inverted``: the dial runs backwards and
    the sideband is turned over, because the crystal lies above the band.
    """

    band_low: float
    band_high: float
    crystal: float
    tunable_low: float
    tunable_high: float
    landing_low: float
    landing_high: float
    inverted: bool
    covered_low: float | None
    covered_high: float | None
    reasons: tuple[str, ...]


def convert_band(
    band_low: float, band_high: float, crystal: float, tunable_low: float, tunable_high: float
) -> ConvertedBand:
    """Move a band (Hz) with a ``crystal`` (Hz) into ``tunable_low``..``tunable_high`` (Hz).

    The difference product: |f − crystal|.  Raises :class:`Unclear` for bad
    edges; a crystal inside the band comes back with its reason.
    """
    low, high = check_band(band_low, band_high)
    bottom, top = check_band(tunable_low, tunable_high, name="Tunable range")
    crystal = OSCILLATOR.check(crystal)
    inverted = crystal > low
    landing = sorted((abs(low - crystal), abs(high - crystal)))
    covered = (
        (max(low, crystal - top), min(high, crystal - bottom))
        if inverted
        else (max(low, crystal + bottom), min(high, crystal + top))
    )
    reasons = ()
    if low <= crystal <= high:
        landing[0], covered = 0.0, (high, low)
        reasons = (
            f"The crystal on {show(crystal, 'Hz')} lies inside the band "
            f"{show_span(low, high, 'Hz')}, so the band folds over itself: choose one outside.",
        )
    elif covered[0] > covered[1]:
        reasons = (
            f"The band lands on {show_span(*landing, 'Hz')}, beyond the tunable range "
            f"{show_span(bottom, top, 'Hz')}: choose another crystal.",
        )
    if covered[0] > covered[1]:
        covered = (None, None)
    return ConvertedBand(low, high, crystal, bottom, top, *landing, inverted, *covered, reasons)

"""Where the image lies while a band is tuned, and what else is on the air there.  Hz, dB.

Model: the occupants are those of :mod:`rxlearn.data.spectrum`, which says what
is allocated or known to transmit, not what is heard tonight; the rejection is
that of ideal isolated circuits, see :mod:`rxlearn.compute.preselector`.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.preselector import Preselector, preselect
from rxlearn.compute.quantities import Range
from rxlearn.compute.tuning import check_band, occupants_of, oscillator_frequency
from rxlearn.data.spectrum import (
    AMATEUR,
    BROADCAST,
    SHORT_WAVES_END,
    STANDARD_FREQUENCY,
    TABLE_END,
    TIME,
    Allocation,
)

SHARE = Range("Place on the dial", "%", 0.0, 100.0)

REACH = 300e3
"""How far (Hz) to either side of the image the neighbourhood is looked at."""

KINDS = {BROADCAST: "broadcast", AMATEUR: "amateur", TIME: "time", STANDARD_FREQUENCY: "time"}
"""Service to the kind of neighbour it is; every service not named here is ``other``."""


def kind_of(row: Allocation) -> str:
    """The kind of neighbour that ``row`` is: broadcast, amateur, time or other."""
    return KINDS.get(row.service, "other")


def short_waves(region: int) -> tuple[Allocation, ...]:
    """The table up to 30 MHz for an ITU ``region`` (1, 2 or 3), in rising order; else :class:`Unclear`."""
    return occupants_of(0.0, SHORT_WAVES_END, region)


@dataclass(frozen=True)
class Neighbourhood:
    """The image of one tuned signal and what lies around it.  Hz.

    ``share`` is the place in the band ``band_low``..``band_high`` in percent,
    ``preselector`` holds signal, intermediate frequency, side, image and
    rejections.  ``on_image`` are the occupants of the image itself, ``around``
    those within :data:`REACH` of it, in rising order.
    """

    band_low: float
    band_high: float
    share: float
    region: int
    preselector: Preselector
    oscillator: float
    on_image: tuple[Allocation, ...]
    around: tuple[Allocation, ...]

    @property
    def beyond_table(self) -> bool:
        """Whether the image lies above the end of the table of occupants."""
        return self.preselector.image_frequency > TABLE_END


def look_around_image(
    band_low: float, band_high: float, share: float, intermediate_frequency: float,
    injection: str, *, region: int, loaded_q: float, circuits: int,
) -> Neighbourhood:
    """Tune to ``share`` percent of a band (edges in Hz) and look at its image.

    ``injection`` is high, low or sum; ``region`` an ITU region; ``loaded_q`` and
    ``circuits`` describe the preselector, tuned to the signal.  Raises
    :class:`Unclear` for values out of range and where no oscillator fits.
    """
    low, high = check_band(band_low, band_high)
    share = SHARE.check(share)
    signal = low + share / 100 * (high - low)
    oscillator = oscillator_frequency(signal, intermediate_frequency, injection)
    found = preselect(signal, intermediate_frequency, injection, loaded_q, circuits)
    image = found.image_frequency
    return Neighbourhood(
        band_low=low, band_high=high, share=share, region=region,
        preselector=found, oscillator=oscillator,
        on_image=occupants_of(image, image, region),
        around=occupants_of(max(0.0, image - REACH), image + REACH, region),
    )

"""An ordinary receiver's oscillator from band to band, beside two bands on one range.  Hz.

Model: as :func:`rxlearn.compute.tuning.multiband_steps`; the coil's step follows
from the resonance formula with the tank's capacitance unchanged at mid-band.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rxlearn.compute.tuning import HIGH, LOW, BandPlan, BandStep, multiband_steps, plan_band
from rxlearn.data.spectrum import AMATEUR_BANDS, Allocation

Band = tuple[str, float, float]
"""A band's name and its edges in Hz."""

LEFT_OUT = ("60 m",)
"""Amateur bands that an ordinary multiband receiver does not switch to: a few channels only."""


@dataclass(frozen=True)
class Multiband:
    """How one oscillator must move through ``bands`` with the same injection on each.  Hz.

    ``steps`` are in the order of ``bands``.  ``above`` and ``below`` are the two
    bands of ``pair`` on the same intermediate frequency, with the oscillator
    above the first and below the second.
    """

    bands: tuple[Band, ...]
    pair: tuple[Band, Band]
    intermediate_frequency: float
    injection: str
    steps: tuple[BandStep, ...]
    above: BandPlan
    below: BandPlan

    @property
    def sharing(self) -> int:
        """How many changes of band leave a stretch of oscillator range in common."""
        return sum(step.overlap > 0 for step in self.steps[1:])

    @property
    def working(self) -> tuple[BandStep, ...]:
        """The steps whose band has an oscillator."""
        return tuple(step for step in self.steps if step.plan.works)

    @property
    def pair_overlap(self) -> float:
        """Stretch (Hz) common to the pair's two ranges; negative: the gap between them."""
        return (min(self.above.oscillator_high, self.below.oscillator_high)
                - max(self.above.oscillator_low, self.below.oscillator_low))


def coil_ratio(step: BandStep) -> float:
    """The coil's inductance over the one before it, with the same capacitance at mid-band.

    From f = 1/(2π√(LC)): the inverse square of the frequencies' ratio.  Not a
    number where either band has no oscillator.
    """
    return step.centre_ratio**-2


def follow_bands(
    bands: Sequence[Band], intermediate_frequency: float, injection: str, *,
    pair: tuple[Band, Band],
) -> Multiband:
    """Follow the oscillator through ``bands``, and put ``pair`` on one range beside it.

    Edges and ``intermediate_frequency`` in Hz; ``injection`` is high or low.
    Raises :class:`Unclear` for edges that make no band and for values out of range;
    a band without an oscillator is told by its plan's ``reasons``.
    """
    steps = multiband_steps([(low, high) for _, low, high in bands],
                            intermediate_frequency, injection)
    lower, upper = pair
    return Multiband(
        bands=tuple(bands), pair=(lower, upper),
        intermediate_frequency=steps[0].plan.intermediate_frequency, injection=injection,
        steps=steps,
        above=plan_band(*lower[1:], intermediate_frequency, HIGH),
        below=plan_band(*upper[1:], intermediate_frequency, LOW),
    )


def ordinary_bands(region: int) -> tuple[Band, ...]:
    """The amateur bands of an ITU ``region`` (1 to 3) that such a receiver switches through."""
    rows: tuple[Allocation, ...] = AMATEUR_BANDS[region]
    return tuple((row.name, row.low, row.high) for row in rows if row.name not in LEFT_OUT)

"""What follows from a plan for many receivers built like it, worded.

Each row takes a :class:`PlannedReceivers` and returns a text, or a value in SI with its unit;
it raises Unclear with the reason where there is no answer.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache, cached_property
from types import MappingProxyType

import numpy as np

from rxlearn.compute.influence import (
    DIAL_WIDTH,
    TRIMMER_SETTING,
    influence_points,
    influences,
)
from rxlearn.compute.quantities import show_span
from rxlearn.compute.receiver_parts import COIL, SPOKEN, Build
from rxlearn.compute.tolerances import Draws, Probability, Tolerances, build_many, draw
from rxlearn.plan.band_spread import SPREAD_WAY
from rxlearn.plan.document import Plan
from rxlearn.plan.tolerances import ManyTimes, many_times

RECEIVERS = 4096
"""So many are enough for a share to about one in a hundred, in a few milliseconds."""

SEED = 1


class PlannedReceivers:
    """Receivers built from a plan's parts list, worked out once and when first asked for.

    Raises :class:`~rxlearn.compute.quantities.Unclear` where the plan cannot be built.
    """

    def __init__(self, plan: Plan) -> None:
        self.plan = plan

    @cached_property
    def many(self) -> ManyTimes:
        """The plan's parts, as they are built."""
        return many_times(self.plan)

    @cached_property
    def built(self) -> Build:
        """The parts list."""
        return self.many.build()

    @cached_property
    def found(self) -> Tolerances:
        """What the receivers came out as."""
        return build_many(self.built, draws=_draws(),
                          warming_high=self.plan.value("tolerance.warming"))

    @cached_property
    def influence(self) -> Mapping[str, Mapping[str, float]]:
        """Which part matters how much, to a few percent."""
        return influences(self.built, points=_points())


@cache
def _points() -> np.ndarray:
    """The points for the influences, the same for every plan as well."""
    return influence_points(SEED, 8)


@cache
def _draws() -> Draws:
    """The draws, the same for every plan: drawing takes longer than building."""
    return draw(receivers=RECEIVERS, seed=SEED)


ReceiversRow = Callable[[PlannedReceivers], str | tuple[float, str]]


def of_hundred(share: Probability) -> str:
    """A share of receivers in words, with what is uncertain about it."""
    half = 100 * (share.high - share.low) / 2
    return f"{100 * share.value:.1f} of 100 (± {max(half, 0.1):.1f})"


def _wide(receivers: PlannedReceivers) -> str:
    return of_hundred(receivers.found.covers)


def _narrow(receivers: PlannedReceivers) -> str:
    way = ("spread by capacitors of its own" if receivers.many.way == SPREAD_WAY
           else "recentred by the switched capacitor")
    return f"{of_hundred(receivers.found.recentres)}, {way}"


def _warm(receivers: PlannedReceivers) -> str:
    return of_hundred(receivers.found.all_well)


def _trimmer(receivers: PlannedReceivers) -> str:
    found = receivers.found
    low, high = receivers.many.trimmer
    needed = found.trimmer_needed
    out = int(round(100 * float(np.mean((needed < low) | (needed > high)))))
    words = show_span(*found.trimmer_span, "F", digits=3, prefix="p")
    reach = show_span(low, high, "F", digits=3)
    if found.trimmer_reaches:
        return f"{words}, within its {reach}"
    return f"{words}; {out} of 100 ask for more or less than its {reach}"


def _most(output: str) -> ReceiversRow:
    def row(receivers: PlannedReceivers) -> str:
        shares = receivers.influence[output]
        name = max(shares, key=shares.get)
        return f"{SPOKEN[name]}, {100 * shares[name]:.0f} % of the variance"
    return row


def coil_wanted(plan: Plan) -> float:
    """The coil (H) with which the dial has the room that the plan asks for."""
    return many_times(plan).build().part(COIL).nominal


TOLERANCE_ROWS: Mapping[str, ReceiversRow] = MappingProxyType({
    "Built many times, wider band wholly on the dial": _wide,
    "Built many times, narrower band wholly on its dial": _narrow,
    "Built many times, both bands, warm as well": _warm,
    "Trimmer, what 99 of 100 receivers need": _trimmer,
    "Part that moves the trimmer's setting most": _most(TRIMMER_SETTING),
    "Part that changes the dial's width most": _most(DIAL_WIDTH),
    "Coil that the room beyond the band asks for":
        lambda receivers: (receivers.built.part(COIL).nominal, "H"),
})
"""Label to row, in the order in which to show them."""

"""The worked example on choosing frequencies: the plan's two bands, carried to a finished scheme."""

from __future__ import annotations

from collections.abc import Iterator

from rxlearn.compute.frequency_choice import choose_frequencies
from rxlearn.compute.frequency_choice_columns import ARRANGEMENTS, DIFFERENCE
from rxlearn.compute.frequency_choice_words import weigh_scheme, why_nothing_works
from rxlearn.compute.frequency_walk import walk_to
from rxlearn.compute.quantities import show
from rxlearn.plan.document import Plan
from rxlearn.plan.frequency_choice import all_crystals, at_hand_of, bands_of, drawer_of

MOST = 3
"""So many schemes are told in full."""


def frequency_choice_steps(plan: Plan) -> Iterator[str]:
    """From the bands to the schemes, and to the plan's own crystal among them."""
    lower, upper = bands_of(plan)
    at_hand, crystals = at_hand_of(plan), all_crystals(drawer_of(plan))
    yield (f"Your bands: {lower.name}, {_mhz(lower.low)} to {_mhz(lower.high)}, and {upper.name}, "
           f"{_mhz(upper.low)} to {_mhz(upper.high)}.")
    own = plan.value("intermediate_frequency")
    for arrangement in ARRANGEMENTS:
        walk = walk_to(lower, upper, own, crystals, arrangement=arrangement, at_hand=at_hand)
        low, high = walk.window
        near = [row for row in crystals if low <= row.frequency <= high]
        found = ", ".join(_mhz(row.frequency) for row in near) or "none"
        half = "difference" if arrangement == DIFFERENCE else "sum"
        yield (f"By {arrangement} they meet at half the {half} of their middles, "
               f"{_mhz(walk.meeting)}; a switched capacitor that moves the oscillator by "
               f"{100 * at_hand.reach:.3g} % reaches from {_mhz(max(low, 0.0))} to {_mhz(high)}. "
               f"Crystals there: {found}.")
    choice = choose_frequencies([(lower, upper)], crystals, at_hand=at_hand)
    rows = [int(row) for row in choice.ranked()]
    if not rows:
        yield why_nothing_works(choice, 0)
        return
    for row in rows[:MOST]:
        scheme = weigh_scheme(choice, row)
        yield f"{_cut(scheme.sentence)} That makes {_points(scheme.points)} against it."
    yield from _own(choice, own, rows)


def _own(choice, own: float, rows: list[int]) -> Iterator[str]:
    """What is to be said of the crystal that the plan holds."""
    row = choice.row_of(0, own)
    if row is None:
        yield (f"Your plan's {_mhz(own)} is not among them: it lies too far from where the bands "
               "meet, or is no crystal that you have. Look at the near misses in the table.")
    elif row not in rows:
        yield f"Your plan's own scheme: {weigh_scheme(choice, row).sentence}"
    elif choice.on_front[row]:
        yield (f"Your plan's {_mhz(own)} is number {rows.index(row) + 1} of {len(rows)} by points, "
               "and no other is as good in everything: to leave it costs something.")
    else:
        yield (f"Your plan's {_mhz(own)} is number {rows.index(row) + 1} of {len(rows)} by points, "
               "and another is as good in everything and better in something.")


def _cut(sentence: str) -> str:
    return sentence if sentence.endswith(".") else f"{sentence}."


def _points(points: float) -> str:
    return "1 point" if points == 1 else f"{points:.0f} points"


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", digits=7)

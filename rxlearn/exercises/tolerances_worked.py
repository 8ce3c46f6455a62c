"""The worked example on tolerances, recomputed from whatever plan is in use."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np

from rxlearn.compute.drawn_receivers import band_plan
from rxlearn.compute.influence import DIAL_WIDTH, TRIMMER_SETTING
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.receiver_parts import (
    COIL,
    FIXED,
    MINIMUM,
    SPOKEN,
    STRAYS,
    SWING,
    VALVE,
    Build,
)
from rxlearn.compute.tolerances import Tolerances, build_many, draw
from rxlearn.plan.band_spread import SPREAD_WAY
from rxlearn.plan.document import Plan
from rxlearn.plan.tolerances import ManyTimes, many_times

ENOUGH = 0.9
"""The share of receivers for which room is looked for."""

MOST_ROOM = 0.5


def tolerances_steps(plan: Plan) -> Iterator[str]:
    """From the parts' tolerances to the trimmer, the dial's width, the other band and warmth.

    Raises :class:`~rxlearn.compute.quantities.Unclear` where the plan cannot be built.
    """
    many = many_times(plan)
    build = many.build()
    found = build_many(build, warming_high=plan.value("tolerance.warming"))
    yield from _trimmer(build, found)
    yield from _width(many, build, found)
    yield _narrow(many, found)
    yield (f"Warmer by up to {found.warming_high:g} °C: {_of_hundred(found.covers_warm.value)} keep "
           f"{many.names[0]}, and {_of_hundred(found.all_well.value)} have both bands, cold and warm.")
    most = found.matters_most(DIAL_WIDTH)
    yield (f"Pay for {SPOKEN[most]}: it makes {100 * found.influence[DIAL_WIDTH][most]:.0f} % of the "
           "width's variance, and the trimmer does not help it.")


def _trimmer(build: Build, found: Tolerances) -> Iterator[str]:
    """What each part asks of the trimmer, three ways of adding up, and the verdict."""
    coil = build.part(COIL)
    start = band_plan(build).oscillator_low - build.beyond
    total = 1 / ((2 * math.pi * start) ** 2 * coil.nominal)
    moves = {"coil": total * coil.tolerance}
    for name, words in ((FIXED, "fixed capacitor"), (MINIMUM, ""), (SWING, ""), (STRAYS, ""),
                        (VALVE, "")):
        part = build.part(name)
        moves[words or name] = part.nominal * part.tolerance
    variable = moves.pop(MINIMUM) + moves.pop(SWING)
    strays = moves.pop(STRAYS) + moves.pop(VALVE)
    yield (f"At the dial's low end, {show(start, 'Hz', digits=6)}, the coil of "
           f"{show(coil.nominal, 'H', digits=3)} wants {_pf(total)} in all. What may be off: coil "
           f"± {show(100 * coil.tolerance, '%', digits=3)} of that, ± {_pf(moves['coil'])}; fixed "
           f"capacitor ± {_pf(moves['fixed capacitor'])}; tuning capacitor ± {_pf(variable)}; strays "
           f"and valve ± {_pf(strays)}.")
    sums = [*moves.values(), variable, strays]
    worst, root = sum(sums), math.sqrt(sum(one**2 for one in sums))
    yield (f"Added up as they are: ± {_pf(worst)}. By the root of the squares: ± {_pf(root)}. "
           f"99 of 100 drawn receivers need the trimmer between {_tenths(found.trimmer_span[0])} "
           f"and {_tenths(found.trimmer_span[1])}.")
    needed = found.trimmer_needed
    out = float(np.mean((needed < build.trimmer_low) | (needed > build.trimmer_high)))
    yield (f"The trimmer goes from {_pf(build.trimmer_low)} to {_pf(build.trimmer_high)}: "
           f"{_of_hundred(out)} ask for less or more.")
    most = found.matters_most(TRIMMER_SETTING)
    yield (f"Most of that is {SPOKEN[most]}: {100 * found.influence[TRIMMER_SETTING][most]:.0f} % of the variance.")


def _width(many: ManyTimes, build: Build, found: Tolerances) -> Iterator[str]:
    """Whether the trimmed dial is wide enough, and what room would do."""
    plan = band_plan(build)
    widths = np.quantile(found.dial_high - found.dial_low, (0.005, 0.995))
    half = 100 * (found.covers.high - found.covers.low) / 2
    yield (f"{many.names[0]} is {_khz(plan.oscillator_span)} wide. 99 of 100 dials come out between "
           f"{_khz(widths[0])} and {_khz(widths[1])}; with your room of {100 * many.room:.3g} %, "
           f"{_of_hundred(found.covers.value)} (± {half:.1f}) have the whole band.")
    room = room_for(lambda room: many.build(room=room), ENOUGH)
    if room is None:
        yield (f"Even with {100 * MOST_ROOM:.0f} % of room fewer than {100 * ENOUGH:.0f} of 100 would: "
               "give the trimmer more reach, or the parts less tolerance.")
    elif room > many.room:
        coil = many.build(room=room).part(COIL).nominal
        yield (f"For {100 * ENOUGH:.0f} of 100 it takes {100 * room:.0f} % of room, with a coil of "
               f"{show(coil, 'H', digits=3)}.")


def room_for(build: Callable[[float], Build], share: float) -> float | None:
    """The least room, in whole percent as a fraction, with which that share of receivers covers.

    ``build`` makes the parts list for a room; None where 50 % is not enough.
    """
    draws = draw(receivers=4096)

    def enough(percent: int) -> bool:
        try:
            return build_many(build(percent / 100), draws=draws).covers.value >= share
        except Unclear:
            return False

    low, high = -1, round(100 * MOST_ROOM)
    if not enough(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high / 100


def _narrow(many: ManyTimes, found: Tolerances) -> str:
    if many.way == SPREAD_WAY:
        return (f"{many.names[1]}, with a network and a trimmer of its own: "
                f"{_of_hundred(found.recentres.value)} have it wholly on the spread dial.")
    return (f"{many.names[1]}, by the switched capacitor: {_of_hundred(found.recentres.value)} have it "
            f"wholly on the dial, its middle within {100 * found.centring:.0f} % of the dial's.")


def _of_hundred(share: float) -> str:
    return f"{100 * share:.1f} of 100"


def _pf(capacitance: float) -> str:
    return show(capacitance, "F", prefix="p", digits=3)


def _tenths(capacitance: float) -> str:
    return show(capacitance, "F", prefix="p", decimals=1)


def _khz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="k", digits=4)

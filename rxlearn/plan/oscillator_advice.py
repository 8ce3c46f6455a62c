"""What to do at the oscillator so that both measured dials hold their bands, within reach of the parts.

One coil serves both bands.  The wider band settles it, and the narrower band's part is worked out
for the coil as it will be then.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from rxlearn.compute.band_spread import Network, solve_network
from rxlearn.compute.bench_fit import Adjustment, BenchFit, adjust, quarrel
from rxlearn.compute.coil_ways import AIR
from rxlearn.compute.coils import length_wanted, turns_wanted
from rxlearn.compute.preferred_values import nearest_preferred, preferred_not_below
from rxlearn.compute.quantities import Unclear, show
from rxlearn.plan.band_spread import (
    FINE,
    OTHER,
    SWITCHED_WAY,
    band_of,
    narrow_band,
    switched_on,
    way_of,
)
from rxlearn.plan.coils import ADJUSTED, SPREADS, frequency_of, winding_of
from rxlearn.plan.coils import way_of as winding_way_of
from rxlearn.plan.document import Plan
from rxlearn.plan.parts_uses import fixed_beside_trimmer, fixed_span

COIL = "oscillator_coil"

LEAST_COIL, LEAST_TRIMMER, LEAST_SPAN = 5e-4, 0.05e-12, 0.01
"""Changes below these (share of the coil, F, share of the dial's width) are not worth a hand."""

TOO_MUCH = 0.6
"""A coil that seems so far off (as a share) is a slip sooner than a coil (a choice, no source)."""


@dataclass(frozen=True)
class Advice:
    """What to do on one band: the numbers of ``adjustment``, and in ``sentences``.

    ``settles`` says whether the dial holds afterwards; a coil wound anew wants fresh readings.
    """

    adjustment: Adjustment
    sentences: tuple[str, ...]
    settles: bool = True


def advise(plan: Plan, fits: dict[str, BenchFit]) -> dict[str, Advice]:
    """What to do on each band that has a fit, in the order in which to do it: wider band first.

    Raises :class:`Unclear` where a band of the plan cannot work.
    """
    narrow = narrow_band(plan)
    wide = OTHER[narrow]
    found, first = {}, None
    if wide in fits:
        first = _wide(plan, wide, fits[wide])
        found[wide] = first
    if narrow in fits:
        found[narrow] = _narrow(plan, narrow, fits[narrow], first.adjustment if first else None)
        if first is not None and not first.settles:
            found[narrow] = replace(found[narrow], sentences=(
                f"First {plan.value(f'{wide}.name')}, then take this dial again.",))
        elif first is not None and quarrel(fits[wide], fits[narrow]):
            found[narrow] = replace(found[narrow], sentences=(
                "Nothing yet: the two dials do not agree on their one coil. Settle that first, then take "
                "this dial again.",))
    return found


def _wide(plan: Plan, band: str, fit: BenchFit) -> Advice:
    wanted = band_of(plan, band)
    done = adjust(_network(fit), wanted.oscillator_low, wanted.oscillator_high)
    if abs(done.inductance_change) > TOO_MUCH:
        return Advice(done, (
            "No coil is so far off: look whether signals were entered as the oscillator's, which end "
            "the angles are counted from, and which capacitor is in the set.",), settles=False)
    words, wound_anew = _coil(plan, done.inductance_change)
    if wound_anew:
        return Advice(done, tuple(words), settles=False)
    words += _trimmer_words(plan, fit, done.capacitance_change)
    return Advice(done, _then_check(words, done))


def _narrow(plan: Plan, band: str, fit: BenchFit, before: Adjustment | None) -> Advice:
    wanted, wide = band_of(plan, band), plan.value(f"{OTHER[band]}.name")
    network = _network(fit)
    switched = way_of(plan) == SWITCHED_WAY
    moved = network
    if before is not None:
        moved = replace(moved, inductance=network.inductance * (1 + before.inductance_change))
        if switched:  # one trimmer serves both bands
            moved = replace(moved, parallel=max(moved.parallel + before.capacitance_change, 0.0))
    try:
        done = adjust(moved, wanted.oscillator_low, wanted.oscillator_high, coil=False)
    except Unclear:
        # Even without any capacitor across the coil the dial stays too low.
        done = None
    touched = before is not None and (abs(before.inductance_change) >= LEAST_COIL
                                      or switched and abs(before.capacitance_change) >= LEAST_TRIMMER)
    order = ((f"First what {wide} asks for: this is for the coil as it is then.",) if touched
             else () if before is not None
             else (f"Only once {wide} holds, since its coil serves here, too.",))
    if done is None:
        return Advice(_nothing(wanted), (
            *order, f"No trimmer brings this band up to {show(wanted.oscillator_high, 'Hz', digits=7)}: "
            "take fixed capacitance out across the coil.",))
    if switched:
        # What its recentring capacitor makes of the span is what it is.
        done = replace(done, span_error=0.0)
        words = _recentring_words(plan, band, done.capacitance_change)
    else:
        words = [*_trimmer_words(plan, fit, done.capacitance_change),
                 *_series_words(moved, wanted, done)]
    return Advice(done, (*order, *_then_check(words, done)) if words or touched
                  else _then_check(words, done))


def _nothing(wanted) -> Adjustment:
    low, high = wanted.oscillator_low, wanted.oscillator_high
    return Adjustment(low, high, 0.0, 0.0, 0.0, low, high)


def _network(fit: BenchFit) -> Network:
    assert fit.network is not None  # a dial's fit always has one
    return fit.network


def _then_check(words: list[str], done: Adjustment) -> tuple[str, ...]:
    if not words:
        return ("Nothing to turn: the range is where it should be.",)
    return (*words, f"Then check once: fully meshed {show(done.meshed, 'Hz', digits=6)}, fully open "
                    f"{show(done.opened, 'Hz', digits=6)}.")


def coil_words(plan: Plan, change: float) -> list[str]:
    """How the oscillator's coil gets ``change`` (a share) more inductance: a sentence, or none.

    By what this kind of coil has to move, and by turns where that does not reach.
    """
    return _coil(plan, change)[0]


def _coil(plan: Plan, change: float) -> tuple[list[str], bool]:
    """The words of :func:`coil_words`, and whether the coil is to be wound anew."""
    if abs(change) < LEAST_COIL:
        return [], False
    kind, more = plan.value(f"{COIL}.kind"), change > 0
    wants = f"the coil wants {100 * abs(change):.2g} % {'more' if more else 'less'} inductance"
    if kind in ADJUSTED:
        found = winding_way_of(plan, COIL)
        if 1 + abs(change) <= math.sqrt(found.high / found.low):
            way = "in (an iron core; a brass one out)" if more else "out (an iron core; a brass one in)"
            return [f"Turn the core {way}: {wants}."], False
        return [f"{wants.capitalize()}, beyond the core's travel: {_turns_words(plan, change)}."], True
    # With the plug out and everything discharged: fingers go into the chassis.
    safe = "Plug out, discharged"
    if abs(change) > SPREADS:
        return [f"{wants.capitalize()}, beyond what moving turns makes up. {safe}: "
                f"{_turns_words(plan, change)}."], True
    if kind == AIR:
        winding, frequency = winding_of(plan, COIL), frequency_of(plan, COIL)
        wanted = winding.inductance_at(frequency) * (1 + change)
        moved = length_wanted(winding, wanted, frequency)
        if abs(moved.inductance_at(frequency) / wanted - 1) > abs(change) / 2:
            return [f"{wants.capitalize()}, and its turns lie side by side already. {safe}: "
                    f"{_turns_words(plan, change)}."], True
        by = show(abs(moved.length - winding.length), "m", prefix="m", decimals=1)
        return [f"{safe}: {'squeeze' if more else 'spread'} the end turns, the whole winding about {by} "
                f"{'shorter' if more else 'longer'}: {wants}."], False
    how = "push the turns closer together" if more else "spread the turns farther"
    return [f"{safe}: {how} on the ring: {wants}."], False


def _turns_words(plan: Plan, change: float) -> str:
    """``wind 12.5 turns instead of 11``: what a change beyond all moving asks for."""
    turns = plan.value(f"{COIL}.turns")
    if plan.value(f"{COIL}.kind") == AIR:
        winding, frequency = winding_of(plan, COIL), frequency_of(plan, COIL)
        wanted = winding.inductance_at(frequency) * (1 + change)
        try:
            new = turns_wanted(wanted, winding.former, winding.wire, length=winding.length,
                               frequency=frequency).turns
        except Unclear:
            new = turns * math.sqrt(1 + change)
    else:
        new = turns * math.sqrt(1 + change)  # the inductance goes with the square of the turns
    halves = 2 if plan.value(f"{COIL}.kind") in (AIR, *ADJUSTED) else 1  # on a ring there are whole ones
    new = round(halves * new) / halves
    if new == turns:
        new += math.copysign(1 / halves, change)
    return (f"wind {new:g} turns instead of {turns:g}, and take the dial's readings again for the "
            "rest")


def _trimmer_words(plan: Plan, fit: BenchFit, change: float) -> list[str]:
    """How the band gets ``change`` (F) more across the coil, by trimmer or by parts."""
    if abs(change) < LEAST_TRIMMER:
        return []
    closing, by = change > 0, show(abs(change), "F", digits=2)
    low, high = plan.value("trimmer.low"), plan.value("trimmer.high")
    if abs(change) <= (high - low) / 2:
        return [f"{'Close' if closing else 'Open'} this band's trimmer by {by}."]
    # What is across the coil by these readings, less what nobody has fitted there.
    parallel = (_network(fit).fixed + change - plan.value("oscillator.stray_capacitance")
                - plan.value("oscillator.valve_capacitance"))
    much = f"{by} {'more' if closing else 'less'} are wanted across the coil, beyond the trimmer"
    if parallel < low:
        return [f"{much}, and there is not so much to take out: shorten the wiring, or wind a smaller "
                "coil."]
    fixed = fixed_beside_trimmer(parallel)
    rest = show(parallel - sum(fixed), "F", digits=2)
    beside = " + ".join(show(each, "F", digits=3) for each in fixed) or "nothing"
    return [f"{much}. Plug out, discharged: fit {beside} beside it as the fixed capacitor, and set the "
            f"trimmer near {rest}."
            + (f" The fixed ones together must measure {fixed_span(parallel)}." if fixed else "")]


def _series_words(network: Network, wanted, done: Adjustment) -> list[str]:
    """What another series capacitor would do for a dial that is too wide or too narrow."""
    width = done.high - done.low
    if abs(done.span_error) < LEAST_SPAN * width:
        return []
    wide = done.span_error > 0
    words = (f"The dial is {show(abs(done.span_error), 'Hz', digits=2)} "
             f"{'wider' if wide else 'narrower'} than the band")
    try:
        exact = solve_network(wanted.oscillator_low, wanted.oscillator_high, network.inductance,
                              network.variable, across=network.across).series
    except Unclear:
        return [f"{words}, and no series capacitor mends that."]
    if exact is None:
        return [f"{words}: without the series capacitor it fills it."]
    now = network.series
    # As it is proposed: rather a little too wide than a part of the band off the dial.
    value = preferred_not_below(exact, FINE)
    if now is None:
        return [f"{words}: {show(value, 'F', digits=3)} in series with the variable makes it fit."]
    if value == nearest_preferred(now, FINE):
        return [f"{words}: as near as preferred values of the series capacitor come."]
    return [f"{words}: change the series capacitor from {show(now, 'F', digits=3)} to "
            f"{show(value, 'F', digits=3)}, then take this dial again."]


def _recentring_words(plan: Plan, band: str, change: float) -> list[str]:
    """The narrower band on the wider one's tank: only the recentring capacitor is its own."""
    if abs(change) < LEAST_TRIMMER:
        return []
    now, wide = plan.value("recentring.capacitance"), plan.value(f"{OTHER[band]}.name")
    on = switched_on(plan) == band
    new = now + change if on else now - change
    if new < 0.5e-12:
        return [f"Its middle wants {show(abs(change), 'F', digits=2)} {'more' if change > 0 else 'less'}, "
                "more than the recentring capacitor can give: leave it out."]
    again = "" if on else f" It is in on {wide}, so set that band's trimmer again for its two ends."
    return [f"Plug out, discharged: change the recentring capacitor from {show(now, 'F', digits=3)} to "
            f"{show(new, 'F', digits=3)}.{again}"]

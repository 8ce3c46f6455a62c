"""One scheme of a frequency choice in words: what each column says, what speaks for and against.

Nothing is weighed here: the numbers and verdicts are those of
:class:`~rxlearn.compute.frequency_choice.FrequencyChoice`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.frequency_choice import Band, FrequencyChoice
from rxlearn.compute.frequency_choice_columns import (
    ARRANGEMENTS,
    DIFFERENCE,
    IF_IN_BAND,
    INJECTIONS_OF,
    SUMMED,
    TANK_EMPTY,
    TOO_FAR,
)
from rxlearn.compute.frequency_choice_verdicts import BESIDE, COLUMNS, FAIR, GOOD, POOR, VERDICTS
from rxlearn.compute.image_swapping import SwapScheme, meeting_intermediate_frequency, swap_bands
from rxlearn.compute.quantities import Unclear, show, show_span
from rxlearn.compute.whistles import Whistle, whistles
from rxlearn.data.crystals import StockCrystal
from rxlearn.data.spectrum import BROADCAST

INAUDIBLE_DB = -130.0
"""Whistles below this (dB under the station) are called too weak to be heard (a choice)."""


@dataclass(frozen=True)
class Mark:
    """One column of one scheme: its value (SI of ``unit``), verdict word, and a short text."""

    key: str
    label: str
    value: float
    unit: str
    verdict: str
    text: str


@dataclass(frozen=True)
class WeighedScheme:
    """One row of a choice, worked out in full.

    ``plan`` is the scheme itself (Hz), ``marks`` one for each column in the table's
    order, ``points`` what stands against it, ``on_front`` whether no other scheme of its pair beats
    it.  ``whistles_lower`` and ``whistles_upper`` list the whistles.  ``reasons`` say why it
    cannot work (empty if it can).
    """

    row: int
    lower: Band
    upper: Band
    crystal: StockCrystal
    arrangement: str
    plan: SwapScheme
    marks: tuple[Mark, ...]
    points: float
    on_front: bool
    whistles_lower: tuple[Whistle, ...]
    whistles_upper: tuple[Whistle, ...]
    reasons: tuple[str, ...]

    @property
    def name(self) -> str:
        """Bands and crystal: ``80 m + 30 m, 3.2768 MHz, difference``."""
        crystal = _hz(self.crystal.frequency)
        return f"{self.lower.name} + {self.upper.name}, {crystal}, {self.arrangement}"

    def mark(self, key: str) -> Mark:
        """The mark of a column key."""
        return next(mark for mark in self.marks if mark.key == key)

    @property
    def speaks_for(self) -> tuple[str, ...]:
        """What is good about it, one short text each."""
        return tuple(mark.text for mark in self.marks if mark.verdict == GOOD)

    @property
    def speaks_against(self) -> tuple[str, ...]:
        """What is poor, then what is only fair."""
        return tuple(
            mark.text for word in (POOR, FAIR) for mark in self.marks if mark.verdict == word
        )

    @property
    def sentence(self) -> str:
        """The case for and against in two sentences, or why it cannot work."""
        if self.reasons:
            return f"{self.name} cannot work: {' '.join(self.reasons)}"
        against = self.speaks_against[:4]
        for_it = [mark.text for key in _WORTH_PRAISE for mark in self.marks
                  if mark.key == key and mark.verdict == GOOD][:3]
        return (f"For {self.name}: {'; '.join(for_it) or 'nothing stands out'}. "
                f"Against it: {'; '.join(against) or 'nothing found'}.")


_WORTH_PRAISE = ("miss", "share", "radiation", "if_place", "breakthrough", "image_lower",
                 "image_upper", "beat_harmonic", "whistles", "oscillator", "sideband")


def weigh_scheme(
    choice: FrequencyChoice, row: int, weights: Mapping[str, float] | None = None
) -> WeighedScheme:
    """Work one row of ``choice`` out in full.

    ``weights`` as in :meth:`FrequencyChoice.points`.  Raises :class:`Unclear` for a row
    that is not there.
    """
    if isinstance(row, bool) or not isinstance(row, int | np.integer) or not 0 <= row < len(choice):
        raise Unclear(f"Row {str(row)[:20]} is not in this table of {len(choice)} schemes.")
    lower, upper = choice.pairs[choice.pair[row]]
    crystal = choice.crystals[choice.crystal[row]]
    arrangement = SUMMED if choice.summed[row] else DIFFERENCE
    injections = INJECTIONS_OF[arrangement]
    plan = swap_bands(
        lower.low, lower.high, upper.low, upper.high, crystal.frequency,
        lower_injection=injections[0], upper_injection=injections[1],
        region=choice.at_hand.region, sideband_on_lower=choice.at_hand.sideband_on_lower,
        sideband_on_upper=choice.at_hand.sideband_on_upper,
    )
    heard = [
        whistles(band, order=choice.at_hand.order, mixer=choice.at_hand.mixer)
        for band in (plan.lower, plan.upper)
    ]
    scheme = WeighedScheme(
        row=int(row), lower=lower, upper=upper, crystal=crystal, arrangement=arrangement,
        plan=plan, marks=(), points=float(choice.points(weights)[row]),
        on_front=bool(choice.on_front[row]), whistles_lower=heard[0], whistles_upper=heard[1],
        reasons=_reasons(choice, row),
    )
    marks = tuple(
        Mark(column.key, column.label, float(choice.values[column.key][row]), column.unit,
             VERDICTS[choice.verdicts[column.key][row]],
             _TEXTS[column.key](scheme, choice, row))
        for column in COLUMNS
    )
    object.__setattr__(scheme, "marks", marks)
    return scheme


def _reasons(choice: FrequencyChoice, row: int) -> tuple[str, ...]:
    """Why the row cannot work, one sentence for each bit."""
    bits = int(choice.reasons[row])
    crystal = choice.crystals[choice.crystal[row]]
    shift = abs(float(choice.values["miss"][row]))
    found = []
    if bits & TOO_FAR:
        found.append(
            f"The middles lie {_hz(shift)} apart, {100 * choice.away[row]:.1f} % of the oscillator "
            f"frequency, and a switched capacitor is asked for {100 * choice.at_hand.reach:.3g} % "
            f"at most: the crystal misses by {_hz(shift / 2)}."
        )
    if bits & IF_IN_BAND:
        found.append(
            f"The intermediate frequency of {_hz(crystal.frequency)} lies inside one of the bands, "
            "where every signal would pass with the oscillator standing still."
        )
    if bits & TANK_EMPTY:
        found.append(
            f"To bring the narrower band to the dial's middle, "
            f"{_pf(choice.values['capacitor'][row])} would have to be taken from a tank that holds "
            f"{_pf(choice.found['capacitance_at_high'][row])}."
        )
    return tuple(found)


def why_nothing_works(choice: FrequencyChoice, pair: int) -> str:
    """Why no crystal serves a pair: where it would meet, and what is nearest.

    ``pair`` is its place in ``choice.pairs``.  Raises :class:`Unclear` if the pair is not there, or if something does work.
    """
    if not 0 <= pair < len(choice.pairs):
        raise Unclear(f"Pair {str(pair)[:20]} is not among the {len(choice.pairs)} given.")
    if np.any(choice.works & (choice.pair == pair)):
        raise Unclear("This pair has schemes that work: look at those first.")
    lower, upper = choice.pairs[pair]
    parts = []
    for arrangement in ARRANGEMENTS:
        first, second = INJECTIONS_OF[arrangement]
        wanted = meeting_intermediate_frequency(
            (lower.low, lower.high), (upper.low, upper.high),
            lower_injection=first, upper_injection=second,
        )
        nearest = min((row.frequency for row in choice.crystals), key=lambda f: abs(f - wanted))
        parts.append(
            f"by {arrangement} they meet at an intermediate frequency of {_hz(wanted)}, and the "
            f"nearest crystal, {_hz(nearest)}, parts the middles by "
            f"{_hz(2 * abs(nearest - wanted))}{_inside(nearest, (lower, upper))}"
        )
    return (f"No crystal in the list serves {lower.name} + {upper.name}: {'; '.join(parts)}. "
            f"A switched capacitor is asked for {100 * choice.at_hand.reach:.3g} % of the "
            "oscillator frequency at most: add a crystal nearer to one of these, or shorten a band.")


def _inside(frequency: float, bands: tuple[Band, Band]) -> str:
    """A clause if a crystal lies in one of the bands."""
    names = [band.name for band in bands if band.low <= frequency <= band.high]
    return f" and lies inside {names[0]}" if names else ""


def _hz(frequency: float) -> str:
    return show(frequency, "Hz", digits=7)


def _kilo(frequency: float) -> str:
    return show(frequency, "Hz", digits=4)


def _pf(capacitance: float) -> str:
    return show(capacitance, "F", digits=3)


def _bands(scheme: WeighedScheme) -> tuple[Band, Band]:
    """The wider band and the narrower one."""
    both = scheme.lower, scheme.upper
    return both if scheme.plan.wider == "lower" else both[::-1]


def _miss(scheme, choice, row) -> str:
    wide, narrow = _bands(scheme)
    shift = scheme.plan.centre_shift
    apart = f"the middles lie {_kilo(abs(shift))} apart"
    if scheme.plan.outside <= 1e-3:
        return f"{narrow.name} lies on the {wide.name} dial as it stands, though {apart}"
    return f"{apart} and {_kilo(scheme.plan.outside)} of {narrow.name} lie beyond the dial"


def _capacitor(scheme, choice, row) -> str:
    shift = scheme.plan.centre_shift
    if not shift:
        return "no capacitor need be switched"
    on = scheme.upper if shift < 0 else scheme.lower
    share = choice.costs["capacitor"][row]
    return (f"{_pf(choice.values['capacitor'][row])}, {100 * share:.1f} % of the tank, is switched "
            f"in on {on.name} to bring the middles together")


def _coil(scheme, choice, row) -> str:
    coil = show(choice.values["coil"][row], "H", digits=3)
    swing = _pf(choice.at_hand.capacitance_swing)
    text = f"a swing of {swing} over the dial wants a coil of {coil}"
    verdict = VERDICTS[choice.verdicts["coil"][row]]
    if verdict == GOOD:
        return text
    degree = "rather" if verdict == FAIR else "too"
    if choice.values["coil"][row] < 1e-6:
        return f"{text}, {degree} little: spread the band with less swing"
    return f"{text}, {degree} much: take more swing"


def _share(scheme, choice, row) -> str:
    wide, narrow = _bands(scheme)
    share = choice.values["share"][row]
    if share > 1.001:
        return f"{narrow.name} wants a dial {100 * (share - 1):.0f} % wider than {wide.name}'s own"
    return (f"{narrow.name} fills {100 * share:.0f} % of the dial, as {wide.name} is "
            f"{wide.width / narrow.width:.1f} times as wide; a dial laid out for {narrow.name} "
            f"would show only {_kilo(narrow.width)} of {wide.name}")


def _oscillator(scheme, choice, row) -> str:
    plan = scheme.plan
    return f"the oscillator runs from {show_span(plan.dial_low, plan.dial_high, 'Hz', digits=7)}"


def _radiation(scheme, choice, row) -> str:
    if not scheme.plan.radiation:
        return "the oscillator keeps out of the amateur bands"
    named = {"lower": scheme.lower.name, "upper": scheme.upper.name}
    return " and ".join(
        f"the oscillator crosses {item.crossed.name} while "
        f"{show_span(item.signal_low, item.signal_high, 'Hz', digits=7)} of "
        f"{named[item.tuned_band]} is tuned"
        for item in scheme.plan.radiation
    )


def _radiated_harmonic(scheme, choice, row) -> str:
    order = int(choice.values["radiated_harmonic"][row])
    if not order:
        return "neither harmonic 2 nor 3 of the oscillator meets an amateur band"
    return f"harmonic {order} of the oscillator meets an amateur band"


def _image(key):
    def text(scheme, choice, row) -> str:
        band = scheme.lower if key == "image_lower" else scheme.upper
        return (f"the image is {choice.values[key][row]:.0f} dB down at worst on {band.name}")
    return text


def _breakthrough(scheme, choice, row) -> str:
    frequency = scheme.crystal.frequency
    gaps = []
    for band in (scheme.lower, scheme.upper):
        edge = min((band.low, band.high), key=lambda edge: abs(edge - frequency))
        gaps.append((abs(edge - frequency), "below" if frequency < edge else "above", band.name))
    gap, side, name = min(gaps)
    only = "only " if choice.verdicts["breakthrough"][row] == VERDICTS.index(POOR) else ""
    return (f"a signal on the IF, {_kilo(gap)} {side} {name}, is {only}"
            f"{choice.values['breakthrough'][row]:.1f} dB down at worst")


def _if_place(scheme, choice, row) -> str:
    there = choice.neighbours[choice.found["neighbour"][row]]
    distance = choice.values["if_place"][row]
    if distance == 0:
        names = dict.fromkeys(
            f"{item.name} ({item.note})" if item.service == BROADCAST and item.note else item.name
            for item in scheme.plan.on_intermediate_frequency
        )
        on_edge = there.low < there.high and scheme.crystal.frequency in (there.low, there.high)
        return f"the IF lies {'at the edge of' if on_edge else 'on'} {' and '.join(names)}"
    side = "below" if distance > 0 else "above"
    near = "only " if abs(distance) < BESIDE else ""
    return f"the IF lies {near}{_kilo(abs(distance))} {side} {there.name}"


def _medium_wave(scheme, choice, row) -> str:
    distance = choice.values["medium_wave"][row]
    if distance == 0:
        return "the IF lies in the medium-wave broadcast band"
    return f"the IF lies {_kilo(distance)} from the medium-wave broadcast band"


def _beat_harmonic(scheme, choice, row) -> str:
    if not choice.values["beat_harmonic"][row]:
        return f"no harmonic of the IF up to {choice.at_hand.order} falls in either band"
    frequency = scheme.crystal.frequency
    found = [
        f"{order} × {_hz(frequency)} = {_hz(order * frequency)} falls in {band.name}"
        for order in range(2, choice.at_hand.order + 1)
        for band in (scheme.lower, scheme.upper)
        if band.low <= order * frequency <= band.high
    ]
    return " and ".join(found)


def _whistles(scheme, choice, row) -> str:
    heard = [
        (item, band)
        for items, band in ((scheme.whistles_lower, scheme.lower),
                            (scheme.whistles_upper, scheme.upper))
        for item in items if not item.self_made
    ]
    if not heard:
        return f"no product up to order {choice.at_hand.order} crosses either band"
    item, band = max(heard, key=lambda pair: (pair[0].level_db, -pair[0].order))
    more = f", the strongest of {len(heard)}" if len(heard) > 1 else ""
    down = (f"{-item.level_db:.0f} dB down" if item.level_db > INAUDIBLE_DB
            else "too weak to be heard")
    return f"a station on {_hz(item.signal)} in {band.name} whistles by {item.name}, {down}{more}"


def _self_made(scheme, choice, row) -> str:
    order = int(choice.values["self_made"][row])
    if not order:
        return f"no harmonics of both oscillators meet in band up to order {choice.at_hand.order}"
    item, band = next(
        (item, band)
        for items, band in ((scheme.whistles_lower, scheme.lower),
                            (scheme.whistles_upper, scheme.upper))
        for item in items
        if item.self_made and item.oscillator_order > 1 and item.order == order
    )
    return f"on {_hz(item.signal)} in {band.name} the set whistles by itself: {item.name}"


def _sideband(scheme, choice, row) -> str:
    if choice.values["sideband"][row]:
        return "one band comes out with its sideband inverted, so the beat oscillator changes sides"
    return "the beat oscillator keeps its side on both bands"


def _direction(scheme, choice, row) -> str:
    if choice.values["direction"][row]:
        return f"the dial of {scheme.lower.name} runs backwards"
    return "both dials run the same way"


_TEXTS = {
    "miss": _miss, "capacitor": _capacitor, "coil": _coil, "share": _share,
    "oscillator": _oscillator, "radiation": _radiation, "radiated_harmonic": _radiated_harmonic,
    "image_lower": _image("image_lower"), "image_upper": _image("image_upper"),
    "breakthrough": _breakthrough, "if_place": _if_place, "medium_wave": _medium_wave,
    "beat_harmonic": _beat_harmonic, "whistles": _whistles, "self_made": _self_made,
    "sideband": _sideband, "direction": _direction,
}

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
from rxlearn.compute.frequency_choice_texts import TEXTS, in_hz, in_pf
from rxlearn.compute.frequency_choice_verdicts import COLUMNS, FAIR, GOOD, POOR, VERDICTS
from rxlearn.compute.image_swapping import SwapScheme, meeting_intermediate_frequency, swap_bands
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.whistles import Whistle, whistles
from rxlearn.data.crystals import StockCrystal


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
        crystal = in_hz(self.crystal.frequency)
        return f"{self.lower.name} + {self.upper.name}, {crystal}, {self.arrangement}"

    def mark(self, key: str) -> Mark:
        """The mark of a column key."""
        return next(mark for mark in self.marks if mark.key == key)

    @property
    def station_whistles(self) -> bool:
        """Whether a station whistles anywhere in band; however weakly, that is no praise."""
        return any(not item.self_made for item in (*self.whistles_lower, *self.whistles_upper))

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
                  if mark.key == key and mark.verdict == GOOD
                  and not (key == "whistles" and self.station_whistles)][:3]
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
             TEXTS[column.key](scheme, choice, row))
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
            f"The middles lie {in_hz(shift)} apart, {100 * choice.away[row]:.1f} % of the "
            f"oscillator frequency, and a switched capacitor is asked for "
            f"{100 * choice.at_hand.reach:.3g} % at most: the crystal misses by {in_hz(shift / 2)}."
        )
    if bits & IF_IN_BAND:
        found.append(
            f"The intermediate frequency of {in_hz(crystal.frequency)} lies inside one of the "
            "bands, where every signal would pass with the oscillator standing still."
        )
    if bits & TANK_EMPTY:
        found.append(
            f"To bring the narrower band to the dial's middle, "
            f"{in_pf(choice.values['capacitor'][row])} would have to be taken from a tank that "
            f"holds {in_pf(choice.found['capacitance_at_high'][row])}."
        )
    return tuple(found)


def why_nothing_works(choice: FrequencyChoice, pair: int) -> str:
    """Why no crystal serves a pair: where it would meet, and what is nearest.

    ``pair`` is its place in ``choice.pairs``.  Raises :class:`Unclear` if the pair is not
    there, or if something does work.
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
            f"by {arrangement} they meet at an intermediate frequency of {in_hz(wanted)}, and the "
            f"nearest crystal, {in_hz(nearest)}, parts the middles by "
            f"{in_hz(2 * abs(nearest - wanted))}{_inside(nearest, (lower, upper))}"
        )
    return (f"No crystal in the list serves {lower.name} + {upper.name}: {'; '.join(parts)}. "
            f"A switched capacitor is asked for {100 * choice.at_hand.reach:.3g} % of the "
            "oscillator frequency at most: add a crystal nearer to one of these, or shorten a "
            "band.")


def _inside(frequency: float, bands: tuple[Band, Band]) -> str:
    """A clause if a crystal lies in one of the bands."""
    names = [band.name for band in bands if band.low <= frequency <= band.high]
    return f" and lies inside {names[0]}" if names else ""

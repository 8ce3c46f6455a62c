"""Tuned transformers between a crystal filter's low ends and the stages.  SI, dB.

Winding on a ring, tuned to the filter by a capacitor, lies across the stage; a few turns over it,
the link, go to the filter.  Resistances go with the square of the turns (F. E. Terman, *Radio
Engineers' Handbook*, on coupled circuits); of a tuned winding with loss and load R in parallel
the link shows k²·R·(link turns/turns)² (DERIVED).  The capacitor takes the stage's strays in:
10 pF at 10.7 MHz are 1.5 kΩ, so that without tuning no winding could keep thousands of ohms.

Limits: the middle of the pass band, and R at least some ten times the winding's reactance, which
leaves of the link's leakage a few hundredths of what it shows; tuned far more broadly than a
filter is wide; coil Q the middle of what is usual, coupling a guess.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from rxlearn.compute.coil_ways import Way, ring_way
from rxlearn.compute.ladder_matching import EndMatch
from rxlearn.compute.preferred_values import nearest_preferred
from rxlearn.compute.toroid import RingCoil, common_ring

TRANSFORMER = "transformer"
"""The way of an end that is brought to its stage by a tuned transformer."""

COUPLING = 0.9
"""Coupling, a ratio, of a few turns spread over the whole of another winding on powdered iron (common
practice, no source: 0.8 to 0.95); it makes the ends right to about a fifth."""

REACTANCE, LEAST_CAPACITANCE = 470.0, 47e-12
"""The tuned winding's reactance (Ω), a tenth of the mixer's load, which keeps the leakage small; less
where the capacitor would fall below so many farads, of which strays are a part (a choice)."""

STAGE_CAPACITANCE = 10e-12
"""About what a valve's stage has across it with its wiring, F (from memory)."""

HIGHEST = 20e3
"""What a stage is loaded to, Ω, at most: less of it is then the coil's own loss, which one hardly
knows before it is measured (a choice)."""

FROM = 2.0
"""So many times the filter's resistance a stage must have: with less a resistor loses under 3 dB."""

ROOM = 0.12
"""So far, as a ratio, the turns may go from what is aimed at, so that the link's come out whole."""

_CLOSE = 0.05  # as for a plain resistor: so near, none is fitted


@dataclass(frozen=True)
class EndTransformer:
    """The tuned winding ``coil`` across a stage, and ``link`` turns over it that go to the filter.

    ``frequency`` in Hz.
    """

    coil: RingCoil
    link: int
    frequency: float

    @cached_property
    def way(self) -> Way:
        """The tuned winding's numbers, as on a coil card."""
        return ring_way(self.coil, self.coil.inductance, self.frequency)

    @property
    def inductance(self) -> float:
        """The tuned winding's, H."""
        return self.coil.inductance

    @property
    def link_inductance(self) -> float:
        """The inductance of the link, H."""
        return self.inductance * (self.link / self.coil.turns) ** 2

    @property
    def capacitance(self) -> float:
        """What tunes the winding, F, strays of the stage counted in."""
        return 1 / ((2 * math.pi * self.frequency) ** 2 * self.inductance)

    @property
    def fitted(self) -> float:
        """What trimmer and capacitor have, F: the same without the stage's strays."""
        return self.capacitance - STAGE_CAPACITANCE

    @property
    def loss_resistance(self) -> float:
        """The coil's own loss as a resistance across it, Ω: Q times its reactance."""
        return self.way.middling_q * 2 * math.pi * self.frequency * self.inductance

    @property
    def turns_ratio(self) -> float:
        """Turns of the tuned winding to one of the link."""
        return self.coil.turns / self.link

    def at_link(self, resistance: float) -> float:
        """What ``resistance`` (Ω) across the tuned winding shows at the link, Ω."""
        return resistance * (COUPLING / self.turns_ratio) ** 2

    def across(self, resistance: float) -> float:
        """What ``resistance`` (Ω) at the link shows across the tuned winding, Ω."""
        return resistance * (self.turns_ratio / COUPLING) ** 2


@dataclass(frozen=True)
class TransformedEnd(EndMatch):
    """A filter's end with a ``transformer``; ``resistor`` (Ω or None) lies across its tuned winding."""

    transformer: EndTransformer

    @property
    def high_side(self) -> float:
        """Stage, coil and resistor in parallel, Ω: what lies across the tuned winding."""
        rest = 1 / self.resistor if self.resistor else 0.0
        return 1 / (1 / self.stage + 1 / self.transformer.loss_resistance + rest)

    @property
    def seen(self) -> float:
        """What the filter sees at this end, Ω."""
        return self.transformer.at_link(self.high_side)


def transform_end(filter_resistance: float, stage: float, frequency: float) -> TransformedEnd | None:
    """Bring a filter's end (Ω) to a ``stage`` (Ω) by a transformer tuned to ``frequency`` (Hz).

    None where the stage has less than :data:`FROM` times the filter's resistance.  Raises
    :class:`~rxlearn.compute.quantities.Unclear` where no common ring core takes the winding.  Turns and link are those that
    need the least across the winding; the resistor has a preferred value (E24).
    """
    if stage < FROM * filter_resistance:
        return None
    made = [end for coil in _coils(frequency)
            if (end := _linked(coil, filter_resistance, stage, frequency))]
    return min(made, key=lambda end: (round(end.loss_db, 1), end.transformer.coil.turns), default=None)


def _coils(frequency: float) -> Iterator[RingCoil]:
    """The winding of about the reactance aimed at, with some turns more and fewer."""
    omega = 2 * math.pi * frequency
    wanted = min(REACTANCE / omega, 1 / (omega**2 * LEAST_CAPACITANCE))
    coil = common_ring(wanted, frequency)
    few = math.ceil((1 - ROOM) * coil.turns)
    # More turns would leave too little to the capacitor where strays are what limits it.
    for turns in range(few, coil.turns + 1):
        yield RingCoil(turns=turns, name=coil.name, core=coil.core, wire=coil.wire)


def _linked(coil: RingCoil, wanted: float, stage: float, frequency: float) -> TransformedEnd | None:
    """``coil`` with as few turns over it as show ``wanted`` (Ω) or more; None if that is too much."""
    plain = EndTransformer(coil, 1, frequency)
    there = 1 / (1 / stage + 1 / plain.loss_resistance)
    most = min(there, HIGHEST)
    if most < FROM * wanted:
        return None
    link = math.ceil(math.sqrt(wanted / plain.at_link(most)) - 1e-9)
    found = EndTransformer(coil, link, frequency)
    high = found.across(wanted)
    resistor = None
    if there > (1 + _CLOSE) * high:
        resistor = nearest_preferred(1 / (1 / high - 1 / there), "E24")
    end = TransformedEnd(wanted, stage, TRANSFORMER, resistor, 0.0, found)
    return replace(end, loss_db=10 * math.log10(stage / end.high_side))


def said(end: TransformedEnd) -> str:
    """The transformer in a few words: turns and core."""
    found = end.transformer
    return f"{turns_words(found.coil.turns)} to {found.link} on {found.coil.name}"


def turns_words(turns: int) -> str:
    """So many ``turns`` in words."""
    return f"{turns} turn{'s' if turns != 1 else ''}"

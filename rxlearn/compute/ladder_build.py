"""A ladder filter as it is built: preferred values, between the stages of a receiver.  SI units.

The design's capacitors go to the nearest preferred value and one resistor at each end, or a tuned
transformer, makes the stage there look right, with preferred values and whole turns; then the response is computed afresh with what
is really fitted.  Limits: those of :mod:`rxlearn.compute.crystal_ladder`; stages are plain
resistances; capacitors have their printed values, and strays are not counted.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from rxlearn.compute.crystal import Crystal
from rxlearn.compute.crystal_ladder import CrystalLadder, LadderDesign, design_ladder
from rxlearn.compute.filter_transformer import TransformedEnd, transform_end
from rxlearn.compute.ladder_matching import NONE, SHUNT, EndMatch, match_end
from rxlearn.compute.ladder_measures import LadderMeasures, matching_needed, measure_ladder
from rxlearn.compute.preferred_values import nearest_preferred
from rxlearn.compute.quantities import Unclear

BY_RESISTORS, BY_TRANSFORMERS = "resistors", "transformers"
"""What brings the filter's ends to the stages."""

CAPACITORS, RESISTORS = "E12", "E24"
"""The series of preferred values (IEC 60063) that the parts come from."""


@dataclass(frozen=True)
class BuiltLadder:
    """A ``design`` and what is fitted for it.

    ``ladder`` has preferred capacitors and the terminations (Ω) that come about; ``source`` and
    ``load`` are the resistors or transformers at the ends; ``measures`` is the response.  ``problem``
    says why no transformer is fitted where one was wanted.
    """

    design: LadderDesign
    ladder: CrystalLadder
    source: EndMatch
    load: EndMatch
    measures: LadderMeasures
    problem: str = ""

    @property
    def matching(self) -> float:
        """How far (Hz, up or down) crystals may be off for 1 dB more loss in the pass band."""
        return _matching(self.ladder)

    @property
    def loss_db(self) -> float:
        """Loss (dB) from the one stage to the other: the filter's own and what both ends take."""
        return self.measures.insertion_loss_db + self.source.loss_db + self.load.loss_db


@lru_cache(maxsize=32)
def build_ladder(crystal: Crystal, crystals: int, width: float, kind: str,
                 source: float, load: float, offsets: tuple[float, ...] | None = None,
                 ends: str = BY_RESISTORS) -> BuiltLadder:
    """Design and fit a ladder of so many ``crystals`` like ``crystal``, ``width`` wide (Hz).

    ``source`` and ``load`` are the resistances (Ω) of the stages before and behind it;
    ``kind`` and ``offsets`` (Hz) as in :func:`~rxlearn.compute.crystal_ladder.design_ladder`;
    ``ends`` is what brings them together, a transformer only where it gains something.
    Raises :class:`~rxlearn.compute.quantities.Unclear` where it cannot be made.
    """
    design = design_ladder(crystal, crystals, width, kind=kind, offsets=offsets)
    problem, found = "", []
    for stage in (source, load):
        end = None
        if ends == BY_TRANSFORMERS:
            try:
                end = transform_end(design.termination, stage, design.centre)
            except Unclear as reason:
                problem = f"{reason} So the filter's ends keep their resistors."
        found.append(end or _fitted(match_end(design.termination, stage)))
    ladder = design.ladder.rounded(CAPACITORS).terminated(*(_seen(end) for end in found))
    return BuiltLadder(design, ladder, *found, measure_ladder(ladder), problem)


@lru_cache(maxsize=32)
def _matching(ladder: CrystalLadder) -> float:
    return matching_needed(ladder)


def _fitted(end: EndMatch) -> EndMatch:
    """The same with a resistor that can be bought."""
    if end.resistor is None:
        return end
    resistor = nearest_preferred(end.resistor, RESISTORS)
    return EndMatch(end.filter_resistance, end.stage, end.way, resistor, end.loss_db)


def _seen(end: EndMatch) -> float:
    """What the filter sees at an end, Ω."""
    if isinstance(end, TransformedEnd):
        return end.seen
    if end.way == NONE:
        return end.stage
    if end.way == SHUNT:
        return end.stage * end.resistor / (end.stage + end.resistor)
    return end.stage + end.resistor

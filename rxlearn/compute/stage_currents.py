"""What each stage draws, added up, with a heater that has failed open or a valve that draws more.

Limits: each stage draws what the list says, whatever the others do; when one heater opens, the
voltage of the winding rises a little and the others draw a little more, which is left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from rxlearn.compute.stages import CURRENT, Currents, ReceiverStage, add_currents


@dataclass(frozen=True)
class DrawnCurrents:
    """Currents of ``drawn.stages`` (A) beside ``heater_rating`` and ``load``, what the winding may
    give and what the supply reckons with (A).  ``open_bulb`` has no heater (empty: all glow)."""

    drawn: Currents
    open_bulb: str
    heater_rating: float
    load: float

    @property
    def largest(self) -> ReceiverStage:
        """The stage that draws most of the high tension."""
        return max(self.drawn.stages, key=lambda stage: stage.supply_current)


def draw_currents(
    stages: Sequence[ReceiverStage], *, lamp: float, output: float, heater_rating: float,
    load: float, open_bulb: str = "",
) -> DrawnCurrents:
    """Add up what ``stages`` draw with a dial lamp of ``lamp`` and an output stage of ``output`` (A).

    ``heater_rating`` and ``load`` (A) are what the winding may give and what the supply reckons
    with; they are handed on.  A bulb whose heater is open draws nothing at all: heaters are in
    parallel, so the others go on (Kirchhoff's current law), and a cold cathode emits nothing.
    """
    lamp, output = CURRENT.check(lamp), CURRENT.check(output)
    drawn = []
    for stage in stages:
        if stage.function == "lamp":
            stage = replace(stage, heater_current=lamp)
        if stage.function == "output":
            stage = replace(stage, supply_current=output)
        if open_bulb and stage.bulb == open_bulb:
            stage = replace(stage, heater_current=0.0, supply_current=0.0)
        drawn.append(stage)
    return DrawnCurrents(add_currents(drawn), open_bulb, heater_rating, load)

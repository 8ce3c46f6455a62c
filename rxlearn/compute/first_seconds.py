"""The first seconds of a supply as a figure shows them: a fine surge and a coarse course.

Model and limits are those of :mod:`rxlearn.compute.supply_transients`.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.supply_parts import Supply
from rxlearn.compute.supply_transients import SwitchOn, switch_on

SURGE = 0.1
"""Seconds of the surge that are shown."""

COURSE = 14.0
"""Seconds that are followed in all."""

WARM = 11.0
"""Seconds until indirectly heated valves draw their current (common practice, no source)."""

COARSE = 24
"""Steps in a mains period of the long course: its voltages are right to one percent."""


@dataclass(frozen=True, eq=False)
class FirstSeconds:
    """``surge``: the first :data:`SURGE` seconds, fine.  ``course``: until all is warm, coarse."""

    surge: SwitchOn
    course: SwitchOn

    @property
    def surge_peak(self) -> float:
        """The largest current (A) into the filter within the surge."""
        return float(self.surge.surge_current.max())


def first_seconds(supply: Supply, *, mains: float = 1.0) -> FirstSeconds:
    """Switch ``supply`` on with the mains at ``mains`` (ratio of nominal) at its peak, valves cold."""
    periods = round(SURGE * supply.transformer.frequency)
    return FirstSeconds(
        switch_on(supply, mains=mains, duration=SURGE, load_warm_up=WARM, surge_periods=periods),
        switch_on(supply, mains=mains, duration=COURSE, load_warm_up=WARM, steps=COARSE,
                  surge_periods=1, quasi_steady=True),
    )

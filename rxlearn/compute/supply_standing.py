"""A supply that warms up so slowly that it always stands in its steady state.  SI units.

Stepping through seconds of mains periods costs time that a slider does not have.
Once the capacitors are charged, heaters warm in seconds and the filter follows in
tenths of one: what holds at any moment is the steady state for the emission and
the load of that moment (quasi-steady approximation).  :class:`Standing` works
it out at some moments, and says from when on it may stand for the stepping.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from rxlearn.compute.power_supply import solve
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.rectifiers import ValveRectifier
from rxlearn.compute.supply_parts import Load, Supply
from rxlearn.compute.supply_warm_up import WARM_UP_BEGINS, warm_up_share

MOMENTS = 12
"""Moments worked out in each warm-up, closer at its beginning, where a little changes much."""
NEAR = 0.006
"""So near its steady state, as a part of the voltage, a supply counts as standing in it."""
UNHURRIED = 0.5
"""Voltages may fall at this part of the rate at which what is drawn could empty the capacitors."""
POINTS = 129
"""Points of a mains period that its highest and lowest voltage are taken from."""


State = tuple[np.ndarray, np.ndarray, np.ndarray, float]
"""Mean, highest and lowest voltage of each capacitor (V), and the current drawn (A)."""


@dataclass(frozen=True, eq=False)
class Standing:
    """Steady states of ``supply`` at ``mains`` (ratio of nominal) while it warms up.

    ``rectifier_warm_up``, ``load_warm_up`` and ``duration`` in s, from the switch on.
    """

    supply: Supply
    mains: float
    rectifier_warm_up: float
    load_warm_up: float
    duration: float

    @cached_property
    def moments(self) -> np.ndarray:
        """Where states are worked out (s, rising), the end among them."""
        parts = [np.array([0.0, self.duration])]
        for warm_up in (self.rectifier_warm_up, self.load_warm_up):
            shares = np.linspace(0.0, 1.0, MOMENTS) ** 1.5
            parts.append((WARM_UP_BEGINS + (1 - WARM_UP_BEGINS) * shares) * warm_up)
        found = np.unique(np.concatenate(parts))
        return found[found <= self.duration]

    @cached_property
    def _states(self) -> list[State]:
        shares = [(warm_up_share(float(moment), self.rectifier_warm_up),
                   warm_up_share(float(moment), self.load_warm_up)) for moment in self.moments]
        found = {each: self._state(*each) for each in dict.fromkeys(shares)}
        return [found[each] for each in shares]

    def _state(self, emission: float, share: float) -> State:
        """The state at these shares of emission and load; NaN where there is none to speak of."""
        load = self.supply.load
        changes = {"load": Load(load.current * share,
                                load.resistance / share if load.resistance and share else None)}
        rectifier = self.supply.rectifier
        sections = len(self.supply.sections)
        nothing = (*np.full((3, sections), np.nan), 0.0)
        if isinstance(rectifier, ValveRectifier):
            if emission == 0:
                return nothing
            try:
                changes["rectifier"] = replace(
                    rectifier, perveance=rectifier.perveance * emission, published=None)
            except Unclear:  # hardly any emission yet
                return nothing
        try:
            found = solve(replace(self.supply, **changes), mains=self.mains, points=POINTS)
        except Unclear:
            return nothing
        rows = np.array([(c.direct, c.highest, c.lowest) for c in found.capacitors]).T
        bleeder = self.supply.bleeder
        last = found.capacitors[-1].direct
        drawn = changes["load"].at(last) + (last / bleeder if bleeder else 0.0)
        return (*rows, drawn)

    def serves(self, time: float, means: np.ndarray) -> bool:
        """Whether a supply with ``means`` (V) at ``time`` (s) stands in its steady states from now on."""
        first = max(0, int(np.searchsorted(self.moments, time, "right")) - 1)
        rows = self._states[first:]
        mean = np.array([row[0] for row in rows])
        if not np.isfinite(mean).all():
            return False
        now = self._between(time)[0]
        if np.abs(now - means).max() > NEAR * np.abs(now).max():
            return False
        spans = np.diff(self.moments[first:])
        falls = -np.diff(mean, axis=0).min(axis=1, initial=0.0) / spans
        capacitance = sum(section.capacitance for section in self.supply.sections)
        could = np.array([row[3] for row in rows[1:]]) / capacitance
        return bool(np.all(falls <= UNHURRIED * could))

    def _between(self, times: float | np.ndarray) -> np.ndarray:
        """Mean, highest and lowest voltage (3, sections, …) at ``times`` (s)."""
        kinds = zip(*(row[:3] for row in self._states))
        return np.array([
            [np.interp(times, self.moments, column) for column in np.array(rows).T]
            for rows in kinds])

    def voltages(self, times: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Highest, lowest and mean voltage (sections, times) in V at ``times`` (s)."""
        mean, high, low = self._between(times)
        return high, low, mean

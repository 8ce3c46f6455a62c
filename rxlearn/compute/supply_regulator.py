"""A glow tube or zener at the end of a supply: in regulation, out of it, or in between.

Each of its two conditions is a straight line of branch current against supply
voltage.  The steady state is found with the line that holds; where the ripple
crosses from one to the other, both places that are not linear are solved together.
SI units.  The model is that of :class:`~rxlearn.compute.supply_parts.Regulator`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.supply_balance import Balance, Kink, steady_state
from rxlearn.compute.supply_estimates import without_ripple
from rxlearn.compute.supply_network import Ladder, Source, ladder
from rxlearn.compute.supply_parts import Regulator, Supply

IN_REGULATION = "in regulation"
DIPS_OUT = "dips out of regulation"
OUT = "out of regulation"
UNLIT = "unlit"


@dataclass(frozen=True)
class RegulatorState:
    """How a regulator fares over one period.  V and A.

    ``state`` is :data:`IN_REGULATION`, :data:`DIPS_OUT` (below its least
    current in the valleys of the ripple), :data:`OUT` or :data:`UNLIT` (a glow
    tube that never gets its striking voltage).  ``voltage`` and ``current``
    are means at and through the tube; ``lowest`` and ``highest`` currents the
    extremes.
    """

    state: str
    voltage: float
    current: float
    lowest: float
    highest: float
    ripple: float


@dataclass(frozen=True)
class Line:
    """Branch current = conductance·v + current (S, A) at supply voltage v (V)."""

    conductance: float
    current: float

    def at(self, voltage: np.ndarray) -> np.ndarray:
        """Current (A) at ``voltage`` (V)."""
        return self.conductance * voltage + self.current


NO_BRANCH = Line(0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Operating:
    """A solved supply: its steady state, the filter it was found with, the branch's state."""

    balance: Balance
    filter: Ladder
    branch: Line
    kink: Kink | None
    regulates: bool

    @property
    def end(self) -> np.ndarray:
        """Voltage (V) at the last capacitor at each instant of the steady state."""
        return self.balance.waves[len(self.filter.capacitances) - 1]


def lines(regulator: Regulator) -> tuple[Line, Line, float]:
    """(in regulation, out of regulation, supply voltage in V where they meet).

    DERIVED by Ohm's law at the regulator's node.
    """
    dropper, slope, load = (
        regulator.series_resistance, regulator.slope_resistance, regulator.load
    )
    through = 1 / dropper
    scale = slope * through + 1 + load.conductance * slope
    inside = Line(
        through * (1 - slope * through / scale),
        -through * (regulator.voltage - load.current * slope) / scale,
    )
    total = through + load.conductance
    outside = Line(through * (1 - through / total), through * load.current / total)
    return inside, outside, regulator.voltage + dropper * load.at(regulator.voltage)


def regulate(supply: Supply, feed: Source, frequency: float, share: float = 1.0) -> Operating:
    """Find the steady state with or without the regulator, whichever condition holds.

    ``frequency`` (Hz) is that of the mains; ``share`` (0 to 1) says how warm the
    rectifier's cathodes are.
    """
    regulator = supply.regulator
    if regulator is None:
        return _with(supply, feed, frequency, NO_BRANCH, None, share, False)
    inside, outside, meet = lines(regulator)
    if regulator.striking_voltage is not None:
        unlit = _with(supply, feed, frequency, outside, None, share, False)
        if _highest_at_tube(unlit, regulator) < regulator.striking_voltage:
            return _checked(unlit, regulator)
    filter_ = _filter(supply, inside)
    likely, _, _ = without_ripple(feed, filter_, share)
    drawn = filter_.conductance * likely + filter_.current
    swing = drawn / (supply.ripple_frequency * filter_.capacitances[0])
    order = (True, False) if likely >= meet else (False, True)
    if len(supply.sections) == 1 and abs(likely - meet) < 0.4 * swing:
        order = ()  # the ripple crosses over
    for lit in order:
        found = _with(supply, feed, frequency, inside if lit else outside, None, share, lit)
        lowest, highest = found.end.min(), found.end.max()
        if lit and lowest >= meet:
            return found
        if not lit and highest <= meet:
            return _checked(found, regulator)
        if lowest < meet < highest:
            break
    kink = Kink(meet, outside.conductance - inside.conductance)
    return _with(supply, feed, frequency, inside, kink, share, True)


def _with(supply, feed, frequency, branch, kink, share, regulates) -> Operating:
    filter_ = _filter(supply, branch)
    state = steady_state(
        feed, filter_, frequency, supply.symmetrical, kink=kink, share=share
    )
    return Operating(state, filter_, branch, kink, regulates)


def _filter(supply: Supply, branch: Line) -> Ladder:
    conductance = supply.load.conductance + branch.conductance
    if supply.bleeder is not None:
        conductance += 1 / supply.bleeder
    return ladder(supply, conductance, supply.load.current + branch.current)


def _checked(found: Operating, regulator: Regulator) -> Operating:
    """Refuse a constant load behind the dropper that would pull its own node below zero."""
    drop = regulator.load.current * regulator.series_resistance
    if regulator.load.current and found.end.min() < drop:
        raise Unclear(
            f"The regulated load of {show(regulator.load.current, 'A', digits=3)} would drop "
            f"{show(drop, 'V', digits=3)} in the regulator's series resistor, more than the "
            "supply has: lower the load or the resistor."
        )
    return found


def _highest_at_tube(unlit: Operating, regulator: Regulator) -> float:
    end = float(unlit.end.max())
    return end - regulator.series_resistance * float(unlit.branch.at(end))


def branch_waves(found: Operating, regulator: Regulator):
    """(branch current A, voltage V at the tube, current A through the tube) at each instant."""
    end = found.end
    branch = found.branch.at(end)
    if found.kink is not None:
        branch = branch + found.kink.slope * np.minimum(end - found.kink.threshold, 0.0)
    voltage = end - regulator.series_resistance * branch
    tube = branch - regulator.load.at(voltage) if found.regulates else np.zeros_like(end)
    return branch, voltage, np.maximum(tube, 0.0)


def regulator_state(found: Operating, regulator: Regulator, waves) -> RegulatorState:
    """Voltage at and current through the tube over the period, and the verdict.

    ``waves`` are those of :func:`branch_waves`.
    """
    _, voltage, current = waves
    lowest, highest = float(current.min()), float(current.max())
    if not found.regulates:
        strike = regulator.striking_voltage
        verdict = UNLIT if strike is not None and voltage.max() < strike else OUT
    elif lowest >= regulator.least_current:
        verdict = IN_REGULATION
    else:
        verdict = DIPS_OUT if highest >= regulator.least_current else OUT
    return RegulatorState(
        verdict, float(voltage.mean()), float(current.mean()), lowest, highest,
        float(np.ptp(voltage)),
    )

"""What a meter shows at a valve's electrodes, sound and with one fault.

Model: the valve's characteristic is a straight line of slope ``conductance`` through its operating
point, cut off below, and a screen that loses its voltage takes the current with it in proportion;
the supply stands still.  A triode whose load drops much of the supply, and every output valve, follow
the 3/2 power of grid voltage plus anode voltage over mu instead (Child and Langmuir; any text on
valves); of a pentode the screen's voltage over the screen's mu counts, since its anode hardly
changes the current.  Limits: real valves bend, and a mixer's slope is its conversion conductance
here, so a faulty reading is good for its direction and rough size, not its digits.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from rxlearn.compute.circuits import (
    ValveFigures,
    cathode_resistor,
    fed_current,
    feed_resistor,
    screen_resistor,
)
from rxlearn.compute.quantities import Range

FAULTS: Mapping[str, str] = MappingProxyType({
    "none": "none: all is sound",
    "heater": "heater open",
    "cathode": "cathode resistor open",
    "anode": "anode load open",
    "screen": "screen resistor open",
    "leak": "coupling capacitor at the grid leaks",
})
"""What can be wrong with one stage, by key."""

ANODE_LOADS: Mapping[str, float] = MappingProxyType({
    "signal_amplifier": 5.0, "mixer": 4.7e3, "intermediate_amplifier": 5.0, "converter": 5.0,
    "audio_amplifier": 100e3, "output": 250.0,
})
"""Stages with a cathode resistor, and the direct-current resistance between supply and anode in
their circuits, ohm; coils and transformers as common practice has them."""

GRID_LEAK = 470e3
"""Grid leak of the output stage, ohm: the only one here whose capacitor has an anode behind it."""

LARGE_LOAD = 20e3
"""From this anode load (ohm) a triode is worked out by the 3/2 law (a choice)."""

VOLTAGE = Range("The high tension", "V", 20.0, 1000.0)
LEAKAGE = Range("The leakage", "Ω", 1e5, 1e12)


@dataclass(frozen=True)
class Reading:
    """One electrode: volts to chassis when sound, and with the fault."""

    electrode: str
    sound: float
    found: float


@dataclass(frozen=True)
class StageVoltages:
    """A stage at ``supply`` (V) with ``fault`` (the key of :data:`FAULTS` that takes effect): one
    reading for each electrode, and its cathode current sound and with the fault (A).

    ``absent`` is the fault asked for where the stage's circuit has no part that could have it.
    """

    stage: str
    valve: str
    supply: float
    fault: str
    leakage: float
    readings: tuple[Reading, ...]
    current_sound: float
    current_found: float
    absent: str = ""

    def reading(self, electrode: str) -> Reading:
        """The reading at ``electrode``; KeyError if it has none."""
        for row in self.readings:
            if row.electrode == electrode:
                return row
        raise KeyError(f"This valve has no {electrode}.")


def stage_voltages(
    stage: str, valve: ValveFigures, *, supply: float, fault: str = "none", leakage: float = 5e6,
) -> StageVoltages:
    """Direct voltages of ``stage`` (a key of :data:`ANODE_LOADS`) with ``valve`` in its circuit.

    ``supply`` in V; ``leakage`` (ohm) is the bad capacitor's, from an anode at half the supply.
    A triode has no screen, an output valve's has no resistor, and only the output stage's grid
    capacitor has high tension behind it: those faults change nothing elsewhere.  Raises Unclear for
    numbers out of range.
    """
    supply = VOLTAGE.check(supply)
    own_screen = bool(valve.screen) and stage != "output"
    asked = fault
    if fault == "screen" and not own_screen or fault == "leak" and stage != "output":
        fault = "none"
    resistor = cathode_resistor(valve.bias, valve.current)
    screen_drop = screen_resistor(supply, valve) if own_screen else 0.0
    by_power = _by_power(stage, valve)

    def at_grid(grid: float) -> float:
        """Current (A) of the valve, all sound, with its grid ``grid`` (V) above the chassis."""
        return (_by_three_halves(stage, valve, supply, resistor, grid) if by_power
                else _current(valve, resistor, grid))

    usual = at_grid(0.0)
    sound = _volts(stage, valve, supply, usual, resistor, screen_drop, 0.0)
    grid = 0.0
    if fault == "leak":
        grid = supply / 2 * GRID_LEAK / (GRID_LEAK + LEAKAGE.check(leakage))
    current = {"heater": 0.0, "cathode": 0.0, "screen": 0.0, "leak": at_grid(grid),
               "anode": usual * valve.screen_current / valve.current}.get(fault, usual)
    found = _volts(stage, valve, supply, current, resistor, screen_drop, grid)
    found |= _open_circuit(valve, fault, supply if by_power else None)
    rows = tuple(Reading(name, volts, found[name]) for name, volts in sound.items())
    return StageVoltages(stage, valve.name, supply, fault, leakage, rows, usual, current,
                         asked if asked != fault else "")


def _by_power(stage: str, valve: ValveFigures) -> bool:
    """Whether the stage's valve is where its supply puts it, and a straight line would be far off."""
    return valve.perveance is not None and (
        stage == "output" or not valve.screen and ANODE_LOADS[stage] >= LARGE_LOAD)


def _by_three_halves(stage: str, valve: ValveFigures, supply: float, resistor: float,
                     grid: float) -> float:
    """Cathode current (A) at which the 3/2 law and Ohm's law in anode and cathode agree, by halving.

    ``grid`` (V) is to the chassis; a pentode's screen stands where the anode's load begins.
    """
    mu, load = (valve.screen_mu, 0.0) if valve.screen else (valve.mu, ANODE_LOADS[stage])
    drops = load + feed_resistor(stage, supply, valve) + resistor
    low, high = 0.0, supply / drops
    for _ in range(60):
        current = (low + high) / 2
        driving = max(0.0, (supply - current * drops) / mu + grid - current * resistor)
        low, high = (current, high) if valve.perveance * driving**1.5 > current else (low, current)
    return low


def _current(valve: ValveFigures, resistor: float, grid: float) -> float:
    """Cathode current (A): Ohm's law at the cathode and the straight characteristic, solved.

    I = I0 + g (Vg - I R + V0), with g the slope of the cathode current; DERIVED.
    """
    slope = valve.conductance * valve.current / valve.anode_current
    return max(0.0, (valve.current + slope * (grid + valve.bias)) / (1 + slope * resistor))


def _volts(stage: str, valve: ValveFigures, supply: float, current: float, resistor: float,
           screen_drop: float, grid: float) -> dict[str, float]:
    """Each electrode's voltage (V) while ``current`` (A) flows, by Ohm's law."""
    share = valve.anode_current / valve.current
    fed = supply - feed_resistor(stage, supply, valve) * current * fed_current(stage, valve) / valve.current
    volts = {"anode": fed - ANODE_LOADS[stage] * current * share}
    if valve.screen:
        volts["screen"] = (fed if stage == "output" else supply) - screen_drop * current * valve.screen_current / valve.current
    volts = {name: max(0.0, value) for name, value in volts.items()}
    return volts | {"cathode": current * resistor, "grid": grid}


def _open_circuit(valve: ValveFigures, fault: str, supply: float | None) -> dict[str, float]:
    """What an open part leaves: nothing beyond it, or the cathode risen until the valve cuts off.

    That is where the straight line ends, or by the 3/2 law, with ``supply`` (V), where grid and anode
    (or screen) over mu cancel.
    """
    if fault == "anode":
        return {"anode": 0.0}
    if fault == "screen" and valve.screen:
        return {"screen": 0.0}
    if fault == "cathode" and supply is not None:
        return {"cathode": supply / (1 + (valve.screen_mu if valve.screen else valve.mu))}
    if fault == "cathode":
        return {"cathode": valve.bias + valve.anode_current / valve.conductance}
    return {}

"""From the rectifier's current to every voltage and current of the filter, as harmonics.

SI units.  The linear ladder alone; its formulas are those of
:class:`~rxlearn.compute.supply_network.Ladder`.
"""

from __future__ import annotations

import numpy as np

from rxlearn.compute.supply_balance import Balance
from rxlearn.compute.supply_network import Ladder, derivative


def harmonics(state: Balance, filter_: Ladder) -> tuple[np.ndarray, np.ndarray]:
    """Spectra (rfft, means included) of capacitor voltages and of branch currents.

    Two arrays (sections, instants//2 + 1): voltage at each capacitor, current
    through each section's choke or resistor.
    """
    count, sections = state.instants, len(filter_.series)
    branches = state.branches
    voltages = np.empty((sections, count // 2 + 1), complex)
    currents = np.empty_like(voltages)
    flowing = np.fft.rfft(state.current)
    mean = flowing[0].real
    currents[:, 0] = mean
    level = state.output * count
    for k in range(sections - 1, -1, -1):
        voltages[k, 0] = level
        level += filter_.series[k][1] * mean
    current = flowing[1:]
    for k, (_, onward) in enumerate(branches):
        currents[k, 1:] = current
        voltages[k, 1:] = current * onward
        if k + 1 < sections:
            along, further = branches[k + 1]
            current = voltages[k, 1:] / (along + further)
    if state.correction is not None:
        omega = 2 * np.pi / state.period * np.arange(1, count // 2 + 1)
        symbol = derivative(omega, state.period / count, state.order)
        _add_correction(state, filter_, symbol, branches, voltages, currents)
    return voltages, currents


def _add_correction(state, filter_, symbol, branches, voltages, currents) -> None:
    """Superpose what a current drawn at the end does while the rectifier's stays as it is."""
    drawn = np.fft.rfft(state.correction)[1:]
    behind = []
    admittance = symbol * filter_.capacitances[0]
    for (along, _), capacitance in zip(branches[1:], filter_.capacitances[1:], strict=True):
        behind.append(along + 1 / admittance)
        admittance = 1 / behind[-1] + symbol * capacitance
    voltage = -drawn / (admittance + filter_.conductance)
    for k in range(len(branches) - 1, -1, -1):
        voltages[k, 1:] += voltage
        if k:
            current = -voltage / behind[k - 1]
            currents[k, 1:] += current
            voltage = voltage + branches[k][0] * current

"""From the rectifier's current to every voltage and current of the filter, as harmonics.

SI units.  The linear ladder alone; its formulas are those of
:class:`~rxlearn.compute.supply_network.Ladder`.  ``symbol`` stands for jω, one
value for each harmonic; ``branches`` are those of the ladder with it.
"""

from __future__ import annotations

import numpy as np

from rxlearn.compute.supply_network import Ladder


def spectrum(direct: float, values: np.ndarray) -> np.ndarray:
    """A response as irfft wants it: ``direct`` for the mean, ``values`` for harmonics 1, 2 …

    Both in Ω here.  The last harmonic can only be real.
    """
    found = np.empty(len(values) + 1, complex)
    found[0], found[1:] = direct, values
    found[-1] = found[-1].real
    return found


def harmonics(filter_: Ladder, symbol: np.ndarray, branches, current: np.ndarray, output: float,
              correction: np.ndarray | None = None) -> np.ndarray:
    """Spectra (rfft, means included) of the capacitors' voltages, then of the branches' currents.

    ``current`` (A) flows into the filter over one period; ``output`` (V) is the
    direct voltage at its end; a ``correction`` (A) is drawn there as well.  An
    array (2·sections, instants//2 + 1).
    """
    sections = len(filter_.series)
    flowing = np.fft.rfft(current)
    spectra = np.empty((2 * sections, len(flowing)), complex)
    voltages, currents = spectra[:sections], spectra[sections:]
    mean = flowing[0].real
    currents[:, 0] = mean
    level = output * len(current)
    for k in range(sections - 1, -1, -1):
        voltages[k, 0] = level
        level += filter_.series[k][1] * mean
    through = flowing[1:]
    for k, (onward, _) in enumerate(branches):
        currents[k, 1:] = through
        voltage = voltages[k, 1:] = through * onward
        if k + 1 < sections:
            through = voltage * branches[k + 1][1]
    if correction is not None:
        _add_correction(filter_, symbol, np.fft.rfft(correction)[1:], voltages, currents)
    return spectra


def _along(filter_: Ladder, symbol: np.ndarray) -> list[np.ndarray]:
    """Impedance of the series part of each section."""
    return [resistance + inductance * symbol for inductance, resistance in filter_.series]


def _add_correction(filter_, symbol, drawn, voltages, currents) -> None:
    """Superpose what a current drawn at the end does while the rectifier's stays as it is."""
    along, behind = _along(filter_, symbol), []
    admittance = symbol * filter_.capacitances[0]
    for series, capacitance in zip(along[1:], filter_.capacitances[1:], strict=True):
        behind.append(series + 1 / admittance)
        admittance = 1 / behind[-1] + symbol * capacitance
    voltage = -drawn / (admittance + filter_.conductance)
    for k in range(len(along) - 1, -1, -1):
        voltages[k, 1:] += voltage
        if k:
            current = -voltage / behind[k - 1]
            currents[k, 1:] += current
            voltage = voltage + along[k] * current


def two_ports(filter_: Ladder, symbol: np.ndarray, branches) -> tuple[np.ndarray, np.ndarray]:
    """Spectra of the voltage at the end that a current into the filter, or into its end, makes.

    The first is also the voltage before the filter that a current into the end
    makes (reciprocity).  Their means are left out.
    """
    along = _along(filter_, symbol)
    through, admittance = branches[0][0], symbol * filter_.capacitances[0]
    for series, (onward, into), capacitance in zip(
        along[1:], branches[1:], filter_.capacitances[1:], strict=True
    ):
        through = through * onward * into
        admittance = 1 / (series + 1 / admittance) + symbol * capacitance
    return spectrum(0.0, through), spectrum(0.0, 1 / (admittance + filter_.conductance))

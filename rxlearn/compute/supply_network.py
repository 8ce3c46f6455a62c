"""A supply as a circuit: what drives the filter, and the filter as a linear network.

The filter with its bleeder and loads is a ladder of series branches (R + jωL)
and shunt capacitors; its impedance seen from the rectifier follows from the
far end by adding admittances and impedances in turn (elementary circuit
theory).  The rectifier side is a sum of legs, each an e.m.f. behind a resistance and an element.

SI units throughout.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rxlearn.compute.rectifiers import Rectifier
from rxlearn.compute.supply_parts import BRIDGE, FULL_WAVE, Supply, peak

EXACT = "exact"
FIRST = "first order"
SMOOTH = "smooth"
"""Symbols of the derivative: jω, backward differences, or the one turning into the other."""


@dataclass(frozen=True)
class Leg:
    """One way for current: ``sign``·``emf``·sin ωt (V peak) behind ``resistance`` (Ω).

    ``winding`` is the part of the resistance that is copper of the
    transformer; the rest stands in the leads.
    """

    sign: int
    emf: float
    winding: float
    resistance: float


@dataclass(frozen=True)
class Source:
    """The rectifier side: ``legs`` with ``count`` elements each in series.

    ``rectified``: the winding is switched round every half period (bridge), so
    that its one leg sees \\|sin ωt\\|.
    """

    rectifier: Rectifier
    legs: tuple[Leg, ...]
    count: int
    rectified: bool

    def emfs(self, sine: np.ndarray) -> np.ndarray:
        """E.m.f. (V) of the legs for an array of sin ωt: (legs, instants)."""
        if self.rectified:
            return self.legs[0].emf * np.abs(sine)[None]
        return np.array([[leg.sign * leg.emf] for leg in self.legs]) * sine

    def total(self, emfs: np.ndarray, voltage: np.ndarray, share: float = 1.0):
        """Total current (A) into the node and −d(current)/d(voltage) (A/V), arrays.

        ``emfs`` of fewer legs than there are leaves out the last.  A bridge with its output
        driven negative by a choke lets the current pass through both strings of
        two diodes and past the winding.
        """
        rectifier, first = self.rectifier, self.legs[0].resistance
        if len(emfs) == 2:
            resistances = np.array([[leg.resistance] for leg in self.legs])
            currents, slopes = rectifier.conduct(emfs - voltage, resistances, 1, share)
            return currents[0] + currents[1], slopes[0] + slopes[1]
        current, slope = rectifier.conduct(emfs[0] - voltage, first, self.count, share)
        if self.rectified and voltage.min() < 0:
            past = -voltage - self.count * rectifier.drop
            round_it = np.maximum(past, 0.0) / rectifier.resistance
            freewheels = round_it > current
            current = np.where(freewheels, round_it, current)
            slope = np.where(freewheels, 1 / rectifier.resistance, slope)
        return current, slope

    def before(self, emfs: np.ndarray, current: np.ndarray, share: float = 1.0):
        """Voltage (V) before the filter while a ``current`` above nothing (A) is forced through.

        One leg carries all of it: near the zeros of the sine, where two legs
        share it, the true voltage is a little higher.
        """
        lost = self.count * self.rectifier.drop_at(current, share)
        resistances = np.array([[leg.resistance] for leg in self.legs])
        voltage = (emfs - resistances * current).max(axis=0) - lost
        if self.rectified:
            drop, resistance = self.rectifier.drop, self.rectifier.resistance
            voltage = np.maximum(voltage, -self.count * drop - resistance * current)
        return voltage

    @property
    def highest(self) -> float:
        """Largest e.m.f. (V peak) of any leg."""
        return max(leg.emf for leg in self.legs)


def source(supply: Supply, mains: float = 1.0) -> Source:
    """The rectifier side of ``supply`` with the mains at ``mains`` times nominal."""
    halves = supply.transformer.halves
    extra = supply.series_resistance
    used = halves if supply.arrangement == FULL_WAVE else halves[:1]
    legs = tuple(
        Leg(sign, peak(emf) * mains, winding, winding + extra)
        for sign, (emf, winding) in zip((1, -1), used, strict=False)
    )
    bridge = supply.arrangement == BRIDGE
    return Source(supply.rectifier, legs, 2 if bridge else 1, bridge)


@dataclass(frozen=True)
class Ladder:
    """The filter: ``series`` of (L, R) and ``capacitances``, loaded at its end.

    At the end a ``conductance`` (S) and a constant ``current`` (A) flow to the
    negative line: i = G·v + I.
    """

    series: tuple[tuple[float, float], ...]
    capacitances: tuple[float, ...]
    conductance: float
    current: float

    @property
    def resistance(self) -> float:
        """Resistance (Ω) of all series branches: what direct current meets."""
        return sum(resistance for _, resistance in self.series)

    def branches(self, symbol: np.ndarray) -> list[tuple[np.ndarray, np.ndarray]]:
        """(impedance, from behind its series part on; admittance of the whole) of each section.

        The impedance is that of the capacitor and all behind it, the admittance that of
        the series part and all behind it.  ``symbol`` stands for jω, one value
        for each harmonic (:func:`derivative`).
        """
        admittance = self.conductance
        found = []
        for (inductance, resistance), capacitance in zip(
            reversed(self.series), reversed(self.capacitances), strict=True
        ):
            onward = 1.0 / (admittance + symbol * capacitance)
            along = onward + resistance
            if inductance > 0:
                along += symbol * inductance
            admittance = 1.0 / along
            found.append((onward, admittance))
        return found[::-1]

    def state_space(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """dx/dt = A·x + B·u + c, with x the capacitor voltages, then the choke currents.

        u is the current into the first capacitor where the first section has
        no inductance (a resistor there only drops voltage), else the voltage
        before the first choke.  Arrays (n, n), (n,), (n,).
        """
        count = len(self.capacitances)
        chokes = [k for k, (inductance, _) in enumerate(self.series) if inductance > 0]
        where = {k: count + number for number, k in enumerate(chokes)}
        size = count + len(chokes)
        matrix, drive, constant = np.zeros((size, size)), np.zeros(size), np.zeros(size)
        for k, (inductance, resistance) in enumerate(self.series):
            gain = 1.0 / self.capacitances[k]
            if k in where:
                row = where[k]
                matrix[row, row] = -resistance / inductance
                matrix[row, k] = -1.0 / inductance
                matrix[k, row] += gain
                if k:
                    matrix[row, k - 1] = 1.0 / inductance
                    matrix[k - 1, row] -= 1.0 / self.capacitances[k - 1]
                else:
                    drive[row] = 1.0 / inductance
            elif k:
                through = 1.0 / resistance
                matrix[k, k] -= gain * through
                matrix[k, k - 1] += gain * through
                matrix[k - 1, k - 1] -= through / self.capacitances[k - 1]
                matrix[k - 1, k] += through / self.capacitances[k - 1]
            else:
                drive[0] = gain
        matrix[count - 1, count - 1] -= self.conductance / self.capacitances[-1]
        constant[count - 1] = -self.current / self.capacitances[-1]
        return matrix, drive, constant


def ladder(supply: Supply, conductance: float, current: float) -> Ladder:
    """The filter of ``supply`` with all its end load: ``conductance`` (S), ``current`` (A)."""
    return Ladder(
        tuple((section.inductance, section.resistance) for section in supply.sections),
        tuple(section.capacitance for section in supply.sections),
        conductance, current,
    )


def derivative(omega: np.ndarray, step: float, order: str) -> np.ndarray:
    """What stands for jω (``omega``, rad/s) in chokes and capacitors at time steps of ``step`` s.

    First order: backward differences, (1 − q)/h with q = e^(−jωh).  Smooth: jω for
    slow harmonics goes over into second-order differences, (3 − 4q + q²)/(2h), for the
    fastest, with sin²(ωh/2) as the weight.  No real part is negative, so that the
    circuit stays passive and the steady state unique; with the first-order one nothing can ring
    from sample to sample, which makes Newton's steps sure.
    """
    if order == EXACT:
        return 1j * omega
    back = np.exp(-1j * omega * step)
    if order == FIRST:
        return (1 - back) / step
    fast = np.sin(0.5 * step * omega) ** 2
    return 1j * omega * (1 - fast) + fast * (3 - 4 * back + back * back) / (2 * step)

"""One crystal near its resonances: its impedance, what a capacitor in series moves, and a fixture.

The circuit is that of :class:`~rxlearn.compute.crystal.Crystal`, losses included.  With a
capacitor C_L in series the resonance rises to fₛ√(1 + Cₘ/(C₀ + C_L)) (IEC 60122-1: the load
resonance).  In a fixture that puts R in the crystal's loop, R/(R + Z) comes through, against a
wire in its place.  DERIVED from the circuit.  Limits: one mode, no strays of the fixture.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.crystal import (
    FIXTURE_RESISTANCE,
    LOAD_CAPACITANCE,
    Crystal,
    measured_in_fixture,
)
from rxlearn.compute.quantities import Unclear, show

POINTS = 401


@dataclass(frozen=True, eq=False)
class CrystalCurve:
    """A crystal's ``impedance`` and that of its ``holder`` alone (Ω) over ``frequencies`` (Hz).

    ``loaded`` (Hz) is where it resonates with ``load`` (F) in series.
    """

    crystal: Crystal
    load: float
    frequencies: np.ndarray
    impedance: np.ndarray
    holder: np.ndarray
    loaded: float

    @property
    def pulled(self) -> float:
        """How far the load moves the series resonance up, Hz."""
        return self.loaded - self.crystal.frequency


def impedance_of(crystal: Crystal, frequencies: np.ndarray) -> np.ndarray:
    """Complex impedance (Ω) of ``crystal`` at ``frequencies`` (Hz), loss and holder included."""
    f, resonance = np.asarray(frequencies, float), crystal.frequency
    # By the difference of squares, since some hertz must not drown in megahertz.
    motional = crystal.resistance + 2j * math.pi * crystal.motional_inductance * (
        (f - resonance) * (f + resonance) / f)
    across = 1 / (2j * math.pi * f * crystal.parallel_capacitance)
    return motional * across / (motional + across)


def sweep_crystal(crystal: Crystal, load: float, low: float, high: float) -> CrystalCurve:
    """Sweep ``crystal`` from ``low`` to ``high`` (Hz), and put ``load`` (F) in series with it.

    Points are dense about both resonances, which are far narrower than the picture.
    """
    load = LOAD_CAPACITANCE.check(load)
    near = np.geomspace(1e-6, 0.2, 120) * (high - low)
    places = [np.linspace(low, high, POINTS)]
    for peak in (crystal.frequency, crystal.parallel_resonance):
        places += [peak - near, [peak], peak + near]
    frequencies = np.unique(np.clip(np.concatenate(places), low, high))
    ratio = crystal.motional_capacitance / (crystal.parallel_capacitance + load)
    return CrystalCurve(
        crystal, load, frequencies, np.abs(impedance_of(crystal, frequencies)),
        1 / (2 * math.pi * frequencies * crystal.parallel_capacitance),
        crystal.frequency * math.sqrt(1 + ratio))


@dataclass(frozen=True, eq=False)
class FixtureReading:
    """What comes through a fixture, and what two markers beside the peak make of it.

    ``levels_db`` (dB against a wire) over ``frequencies`` (Hz); the markers ``left`` and ``right``
    (Hz from the peak) stand ``left_db`` and ``right_db`` (dB) below it, and ``peak_db`` (dB) is
    what the peak lacks.  ``width`` (Hz) lies between the true 3 dB points.  ``found`` is the
    crystal by the markers, ``crystal`` the one in the fixture, ``resistance`` (Ω) the fixture's.
    """

    crystal: Crystal
    resistance: float
    frequencies: np.ndarray
    levels_db: np.ndarray
    peak_db: float
    left: float
    right: float
    left_db: float
    right_db: float
    width: float
    found: Crystal


def read_fixture(
    crystal: Crystal, resistance: float, left: float, right: float, span: float
) -> FixtureReading:
    """Put ``crystal`` into a fixture of ``resistance`` (Ω) and read it with two markers.

    ``left`` and ``right`` are Hz from the peak, below and above it; the sweep is ``span`` (Hz)
    wide.  Raises :class:`Unclear` for markers that do not stand on either side.
    """
    resistance = FIXTURE_RESISTANCE.check(resistance)
    if not left < 0 < right:
        raise Unclear(
            f"The markers stand at {show(left, 'Hz')} and {show(right, 'Hz')} from the peak: put "
            "one below it and one above.")
    peak = crystal.frequency

    def level(places: np.ndarray) -> np.ndarray:
        return 20 * np.log10(np.abs(
            resistance / (resistance + impedance_of(crystal, np.asarray(places)))))

    frequencies = peak + np.linspace(-span / 2, span / 2, POINTS)
    top, at_left, at_right = level(peak + np.array([0.0, left, right]))
    width = (resistance + crystal.resistance) / (2 * math.pi * crystal.motional_inductance)
    try:
        found = measured_in_fixture(peak, right - left, float(-top), resistance,
                                    crystal.parallel_capacitance)
    except Unclear:
        if right - left <= width:
            raise
        raise Unclear(
            f"Markers {show(right - left, 'Hz', digits=4)} apart would make a crystal that no quartz "
            "can be: move them nearer to the peak.") from None
    return FixtureReading(
        crystal, resistance, frequencies, level(frequencies), float(-top), left, right,
        float(top - at_left), float(top - at_right),
        width, found)

"""A quartz crystal near its resonance, and how its figures are found at the bench.  SI units.

Near one resonance a crystal is a series circuit of motional inductance, motional capacitance and
resistance, with the capacitance of electrodes and holder across all of it (IEC 60122-1; F. E.
Terman, *Radio Engineering*).  With Xₘ = ωLₘ − 1/(ωCₘ) its reactance, losses left out, is

    X = Xₘ/(1 − ωC₀·Xₘ)

which is nothing at the series resonance and infinite at the parallel one (DERIVED).  Limits: one
mode only, so the spurious ones that lie 30 kHz to 200 kHz above are left out; small drive; a case
that is not connected.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.data.crystals import TYPICAL_CRYSTALS

CRYSTAL_FREQUENCY = Range("The crystal's frequency", "Hz", 10e3, 100e6)
MOTIONAL_INDUCTANCE = Range("The crystal's motional inductance", "H", 100e-6, 20e3)
CRYSTAL_RESISTANCE = Range("The crystal's resistance", "Ω", 0.0, 200e3)
PARALLEL_CAPACITANCE = Range("The crystal's parallel capacitance", "F", 0.2e-12, 100e-12)
FIXTURE_RESISTANCE = Range("The fixture's resistance", "Ω", 1.0, 10e3)
FIXTURE_WIDTH = Range("The width between the 3 dB points", "Hz", 0.1, 20e3)
FIXTURE_DROP = Range("The drop at resonance", "dB", 0.0, 60.0)
KNOWN_CAPACITOR = Range("The known capacitor", "F", 1e-12, 10e-9)
LOAD_CAPACITANCE = Range("The load capacitance", "F", 5e-12, 200e-12)


@dataclass(frozen=True)
class Crystal:
    """A crystal by its series resonance ``frequency`` (Hz), ``motional_inductance`` (H),
    ``resistance`` (Ω) and ``parallel_capacitance`` (F).  Raises Unclear for what is none."""

    frequency: float
    motional_inductance: float
    resistance: float
    parallel_capacitance: float

    def __post_init__(self) -> None:
        """Refuse what is no crystal."""
        CRYSTAL_FREQUENCY.check(self.frequency)
        MOTIONAL_INDUCTANCE.check(self.motional_inductance)
        CRYSTAL_RESISTANCE.check(self.resistance)
        PARALLEL_CAPACITANCE.check(self.parallel_capacitance)
        if not self.motional_capacitance < self.parallel_capacitance / 20:
            raise Unclear(
                f"A motional inductance of {show(self.motional_inductance, 'H', digits=4)} at "
                f"{show(self.frequency, 'Hz')} asks for a motional capacitance of "
                f"{show(self.motional_capacitance, 'F', digits=3)}, which no quartz with "
                f"{show(self.parallel_capacitance, 'F', digits=3)} across it has: give a larger "
                "inductance."
            )

    @property
    def motional_capacitance(self) -> float:
        """Cₘ = 1/(ω²Lₘ), F; some femtofarads."""
        return 1 / ((2 * math.pi * self.frequency) ** 2 * self.motional_inductance)

    @property
    def q(self) -> float:
        """Reactance of the motional inductance over the resistance; infinite without loss."""
        reactance = 2 * math.pi * self.frequency * self.motional_inductance
        return reactance / self.resistance if self.resistance else math.inf

    @property
    def parallel_resonance(self) -> float:
        """fₛ√(1 + Cₘ/C₀), Hz: above it the crystal is a capacitor again."""
        return self.frequency * math.sqrt(
            1 + self.motional_capacitance / self.parallel_capacitance)

    @property
    def spacing(self) -> float:
        """From series to parallel resonance, Hz: the room that any ladder filter has."""
        return self.parallel_resonance - self.frequency

    def reactance(self, frequency: float | np.ndarray) -> float | np.ndarray:
        """Reactance (Ω) at ``frequency`` (Hz), losses left out; an array keeps its shape."""
        omega = 2 * math.pi * np.asarray(frequency, float)
        series = omega * self.motional_inductance - 1 / (omega * self.motional_capacitance)
        found = series / (1 - omega * self.parallel_capacitance * series)
        return float(found) if found.ndim == 0 else found

    def frequency_at(self, reactance: float) -> float:
        """The frequency (Hz) from series to parallel resonance at which it has ``reactance`` (Ω).

        Also just below the series resonance for a negative one.
        """
        coil, frequency = self.motional_inductance, self.frequency
        # C₀'s reactance hardly moves over the crystal's few kilohertz: three rounds settle it.
        for _ in range(3):
            series = reactance / (
                1 + 2 * math.pi * frequency * self.parallel_capacitance * reactance)
            omega = (series + math.sqrt(series**2 + 4 * coil / self.motional_capacitance))
            frequency = omega / (2 * coil) / (2 * math.pi)
        return frequency

    def moved(self, hertz: float) -> Crystal:
        """The same crystal with its resonance ``hertz`` (Hz) higher."""
        return replace(self, frequency=self.frequency + hertz)


def crystal_from_capacitance(
    frequency: float, motional_capacitance: float, resistance: float, parallel_capacitance: float
) -> Crystal:
    """A crystal by its motional capacitance (F) in the inductance's place; the rest in Hz, Ω, F."""
    inductance = 1 / ((2 * math.pi * CRYSTAL_FREQUENCY.check(frequency)) ** 2
                      * motional_capacitance)
    return Crystal(frequency, inductance, resistance, parallel_capacitance)


def typical_crystal(frequency: float) -> Crystal:
    """A usual crystal for ``frequency`` (Hz), between the rows of the table of typical figures.

    Values run evenly on a logarithmic scale.  Limit: a place to begin; two makers differ by
    half, so measure yours.
    """
    at = math.log(CRYSTAL_FREQUENCY.check(frequency))
    rows = TYPICAL_CRYSTALS
    places = [math.log(row.frequency) for row in rows]

    def between(values: list[float]) -> float:
        return math.exp(np.interp(at, places, [math.log(value) for value in values]))

    return crystal_from_capacitance(
        frequency, between([row.motional_capacitance for row in rows]),
        between([row.resistance for row in rows]),
        between([row.parallel_capacitance for row in rows]))


def series_from_marked(marked: float, crystal: Crystal, load: float) -> float:
    """Series resonance (Hz) of a crystal ``marked`` (Hz) for a ``load`` (F) across it.

    f_L = fₛ√(1 + Cₘ/(C₀ + C_L)) (IEC 60122-1; DERIVED), with the other figures of ``crystal``.
    """
    ratio = crystal.motional_capacitance / (
        crystal.parallel_capacitance + LOAD_CAPACITANCE.check(load))
    return CRYSTAL_FREQUENCY.check(marked) / math.sqrt(1 + ratio)


def measured_in_fixture(
    frequency: float, width: float, drop_db: float, fixture_resistance: float,
    parallel_capacitance: float,
) -> Crystal:
    """A crystal's figures from a fixture that puts it in series with ``fixture_resistance`` (Ω).

    That resistance is what the crystal sees: source and load together.  ``frequency`` (Hz) is
    where most comes through, ``width`` (Hz) lies between the points 3 dB below, ``drop_db`` is
    how much less comes through than with a wire in the crystal's place.  Then

        Rₘ = R·(10^(drop/20) − 1)        Lₘ = (R + Rₘ)/(2π·width)

    (DERIVED from the series circuit; the transmission method of IEC 60444-1, from memory).
    Limit: R must be far below the reactance of the ``parallel_capacitance`` (F).
    """
    total = FIXTURE_RESISTANCE.check(fixture_resistance) * 10 ** (
        FIXTURE_DROP.check(drop_db) / 20)
    across = 1 / (2 * math.pi * CRYSTAL_FREQUENCY.check(frequency)
                  * PARALLEL_CAPACITANCE.check(parallel_capacitance))
    if total > across / 5:
        raise Unclear(
            f"With {show(total, 'Ω', digits=3)} in the loop too much passes by the crystal's "
            f"{show(parallel_capacitance, 'F', digits=3)}: use a fixture of less resistance.")
    inductance = total / (2 * math.pi * FIXTURE_WIDTH.check(width))
    return Crystal(frequency, inductance, total - fixture_resistance, parallel_capacitance)


def capacitance_from_shift(
    frequency: float, shifted: float, known: float, parallel_capacitance: float
) -> float:
    """Motional capacitance (F) from where a ``known`` capacitor (F) in series moves the resonance.

    ``frequency`` (Hz) without and ``shifted`` (Hz) with it: Cₘ = ((f_L/fₛ)² − 1)(C₀ + C),
    exact without loss (DERIVED; the load capacitance of IEC 60122-1).  ``parallel_capacitance``
    (F) counts with the known one, strays of the fixture included.
    """
    CRYSTAL_FREQUENCY.check(frequency)
    CRYSTAL_FREQUENCY.check(shifted)
    if not shifted > frequency:
        raise Unclear(
            f"A capacitor in series moves the resonance upwards, but {show(shifted, 'Hz', digits=9)} "
            f"is not above {show(frequency, 'Hz', digits=9)}: exchange the two, or measure again.")
    both = KNOWN_CAPACITOR.check(known) + PARALLEL_CAPACITANCE.check(parallel_capacitance)
    return ((shifted / frequency) ** 2 - 1) * both


def closest_set(frequencies: np.ndarray, count: int) -> tuple[int, ...]:
    """Which ``count`` of the measured ``frequencies`` (Hz) lie closest together, by their place.

    In rising order of frequency.  The choice is exact: the set is always a run of neighbours.
    """
    array = np.asarray(CRYSTAL_FREQUENCY.check_each(np.asarray(frequencies, float)))
    if array.ndim != 1 or array.size < count:
        raise Unclear(f"{count} crystals are wanted, but only {array.size} are measured: "
                      "measure more, or take fewer crystals.")
    order = np.argsort(array, kind="stable")
    spans = array[order[count - 1:]] - array[order[: array.size - count + 1]]
    start = int(np.argmin(spans))
    return tuple(int(place) for place in order[start:start + count])

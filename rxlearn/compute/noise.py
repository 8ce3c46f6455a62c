"""Noise and signal levels: thermal noise, noise figures in a row, the outside world, S units.

Limits of the model: white noise, matched ports, room temperature :data:`T0`
unless said; external noise is a median over places and times, so that 10 dB
either way is nothing unusual.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rxlearn.compute.quantities import Range, Unclear, show

BOLTZMANN = 1.380649e-23
"""Boltzmann constant, J/K (exact by definition; SI brochure, 9th ed., 2019)."""

T0 = 290.0
"""Reference temperature of a noise figure, K (H. T. Friis, Proc. IRE 32 (1944) 419)."""

PLACES = {
    "city": (76.8, 27.7),
    "residential": (72.5, 27.7),
    "rural": (67.2, 27.7),
    "quiet rural": (53.6, 28.6),
    "galactic": (52.0, 23.0),
}
"""Place to (c, d) of ``F_am = c - d·log10(f / 1 MHz)`` in dB.

Source: Recommendation ITU-R P.372, table on man-made noise (0.3 to 250 MHz);
"galactic" is the sky beyond the ionosphere, which shows above about 10 MHz.
"""

S9_DBM = {False: -73.0, True: -93.0}
"""Level of S9 in dBm at the receiver's input, by "above 30 MHz or not".

Source: IARU Region 1 Technical Recommendation R.1 (1981), 50 ohm.
"""

BANDWIDTH = Range("The bandwidth", "Hz", 1.0, 1e8)
TEMPERATURE = Range("The temperature in kelvin", "", 1.0, 3000.0)
RESISTANCE = Range("The resistance", "Ω", 1e-3, 1e9)
NOISE_RESISTANCE = Range("The equivalent noise resistance", "Ω", 0.0, 1e7)
NOISE_FIGURE = Range("The noise figure", "dB", 0.0, 80.0)
GAIN = Range("The gain", "dB", -200.0, 200.0)
LEVEL = Range("The level", "dBm", -250.0, 100.0)
VOLTAGE = Range("The voltage", "V", 1e-12, 1e4)
NOISE_FREQUENCY = Range("The frequency", "Hz", 0.3e6, 250e6)


@dataclass(frozen=True)
class Stage:
    """One stage of a receiver: its available power gain and noise figure, both in dB."""

    name: str
    gain_db: float
    noise_figure_db: float


@dataclass(frozen=True)
class Cascade:
    """Stages in a row: the whole's noise factor, noise figure and gain.

    ``noise_figures_db`` holds the noise figure as it grows, after one stage,
    two stages and so on; its last value is ``noise_figure_db``.
    """

    stages: tuple[Stage, ...]
    noise_factor: float
    noise_figure_db: float
    gain_db: float
    noise_figures_db: tuple[float, ...]


def thermal_noise_dbm(bandwidth: float, *, temperature: float = T0) -> float:
    """Available thermal noise power ``kTB`` in dBm; bandwidth in Hz, temperature in K.

    Source: H. Nyquist, Phys. Rev. 32 (1928) 110.  Limit: far below 1 THz.
    """
    power = BOLTZMANN * TEMPERATURE.check(temperature) * BANDWIDTH.check(bandwidth)
    return 10 * math.log10(power / 1e-3)


def noise_voltage(resistance: float, bandwidth: float, *, temperature: float = T0) -> float:
    """Open-circuit noise voltage ``sqrt(4kTRB)`` of a resistor, V r.m.s.

    Source: H. Nyquist, Phys. Rev. 32 (1928) 110.
    """
    kelvin = TEMPERATURE.check(temperature)
    return math.sqrt(
        4 * BOLTZMANN * kelvin * RESISTANCE.check(resistance) * BANDWIDTH.check(bandwidth)
    )


def noise_floor_dbm(bandwidth: float, noise_figure_db: float) -> float:
    """Noise ``k·T0·B·F`` that a receiver seems to hear, dBm at its input.

    Source: H. T. Friis, "Noise figures of radio receivers", Proc. IRE 32 (1944) 419.
    """
    return thermal_noise_dbm(bandwidth) + NOISE_FIGURE.check(noise_figure_db)


def cascade(stages: Sequence[Stage]) -> Cascade:
    """Noise figure of stages in a row, the aerial's end first: ``F1 + (F2-1)/G1 + …``.

    Source: H. T. Friis, Proc. IRE 32 (1944) 419.  Limit: every stage matched and
    no noise from the image; a mixer without a preselector hears both.
    """
    stages = tuple(stages)
    if not stages:
        raise Unclear("There is no stage to reckon with: give at least one.")
    factor, gain_db, grown = 1.0, 0.0, []
    for stage in stages:
        own = 10 ** (NOISE_FIGURE.check(stage.noise_figure_db) / 10)
        factor += (own - 1) / 10 ** (gain_db / 10)
        gain_db += GAIN.check(stage.gain_db)
        grown.append(10 * math.log10(factor))
    return Cascade(stages, factor, grown[-1], gain_db, tuple(grown))


def valve_noise_figure_db(equivalent_noise_resistance: float, circuit_resistance: float) -> float:
    """Noise figure (dB) of a valve behind one tuned circuit with the aerial matched to it.

    ``equivalent_noise_resistance`` (ohm) in series with the grid stands for the
    valve's noise; ``circuit_resistance`` R (ohm) is what the grid sees at
    resonance with the aerial coupled.  Matched, aerial and coil are 2R each in
    parallel, and ``F = 2 + 2·Req/R``.
    Source: the equivalent resistance as in W. A. Harris, RCA Review 5 (1941) 505,
    from memory; the formula DERIVED from it and Nyquist's.
    Limits: no transit-time (induced grid) noise, the later stages add nothing, no
    noise from the image or the oscillator; the coupling with least noise is
    tighter than the matched one.
    """
    valve = NOISE_RESISTANCE.check(equivalent_noise_resistance)
    return 10 * math.log10(2 + 2 * valve / RESISTANCE.check(circuit_resistance))


def external_noise_figure_db(frequency: float, place: str) -> float:
    """Median external noise figure ``F_am`` (dB above kT0B) of a short lossless vertical aerial.

    ``frequency`` 0.3 to 250 MHz in Hz; ``place`` is a key of :data:`PLACES`.
    Source: Recommendation ITU-R P.372.  Limits: medians; no thunderstorms, which
    may rule the lower bands at night.
    """
    if not isinstance(place, str) or place not in PLACES:
        raise Unclear(f"There is no place {place!r} in the table; choose {', '.join(PLACES)}.")
    constant, slope = PLACES[place]
    return constant - slope * math.log10(NOISE_FREQUENCY.check(frequency) / 1e6)


def external_noise_dbm(frequency: float, bandwidth: float, place: str) -> float:
    """Median external noise power in dBm, ``kT0B`` plus :func:`external_noise_figure_db`."""
    return thermal_noise_dbm(bandwidth) + external_noise_figure_db(frequency, place)


def add_dbm(*levels: float) -> float:
    """Sum of unrelated powers given in dBm, in dBm."""
    if not levels:
        raise Unclear("There is no level to add: give at least one in dBm.")
    return 10 * math.log10(sum(10 ** (LEVEL.check(level) / 10) for level in levels))


def dbm_to_volts(level_dbm: float, *, resistance: float = 50.0) -> float:
    """Voltage (V r.m.s.) across a matched ``resistance`` (ohm) at a level in dBm."""
    return math.sqrt(1e-3 * 10 ** (LEVEL.check(level_dbm) / 10) * RESISTANCE.check(resistance))


def volts_to_dbm(voltage: float, *, resistance: float = 50.0) -> float:
    """Level in dBm of a voltage (V r.m.s.) across ``resistance`` (ohm)."""
    return 10 * math.log10(VOLTAGE.check(voltage) ** 2 / RESISTANCE.check(resistance) / 1e-3)


def s_units(level_dbm: float, *, above_30_mhz: bool = False) -> float:
    """S-meter reading that a level in dBm should give: 6 dB a unit, S9 as in :data:`S9_DBM`.

    Goes on below 0 and above 9; :func:`say_s_units` puts it as operators do.
    """
    return 9 + (LEVEL.check(level_dbm) - S9_DBM[bool(above_30_mhz)]) / 6


def s_units_to_dbm(units: float, *, above_30_mhz: bool = False) -> float:
    """Level in dBm of a reading of 0 to 9 S units."""
    return S9_DBM[bool(above_30_mhz)] + 6 * (Range("The reading", "", 0.0, 9.0).check(units) - 9)


def say_s_units(level_dbm: float, *, above_30_mhz: bool = False) -> str:
    """The reading in words: ``S7``, ``S9 + 12 dB`` or ``below S1``."""
    units = s_units(level_dbm, above_30_mhz=above_30_mhz)
    over = round(level_dbm - S9_DBM[bool(above_30_mhz)])
    if over >= 1:
        return f"S9 + {show(over, 'dB')}"
    return "below S1" if units < 0.5 else f"S{max(1, round(units))}"

"""What a simple four- or five-valve superheterodyne set lacks, as numbers.

One tuned circuit at the aerial, a converter valve, one intermediate-frequency
stage between two transformers, a detector and audio: good for a strong
broadcast station.  :func:`judge` sets it against what code (CW) or single
sideband wants: selectivity, image rejection, sensitivity, and how finely a hand
can tune it.

Limits of the model: the transformers are identical, equal-Q coupled pairs, exactly
in tune; the aerial circuit tracks the dial; only the converter makes noise, and
only on the wanted frequency; nothing overloads, and gain is not reckoned with (a
real set may also be too quiet to hear its own noise).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

import numpy as np

from rxlearn.compute import noise, preselector
from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.tuning import image_frequency

PLATE_LAWS = ("midline", "capacitance", "frequency")
"""How the tuning capacitor's plates are cut: what changes evenly as the dial turns.

``capacitance`` itself, ``frequency``, or the logarithm of the frequency
(``midline``, the usual broadcast capacitor).
"""

NEEDED_SIGNAL_TO_NOISE_DB = 10.0
"""Signal-to-noise ratio at which sensitivity is stated, dB (common practice, no source)."""

IMAGE_REJECTION_NEEDED_DB = 50.0
"""Image rejection that lets a weak station be heard beside a strong one on its image, dB.

A station of S3 then stands 4 dB above one of S9 + 10 dB on its image: 6 S units of 6 dB
(IARU Region 1 recommendation R.1) and the 10 dB make 46.  The choice of those two
stations is common practice, no source.
"""

SETTING_NEEDED = {"code": 50.0, "single sideband": 100.0}
"""How finely a hand must set the frequency, Hz (common practice, no source)."""

FREQUENCY = Range("The signal frequency", "Hz", 0.3e6, 60e6)
LOADED_Q = Range("The loaded Q", "", 1.0, 1000.0)
COUPLING = Range("The coupling in units of critical (kQ)", "", 0.05, 10.0)
DOWN = Range("The depth at which the bandwidth is read", "dB", 0.1, 120.0)
WANTED_BANDWIDTH = Range("The wanted bandwidth", "Hz", 50.0, 20e3)
NEIGHBOUR_OFFSET = Range("The neighbour's distance", "Hz", 50.0, 200e3)

_RANGES = {
    "lowest_frequency": Range("The dial's lowest frequency", "Hz", 0.15e6, 60e6),
    "highest_frequency": Range("The dial's highest frequency", "Hz", 0.15e6, 60e6),
    "intermediate_frequency": Range("The intermediate frequency", "Hz", 50e3, 15e6),
    "transformer_loaded_q": Range("The transformers' loaded Q", "", 5.0, 500.0),
    "coupling": COUPLING,
    "aerial_loaded_q": Range("The aerial circuit's loaded Q", "", 1.0, 500.0),
    "aerial_inductance": Range("The aerial coil's inductance", "H", 10e-9, 10e-3),
    "converter_noise_resistance": noise.NOISE_RESISTANCE,
    "dial_degrees": Range("The dial's travel", "°", 30.0, 360.0),
    "drive_ratio": Range("The drive's reduction", "", 1.0, 200.0),
    "hand_step_degrees": Range("The hand's smallest step on the knob", "°", 0.05, 30.0),
}


@dataclass(frozen=True)
class SimpleSet:
    """A simple set's numbers; the defaults are a short-wave range of a five-valve set.

    Frequencies in Hz, inductance in H, resistance in ohm, angles in degrees.
    Where the defaults come from:

    * ``lowest_frequency``, ``highest_frequency``: one sweep over the short-wave
      broadcast bands (common practice, no source).
    * ``intermediate_frequency`` 455 kHz: the standard one of a.m. sets (aircraft
      communications textbook, ISBN 978-0-08-094152-3, ch. 3).
    * ``transformers``, ``transformer_loaded_q``, ``coupling`` (kQ, 1 is critical),
      ``aerial_circuits``, ``aerial_loaded_q``, ``aerial_inductance`` (about 400 pF at
      the low end): common practice, no source.
    * ``converter_noise_resistance`` 240 kΩ: a pentagrid converter such as the
      6SA7; W. A. Harris, RCA Review 5 (1941) 505, from memory.
    * ``dial_degrees``, ``plate_law``, ``drive_ratio`` (turns of the knob to one of
      the capacitor), ``hand_step_degrees`` (what a hand can still set at the
      knob): common practice, no source.

    ``noise_figure_db`` is the stated or measured noise figure; None has it
    reckoned from the converter.  Raises :class:`Unclear` for values out of range.
    """

    lowest_frequency: float = 5.9e6
    highest_frequency: float = 18e6
    intermediate_frequency: float = 455e3
    transformers: int = 2
    transformer_loaded_q: float = 70.0
    coupling: float = 1.0
    aerial_circuits: int = 1
    aerial_loaded_q: float = 60.0
    aerial_inductance: float = 1.8e-6
    converter_noise_resistance: float = 240e3
    noise_figure_db: float | None = None
    dial_degrees: float = 180.0
    plate_law: str = "midline"
    drive_ratio: float = 6.0
    hand_step_degrees: float = 1.0

    def __post_init__(self) -> None:
        for field in fields(self):
            if field.name in _RANGES:
                _RANGES[field.name].check(getattr(self, field.name))
        preselector.check_circuits(self.transformers)
        preselector.check_circuits(self.aerial_circuits)
        if self.noise_figure_db is not None:
            noise.NOISE_FIGURE.check(self.noise_figure_db)
        if self.plate_law not in PLATE_LAWS:
            raise Unclear(
                f"There is no plate law {self.plate_law!r}; choose {', '.join(PLATE_LAWS)}."
            )
        if self.highest_frequency < 1.01 * self.lowest_frequency:
            raise Unclear(
                f"The dial's highest frequency of {show(self.highest_frequency, 'Hz')} must be "
                f"above its lowest of {show(self.lowest_frequency, 'Hz')}: change one of them."
            )


@dataclass(frozen=True)
class Shortcomings:
    """What :func:`judge` was given and found.  Frequencies in Hz, levels in dB, dBm or volts.

    ``bandwidth_6db``, ``bandwidth_60db``: the intermediate-frequency
    transformers' widths, and ``shape_factor`` the one over the other;
    ``times_too_wide``: the 6 dB width over ``wanted_bandwidth``;
    ``neighbour_rejection_db``: at ``neighbour_offset`` from the station.
    ``image_frequency``, ``image_rejection_db``: where the image lies and what the
    aerial circuit does about it.  ``noise_figure_db``, ``own_noise_dbm``,
    ``outside_noise_dbm`` in the wanted bandwidth, and ``limited_by`` (``"the set"``
    or ``"outside noise"``, whichever is stronger).  ``signal_for_10_db`` (V r.m.s.
    in 50 ohm) against the set's own noise alone, ``signal_with_outside_noise`` against
    both; ``s_reading`` says the latter in S units.  ``tuning_rate`` (Hz per
    degree of the capacitor) here, ``average_tuning_rate`` over the dial,
    ``hand_step`` (Hz) what a hand can still set, ``setting_needed`` (Hz) what it
    must, ``times_too_coarse`` the one over the other, and
    ``image_rejection_needed_db`` what the image should be held down by.
    """

    simple_set: SimpleSet
    signal_frequency: float
    wanted_bandwidth: float
    neighbour_offset: float
    place: str
    injection: str
    setting_needed: float
    bandwidth_6db: float
    bandwidth_60db: float
    shape_factor: float
    times_too_wide: float
    neighbour_rejection_db: float
    image_frequency: float
    image_rejection_db: float
    noise_figure_db: float
    own_noise_dbm: float
    outside_noise_dbm: float
    limited_by: str
    signal_for_10_db: float
    signal_with_outside_noise: float
    s_reading: str
    tuning_rate: float
    average_tuning_rate: float
    hand_step: float
    times_too_coarse: float
    image_rejection_needed_db: float = IMAGE_REJECTION_NEEDED_DB


def judge(
    simple_set: SimpleSet,
    signal_frequency: float,
    *,
    wanted_bandwidth: float = 500.0,
    neighbour_offset: float = 1e3,
    place: str = "rural",
    injection: str = "high",
    setting_needed: float = SETTING_NEEDED["code"],
) -> Shortcomings:
    """Set a simple set against what a station at ``signal_frequency`` (Hz) wants.

    ``wanted_bandwidth`` and ``neighbour_offset`` in Hz (500 Hz for code, 2.4 kHz
    for single sideband); ``setting_needed`` (Hz) is how closely it must be tuned; ``place``
    is a key of :data:`noise.PLACES`; ``injection`` is ``"high"``, ``"low"`` or ``"sum"``.
    The frequency must be on the set's dial.  Raises :class:`Unclear`.
    """
    on_dial = Range(
        "The signal frequency", "Hz", simple_set.lowest_frequency, simple_set.highest_frequency
    )
    frequency = FREQUENCY.check(on_dial.check(signal_frequency))
    wanted = WANTED_BANDWIDTH.check(wanted_bandwidth)
    needed = Range("The setting needed", "Hz", 1.0, 100e3).check(setting_needed)
    widths = [intermediate_bandwidth(simple_set, down_db=depth) for depth in (6.0, 60.0)]
    offset = NEIGHBOUR_OFFSET.check(neighbour_offset)
    image = image_frequency(frequency, simple_set.intermediate_frequency, injection)
    figure = noise_figure_db(simple_set, frequency)
    own = noise.noise_floor_dbm(wanted, figure)
    outside = noise.external_noise_dbm(frequency, wanted, place)
    both = noise.add_dbm(own, outside) + NEEDED_SIGNAL_TO_NOISE_DB
    rate = tuning_rate(simple_set, frequency)
    step = rate / simple_set.drive_ratio * simple_set.hand_step_degrees
    return Shortcomings(
        simple_set, frequency, wanted, offset, place, injection, needed,
        *widths, widths[1] / widths[0], widths[0] / wanted,
        neighbour_rejection_db(simple_set, offset),
        image, preselector.image_rejection_db(
            frequency, simple_set.intermediate_frequency, injection,
            simple_set.aerial_loaded_q, simple_set.aerial_circuits,
        ),
        figure, own, outside, "the set" if own > outside else "outside noise",
        noise.dbm_to_volts(own + NEEDED_SIGNAL_TO_NOISE_DB), noise.dbm_to_volts(both),
        noise.say_s_units(both, above_30_mhz=frequency > 30e6),
        rate, (simple_set.highest_frequency - simple_set.lowest_frequency)
        / simple_set.dial_degrees, step, step / needed,
    )


def intermediate_response_db(
    simple_set: SimpleSet, frequency: float | np.ndarray
) -> float | np.ndarray:
    """Response (dB relative to the centre) of all the transformers at ``frequency`` (Hz, > 0).

    Above critical coupling the two humps rise above 0 dB.  Source and limits:
    :func:`preselector.coupled_pair_response_db`, taken once a transformer.
    """
    centre, loaded_q = simple_set.intermediate_frequency, simple_set.transformer_loaded_q
    pair = (centre, loaded_q, simple_set.coupling / loaded_q)
    response = preselector.coupled_pair_response_db(frequency, *pair)
    return simple_set.transformers * (
        response - preselector.coupled_pair_response_db(centre, *pair)
    )


def neighbour_rejection_db(simple_set: SimpleSet, offset: float) -> float:
    """How far down (dB, positive) a station ``offset`` Hz above the tuned one comes out."""
    neighbour = simple_set.intermediate_frequency + NEIGHBOUR_OFFSET.check(offset)
    return 0.0 - float(intermediate_response_db(simple_set, neighbour))


def intermediate_bandwidth(simple_set: SimpleSet, *, down_db: float = 6.0) -> float:
    """Width (Hz) between the outer points ``down_db`` below the centre's response.

    Exact: ``d² = (kQ)² - 1 + sqrt(((kQ)² - 1)² + (1 + (kQ)²)²(A² - 1))`` with A the ratio
    each transformer has to give, and a width of ``d·f0/Q``.  DERIVED by solving
    the coupled pair's response for d.
    """
    square = simple_set.coupling**2
    power = 10 ** (DOWN.check(down_db) / 10 / simple_set.transformers)
    detuning = math.sqrt(
        square - 1 + math.sqrt((square - 1) ** 2 + (1 + square) ** 2 * (power - 1))
    )
    return detuning * simple_set.intermediate_frequency / simple_set.transformer_loaded_q


def straight_set_bandwidth(
    frequency: float, loaded_q: float, circuits: int, *, down_db: float = 3.0
) -> float:
    """Width (Hz) of a straight set's tuned circuits, all tuned to ``frequency`` (Hz).

    ``circuits`` equal circuits in a row, no coupling back: ``f/Q · sqrt(A^(2/n) - 1)``.
    It grows with the frequency, which is why one tunes once and amplifies at
    one frequency.  DERIVED from the single circuit, ``1 / sqrt(1 + d²)``.
    """
    power = 10 ** (DOWN.check(down_db) / 10 / preselector.check_circuits(circuits))
    return FREQUENCY.check(frequency) / LOADED_Q.check(loaded_q) * math.sqrt(power - 1)


def noise_figure_db(simple_set: SimpleSet, signal_frequency: float) -> float:
    """Noise figure (dB): the one stated, or the converter's behind the aerial circuit.

    The circuit's resistance at resonance is ``Q·2πf·L``; see
    :func:`noise.valve_noise_figure_db` for source and limits.
    """
    if simple_set.noise_figure_db is not None:
        return float(simple_set.noise_figure_db)
    reactance = 2 * math.pi * FREQUENCY.check(signal_frequency) * simple_set.aerial_inductance
    return noise.valve_noise_figure_db(
        simple_set.converter_noise_resistance, simple_set.aerial_loaded_q * reactance
    )


def tuning_rate(simple_set: SimpleSet, frequency: float) -> float:
    """How fast the dial runs at ``frequency``, Hz per degree of the capacitor.

    DERIVED from f proportional to C^(-1/2) and the plate law, with u the
    highest over the lowest frequency: ``capacitance`` gives ``f³(u² - 1) / (2·f_hi²)``,
    ``midline`` ``f·ln u``, ``frequency`` ``f_hi - f_lo``, each over the whole travel.
    """
    low, high = simple_set.lowest_frequency, simple_set.highest_frequency
    frequency = Range("The frequency", "Hz", low, high).check(frequency)
    whole = {
        "capacitance": frequency**3 * ((high / low) ** 2 - 1) / (2 * high**2),
        "midline": frequency * math.log(high / low),
        "frequency": high - low,
    }
    return whole[simple_set.plate_law] / simple_set.dial_degrees

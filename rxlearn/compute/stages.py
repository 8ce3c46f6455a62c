"""A receiver stage by stage: currents that add up, and one signal followed to the loudspeaker.

Levels are voltages (r.m.s.) and a stage's gain is the ratio of the voltage that it hands on to
the one that it gets, in dB.  Model and limits: the signal is a steady carrier in the middle of
the filter; gains are constant until a grid is driven positive, and no automatic gain control holds
anything back; noise is white within one bandwidth; what the aerial brings in from
outside is a median (:mod:`rxlearn.compute.noise`).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from rxlearn.compute.beat import UPPER, beat_oscillator_frequency
from rxlearn.compute.noise import (
    LEVEL,
    add_dbm,
    dbm_to_volts,
    external_noise_dbm,
    thermal_noise_dbm,
    volts_to_dbm,
)
from rxlearn.compute.quantities import Range, Unclear
from rxlearn.compute.tuning import is_sideband_inverted, oscillator_frequency

FUNCTIONS: Mapping[str, str] = MappingProxyType({
    "preselector": "preselector",
    "signal_amplifier": "signal-frequency amplifier",
    "mixer": "mixer",
    "oscillator": "oscillator",
    "filter": "crystal filter",
    "intermediate_amplifier": "intermediate-frequency amplifier",
    "detector": "detector",
    "beat_oscillator": "beat oscillator",
    "audio_amplifier": "audio amplifier",
    "output": "output stage",
    "lamp": "dial lamp",
    "rectifier": "rectifier",
    "converter_input": "converter's input circuits",
    "converter": "converter's mixer",
    "crystal_oscillator": "converter's crystal oscillator",
    "other": "something else",
})
"""What a stage can be there for, by key."""

PATH = ("preselector", "signal_amplifier", "mixer", "filter", "intermediate_amplifier",
        "detector", "audio_amplifier", "output")
"""Functions through which the signal passes, in the order in which it does."""

CONVERTER_STAGES = ("converter_input", "converter", "crystal_oscillator")
"""Functions of a converter before the receiver, for a third band."""

SPEECH_WIDTH = 2.4e3
"""Bandwidth in which noise is counted, Hz: speech on one sideband (common practice)."""

AERIAL_RESISTANCE = 50.0
"""What the aerial is taken as, ohm, so that dBm and microvolts go together."""

CURRENT = Range("A stage's current", "A", 0.0, 20.0)
STAGE_GAIN = Range("A stage's gain", "dB", -80.0, 100.0)


@dataclass(frozen=True, kw_only=True)
class ReceiverStage:
    """One stage: its ``function`` (a key of :data:`FUNCTIONS`), ``device`` and what it takes.

    Currents in A, the stage's own: a bulb shared by two stages has its heater in one of them.
    ``gain_db`` is a voltage ratio; None where it is not known, and then it counts as 0 dB.
    ``bias`` (V) and ``noise_resistance`` (ohm) are its valve's, None where not known.
    """

    function: str
    device: str
    heater_current: float = 0.0
    supply_current: float = 0.0
    gain_db: float | None = None
    bias: float | None = None
    noise_resistance: float | None = None
    source: str = ""

    def __post_init__(self) -> None:
        """Refuse what is no stage."""
        if self.function not in FUNCTIONS:
            raise Unclear(f"A stage's function must be one of these: {', '.join(FUNCTIONS)}.")
        CURRENT.check(self.heater_current)
        CURRENT.check(self.supply_current)
        if self.gain_db is not None:
            STAGE_GAIN.check(self.gain_db)

    @property
    def name(self) -> str:
        """The function in words."""
        return FUNCTIONS[self.function]

    @property
    def bulb(self) -> str:
        """Which bulb it is part of: ``V4`` of ``V4a ½ 12AX7``; else all of the device's name."""
        found = re.match(r"V\d+", self.device)
        return found[0] if found else self.device

    @property
    def ratio(self) -> float:
        """Its gain as a ratio of voltages."""
        return 10 ** ((self.gain_db or 0.0) / 20)


@dataclass(frozen=True)
class Currents:
    """What ``stages`` draw together: ``heaters`` and ``supply`` (anodes and screens), A."""

    stages: tuple[ReceiverStage, ...]
    heaters: float
    supply: float


def add_currents(stages: Sequence[ReceiverStage]) -> Currents:
    """Add up what the stages draw; heaters are taken as wired in parallel on one winding.

    Kirchhoff's current law; rounded to a microampere, so that sums of decimal figures agree with
    what a hand adds up.
    """
    return Currents(
        tuple(stages), round(math.fsum(stage.heater_current for stage in stages), 6),
        round(math.fsum(stage.supply_current for stage in stages), 6))


@dataclass(frozen=True)
class StageLevel:
    """One stage while the signal passes: Hz and V r.m.s. at what it gets and hands on.

    ``output_frequency`` is None behind a detector without a beat oscillator, where a steady
    carrier leaves no tone.  ``noise`` (V r.m.s.) is what it hands on besides.  ``limit`` is the
    input (V r.m.s.) at which its grid is driven positive: the bias is a peak (None: not known).
    More than that is not handed on: an overloaded stage gives what it gives at its limit.
    """

    stage: ReceiverStage
    input_frequency: float | None
    output_frequency: float | None
    input: float
    output: float
    noise: float
    limit: float | None

    @property
    def overloaded(self) -> bool:
        """Whether the signal drives its grid positive."""
        return self.limit is not None and self.input > self.limit


@dataclass(frozen=True)
class FollowedSignal:
    """A signal from aerial to loudspeaker.

    Frequencies in Hz, levels in dBm at the aerial.  ``noise_figure_db`` is the receiver's own
    (None where no valve's noise is known), ``noise_dbm`` its noise and the outside world's
    together, ``margin_db`` how far the signal stands above it.  ``overload_dbm`` is the aerial
    level at which the first stage to do so has its grid driven positive, ``first_overloaded``
    that stage; None where no bias is known.  ``signal_overload_dbm`` counts only the stages
    before the detector, where no volume control helps.
    """

    signal: float
    intermediate_frequency: float
    injection: str
    oscillator: float
    beat: float | None
    tone: float | None
    aerial_dbm: float
    aerial: float
    levels: tuple[StageLevel, ...]
    place: str
    bandwidth: float
    external_dbm: float
    noise_figure_db: float | None
    noise_dbm: float
    margin_db: float
    overload_dbm: float | None
    first_overloaded: ReceiverStage | None
    signal_overload_dbm: float | None
    gain_db: float
    unknown_gains: tuple[str, ...]

    @property
    def own_noise_dbm(self) -> float | None:
        """The receiver's own noise as if it came in at the aerial, dBm; None where not known."""
        if self.noise_figure_db is None:
            return None
        return thermal_noise_dbm(self.bandwidth) + self.noise_figure_db

    def level(self, function: str) -> StageLevel | None:
        """The last stage with this function on the signal's way, or None."""
        return next((row for row in reversed(self.levels) if row.stage.function == function), None)


def in_order(stages: Sequence[ReceiverStage]) -> tuple[ReceiverStage, ...]:
    """The stages through which the signal passes, in that order; like ones stay as listed."""
    return tuple(sorted((stage for stage in stages if stage.function in PATH),
                        key=lambda stage: PATH.index(stage.function)))


def check_path(stages: Sequence[ReceiverStage]) -> tuple[ReceiverStage, ...]:
    """The stages on the signal's way; :class:`Unclear` where it is no superheterodyne."""
    path = in_order(stages)
    functions = {stage.function for stage in stages}
    for needed in ("mixer", "oscillator", "detector"):
        if needed not in functions:
            raise Unclear(
                f"The list of stages has no {FUNCTIONS[needed]}: add one, since a superheterodyne "
                "cannot do without.")
    if sum(stage.function == "mixer" for stage in path) > 1:
        raise Unclear("The list of stages has more than one mixer: keep the one after the "
                      "preselector, and call one before it the converter's mixer.")
    return path


def follow_signal(
    stages: Sequence[ReceiverStage], *, signal: float, intermediate_frequency: float,
    injection: str, aerial_dbm: float = -73.0, place: str = "residential",
    beat_offset: float = 1.5e3, bandwidth: float = SPEECH_WIDTH, middle: float | None = None,
) -> FollowedSignal:
    """Follow a carrier on ``signal`` (Hz) of ``aerial_dbm`` through ``stages``.

    ``place`` is a key of :data:`rxlearn.compute.noise.PLACES`; the beat oscillator stands
    ``beat_offset`` (Hz) beside the filter's ``middle`` (Hz; None: the intermediate frequency), on
    the side that receives the upper sideband.
    Raises :class:`Unclear` for stages that make no superheterodyne, a scheme without an
    oscillator, or values out of range.
    """
    path = check_path(stages)
    oscillator = oscillator_frequency(signal, intermediate_frequency, injection)
    beat = None
    if any(stage.function == "beat_oscillator" for stage in stages):
        beat = beat_oscillator_frequency(
            intermediate_frequency if middle is None else middle, UPPER,
            is_sideband_inverted(injection), beat_offset)
    aerial = dbm_to_volts(LEVEL.check(aerial_dbm), resistance=AERIAL_RESISTANCE)
    figure = receiver_noise_figure_db(path)
    external = external_noise_dbm(signal, bandwidth, place)
    noise_dbm = external if figure is None else add_dbm(
        external, thermal_noise_dbm(bandwidth) + figure)
    tone = None if beat is None else beat_offset
    levels = _levels(path, aerial, dbm_to_volts(noise_dbm, resistance=AERIAL_RESISTANCE),
                     (signal, intermediate_frequency, tone))
    overload, first = _first_overload(path)
    before = _first_overload(
        [stage for stage in path if PATH.index(stage.function) < PATH.index("detector")])[0]
    return FollowedSignal(
        signal, intermediate_frequency, injection, oscillator, beat, tone, aerial_dbm, aerial,
        levels, place, bandwidth, external, figure, noise_dbm, aerial_dbm - noise_dbm, overload,
        first, before, sum(stage.gain_db or 0.0 for stage in path),
        tuple(stage.name for stage in path if stage.gain_db is None))


def receiver_noise_figure_db(path: Sequence[ReceiverStage]) -> float | None:
    """The receiver's own noise figure (dB) from its valves' noise resistances; None if unknown.

    The first grid sees ``R = 25 Ω × G²`` at resonance, where ``G`` is the voltage step-up of what
    stands before it: with a matched aerial the coil alone, ``2R``, takes the aerial's power, so
    ``V_g²/2R = V_a²/50 Ω``.  Then ``F = 2 + 2 R_eq/R`` (:func:`rxlearn.compute.noise.
    valve_noise_figure_db`), where each later valve adds its resistance divided by the square of
    the voltage gain up to its grid.  DERIVED from Nyquist's formula, as H. T. Friis, Proc. IRE 32
    (1944) 419, does with powers.  Limits: filter and detector add no noise of their own, and the
    valve before an unknown one counts alone.
    """
    path = list(path)
    first = next((place for place, stage in enumerate(path)
                  if stage.noise_resistance is not None), None)
    if first is None:
        return None
    step_up = math.prod(stage.ratio for stage in path[:first])
    seen, gain = 0.0, 1.0
    for stage in path[first:]:
        seen += (stage.noise_resistance or 0.0) / gain**2
        gain *= stage.ratio
    return 10 * math.log10(2 + 2 * seen / (AERIAL_RESISTANCE / 2 * step_up**2))


def _levels(path: Sequence[ReceiverStage], aerial: float, noise: float,
            frequencies: tuple[float, float, float | None]) -> tuple[StageLevel, ...]:
    """Each stage on the way with what it gets and hands on."""
    signal, intermediate, tone = frequencies
    levels, voltage, frequency = [], aerial, signal
    for stage in path:
        handed = {"mixer": intermediate, "detector": tone}.get(stage.function, frequency)
        noise *= stage.ratio
        limit = None if stage.bias is None else stage.bias / math.sqrt(2)
        held = voltage if limit is None else min(voltage, limit)
        levels.append(StageLevel(stage, frequency, handed, voltage, held * stage.ratio, noise, limit))
        voltage, frequency = levels[-1].output, handed
    return tuple(levels)


def _first_overload(
    path: Sequence[ReceiverStage],
) -> tuple[float | None, ReceiverStage | None]:
    """The aerial level (dBm) at which the first grid is driven positive, and whose."""
    found, gain = [], 1.0
    for stage in path:
        if stage.bias is not None:
            aerial = stage.bias / math.sqrt(2) / gain
            found.append((volts_to_dbm(aerial, resistance=AERIAL_RESISTANCE), stage))
        gain *= stage.ratio
    return min(found, key=lambda row: row[0], default=(None, None))


def loudspeaker_power(anode: float, anode_load: float) -> float:
    """Power (W) into an output transformer that shows ``anode_load`` (ohm) to ``anode`` (V r.m.s.).

    Ohm's law; the transformer is taken as free of loss.
    """
    return anode**2 / Range("The load of the output valve", "Ω", 1.0, 1e6).check(anode_load)

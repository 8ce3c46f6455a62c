"""A receiver with one fault: what is heard, and what each measurement would show, beside the sound set.

Model: one fault at a time; levels as in :mod:`rxlearn.compute.stages`, electrodes as in
:mod:`rxlearn.compute.stage_voltages`.  Limits: nothing leaks past a dead stage, and a detector
without its beat oscillator is taken as silent.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from rxlearn.compute.beat import ABOVE, UPPER, beat_side
from rxlearn.compute.circuits import ValveFigures
from rxlearn.compute.noise import noise_voltage
from rxlearn.compute.preselector import response_db
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.stage_voltages import ANODE_LOADS, stage_voltages
from rxlearn.compute.stages import PATH, FollowedSignal, ReceiverStage
from rxlearn.compute.tuning import is_sideband_inverted

AMPLIFIER_Q = 50.0
"""Loaded Q of the tuned circuit behind the intermediate-frequency amplifier (common practice)."""

SILENT = -math.inf
"""Change of a level, in dB, when nothing is left of it."""

KINDS = ("oscillator", "detuned", "open_capacitor", "heater", "beat", "leak", "beat_side", "bleeder")
"""Faults that can be drawn, by key."""

NEEDS: Mapping[str, tuple[str, ...]] = MappingProxyType({
    "oscillator": ("oscillator",), "detuned": ("intermediate_amplifier",),
    "open_capacitor": ("audio_amplifier", "output"), "heater": ("mixer",),
    "beat": ("beat_oscillator",), "leak": ("output",), "beat_side": ("beat_oscillator",),
    "bleeder": (),
})
"""Stages without which a fault cannot be drawn."""


@dataclass(frozen=True)
class Fault:
    """One fault: its ``kind``; the ``bulb`` whose heater is open (``heater`` only); by how much the
    amplifier's coil is off, as a ratio (``detuned``); the bad capacitor's ohms (``leak``)."""

    kind: str
    bulb: str = ""
    off: float = 0.0
    leakage: float = 0.0


@dataclass(frozen=True, kw_only=True)
class FaultyReceiver:
    """What a receiver with ``fault`` shows.

    ``tone_db`` and ``hiss_db``: change of a steady carrier's tone and of the noise at the
    loudspeaker (:data:`SILENT` for nothing); ``generator_db`` the same for a generator on the
    intermediate frequency at the mixer's grid.  ``oscillator`` and ``beat``: where they are found
    (Hz; None: nowhere).  ``cathodes``: V by stage.  ``dark`` names the bulbs that do not glow.
    ``bleeder``: ohm from high tension to chassis, plug out and discharged.
    """

    fault: Fault | None
    tone_db: float
    hiss_db: float
    generator_db: float
    oscillator: float | None
    beat: float | None
    cathodes: Mapping[str, float] = field(default_factory=dict)
    dark: tuple[str, ...] = ()
    bleeder: float


@dataclass(frozen=True, kw_only=True)
class Patient:
    """The receiver to break: its stages, a signal followed through them on the upper band, the
    valves (by stage) with a cathode resistor, high tension (V), bleeder (ohm), beat offset (Hz).

    ``beat_moves`` says whether the two bands want the beat oscillator on different sides of the
    filter, for the same sideband.
    """

    stages: tuple[ReceiverStage, ...]
    followed: FollowedSignal
    valves: Mapping[str, ValveFigures]
    supply: float
    bleeder: float
    beat_offset: float
    beat_moves: bool = True

    @property
    def bulbs(self) -> tuple[str, ...]:
        """Bulbs whose heaters could open and whose stages the signal cannot do without."""
        needed = {*PATH, "oscillator", "beat_oscillator"}
        return tuple(dict.fromkeys(
            stage.bulb for stage in self.stages
            if stage.heater_current and stage.function in needed))


def faults_for(patient: Patient) -> tuple[str, ...]:
    """Which kinds of fault this receiver can have, in order."""
    present = {stage.function for stage in patient.stages}
    return tuple(
        kind for kind in KINDS if set(NEEDS[kind]) <= present
        and (kind != "heater" or patient.bulbs) and (kind != "beat_side" or patient.beat_moves)
        and (kind != "leak" or "output" in patient.valves))


def examine(patient: Patient, fault: Fault | None) -> FaultyReceiver:
    """What ``patient`` shows with ``fault``, or sound (None).

    Raises :class:`Unclear` for a fault that this receiver cannot have.
    """
    if fault is not None and fault.kind not in faults_for(patient):
        raise Unclear(f"This receiver cannot have the fault {fault.kind}: it lacks the stage for it.")
    dead = _dead(patient, fault)
    tone, hiss, generator = _levels(patient, fault, dead)
    beat = None if "beat_oscillator" in dead else patient.followed.beat
    if fault is not None and fault.kind == "beat_side":
        # As far from the filter's middle as before, on its other side.
        above = beat_side(UPPER, is_sideband_inverted(patient.followed.injection)) == ABOVE
        beat += (-2 if above else 2) * patient.beat_offset
    return FaultyReceiver(
        fault=fault, tone_db=tone, hiss_db=hiss, generator_db=generator,
        oscillator=None if "oscillator" in dead else patient.followed.oscillator, beat=beat,
        cathodes=MappingProxyType({
            stage: _cathode(patient, stage, fault, dead) for stage in patient.valves
            if stage in ANODE_LOADS}),
        dark=(fault.bulb,) if fault is not None and fault.kind == "heater" else (),
        bleeder=math.inf if fault is not None and fault.kind == "bleeder" else patient.bleeder)


def _dead(patient: Patient, fault: Fault | None) -> set[str]:
    """Functions that do nothing any more."""
    if fault is None:
        return set()
    if fault.kind == "heater":
        return {stage.function for stage in patient.stages if stage.bulb == fault.bulb}
    return {"oscillator": {"oscillator"}, "beat": {"beat_oscillator"}}.get(fault.kind, set())


def _levels(patient: Patient, fault: Fault | None, dead: set[str]) -> tuple[float, float, float]:
    """Change (dB) of tone, hiss, and the generator's tone."""
    cut = fault is not None and fault.kind == "open_capacitor"
    behind = {"intermediate_amplifier", "detector", "audio_amplifier", "output", "beat_oscillator"}
    if cut or dead & behind:
        return SILENT, SILENT, SILENT
    if dead & {"signal_amplifier", "mixer"}:
        return SILENT, _hiss_without_mixer(patient), SILENT
    if dead & {"oscillator"}:
        # The mixer passes its own grid's intermediate frequency on, oscillator or not.
        return SILENT, _hiss_without_mixer(patient), 0.0
    if fault is not None and fault.kind == "detuned":
        frequency = patient.followed.intermediate_frequency
        lost = response_db(frequency, frequency * (1 + fault.off), AMPLIFIER_Q)
        return lost, lost, lost
    return 0.0, 0.0, 0.0


def _hiss_without_mixer(patient: Patient) -> float:
    """Change of the noise (dB) when only the amplifier behind the filter still makes some."""
    row = patient.followed.level("intermediate_amplifier")
    if row is None or row.stage.noise_resistance is None:
        return SILENT
    left = noise_voltage(row.stage.noise_resistance, patient.followed.bandwidth) * row.stage.ratio
    return 20 * math.log10(left / row.noise)


def _cathode(patient: Patient, stage: str, fault: Fault | None, dead: set[str]) -> float:
    """The cathode's voltage (V) of ``stage``."""
    kind = "heater" if stage in dead and fault.kind == "heater" else "none"
    leak = 5e6
    if fault is not None and fault.kind == "leak" and stage == "output":
        kind, leak = "leak", fault.leakage
    found = stage_voltages(stage, patient.valves[stage], supply=patient.supply, fault=kind,
                           leakage=leak)
    return found.reading("cathode").found

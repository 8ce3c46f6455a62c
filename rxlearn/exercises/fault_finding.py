"""Find the fault: a fault drawn afresh, its symptom, what each measurement shows, and the verdict.

Every reading is computed from the receiver; only its wording is here.  How a measurement is made
comes with it, and none asks for a hand in a set that has power.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from rxlearn.compute.faults import Fault, FaultyReceiver, Patient, examine, faults_for
from rxlearn.compute.quantities import show
from rxlearn.compute.stages import FUNCTIONS

CLIPPED = ("Plug out, discharge, measure; clip the meter on; stand back; power up, read, power down; "
           "discharge before it comes off.")
LISTENED = "No hand in the set: turn the volume up and listen."
NEARBY = "No hand in the set: a second receiver stands beside it, with a short wire near the cabinet."

NAMES: Mapping[str, str] = MappingProxyType({
    "oscillator": "The oscillator does not oscillate",
    "detuned": "The intermediate-frequency amplifier's coil is off tune",
    "open_capacitor": "The coupling capacitor to the output valve is open",
    "heater": "A heater is open",
    "beat": "The beat oscillator does not oscillate",
    "leak": "The coupling capacitor to the output valve leaks",
    "beat_side": "The beat oscillator stayed on the other band's side",
    "bleeder": "The bleeder is open",
})
"""What can be named as the fault, by kind."""


@dataclass(frozen=True)
class Measurement:
    """One thing to measure or look at: its words, how it is done, and what it reads."""

    key: str
    text: str
    how: str
    read: Callable[[FaultyReceiver], str]


@dataclass(frozen=True)
class Case:
    """A drawn case: the receiver, the fault, and what the sound and the faulty set show."""

    patient: Patient
    seed: int
    found: FaultyReceiver
    sound: FaultyReceiver

    @property
    def kind(self) -> str:
        """Key of the fault that was drawn; one of :data:`NAMES`."""
        return self.found.fault.kind

    @property
    def symptom(self) -> str:
        """What the owner says."""
        return _SYMPTOMS[self.kind](self)


def draw_case(patient: Patient, seed: int) -> Case:
    """A fault for ``patient`` drawn from ``seed`` (0 or more); the same seed gives the same fault."""
    rng = np.random.default_rng(seed)
    kinds = faults_for(patient)
    # Every kind once before any comes again, in an order that the seed's round decides.
    order = np.random.default_rng(1000 + seed // len(kinds)).permutation(len(kinds))
    kind = kinds[int(order[seed % len(kinds)])]
    fault = _drawn(patient, kind, rng)
    return Case(patient, seed, examine(patient, fault), examine(patient, None))


def _drawn(patient: Patient, kind: str, rng: np.random.Generator) -> Fault:
    bulbs = patient.bulbs
    return Fault(
        kind, bulb=bulbs[int(rng.integers(len(bulbs)))] if kind == "heater" else "",
        off=float(rng.choice([-1, 1])) * float(rng.integers(3, 9)) / 100 if kind == "detuned" else 0.0,
        leakage=float(rng.integers(2, 10)) * 1e6 if kind == "leak" else 0.0)


def _change(change: float) -> str:
    if math.isinf(change):
        return "nothing at all"
    if abs(change) < 0.5:
        return "as strong as ever"
    return f"{abs(change):.0f} dB {'weaker' if change < 0 else 'stronger'} than usual"


def _place(frequency: float | None) -> str:
    return "no carrier anywhere near" if frequency is None else (
        f"a carrier on {show(frequency, 'Hz', prefix='M', decimals=4)}")


def _cathode(stage: str) -> Callable[[FaultyReceiver], str]:
    return lambda found: show(found.cathodes[stage], "V", digits=3, prefix="")


def measurements(patient: Patient) -> tuple[Measurement, ...]:
    """What can be measured on ``patient``, listening first."""
    rows = [
        Measurement("hiss", "The hiss, with the aerial on and the volume full", LISTENED,
                    lambda found: _change(found.hiss_db)),
        Measurement("tone", "The tone of a steady carrier of known strength", LISTENED,
                    lambda found: _change(found.tone_db)),
        Measurement("glow", "Which valves glow", "No hand in the set: look, in a dark room.",
                    lambda found: f"{' and '.join(found.dark)} stays dark" if found.dark
                    else "all of them"),
        Measurement("oscillator", "Where a second receiver hears the oscillator", NEARBY,
                    lambda found: _place(found.oscillator)),
        Measurement("beat", "Where a second receiver hears the beat oscillator", NEARBY,
                    lambda found: _place(found.beat)),
        Measurement("generator", "A generator on the intermediate frequency at the mixer's grid",
                    "Plug out and discharged when its clip goes on and off; power up, listen, power "
                    "down.", lambda found: _change(found.generator_db)),
    ]
    rows += [
        Measurement(f"cathode {stage}", f"The cathode's voltage of the {FUNCTIONS[stage]}", CLIPPED,
                    _cathode(stage))
        for stage in ("mixer", "intermediate_amplifier", "audio_amplifier", "output")
        if stage in patient.valves
    ]
    rows.append(Measurement(
        "bleeder", "Ohms from high tension to chassis",
        "Plug out, discharge through the lead, measure that it is empty; only then the ohmmeter.",
        lambda found: "open, no reading at all" if math.isinf(found.bleeder)
        else show(found.bleeder, "Ω", digits=3)))
    return tuple(rows)


def reading(case: Case, measurement: Measurement) -> str:
    """What ``measurement`` shows in this ``case``, beside what it shows on the sound set."""
    found, sound = measurement.read(case.found), measurement.read(case.sound)
    same = "; that is as it should be." if found == sound else f"; it should be: {sound}."
    return f"{measurement.text}: {found}{same}"


def verdict(case: Case, kind: str) -> tuple[bool, str]:
    """Whether ``kind`` names the fault, and the sentence: what it is, or what would have shown."""
    if kind == case.kind:
        return True, f"Right: {_told(case)} {_REMEDIES[kind](case)}"
    for measurement in measurements(case.patient):
        there, sound = measurement.read(case.found), measurement.read(case.sound)
        would = {measurement.read(examine(case.patient, fault)) for fault in _all_of(case, kind)}
        if there not in would:
            wanted = " or ".join(sorted(would - {sound})) or sound
            return False, (f"Not that. If it were “{NAMES[kind]}”, one reading would be another. "
                           f"{measurement.text}: {wanted}. Here: {there}.")
    return False, f"Not that, though only its remedy would tell: {_told(case)}"


def _all_of(case: Case, kind: str) -> list[Fault]:
    """Faults of ``kind`` to compare with: each bulb, or one of its size."""
    if kind == "heater":
        return [Fault(kind, bulb=bulb) for bulb in case.patient.bulbs]
    return [Fault(kind, off=0.05 if kind == "detuned" else 0.0,
                  leakage=5e6 if kind == "leak" else 0.0)]


def telling(case: Case) -> tuple[str, ...]:
    """Keys of the measurements that show something out of order in this ``case``."""
    return tuple(row.key for row in measurements(case.patient)
                 if row.read(case.found) != row.read(case.sound))


def _told(case: Case) -> str:
    fault = case.found.fault
    if fault.kind == "heater":
        return f"the heater of {fault.bulb} is open."
    return f"{NAMES[fault.kind][0].lower()}{NAMES[fault.kind][1:]}."


_SYMPTOMS: Mapping[str, Callable[[Case], str]] = MappingProxyType({
    "oscillator": lambda case: "“It played, then every station went at once, on both bands. A little "
                               "hiss is left.”",
    "detuned": lambda case: f"“Everything is {abs(case.found.tone_db):.0f} dB weaker than last month, on "
                            "both bands. It is still tuned where it should be.”",
    "open_capacitor": lambda case: "“Not a sound, not even hiss. All valves glow, and the voltages look "
                                   "right.”",
    "heater": lambda case: ("“No stations. " + ("Not even hiss.”" if math.isinf(case.found.hiss_db) else
                                               "A faint hiss is left.”")),
    "beat": lambda case: "“Morse is gone, voices are a murmur, and the hiss is gone with them. The set "
                         "glows as ever.”",
    "leak": lambda case: "“It is loud but rough, and worse after ten minutes. The last valve gets very "
                         "hot.”",
    "beat_side": lambda case: "“Voices are right on one band and gibberish on the other. Morse is fine "
                              "on both.”",
    "bleeder": lambda case: "“It plays as ever. But the meter that was clipped on hardly fell after the "
                            "plug came out.”",
})

_CLIPS = "Plug out, discharge, measure, and only then a hand: "

_REMEDIES: Mapping[str, Callable[[Case], str]] = MappingProxyType({
    "oscillator": lambda case: f"{_CLIPS}try another valve, then look at its grid capacitor, coil and "
                               "switch.",
    "detuned": lambda case: "Its coil is at the high tension: between turns plug out, discharge, measure; or "
                            "leave it to your mentor.",
    "open_capacitor": lambda case: f"{_CLIPS}a new capacitor, rated for the supply.",
    "heater": lambda case: "Plug out and cold, the valve is pulled by its base; its heater pins measure "
                           "open.",
    "beat": lambda case: f"{_CLIPS}try another valve, then look at its coil and divider.",
    "leak": lambda case: f"{_CLIPS}a new capacitor, rated for the supply, before the valve is ruined.",
    "beat_side": lambda case: "It must move by "
                              f"{show(2 * case.patient.beat_offset, 'Hz', digits=3)} with the band, and "
                              "in this circuit nothing moves it but a hand: turn its pitch trimmer to the "
                              "other side of the filter, by a shaft through the panel; without one, plug "
                              "out first.",
    "bleeder": lambda case: "Discharge each capacitor through the lead, leave the lead clipped on, "
                            "measure each, and fit a new one.",
})

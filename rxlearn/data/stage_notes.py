"""What each stage of a superheterodyne does, what one hears when it fails, and what a meter shows.

Common practice, no source.  A reading is always taken with the meter clipped on while the plug is
out and the capacitors are discharged, and read with hands off.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class StageNote:
    """``does``, ``fails`` (heard) and ``meter`` (seen) in one sentence each."""

    does: str
    fails: str
    meter: str


STAGE_NOTES: Mapping[str, StageNote] = MappingProxyType({
    "preselector": StageNote(
        "lets the wanted band through, steps the aerial's voltage up, and holds the image down",
        "If it fails, signals are faint and the image comes up, while the noise of the stages after it "
        "stays.",
        "A meter shows little: with the plug out, each coil should measure a few ohms or less."),
    "signal_amplifier": StageNote(
        "amplifies at the frequency of the signal, before the mixer adds its noise",
        "If it fails, everything is faint, and touching the aerial makes no noise.",
        "Its cathode stands a volt or two above the chassis; at nothing it draws no current."),
    "mixer": StageNote(
        "multiplies the signal by the oscillator, so that the difference is the intermediate frequency",
        "If it fails, the stages behind it go on hissing faintly, and no station is heard anywhere.",
        "Its cathode stands a volt or two above the chassis; grid 1 goes negative while the "
        "oscillator runs."),
    "oscillator": StageNote(
        "makes the frequency that decides what you hear",
        "If it stops, every station goes at once, and the hiss drops; at one end of the dial only, it "
        "has too little feedback there.",
        "Its grid stands some volts below the chassis while it runs, and near nothing when it does not."),
    "filter": StageNote(
        "lets a few kilohertz about the intermediate frequency through and nothing else",
        "If a crystal fails, the set is nearly deaf, and the hiss loses its pitch or goes.",
        "No meter shows it: it passes no direct current."),
    "intermediate_amplifier": StageNote(
        "makes up most of the gain, always on the same frequency",
        "If it fails or is tuned off, stations and noise sink together, on both bands alike.",
        "Its cathode stands a volt or two above the chassis; at nothing it draws no current."),
    "detector": StageNote(
        "multiplies the signal by the beat oscillator, so that the difference is the tone you hear",
        "If a diode fails, the beat oscillator is no longer balanced out, and all is faint and rough.",
        "With the plug out a diode conducts one way and not the other."),
    "beat_oscillator": StageNote(
        "puts back the carrier that a single-sideband transmitter left out",
        "If it stops, Morse is a mere rustle, and voices are a murmur without words.",
        "Its grid stands some volts below its cathode while it runs."),
    "audio_amplifier": StageNote(
        "makes the detector's tone strong enough for the output valve",
        "If it fails, the loudspeaker is silent but for a faint hum.",
        "Its cathode stands a volt or two above the chassis; its anode well below the supply."),
    "output": StageNote(
        "turns the voltage into current for the loudspeaker, by way of its transformer",
        "If it fails there is no sound at all; if the capacitor at its grid leaks, sound is rough, and "
        "the valve gets too hot.",
        "Its cathode shows its current: too high means that its grid has lost its bias."),
    "converter_input": StageNote(
        "lets the third band through and holds the converter's image and the main band down",
        "If it fails, the third band is faint, and stations of the main band come through.",
        "A meter shows little: with the plug out, each coil should measure a few ohms or less."),
    "converter": StageNote(
        "multiplies the third band by the crystal, so that the difference is read on the main dial",
        "If it fails, the third band is silent, while the main bands are as ever.",
        "Switched in, its cathode stands a volt or two above the chassis; switched out, at nothing."),
    "crystal_oscillator": StageNote(
        "makes the one frequency that moves the third band to the main dial",
        "If it stops, the third band goes, and stations of the main band may be heard in its place.",
        "A counter coupled to it shows the crystal's frequency, or nothing when it does not run."),
    "rectifier": StageNote(
        "gives every anode its direct voltage; the heaters have a winding of their own",
        "If it fails, all is dark or silent; if a capacitor has dried up, it hums.",
        "Only with the meter clipped on beforehand, and hands off: this is the part that kills."),
})
"""Function of a stage to its note; ``rectifier`` stands for the power supply."""

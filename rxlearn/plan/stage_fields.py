"""The plan's stages: one table, from aerial to loudspeaker, with what each stage draws and gives."""

from __future__ import annotations

from rxlearn.compute.stages import FUNCTIONS
from rxlearn.plan.field import choice, quantity, table, text

_SHEET = "makers' sheets, typical operation, from memory"

_DEMO = (
    ("preselector", "aerial coil", None, None, None, "left out: follows from the coil, matched"),
    ("mixer", "V1 6BE6", 0.3, 9.7e-3, None, f"{_SHEET}; gain by the filter"),
    ("oscillator", "V2 6AU6", 0.3, 7.1e-3, None, _SHEET),
    ("filter", "crystals", None, None, None, "left out: follows from the crystals; measure yours"),
    ("intermediate_amplifier", "V3 6BA6", 0.3, 8.8e-3, None,
     "own bias, 220 Ω in the cathode; from memory; gain by its transformer"),
    ("detector", "two diodes", None, None, -6.0, "common practice; measure yours"),
    ("beat_oscillator", "V4a ½ 12AX7", 0.3, 1.2e-3, None, f"{_SHEET}; heater of both"),
    ("audio_amplifier", "V4b ½ 12AX7", None, 1.2e-3, 35.0, _SHEET),
    ("output", "V5 12AU7, both halves", 0.3, 21e-3, 19.5, f"{_SHEET}; into 5 kΩ"),
    ("lamp", "small bulb", 0.3, None, None, "printed on the bulb"),
)

STAGE_ROWS = (
    table("stages.list", "Stages",
          (choice("function", "Function", FUNCTIONS, "mixer"),
           text("device", "Device"),
           quantity("heater", "Heater current", "A", 0.0, 10.0, optional=True),
           quantity("supply", "Anode and screen current", "A", 0.0, 1.0, optional=True),
           quantity("gain", "Gain", "dB", -80.0, 100.0, optional=True),
           text("source", "Source of the figures", optional=True)),
          _DEMO, section="stages",
          why="What all stages draw is what the supply must give; what they gain is what you hear. "
              "Without a gain, a preselector gets it from its coil and loaded Q on each band; mixer, "
              "crystal filter and intermediate-frequency amplifier from the filter's ends and the "
              "transformer as you build them."),
)
"""Taken in by :mod:`rxlearn.plan.fields`."""

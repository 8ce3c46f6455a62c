"""Which pin of a valve's base carries which electrode.

Pins are counted as one sees them from below, where one solders: clockwise from the wide gap of a
miniature base, or from the key of an octal one.  Generic type numbers only.  From receiving-tube
manuals, from memory: compare each with the maker's sheet before a wire goes on.  A type whose
pins are not surely known is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

HEATER, NOTHING = "heater", "not connected"

_TWIN = ("anode a", "grid a", "cathode a", HEATER, HEATER, "anode b", "grid b", "cathode b",
         "heater's middle")
_PENTODE_7 = ("grid 1", "grid 3", HEATER, HEATER, "anode", "grid 2", "cathode")
_PENTODE_9 = ("cathode", "grid 1", "cathode", HEATER, HEATER, "screen in the bulb", "anode", "grid 2",
              "grid 3")

PINS: Mapping[str, tuple[str, ...]] = MappingProxyType({
    "6BE6": ("grid 1", "cathode and grid 5", HEATER, HEATER, "anode", "grids 2 and 4", "grid 3"),
    "6BA6": _PENTODE_7, "6AU6": _PENTODE_7, "6AK6": _PENTODE_7,
    "6AK5": ("grid 1", "cathode and grid 3", HEATER, HEATER, "anode", "grid 2",
             "cathode and grid 3"),
    "6CB6": ("grid 1", "cathode", HEATER, HEATER, "anode", "grid 2", "grid 3"),
    "6AQ5": ("grid 1", "cathode and grid 3", HEATER, HEATER, "anode", "grid 2", "grid 1"),
    "6C4": ("anode", NOTHING, HEATER, HEATER, "anode", "grid 1", "cathode"),
    "12AU7": _TWIN, "12AT7": _TWIN, "12AX7": _TWIN,
    "EF80": _PENTODE_9, "EF85": _PENTODE_9, "EF183": _PENTODE_9,
    "ECH81": ("grids 2 and 4", "grid 1", "cathode and grid 5", HEATER, HEATER, "anode", "grid 3",
              "triode's anode", "triode's grid"),
    "EL84": (NOTHING, "grid 1", "cathode and grid 3", HEATER, HEATER, NOTHING, "anode", NOTHING,
             "grid 2"),
    "6SN7": ("grid a", "anode a", "cathode a", "grid b", "anode b", "cathode b", HEATER, HEATER),
    "6SK7": ("shell", HEATER, "grid 3", "grid 1", "cathode", "grid 2", HEATER, "anode"),
    "6V6": (NOTHING, HEATER, "anode", "grid 2", "grid 1", NOTHING, HEATER, "cathode and grid 3"),
    "6X4": ("anode 1", NOTHING, HEATER, HEATER, NOTHING, "anode 2", "cathode"),
    "6X5-GT": (NOTHING, HEATER, "anode 1", NOTHING, "anode 2", NOTHING, HEATER, "cathode"),
    "5Y3-GT": (NOTHING, "filament", NOTHING, "anode 1", NOTHING, "anode 2", NOTHING, "filament"),
    "5V4-G": (NOTHING, HEATER, NOTHING, "anode 1", NOTHING, "anode 2", NOTHING,
              "heater and cathode"),
})
"""Type to its electrodes, pin 1 first; of twin valves the two systems are called a and b here."""

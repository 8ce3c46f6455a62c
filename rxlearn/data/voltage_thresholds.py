"""Voltages at which published rules begin to ask for protection, each with its scope.

A threshold is where one rule for one kind of place or product begins.  None of
them says that a voltage is harmless, and none permits work on live parts:
local electrical codes and licensed practice decide.  V, s.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class Threshold:
    """``voltage`` (V d.c.), ``within`` (s after disconnection; None where no time is set)."""

    name: str
    voltage: float
    within: float | None
    scope: str
    source: str


THRESHOLDS: Mapping[str, Threshold] = MappingProxyType({
    row.name: row
    for row in (
        Threshold("workplace guarding, US", 50.0, None,
                  "live parts in a workplace are guarded from 50 V on, a.c. or d.c.",
                  "29 CFR 1910.303(g)(2)(i)"),
        Threshold("capacitor residual voltage, US code", 50.0, 60.0,
                  "capacitors up to 600 V (later editions 1000 V): 50 V or less within 1 minute",
                  "NFPA 70 (NEC) 460.6"),
        Threshold("laboratory equipment", 60.0, None,
                  "accessible parts in normal, dry condition: 60 V d.c.",
                  "IEC 61010-1, 3rd ed. (2010), 6.3.1"),
        Threshold("laboratory equipment, plug pins", 60.0, 5.0,
                  "pins of a plug: not hazardous live 5 s after disconnection",
                  "IEC 61010-1, 6.10.3"),
        Threshold("machines", 60.0, 5.0,
                  "live parts with a residual charge: 60 V or less within 5 s, else a sign",
                  "NFPA 79:2024, 6.5.1"),
        Threshold("household appliances, plug pins", 34.0, 1.0,
                  "pins of a plug 1 s after disconnection at the peak of the mains",
                  "IEC 60335-1, 22.5"),
        Threshold("elementary textbook caution", 30.0, None,
                  "voltages above this are treated as able to hurt",
                  "T. R. Kuphaldt, Lessons in Electric Circuits, vol. I, ch. 3"),
    )
})
"""Name to threshold."""

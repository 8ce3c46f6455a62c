"""The plan's fields on coils: what each is wound on, with which wire, how many turns, how long."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from rxlearn.compute.coil_ways import AIR, LAYERS, SLUG
from rxlearn.compute.wire import WIRES
from rxlearn.data.cores import RING_CORES
from rxlearn.plan.field import Field, choice, quantity

_SECTION = "coils"

OWN_RING = "own ring"
"""Stands for a ring core that the learner has measured."""

KINDS: Mapping[str, str] = MappingProxyType({
    AIR: "air coil on a plain former", SLUG: "former with an adjusting core",
    LAYERS: "former with an adjusting core, in layers",
    **{name: f"ring core {name}" for name in RING_CORES},
    OWN_RING: "your own ring core, measured",
})
"""What a coil is wound on: value to words."""

REELS: Mapping[str, str] = MappingProxyType({name: f"{name}, enamelled" for name in WIRES})
"""Wire on its reel: value to words."""

COILS: Mapping[str, str] = MappingProxyType({
    "oscillator_coil": "Oscillator coil", "lower_coil": "Lower band's preselector coil",
    "upper_coil": "Upper band's preselector coil",
    "transformer_coil": "Intermediate-frequency transformer, each coil",
    "beat_coil": "Beat oscillator coil",
})
"""Key prefix of each coil, and its name."""

CAPACITANCES: Mapping[str, str] = MappingProxyType({
    "lower_coil": "lower_coil.capacitance", "upper_coil": "upper_coil.capacitance",
    "transformer_coil": "transformer_coil.capacitance",
})
"""Coils that a capacitor decides, with the field of it; the oscillator coil has its own field, and
the beat oscillator's follows from its circuit."""

TRANSFORMER_WIDTH = "transformer.width"
"""The field of the transformer's bandwidth."""

_DEMO: Mapping[str, tuple[str, float, str, float, float]] = {
    "oscillator_coil": (AIR, 20e-3, "0.8 mm", 11.0, 18.31e-3),
    "lower_coil": ("T50-2", 12e-3, "0.4 mm", 43.0, 20e-3),
    "upper_coil": ("T50-6", 12e-3, "0.5 mm", 25.0, 15e-3),
    "transformer_coil": (SLUG, 7e-3, "0.16 mm", 38.0, 7.37e-3),
    "beat_coil": (SLUG, 7e-3, "0.25 mm", 25.0, 7.42e-3),
}


def _rows(coil: str, name: str) -> tuple[Field, ...]:
    kind, diameter, wire, turns, length = _DEMO[coil]
    return (
        choice(f"{coil}.kind", f"{name}, wound on", KINDS, kind, section=_SECTION,
               why="Air drifts least, a ring keeps its field inside, a core can be adjusted."),
        quantity(f"{coil}.diameter", f"{name}, former's diameter", "m", 1e-3, 0.2, diameter,
                 section=_SECTION,
                 why="Measure the former in your hand; on a ring core this is not used."),
        choice(f"{coil}.wire", f"{name}, wire", REELS, wire, section=_SECTION,
               why="The size is that of the copper; the enamel comes on top."),
        quantity(f"{coil}.turns", f"{name}, turns", "", 1.0, 500.0, turns, demo_status="computed",
                 section=_SECTION, why="The inductance goes with their square."),
        quantity(f"{coil}.length", f"{name}, winding length", "m", 0.2e-3, 0.5, length,
                 demo_status="computed", section=_SECTION,
                 why="Spread the turns and the inductance falls; on a ring core this is not used."),
    )


def _capacitance(coil: str, label: str, demo: float) -> Field:
    return quantity(CAPACITANCES[coil], label, "F", 5e-12, 10e-9, demo, section=_SECTION,
                    why="All that is across the coil, strays included; it decides the inductance.")


OWN_RING_FIELDS: tuple[Field, ...] = (
    quantity("own_ring.factor", "Your own ring core, inductance of one turn", "H", 0.1e-9, 10e-6,
             5e-9, section=_SECTION,
             why="Wind ten turns, measure, and divide by a hundred."),
    quantity("own_ring.outer", "Your own ring core, outer diameter", "m", 3e-3, 0.2, 20e-3,
             section=_SECTION, why="With the other two sizes it tells how much wire a turn takes."),
    quantity("own_ring.inner", "Your own ring core, hole", "m", 1e-3, 0.19, 12e-3,
             section=_SECTION, why="It decides how many turns lie side by side."),
    quantity("own_ring.height", "Your own ring core, height", "m", 1e-3, 0.1, 6e-3,
             section=_SECTION, why="With the factor it tells iron dust from ferrite."),
)
"""A ring without a name, as it was measured."""

COIL_FIELDS: tuple[Field, ...] = (
    *OWN_RING_FIELDS,
    *_rows("oscillator_coil", COILS["oscillator_coil"]),
    _capacitance("lower_coil", "Lower band's preselector, capacitance in mid-band", 200e-12),
    *_rows("lower_coil", COILS["lower_coil"]),
    _capacitance("upper_coil", "Upper band's preselector, capacitance in mid-band", 100e-12),
    *_rows("upper_coil", COILS["upper_coil"]),
    _capacitance("transformer_coil", "Intermediate-frequency transformer, capacitance of each",
                 220e-12),
    quantity(TRANSFORMER_WIDTH, "Intermediate-frequency transformer, width", "Hz", 1e3, 5e6,
             100e3, section=_SECTION,
             why="Between the points 3 dB down; coils cannot make it as narrow as crystals do."),
    *_rows("transformer_coil", COILS["transformer_coil"]),
    *_rows("beat_coil", COILS["beat_coil"]),
)
"""Rows for :mod:`rxlearn.plan.fields`, in the order in which they are shown."""

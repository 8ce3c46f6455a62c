"""Ring cores of powdered iron by their trade size, and what a coil may be wound on.

Sources: the inductance factors are the core makers' trade table as two copies agree (the sizes
T25, T80 and T94 from memory); their tolerance is commonly 5 %.  Sizes in inches turned into
metres, temperature coefficients and useful ranges are the makers' common figures, from memory.
Losses of insulators are typical ones at some megahertz (A. von Hippel, *Dielectric Materials and
Applications*, 1954, from memory): a sample may differ by a factor of two.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class RingCore:
    """A ring core: ``inductance_factor`` (H per turn squared) and its relative ``tolerance``.

    ``outer``, ``inner`` and ``height`` in m; ``drift`` in ppm for each °C; ``lowest`` and
    ``highest`` (Hz) is where such iron makes a good tuned circuit.
    """

    inductance_factor: float
    outer: float
    inner: float
    height: float
    drift: float
    lowest: float
    highest: float
    tolerance: float = 0.05


def _core(per_hundred: float, outer: float, inner: float, height: float, mix: int) -> RingCore:
    """A row as the trade prints it: µH per 100 turns, inches."""
    drift, lowest, highest = {2: (95.0, 250e3, 10e6), 6: (35.0, 3e6, 40e6)}[mix]
    inch = 25.4e-3
    return RingCore(per_hundred * 1e-10, outer * inch, inner * inch, height * inch,
                    drift, lowest, highest)


RING_CORES: Mapping[str, RingCore] = MappingProxyType({
    "T25-2": _core(34, 0.255, 0.120, 0.096, 2), "T25-6": _core(27, 0.255, 0.120, 0.096, 6),
    "T37-2": _core(40, 0.375, 0.205, 0.128, 2), "T37-6": _core(30, 0.375, 0.205, 0.128, 6),
    "T50-2": _core(49, 0.500, 0.303, 0.190, 2), "T50-6": _core(40, 0.500, 0.303, 0.190, 6),
    "T68-2": _core(57, 0.690, 0.370, 0.190, 2), "T68-6": _core(47, 0.690, 0.370, 0.190, 6),
    "T80-2": _core(55, 0.795, 0.495, 0.250, 2), "T80-6": _core(45, 0.795, 0.495, 0.250, 6),
    "T94-2": _core(84, 0.942, 0.560, 0.312, 2), "T94-6": _core(70, 0.942, 0.560, 0.312, 6),
})
"""Trade size to core: the number after T is the outer diameter in hundredths of an inch, the one
after the hyphen the mix of iron."""

FORMERS: Mapping[str, tuple[float, float]] = MappingProxyType({
    "none": (1.0, 0.0), "polystyrene": (2.55, 0.0002), "ceramic": (6.0, 0.002),
    "PVC": (3.2, 0.02), "phenolic": (5.0, 0.03), "cardboard": (3.0, 0.05),
})
"""What a former is made of, to its relative permittivity and its loss (tan δ)."""

SLUG_LENGTH_TO_DIAMETER = 2.0
SLUG_PERMEABILITY = 10.0
SLUG_CLEARANCE = 1.5e-3
"""A common adjusting core of iron dust: its proportions, its permeability, and by how much (m) it
is thinner than the former it screws into (typical, from memory)."""

AIR_DRIFT, SLUG_DRIFT = 50.0, 150.0
"""Growth of a coil's inductance, ppm for each °C: an air coil on a stiff former, and one with an
adjusting core (common practice, no source: it depends on the former more than on the wire)."""

RING_Q, SLUG_Q, LAYERS_Q, AIR_SHARE = (150.0, 250.0), (60.0, 150.0), (40.0, 100.0), (0.5, 0.9)
"""Q that one usually measures: of ring cores where they belong, of coils with an adjusting core, in
one layer and in many, and of air coils as a share of what their wire allows (common practice, no source)."""

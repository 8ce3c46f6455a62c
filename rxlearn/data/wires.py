"""Enamelled copper wire: metric sizes with their enamel, and the gauge numbers one meets.

Sources: the metric sizes are those of the R 10 series of ISO 3 that IEC 60317-0-1 (*Specifications for
particular types of winding wires, enamelled round copper wire*) lists, with its largest overall
diameters for grade 1 and grade 2 enamel; the overall diameters are from memory.  The gauge
numbers and the rule for their diameters are ASTM B258's.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

METRIC: Mapping[float, tuple[float, float]] = MappingProxyType({
    0.100e-3: (0.117e-3, 0.125e-3), 0.125e-3: (0.144e-3, 0.154e-3),
    0.160e-3: (0.182e-3, 0.194e-3), 0.200e-3: (0.226e-3, 0.239e-3),
    0.250e-3: (0.281e-3, 0.297e-3), 0.315e-3: (0.349e-3, 0.367e-3),
    0.400e-3: (0.439e-3, 0.459e-3), 0.500e-3: (0.544e-3, 0.566e-3),
    0.630e-3: (0.684e-3, 0.706e-3), 0.800e-3: (0.861e-3, 0.885e-3),
    1.000e-3: (1.068e-3, 1.093e-3), 1.250e-3: (1.325e-3, 1.351e-3),
    1.600e-3: (1.683e-3, 1.711e-3), 2.000e-3: (2.092e-3, 2.120e-3),
})
"""Copper diameter (m) to the largest overall diameter (m) in grade 1 and in grade 2 enamel."""

GAUGES: tuple[int, ...] = (14, 16, 18, 20, 22, 24, 26, 28, 30, 32, 34, 36)
"""Gauge numbers (AWG) that are offered here."""

THICKEST_GAUGE_INCHES = 0.46
GAUGE_36_INCHES = 0.005
"""Diameters of AWG 0000 and AWG 36, between which lie 39 equal ratios (ASTM B258)."""

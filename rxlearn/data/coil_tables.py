"""Measured figures on single-layer coils: the rise of resistance by neighbouring turns, and the
self-capacitance.

Source: R. G. Medhurst, “H.F. resistance and self-capacitance of single-layer solenoids”,
*Wireless Engineer* 24 (1947), 35 to 43 and 80 to 92, tables of φ and H (numbers from memory, as
reprinted in handbooks).  Measured on coils of many turns at high frequencies.
"""

from __future__ import annotations

SHAPES: tuple[float, ...] = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0, 2.0, 4.0, 6.0, 8.0, 10.0)
"""Length over diameter of the coil, a column each; a longer coil is given the last but one."""

FILLINGS: tuple[float, ...] = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
"""Copper diameter over the distance of turn centres, a row each."""

PROXIMITY: tuple[tuple[float, ...], ...] = (
    (1.02, 1.02, 1.03, 1.03, 1.03, 1.03, 1.04, 1.04, 1.04, 1.04, 1.04),
    (1.07, 1.08, 1.08, 1.10, 1.10, 1.10, 1.13, 1.15, 1.16, 1.16, 1.17),
    (1.16, 1.19, 1.21, 1.22, 1.23, 1.24, 1.28, 1.32, 1.34, 1.34, 1.35),
    (1.26, 1.29, 1.33, 1.38, 1.42, 1.45, 1.50, 1.54, 1.56, 1.57, 1.58),
    (1.44, 1.48, 1.54, 1.60, 1.64, 1.67, 1.74, 1.78, 1.80, 1.81, 1.83),
    (1.74, 1.77, 1.83, 1.89, 1.92, 1.94, 1.98, 2.01, 2.03, 2.08, 2.10),
    (2.12, 2.20, 2.28, 2.38, 2.44, 2.47, 2.32, 2.27, 2.29, 2.34, 2.37),
    (2.74, 2.83, 2.97, 3.10, 3.20, 3.17, 2.74, 2.60, 2.60, 2.62, 2.65),
    (3.73, 3.84, 3.99, 4.11, 4.17, 4.10, 3.36, 3.05, 2.92, 2.90, 2.93),
    (5.31, 5.45, 5.65, 5.80, 5.80, 5.55, 4.10, 3.54, 3.31, 3.20, 3.23),
)
"""φ: the coil's resistance over that of the same wire laid out straight, at high frequencies."""

SELF_CAPACITANCE: tuple[tuple[float, float], ...] = (
    (0.10, 0.96), (0.15, 0.79), (0.20, 0.70), (0.25, 0.64), (0.30, 0.60), (0.35, 0.57),
    (0.40, 0.54), (0.45, 0.52), (0.50, 0.50), (0.60, 0.48), (0.70, 0.47), (0.80, 0.46),
    (0.90, 0.46), (1.0, 0.46), (1.5, 0.47), (2.0, 0.50), (2.5, 0.56), (3.0, 0.61), (3.5, 0.67),
    (4.0, 0.72), (4.5, 0.77), (5.0, 0.81), (6.0, 0.92), (7.0, 1.01), (8.0, 1.12), (9.0, 1.22),
    (10.0, 1.32), (15.0, 1.86), (20.0, 2.36), (25.0, 2.9), (30.0, 3.4), (40.0, 4.6), (50.0, 5.8),
)
"""Length over diameter, and H: self-capacitance in pF for each cm of diameter, one end earthed."""

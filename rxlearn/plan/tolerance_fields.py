"""The plan's fields on tolerances: how far parts may be off, the trimmer, and room to spare."""

from __future__ import annotations

from rxlearn.plan.field import quantity

_SECTION = "tolerances"

TOLERANCE_FIELDS = (
    quantity("tolerance.coil", "Coil, tolerance (±)", "%", 0.0, 50.0, 2.0, section=_SECTION,
             why="A coil wound by the book is off by more than one that was measured and adjusted."),
    quantity("tolerance.capacitors", "Fixed capacitors, tolerance (±)", "%", 0.0, 50.0, 5.0,
             section=_SECTION, why="It is printed on them; J stands for 5 %, G for 2 %, F for 1 %."),
    quantity("tolerance.variable", "Tuning capacitor, tolerance (±)", "%", 0.0, 50.0, 5.0,
             section=_SECTION,
             why="Nothing makes up for it: the swing, and a series capacitor before it, set the dial's width."),
    quantity("tolerance.strays", "Strays and valve, guessed to (±)", "%", 0.0, 90.0, 25.0,
             section=_SECTION, why="Nobody buys them, so nobody knows them before measuring."),
    quantity("trimmer.low", "Trimmer, smallest", "F", 0.0, 200e-12, 3e-12, section=_SECTION,
             why="What it still has with its plates apart."),
    quantity("trimmer.high", "Trimmer, largest", "F", 0.0, 500e-12, 30e-12, section=_SECTION,
             why="Between the two it must make up for all that coil and fixed parts are off."),
    quantity("tolerance.room", "Dial, room beyond the band", "%", 0.0, 50.0, 0.0,
             section=_SECTION,
             why="So much wider than the band, half at either end: it takes up the swing's tolerance."),
    quantity("tolerance.warming", "Warming up, at most", "°C", 0.0, 60.0, 15.0, section=_SECTION,
             why="From switching on to an hour later, at the oscillator."),
)
"""Rows for :mod:`rxlearn.plan.fields`, in the order in which they are shown."""

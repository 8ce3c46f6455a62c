"""The first live figure that anybody turns: a coil and a capacitor."""

from __future__ import annotations

from rxlearn.bench.controls import Knob
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.tank import resonance
from rxlearn.figures.tank import TankFigure


def first_knob() -> LiveBench:
    """Turn a capacitor and see where it resonates with a coil."""
    return live(
        "A coil and a capacitor",
        [
            Knob(key="capacitance", label="Capacitance", unit="F", low=10e-12, high=500e-12,
                 start=300e-12, fine=1e-12, coarse=20e-12, prefix="p"),
            Knob(key="inductance", label="Inductance of the coil", unit="H", low=0.5e-6,
                 high=20e-6, start=1.83e-6, fine=0.01e-6, coarse=0.5e-6, prefix="µ", decimals=2),
        ],
        lambda capacitance, inductance: resonance(inductance, capacitance),
        TankFigure,
        predict="start.half_the_capacitance",
    )

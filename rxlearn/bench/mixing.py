"""Live figures on mixing."""

from __future__ import annotations

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.mixing import mix, sample_rate_for
from rxlearn.compute.tuning import oscillator_frequency
from rxlearn.figures.mixing import MixingFigure

SAMPLES = 8192
"""Samples to transform: at the sample rate that a switching mixer needs, 20 kHz a line."""

KINDS = {
    "multiply": "multiplier: a true product",
    "switch": "switch: the oscillator turns the signal over",
    "square_law": "one bent valve or diode (square law)",
}


def mixing() -> LiveBench:
    """Mix two frequencies and see every line that comes out.

    Starts at the middle of the plan's lower band and the oscillator that it needs.
    """
    plan = the_desk().plan()
    signal = round((plan.value("lower_band.low") + plan.value("lower_band.high")) / 2, -3)
    oscillator = oscillator_frequency(
        signal, plan.value("intermediate_frequency"), plan.value("lower_band.injection")
    )
    rate = sample_rate_for(8e6, 12e6, kind="switch", samples=SAMPLES)

    def compute(signal: float, oscillator: float, kind: str, imbalance: float):
        leak = imbalance / 100
        return mix(signal, oscillator, kind=kind, signal_leak=leak, oscillator_leak=leak,
                   samples=SAMPLES, sample_rate=rate)

    return live(
        "What comes out of a mixer",
        [
            Knob(key="signal", label="Signal frequency", unit="Hz", low=1e6, high=8e6,
                 start=min(8e6, max(1e6, signal)), fine=1e4, coarse=1e5, prefix="M", decimals=3),
            Knob(key="oscillator", label="Oscillator frequency", unit="Hz", low=1e6, high=12e6,
                 start=min(12e6, max(1e6, oscillator)), fine=1e4, coarse=1e5, prefix="M",
                 decimals=3),
            Choice(key="kind", label="Kind of mixer", options=KINDS, start="multiply"),
            Knob(key="imbalance", label="Imbalance", unit="%", low=0, high=100, start=0, fine=1,
                 coarse=10),
        ],
        compute,
        MixingFigure,
        predict="basics.sum_and_difference",
    )

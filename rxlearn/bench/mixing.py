"""Live figures on mixing."""

from __future__ import annotations

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.mixing import mix, sample_rate_for
from rxlearn.compute.tuning import HIGH, oscillator_frequency
from rxlearn.figures.mixing import MixingFigure

BALANCED = {"multiply": "multiplier: a true product", "switch": "switch: turns the signal over"}
UNBALANCED = {
    "multiply": "multiplier, out of balance",
    "switch": "switch, out of balance",
    "square_law": "one bent valve or diode (square law)",
}

LOWEST, HIGHEST_SIGNAL, HIGHEST_OSCILLATOR = 1e6, 8e6, 12e6
"""Ends of the knobs, Hz."""

SAMPLES = 8192
"""Samples to transform: at the sample rate that a switching mixer needs, 20 kHz a line."""


def mixing() -> LiveBench:
    """Mix two frequencies in a balanced mixer and see every line that comes out.

    Starts at the middle of the plan's lower band and the oscillator that it needs.
    """
    return live("What comes out of a mixer", [*_knobs(), _kind(BALANCED, "multiply")], _mix,
                MixingFigure, predict="basics.predict_products")


def leaky_mixer() -> LiveBench:
    """Take a mixer out of balance and see what comes through as it went in."""
    imbalance = Knob(key="imbalance", label="Imbalance", unit="%", low=0, high=100, start=60,
                     fine=1, coarse=10)
    return live("A mixer out of balance", [*_knobs(), _kind(UNBALANCED, "square_law"), imbalance],
                _mix, MixingFigure, predict="basics.predict_leak")


def following() -> LiveBench:
    """Tune a receiver: the oscillator follows the station, and the difference stays."""

    def compute(station: float, intermediate: float):
        return _mix(station, oscillator_frequency(station, intermediate, HIGH), "multiply")

    return live(
        "The oscillator follows the station",
        [
            Knob(key="station", label="You tune to", unit="Hz", low=LOWEST, high=HIGHEST_SIGNAL,
                 start=1e6, fine=1e4, coarse=1e5, prefix="M", decimals=2),
            Knob(key="intermediate", label="Intermediate frequency", unit="Hz", low=100e3,
                 high=4e6, start=455e3, fine=1e3, coarse=5e4, prefix="k"),
        ],
        compute,
        MixingFigure,
        predict="basics.predict_following",
    )


def _mix(signal: float, oscillator: float, kind: str, imbalance: float = 0.0):
    rate = sample_rate_for(HIGHEST_SIGNAL, HIGHEST_OSCILLATOR, kind="switch", samples=SAMPLES)
    leak = imbalance / 100
    return mix(signal, oscillator, kind=kind, signal_leak=leak, oscillator_leak=leak,
               samples=SAMPLES, sample_rate=rate)


def _knobs() -> tuple[Knob, Knob]:
    """Signal and oscillator, set as the plan's lower band needs them."""
    plan = the_desk().plan()
    signal = round((plan.value("lower_band.low") + plan.value("lower_band.high")) / 2, -3)
    oscillator = signal + plan.value("intermediate_frequency")
    return (
        Knob(key="signal", label="Signal frequency", unit="Hz", low=LOWEST, high=HIGHEST_SIGNAL,
             start=min(HIGHEST_SIGNAL, max(LOWEST, signal)), fine=1e4, coarse=1e5, prefix="M",
             decimals=3),
        Knob(key="oscillator", label="Oscillator frequency", unit="Hz", low=LOWEST,
             high=HIGHEST_OSCILLATOR,
             start=min(HIGHEST_OSCILLATOR, max(LOWEST, oscillator)), fine=1e4, coarse=1e5,
             prefix="M", decimals=3),
    )


def _kind(options: dict[str, str], start: str) -> Choice:
    return Choice(key="kind", label="Kind of mixer", options=options, start=start)

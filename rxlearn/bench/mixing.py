"""Live figures on mixing."""

from __future__ import annotations

from collections.abc import Callable

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.mixing import Mixing, mix, sample_rate_for
from rxlearn.compute.tuning import HIGH, oscillator_frequency
from rxlearn.figures.mixing import TOP_FREQUENCY, MixingFigure

BALANCED = {"multiply": "multiplier: a true product", "switch": "switch: turns the signal over"}
UNBALANCED = {
    "multiply": "multiplier, out of balance",
    "switch": "switch, out of balance",
    "square_law": "one bent valve or diode (square law)",
}

LOWEST, HIGHEST_SIGNAL, HIGHEST_OSCILLATOR = 1e6, 8e6, 12e6
"""Ends of the knobs, Hz, for bands that lie between them; others stretch or shrink them all."""

STRETCHES = (1.0, 1.5, 2.0, 2.5, 4.0, 5.0, 7.5, 0.5, 0.25, 0.1)
"""By what the knobs' ends are stretched, the first choice first."""

SAMPLES = 8192
"""Samples to transform: at the sample rate that a switching mixer needs, 20 kHz a line."""


def mixing() -> LiveBench:
    """Mix two frequencies in a balanced mixer and see every line that comes out.

    Starts at the middle of the plan's lower band and the oscillator that it needs.
    """
    knobs, stretch = _knobs()
    return live("What comes out of a mixer", [*knobs, _kind(BALANCED, "multiply")],
                _mixer(stretch), lambda: MixingFigure(stretch), predict="basics.predict_products")


def leaky_mixer() -> LiveBench:
    """Take a mixer out of balance and see what comes through as it went in."""
    imbalance = Knob(key="imbalance", label="Imbalance", unit="%", low=0, high=100, start=60,
                     fine=1, coarse=10)
    knobs, stretch = _knobs()
    return live("A mixer out of balance", [*knobs, _kind(UNBALANCED, "square_law"), imbalance],
                _mixer(stretch), lambda: MixingFigure(stretch), predict="basics.predict_leak")


def following() -> LiveBench:
    """Tune a receiver: the oscillator follows the station, and the difference stays."""
    mixer = _mixer(1.0)

    def compute(station: float, intermediate: float):
        return mixer(station, oscillator_frequency(station, intermediate, HIGH), "multiply")

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


def _mixer(stretch: float) -> Callable[..., Mixing]:
    """A mixer for signals and oscillators up to the knobs' stretched ends."""
    rate = sample_rate_for(stretch * HIGHEST_SIGNAL, stretch * HIGHEST_OSCILLATOR, kind="switch",
                           samples=SAMPLES)

    def compute(signal: float, oscillator: float, kind: str, imbalance: float = 0.0) -> Mixing:
        leak = imbalance / 100
        return mix(signal, oscillator, kind=kind, signal_leak=leak, oscillator_leak=leak,
                   samples=SAMPLES, sample_rate=rate)

    return compute


def _knobs() -> tuple[tuple[Knob, Knob], float]:
    """Signal and oscillator, set as the plan's lower band needs them; how far they reach."""
    plan = the_desk().plan()
    signal = round((plan.value("lower_band.low") + plan.value("lower_band.high")) / 2, -3)
    oscillator = oscillator_frequency(
        signal, plan.value("intermediate_frequency"), plan.value("lower_band.injection"))
    stretch = next((s for s in STRETCHES if _reaches(s, signal, oscillator)), STRETCHES[6])
    low, fine = min(1.0, stretch) * LOWEST, min(1.0, stretch) * 1e4
    return (
        _frequency_knob("signal", signal, low, stretch * HIGHEST_SIGNAL, fine),
        _frequency_knob("oscillator", oscillator, low, stretch * HIGHEST_OSCILLATOR, fine),
    ), stretch


def _reaches(stretch: float, signal: float, oscillator: float) -> bool:
    """Whether knobs stretched so far hold both frequencies (Hz), and the axis their sum."""
    low = min(1.0, stretch) * LOWEST
    return low <= min(signal, oscillator) and (
        signal <= stretch * HIGHEST_SIGNAL and oscillator <= stretch * HIGHEST_OSCILLATOR
        and signal + oscillator <= stretch * TOP_FREQUENCY)


def _frequency_knob(key: str, start: float, low: float, high: float, fine: float) -> Knob:
    return Knob(key=key, label=f"{key.capitalize()} frequency", unit="Hz", low=low, high=high,
                start=min(high, max(low, start)), fine=fine, coarse=10 * fine, prefix="M",
                decimals=3)


def _kind(options: dict[str, str], start: str) -> Choice:
    return Choice(key="kind", label="Kind of mixer", options=options, start=start)

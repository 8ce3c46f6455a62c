"""Live figure on the output transformer."""

from __future__ import annotations

from rxlearn.bench.controls import Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.audio_matching import AudioMatch, match_output
from rxlearn.figures.audio_matching import AudioMatchingFigure


def output_matching() -> LiveBench:
    """See which turns ratio lets the loudspeaker look like the load that the valve wants."""
    plan = the_desk().plan()

    def compute(ratio: float, speaker: float, load: float) -> AudioMatch:
        return match_output(load, speaker, ratio=ratio)

    return live(
        "Output transformer",
        [
            Knob(key="ratio", label="Turns ratio, primary to secondary", unit="", low=5.0, high=80.0,
                 start=_within(plan.value("output.turns_ratio"), 5.0, 80.0), fine=0.5, coarse=5.0,
                 decimals=1),
            Knob(key="speaker", label="Loudspeaker", unit="Ω", low=2.0, high=32.0,
                 start=_within(plan.value("output.loudspeaker"), 2.0, 32.0), fine=0.5, coarse=4.0,
                 decimals=1),
            Knob(key="load", label="Load that the valve wants", unit="Ω", low=1e3, high=20e3,
                 start=_within(plan.value("output.anode_load"), 1e3, 20e3), fine=100.0, coarse=1e3,
                 prefix="k", decimals=1),
        ],
        compute,
        AudioMatchingFigure,
        predict="supply.predict_matching",
    )


def _within(value: float, low: float, high: float) -> float:
    return min(high, max(low, value))

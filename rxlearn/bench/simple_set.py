"""Live figures on what a straight set and a simple superhet lack."""

from __future__ import annotations

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.simple_set import SETTING_NEEDED, SimpleSet, judge
from rxlearn.compute.tune_once import compare_selectivity
from rxlearn.figures.simple_set import SimpleSetFigure
from rxlearn.figures.tune_once import TuneOnceFigure

WANTED = {"code": 500.0, "single sideband": 2400.0}
"""What one listens to, and the bandwidth (Hz) that it wants (common practice, no source)."""


def tune_once() -> LiveBench:
    """Compare circuits that are tuned to the station with one fixed filter."""
    return live(
        "A circuit that moves, a filter that stays",
        [
            Knob(key="station", label="Station", unit="Hz", low=0.5e6, high=30e6, start=1e6,
                 fine=1e4, coarse=5e5, prefix="M", decimals=2),
            Knob(key="loaded_q", label="Loaded Q of each circuit", unit="", low=20, high=300,
                 start=80, fine=1, coarse=10),
            Choice(key="circuits", label="Circuits tuned to the station",
                   options={str(n): str(n) for n in range(1, 5)}, start="2"),
        ],
        lambda station, loaded_q, circuits: compare_selectivity(station, loaded_q, int(circuits)),
        TuneOnceFigure,
        predict="basics.predict_width",
    )


def simple_set() -> LiveBench:
    """See what a four- or five-valve set lacks on its short-wave range."""

    def compute(signal: float, listen: str, aerial_q: float, drive: float):
        return judge(
            SimpleSet(aerial_loaded_q=aerial_q, drive_ratio=drive), signal,
            wanted_bandwidth=WANTED[listen], setting_needed=SETTING_NEEDED[listen],
        )

    return live(
        "What a simple set lacks",
        [
            Knob(key="signal", label="Station", unit="Hz", low=5.9e6, high=18e6, start=14.1e6,
                 fine=1e4, coarse=5e5, prefix="M", decimals=2),
            Choice(key="listen", label="You want to hear",
                   options={"code": "Morse code (CW)", "single sideband": "single sideband"},
                   start="code"),
            Knob(key="aerial_q", label="Loaded Q of the aerial circuit", unit="", low=10, high=200,
                 start=60, fine=1, coarse=10),
            Knob(key="drive", label="Turns of the knob to one of the capacitor", unit="", low=1,
                 high=100, start=6, fine=1, coarse=10),
        ],
        compute,
        SimpleSetFigure,
        predict="basics.predict_hand",
    )

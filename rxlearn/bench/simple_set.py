"""Live figures on what a straight set and a simple superhet lack."""

from __future__ import annotations

import numpy as np

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.hearing import Hearing
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.quantities import show
from rxlearn.compute.receiver_sound import (
    CODE,
    UPPER_VOICE,
    Sound,
    Station,
    listen,
    one_after_other,
    plain_filter,
)
from rxlearn.compute.simple_set import (
    SETTING_NEEDED,
    Shortcomings,
    SimpleSet,
    intermediate_response_db,
    judge,
)
from rxlearn.compute.tune_once import compare_selectivity
from rxlearn.figures.simple_set import SimpleSetFigure
from rxlearn.figures.tune_once import TuneOnceFigure

IMAGE_DB = 30.0
"""How much stronger than the wanted station that on the image is, on the air, dB."""

NOISE_DB = -30.0
"""Noise behind the stations, dB."""

SPAN = 6e3
"""How far from its middle the set's response is looked at for the sound, Hz."""

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
        sound=Hearing(_through_both, _said),
    )


def _on_the_air(result: Shortcomings) -> tuple[float, list[Station], float]:
    """The beat oscillator, the wanted station with its neighbour, and the image's pitch (Hz)."""
    middle = result.simple_set.intermediate_frequency
    if result.wanted_bandwidth == WANTED["code"]:
        beat = middle - 600.0
        return beat, [Station(middle, kind=CODE, text="TEST1"),
                      Station(middle + 1000.0, kind=CODE, text="BENCH2")], 950.0
    beat = middle - 1500.0
    return beat, [Station(beat, kind=UPPER_VOICE),
                  Station(beat + 3500.0, kind=CODE, text="BENCH2")], 950.0


def _through_both(result: Shortcomings) -> Sound:
    """All of it through this set, then through one as narrow as wanted, its image held down."""
    beat, stations, pitch = _on_the_air(result)
    middle = result.simple_set.intermediate_frequency
    near = middle + np.linspace(-SPAN, SPAN, 401)
    this = near, np.minimum(0.0, intermediate_response_db(result.simple_set, near))
    wanted = plain_filter(middle, result.wanted_bandwidth)
    first, second = (
        [*stations, Station(beat + pitch, level_db=IMAGE_DB - rejection)]
        for rejection in (result.image_rejection_db, result.image_rejection_needed_db))
    loudest = max(first, second, key=lambda heard: heard[-1].level_db)
    return one_after_other([
        listen(heard, beat, response=response, noise_db=NOISE_DB, scale_of=loudest)
        for heard, response in ((first, this), (second, wanted))])


def _said(result: Shortcomings) -> str:
    """Both halves in words."""
    beat, (_, neighbour), pitch = _on_the_air(result)
    code = result.wanted_bandwidth == WANTED["code"]
    wanted = "TEST1 in Morse code at 600 Hz" if code else "a voice without words"
    left = "TEST1" if code else "the voice"
    return (
        f"4 s through this set: {wanted}; BENCH2 beside it, as strong, at "
        f"{show(neighbour.frequency - beat, 'Hz', prefix='')}; and the carrier of a station on the "
        f"image, {IMAGE_DB:.0f} dB stronger on the air, at {pitch:.0f} Hz, held down by "
        f"{result.image_rejection_db:.0f} dB. Then 4 s through a set "
        f"{show(result.wanted_bandwidth, 'Hz')} wide that holds its image down by "
        f"{result.image_rejection_needed_db:.0f} dB: {left} is left.")

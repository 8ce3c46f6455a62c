"""Live figures on a third band: two steps, two scales, the front end, whistles, crystals compared.

All start from the plan.  Where its third band cannot work, another crystal or band stands in
and the sentence under the figure says so.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.converter_choice import (
    ABOVE,
    BELOW,
    DRAWER,
    ORDER,
    OWN,
    STOCK,
    Comparison,
    CrystalMap,
    WhistleSetting,
    best_of,
    crystal_at,
    map_crystals,
    offers,
    shelve_crystals,
    taken_by,
)
from rxlearn.compute.converter_setting import tune_converter
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.tuning import BandPlan
from rxlearn.data.spectrum import AMATEUR_BANDS
from rxlearn.figures.converter_front import ConverterFrontFigure
from rxlearn.figures.converter_steps import ConverterStepsFigure
from rxlearn.figures.crystal_whistles import CrystalWhistlesFigure
from rxlearn.figures.crystals_compared import CrystalsComparedFigure
from rxlearn.figures.third_dial import ThirdDialFigure
from rxlearn.plan.band_spread import OTHER, band_of
from rxlearn.plan.document import Plan
from rxlearn.plan.third_band import ThirdBand, example_of, main_bands

SIDES = {BELOW: "below the band", ABOVE: "above the band"}
ORDERS = {"5": "5", "8": "8", "12": "12"}
MAP_PLACES = 181
"""Places of the crystal at which the map of whistles is worked out."""

LONGEST_NAME = 12
"""Longest name of a band, in characters, that a picture has room for."""

SOURCES = {OWN: "planned", DRAWER: "in your drawer", STOCK: "stock", ORDER: "cut to order"}


def converter_steps() -> LiveBench:
    """Tune through the third band with one crystal or another, and follow it down to the IF."""
    third = example_of(the_desk().plan())
    crystals = _crystals(third)
    plans = {key: third.planned(crystal=crystal) for key, (crystal, _) in crystals.items()}

    def compute(crystal: str, signal: float):
        return tune_converter(plans[crystal], signal)

    return live(
        "A third band in two steps",
        [
            _crystal_choice(crystals),
            _band_knob("signal", "Station in the third band", third),
        ],
        compute,
        lambda: ConverterStepsFigure(
            (third.name, third.low, third.high), third.main_name, third.main,
            max(crystal for crystal, _ in crystals.values()), third.note),
        predict="third.predict_landing",
    )


def third_dial() -> LiveBench:
    """Slide the crystal and see the third band's scale move along the main dial."""
    third = example_of(the_desk().plan())
    nearest, farthest, step = _reach(third)
    side, distance = _place_of(third)

    def compute(side: str, distance: float, reading: float):
        crystal = crystal_at(third.low, third.high, distance, side)
        sign = 1 if side == BELOW else -1
        return tune_converter(third.planned(crystal=crystal), crystal + sign * reading)

    return live(
        "Two scales, one pointer",
        [
            Choice(key="side", label="Crystal stands", options=SIDES, start=side),
            Knob(key="distance", label="Distance from the band's middle", unit="Hz",
                 low=nearest, high=farthest, start=distance, fine=step, coarse=20 * step,
                 prefix="M", decimals=4),
            _dial_knob(third),
        ],
        compute,
        lambda: ThirdDialFigure(
            third.name, third.main_name, third.main,
            shelve_crystals(third.low, third.high, nearest, farthest, drawer=third.drawer,
                            region=third.region), third.note),
        predict="third.predict_direction",
    )


def converter_front() -> LiveBench:
    """Tune, sharpen the front end, and see what it must keep out of the third band."""
    third = example_of(the_desk().plan())
    crystals = _crystals(third)

    def compute(crystal: str, signal: float, loaded_q: float, circuits: str):
        plan = replace(third, loaded_q=loaded_q, circuits=int(circuits)).planned(
            crystal=crystals[crystal][0], order=2)
        return tune_converter(plan, signal)

    settings = [compute(key, edge, 50.0, "1") for key in crystals
                for edge in (third.low, third.high)]
    heard = [row.frequency for setting in settings for row in setting.also_heard]
    lowest = max(100e3, 0.7 * min(heard))
    highest = 1.4 * max(*heard, third.high)
    return live(
        "What the front end must keep out",
        [
            _crystal_choice(crystals),
            _band_knob("signal", "Station in the third band", third),
            Knob(key="loaded_q", label="Loaded Q of each circuit", unit="", low=5, high=300,
                 start=min(300.0, max(5.0, round(third.loaded_q))), fine=1, coarse=10),
            Choice(key="circuits", label="Tuned circuits", start=str(third.circuits),
                   options={"1": "one", "2": "two", "3": "three"}),
        ],
        compute,
        lambda: ConverterFrontFigure(_short(third.name), lowest, highest, third.note),
        predict="third.predict_image",
    )


def crystal_whistles() -> LiveBench:
    """Slide the crystal and watch the whistles of two oscillators run through the band."""
    plan = the_desk().plan()
    third = example_of(plan)
    bands, main = _bands(third, plan), third.main
    side, distance = _place_of(third)
    places, highest = np.linspace(main.band_low, main.band_high, MAP_PLACES), max(map(int, ORDERS))

    @cache
    def mapped(band: str, side: str) -> CrystalMap:
        return map_crystals(*bands[band][1:], main, side, places, order=highest)

    def compute(band: str, side: str, distance: float, order: str):
        name, low, high = bands[band]
        tried = replace(third, name=name, low=low, high=high,
                        crystal=crystal_at(low, high, distance, side))
        return WhistleSetting(name, side, distance, tried.planned(order=int(order)),
                              mapped(band, side))

    fine = (main.band_high - main.band_low) / 1000
    return live(
        "Two oscillators that whistle",
        [
            _band_choice(bands),
            Choice(key="side", label="Crystal stands", options=SIDES, start=side),
            Knob(key="distance", label="Distance from the band's middle", unit="Hz",
                 low=main.band_low, high=main.band_high,
                 start=min(main.band_high, max(main.band_low, distance)), fine=fine,
                 coarse=20 * fine, prefix="M", decimals=4),
            Choice(key="order", label="Both orders together, up to", options=ORDERS, start="8"),
        ],
        compute,
        lambda: CrystalWhistlesFigure(_short(third.main_name), main.band_low, main.band_high,
                                      highest, third.note),
        predict="third.predict_whistle",
    )


def crystals_compared() -> LiveBench:
    """Choose band, main dial and front end, and weigh the crystals that could be had."""
    plan = the_desk().plan()
    third = example_of(plan)
    bands = _bands(third, plan)
    mains = _mains(third, plan)

    def compute(band: str, main: str, loaded_q: float, circuits: str):
        (name, low, high), (main_name, dial) = bands[band], mains[main]
        own = third.crystal if band == "planned" and third.own else None
        found = offers(low, high, dial, own=own, drawer=third.drawer, region=third.region,
                       loaded_q=loaded_q, circuits=int(circuits))
        return Comparison(name, main_name, found, best_of(found))

    return live(
        "Crystals side by side",
        [
            _band_choice(bands),
            Choice(key="main", label="Read on the dial of", start=third.main_key,
                   options={key: name for key, (name, _) in mains.items()}),
            Knob(key="loaded_q", label="Loaded Q of each circuit", unit="", low=5, high=300,
                 start=min(300.0, max(5.0, round(third.loaded_q))), fine=1, coarse=10),
            Choice(key="circuits", label="Tuned circuits", start=str(third.circuits),
                   options={"1": "one", "2": "two", "3": "three"}),
        ],
        compute,
        lambda: CrystalsComparedFigure(third.note),
    )


def _band_choice(bands: dict[str, tuple[str, float, float]]) -> Choice:
    return Choice(key="band", label="Third band", start="planned",
                  options={key: name for key, (name, _, _) in bands.items()})


def _bands(third: ThirdBand, plan: Plan) -> dict[str, tuple[str, float, float]]:
    """The third band and the amateur bands that the receiver does not tune itself."""
    found = {"planned": (_short(third.name), third.low, third.high)}
    tuned = main_bands(plan)
    for row in AMATEUR_BANDS[third.region]:
        same = abs(row.low - third.low) < 1 and abs(row.high - third.high) < 1
        if not same and not taken_by(row.name, row.low, row.high, tuned):
            found[row.name] = (row.name, row.low, row.high)
    return found


def _mains(third: ThirdBand, plan: Plan) -> dict[str, tuple[str, BandPlan]]:
    """The dials to choose from: the third band's, and the other one where it works."""
    found = {third.main_key: (_short(third.main_name), third.main)}
    other = OTHER[third.main_key]
    try:
        found[other] = (_short(str(plan.value(f"{other}.name"))), band_of(plan, other))
    except Unclear:
        pass
    return found


def _short(name: str) -> str:
    """The band's name, cut off where it would not fit a picture."""
    return name if len(name) <= LONGEST_NAME else f"{name[:LONGEST_NAME - 1]}…"


def _crystals(third: ThirdBand) -> dict[str, tuple[float, str]]:
    """Crystals on offer: key to frequency (Hz) and words."""
    found = offers(third.low, third.high, third.main, own=third.crystal, drawer=third.drawer,
                   region=third.region)
    words = {**SOURCES, OWN: SOURCES[OWN] if third.own else "stands in"}
    return {
        f"crystal-{i}": (offer.crystal,
                         f"{show(offer.crystal, 'Hz', digits=8)}, {words[offer.source]}")
        for i, offer in enumerate(found)
    }


def _crystal_choice(crystals: dict[str, tuple[float, str]]) -> Choice:
    return Choice(key="crystal", label="Crystal", start="crystal-0",
                  options={key: words for key, (_, words) in crystals.items()})


def _band_knob(key: str, label: str, third: ThirdBand) -> Knob:
    """A knob over the whole third band, which starts in the middle of what is reached."""
    fine = (third.high - third.low) / 500
    reached = third.planned().converted
    middle = (reached.covered_low + reached.covered_high) / 2
    start = third.low + fine * round((middle - third.low) / fine)
    return Knob(key=key, label=label, unit="Hz", low=third.low, high=third.high,
                start=min(third.high, start), fine=fine, coarse=20 * fine, prefix="M", decimals=4)


def _dial_knob(third: ThirdBand) -> Knob:
    """A knob over the main dial, which starts in the middle of what the third band uses."""
    low, high = third.main.band_low, third.main.band_high
    fine = (high - low) / 500
    start = low + fine * round((sum(third.planned().stretch) / 2 - low) / fine)
    return Knob(key="reading", label="Main dial reads", unit="Hz", low=low, high=high,
                start=min(high, start), fine=fine, coarse=20 * fine, prefix="M", decimals=4)


def _reach(third: ThirdBand) -> tuple[float, float, float]:
    """Distances at which a crystal reaches any of the band, a little more, and a round step."""
    half = (third.high - third.low) / 2
    low, high = third.main.band_low - half, third.main.band_high + half
    step = 10.0 ** math.floor(math.log10((high - low) / 300))
    least = max(step, 1e3)
    nearest = max(least, step * math.floor(low / step))
    return _clean(nearest), _clean(step * math.ceil(high / step)), step


def _place_of(third: ThirdBand) -> tuple[str, float]:
    """The side and distance (Hz) of the crystal, kept inside what the knob reaches."""
    nearest, farthest, _ = _reach(third)
    away = third.crystal - (third.low + third.high) / 2
    return (ABOVE if away > 0 else BELOW), _clean(min(farthest, max(nearest, abs(away))))


def _clean(value: float) -> float:
    """``value`` without the dust of binary arithmetic, as a slider's stops have it."""
    return float(f"{value:.12g}")

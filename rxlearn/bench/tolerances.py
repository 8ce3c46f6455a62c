"""Live figures on tolerances: sums, many receivers, the trimmer's reach, what matters, warmth."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.adding_tolerances import MOST_PARTS, add_up, draw_sums
from rxlearn.compute.build_from_parts import Quality
from rxlearn.compute.influence import (
    DIAL_WIDTH,
    TRIMMER_SETTING,
    influence_points,
    influences,
    outputs_of,
)
from rxlearn.compute.receiver_parts import FIXED, PARTS
from rxlearn.compute.tolerances import build_many, draw
from rxlearn.figures.adding_tolerances import AddingTolerancesFigure
from rxlearn.figures.influence import ASKED, InfluenceFigure, PartShares
from rxlearn.figures.tolerances import ManyReceiversFigure, TrimmerReachFigure
from rxlearn.figures.warmed_receivers import WarmedReceiversFigure
from rxlearn.plan.band_spread import WAYS
from rxlearn.plan.tolerances import ManyTimes, usable

PF = 1e-12
PERCENT = 0.01

LONGEST_NAME = 14
"""Longest name of a band, in characters, that the pictures have room for."""

LARGEST_TRIMMER = 100 * PF
"""The largest that a knob offers (common practice, no source)."""

USUAL_TOLERANCE = 0.05
"""What stands in where a plan's capacitors are exact, and nothing could be added up."""


def adding_up() -> LiveBench:
    """Put capacitors side by side, and see how far their sum lies off, at worst and likely."""
    tolerance = the_desk().plan().value("tolerance.capacitors") * PERCENT or USUAL_TOLERANCE
    drawn = lru_cache(maxsize=2)(draw_sums)

    def compute(count: float, largest: float, origin: str, seed: float):
        return add_up(count, tolerance, largest=largest * PERCENT, one_reel=origin == "reel",
                      seed=seed, points=drawn(seed))

    return live(
        "Tolerances add up",
        [
            Knob(key="count", label="Capacitors side by side", unit="", low=1, high=MOST_PARTS,
                 start=4, fine=1, coarse=2),
            Knob(key="largest", label="The largest one's share of the total, at least", unit="%",
                 low=0, high=95, start=0, fine=1, coarse=10),
            Choice(key="origin", label="They come", start="apart",
                   options={"apart": "from different reels", "reel": "all from one reel"}),
            _seed(),
        ],
        compute,
        lambda: AddingTolerancesFigure(tolerance),
        predict="tolerance.predict_sum",
    )


def many_receivers() -> LiveBench:
    """Build ten thousand receivers from the plan's parts, and see whose dial holds the band."""
    many, quality = _many()
    drawn = lru_cache(maxsize=2)(lambda seed: draw(seed=seed))

    def compute(variable: float, room: float, way: str, seed: float):
        build = many.build(
            quality=replace(quality, variable=variable * PERCENT), room=room * PERCENT, way=way)
        return build_many(build, draws=drawn(seed))

    return live(
        "Ten thousand receivers from one parts list",
        [
            _tolerance("variable", "Tuning capacitor, tolerance (±)", quality.variable),
            Knob(key="room", label="Room on the dial beyond the band", unit="%", low=0, high=50,
                 start=100 * many.room, fine=1, coarse=5),
            Choice(key="way", label="The narrower band comes by", start=many.way,
                   options={way: WAYS[way] for way in many.ways}),
            _seed(),
        ],
        compute,
        lambda: ManyReceiversFigure(_names(many), many.note),
        predict="tolerance.predict_half",
    )


def trimmer_reach() -> LiveBench:
    """What the trimmer must make up for, and whether it reaches that far."""
    many, quality = _many()
    low = many.trimmer[0]
    drawn = lru_cache(maxsize=2)(lambda seed: draw(seed=seed))

    def compute(coil: float, capacitors: float, largest: float, seed: float):
        better = replace(quality, coil=coil * PERCENT, capacitors=capacitors * PERCENT)
        return build_many(many.build(quality=better, trimmer=(low, largest)), draws=drawn(seed))

    # Twice the usual tolerances and the largest trimmer that is likely still fit the picture.
    found = build_many(many.build(), receivers=64)
    middle, half = sum(found.trimmer_worst) / 2, np.ptp(found.trimmer_worst) / 2
    half = max(1.6 * half, 1.3 * (many.trimmer[1] - low) / 2, 5 * PF)
    most = max(LARGEST_TRIMMER, PF * math.ceil(many.trimmer[1] / PF))
    least = PF * (math.floor(low / PF) + 1)
    return live(
        "How far the trimmer must reach",
        [
            _tolerance("coil", "Coil, tolerance (±)", quality.coil),
            _tolerance("capacitors", "Fixed capacitors, tolerance (±)", quality.capacitors),
            Knob(key="largest", label="Trimmer, largest", unit="F", low=least,
                 high=least + PF * round((most - least) / PF), start=many.trimmer[1], fine=1 * PF,
                 coarse=5 * PF, prefix="p"),
            _seed(),
        ],
        compute,
        lambda: TrimmerReachFigure(middle - half, middle + half, many.note),
        predict="tolerance.predict_trimmer",
    )


def parts_that_matter() -> LiveBench:
    """Which part's tolerance makes the scatter, and so which part to pay for."""
    many, quality = _many()
    build = many.build()
    third = outputs_of(build)[2]
    fitted = tuple(part for part in PARTS if build.part(part).nominal)
    points = influence_points(power=9)

    def compute(output: str, coil: float, capacitors: float, variable: float):
        better = replace(quality, coil=coil * PERCENT, capacitors=capacitors * PERCENT,
                         variable=variable * PERCENT)
        changed = many.build(quality=better)
        return PartShares(changed, output, dict(influences(changed, points=points)[output]))

    return live(
        "Which part to pay for",
        [
            Choice(key="output", label="You ask", start=DIAL_WIDTH, options={
                output: ASKED[output] for output in (DIAL_WIDTH, TRIMMER_SETTING, third)}),
            _tolerance("coil", "Coil, tolerance (±)", quality.coil),
            _tolerance("capacitors", "Fixed capacitors, tolerance (±)", quality.capacitors),
            _tolerance("variable", "Tuning capacitor, tolerance (±)", quality.variable),
        ],
        compute,
        lambda: InfluenceFigure(fitted, many.note),
        predict="tolerance.predict_part",
    )


def warmed_receivers() -> LiveBench:
    """Trim all receivers cold, warm them up, and see what tolerance no trimmer takes away."""
    many, quality = _many()
    drawn = lru_cache(maxsize=2)(lambda seed: draw(seed=seed))

    def compute(coil: float, fitted: float, warming: float, seed: float):
        build = many.build(quality=replace(quality, coil_coefficient=coil * 1e-6),
                           compensator=fitted)
        return build_many(build, draws=drawn(seed), warming_high=warming)

    plain = many.build(compensator=0.0)
    most = min(60.0, math.floor(plain.part(FIXED).nominal / PF))
    frequency = plain.scheme.dial_high
    rise = max(30.0, math.ceil(many.plan.value("tolerance.warming")))
    # Half of 250 ppm/°C over 20 °C: what coil and capacitors do at their worst, either way.
    farthest = 1e3 * math.ceil(frequency * 125e-6 * 20 / 1e3)
    return live(
        "Ten thousand receivers warm up",
        [
            Knob(key="coil", label="Coil grows by, each °C", unit="ppm", low=0, high=200,
                 start=min(200.0, many.plan.value("drift.coil")), fine=1, coarse=10),
            Knob(key="fitted", label=f"Compensating capacitor, {many.kind.trade_name}", unit="F",
                 low=0, high=most * PF, start=min(most * PF, many.compensator), fine=most * PF / 120,
                 coarse=most * PF / 12, prefix="p", decimals=1),
            Knob(key="warming", label="Warmer by, at most", unit="°C", low=0, high=rise,
                 start=many.plan.value("tolerance.warming"), fine=1, coarse=5),
            _seed(),
        ],
        compute,
        lambda: WarmedReceiversFigure(farthest, _names(many)[0], many.note),
        predict="tolerance.predict_warm",
    )


def _many() -> tuple[ManyTimes, Quality]:
    """What of the learner's plan is built, or of what stands in for it, and how good its parts are."""
    many = usable(the_desk().plan())
    return many, many.quality


def _names(many: ManyTimes) -> tuple[str, str]:
    """The bands' names, cut off where they would not fit a picture."""
    wide, narrow = (name if len(name) <= LONGEST_NAME else f"{name[:LONGEST_NAME - 1]}…"
                    for name in many.names)
    return wide, narrow


def _tolerance(key: str, label: str, start: float) -> Knob:
    """A knob for a tolerance (a fraction) in percent."""
    return Knob(key=key, label=label, unit="%", low=0, high=20 if start <= 0.2 else 50,
                start=100 * start, fine=0.5, coarse=5, decimals=1)


def _seed() -> Knob:
    return Knob(key="seed", label="Seed", unit="", low=1, high=999, start=1, fine=1, coarse=50)

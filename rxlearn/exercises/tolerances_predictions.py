"""Predictions on tolerances, about the demo receiver built many times."""

from __future__ import annotations

import numpy as np

from rxlearn.compute.adding_tolerances import add_up
from rxlearn.compute.influence import DIAL_WIDTH, TRIMMER_SETTING, influences
from rxlearn.compute.quantities import show
from rxlearn.compute.receiver_parts import COIL, FIXED, MINIMUM, STRAYS, SWING
from rxlearn.compute.tolerances import Tolerances, build_many
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Tolerance
from rxlearn.plan.band_spread_rows import compensator_wanted
from rxlearn.plan.document import Plan
from rxlearn.plan.tolerances import many_times

LESSON = "tolerances"

KINDS = {COIL: "coil", FIXED: "fixed", SWING: "variable", MINIMUM: "variable", STRAYS: "strays"}
"""Part to the option that stands for it."""


def _sum():
    return 100 * add_up(8, 0.05).likely


def _half():
    return 100 * build_many(many_times(Plan.demo()).build()).covers.value


def _most(output):
    shares = influences(many_times(Plan.demo()).build())[output]
    return KINDS[max(shares, key=shares.get)]


def _share(output, part):
    return 100 * influences(many_times(Plan.demo()).build())[output][part]


def _compensated() -> Tolerances:
    """The demo's receivers, each with the capacitor that leaves the middle one without drift."""
    many = many_times(Plan.demo())
    return build_many(many.build(compensator=compensator_wanted(Plan.demo())), warming_high=15.0)


def _left():
    """How far one of a hundred still moves when warmer by 15 °C, Hz."""
    return float(np.quantile(np.abs(_compensated().drift), 0.99)) * 15


def _warm():
    left = _left()
    return "none" if left < 1 else "tens" if left < 100 else "hundreds" if left < 1e3 else "more"


PREDICTIONS = (
    Prediction(
        key="tolerance.predict_sum",
        lesson=LESSON,
        prompt="Eight capacitors of ± 5 %, each from another reel, are put side by side. How far off "
               "is the sum in ninety-nine of a hundred tries, at most?",
        unit="%",
        digits=2,
        truth=_sum,
        near=Tolerance("A guess within a third is a good one.", relative=1 / 3),
        because=lambda: "Some are too large and some too small. All eight at the same end at once "
                        "is what the worst case asks for.",
    ),
    Prediction(
        key="tolerance.predict_half",
        lesson=LESSON,
        prompt="The demo receiver's dial is laid out just as wide as its wider band. A hundred "
               "clubs build it, and each trims the low end. How many have the whole band?",
        unit="",
        digits=2,
        truth=_half,
        near=Tolerance("A guess within a sixth is a good one.", relative=1 / 6),
        because=lambda: "A dial without room comes out too narrow as often as too wide, and the "
                        "trimmer moves it but does not widen it.",
    ),
    Prediction(
        key="tolerance.predict_trimmer",
        lesson=LESSON,
        prompt="In the demo receiver the coil is good to ± 2 %, fixed and tuning capacitor to "
               "± 5 %, strays to ± 25 %. Which of them makes the trimmer's setting differ most "
               "from one receiver to the next?",
        options=(("coil", "The coil."), ("fixed", "The fixed capacitor."),
                 ("variable", "The tuning capacitor."), ("strays", "The strays.")),
        truth=lambda: _most(TRIMMER_SETTING),
        because=lambda: f"It holds most of the tank, and makes "
                        f"{_share(TRIMMER_SETTING, FIXED):.0f} % of the variance: a percentage of much is "
                        "more than a large one of little.",
    ),
    Prediction(
        key="tolerance.predict_part",
        lesson=LESSON,
        prompt="Once trimmed, a dial is still too narrow or too wide. Which part should be the "
               "better one, so that the width scatters less?",
        options=(("coil", "The coil."), ("fixed", "The fixed capacitor."),
                 ("variable", "The tuning capacitor.")),
        truth=lambda: _most(DIAL_WIDTH),
        because=lambda: f"The swing is the width. It makes {_share(DIAL_WIDTH, SWING):.0f} % of the "
                        "variance; the fixed capacitor's error went into the trimmer.",
    ),
    Prediction(
        key="tolerance.predict_warm",
        lesson=LESSON,
        prompt="Every receiver gets the compensating capacitor that the demo receiver's sum asks "
               "for. They warm by 15 °C. How far do the worst in a hundred still drift?",
        options=(("none", "Not at all."), ("tens", "By some tens of hertz."),
                 ("hundreds", "By some hundreds of hertz."),
                 ("more", "By more than a kilohertz.")),
        truth=_warm,
        because=lambda: f"By {show(_left(), 'Hz', digits=2)}: the "
                        "coefficients have tolerances of their own, and compensation takes away "
                        "their middle only.",
    ),
)

"""Live figures on choosing frequencies: along the axis, by what matters, pair by pair."""

from __future__ import annotations

import math

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.frequency_choice import FrequencyChoice, amateur_bands, choose_frequencies
from rxlearn.compute.frequency_choice_columns import DIFFERENCE, SUMMED
from rxlearn.compute.frequency_choice_views import PAIRS_ORDER, survey_pairs, weigh_groups
from rxlearn.compute.frequency_choice_words import why_nothing_works
from rxlearn.compute.frequency_walk import axis_of, walk_to
from rxlearn.compute.quantities import Unclear
from rxlearn.figures.band_pairs import BandPairsFigure
from rxlearn.figures.frequency_walk import FrequencyWalkFigure
from rxlearn.figures.frequency_weights import FrequencyWeightsFigure, most_points
from rxlearn.plan.document import Plan
from rxlearn.plan.frequency_choice import all_crystals, at_hand_of, bands_of, drawer_of

ARRANGED = {DIFFERENCE: "difference: high side below, low side above",
            SUMMED: "sum on the lower band, low side on the upper"}

LEAST_Q, MOST_Q = 10.0, 200.0


def frequency_walk() -> LiveBench:
    """Slide the intermediate frequency and see who lives there and what is held down."""
    plan = the_desk().plan()
    note = ""
    try:
        axis_of(bands_of(plan)[1])
    except Unclear as reason:
        plan, note = Plan.demo(), f"{reason} The demo receiver stands in."
    lower, upper = bands_of(plan)
    crystals = all_crystals(drawer_of(plan))
    low, high, fine = _stops(*axis_of(upper))
    own = plan.value("intermediate_frequency")

    def compute(intermediate: float, arrangement: str, loaded_q: float, circuits: str):
        return walk_to(
            lower, upper, intermediate, crystals, arrangement=arrangement,
            at_hand=at_hand_of(plan, loaded_q=loaded_q, circuits=int(circuits)))

    first = compute(min(high, max(low, own)), DIFFERENCE, 50.0, "1")
    return live(
        "A walk along the intermediate frequency",
        [
            Knob(key="intermediate", label="Intermediate frequency", unit="Hz", low=low, high=high,
                 start=min(high, max(low, own)), fine=fine, coarse=10 * fine, prefix="M",
                 decimals=4),
            Choice(key="arrangement", label="Arrangement", options=ARRANGED, start=DIFFERENCE),
            _loaded_q(plan),
            _circuits(plan),
        ],
        compute,
        lambda: FrequencyWalkFigure(first, crystals, note),
        predict="choice.predict_walk",
    )


def frequency_weights() -> LiveBench:
    """Say what matters to you, and see the schemes of your pair change places."""
    choice, note = _workable()
    knob = {"unit": "", "low": 0.0, "high": 2.0, "start": 1.0, "fine": 0.1, "coarse": 0.5,
            "decimals": 1}
    return live(
        "What matters to you",
        [
            Knob(key="dial", label="The dial", **knob),
            Knob(key="oscillator", label="The oscillator", **knob),
            Knob(key="rejection", label="What is held down", **knob),
            Knob(key="quiet", label="Neighbours and whistles", **knob),
        ],
        lambda **weights: weigh_groups(choice, **weights),
        lambda: FrequencyWeightsFigure(most_points(choice), note),
        predict="choice.predict_weights",
    )


def band_pairs() -> LiveBench:
    """Every pair of your region's amateur bands with all crystals, stock and drawer."""
    plan = the_desk().plan()
    crystals = all_crystals(drawer_of(plan))
    bands = amateur_bands(int(plan.value("region")))

    def compute(reach: float, loaded_q: float, circuits: str):
        return survey_pairs(crystals, at_hand_of(
            plan, reach=reach / 100, loaded_q=loaded_q, circuits=int(circuits),
            order=PAIRS_ORDER))

    return live(
        "Every pair of bands",
        [
            Knob(key="reach", label="A switched capacitor moves the oscillator by", unit="%", low=0,
                 high=10, start=5, fine=0.1, coarse=1, decimals=1),
            _loaded_q(plan),
            _circuits(plan),
        ],
        compute,
        lambda: BandPairsFigure(bands, tuple(band.name for band in bands_of(plan))),
        predict="choice.predict_pairs",
    )


def _workable() -> tuple[FrequencyChoice, str]:
    """The plan's pair weighed; where nothing works, the demo's pair, and why."""
    plan = the_desk().plan()
    choice = choose_frequencies(
        [bands_of(plan)], all_crystals(drawer_of(plan)), at_hand=at_hand_of(plan))
    if choice.works.any():
        return choice, ""
    demo = Plan.demo()
    note = f"{why_nothing_works(choice, 0)} The demo receiver's bands stand in."
    return choose_frequencies(
        [bands_of(demo)], all_crystals(drawer_of(plan)), at_hand=at_hand_of(demo)), note


def _loaded_q(plan: Plan) -> Knob:
    own = plan.value("preselector.loaded_q")
    return Knob(key="loaded_q", label="Loaded Q of the preselector", unit="", low=LEAST_Q,
                high=MOST_Q, start=min(MOST_Q, max(LEAST_Q, own)), fine=1, coarse=10)


def _circuits(plan: Plan) -> Choice:
    return Choice(key="circuits", label="Tuned circuits", start=str(plan.value(
        "preselector.circuits")), options={"1": "1 circuit", "2": "2 circuits"})


def _stops(low: float, high: float) -> tuple[float, float, float]:
    """Ends inside ``low``..``high`` (Hz) on a round step, and that step: 300 to 3000 of them."""
    fine = 10.0 ** math.floor(math.log10((high - low) / 300))
    return (float(f"{math.ceil(low / fine) * fine:.12g}"),
            float(f"{math.floor(high / fine) * fine:.12g}"), fine)

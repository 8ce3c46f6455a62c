"""The benches on tolerances start from the plan, whatever it is, and say why where they cannot."""

from __future__ import annotations

import re

import numpy as np
import pytest

from tests.any_plans import chessboard
from tests.workbench import settings_of

PF = 1e-12
FIGURES = ("adding_up", "many_receivers", "trimmer_reach", "parts_that_matter",
           "warmed_receivers")
ODD_PLANS = {
    "20 m and 17 m": {
        "lower_band.name": "20 m", "lower_band.low": 14.0e6, "lower_band.high": 14.35e6,
        "upper_band.name": "17 m", "upper_band.low": 18.068e6, "upper_band.high": 18.168e6,
        "intermediate_frequency": 2.0e6},
    "160 m and 30 m": {"lower_band.low": 1.8e6, "lower_band.high": 2.0e6,
                       "intermediate_frequency": 4.096e6},
    "17 m and 10 m": {
        "lower_band.low": 18.068e6, "lower_band.high": 18.168e6, "upper_band.low": 28.0e6,
        "upper_band.high": 29.7e6, "intermediate_frequency": 5.0e6},
    "80 m and 12 m": {"upper_band.low": 24.89e6, "upper_band.high": 24.99e6,
                      "intermediate_frequency": 10.7e6},
    "both low": {"lower_band.injection": "low"},
    "both high": {"upper_band.injection": "high"},
    "broadcast gang": {"tuning_capacitor.minimum": 15 * PF, "tuning_capacitor.maximum": 365 * PF},
    "no swing": {"tuning_capacitor.maximum": 5 * PF},
    "tiny coil": {"oscillator.inductance": 10e-9},
    "huge coil": {"oscillator.inductance": 10e-3},
    "trimmer the wrong way round": {"trimmer.low": 60 * PF},
    "large trimmer": {"trimmer.low": 150 * PF, "trimmer.high": 500 * PF},
    "exact parts": {f"tolerance.{part}": 0.0
                    for part in ("coil", "capacitors", "variable", "strays")},
    "poor parts": {f"tolerance.{part}": 50.0 for part in ("coil", "capacitors", "variable")},
    "much room": {"tolerance.room": 50.0},
    "no warmth": {"tolerance.warming": 0.0, "drift.coil": 0.0, "drift.capacitors": 0.0},
    "compensated": {"drift.compensating_capacitance": 27 * PF},
    "fitted": {"band_spread.series": 12 * PF, "band_spread.parallel": 270 * PF,
               "recentring.capacitance": 15 * PF, "band_spread.across": 33 * PF},
    "a band a hertz wide": {"upper_band.low": 10.1e6, "upper_band.high": 10.100001e6},
    "ends of the fields": {"lower_band.low": 100e3, "lower_band.high": 110e3,
                           "upper_band.low": 59e6, "upper_band.high": 60e6,
                           "intermediate_frequency": 29.45e6},
    "markup for a name": {"lower_band.name": "<b>$\\frac{8}{0}$</b>", "upper_band.name": "x" * 80},
}


@pytest.mark.parametrize(("figure", "odd"), chessboard(FIGURES, ODD_PLANS))
def test_any_plan_opens_and_can_be_turned(planned, figure, odd):
    opened = planned(figure, ODD_PLANS[odd])
    assert opened.sentence.endswith(".") and opened.panel.frame
    for setting in settings_of(opened, drawn=3):
        opened.turn(**setting)
        for key in opened.controls:
            assert "could not follow" not in opened.fault(key), (setting, opened.fault(key))
        assert "nan" not in opened.sentence and "not a number" not in opened.explanation
    assert "<b>" not in opened.panel.picture["svg"]


@pytest.mark.parametrize("odd, reason", [
    ("no swing", "has no swing"), ("trimmer the wrong way round", "Trimmer from 60 pF to 30 pF"),
])
@pytest.mark.parametrize("figure", FIGURES[1:])
def test_a_plan_that_cannot_be_built_is_met_with_its_reason(planned, figure, odd, reason):
    opened = planned(figure, ODD_PLANS[odd])
    assert opened.sentence.startswith("Your plan cannot be built.")
    assert reason in opened.sentence and "The demo receiver stands in." in opened.sentence


@pytest.mark.parametrize("figure", FIGURES[1:])
def test_a_coil_that_cannot_be_is_replaced_and_the_bands_stay(planned, figure):
    opened = planned(figure, ODD_PLANS["17 m and 10 m"])
    assert opened.sentence.startswith("Your coil of 1.83 µH cannot be built with.")
    assert "A coil of 159 nH stands in" in opened.sentence


def test_room_and_a_better_tuning_capacitor_both_help(planned):
    opened = planned("many_receivers", {})
    plain = opened.result.covers.value
    assert plain == pytest.approx(0.48, abs=0.02)
    opened.turn(room=10.0)
    roomy = opened.result.covers.value
    opened.turn(variable=2.0)
    assert plain < roomy < opened.result.covers.value
    assert "of 100 have all of 80 m on the trimmed dial" in opened.sentence


def test_the_seed_is_shown_typed_and_changes_little(planned):
    opened = planned("many_receivers", {})
    before = opened.result
    opened.type("seed", "42")
    assert opened.result.seed == 42 and "seed 42" in opened.sentence
    assert not np.array_equal(before.dial_high, opened.result.dial_high)
    assert opened.result.covers.value == pytest.approx(before.covers.value, abs=0.01)
    opened.type("seed", "2.5")
    assert opened.fault("seed").startswith("Seed must be a whole number, not 2.5")
    opened.type("seed", "1")
    assert np.array_equal(opened.result.dial_high, before.dial_high)


def test_spread_asks_of_the_narrower_band_what_the_switched_capacitor_does_not(planned):
    opened = planned("many_receivers", {})
    switched = opened.result.recentres.value
    opened.turn(way="spread")
    assert switched == 1.0 and opened.result.recentres.value < 0.6
    assert "in series" in opened.sentence


def test_the_hills_stand_where_the_edges_are(planned):
    """DERIVED: a hill's centre of gravity is the mean place of the edge on the dials."""
    opened = planned("many_receivers", {"tolerance.room": 20.0})
    result, figure = opened.result, opened.figure
    for edge, frequency in (("low", 6.7768e6), ("high", 7.2768e6)):
        places = 100 * (frequency - result.dial_low) / (result.dial_high - result.dial_low)
        corners = figure._hills["trimmed", edge].get_xy()
        tops = corners[1:-1:2]
        heights = tops[:, 1] - 1.0
        middles = tops[:, 0] + 1.0  # bins of two percent
        assert (heights * middles).sum() / heights.sum() == pytest.approx(places.mean(), abs=1.0)


def test_a_trimmer_large_enough_leaves_nobody_out(planned):
    opened = planned("trimmer_reach", {})
    assert "3.0 of 100 ask for less than it has" in opened.sentence
    opened.turn(largest=50 * PF)
    assert "All but fewer than 1 of 1000 are within its reach" in opened.sentence
    low, high = opened.result.trimmer_worst
    assert low < opened.result.trimmer_span[0] < opened.result.trimmer_span[1] < high


def test_halving_the_longest_bar_is_worth_what_the_sentence_says(planned):
    """DERIVED: a part with the share s of the variance and half the tolerance leaves 1 − 3s/4."""
    from rxlearn.compute.tolerances import build_many

    opened = planned("parts_that_matter", {})
    found = int(re.search(r"falls to (\d+) %", opened.explanation)[1])
    spreads = []
    for tolerance in (5.0, 2.5):
        opened.turn(variable=tolerance)
        result = build_many(opened.result.build, receivers=30_000)
        spreads.append((result.dial_high - result.dial_low).std())
    assert 100 * spreads[1] / spreads[0] == pytest.approx(found, abs=2)


def test_compensation_takes_the_middle_away_and_leaves_the_width(planned):
    opened = planned("warmed_receivers", {})
    def spread():
        low, middle, high = np.quantile(opened.result.drift, (0.005, 0.5, 0.995))
        return middle, high - low

    plain = spread()
    opened.turn(fitted=28.5 * PF)
    middle, width = spread()
    assert abs(middle) < 0.1 * abs(plain[0]) and width > 0.9 * plain[1]


def test_the_sentence_names_every_part_that_decides_the_width(planned):
    """DERIVED: behind a series capacitor Cs the swing counts by (Cs/(C + Cs))², so Cs counts too."""
    assert "The swing, 40 pF ± 5 %, makes dials of" in planned("many_receivers", {}).explanation
    broad = planned("many_receivers", ODD_PLANS["broadcast gang"])
    series = any(part.name == "series capacitor" and part.nominal
                 for part in broad.result.build.parts)
    assert ("series capacitor" in broad.explanation.split("dials of")[0]) == series

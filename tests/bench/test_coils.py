"""The coils' benches follow the plan, whatever it is, and say why where they cannot."""

from __future__ import annotations

import itertools

import pytest

from rxlearn.plan.document import Plan
from rxlearn.plan.coils import turns_and_length
from tests.any_plans import chessboard
from tests.workbench import settings_of

FIGURES = ("wind_coil", "coil_q", "same_inductance", "coil_feed", "double_tuned", "coil_pair")
PLANS = {
    "20 m + 17 m": {
        "lower_band.name": "20 m", "lower_band.low": 14e6, "lower_band.high": 14.35e6,
        "upper_band.name": "17 m", "upper_band.low": 18.068e6, "upper_band.high": 18.168e6,
        "intermediate_frequency": 2e6, "oscillator.inductance": 0.8e-6},
    "160 m + 30 m": {
        "lower_band.low": 1.8e6, "lower_band.high": 2e6, "intermediate_frequency": 4.096e6},
    "17 m + 10 m": {
        "lower_band.low": 18.068e6, "lower_band.high": 18.168e6, "upper_band.low": 28e6,
        "upper_band.high": 29.7e6, "intermediate_frequency": 5e6, "oscillator.inductance": 0.4e-6},
    "80 m + 12 m": {"upper_band.low": 24.89e6, "upper_band.high": 24.99e6,
                    "intermediate_frequency": 10.7e6},
    "cannot share": {"lower_band.injection": "low"},
    "tiny coil": {"oscillator.inductance": 10e-9},
    "tiny preselector": {"lower_band.low": 14e6, "lower_band.high": 14.35e6, "upper_band.low": 18.068e6,
                         "upper_band.high": 18.168e6, "lower_coil.capacitance": 10e-9},
    "huge coil": {"oscillator.inductance": 10e-3},
    "thick wire, thin former": {"oscillator_coil.wire": "2 mm", "oscillator_coil.diameter": 1e-3},
    "large former": {"oscillator_coil.diameter": 0.2, "oscillator_coil.length": 0.5},
    "odd transformer": {"transformer_coil.wire": "2 mm", "transformer_coil.capacitance": 10e-9,
                        "transformer_coil.diameter": 0.2},
    "ends of the fields": {"lower_band.low": 100e3, "lower_band.high": 110e3,
                           "upper_band.low": 59e6, "upper_band.high": 60e6,
                           "intermediate_frequency": 29.45e6},
}


@pytest.mark.parametrize(("figure", "odd"), chessboard(FIGURES, PLANS))
def test_any_plan_opens_and_can_be_turned(planned, figure, odd):
    opened = planned(figure, PLANS[odd])
    assert opened.sentence.endswith(".") and opened.panel.frame
    for setting in settings_of(opened, drawn=4):
        opened.turn(**setting)
        for key in opened.controls:
            assert "could not follow" not in opened.fault(key), (setting, opened.fault(key))


@pytest.mark.parametrize("figure, odd", [
    *itertools.product(("wind_coil", "coil_q", "same_inductance"), ("cannot share", "tiny coil")),
    ("coil_feed", "cannot share"), ("coil_feed", "tiny preselector"),
])
def test_a_plan_without_a_coil_is_met_with_its_reason(planned, figure, odd):
    opened = planned(figure, PLANS[odd])
    assert opened.sentence.startswith("Your plan gives no coil to draw.")
    assert "The demo receiver stands in." in opened.sentence


@pytest.mark.parametrize("pair", ["20 m + 17 m", "160 m + 30 m", "17 m + 10 m", "80 m + 12 m"])
def test_the_plans_own_inductance_is_wound(planned, pair):
    opened = planned("wind_coil", PLANS[pair])
    assert opened.result.wanted == PLANS[pair].get("oscillator.inductance", 1.83e-6)
    assert abs(opened.result.off) < 0.12 and opened.result.coil.fits
    centre = PLANS[pair]["intermediate_frequency"]
    assert planned("double_tuned", PLANS[pair]).result.pair.centre == centre
    assert planned("coil_pair", PLANS[pair]).result.centre == centre


def test_the_demo_starts_where_the_plan_has_it(planned):
    opened = planned("wind_coil", {})
    turns, length = turns_and_length(Plan.demo(), "oscillator_coil")
    assert (opened.result.coil.turns, opened.result.coil.length) == pytest.approx(
        (turns, length), rel=2e-3)
    assert abs(opened.result.off) < 0.003


def test_what_does_not_fit_is_said(planned):
    opened = planned("wind_coil", {})
    opened.turn(turns=40)
    assert "do not fit" in opened.sentence
    assert any("THEY DO NOT FIT" in words for words in opened.figure.texts())


def test_turns_of_a_drawing_are_counted(planned):
    """DERIVED: one outline to each turn, of the former's height and a wire more."""
    import numpy as np

    opened = planned("wind_coil", {})
    x, y = opened.figure._turns.get_data()
    coil = opened.result.coil
    assert np.isnan(x).sum() == coil.turns
    assert np.nanmax(y) - np.nanmin(y) == pytest.approx(1e3 * coil.diameter)
    assert np.nanmax(x) - np.nanmin(x) == pytest.approx(1e3 * coil.length, rel=0.1)


def test_a_drawing_that_is_not_to_scale_says_so(planned):
    opened = planned("same_inductance", {})
    assert "drawn smaller than the bar says" not in opened.figure.texts()
    opened.turn(wanted=40e-6, wire="1 mm")
    assert "drawn smaller than the bar says" in opened.figure.texts()
    assert opened.result.ring.problem


def test_humps_are_marked_where_they_are(planned):
    opened = planned("double_tuned", {})
    assert len(opened.figure._humps.get_xdata()) == 1
    opened.turn(index=2.0)
    humps = opened.result.pair.humps
    assert opened.figure._humps.get_xdata() == pytest.approx(
        [(hump - 3.2768e6) / 1e3 for hump in humps])
    assert "over-coupled" in opened.figure.texts()[0]


def test_the_aerial_feeds_the_lower_preselector_not_the_oscillator(planned):
    opened = planned("coil_feed", PLANS["20 m + 17 m"])
    # DERIVED: √(14 × 14.35) MHz with the plan's 200 pF, at Q 150.
    frequency = (14e6 * 14.35e6) ** 0.5
    assert opened.result.frequency == pytest.approx(frequency, rel=1e-9)
    wanted = 1 / ((2 * 3.14159265 * frequency) ** 2 * 200e-12)
    assert opened.result.feeds.coil.inductance == pytest.approx(wanted, rel=0.25)

"""The image-swapping benches start from the plan, whatever it is, and never stay empty."""

from __future__ import annotations

import pytest

from rxlearn import bench
from rxlearn.bench.controls import Knob
from tests.workbench import settings_of

FIGURES = ("image_swapping", "meeting", "recentring", "preselector", "beat_side")
SAME_SIDES = {"upper_band.injection": "high"}
ODD_PLANS = {
    "same sides": SAME_SIDES,
    "sides the wrong way round": {"lower_band.injection": "low", "upper_band.injection": "high"},
    "both low": {"lower_band.injection": "low"},
    "ranges far apart": {"intermediate_frequency": 455e3},
    "bands a hertz wide": {"lower_band.low": 3.5e6, "lower_band.high": 3.500001e6,
                           "upper_band.low": 3.6e6, "upper_band.high": 3.600001e6,
                           "intermediate_frequency": 50e3},
    "oscillator near zero": {"lower_band.low": 3.5e6, "lower_band.high": 3.5001e6,
                             "lower_band.injection": "low", "intermediate_frequency": 3.4999e6},
    "ends of the fields": {"lower_band.low": 100e3, "lower_band.high": 110e3,
                           "upper_band.low": 59e6, "upper_band.high": 60e6,
                           "intermediate_frequency": 29.45e6},
    "tiny coil": {"oscillator.inductance": 10e-9},
    "huge coil": {"oscillator.inductance": 10e-3},
    "much capacitance": {"recentring.capacitance": 1e-9},
    "sharp circuits": {"preselector.loaded_q": 1000.0, "preselector.circuits": 2},
    "far beat oscillator": {"beat_oscillator.offset": 10e3},
    "markup for a name": {"lower_band.name": "<b>$\\frac{8}{0}$</b>", "upper_band.name": "x" * 80},
}


@pytest.mark.parametrize("odd", ODD_PLANS)
@pytest.mark.parametrize("figure", FIGURES)
def test_any_plan_opens_and_can_be_turned(planned, figure, odd):
    opened = planned(figure, ODD_PLANS[odd])
    assert opened.sentence.endswith(".") and opened.panel.frame
    for setting in settings_of(opened):
        opened.turn(**setting)
        # Where a setting cannot be shown, its sentence says so and what to do.
        for key in opened.controls:
            assert "could not follow" not in opened.fault(key)
    assert "<b>" not in opened.panel.picture["svg"]


@pytest.mark.parametrize("figure", ("image_swapping", "meeting", "recentring"))
def test_wrong_sides_are_met_with_their_reason(planned, figure):
    opened = planned(figure, SAME_SIDES)
    assert "Both bands use high injection" in opened.sentence


def test_the_oscillator_starts_where_both_bands_are_on():
    opened = bench.image_swapping()
    assert opened.values == {"oscillator": 6.8482e6, "preselector": "lower"}
    assert "3.5714 MHz (in 80 m)" in opened.sentence


def test_dragging_the_oscillator_moves_both_signals(planned):
    opened = planned("image_swapping", {})
    before = opened.result
    opened.turn(oscillator=before.oscillator + 1e5)
    # To the knob's nearest stop, 1 kHz apart.
    for side in ("below", "above"):
        moved = getattr(opened.result, side).frequency - getattr(before, side).frequency
        assert moved == pytest.approx(opened.result.oscillator - before.oscillator)
        assert moved == pytest.approx(1e5, abs=1e3)
    opened.turn(preselector="upper")
    assert opened.result.wanted is opened.result.above


def test_the_meeting_frequency_can_be_typed(planned):
    opened = planned("meeting", {})
    opened.type("intermediate_frequency", "3.1875 MHz")
    assert "agree" in opened.sentence and not opened.fault("intermediate_frequency")


def test_the_value_asked_for_centres_the_band(planned):
    opened = planned("recentring", {})
    assert "asks for 14.8 pF" in opened.sentence
    opened.type("capacitance", "14.8 pF")
    assert "That is centred" in opened.sentence


def test_the_preselector_starts_with_the_plans_circuits(planned):
    opened = planned("preselector", {"preselector.loaded_q": 80.0, "preselector.circuits": 2})
    assert opened.values["loaded_q"] == 80.0 and opened.values["circuits"] == "2"
    assert "held down 16.5 dB" in planned("preselector", {}).sentence


def test_the_beat_oscillator_changes_sides_with_the_band(planned):
    opened = planned("beat_side", {})
    assert "belongs above its middle, on 3.2783 MHz" in opened.sentence
    opened.turn(band="upper")
    assert "belongs below its middle, on 3.2753 MHz" in opened.sentence


def test_each_has_at_most_four_controls_and_a_prediction():
    for figure in FIGURES:
        opened = getattr(bench, figure)()
        assert len(opened.controls) <= 4 and opened.prediction is not None
        assert any(isinstance(control, Knob) for control in opened.controls.values())



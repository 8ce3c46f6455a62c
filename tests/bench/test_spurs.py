"""The benches on spurious responses start from the plan, whatever it is."""

from __future__ import annotations

import pytest

from tests.any_plans import chessboard
from tests.workbench import settings_of

FIGURES = ("spur_levels", "spur_chart", "whistle_pitch", "clean_and_dirty", "spur_mixer")


def pair(low, high, upper_low, upper_high, crystal, **more):
    """A plan's changes for two bands and an intermediate frequency, in Hz."""
    return {"lower_band.low": low, "lower_band.high": high, "upper_band.low": upper_low,
            "upper_band.high": upper_high, "intermediate_frequency": crystal, **more}


PLANS = {
    "demo": {},
    "20 m + 17 m": pair(14.0e6, 14.35e6, 18.068e6, 18.168e6, 2.0e6),
    "160 m + 30 m": pair(1.8e6, 2.0e6, 10.1e6, 10.15e6, 4.096e6),
    "17 m + 10 m": pair(18.068e6, 18.168e6, 28.0e6, 29.7e6, 5.0e6),
    "80 m + 12 m": pair(3.5e6, 4.0e6, 24.89e6, 24.99e6, 10.7e6),
    "40 m + 20 m": pair(7.0e6, 7.3e6, 14.0e6, 14.35e6, 3.579545e6),
    "no shared oscillator": {"upper_band.injection": "high"},
    "both low": {"lower_band.injection": "low"},
    "ends of the fields": pair(100e3, 110e3, 59e6, 60e6, 29.45e6),
    "low frequency": pair(3.5e6, 4.0e6, 7.0e6, 7.3e6, 50e3),
    "a band a hertz wide": {"upper_band.low": 10.1e6, "upper_band.high": 10.100001e6},
    "sharp": {"preselector.loaded_q": 1000.0, "preselector.circuits": 2},
    "markup for a name": {"lower_band.name": "<b>$x$</b>", "upper_band.name": "x" * 80},
    "no dial": {"tuning_capacitor.maximum": 5e-12},
}


@pytest.mark.parametrize(("figure", "odd"), chessboard(FIGURES, PLANS))
def test_any_plan_opens_and_can_be_turned(planned, figure, odd):
    opened = planned(figure, PLANS[odd])
    assert opened.sentence.endswith(".") and opened.panel.frame
    for setting in settings_of(opened):
        opened.turn(**setting)
        for key in opened.controls:
            assert "could not follow" not in opened.fault(key), (setting, opened.fault(key))
        words = f"{opened.sentence} {opened.explanation} {opened.panel.texts.get('rows')}"
        assert "nan" not in words.split() and "infinite" not in words, words
    assert "<b>" not in opened.panel.picture["svg"]


def test_bands_that_cannot_share_an_oscillator_are_drawn_as_they_are(planned):
    opened = planned("spur_levels", PLANS["no shared oscillator"])
    opened.turn(band="upper_band")
    # DERIVED: 10.125 + 3.2768 MHz on the high side.
    assert "the oscillator on 13.402 MHz" in opened.sentence
    assert "stands in" not in opened.sentence


def test_the_chart_follows_the_planned_bands(planned):
    """DERIVED: 20 m on 2 MHz: nothing of order 7 or less; harmonic 7 of 2 MHz needs order 8."""
    opened = planned("spur_chart", PLANS["20 m + 17 m"])
    assert "no line crosses" in opened.sentence
    opened.turn(order=9)
    assert "14000.0 kHz (harmonic 7 of the beat oscillator on 14 MHz)" in opened.sentence


def test_a_whistle_of_the_plan_is_taken_before_one_of_another(planned):
    own = planned("whistle_pitch", PLANS["40 m + 20 m"])
    assert "of another" not in own.sentence and "7159.1 kHz" in own.sentence
    assert "here is one of another scheme: 40 m and 20 m" in planned("whistle_pitch", {}).sentence


def test_the_hand_is_told_how_far_the_pitch_runs(planned):
    """DERIVED: about 2.8 kHz to a degree of the shaft, geared down eightfold, twice in the pitch."""
    opened = planned("spur_chart", PLANS["40 m + 20 m"])
    assert "for 1° of your knob" in opened.explanation or "° on your dial" not in opened.sentence


def test_names_change_places_with_what_they_name(planned):
    opened = planned("spur_chart", {})
    before = opened.panel.texts["names"]
    opened.turn(place=90)
    assert opened.panel.texts["names"] != before


@pytest.mark.parametrize("pair", ["20 m + 17 m", "17 m + 10 m"])
def test_the_nearest_line_is_in_the_picture(planned, pair):
    """Each line is where its product makes the IF: one of them at least is to be seen on either band."""
    opened = planned("spur_chart", PLANS[pair])
    for band in ("lower_band", "upper_band"):
        opened.turn(band=band)
        assert any(line.get_visible() for lines in opened.figure._lines.values() for line in lines)

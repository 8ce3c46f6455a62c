"""The third-band benches start from the plan, whatever it is, and say what stands in and why."""

from __future__ import annotations

import numpy as np
import pytest

from tests.any_plans import chessboard
from tests.workbench import settings_of

FIGURES = ("converter_steps", "third_dial", "converter_front", "crystal_whistles",
           "crystals_compared")
YES = {"third_band.wanted": "yes"}
FIFTEEN = {**YES, "third_band.name": "15 m", "third_band.low": 21e6, "third_band.high": 21.45e6,
           "converter.crystal": 25e6}
TEN = {**YES, "third_band.name": "10 m", "third_band.low": 28e6, "third_band.high": 29.7e6,
       "converter.crystal": 32e6}


def bands(lower, upper, intermediate, **more):
    """A plan's changes from two pairs of edges in MHz and an intermediate frequency in MHz."""
    keys = ("lower_band.low", "lower_band.high", "upper_band.low", "upper_band.high",
            "intermediate_frequency")
    return dict(zip(keys, (1e6 * f for f in (*lower, *upper, intermediate)))) | more


ODD_PLANS = {
    "20 m and 17 m": bands((14, 14.35), (18.068, 18.168), 2),
    "160 m and 30 m": bands((1.8, 2), (10.1, 10.15), 4.096),
    "17 m and 10 m": bands((18.068, 18.168), (28, 29.7), 5),
    "17 m and 10 m, read on 10 m": bands((18.068, 18.168), (28, 29.7), 5) | {
        "converter.main_band": "upper_band"},
    "80 m and 12 m": bands((3.5, 4), (24.89, 24.99), 10.7),
    "bands that share no oscillator": {"upper_band.injection": "high"},
    "15 m": FIFTEEN,
    "10 m": TEN,
    "a crystal that reaches nothing": {**YES, "converter.crystal": 9e6},
    "a crystal inside, not wanted": {"converter.crystal": 18.1e6},
    "a crystal on the band's edge": {"converter.crystal": 18.0679999e6},
    "read on the narrow band": {**YES, "converter.main_band": "upper_band"},
    "a band the receiver has": {**YES, "third_band.low": 3.6e6, "third_band.high": 3.7e6},
    "a third band a hertz wide": {**YES, "third_band.low": 18.1e6, "third_band.high": 18.100001e6},
    "bands a hertz wide": bands((3.5, 3.500001), (3.6, 3.600001), 0.05),
    "ends of the fields": bands((0.1, 0.11), (59, 60), 29.45, **YES) | {
        "third_band.low": 0.2e6, "third_band.high": 58e6, "converter.crystal": 150e6},
    "a low third band": {**YES, "third_band.low": 100e3, "third_band.high": 150e3,
                         "converter.crystal": 3.7e6},
    "many circuits": {"converter.loaded_q": 1000.0, "converter.circuits": 3},
    "a full drawer": {"crystals.drawer": tuple((14.3e6 + 1e3 * n, None) for n in range(40))},
    "markup for a name": {"lower_band.name": "<b>$\\frac{8}{0}$</b>", "upper_band.name": "x" * 80,
                          "third_band.name": "<i>$\\frac{1}{0}$</i>" + "y" * 40},
}


@pytest.mark.parametrize(("figure", "odd"), chessboard(FIGURES, ODD_PLANS))
def test_any_plan_opens_and_can_be_turned(planned, figure, odd):
    opened = planned(figure, ODD_PLANS[odd])
    assert opened.sentence.endswith(".") and opened.panel.frame
    for setting in settings_of(opened):
        opened.turn(**setting)
        for key in opened.controls:
            assert "could not follow" not in opened.fault(key), (setting, opened.fault(key))
    for drawn in (opened.panel.picture["svg"], opened.figure.still()):
        assert "<b>" not in drawn and "<i>" not in drawn


@pytest.mark.parametrize("odd, words", [
    ("160 m and 30 m", "Your plan wants no third band yet. A crystal on 20 MHz stands in."),
    ("20 m and 17 m", "15 m and a crystal on 35.4 MHz stand in."),
    ("a crystal that reaches nothing", "lands on 9.068 to 9.168 MHz, beyond the tunable range"),
    ("a band the receiver has", "The receiver tunes 17 m already, or a part of it"),
    ("bands a hertz wide", "stand"),
])
def test_what_stands_in_is_told(planned, odd, words):
    assert words in planned("third_dial", ODD_PLANS[odd]).sentence


def test_the_demo_lands_where_arithmetic_says(planned):
    """DERIVED: 18.1 − 14.31818 = 3.78182 MHz; high side, 3.2768 MHz more."""
    opened = planned("converter_steps", {})
    opened.type("signal", "18.1 MHz")
    assert opened.result.reading == pytest.approx(3.78182e6)
    assert opened.result.oscillator == pytest.approx(7.05862e6)
    assert "18.1000 MHz is read as 3.7818 MHz on the 80 m dial, which runs upwards" in (
        opened.sentence)
    assert opened.sentence.endswith("An upper sideband comes out inverted.")


def test_a_station_beyond_the_dial_is_told(planned):
    opened = planned("converter_steps", TEN)
    opened.type("signal", "29 MHz")
    assert "does not reach: only 29 % of 10 m is heard" in opened.sentence


def test_the_third_marks_stand_where_they_are_heard(planned):
    """DERIVED: each mark's place is 25 MHz less the number on it, so the numbers fall."""
    opened = planned("third_dial", FIFTEEN)
    figure = opened.figure
    places = figure._ticks.get_xdata().reshape(-1, 3)[:, 0]
    assert places == pytest.approx([25e6 - (21.45e6 - 50e3 * n) for n in range(10)][::-1])
    shown = [(label.get_position()[0], float(label.get_text()))
             for label in figure._numbers if label.get_visible()]
    assert len(shown) >= 5
    for place, number in shown:
        assert place == pytest.approx(25e6 - 1e6 * number)
    numbers = [number for _, number in sorted(shown)]
    assert numbers == sorted(numbers, reverse=True)


def test_sliding_the_crystal_slides_the_scale_by_as_much(planned):
    opened = planned("third_dial", {})
    before = opened.figure._ticks.get_xdata().copy()
    opened.turn(distance=opened.values["distance"] - 0.02e6)
    after = opened.figure._ticks.get_xdata()
    assert after == pytest.approx(before - 0.02e6, nan_ok=True)
    opened.turn(side="above")
    # The middle stays; what was left is now right.
    assert np.nanmean(opened.figure._ticks.get_xdata()) == pytest.approx(
        2 * opened.values["distance"] - np.nanmean(after), rel=1e-9)
    assert "running backwards" in opened.sentence


def test_no_crystal_is_left_below_a_low_band(planned):
    opened = planned("third_dial", ODD_PLANS["a low third band"])
    opened.turn(side="below")
    assert "choose the side above the band" in opened.fault("side")


def test_two_circuits_hold_down_twice_as_much(planned):
    opened = planned("converter_front", {})
    once = [row.rejection_db for row in opened.result.also_heard]
    opened.turn(circuits="2")
    assert [row.rejection_db for row in opened.result.also_heard] == pytest.approx(
        [2 * value for value in once])
    rows = opened.figure.rows(opened.result)
    # DERIVED: 2·14.31818 − 18.118 = 10.51836 MHz.
    assert rows[0][:3] == ["1", "the converter's image", "10.5184 MHz"]
    assert [row[0] for row in rows] == ["1", "2", "3", "4", "5", "6"]


def test_the_whistle_found_by_hand_is_in_the_picture(planned):
    """DERIVED: (25 − 3.2768)/3 − 3.2768 = 3.96427 MHz, heard on 21.03573 MHz."""
    opened = planned("crystal_whistles", {})
    assert "no whistle up to order 8" in opened.sentence
    opened.turn(band="15 m", side="above")
    opened.type("distance", "3.775 MHz")
    assert opened.figure.rows(opened.result)[0][:2] == ["21.0357 MHz", "3.9643 MHz"]
    tops = opened.figure._tops.get_xdata()
    assert min(abs(tops - (21.035733e6 - 21e6) / 0.45e6)) < 1e-5
    opened.turn(order="12")
    assert opened.result.plan.order == 12


def test_crystals_are_weighed_with_the_learners_drawer(planned):
    opened = planned("crystals_compared", {"crystals.drawer": ((14.4e6, "from a friend"),)})
    cells = opened.figure.rows(opened.result)
    assert [row[:2] for row in cells[:2]] == [["14.31818 MHz", "planned"],
                                              ["14.4 MHz", "in your drawer"]]
    assert opened.result.best.crystal == 14.4e6
    # Its harmonic 2 lies in 10 m (28 to 29.7 MHz), but it is itself outside 20 m.
    assert "harmonic 2 of the crystal lies inside 10 m" in cells[1][-1]
    assert "the crystal lies inside 20 m" in cells[0][-1]


def test_the_other_dial_and_another_band_can_be_tried(planned):
    opened = planned("crystals_compared", {})
    opened.turn(band="15 m")
    assert opened.result.offers[0].plan.converted.band_low == 21e6
    opened.turn(main="upper_band")
    assert opened.result.main_name == "30 m"
    assert {offer.plan.main.band_low for offer in opened.result.offers} == {10.1e6}
    assert "80 m" not in opened.controls["band"].options

"""The band-spread benches start from the plan, whatever it is, and say why where they cannot."""

from __future__ import annotations

import pytest

from rxlearn.compute.image_swapping import swap_bands
from rxlearn.compute.recentring import recentre
from tests.any_plans import chessboard
from tests.workbench import settings_of

PF = 1e-12
FIGURES = ("plate_laws", "spread_network", "spread_parts", "dial_rates", "switched_capacitor",
           "tracking", "drift")
ODD_PLANS = {
    "broadcast gang": {"tuning_capacitor.minimum": 15 * PF, "tuning_capacitor.maximum": 365 * PF},
    "too little swing": {"tuning_capacitor.maximum": 20 * PF},
    "no swing": {"tuning_capacitor.maximum": 5 * PF},
    "tiny coil": {"oscillator.inductance": 10e-9},
    "huge coil": {"oscillator.inductance": 10e-3},
    "strays alone fill it": {"oscillator.inductance": 40e-6},
    "another law": {"tuning_capacitor.law": "midline", "dial.degrees": 270.0},
    "short dial": {"dial.degrees": 30.0, "dial.reduction": 1.0, "dial.divisions": 1},
    "fine dial": {"dial.degrees": 360.0, "dial.reduction": 200.0, "dial.divisions": 1000},
    "even dial": {"band_spread.across": 100 * PF},
    "much across": {"band_spread.across": 1e-9},
    "both low": {"lower_band.injection": "low"},
    "both high": {"upper_band.injection": "high"},
    "lower band narrow": {"lower_band.low": 3.5e6, "lower_band.high": 3.52e6},
    "a band a hertz wide": {"upper_band.low": 10.1e6, "upper_band.high": 10.100001e6},
    "ends of the fields": {"lower_band.low": 100e3, "lower_band.high": 110e3,
                           "upper_band.low": 59e6, "upper_band.high": 60e6,
                           "intermediate_frequency": 29.45e6},
    "far drift": {"drift.coil": 500.0, "drift.capacitors": 500.0, "drift.compensator": "P2G"},
    "markup for a name": {"lower_band.name": "<b>$\\frac{8}{0}$</b>", "upper_band.name": "x" * 80},
}


@pytest.mark.parametrize(("figure", "odd"), chessboard(FIGURES, ODD_PLANS))
def test_any_plan_opens_and_can_be_turned(planned, figure, odd):
    opened = planned(figure, ODD_PLANS[odd])
    assert opened.sentence.endswith(".") and opened.panel.frame
    for setting in settings_of(opened):
        opened.turn(**setting)
        for key in opened.controls:
            assert "could not follow" not in opened.fault(key), (setting, opened.fault(key))
    assert "<b>" not in opened.panel.picture["svg"]


@pytest.mark.parametrize("odd, reason", [
    ("too little swing", "has only 10 pF: take a larger one"), ("no swing", "has no swing"),
    ("strays alone fill it", "choose a smaller coil"), ("huge coil", "choose a smaller coil"),
])
@pytest.mark.parametrize("figure", ["spread_network", "spread_parts", "dial_rates",
                                    "switched_capacitor", "drift"])
def test_a_plan_without_a_dial_is_met_with_its_reason(planned, figure, odd, reason):
    opened = planned(figure, ODD_PLANS[odd])
    assert opened.sentence.startswith("Your plan gives no dial to draw.")
    assert reason in opened.sentence and "The demo receiver stands in." in opened.sentence


def test_the_network_starts_with_the_wider_bands_dial_and_can_be_spread(planned):
    opened = planned("spread_network", {})
    assert opened.result.share < 0.2
    opened.type("series", "12.196 pF")
    opened.type("parallel", "273.51 pF")
    assert opened.result.share > 0.99
    assert opened.result.coverage.span == pytest.approx(50e3, rel=1e-3)


def test_what_is_short_is_told_where_it_is_typed(planned):
    opened = planned("spread_parts", {})
    opened.turn(margin=50e3)
    assert "the whole band with 50.0 kHz to spare" in opened.figure.texts()[0]
    opened.type("across", "1 nF")
    assert "above what is allowed" in opened.fault("across")


def test_the_other_bands_middle_asks_for_what_recentring_computes(planned):
    """The same capacitor by the way of the last lesson."""
    scheme = swap_bands(3.5e6, 4.0e6, 10.1e6, 10.15e6, 3.2768e6)
    opened = planned("switched_capacitor", {})
    opened.turn(target="band")
    assert opened.result.wanted == pytest.approx(recentre(scheme, 1.83e-6).capacitance, rel=1e-6)


def test_the_demos_time_station_takes_five_picofarads(planned):
    opened = planned("switched_capacitor", {})
    assert opened.result.place is None
    opened.turn(switched=4.9 * PF)
    assert opened.result.place == pytest.approx(0, abs=2)


def test_the_mark_stands_where_the_dial_is_on_that_frequency(planned):
    """DERIVED: the node's points against cos and sin of the share of the turn."""
    import numpy as np

    opened = planned("spread_network", {})
    result = opened.result
    axes = opened.figure._major.axes
    xy = opened.figure._major.get_xydata().reshape(-1, 3, 2)
    network = result.coverage.network
    assert len(xy) == len(result.major) >= 5
    for frequency, stroke in zip(result.major, xy):
        share = network.angle_for(frequency - 3.2768e6) / 180
        assert stroke[1] == pytest.approx(
            [-np.cos(np.pi * share), np.sin(np.pi * share)], abs=1e-6)
    assert axes.get_xlim()[0] < -1 and axes.get_ylim()[1] > 1.1

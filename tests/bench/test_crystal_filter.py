"""The crystal filter's benches follow the plan, whatever it is, and say why where they cannot."""

from __future__ import annotations

import re

import pytest

from rxlearn.compute.crystal import typical_crystal
from tests.any_plans import PLANS, chessboard
from tests.workbench import settings_of

FIGURES = ("crystal_resonance", "crystal_ladder", "beat_and_filter", "crystal_fixture")
ODD = {
    **{name: PLANS[name] for name in ("demo", "80 m and 12 m", "very wide", "lowest", "far apart")},
    "two narrow": {"crystal_filter.crystals": 2, "crystal_filter.width": 10.0,
                   "crystal_filter.kind": "butterworth"},
    "eight wide": {"crystal_filter.crystals": 8, "crystal_filter.width": 100e3,
                   "crystal_filter.kind": "alike"},
    "measured": {"crystal_filter.figures": "measured", "crystal_filter.inductance": 0.06,
                 "crystal_filter.resistance": 90.0, "crystal_filter.capacitance": 7e-12},
    "no quartz": {"crystal_filter.figures": "measured", "crystal_filter.inductance": 100e-6},
    "dull quartz": {"crystal_filter.figures": "measured", "crystal_filter.resistance": 200e3},
}
OWN_LIMITS = ("make no ladder", "lose too much for a ladder", "move them nearer to the peak")
"""What a knob may ask of crystals that they cannot do, as it is then said."""


@pytest.mark.parametrize(("figure", "odd"), chessboard(FIGURES, ODD))
def test_any_plan_opens_and_can_be_turned(planned, figure, odd):
    opened = planned(figure, ODD[odd])
    assert opened.sentence.endswith(".") and opened.panel.frame
    for setting in settings_of(opened, drawn=3):
        opened.turn(**setting)
        said = " ".join([opened.sentence, opened.explanation, *opened.figure.texts()])
        assert not re.search(r"\bnan\b|not a number|\bNone\b|infinite|\d[eE][+-]?\d", said), said
        for key in opened.controls:
            fault = opened.fault(key)
            assert not fault or any(words in fault for words in OWN_LIMITS), (setting, fault)
    opened.close()


@pytest.mark.parametrize("odd", ["no quartz", "dull quartz"])
@pytest.mark.parametrize("figure", FIGURES)
def test_what_makes_no_filter_is_met_with_the_reason(planned, figure, odd):
    opened = planned(figure, ODD[odd])
    assert opened.sentence.startswith("Your plan gives no crystal filter to draw. ")
    assert "The demo receiver stands in." in opened.sentence
    opened.close()


def test_the_plans_own_crystals_width_and_number_are_drawn(planned):
    own = {"crystal_filter.crystals": 5, "crystal_filter.width": 1800.0,
           "crystal_filter.kind": "butterworth", "intermediate_frequency": 4.096e6}
    opened = planned("crystal_ladder", own)
    design = opened.result.design
    assert len(design.ladder.crystals) == 5 and design.wanted == pytest.approx(1800, abs=20)
    assert "Your plan wants" not in opened.sentence
    assert design.prototype.kind == "butterworth"
    assert design.crystal.motional_inductance == typical_crystal(4.096e6).motional_inductance
    assert planned("beat_and_filter", own).result.crystals == 5
    measured = planned("crystal_fixture", ODD["measured"]).result.crystal
    assert measured.parallel_capacitance == 7e-12


def test_a_width_that_cannot_be_is_said(planned):
    sentence = planned("crystal_ladder", PLANS["very wide"]).sentence
    assert sentence.startswith("Your plan wants 2.4 kHz; 4 of its crystals make ")


def test_what_is_heard_is_what_is_drawn(planned):
    opened = planned("beat_and_filter", {})
    opened.turn(beat=opened.controls["beat"].high - 1000)
    heard = opened._hearing.render(opened.result)
    assert heard.levels_db == pytest.approx((opened.result.upper_db, opened.result.lower_db), abs=0.5)
    assert heard.pitches == pytest.approx((700, 700))
    assert f"{-opened.result.upper_db:.0f} dB down" in opened._hearing.say(opened.result)
    opened.close()

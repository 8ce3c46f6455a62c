"""Rules across the fields: what no receiver of this kind can do without, each told once."""

import re

import pytest

from rxlearn.plan import rules
from rxlearn.plan.document import Change, Plan, PlanFault
from rxlearn.plan.fields import FIELDS

DEMO = {key: row.demo for key, row in FIELDS.items()}


def test_the_demo_plan_breaks_none():
    assert rules.faults(DEMO) == []


@pytest.mark.parametrize("changes, says", [
    ({"lower_band.low": 4.0e6}, ["make the low edge the lower one"]),
    ({"upper_band.low": 10.2e6}, ["make the low edge the lower one"]),
    ({"lower_band.low": 5e6, "upper_band.high": 10e6}, ["lower band \\(80 m\\)", "upper band"]),
    ({"lower_band.high": 10.1e6}, ["exchange the two"]),
    ({"upper_band.low": 1e6, "upper_band.high": 2e6},
     ["exchange the two", "Low-side injection on the upper"]),
    ({"intermediate_frequency": 3.5e6}, ["inside the lower band"]),
    ({"intermediate_frequency": 4.0e6}, ["inside the lower band"]),
    ({"intermediate_frequency": 10.12e6},
     ["inside the upper band", "Low-side injection on the upper"]),
    ({"intermediate_frequency": 10.7e6}, ["Low-side injection on the upper"]),
    ({"lower_band.injection": "low", "intermediate_frequency": 5e6}, ["Low-side .* lower band"]),
])
def test_each_broken_rule_is_one_sentence(changes, says):
    found = rules.faults(DEMO | changes)
    assert len(found) == len(says)
    for sentence, part in zip(found, says, strict=True):
        assert re.search(part, sentence)
        assert sentence.endswith(".")
    with pytest.raises(PlanFault) as caught:
        Plan.demo().changed(
            {key: Change(value=at, status="wished", origin="x") for key, at in changes.items()})
    assert list(caught.value.sentences) == found


@pytest.mark.parametrize("changes", [
    {"intermediate_frequency": 3.499e6}, {"intermediate_frequency": 455e3},
    {"intermediate_frequency": 4.1e6}, {"lower_band.high": 10.0e6},
    {"intermediate_frequency": 20e6, "upper_band.injection": "high"},
])
def test_a_weak_scheme_is_not_refused(changes):
    assert rules.faults(DEMO | changes) == []


# Pairs that a newcomer may plan: low and high band edges and crystal, MHz (arithmetic only).
PAIRS = [
    (14.0, 14.35, 18.068, 18.168, 2.0), (10.1, 10.15, 18.068, 18.168, 4.0),
    (10.1, 10.15, 14.0, 14.35, 2.048), (1.8, 2.0, 10.1, 10.15, 4.096),
    (7.0, 7.3, 14.0, 14.35, 3.579545), (3.5, 4.0, 24.89, 24.99, 10.7),
    (18.068, 18.168, 28.0, 29.7, 5.0),
]


@pytest.mark.parametrize("pair", PAIRS)
def test_other_pairs_of_bands_can_be_planned(pair):
    keys = ("lower_band.low", "lower_band.high", "upper_band.low", "upper_band.high",
            "intermediate_frequency")
    plan = Plan.demo().changed({
        key: Change(value=at * 1e6, status="wished", origin="x")
        for key, at in zip(keys, pair, strict=True)
    })
    assert plan.value("intermediate_frequency") == pair[-1] * 1e6

"""Answers on the crystal filter by hand, and its worked example with any plan."""

from __future__ import annotations

import math
import re

import pytest

from rxlearn.exercises.registry import find
from rxlearn.exercises.worked_examples import worked_steps
from rxlearn.plan.document import Plan
from tests.any_plans import PLANS
from tests.exercises.test_coils_answers import plan_of

PF, FF = 1e-12, 1e-15


# Worked by hand from the circuit of IEC 60122-1: DERIVED.
@pytest.mark.parametrize(("key", "numbers", "answer"), [
    # 4 MHz × 13 fF / (2 × 24 pF) = 1083.3 Hz below the marking
    ("crystal.marked", {"marked": 4e6, "motional": 13 * FF, "across": 4 * PF, "load": 20 * PF},
     4e6 - 1083.3),
    # (25 Ω + 35 Ω) / (2π × 80 Hz) = 119.37 mH
    ("crystal.fixture", {"frequency": 4e6, "width": 80.0, "loop": 25.0, "own": 35.0}, 0.11937),
    # 3.2768 MHz × 12 fF / (2 × 3.3 pF) = 5957.8 Hz, by the root itself 5952.4 Hz
    ("crystal.room", {"own": True, "frequency": 3.2768e6, "motional": 12 * FF, "across": 3.3 * PF},
     3.2768e6 * (math.sqrt(1 + 12 / 3300) - 1)),
    ("crystal.shape", {"narrow": 2400.0, "wide": 4800.0}, 2.0),
    ("crystal.again", {"own": True, "intermediate": 4e6, "beat": 4.0015e6, "station": 4.0008e6},
     4.0022e6),
    ("crystal.place", {"own": True, "frequency": 4e6, "low": 4.0005e6, "high": 4.0029e6}, 4.0032e6),
])
def test_by_hand(key, numbers, answer):
    assert find(key).answer(numbers) == pytest.approx(answer, rel=2e-6 if answer > 1e5 else 1e-3, abs=0)


def test_the_choices_are_found_by_trying():
    assert find("crystal.voice").answer({}) == "six"
    assert find("crystal.ripple").answer({"percent": 25}) == "ends"
    assert find("crystal.single").answer({"pitch": 700}) == "slope"
    assert {find("crystal.alike").answer({"bag": bag, "step": 1}) for bag in range(3)} == {"run"}


# 0.197 H: the demo's typical crystal; X = 2π × w × L with w near the width, at most its spacing.
def test_the_demos_filter_is_worked_to_the_end():
    steps = worked_steps("crystal_filter", Plan.demo())
    assert len(steps) >= 9 and not steps[-1].startswith("Here it stops")
    assert "5.95" in steps[1] and steps[1].endswith("parallel resonance.")
    said = " ".join(steps)
    assert "beat oscillator belongs above" in said and "beat oscillator belongs below" in said


@pytest.mark.parametrize("name", ["40 m and 20 m", "80 m and 12 m", "lowest", "very wide", "far apart",
                                  "both high"])
def test_any_plan_is_worked_or_ends_with_the_reason(name):
    steps = worked_steps("crystal_filter", plan_of(PLANS[name]))
    assert not re.search(r"\bnan\b|\bNone\b|infinite|\d[eE][+-]?\d", " ".join(steps)), steps
    assert all(step.endswith(".") for step in steps) and len(steps) >= 2

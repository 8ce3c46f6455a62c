"""Answers on tolerances against arithmetic written out; the expected numbers use no rxlearn."""

import math

import numpy as np
import pytest

from rxlearn.exercises import registry
from rxlearn.exercises.tolerances_numbers import parts
from rxlearn.exercises.worked_examples import worked_steps
from rxlearn.plan.document import Change, Plan

PF = 1e-12


def answer(key, **numbers):
    return registry.find(key).answer(numbers)


def truth(key):
    return registry.find_prediction(key).truth()


def test_coil():
    """DERIVED: f·(1 − 1/√1.02) for 2 %, at 25330.3/(1.83·6.7768²) = 301.4 pF."""
    total = 25330.3 / 1.83 / 6.7768**2 * PF
    value = answer("tolerance.coil", low=6.7768e6, inductance=1.83e-6, total=total, tolerance=0.02)
    assert value == pytest.approx(6.7768e6 * (1 - 1 / math.sqrt(1.02)), rel=1e-3, abs=0)


def test_reach():
    """DERIVED: LC stays the same: C/0.98 less C/1.02."""
    value = answer("tolerance.reach", total=300 * PF, tolerance=0.02)
    assert value == pytest.approx(300 * PF * (1 / 0.98 - 1 / 1.02), rel=1e-9, abs=0)


def test_root_and_share_and_error():
    """JCGM 100:2008 (GUM) 5.1.2; the binomial share's √(p(1−p)/N), any statistics text."""
    assert answer("tolerance.root", count=4.0, each=47 * PF, tolerance=0.05) == pytest.approx(
        math.sqrt(4 * (47 * PF * 0.05) ** 2), rel=1e-9, abs=0)
    assert answer("tolerance.share", coil=6 * PF, fixed=8 * PF) == pytest.approx(64.0, rel=1e-6, abs=0)
    assert answer("tolerance.error", count=400.0, share=0.8) == pytest.approx(2.0, rel=1e-6, abs=0)


@pytest.mark.parametrize("origin, expected", [("reel", "same"), ("apart", "cancels"),
                                              ("large", "one")])
def test_reel(origin, expected):
    assert answer("tolerance.reel", count=3.0, each=110 * PF, tolerance=0.05,
                  origin=origin) == expected


def test_money():
    """DERIVED from picofarads: 5 % of 221 pF is 11; a coil of 5 % is worth 15 of 301 pF."""
    for coil, output, expected in ((0.02, "trimmer", "fixed"), (0.05, "trimmer", "coil"),
                                   (0.02, "dial width", "variable")):
        assert answer("tolerance.money", coil=coil, parts=0.05, output=output) == expected


def test_room_by_plain_chance():
    """Independent route: pseudo-random draws of the demo's parts, trimmed at the low end."""
    random, count, low = np.random.default_rng(2), 40_000, 6.7768e6
    trimmer = 3 * PF, 30 * PF

    def share(room, tolerance):
        start, end = low - room / 2 * 500e3, 7.2768e6
        span = 500e3 * (1 + room)
        coil = (1 / (2 * math.pi * start) ** 2 - 1 / (2 * math.pi * (start + span)) ** 2) / (40 * PF)
        coil = max(coil, 1.83e-6)
        fixed = 1 / ((2 * math.pi * (start + span)) ** 2 * coil) - (16.5 + 10 + 8 + 6) * PF

        def drawn(nominal, by):
            return nominal * (1 + by * random.uniform(-1, 1, count))

        own, swing = drawn(10 * PF, tolerance), drawn(40 * PF, tolerance)
        coils = drawn(coil, 0.02)
        rest = drawn(fixed, 0.05) + drawn(8 * PF, 0.25) + drawn(6 * PF, 0.25) + own
        needed = 1 / ((2 * math.pi * start) ** 2 * coils) - rest - swing
        rest = rest + np.clip(needed, *trimmer)
        ends = [1 / (2 * math.pi * np.sqrt(coils * (rest + more))) for more in (swing, 0.0)]
        return np.mean((ends[0] <= low) & (ends[1] >= end))

    for tolerance, expected in ((0.02, "little"), (0.05, "some"), (0.08, "much")):
        enough = next(room for room in range(51) if share(room / 100, tolerance) >= 0.9)
        named = "little" if enough < 8 else "some" if enough < 14 else "much"
        demo = {**parts(None), "tolerance.variable": 100 * tolerance}
        assert answer("tolerance.room", **demo) == named == expected


def test_predictions():
    assert truth("tolerance.predict_half") == pytest.approx(50, abs=4)  # by symmetry
    # Eight uniform parts: σ = 5 %/√24, and 99 % of a normal law lies within 2.576 σ.
    assert truth("tolerance.predict_sum") == pytest.approx(5 / math.sqrt(24) * 2.576, rel=0.05, abs=0)
    assert truth("tolerance.predict_trimmer") == "fixed"  # 11 pF against 6, 2.5 and 3.5
    assert truth("tolerance.predict_part") == "variable"
    # Coil ± 30 ppm/°C, the rest about ± 30: half of it, 7 MHz, 15 °C: some kilohertz.
    assert truth("tolerance.predict_warm") == "more"


def test_worked_example():
    steps = worked_steps("tolerances", Plan.demo())
    words = " ".join(steps)
    assert "wants 301 pF in all" in words and "± 6.03 pF" in words
    # DERIVED: 6.03 + 11.05 + 2.5 + 3.5, and the root of their squares.
    assert "Added up as they are: ± 23.1 pF" in words and "root of the squares: ± 13.3 pF" in words
    assert "Pay for the tuning capacitor's swing" in words and "90 of 100 it takes" in words
    assert len(steps) >= 7


def test_worked_example_of_another_plan_and_of_one_that_cannot_be_built():
    def plan(**changes):
        return Plan.demo().changed({key: Change(value=value, status="wished", origin="test")
                                    for key, value in changes.items()})

    other = worked_steps("tolerances", plan(**{
        "lower_band.name": "20 m", "lower_band.low": 14.0e6, "lower_band.high": 14.35e6,
        "upper_band.name": "17 m", "upper_band.low": 18.068e6, "upper_band.high": 18.168e6,
        "intermediate_frequency": 2.0e6, "band_spread.series": 3.3 * PF}))
    assert any("20 m is 350 kHz wide" in step for step in other)
    assert any("17 m, with a network and a trimmer of its own" in step for step in other)
    stopped = worked_steps("tolerances", plan(**{"trimmer.low": 50 * PF}))
    assert len(stopped) == 1 and stopped[0].startswith("Here it stops: Trimmer from 50 pF")

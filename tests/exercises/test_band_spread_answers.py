"""Answers on band spread against arithmetic written out; the expected numbers use no rxlearn."""

import math

import pytest

from rxlearn.exercises import registry
from rxlearn.exercises.worked_examples import worked_steps
from rxlearn.plan.document import Change, Plan

PF = 1e-12


def answer(key, **numbers):
    return registry.find(key).answer(numbers)


def truth(key):
    return registry.find_prediction(key).truth()


def total(megahertz):
    """The trade's constant 25330.3 (µH, pF, MHz), Terman; the demo's coil of 1.83 µH."""
    return 25330.3 / 1.83 / megahertz**2 * PF


def test_swing():
    value = answer("spread.swing", low=6.8232e6, high=6.8732e6, inductance=1.83e-6)
    assert value == pytest.approx(total(6.8232) - total(6.8732), rel=1e-3, abs=0)


def test_series():
    """DERIVED: 365 behind 365 is 182.5 pF, 15 behind 365 is 14.408 pF."""
    assert answer("spread.series", least=15 * PF, most=365 * PF, series=365 * PF) == pytest.approx(
        (182.5 - 15 * 365 / 380) * PF, rel=1e-6, abs=0)


def test_stand_in():
    """DERIVED: the root of 310·x² − 15200·x − 219000 = 0, in pF, for a swing of 40 pF."""
    root = (15200 + math.sqrt(15200**2 + 4 * 310 * 219000)) / 620
    assert answer("spread.stand_in", least=15 * PF, most=365 * PF, swing=40 * PF) == pytest.approx(
        root * PF, rel=1e-9, abs=0)


def test_dial():
    """DERIVED: half a turn of the shaft is four of the knob; 50 kHz / 4."""
    numbers = dict(band_low=10.1e6, band_high=10.15e6, degrees=180.0, reduction=8.0)
    assert answer("spread.per_turn", **numbers) == pytest.approx(12.5e3, rel=1e-6, abs=0)
    assert answer("spread.reduction", span=90e3, degrees=180.0, needed=50.0) == pytest.approx(10, rel=1e-6, abs=0)


def test_rounding():
    """DERIVED: 7 MHz·(1/√0.98 − 1) for 4 of 200 pF."""
    value = answer("spread.rounding", frequency=7e6, total=200 * PF, less=4 * PF)
    assert value == pytest.approx(7e6 * (1 / math.sqrt(0.98) - 1), rel=1e-9, abs=0)


def test_switched():
    value = answer(
        "spread.switched", low=6.7768e6, high=7.2768e6, down=53.6e3, inductance=1.83e-6)
    assert value == pytest.approx(total(6.7232) - total(6.7768), rel=1e-3, abs=0)


def test_drift_and_compensation():
    """DERIVED: half of 80 ppm of 7 MHz is 280 Hz/°C; x = 80/780."""
    assert answer("spread.drift", frequency=7e6, coil=50.0, capacitors=30.0, rise=10.0) == (
        pytest.approx(2800, rel=1e-6, abs=0))
    value = answer("spread.compensator", total=295 * PF, coil=50.0, rest=30.0, kind=-750.0)
    assert value == pytest.approx(80 / 780 * 295 * PF, rel=1e-6, abs=0)


def test_choices():
    assert answer("spread.law") == "capacitance"
    assert answer("spread.crowded") == "across"
    assert answer("spread.tracking") == "three"


def test_predictions():
    """DERIVED: (1/√30 − 1/√50)/(1/√10 − 1/√50); halves and eighths as the prompts say."""
    share = (30**-0.5 - 50**-0.5) / (10**-0.5 - 50**-0.5)
    assert truth("spread.predict_half_turn") == pytest.approx(100 * share, rel=1e-9, abs=0)
    assert truth("spread.predict_series") == "up"
    # 330 pF for 287.5 pF in a tank of 297.3 pF.
    low = 6.8232e6 * (1 - math.sqrt(297.31 / (297.31 + 330 - 287.51)))
    assert truth("spread.predict_rounding") == pytest.approx(low, rel=1e-3, abs=0)
    assert truth("spread.predict_hand") == pytest.approx(500e3 / 180 / 8, rel=0.01, abs=0)
    more = total(6.7232) - total(6.7768)
    assert truth("spread.predict_switched") == pytest.approx(more, rel=2e-3, abs=0)
    assert truth("spread.predict_tracking") == "low"
    assert truth("spread.predict_drift") == pytest.approx(40e-6 * 15 * 7.02e6, rel=2e-3, abs=0)


def test_the_worked_example_works_the_demo():
    steps = worked_steps("band_spread", Plan.demo())
    text = " ".join(steps)
    # DERIVED as above: 4.31 pF, of 40; 12.5 kHz a turn, 125 Hz a division.
    for part in ("6.8232 MHz to 6.8732 MHz", "a swing of 4.31 pF", "Behind 12.2 pF",
                 "13 pF in series and 270 pF across", "4 turns of the knob: 12.5 kHz to a turn",
                 "125 Hz to one of 100 divisions", "-281 Hz per °C"):
        assert part in text
    assert "Here it stops" not in text


@pytest.mark.parametrize("key, value", [
    ("tuning_capacitor.maximum", 11 * PF), ("tuning_capacitor.maximum", 5 * PF),
    ("oscillator.inductance", 40e-6), ("oscillator.inductance", 10e-3),
])
def test_a_plan_that_cannot_work_ends_with_the_reason(key, value):
    plan = Plan.demo().changed({key: Change(value=value, status="wished", origin="a test")})
    steps = worked_steps("band_spread", plan)
    assert steps[-1].startswith("Here it stops: ") and steps[-1].endswith(".")

"""The dial and its networks as they follow from the plan, by arithmetic written out here."""

import math

import pytest

from rxlearn.compute.band_spread import cover
from rxlearn.compute.quantities import Unclear
from rxlearn.plan.band_spread import bought, fitted, narrow_band, solved
from rxlearn.plan.consequences import derive
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.proposals import proposal

PF = 1e-12


def changed(**values):
    return Plan.demo().changed({
        key.replace("__", "."): Change(value=at, status="wished", origin="a test")
        for key, at in values.items()
    })


def total(frequency):
    """DERIVED from f = 1/(2π√(LC)) with the demo's 1.83 µH."""
    return 1 / ((2 * math.pi * frequency) ** 2 * 1.83e-6)


def test_the_demo_networks():
    wide, narrow = (solved(Plan.demo(), f"{band}_band") for band in ("lower", "upper"))
    assert narrow_band(Plan.demo()) == "upper_band"
    # The coil is rounded so that the swing wanted is 39.996 pF: no series capacitor is worth it.
    assert wide.series is None
    assert wide.parallel == pytest.approx(total(7.2768e6) - 24 * PF, rel=1e-9, abs=0)
    behind = narrow.series * 50 * PF / (narrow.series + 50 * PF)
    assert narrow.parallel + behind + 14 * PF == pytest.approx(total(6.8232e6), rel=1e-9, abs=0)


def test_the_rows_of_the_demo():
    """DERIVED by hand: 500 and 50 kHz over four turns of a hundred divisions."""
    text = {label: row.text for label, row in derive(Plan.demo()).items()}
    assert text["Tuning capacitor, swing"] == "40 pF, as planned"
    assert text["Wider band, one turn of the knob"] == "125 kHz on average, 1.25 kHz a division"
    assert text["Narrower band, one turn of the knob"] == "12.5 kHz on average, 125 Hz a division"
    assert text["Narrower band, capacitors that make it fill the dial"].startswith("12.2 pF in")
    assert text["Narrower band, oscillator with your band-spread capacitors"] == "none fitted yet"
    # -(50 + 30)/2 ppm of some 7.02 MHz.
    assert text["Oscillator, drift"] == "-281 Hz per °C"


def test_what_is_proposed_covers_the_band_when_it_is_fitted():
    plan = Plan.demo()
    proposed = {row.key: row.value for row in proposal("band_spread", plan)}
    # 12.2 pF fills the dial; 13 pF is the next of E24 (IEC 60063) that is not smaller.
    assert proposed["band_spread.series"] == 13 * PF
    kept = changed(**{key.replace(".", "__"): proposed[key]
                      for key in ("band_spread.series", "band_spread.parallel")})
    found = cover(fitted(kept))
    # DERIVED: the swing behind it is 13/12.2 to the power of nearly 1.2 times as large, so is the
    # span; the middle is trimmed to within 0.1 pF.
    assert (found.low + found.high) / 2 == pytest.approx(6.8482e6, abs=1.2e3)
    assert found.low < 6.8232e6 and found.high > 6.8732e6
    assert found.span == pytest.approx(54e3, rel=0.03, abs=0)
    row = derive(kept)["Narrower band, oscillator with your band-spread capacitors"]
    assert "the whole band" in row.text


def test_a_larger_capacitor_is_told_what_narrows_it():
    row = derive(changed(tuning_capacitor__maximum=365 * PF))["Tuning capacitor, swing"]
    # DERIVED: x·365/(x + 365) − x·10/(x + 10) = 40 has the root x = 55.91 (pF).
    x = 55.91
    assert x * 365 / (x + 365) - x * 10 / (x + 10) == pytest.approx(40, abs=0.02)
    assert row.text == "355 pF where 40 pF is planned; 55.9 pF in series would leave that"


@pytest.mark.parametrize("values", [
    dict(tuning_capacitor__maximum=20 * PF), dict(tuning_capacitor__maximum=5 * PF),
    dict(oscillator__inductance=10e-3), dict(oscillator__inductance=40e-6),
    dict(intermediate_frequency=20e6, upper_band__injection="high"),
])
def test_a_plan_that_cannot_work_is_met_with_a_reason(values):
    plan = changed(**values)
    rows = derive(plan)
    if "intermediate_frequency" not in values:
        assert not rows["Wider band, capacitors that make it fill the dial"].possible
        with pytest.raises(Unclear):
            solved(plan, "lower_band")
    for row in rows.values():
        assert row.possible or row.text.endswith(".")
    for row in proposal("band_spread", plan):
        assert row.value is not None


def test_the_narrower_band_is_spread_whichever_it_is():
    plan = changed(lower_band__low=3.5e6, lower_band__high=3.52e6)
    assert narrow_band(plan) == "lower_band"
    # With 1 % of room at either end.
    assert bought(plan).exact.span == pytest.approx(20.4e3, rel=1e-6, abs=0)


def test_the_compensating_capacitor_leaves_little():
    proposed = {row.key: row.value for row in proposal("band_spread", Plan.demo())}
    fitted_in = proposed["drift.compensating_capacitance"]
    assert fitted_in == 27 * PF  # 80/780 of 281 pF is 28.9 pF
    row = derive(changed(drift__compensating_capacitance=fitted_in))["Oscillator, drift"]
    assert row.text.startswith("-18") and row.text.endswith("Hz per °C")

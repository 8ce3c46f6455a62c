"""Readings in the plan: fits, what they change, and the dial that is printed then."""

import numpy as np
import pytest

from rxlearn.compute.quantities import Unclear
from rxlearn.plan.band_spread import offset_of, solved
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.measured import (
    adjustment,
    dial_network,
    dial_readings,
    measured_changes,
    measured_dial,
    supply_readings,
)


def with_rows(key, rows, plan=None):
    return (plan or Plan.demo()).changed({
        key: Change(value=rows, status="measured", origin="test")})


def bench(plan, band, *, stretch=1.0, heard="oscillator", count=9):
    """Readings of a dial whose frequencies all stand off by ``stretch``."""
    network = solved(plan, f"{band}_band")
    shift = offset_of(plan, f"{band}_band") if heard == "signal" else 0.0
    return tuple(
        (band, float(angle), heard, float(network.frequency_at(angle)) * stretch + shift, 50.0)
        for angle in np.linspace(0, 180, count)
    )


def resonance(inductance, capacitance):
    return 1 / (2 * np.pi * np.sqrt(inductance * capacitance))


def test_without_readings_the_dial_is_the_plan_s():
    plan = Plan.demo()
    assert dial_network(plan, "lower_band") == solved(plan, "lower_band")
    assert measured_changes(plan) == {}


def test_a_measured_dial_is_the_one_that_is_printed():
    plan = with_rows("measured.dial", bench(Plan.demo(), "lower", stretch=1.004))
    found, planned = dial_network(plan, "lower_band"), solved(plan, "lower_band")
    angles = np.linspace(0, 180, 19)
    assert found.frequency_at(angles) == pytest.approx(1.004 * planned.frequency_at(angles), rel=1e-6, abs=0)
    # The other band has no readings and stays as planned.
    assert dial_network(plan, "upper_band") == solved(plan, "upper_band")


def test_signals_from_the_air_serve_as_well_as_a_counter():
    demo = Plan.demo()
    by_air = with_rows("measured.dial", bench(demo, "upper", heard="signal"))
    by_counter = with_rows("measured.dial", bench(demo, "upper"))
    frequencies = [[r.frequency for r in dial_readings(p, "upper_band")] for p in (by_air, by_counter)]
    assert frequencies[0] == pytest.approx(frequencies[1], rel=1e-12, abs=0)


def test_too_few_readings_are_no_reason_to_print_another_dial():
    plan = with_rows("measured.dial", bench(Plan.demo(), "lower")[:3])
    with pytest.raises(Unclear, match="at least four"):
        dial_network(plan, "lower_band")


def test_the_adjustment_names_core_and_trimmer_on_the_wider_band_only():
    # DERIVED: all frequencies 0.4 % high on the same variable is a coil 0.8 % small.
    plan = with_rows("measured.dial", bench(Plan.demo(), "lower", stretch=1.004))
    found = adjustment(plan, "lower_band")
    assert found.inductance_change == pytest.approx(1.004**2 - 1, rel=0.05, abs=0)
    plan = with_rows("measured.dial", bench(Plan.demo(), "upper", stretch=1.002))
    found = adjustment(plan, "upper_band")
    assert found.inductance_change == 0 and found.capacitance_change > 0
    assert "Close the trimmer" in found.says()[0]


def test_a_measured_coil_goes_into_the_plan_with_its_uncertainty():
    rows = tuple((c, float(resonance(1.75e-6, c + 9e-12)), 1e3) for c in (47e-12, 100e-12, 330e-12))
    plan = with_rows("measured.coil", rows)
    change = measured_changes(plan)["oscillator.inductance"]
    assert change.value == pytest.approx(1.75e-6, rel=1e-3, abs=0) and change.status == "measured"
    assert 0 < change.uncertainty < 0.05e-6
    again = Plan.from_text(plan.changed({"oscillator.inductance": change}).to_text())
    assert again.entry("oscillator.inductance").uncertainty == pytest.approx(change.uncertainty, rel=1e-6, abs=0)


def test_supply_voltages_stand_beside_what_the_plan_expects_at_that_mains():
    plan = with_rows("measured.supply", (
        ("second", 289.0, None), ("second", 318.0, 110.0), ("first", 200.0, None),
        ("heater", 6.2, None)))
    nominal, high, low, heater = supply_readings(plan)
    assert nominal.as_expected and high.as_expected and heater.as_expected
    assert high.expected > 1.08 * nominal.expected
    assert not low.as_expected and low.off < -0.3


def test_a_dial_of_two_laws_says_which_it_is():
    assert measured_dial(with_rows("measured.dial", bench(Plan.demo(), "lower")),
                         "lower_band").law == "capacitance"


def test_a_coil_measured_a_little_small_leaves_the_measured_dial_in_force():
    plan = with_rows("measured.dial", bench(Plan.demo(), "lower"))
    plan = plan.changed({"oscillator.inductance": Change(
        value=1.80e-6, status="measured", origin="test", uncertainty=0.01e-6)})
    found, truth = dial_network(plan, "lower_band"), solved(Plan.demo(), "lower_band")
    angles = np.linspace(0, 180, 19)
    assert found.frequency_at(angles) == pytest.approx(truth.frequency_at(angles), rel=1e-6, abs=0)

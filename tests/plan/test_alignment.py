"""First power and alignment: in order, each step with what the plan expects."""

import pytest

from rxlearn.compute.quantities import Unclear, parse
from rxlearn.plan.alignment import alignment_steps, can_be_aligned, first_power_steps
from rxlearn.plan.document import Change, Plan


def changed(**values):
    return Plan.demo().changed({
        key.replace("__", "."): Change(value=value, status="wished", origin="test")
        for key, value in values.items()
    })


def test_the_demo_s_readings_are_the_scenario_s():
    expected = [step.expect for step in alignment_steps(Plan.demo())]
    # DERIVED: 3.2768 MHz ± 1.5 kHz, the side by the sideband's inversion; then the oscillator's
    # range, whose low end the demo's coil reaches to its four digits.
    assert expected[:2] == ["3.2783 MHz", "3.2753 MHz"]
    assert parse(expected[2], "Hz") == pytest.approx(6.7768e6, abs=100)
    assert expected[3:6] == ["7.2768 MHz", "6.8232 MHz", "6.8732 MHz"]


def test_what_later_steps_build_on_comes_first():
    texts = [step.text for step in alignment_steps(Plan.demo())]
    firsts = [next(n for n, text in enumerate(texts) if word in text)
              for word in ("beat oscillator", "coil's core", "parallel trimmer", "preselector")]
    assert firsts == sorted(firsts)


@pytest.mark.parametrize("values", [
    {"lower_band__low": 14.0e6, "lower_band__high": 14.35e6, "upper_band__low": 18.068e6,
     "upper_band__high": 18.168e6, "intermediate_frequency": 2.0e6,
     "oscillator__inductance": 0.5e-6},
    {"lower_band__low": 1.8e6, "lower_band__high": 2.0e6, "intermediate_frequency": 4.096e6},
])
def test_another_pair_is_aligned_to_its_own_frequencies(values):
    plan = changed(**values)
    steps = alignment_steps(plan)
    readings = [parse(step.expect, "Hz") for step in steps[:6]]
    shift = plan.value("intermediate_frequency")
    # DERIVED: oscillator = signal + IF on the high side, signal - IF on the low side.
    wanted = {plan.value("lower_band.low") + shift, plan.value("lower_band.high") + shift,
              plan.value("upper_band.low") - shift, plan.value("upper_band.high") - shift}
    # A series capacitor that can be bought leaves some hundred hertz of room.
    assert sorted(readings[2:]) == pytest.approx(sorted(wanted), rel=1e-3, abs=0)


def test_first_power_waits_at_every_step_that_could_kill():
    steps = first_power_steps(Plan.demo())
    assert sum(step.hold for step in steps) >= 6 and all(step.expect for step in steps)
    # Hands only where the plug is out.
    for step in steps:
        if any(word in step.text for word in ("Clip the meter", "clip the meter", "clipped")):
            assert "plug out" in step.text.lower() or "stands back" in step.text
    assert "50 V" in steps[1].expect


def test_a_plan_that_cannot_work_says_why():
    plan = changed(oscillator__inductance=50e-6)
    with pytest.raises(Unclear):
        alignment_steps(plan)
    assert can_be_aligned(plan).endswith(".") and can_be_aligned(Plan.demo()) == ""

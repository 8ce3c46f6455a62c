"""The worked example on image swapping, against the demo's numbers worked out by hand."""

from __future__ import annotations

import math

import pytest

from rxlearn.exercises.worked_examples import worked_steps
from rxlearn.plan.document import Change, Plan


def planned(**changes):
    return Plan.demo().changed({
        key.replace("__", "."): Change(value=value, status="wished", origin="test")
        for key, value in changes.items()
    })


def down(frequency, centre):
    """20 lg √(1 + 50²ρ²): F. E. Terman, Radio Engineering."""
    return 20 * math.log10(math.hypot(1, 50 * (frequency / centre - centre / frequency)))


def test_the_demo_step_by_step():
    steps = worked_steps("image_swapping", Plan.demo())
    # All DERIVED from the frequency plan and f = 1/(2π√(LC)): middles 3.75 and 10.125 MHz, half
    # their distance, the crystal's miss and its double, a tenth of the dial, coil and capacitance
    # of a 40 pF swing over 6.7768 to 7.2768 MHz.
    wanted = (
        "3.75 MHz and 10.125 MHz", "/ 2 = 3.1875 MHz", "3.2768 MHz (clock: 100 × 32.768 kHz), "
        "89.3 kHz above", "twice as far apart: 178.6 kHz", "30 m fills 10 %",
        "1.83 µH and, in all, 261 pF at the high end, 301 pF at the low end", "switch 14.8 pF",
        f"10.5536 MHz is held down {down(10.5536, 4.0):.1f} dB",
        f"3.5964 MHz is held down {down(3.5964, 10.15):.1f} dB", "3.2783 MHz", "3.2753 MHz",
    )
    words = "\n".join(steps)
    assert [part for part in wanted if part not in words] == []
    assert f"held down {down(3.2768, 3.5):.1f} dB" in words and "16.5 dB" in words


def test_a_plan_that_cannot_work_stops_with_the_reason():
    assert worked_steps("image_swapping", planned(upper_band__injection="high"))[-1].startswith(
        "Here it stops: Both bands use high injection")


def test_a_pair_that_meets_needs_no_capacitor():
    words = "\n".join(worked_steps("image_swapping", planned(intermediate_frequency=3.1875e6)))
    assert "The middles agree" in words and "a miss of 0 kHz" in words


@pytest.mark.parametrize("crystal", [2.0e6, 455e3])
def test_a_far_pair_is_worked_to_some_end(crystal):
    steps = worked_steps("image_swapping", planned(intermediate_frequency=crystal))
    assert len(steps) >= 4 and all(step.endswith(".") for step in steps)

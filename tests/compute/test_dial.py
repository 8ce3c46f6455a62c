"""kHz per degree, per turn and per division, against arithmetic written out."""

import math

import numpy as np
import pytest

from rxlearn.compute.band_spread import Network, cover, solve_network
from rxlearn.compute.dial import Drive, rate_dial
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.simple_set import SimpleSet, tuning_rate
from rxlearn.compute.variable_capacitor import VariableCapacitor

PF = 1e-12
SMALL = VariableCapacitor(10 * PF, 50 * PF)


def test_drive():
    """DERIVED: 8:1, so that 180° is half a turn of the shaft and four of the knob."""
    drive = Drive(8, 100)
    assert drive.degrees_per_turn == 45.0
    assert drive.degrees_per_division == 0.45
    assert drive.turns_for(180.0) == 4.0


def test_rates_at_a_place():
    """DERIVED: at the mean rate 500 kHz over 180° are 125 kHz a turn and 1.25 kHz a division."""
    even = VariableCapacitor(10 * PF, 50 * PF, "frequency")
    rates = rate_dial(Network(1.83e-6, even), Drive(8, 100), 90.0)
    per_degree = rates.coverage.span / 180
    # Straight-line frequency with nothing across it: one rate everywhere.
    assert rates.per_degree == pytest.approx(per_degree, rel=1e-9, abs=0)
    assert rates.per_turn == pytest.approx(rates.coverage.span / 4, rel=1e-9, abs=0)
    assert rates.per_division == pytest.approx(rates.coverage.span / 400, rel=1e-9, abs=0)
    assert rates.hand_step == pytest.approx(per_degree / 8, rel=1e-9, abs=0)
    assert (rates.turns, rates.divisions) == (4.0, 400.0)
    assert rates.reduction_needed == pytest.approx(per_degree / 50, rel=1e-9, abs=0)
    assert rates.coverage.unevenness == pytest.approx(1, abs=1e-9)


def test_rates_integrate_to_the_range():
    """Independent route: the trapezoid rule over the turn."""
    found = cover(solve_network(6.8232e6, 6.8732e6, 1.83e-6, SMALL, across=100 * PF), points=2001)
    assert np.trapezoid(found.rates, found.angles) == pytest.approx(found.span, rel=1e-5, abs=0)


@pytest.mark.parametrize("law", ["capacitance", "frequency", "midline"])
def test_rates_agree_with_the_simple_set_where_the_capacitor_is_alone(law):
    """The other lesson's closed forms, derived there by another way."""
    variable = VariableCapacitor(10 * PF, 90 * PF, law)
    rates = rate_dial(Network(1e-6, variable), Drive(6, 100), 63.0)
    dial = SimpleSet(lowest_frequency=rates.coverage.low, highest_frequency=rates.coverage.high,
                     plate_law=law)
    assert rates.per_degree == pytest.approx(tuning_rate(dial, rates.frequency), rel=1e-9, abs=0)


def test_what_a_signal_wants():
    network = solve_network(6.8232e6, 6.8732e6, 1.83e-6, SMALL, across=100 * PF)
    code = rate_dial(network, Drive(8, 100), 90.0, signal="code")
    voice = rate_dial(network, Drive(8, 100), 90.0, signal="single sideband")
    assert (code.needed, voice.needed) == (50.0, 100.0)
    assert code.times_too_coarse == pytest.approx(2 * voice.times_too_coarse, rel=1e-6, abs=0)
    assert code.hand_steps[90] == pytest.approx(code.hand_step, rel=1e-9, abs=0)


@pytest.mark.parametrize("call", [
    lambda: Drive(0.5), lambda: Drive(math.nan), lambda: Drive(8, 0), lambda: Drive("8"),
    lambda: rate_dial(Network(1e-6, SMALL), Drive(), 181.0),
    lambda: rate_dial(Network(1e-6, SMALL), Drive(), 90.0, signal="smoke"),
    lambda: rate_dial(Network(1e-6, SMALL), Drive(), 90.0, hand_degrees=0),
])
def test_nonsense_is_refused_in_a_sentence(call):
    with pytest.raises(Unclear) as problem:
        call()
    assert str(problem.value).endswith(".")

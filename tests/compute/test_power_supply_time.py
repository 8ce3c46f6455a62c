"""A supply in time: against closed forms, ngspice, and the steady state found another way."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.compute.power_supply import demonstration_supply, highest_voltage, solve
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.rectifiers import ValveRectifier
from rxlearn.compute.supply_parts import (
    BRIDGE,
    Load,
    Regulator,
    Section,
)
from rxlearn.compute.supply_switch_off import bleeder_for, discharge_time, switch_off
from rxlearn.compute.supply_transients import switch_on
from rxlearn.compute.supply_warm_up import warm_up_share
from tests.compute.supply_builds import built
from tests.compute.supply_circuits import CIRCUITS, K_6X4, Circuit, ngspice_or_reason, simulate

# Switching on ----------------------------------------------------------------------------


SETTLING = [
    circuit for circuit in CIRCUITS
    if circuit.name in {
        "usual, silicon", "usual, valve", "bridge", "half wave 50 Hz", "choke input",
        "choke input, bridge", "choke below critical", "choke below critical, valve",
        "half wave, choke input", "unbalanced winding", "resistors only",
        "two sections, choke then resistor", "overload, resistor", "glow tube in regulation",
        "glow tube out", "low voltage bridge",
    }
]


@pytest.mark.parametrize("circuit", SETTLING, ids=lambda circuit: circuit.name)
def test_settles_to_the_steady_state(circuit):
    """Two methods that share only the parts: stepping through time, and harmonic balance."""
    supply = built(circuit)
    course = switch_on(supply, duration=3.0, rectifier_warm_up=0.0, steps=96)
    steady = solve(supply)
    assert course.settled
    for found, capacitor in zip(course.final_voltages, steady.capacitors, strict=True):
        assert found == pytest.approx(capacitor.direct, rel=0.003)
    swing = course.highest[0, -1] - course.lowest[0, -1]
    assert swing == pytest.approx(steady.capacitors[0].ripple_peak_to_peak, rel=0.04)


@pytest.mark.parametrize(
    "circuit",
    [
        Circuit("surge, silicon", load=5000.0, bleeder=None),
        Circuit("surge, bridge", kind="bridge", load=5000.0, bleeder=None),
        Circuit("surge, valve", valve=K_6X4, load=5000.0, bleeder=None),
        Circuit("surge, half wave", kind="half wave", load=8000.0, bleeder=None),
        Circuit("surge, choke input", sections=((10.0, 150.0, 22e-6),), load=4000.0,
                bleeder=None),
    ],
    ids=lambda circuit: circuit.name,
)
def test_first_periods_against_ngspice(circuit, tmp_path):
    """Empty capacitors, switched on where the sine passes zero; the first five periods."""
    stop = 5 / circuit.hertz
    lines = circuit.netlist(settle=stop, steps=1000, start=0.0).splitlines()
    lines = [line for line in lines if not line.startswith((".tran", ".meas", ".end"))]
    lines += [f".tran 20u {stop!r} 0 20u uic"]
    for element in circuit.elements:
        lines.append(f".meas tran peak{element} max i(vs{element})")
    last = len(circuit.sections)
    lines += [f".meas tran top max v(c{last})",
              f".meas tran late find v(c{last}) at={stop * 0.99!r}"]
    measured = simulate(ngspice_or_reason(), "\n".join([*lines, ".end", ""]), tmp_path)
    course = switch_on(built(circuit), duration=stop, angle=0.0, rectifier_warm_up=0.0, steps=256)
    peak = max(measured[f"peak{element}"] for element in circuit.elements)
    assert course.peak_current == pytest.approx(peak, rel=0.02)
    assert course.peak_voltages[-1] == pytest.approx(measured["top"], rel=0.005)
    late = np.interp(stop * 0.99, course.surge_time, course.surge_voltages[-1])
    assert late == pytest.approx(measured["late"], rel=0.005)


def test_worst_moment_surge_is_the_peak_over_the_resistance():
    """DERIVED: an empty capacitor is a short circuit: (√2·E − drop)/R at the peak of the sine."""
    supply = demonstration_supply()
    course = switch_on(supply, duration=0.1)
    expected = (math.sqrt(2) * supply.transformer.emf - 0.8) / 150.1
    assert course.peak_current == pytest.approx(expected, rel=1e-3)
    assert course.peak_current_time == 0
    gentle = switch_on(supply, duration=0.1, angle=0.0)
    assert gentle.peak_current < 0.9 * course.peak_current
    choke = switch_on(replace(supply, sections=supply.sections[1:]), duration=0.1)
    assert choke.peak_current < 0.3 * course.peak_current


def test_silicon_overshoots_while_the_load_is_cold_and_a_warming_valve_less():
    """DERIVED: until the load draws, the capacitors stand near the peak."""
    silicon = switch_on(demonstration_supply(), duration=20.0, load_warm_up=12.0)
    peak = highest_voltage(demonstration_supply())
    assert peak - 15 < silicon.peak_voltages[-1] < peak + 1
    assert silicon.peak_voltage_times[-1] < 6.0
    assert silicon.overshoot > 25
    valve = switch_on(demonstration_supply("6X4"), duration=25.0, load_warm_up=12.0)
    assert valve.rectifier_warm_up == 12.0
    assert valve.overshoot < 0.6 * silicon.overshoot
    assert valve.highest[0, int(4 * 50)] == 0
    assert valve.peak_current < 0.3 * switch_on(
        demonstration_supply("6X4"), duration=0.2, rectifier_warm_up=0.0).peak_current


def test_with_nothing_drawing_it_creeps_to_the_peak_and_never_beyond():
    supply = replace(demonstration_supply(), load=Load(), bleeder=None,
                     sections=(Section(22e-6),))
    course = switch_on(supply, duration=2.0)
    limit = highest_voltage(supply)
    assert limit * 0.998 < course.final_voltages[0] <= limit
    assert np.all(np.diff(course.highest[0]) >= -1e-9)


def test_a_choke_lets_the_last_capacitor_swing_beyond_its_final_voltage():
    """Choke input without load rings up: an LC circuit hit by a step rises towards twice."""
    supply = replace(demonstration_supply(), sections=(Section(22e-6, 20.0, 200.0),),
                     load=Load(0.0, 5000.0), bleeder=None)
    course = switch_on(supply, duration=2.0)
    assert course.overshoot > 0.2 * course.final_voltages[-1]


@pytest.mark.parametrize("rectifier", ["silicon", "6X4", "5Y3-GT"])
@pytest.mark.parametrize("mains", [0.9, 1.1])
def test_a_supply_that_stands_in_its_steady_state_need_not_be_stepped_through(rectifier, mains):
    """The quasi-steady course against every period gone through, with eight times as many steps."""
    supply, how = demonstration_supply(rectifier), dict(
        mains=mains, duration=14.0, load_warm_up=11.0, surge_periods=1)
    quick = switch_on(supply, steps=24, quasi_steady=True, **how)
    fine = switch_on(supply, steps=192, **how)
    top = fine.highest.max()
    assert np.abs(quick.highest - fine.highest).max() < 0.01 * top
    charged = fine.time > np.argmax(fine.highest[-1] > 0.9 * top) / 50.0
    assert np.abs(quick.lowest - fine.lowest)[:, charged].max() < 0.01 * top
    assert quick.final_voltages == pytest.approx(fine.final_voltages, rel=5e-4)
    assert quick.peak_voltages == pytest.approx(fine.peak_voltages, rel=0.005)
    assert quick.peak_voltage_times == pytest.approx(fine.peak_voltage_times, abs=0.5)


def test_what_cannot_stand_still_is_stepped_through():
    """Nothing draws, so nothing settles; an overload has no steady state: both courses are one."""
    idle = replace(demonstration_supply(), load=Load(), bleeder=None, sections=(Section(22e-6),))
    over = replace(demonstration_supply(), load=Load(5.0))
    for supply in (idle, over):
        both = [switch_on(supply, duration=3.0, load_warm_up=1.0, steps=24, quasi_steady=quick)
                for quick in (True, False)]
        assert np.abs(both[0].highest - both[1].highest).max() <= 0.006 * both[1].highest.max()


@given(st.floats(0.0, 60.0), st.floats(0.0, 30.0))
def test_warm_up_share(time, warm_up):
    share = warm_up_share(time, warm_up)
    assert 0 <= share <= 1
    assert warm_up_share(warm_up + 1e-6, warm_up) == pytest.approx(1.0)
    if warm_up > 1e-3:
        assert warm_up_share(0.3 * warm_up, warm_up) == 0


def test_shapes_and_bad_input():
    course = switch_on(demonstration_supply(), duration=0.2, surge_periods=3, steps=50)
    assert course.time.shape == (10,) and course.highest.shape == course.lowest.shape == (2, 10)
    assert course.surge_time.shape == course.surge_current.shape == (151,)
    assert course.surge_voltages.shape == (2, 151)
    for bad in ({"duration": -1.0}, {"duration": 1e4}, {"steps": 3}, {"angle": 720.0},
                {"load_warm_up": float("nan")}, {"mains": 5.0}):
        with pytest.raises(Unclear):
            switch_on(demonstration_supply(), **bad)


def test_a_regulator_and_a_cold_valve_are_followed():
    supply = replace(demonstration_supply(), load=Load(0.02), regulator=Regulator(
        150.0, 5600.0, Load(0.008), 100.0), rectifier=ValveRectifier(K_6X4))
    course = switch_on(supply, duration=5.0, rectifier_warm_up=2.0)
    assert course.final_voltages[-1] == pytest.approx(solve(supply).output_voltage, rel=0.003)


# Switching off -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "capacitance, resistance, start, threshold, seconds",
    [
        # DERIVED, t = RC·ln(V₀/V); the law: Kuphaldt vol. I, ch. 16.
        (47e-6, 100e3, 350.0, 50.0, 9.146),
        (40e-6, 100e3, 400.0, 60.0, 7.588),
        (40e-6, 220e3, 450.0, 60.0, 17.731),
        # X capacitor of IEC 60335-1 22.5 and IEC 61010-1 6.10.3: 0.22 µF, 1 MΩ from 325 V.
        (0.22e-6, 1e6, 325.0, 60.0, 0.3717),
        (0.22e-6, 1e6, 325.0, 34.0, 0.497),
    ],
)
def test_discharge_time(capacitance, resistance, start, threshold, seconds):
    found = discharge_time(capacitance, resistance, start, threshold)
    assert found == pytest.approx(seconds, abs=1e-3)
    assert bleeder_for(capacitance, start, threshold, found) == pytest.approx(resistance)
    assert discharge_time(capacitance, None, start, threshold) == math.inf
    assert discharge_time(capacitance, resistance, threshold, threshold) == 0


def test_largest_bleeder_of_a_printed_rule():
    """IEC 60335-1 22.5: 34 V within 1 s; 0.22 µF from 325 V: at most 2.013 MΩ (DERIVED)."""
    assert bleeder_for(0.22e-6, 325.0, 34.0, 1.0) == pytest.approx(2.013e6, rel=1e-3)


@pytest.mark.parametrize(
    "seconds, charged",
    [(0.5, 5.902), (1.0, 9.482), (2.0, 12.970), (3.0, 14.253), (7.25, 14.989)],
)
def test_printed_rc_course(seconds, charged):
    """10 kΩ, 100 µF, 15 V: Kuphaldt vol. I, ch. 16 prints the charge; what is left is 15 V less."""
    course = switch_off(single(10e3, 100e-6), start=15.0, threshold=1.0, duration=seconds)
    assert 15 - course.voltages[0, -1] == pytest.approx(charged, abs=1e-3)


def single(bleeder=100e3, capacitance=47e-6):
    return replace(demonstration_supply(), sections=(Section(capacitance),), bleeder=bleeder)


def test_one_capacitor_follows_the_exponential():
    course = switch_off(single(), start=350.0, threshold=50.0)
    assert course.time_to_threshold == pytest.approx(9.146, abs=1e-3)
    np.testing.assert_allclose(course.voltages[0], 350 * np.exp(-course.time / 4.7), rtol=1e-9)
    assert course.energy == pytest.approx(0.5 * 47e-6 * 350**2)
    assert switch_off(replace(single(), sections=(Section(40e-6),)), start=400.0).energy == (
        pytest.approx(3.20))


def test_a_bleeder_that_failed_open_leaves_it_charged():
    course = switch_off(demonstration_supply(), bleeder_works=False)
    worst = highest_voltage(demonstration_supply(), 1.1)
    assert course.time_to_threshold == math.inf
    assert course.start == course.stays == pytest.approx((worst, worst))
    np.testing.assert_allclose(course.voltages, worst, rtol=1e-9)
    none = switch_off(replace(demonstration_supply(), bleeder=None))
    assert none.time_to_threshold == math.inf


def test_two_capacitors_run_down_together():
    """DERIVED: slow beside the choke, so nearly R·(C1 + C2)·ln."""
    course = switch_off(demonstration_supply())
    rough = discharge_time(69e-6, 47e3, course.start[0], 50.0)
    assert course.time_to_threshold == pytest.approx(rough, rel=0.01)
    below = course.time > course.time_to_threshold
    assert below.any() and np.all(course.voltages[:, below] <= 50.0)
    assert course.voltages[:, ~below].max(axis=0).min() >= 49.9


def test_against_plain_integration():
    """Kirchhoff's equations by scipy's general solver, from unequal voltages."""
    from scipy.integrate import solve_ivp

    supply = demonstration_supply()
    course = switch_off(supply, start=(300.0, 200.0), duration=2.0)

    def rates(_, state):
        one, two, choke = state
        return [-choke / 22e-6, (choke - two / 47e3) / 47e-6, (one - two - 120 * choke) / 3.0]

    answer = solve_ivp(rates, (0, 2.0), [300.0, 200.0, 0.0], t_eval=course.time, rtol=1e-9,
                       atol=1e-9, method="LSODA")
    np.testing.assert_allclose(course.voltages, answer.y[:2], atol=1e-4)


def test_charge_is_shared_where_nothing_drains():
    course = switch_off(demonstration_supply(), start=(60.0, 40.0), bleeder_works=False,
                        duration=2.0)
    shared = (22 * 60 + 47 * 40) / 69
    assert course.stays == pytest.approx((shared, shared))
    assert course.voltages[:, -1] == pytest.approx([shared, shared], abs=0.05)
    assert all(math.isfinite(time) for time in course.times_to_threshold)


def test_a_load_that_stays_connected_helps():
    alone = switch_off(demonstration_supply())
    loaded = switch_off(demonstration_supply(), load_connected=True)
    assert 0 < loaded.time_to_threshold < 0.25 * alone.time_to_threshold


@settings(deadline=None, max_examples=40)
@given(st.floats(50.0, 1000.0), st.floats(1e-6, 1e-3), st.floats(1e3, 1e7), st.floats(1.0, 60.0))
def test_time_is_the_closed_form_for_any_single_capacitor(start, capacitance, bleeder, threshold):
    course = switch_off(single(bleeder, capacitance), start=start, threshold=threshold)
    assert course.time_to_threshold == pytest.approx(
        discharge_time(capacitance, bleeder, start, threshold), rel=1e-5, abs=1e-6)


@pytest.mark.parametrize(
    "make, words",
    [
        (lambda: discharge_time(0.0, 1e3, 300.0, 50.0), "capacitance of 0 F is below"),
        (lambda: discharge_time(1e-6, -1e3, 300.0, 50.0), "discharge resistance of -1 kΩ"),
        (lambda: discharge_time(1e-6, 1e3, float("nan"), 50.0), "must be a finite number"),
        (lambda: bleeder_for(1e-6, 40.0, 50.0, 1.0), "is not above the threshold"),
        (lambda: switch_off(demonstration_supply(), start=(1.0, 2.0, 3.0)), "3 starting voltages"),
        (lambda: switch_off(demonstration_supply(), threshold=0.0), "threshold of 0 V is below"),
    ],
)
def test_refused_in_one_sentence(make, words):
    with pytest.raises(Unclear) as caught:
        make()
    assert words in str(caught.value) and str(caught.value).endswith(".")


def test_bridge_and_regulator_run_down_too():
    supply = replace(demonstration_supply(), arrangement=BRIDGE, regulator=Regulator(
        150.0, 5600.0, Load(0.008)))
    assert 0 < switch_off(supply).time_to_threshold < 10

"""A receiver with one fault: each fault leaves its own marks and no others'."""

import math

import pytest

from rxlearn.compute.faults import KINDS, SILENT, Fault, examine, faults_for
from rxlearn.compute.quantities import Unclear
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.fault_finding import patient_of

BOLTZMANN, T0 = 1.380649e-23, 290.0


@pytest.fixture(scope="module")
def patient():
    return patient_of(Plan.demo())


@pytest.fixture(scope="module")
def sound(patient):
    return examine(patient, None)


def test_the_demo_can_have_them_all(patient, sound):
    assert faults_for(patient) == KINDS
    assert (sound.tone_db, sound.hiss_db, sound.generator_db) == (0.0, 0.0, 0.0)
    assert sound.bleeder == 47e3 and sound.dark == ()


def test_a_dead_oscillator_leaves_the_amplifiers_own_hiss(patient, sound):
    """Nyquist: √(4kTRB) of the valve's noise resistance, 3.8 kΩ, against the noise that the demo's
    aerial brings to the same point."""
    found = examine(patient, Fault("oscillator"))
    row = patient.followed.level("intermediate_amplifier")
    own = math.sqrt(4 * BOLTZMANN * T0 * 3.8e3 * 2400) * 10 ** (row.stage.gain_db / 20)
    assert found.hiss_db == pytest.approx(20 * math.log10(own / row.noise), rel=1e-6, abs=0)
    assert found.tone_db == SILENT and found.oscillator is None and found.beat == sound.beat
    assert found.generator_db == 0.0 and found.cathodes == sound.cathodes


def test_an_amplifier_off_tune_loses_what_its_circuit_loses(patient):
    """F. E. Terman, Radio Engineering: 1/√(1 + Q²(f/f0 - f0/f)²), here with Q = 50 and 5 %."""
    found = examine(patient, Fault("detuned", off=0.05))
    rho = 1 / 1.05 - 1.05
    assert found.tone_db == pytest.approx(-10 * math.log10(1 + (50 * rho) ** 2), rel=1e-6, abs=0)
    assert found.hiss_db == found.generator_db == found.tone_db


def test_a_dark_bulb_takes_all_its_stages_with_it(patient, sound):
    found = examine(patient, Fault("heater", bulb="V4"))
    assert found.dark == ("V4",) and found.beat is None and found.tone_db == SILENT
    assert found.cathodes["audio_amplifier"] == 0.0
    assert found.cathodes["output"] == sound.cathodes["output"]
    assert examine(patient, Fault("heater", bulb="V1")).hiss_db > SILENT


def test_each_fault_can_be_told_from_every_other(patient, sound):
    def marks(found):
        return (found.tone_db, found.hiss_db, found.generator_db, found.oscillator, found.beat,
                tuple(found.cathodes.values()), found.dark, found.bleeder)

    faults = [Fault(kind, off=0.05, leakage=5e6) for kind in KINDS if kind != "heater"]
    faults += [Fault("heater", bulb=bulb) for bulb in patient.bulbs]
    seen = [marks(sound), *(marks(examine(patient, fault)) for fault in faults)]
    assert len(set(seen)) == len(faults) + 1


def test_the_beat_oscillator_on_the_wrong_side_is_twice_its_offset_away(patient, sound):
    found = examine(patient, Fault("beat_side"))
    assert abs(found.beat - sound.beat) == pytest.approx(2 * 1500.0, rel=1e-6, abs=0)
    assert examine(patient, Fault("bleeder")).bleeder == math.inf


def test_a_fault_for_which_a_stage_is_missing_is_refused(patient):
    from dataclasses import replace

    bare = replace(patient, stages=tuple(
        s for s in patient.stages if s.function != "beat_oscillator"))
    assert "beat" not in faults_for(bare) and "beat_side" not in faults_for(bare)
    with pytest.raises(Unclear, match="cannot have the fault"):
        examine(bare, Fault("beat"))


def test_a_beat_oscillator_that_need_not_move_cannot_have_stayed_behind():
    """DERIVED: with the oscillator on the same side of both bands, one sideband wants one side."""
    plan = Plan.demo().changed({"lower_band.injection": Change(
        value="low", status="wished", origin="test"), "lower_band.low": Change(
        value=7.0e6, status="wished", origin="test"), "lower_band.high": Change(
        value=7.2e6, status="wished", origin="test")})
    assert "beat_side" not in faults_for(patient_of(plan))

"""Currents added up, and a signal followed: held against sums and Friis' formula written anew."""

import math

import pytest

from rxlearn.compute.quantities import Unclear
from rxlearn.compute.stages import (
    PATH,
    ReceiverStage,
    add_currents,
    follow_signal,
    in_order,
    loudspeaker_power,
    receiver_noise_figure_db,
)

BOLTZMANN, T0 = 1.380649e-23, 290.0  # SI brochure (2019); Friis 1944


def stage(function, gain=None, **rest):
    return ReceiverStage(function=function, device="x", gain_db=gain, **rest)


SET = (
    stage("preselector", 20.0), stage("mixer", 6.0, bias=1.5, noise_resistance=190e3),
    stage("oscillator"), stage("filter", -6.0),
    stage("intermediate_amplifier", 40.0, bias=1.0, noise_resistance=4e3),
    stage("detector", -6.0), stage("beat_oscillator"),
    stage("audio_amplifier", 30.0, bias=2.0), stage("output", 20.0, bias=8.5),
)
SCHEME = {"signal": 3.75e6, "intermediate_frequency": 3.2768e6, "injection": "high"}


def test_currents_add_up_as_a_hand_adds_them():
    """DERIVED from Kirchhoff's current law: 6BE6 + 6BA6 + 6AU6 by their printed currents."""
    drawn = [(0.3, 2.9e-3 + 6.8e-3), (0.3, 11e-3 + 4.2e-3), (0.3, 5.0e-3 + 2.1e-3)]
    found = add_currents([stage("other", heater_current=h, supply_current=s) for h, s in drawn])
    assert (found.heaters, found.supply) == (0.9, 32e-3)
    assert add_currents([]).supply == 0


def test_frequencies_follow_the_scheme():
    """DERIVED: |oscillator - signal| = intermediate frequency; the tone is the beat's offset."""
    found = follow_signal(SET, **SCHEME, beat_offset=800.0)
    assert found.oscillator == 3.75e6 + 3.2768e6
    assert [row.output_frequency for row in found.levels] == [
        3.75e6, 3.2768e6, 3.2768e6, 3.2768e6, 800.0, 800.0, 800.0]
    assert abs(found.beat - 3.2768e6) == pytest.approx(800.0, rel=1e-6, abs=0)
    low = follow_signal(SET, signal=10.125e6, intermediate_frequency=3.2768e6, injection="low")
    assert low.oscillator == 10.125e6 - 3.2768e6
    # High side turns the sidebands over, low side does not, so the beat changes sides.
    assert (found.beat - 3.2768e6) * (low.beat - 3.2768e6) < 0


def test_levels_are_the_aerials_times_the_gains():
    """DERIVED: 20 dB is a factor 10 in voltage; S4 is 1.583 µV in 50 ohm (IARU R.1, 1981)."""
    found = follow_signal(SET, **SCHEME, aerial_dbm=-103.0)
    assert found.aerial == pytest.approx(1.583e-6, rel=1e-3, abs=0)
    gains = (20, 6, -6, 40, -6, 30, 20)
    for place, row in enumerate(found.levels):
        assert row.output == pytest.approx(found.aerial * 10 ** (sum(gains[: place + 1]) / 20), rel=1e-6, abs=0)
        assert row.input == (found.levels[place - 1].output if place else found.aerial)
        assert row.output / row.noise == pytest.approx(10 ** (found.margin_db / 20), rel=1e-6, abs=0)
    assert found.gain_db == sum(gains)


def test_own_noise_is_friis_formula_with_powers():
    """H. T. Friis, Proc. IRE 32 (1944) 419: F = F1 + (F2 - 1)/G1, with powers throughout.

    First stage: aerial matched to a coil, then the mixer valve.  Its noise factor is 2 + 2 Req/R
    (DERIVED from Nyquist).  The next valve's voltage, 4kT Req per hertz, is compared with what
    the source's own noise has become at that grid.
    """
    step_up, mixed, filtered = 10.0, 10 ** (6 / 20), 10 ** (-6 / 20)
    resistance = 25.0 * step_up**2  # coil and aerial, 2R each, in parallel
    first = 2 + 2 * 190e3 / resistance
    # Noise of the source alone at the first grid: half the voltage of its 2R, per hertz.
    source = 4 * BOLTZMANN * T0 * 2 * resistance / 4
    second = 4 * BOLTZMANN * T0 * 4e3 / (source * (mixed * filtered) ** 2)
    assert receiver_noise_figure_db(in_order(SET)) == pytest.approx(
        10 * math.log10(first + second), abs=1e-9)


def test_outside_noise_rules_the_lower_bands():
    """Recommendation ITU-R P.372, residential: F_am = 72.5 - 27.7 lg(f/MHz) dB above kT0B."""
    found = follow_signal(SET, **SCHEME, bandwidth=2400.0, place="residential")
    thermal = 10 * math.log10(BOLTZMANN * T0 * 2400 / 1e-3)
    outside = thermal + 72.5 - 27.7 * math.log10(3.75)
    assert found.external_dbm == pytest.approx(outside, abs=1e-6)
    own = thermal + found.noise_figure_db
    assert found.noise_dbm == pytest.approx(
        10 * math.log10(10 ** (outside / 10) + 10 ** (own / 10)), abs=1e-9)


def test_a_grid_is_driven_positive_when_the_peak_reaches_the_bias():
    """DERIVED: a sine of r.m.s. value V has the peak √2 V."""
    found = follow_signal(SET, **SCHEME, aerial_dbm=-73.0)
    assert found.first_overloaded.function == "output"
    again = follow_signal(SET, **SCHEME, aerial_dbm=found.overload_dbm + 0.01)
    assert [row.stage.function for row in again.levels if row.overloaded] == ["output"]
    last = follow_signal(SET, **SCHEME, aerial_dbm=found.overload_dbm).levels[-1]
    assert last.input * math.sqrt(2) == pytest.approx(8.5, rel=1e-6, abs=0)
    assert again.levels[-1].output == pytest.approx(last.output, rel=1e-6, abs=0), "more is not handed on"
    assert found.signal_overload_dbm == pytest.approx(
        10 * math.log10((1.0 / math.sqrt(2) / 10 ** (20 / 20)) ** 2 / 50 / 1e-3), abs=1e-6)


def test_a_set_without_a_beat_oscillator_makes_no_tone():
    found = follow_signal([s for s in SET if s.function != "beat_oscillator"], **SCHEME)
    assert found.beat is None and found.level("output").output_frequency is None


@pytest.mark.parametrize("missing", ["mixer", "oscillator", "detector"])
def test_what_is_no_superheterodyne_is_said(missing):
    with pytest.raises(Unclear, match=f"has no {missing}"):
        follow_signal([s for s in SET if s.function != missing], **SCHEME)
    with pytest.raises(Unclear, match="more than one mixer"):
        follow_signal([*SET, stage("mixer", 6.0)], **SCHEME)


def test_order_is_the_signals_and_not_the_lists():
    assert [s.function for s in in_order(SET[::-1])] == list(
        f for f in PATH if f != "signal_amplifier")


@pytest.mark.parametrize("bad", [{"function": "wireless"}, {"heater_current": -0.3},
                                 {"supply_current": math.nan}, {"gain_db": 400.0}])
def test_nonsense_is_refused(bad):
    with pytest.raises(Unclear):
        ReceiverStage(**({"function": "mixer", "device": "x"} | bad))


def test_power_by_ohms_law():
    assert loudspeaker_power(50.0, 5e3) == 0.5
    with pytest.raises(Unclear):
        loudspeaker_power(1.0, 0.0)

"""Noise and levels against published figures and the definitions."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute import noise
from rxlearn.compute.noise import Stage
from rxlearn.compute.quantities import Unclear


@pytest.mark.parametrize(
    "bandwidth, level",
    # Boltzmann's constant 1.380649e-23 J/K (SI brochure 2019), T0 = 290 K; arithmetic DERIVED.
    [(1, -173.975), (500, -146.985), (2400, -140.173), (3000, -139.204), (6000, -136.194),
     (10000, -133.975)],
)
def test_thermal_noise_power(bandwidth, level):
    assert noise.thermal_noise_dbm(bandwidth) == pytest.approx(level, abs=0.001)


@pytest.mark.parametrize(
    "resistance, bandwidth, volts",
    # H. Nyquist, Phys. Rev. 32 (1928) 110; arithmetic DERIVED, 290 K.
    [(50, 2400, 43.84e-9), (1e3, 1, 4.002e-9), (1e6, 10e3, 12.655e-6)],
)
def test_noise_voltage_of_a_resistor(resistance, bandwidth, volts):
    assert noise.noise_voltage(resistance, bandwidth) == pytest.approx(volts, rel=1e-3, abs=0)


@pytest.mark.parametrize(
    "stages, factor, figure, gain",
    [
        # D. M. Pozar, "Microwave Engineering", receiver-noise example (from memory).
        ([(10, 2), (-1, 1), (-3, 4)], 1.8011, 2.555, 6),
        # H. T. Friis, Proc. IRE 32 (1944) 419, formula; arithmetic DERIVED.
        ([(-2, 2), (18, 1.5), (-1, 1), (-6, 8)], 2.4131, 3.826, 9),
        ([(20, 1.5), (10, 6), (0, 10)], 1.4513, 1.618, 30),
    ],
)
def test_stages_in_a_row(stages, factor, figure, gain):
    whole = noise.cascade([Stage(f"stage {i}", *pair) for i, pair in enumerate(stages)])
    assert whole.noise_factor == pytest.approx(factor, abs=2e-4)
    assert whole.noise_figure_db == pytest.approx(figure, abs=0.001)
    assert whole.gain_db == pytest.approx(gain, rel=1e-6, abs=0)
    assert whole.noise_figures_db[0] == pytest.approx(stages[0][1], rel=1e-6, abs=0)
    assert whole.noise_figures_db[-1] == whole.noise_figure_db


@given(st.lists(st.tuples(st.floats(-20, 40), st.floats(0, 30)), min_size=1, max_size=6))
def test_a_further_stage_never_makes_it_quieter(pairs):
    grown = noise.cascade([Stage("stage", *pair) for pair in pairs]).noise_figures_db
    assert all(after >= before - 1e-9 for before, after in zip(grown, grown[1:]))


@given(st.lists(st.floats(0, 20), min_size=1, max_size=5))
def test_attenuators_in_a_row_are_one_attenuator(losses):
    # DERIVED: a matched pad at T0 has a noise figure equal to its loss.
    whole = noise.cascade([Stage("pad", -loss, loss) for loss in losses])
    assert whole.noise_figure_db == pytest.approx(sum(losses), abs=1e-6)


@pytest.mark.parametrize(
    "bandwidth, figure, floor", [(2400, 10, -130.173), (500, 6, -140.985)]  # k·T0·B·F, Friis 1944
)
def test_noise_floor(bandwidth, figure, floor):
    assert noise.noise_floor_dbm(bandwidth, figure) == pytest.approx(floor, abs=0.001)


@pytest.mark.parametrize(
    "place, megahertz, figure",
    # Recommendation ITU-R P.372, table of constants c and d for man-made noise.
    [
        ("rural", 1.8, 60.13), ("rural", 3.5, 52.13), ("rural", 7, 43.79), ("rural", 14, 35.45),
        ("rural", 28, 27.11), ("residential", 1.8, 65.43), ("residential", 3.5, 57.43),
        ("residential", 7, 49.09), ("residential", 14, 40.75), ("residential", 28, 32.41),
        ("city", 7, 53.39), ("city", 28, 36.71), ("quiet rural", 7, 29.43),
        ("quiet rural", 28, 12.21), ("galactic", 10, 29.0),
    ],
)
def test_external_noise_figure(place, megahertz, figure):
    found = noise.external_noise_figure_db(megahertz * 1e6, place)
    assert found == pytest.approx(figure, abs=0.01)


def test_external_noise_power():
    # kT0B plus F_am of ITU-R P.372, DERIVED.
    assert noise.external_noise_dbm(7e6, 2400, "rural") == pytest.approx(-96.38, abs=0.01)


@pytest.mark.parametrize(
    "units, level, microvolts",
    # IARU Region 1 Technical Recommendation R.1 (1981): S9 = -73 dBm below 30 MHz, 6 dB a unit.
    [(9, -73, 50.06), (8, -79, 25.09), (7, -85, 12.57), (6, -91, 6.30), (5, -97, 3.16),
     (4, -103, 1.583), (3, -109, 0.793), (2, -115, 0.398), (1, -121, 0.199)],
)
def test_s_units_below_30_mhz(units, level, microvolts):
    assert noise.s_units(level) == units
    assert noise.s_units_to_dbm(units) == level
    assert noise.dbm_to_volts(level) == pytest.approx(microvolts * 1e-6, rel=1.5e-3, abs=0)
    assert noise.say_s_units(level) == f"S{units}"


def test_s_units_above_30_mhz():
    # The same recommendation: S9 = -93 dBm, 5 µV.
    assert noise.s_units(-93, above_30_mhz=True) == 9
    assert noise.s_units_to_dbm(9, above_30_mhz=True) == -93
    assert noise.dbm_to_volts(-93) == pytest.approx(5e-6, rel=2e-3, abs=0)


@pytest.mark.parametrize(
    "level, says",
    [(-61, "S9 + 12 dB"), (-72.6, "S9"), (-72.4, "S9 + 1 dB"), (-121, "S1"), (-124, "S1"),
     (-125, "below S1"), (-88, "S6")],
)
def test_readings_are_said_as_operators_say_them(level, says):
    # Rounding of the R.1 scale to whole units and decibels, DERIVED; -88 dBm lies halfway.
    assert noise.say_s_units(level) == says


@given(st.floats(-200, 60), st.floats(1, 1e5))
def test_volts_and_dbm_go_there_and_back(level, resistance):
    volts = noise.dbm_to_volts(level, resistance=resistance)
    if volts >= noise.VOLTAGE.low:
        assert noise.volts_to_dbm(volts, resistance=resistance) == pytest.approx(level, abs=1e-9)


def test_equal_unrelated_powers_add_to_three_decibels_more():
    assert noise.add_dbm(-100, -100) == pytest.approx(-96.9897, abs=1e-4)  # 10·log10 2, DERIVED
    assert noise.add_dbm(-100, -160) == pytest.approx(-100, abs=1e-5)


def test_noise_figure_of_a_valve_from_the_noise_voltages():
    # Reference: mean squares at the grid, per 4kT and hertz. Aerial and coil are each 2R.
    circuit, valve = 9.5e3, 240e3
    aerial = coil = 2 * circuit
    from_aerial = aerial * (coil / (aerial + coil)) ** 2
    from_coil = coil * (aerial / (aerial + coil)) ** 2
    reference = 10 * math.log10((from_aerial + from_coil + valve) / from_aerial)
    assert noise.valve_noise_figure_db(valve, circuit) == pytest.approx(reference, rel=1e-6, abs=0)
    assert noise.valve_noise_figure_db(0, circuit) == pytest.approx(3.0103, abs=1e-4)


@pytest.mark.parametrize(
    "call, says",
    [
        (lambda: noise.thermal_noise_dbm(0), "bandwidth of 0 Hz is below"),
        (lambda: noise.thermal_noise_dbm(500, temperature=-1), "temperature in kelvin of -1"),
        (lambda: noise.noise_voltage(math.nan, 500), "resistance must be a finite number"),
        (lambda: noise.noise_floor_dbm(500, -1), "noise figure of -1 dB is below"),
        (lambda: noise.cascade([]), "no stage to reckon with"),
        (lambda: noise.cascade([Stage("mixer", math.inf, 3)]), "gain must be a finite"),
        (lambda: noise.valve_noise_figure_db(-1, 1e4), "equivalent noise resistance of -1"),
        (lambda: noise.external_noise_figure_db(7e6, "<b>moon</b>"), "choose city, residential"),
        (lambda: noise.external_noise_figure_db(1e9, "city"), "is above what is allowed"),
        (lambda: noise.add_dbm(), "no level to add"),
        (lambda: noise.dbm_to_volts(math.nan), "level must be a finite"),
        (lambda: noise.volts_to_dbm(0), "voltage of 0 V is below"),
        (lambda: noise.s_units_to_dbm(10), "reading of 10 is above"),
    ],
)
def test_nonsense_is_refused_with_a_sentence(call, says):
    with pytest.raises(Unclear) as refused:
        call()
    assert says in str(refused.value)
    assert str(refused.value).endswith(".")

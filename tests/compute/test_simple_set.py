"""What a simple set lacks: against published rows, network references and limits."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize
from scipy import signal as scipy_signal

from rxlearn.compute.quantities import Unclear
from rxlearn.compute.simple_set import (
    PLATE_LAWS,
    SimpleSet,
    intermediate_bandwidth,
    intermediate_response_db,
    judge,
    neighbour_rejection_db,
    noise_figure_db,
    straight_set_bandwidth,
    tuning_rate,
)

ONE_PAIR = SimpleSet(transformers=1)


def _reference_db(frequency, coupling, loaded_q=70.0, centre=455e3, pairs=1):
    """The low-pass prototype of a coupled pair, turned into a band-pass by scipy."""
    turn = 2 * np.pi * centre / 1e6
    numerator, denominator = scipy_signal.lp2bp(
        [1 + coupling**2], [1, 2, 1 + coupling**2], wo=turn, bw=turn / loaded_q
    )
    _, response = scipy_signal.freqs(
        numerator, denominator, 2 * np.pi * np.atleast_1d(frequency) / 1e6
    )
    return 20 * pairs * np.log10(np.abs(response))


@pytest.mark.parametrize("coupling", [0.5, 1.0, 1.5, 2.0])
@pytest.mark.parametrize("pairs", [1, 2, 3])
def test_transformers_agree_with_a_general_library(coupling, pairs):
    simple = SimpleSet(coupling=coupling, transformers=pairs)
    frequency = np.linspace(400e3, 520e3, 241)
    np.testing.assert_allclose(
        intermediate_response_db(simple, frequency),
        _reference_db(frequency, coupling, pairs=pairs), atol=1e-6,
    )


def test_transformers_agree_with_the_mesh_equations_of_two_coupled_coils():
    # Reference: I2/E = jωM / (Z² + ω²M²), Z = R + jωL + 1/jωC; 455 kHz, Q = 70, critical.
    turn, coil = 2 * math.pi * 455e3, 680e-6
    capacitance, resistance = 1 / (turn**2 * coil), turn * coil / 70
    frequency = np.linspace(442e3, 468e3, 53)
    omega = 2 * np.pi * frequency
    mesh = resistance + 1j * (omega * coil - 1 / (omega * capacitance))
    mutual = omega * coil / 70
    current = mutual / np.abs(mesh**2 + mutual**2)
    reference = 20 * np.log10(current * 2 * resistance)
    # The mesh's coupling reactance grows with frequency, the model's does not: 0.3 dB.
    np.testing.assert_allclose(intermediate_response_db(ONE_PAIR, frequency), reference, atol=0.3)


@pytest.mark.parametrize(
    "coupling, detuning",
    # F. Langford-Smith, "Radiotron Designer's Handbook" 4th ed. ch. 9, the pair's equation
    # solved for 3 dB under the centre: DERIVED.
    [(0.5, 0.84127), (1.0, 1.41421), (1.5, 2.17534), (2.0, 2.97169)],
)
def test_three_decibel_width_of_one_pair(coupling, detuning):
    simple = replace(ONE_PAIR, coupling=coupling)
    width = intermediate_bandwidth(simple, down_db=10 * math.log10(2))
    assert width * 70 / 455e3 == pytest.approx(detuning, abs=1e-5)


def test_three_decibel_width_at_critical_coupling():
    # √2·f0/Q for 455 kHz and Q = 70: 9.192 kHz, DERIVED from the same equation.
    width = intermediate_bandwidth(ONE_PAIR, down_db=10 * math.log10(2))
    assert width == pytest.approx(9192, rel=1e-4, abs=0)


@given(st.floats(0.1, 3), st.floats(10, 200), st.integers(1, 4), st.floats(1, 100))
def test_the_width_is_where_the_response_has_fallen_so_far(coupling, loaded_q, pairs, depth):
    simple = SimpleSet(coupling=coupling, transformer_loaded_q=loaded_q, transformers=pairs)
    width = intermediate_bandwidth(simple, down_db=depth)
    upper = width / 2 + math.sqrt(width**2 / 4 + 455e3**2)  # the edges' geometric mean is 455 kHz
    edges = intermediate_response_db(simple, np.array([upper, upper - width]))
    np.testing.assert_allclose(edges, -depth, atol=1e-6)


def test_the_widths_that_a_root_finder_finds():
    def edge(depth, low, high):
        return optimize.brentq(
            lambda f: float(_reference_db(f, 1.0, pairs=2)[0]) + depth, low, high
        )

    for depth in (6.0, 60.0):
        reference = edge(depth, 456e3, 800e3) - edge(depth, 200e3, 454e3)
        found = intermediate_bandwidth(SimpleSet(), down_db=depth)
        assert found == pytest.approx(reference, rel=1e-6, abs=0)


@pytest.mark.parametrize(
    "frequency, loaded_q, circuits, width",
    [
        # B = f/Q: an examination's 21 MHz and Q = 70 give 300 kHz.
        (21e6, 70, 1, 300e3),
        # Two circuits: f/Q·√(√2 - 1), DERIVED.
        (1e6, 100, 2, 6435.94),
    ],
)
def test_a_straight_set_of_tuned_circuits(frequency, loaded_q, circuits, width):
    found = straight_set_bandwidth(frequency, loaded_q, circuits, down_db=10 * math.log10(2))
    assert found == pytest.approx(width, rel=1e-6, abs=0)


@given(st.floats(0.5e6, 25e6), st.floats(20, 200), st.integers(1, 5), st.floats(3, 60))
def test_a_straight_set_grows_wider_with_frequency(frequency, loaded_q, circuits, depth):
    once = straight_set_bandwidth(frequency, loaded_q, circuits, down_db=depth)
    twice = straight_set_bandwidth(2 * frequency, loaded_q, circuits, down_db=depth)
    assert twice == pytest.approx(2 * once, rel=1e-6, abs=0)


@pytest.mark.parametrize(
    "lowest, highest, signal, loaded_q, image, rejection",
    [
        # Kennedy and Davis, "Electronic Communication Systems", receiver chapter: α = 138.65.
        (540e3, 1600e3, 1000e3, 100, 1910e3, 42.84),
        # The same exercise worked at 30 MHz: α = 6.06 (from memory for the printed place).
        (10e6, 30e6, 30e6, 100, 30.91e6, 15.65),
    ],
)
def test_image_rejection_of_one_tuned_circuit(lowest, highest, signal, loaded_q, image, rejection):
    simple = SimpleSet(
        lowest_frequency=lowest, highest_frequency=highest, aerial_loaded_q=loaded_q
    )
    found = judge(simple, signal)
    assert found.image_frequency == image
    assert found.image_rejection_db == pytest.approx(rejection, abs=0.01)
    two = judge(replace(simple, aerial_circuits=2), signal)
    assert two.image_rejection_db == pytest.approx(2 * found.image_rejection_db, rel=1e-6, abs=0)


def test_image_rejection_falls_as_the_set_tunes_up():
    rejections = [judge(SimpleSet(), f).image_rejection_db for f in (6e6, 9e6, 12e6, 15e6, 18e6)]
    assert rejections == sorted(rejections, reverse=True)
    assert rejections[0] > 20 > rejections[-1]


def test_noise_figure_from_the_converter_and_the_circuit_before_it():
    # Reference: R = Q·ω·L, F = 2 + 2·Req/R for an aerial matched to the circuit (DERIVED).
    circuit = 60 * 2 * math.pi * 14e6 * 1.8e-6
    reference = 10 * math.log10(2 + 2 * 240e3 / circuit)
    assert noise_figure_db(SimpleSet(), 14e6) == pytest.approx(reference, rel=1e-6, abs=0)
    assert noise_figure_db(SimpleSet(noise_figure_db=8), 14e6) == 8


def test_sensitivity_follows_from_the_noise_floor():
    # 2400 Hz and 10 dB: a floor of -130.173 dBm (k·T0·B·F, Friis 1944); 10 dB over it in 50 Ω.
    found = judge(SimpleSet(noise_figure_db=10), 14e6, wanted_bandwidth=2400, place="rural")
    assert found.own_noise_dbm == pytest.approx(-130.173, abs=0.001)
    volts = math.sqrt(50 * 1e-3 * 10 ** (-120.173 / 10))
    assert found.signal_for_10_db == pytest.approx(volts, rel=1e-3, abs=0)
    # ITU-R P.372, rural, 14 MHz: F_am = 35.45 dB, far above the set's 10 dB.
    assert found.outside_noise_dbm == pytest.approx(-140.173 + 35.45, abs=0.01)
    assert found.limited_by == "outside noise"
    assert found.signal_with_outside_noise > found.signal_for_10_db


def test_a_quiet_place_lets_a_deaf_set_show():
    # ITU-R P.372, quiet rural, 18 MHz: 53.6 - 28.6·log10 18 = 17.7 dB, under 30 dB of the set.
    found = judge(SimpleSet(noise_figure_db=30), 18e6, place="quiet rural")
    assert found.limited_by == "the set"


@pytest.mark.parametrize("law", PLATE_LAWS)
def test_turning_the_dial_through_covers_the_range(law):
    # Reference: f as a function of the angle, from the plate law's definition; slope by difference.
    low, high = 5.9e6, 18e6
    angle = np.linspace(0, 180, 18001)
    share = angle / 180
    frequency = {
        "capacitance": (low**-2 + (high**-2 - low**-2) * share) ** -0.5,
        "midline": low * (high / low) ** share,
        "frequency": low + (high - low) * share,
    }[law]
    simple = SimpleSet(plate_law=law)
    slope = np.gradient(frequency, angle)
    for index in (100, 5000, 9000, 17900):
        found = tuning_rate(simple, frequency[index])
        assert found == pytest.approx(slope[index], rel=1e-5, abs=0)


def test_how_finely_a_hand_sets_the_dial():
    found = judge(SimpleSet(plate_law="frequency", drive_ratio=10, hand_step_degrees=2), 14e6)
    # (18 - 5.9) MHz over 180°: 67.2 kHz a degree; two degrees at a 10:1 knob are 0.2°. DERIVED.
    assert found.average_tuning_rate == pytest.approx(67222.22, abs=0.01)
    assert found.tuning_rate == pytest.approx(found.average_tuning_rate, rel=1e-6, abs=0)
    assert found.hand_step == pytest.approx(13444.44, abs=0.01)
    assert found.times_too_coarse == pytest.approx(13444.44 / 50, rel=1e-6, abs=0)


def test_a_neighbour_is_hardly_held_back_and_the_numbers_agree_with_each_other():
    found = judge(SimpleSet(), 14e6, wanted_bandwidth=2400, neighbour_offset=3e3)
    reference = -float(_reference_db(458e3, 1.0, pairs=2)[0])
    assert found.neighbour_rejection_db == pytest.approx(reference, abs=1e-6)
    assert found.shape_factor == pytest.approx(found.bandwidth_60db / found.bandwidth_6db, rel=1e-6, abs=0)
    assert found.times_too_wide == pytest.approx(found.bandwidth_6db / 2400, rel=1e-6, abs=0)
    far = neighbour_rejection_db(SimpleSet(), 30e3)
    assert far > 60 > found.neighbour_rejection_db


@pytest.mark.parametrize(
    "change, says",
    [
        ({"lowest_frequency": math.nan}, "lowest frequency must be a finite"),
        ({"highest_frequency": 5.9e6}, "must be above its lowest of 5.9 MHz"),
        ({"transformers": 2.5}, "is not whole"),
        ({"transformers": 0}, "is below"),
        ({"aerial_circuits": 99}, "is above"),
        ({"coupling": -1}, "coupling in units of critical (kQ) of -1 is below"),
        ({"transformer_loaded_q": "high"}, "loaded Q must be a number"),
        ({"plate_law": "<i>"}, "choose midline, capacitance, frequency"),
        ({"noise_figure_db": -3}, "noise figure of -3 dB is below"),
        ({"drive_ratio": 0}, "reduction of 0 is below"),
    ],
)
def test_an_absurd_set_is_refused_with_a_sentence(change, says):
    with pytest.raises(Unclear) as refused:
        SimpleSet(**change)
    assert says in str(refused.value)
    assert str(refused.value).endswith(".")


@pytest.mark.parametrize(
    "call, says",
    [
        (lambda: judge(SimpleSet(), 3.5e6), "signal frequency of 3.5 MHz is below"),
        (lambda: judge(SimpleSet(), math.inf), "must be a finite number"),
        (lambda: judge(SimpleSet(), 7e6, wanted_bandwidth=0), "wanted bandwidth of 0 Hz"),
        (lambda: judge(SimpleSet(), 7e6, neighbour_offset=-3e3), "neighbour's distance of -3 kHz"),
        (lambda: judge(SimpleSet(), 7e6, place="sea"), "no place 'sea'"),
        (lambda: judge(SimpleSet(), 7e6, injection="left"), "choose high, low or sum"),
        (lambda: judge(SimpleSet(), 7e6, setting_needed=0), "setting needed of 0 Hz is below"),
        (lambda: intermediate_response_db(SimpleSet(), [455e3, -1.0]), "-1 Hz is below"),
        (lambda: intermediate_bandwidth(SimpleSet(), down_db=0), "is below"),
        (lambda: straight_set_bandwidth(1e6, 100, 1.5), "is not whole"),
        (lambda: straight_set_bandwidth(1e6, 0, 1), "loaded Q of 0 is below"),
        (lambda: tuning_rate(SimpleSet(), 30e6), "frequency of 30 MHz is above"),
    ],
)
def test_absurd_questions_are_refused_with_a_sentence(call, says):
    with pytest.raises(Unclear) as refused:
        call()
    assert says in str(refused.value)
    assert str(refused.value).endswith(".")

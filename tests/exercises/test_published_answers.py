"""Answers against published examples and plain arithmetic; the expected numbers use no rxlearn."""

import pytest

from rxlearn.exercises import registry


def answer(key, **numbers):
    return registry.find(key).answer(numbers)


# Injection side

@pytest.mark.parametrize(
    ("signal", "intermediate", "injection", "oscillator", "image"),
    [
        # G. Kennedy and B. Davis, Electronic Communication Systems, receiver chapter, worked
        # example (the title from memory): tuned to 1000 kHz, intermediate frequency 455 kHz.
        (1000e3, 455e3, "high", 1455e3, 1910e3),
        # NEETS Module 17 (not seen; from service-text examples): 600 kHz on 455 kHz.
        (600e3, 455e3, "high", 1055e3, 1510e3),
        # DERIVED from the definition: oscillator 6.5 MHz below 8 MHz, image 5 MHz.
        (8.0e6, 1.5e6, "low", 6.5e6, 5.0e6),
        # DERIVED: 14.2 MHz on 9 MHz, oscillator 5.2 MHz; the image folds to 3.8 MHz.
        (14.2e6, 9.0e6, "low", 5.2e6, 3.8e6),
    ],
)
def test_oscillator_and_image(signal, intermediate, injection, oscillator, image):
    numbers = dict(signal=signal, intermediate_frequency=intermediate, injection=injection)
    assert answer("injection.oscillator", **numbers) == pytest.approx(oscillator, abs=0.1)
    assert answer("injection.image", **numbers) == pytest.approx(image, abs=0.1)


def test_broadcast_band_ratios():
    """Textbook plan, 540 to 1600 kHz on 455 kHz: 995 to 2055 kHz (from memory); ratios DERIVED."""
    band = dict(low=540e3, high=1600e3, intermediate_frequency=455e3)
    assert answer("injection.tuning_ratio", **band) == pytest.approx(2055 / 995, rel=1e-9, abs=0)
    assert answer("injection.tuning_ratio", **band) == pytest.approx(2.065, abs=5e-4)
    assert answer("injection.capacitance_ratio", **band) == pytest.approx(4.266, abs=5e-4)
    assert answer("injection.image_in_band", **band) == pytest.approx(690e3, rel=1e-6, abs=0)


# Image swapping

@pytest.mark.parametrize(
    ("signal", "intermediate", "rejection_db", "tolerance"),
    [
        # Kennedy and Davis, as above: 1000 kHz, 455 kHz, Q 100; printed ratio 138.6, 42.84 dB.
        (1000e3, 455e3, 42.84, 0.01),
        # A published worked solution (printed 6.063, its ρ rounded): 30 MHz, 455 kHz, Q 100.
        (30e6, 455e3, 15.65, 0.01),
        # A published examination answer: 600 kHz, 450 kHz, Q 100; ratio 210, 46.44 dB.
        (600e3, 450e3, 46.44, 0.01),
    ],
)
def test_image_rejection(signal, intermediate, rejection_db, tolerance):
    numbers = dict(signal=signal, intermediate_frequency=intermediate, injection="high",
                   loaded_q=100.0)
    assert answer("swap.image_rejection", **numbers) == pytest.approx(rejection_db, abs=tolerance)
    assert answer("swap.two_circuits", **numbers) == pytest.approx(2 * rejection_db, abs=0.02)


DEMO_PAIR = dict(low=3.5e6, high=4.0e6, upper_low=10.1e6, upper_high=10.15e6,
                 intermediate_frequency=3.2768e6)


def test_demo_pair():
    """DERIVED from the definition, by hand: middles 3.75, 10.125 MHz; oscillators 178.6 kHz off."""
    assert answer("swap.meeting", **DEMO_PAIR) == pytest.approx(3.1875e6, rel=1e-6, abs=0)
    assert answer("swap.miss", **DEMO_PAIR) == pytest.approx(178.6e3, abs=1)
    assert answer("swap.dial_share", **DEMO_PAIR) == pytest.approx(10.0, rel=1e-6, abs=0)
    assert answer("swap.radiation", **DEMO_PAIR) == pytest.approx(3.7232e6, rel=1e-6, abs=0)


def test_recentring_capacitor():
    """DERIVED from Thomson's formula with the trade's constant 25330.3 (µH, pF, MHz): Terman."""
    total = [25330.3 / 1.83 / megahertz**2 for megahertz in (7.0268, 6.8482)]
    value = answer("swap.recentring", **DEMO_PAIR, inductance=1.83e-6)
    assert value == pytest.approx((total[1] - total[0]) * 1e-12, rel=1e-4, abs=0)


def test_rejection_at_the_intermediate_frequency():
    """DERIVED: ρ = 3.5/3.2768 - 3.2768/3.5 = 0.13187, Qρ = 6.594, ratio 6.669, 16.48 dB."""
    numbers = dict(signal=3.5e6, intermediate_frequency=3.2768e6, injection="high", loaded_q=50.0)
    assert answer("swap.if_rejection", **numbers) == pytest.approx(16.48, abs=0.01)


# Basics

def test_width_of_a_tuned_circuit():
    """A published examination answer: 21 MHz with Q 70 is 300 kHz wide."""
    assert answer("basics.straight_width", frequency=21e6, loaded_q=70.0) == pytest.approx(300e3, rel=1e-6, abs=0)


def test_noise_in_two_widths():
    """kT0B of 6 kHz and 500 Hz, -136.194 and -146.985 dBm: DERIVED, SI Boltzmann constant."""
    difference = answer("basics.noise_width", wide=6e3, narrow=500.0)
    assert difference == pytest.approx(146.985 - 136.194, abs=0.002)


def test_gain_in_decibels():
    """DERIVED from the definition: a millionfold in voltage is 120 dB."""
    assert answer("basics.gain", aerial=1e-6, detector=1.0) == pytest.approx(120.0, rel=1e-6, abs=0)


def test_neighbour():
    """DERIVED: at the 3 dB point of one circuit, Q 100 at 1 MHz, 5.0125 kHz off (Qρ = 1)."""
    value = answer("basics.neighbour", frequency=1e6, loaded_q=100.0, offset=5012.5)
    assert value == pytest.approx(3.0103, abs=0.001)


def test_hand_step():
    """DERIVED: 12 MHz over 180 degrees, geared 6 to 1, 1 degree: 11.11 kHz."""
    value = answer("basics.hand_step", low=6e6, high=18e6, drive=6.0, turn=1.0)
    assert value == pytest.approx(12e6 / 180 / 6, rel=1e-6, abs=0)


def test_sum_and_difference():
    """DERIVED from the product of two cosines."""
    numbers = dict(oscillator=1455e3, signal=1e6)
    assert answer("basics.difference", **numbers) == pytest.approx(455e3, rel=1e-6, abs=0)
    assert answer("basics.sum", **numbers) == pytest.approx(2455e3, rel=1e-6, abs=0)

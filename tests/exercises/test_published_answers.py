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
    assert answer("injection.tuning_ratio", **band) == pytest.approx(2055 / 995, rel=1e-9)
    assert answer("injection.tuning_ratio", **band) == pytest.approx(2.065, abs=5e-4)
    assert answer("injection.capacitance_ratio", **band) == pytest.approx(4.266, abs=5e-4)
    assert answer("injection.image_in_band", **band) == pytest.approx(690e3)

"""Predictions on a third band; each names all its numbers, so that it holds for any plan."""

from __future__ import annotations

from rxlearn.compute.converter_plan import plan_converter
from rxlearn.compute.converter_setting import tune_converter
from rxlearn.compute.tuning import HIGH, plan_band
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Tolerance
from rxlearn.exercises.third_band_numbers import LESSON

_BAND = (18.068e6, 18.168e6)


def _planned(crystal, band=_BAND):
    return plan_converter(*band, crystal, plan_band(3.5e6, 4.0e6, 3.2768e6, HIGH))


def _landing():
    return tune_converter(_planned(14.31818e6), 18.1e6).reading


def _direction():
    """What the stretch and the direction do when the crystal changes sides."""
    middle = sum(_BAND) / 2
    below, above = (_planned(middle + away) for away in (-3.7e6, 3.7e6))
    same = all(abs(a - b) < 1 for a, b in zip(below.stretch, above.stretch))
    if not same:
        return "other_end"
    return "turned" if below.dial_reversed != above.dial_reversed else "stays"


def _image():
    return tune_converter(_planned(14.31818e6), 18.118e6).also_heard[0].frequency


def _whistle():
    """How the lowest whistle goes along when the crystal moves by 10 kHz."""
    first, then = (
        min(_planned(crystal, (21.0e6, 21.45e6)).whistles,
            key=lambda row: (row.order, row.frequency)).frequency
        for crystal in (25.0e6, 25.01e6))
    moved = then - first
    return "same" if abs(moved - 10e3) < 1 else "less" if 1 < moved < 10e3 else "stays"


PREDICTIONS = (
    Prediction(
        key="third.predict_landing",
        lesson=LESSON,
        prompt="A converter's crystal runs on 14.31818 MHz. You listen to 18.1 MHz through it, on "
               "a dial that goes from 3.5 MHz to 4 MHz. What does the dial read?",
        unit="Hz",
        digits=5,
        truth=_landing,
        near=Tolerance("A guess within 50 kHz is a good one.", absolute=50e3),
        because=lambda: "The mixer gives the difference of the two: take the crystal off.",
    ),
    Prediction(
        key="third.predict_direction",
        lesson=LESSON,
        prompt="The crystal is moved from below the third band to above it, as far from its middle "
               "as before. What does the band do on the main dial?",
        options=(("turned", "It stays where it is, but runs backwards."),
                 ("other_end", "It moves to the other end of the dial."),
                 ("stays", "It stays as it is: only the difference counts.")),
        truth=_direction,
        because=lambda: "The middle lies as far from the crystal as before and is read there. But "
                        "what was farthest from the crystal is now nearest, so the ends change "
                        "places.",
    ),
    Prediction(
        key="third.predict_image",
        lesson=LESSON,
        prompt="A converter with a crystal on 14.31818 MHz is tuned to 18.118 MHz. Without tuned "
               "circuits before it, which other frequency would be read at the same place?",
        unit="Hz",
        digits=5,
        truth=_image,
        near=Tolerance("A guess within a tenth is a good one.", relative=0.1),
        because=lambda: "It lies as far from the crystal, on the other side.",
    ),
    Prediction(
        key="third.predict_whistle",
        lesson=LESSON,
        prompt="A whistle in 15 m comes from the main oscillator's third harmonic with a crystal "
               "on 25 MHz. You put in a crystal 10 kHz higher. What does the whistle do?",
        options=(("same", "It moves by 10 kHz with the crystal."),
                 ("less", "It moves, but by less."),
                 ("stays", "It stays where it is.")),
        truth=_whistle,
        because=lambda: "The main oscillator must follow by a third of the change for its third "
                        "harmonic to meet the crystal again, and what you hear is the crystal less "
                        "that reading.",
    ),
)

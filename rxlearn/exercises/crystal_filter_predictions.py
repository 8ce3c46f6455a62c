"""Predictions on the crystal filter, about crystals such as the demo receiver's."""

from __future__ import annotations

from rxlearn.compute.beat_and_filter import beat_against
from rxlearn.compute.crystal import typical_crystal
from rxlearn.compute.crystal_curve import read_fixture, sweep_crystal
from rxlearn.compute.crystal_ladder import design_ladder
from rxlearn.compute.ladder_measures import measure_ladder
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Tolerance

LESSON = "crystal_filter"

_FREQUENCY, _WIDTH = 3.2768e6, 2200.0


def _measured(crystals):
    return measure_ladder(design_ladder(typical_crystal(_FREQUENCY), crystals, _WIDTH).ladder)


def _loaded():
    """Which way 20 pF in series move the crystal's series resonance."""
    crystal = typical_crystal(_FREQUENCY)
    moved = sweep_crystal(crystal, 20e-12, 0.999 * _FREQUENCY, 1.01 * _FREQUENCY).pulled
    return "up" if moved > 10 else "down" if moved < -10 else "same"


def _doubled():
    """By which factor the loss in the pass band grows from four crystals to eight."""
    return _measured(8).insertion_loss_db / _measured(4).insertion_loss_db


def _in_the_middle():
    """What the filter does to the station below a beat oscillator in its middle, dB."""
    found = beat_against(_measured(4), 4, 0.0, 700.0, _FREQUENCY, _FREQUENCY + 4e3)
    off = found.suppression_db
    return "none" if off < 3 else "some" if off < 20 else "all"


def _wider():
    """By which factor the peak widens from 25 Ω in the fixture to 100 Ω."""
    crystal = typical_crystal(_FREQUENCY)
    low, high = (read_fixture(crystal, r, -20.0, 20.0, 1000.0).width for r in (25.0, 100.0))
    return high / low


PREDICTIONS = (
    Prediction(
        key="crystal.predict_load",
        lesson=LESSON,
        prompt="You put a capacitor of 20 pF in series with a crystal. What does the frequency do at "
               "which the two together are lowest in impedance?",
        options=(("up", "It rises."), ("same", "It stays: quartz decides, not the capacitor."),
                 ("down", "It falls, as it does in a tuned circuit.")),
        truth=_loaded,
        because=lambda: "In a tuned circuit you add capacitance across, and it falls. In series the "
                        "whole becomes smaller than the crystal's own few femtofarads, so it rises, "
                        "by some hundred hertz.",
    ),
    Prediction(
        key="crystal.predict_more",
        lesson=LESSON,
        prompt="A ladder of four crystals is replaced by one of eight of the same crystals, as wide "
               "as before. By which factor does the loss in its pass band grow?",
        unit="", digits=2,
        truth=_doubled,
        near=Tolerance("A guess within a third is a good one.", relative=1 / 3),
        because=lambda: "Each crystal takes its share, so twice as many take about twice the "
                        "decibels. With good crystals and a width for speech that is still little; "
                        "what doubles as well is how long a dot rings.",
    ),
    Prediction(
        key="crystal.predict_middle",
        lesson=LESSON,
        prompt="The beat oscillator stands in the middle of a filter for speech. Two equally strong "
               "stations stand 700 Hz above and 700 Hz below it. Which do you hear?",
        options=(("none", "Both, equally loud, at one pitch."),
                 ("some", "The upper one better."),
                 ("all", "The upper one alone: the other has a negative pitch.")),
        truth=_in_the_middle,
        because=lambda: "A difference has no sign, and the filter passes both. In its middle a beat "
                        "oscillator makes the filter useless against the other side.",
    ),
    Prediction(
        key="crystal.predict_fixture",
        lesson=LESSON,
        prompt="A usual crystal for 3.2768 MHz of 40 Ω is in a fixture of 25 Ω. You replace the "
               "fixture's resistors so that it has 100 Ω. How many times as wide does the peak become?",
        unit="", digits=2,
        truth=_wider,
        near=Tolerance("A guess within a tenth is a good one.", relative=0.1),
        because=lambda: "The crystal's own resistance counts too: 65 Ω became 140 Ω, and the width "
                        "goes with all that is in the loop.",
    ),
)
"""One for each live figure of the lesson."""

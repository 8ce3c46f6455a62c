"""Predictions on choosing frequencies, about the demo receiver and the pairs of bands."""

from __future__ import annotations

from functools import cache

from rxlearn.compute.frequency_choice import AtHand, Band, choose_frequencies
from rxlearn.compute.frequency_choice_columns import DIFFERENCE
from rxlearn.compute.frequency_choice_views import PAIRS_ORDER, survey_pairs, weigh_groups
from rxlearn.compute.frequency_walk import walk_to
from rxlearn.data.crystals import STOCK_CRYSTALS
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Tolerance
from rxlearn.exercises.receiver_numbers import DEMO
from rxlearn.exercises.wording import decibels

LESSON = "choosing_the_intermediate_frequency"

LOWER = Band("80 m", DEMO["lower_band.low"], DEMO["lower_band.high"])
UPPER = Band("30 m", DEMO["upper_band.low"], DEMO["upper_band.high"])


def _rejections(intermediate):
    """Image and breakthrough (dB, at worst on the lower band) at an intermediate frequency."""
    here = walk_to(LOWER, UPPER, intermediate, STOCK_CRYSTALS, arrangement=DIFFERENCE,
                   at_hand=AtHand()).here
    return here["image_lower"], here["breakthrough"]


def _walk():
    image, through = (_rejections(3.2768e6)[part] - _rejections(1e6)[part] for part in (0, 1))
    return f"{'more' if image > 0 else 'less'}_{'more' if through > 0 else 'less'}"


@cache
def _demo_choice():
    return choose_frequencies([(LOWER, UPPER)])


def _leader(**weights):
    choice = _demo_choice()
    row = weigh_groups(choice, **weights).rows[0]
    return choice.crystals[choice.crystal[row]].frequency


@cache
def _survey():
    return survey_pairs(STOCK_CRYSTALS, AtHand(region=2, order=PAIRS_ORDER))


PREDICTIONS = (
    Prediction(
        key="choice.predict_walk",
        lesson=LESSON,
        prompt="In the demo receiver one circuit of loaded Q 50 stands before the mixer, and 3.5 MHz "
               "to 4 MHz is received with the oscillator on the high side. You raise the intermediate "
               "frequency from 1 MHz to 3.2768 MHz. What becomes of the image, and of a station "
               "on the intermediate frequency itself?",
        options=(("more_more", "Both are held down better."),
                 ("more_less", "The image better, the station worse."),
                 ("less_more", "The image worse, the station better."),
                 ("less_less", "Both are held down worse.")),
        truth=_walk,
        because=lambda: "The image moves away from the band, while the intermediate frequency "
                        f"draws near to it: {decibels(_rejections(1e6)[1])} shrink to "
                        f"{decibels(_rejections(3.2768e6)[1])}.",
    ),
    Prediction(
        key="choice.predict_weights",
        lesson=LESSON,
        prompt="For the demo receiver a crystal of 3.072 MHz leads, a little before one of "
               "3.2768 MHz, which fits the dial better but puts the intermediate frequency on a "
               "broadcast band. You take all weight off neighbours and whistles. Who leads now?",
        options=(("same", "The same crystal still leads."),
                 ("other", "The other crystal takes the lead."),
                 ("neither", "A third one takes the lead.")),
        truth=lambda: {3.072e6: "same", 3.2768e6: "other"}.get(_leader(quiet=0.0), "neither"),
        because=lambda: "Nothing of the receiver has changed, only what matters to you: a ranking "
                        "is a question of taste as well as of sums. With other bands other crystals "
                        "lead.",
    ),
    Prediction(
        key="choice.predict_pairs",
        lesson=LESSON,
        prompt="Take every pair of amateur bands from 1.8 MHz to 30 MHz in the Americas, the stock "
               "crystals, and a switched capacitor that moves the oscillator by 5 % at most. For "
               "what percentage of the pairs does a crystal serve?",
        unit="%",
        truth=lambda: 100 * _survey().served / len(_survey().best),
        near=Tolerance("A guess within a fifth is a good one.", relative=0.2),
        digits=2,
        because=lambda: "Two arrangements and many crystals give most pairs a choice; the others "
                        "meet where no clock was ever made. Other regions have other band edges, and a "
                        "few pairs more or less.",
    ),
)

"""Questions on the crystal filter, continued: what one decides and does."""

from __future__ import annotations

import numpy as np

from rxlearn.compute.beat_and_filter import beat_against
from rxlearn.compute.crystal import closest_set, typical_crystal
from rxlearn.compute.ladder_setting import set_ladder
from rxlearn.exercises.crystal_filter_predictions import LESSON
from rxlearn.exercises.questions import Option, Question
from rxlearn.exercises.wording import hz

# Four alike out of a bag -----------------------------------------------------------------

_BAGS = ((0, 35, 290, 310, 334, 355, 620, 905), (0, 240, 262, 271, 300, 560, 900, 940),
         (0, 180, 420, 655, 668, 690, 702, 930))
"""Distances (Hz) of eight crystals from the lowest of the bag, in rising order."""


def _draw_bag(rng, plan):
    return {"bag": int(rng.integers(len(_BAGS))), "step": int(rng.integers(1, 4))}


def _places(n):
    return closest_set(4e6 + n["step"] * np.array(_BAGS[n["bag"]], float), 4)


_SETS = {"lowest": lambda n: (0, 1, 2, 3), "run": _places, "any": lambda n: (0, 7)}
"""Option to the places of its crystals in the row, as far as it names them."""


def _span(n, places):
    return n["step"] * (_BAGS[n["bag"]][places[-1]] - _BAGS[n["bag"]][places[0]])


def _list(n):
    return ", ".join(f"{n['step'] * off} Hz" for off in _BAGS[n["bag"]])


ALIKE = Question(
    key="crystal.alike",
    lesson=LESSON,
    prompt=lambda n: "Eight crystals were measured in one oscillator. Above the lowest lie, in "
                     f"order: {_list(n)}. You need four for a ladder 2.4 kHz wide. Which?",
    draw=_draw_bag,
    answer=lambda n: min(_SETS, key=lambda key: _span(n, _SETS[key](n))),
    working=lambda n: [
        "What counts is how far the four differ from each other, not from the marking.",
        "Four neighbours in the row always differ least: slide a window of four along it.",
        f"The closest four differ by {_span(n, _places(n))} Hz, and a tenth of the width, "
        "240 Hz, would be allowed.",
    ],
    hints=("Must they be near the marking, or near each other?", "Look at the differences in the row."),
    options=(
        Option("lowest", "The four lowest",
               lambda n: f"They differ by {_span(n, (0, 1, 2, 3))} Hz: others lie closer together."),
        Option("run", "The four neighbours in the row that differ least",
               "Neighbours that differ least make the smallest difference."),
        Option("marked", "Those nearest to the marked frequency",
               "The marking does not matter here: a filter moves with its crystals, as long as they "
               "move together."),
        Option("any", "Any four: all carry the same marking",
               lambda n: f"The marking says nothing to the hertz: they differ by up to "
                         f"{_span(n, (0, 7))} Hz."),
    ),
)


# Which filter for speech -----------------------------------------------------------------


def _best(n):
    """The smallest filter of those offered that passes a voice and is steep enough."""
    crystal = typical_crystal(4e6)
    for key, crystals, width in (("two", 2, 2400.0), ("six", 6, 2400.0), ("narrow", 8, 500.0)):
        found = set_ladder(crystal, crystals, width, 4e6, 4.01e6).measures
        if found.width_6 > 2000 and found.shape_factor < 4:
            return key
    return "wide"


VOICE = Question(
    key="crystal.voice",
    lesson=LESSON,
    prompt=lambda n: "You want to hear voices on single sideband, and have a bag of crystals for "
                     "4 MHz. Which ladder do you build?",
    draw=lambda rng, plan: {},
    answer=_best,
    working=lambda n: [
        "A voice needs 300 Hz to 2700 Hz: about 2.4 kHz, no less.",
        "Two crystals fall too slowly to hold the other sideband down.",
        "Six of 2.4 kHz pass the voice and little else; more would be steeper, but need crystals "
        "more alike and more work.",
    ],
    hints=("How wide is a voice?", "How steep must the slope beside it be?"),
    options=(
        Option("two", "Two crystals, 2.4 kHz wide",
               "The voice passes, but so does most of the other sideband: the slopes are too flat."),
        Option("six", "Six crystals, 2.4 kHz wide",
               "Wide enough for a voice and steep enough beside it."),
        Option("narrow", "Eight crystals, 500 Hz wide: as narrow as it goes",
               "That is for code: of a voice a murmur is left, and every crackle rings."),
        Option("wide", "Four crystals, 9 kHz wide, to lose nothing",
               "That is broader than a voice by far, and more than such crystals allow: neighbours "
               "come in."),
    ),
)


# Ripple ----------------------------------------------------------------------------------


def _ripple(n):
    """Which of the remedies brings the ripple down: by trying each on the same filter."""
    crystal = typical_crystal(4e6)

    def ripple(crystals=4, spread=0.0, termination=n["percent"]):
        return set_ladder(crystal, crystals, 2400.0, 4e6, 4.01e6, spread=spread,
                          termination=float(termination)).measures.ripple_db

    tried = {"ends": ripple(termination=100), "more": ripple(crystals=6), "leave": ripple(),
             "detune": ripple(spread=300.0)}
    return min(tried, key=tried.get)


RIPPLE = Question(
    key="crystal.ripple",
    lesson=LESSON,
    prompt=lambda n: "Your ladder of four equal crystals is finished. Between the stages at hand its "
                     f"ends see {n['percent']} % of the resistance it was designed for, and the pass "
                     "band has deep dips. What do you do?",
    draw=lambda rng, plan: {"percent": int(rng.choice([20, 25, 30]))},
    answer=_ripple,
    working=lambda n: [
        "A filter keeps its shape only between the resistances it was designed for.",
        f"With {n['percent']} % much of what arrives at an end goes back into the filter: these "
        "echoes are the dips.",
        "A resistor in series, a transformer or a coil and a capacitor brings the ends up again.",
    ],
    hints=("Are the crystals to blame, if they are equal?", "Turn the ends in the ladder's figure."),
    options=(
        Option("ends", "Bring both ends to the resistance it was designed for",
               "That takes the echoes away at their source."),
        Option("more", "Add two crystals",
               "With wrong ends a longer filter has more dips, not fewer."),
        Option("detune", "Move every other crystal a little",
               "Crystals that differ make humps of their own on top of it."),
        Option("leave", "Leave it: dips belong to a crystal filter",
               "A filter that is ended rightly has hardly any."),
    ),
)


# The beat oscillator in the middle -------------------------------------------------------


def _draw_middle(rng, plan):
    return {"pitch": int(rng.choice([500, 600, 700, 800]))}


def _cure(n):
    """What parts two stations on either side of zero beat most: by trying each on one filter."""
    measures = set_ladder(typical_crystal(4e6), 4, 2400.0, 4e6, 4.01e6).measures

    def parted(place):
        found = beat_against(measures, 4, place, float(n["pitch"]), 4e6, 4.01e6)
        return found.suppression_db

    # Behind the detector both have one pitch, so what is done there acts on both alike.
    tried = {"slope": parted(measures.width_6 / 2 + 300), "audio": parted(0.0),
             "volume": parted(0.0)}
    return max(tried, key=tried.get)


SINGLE = Question(
    key="crystal.single",
    lesson=LESSON,
    prompt=lambda n: "A filter 2.4 kHz wide, the beat oscillator in its middle. As you tune across a "
                     f"station its pitch falls to nothing and rises again to {hz(n['pitch'])} on the "
                     "other side, as loud as before. How do you get rid of the second time?",
    draw=_draw_middle,
    answer=_cure,
    working=lambda n: [
        "On either side of zero beat the pitch is the same, so nothing behind the detector can "
        "tell them apart.",
        "In the middle of the filter both sides pass. On a slope one side falls outside.",
        "So put the beat oscillator where the filter holds it down 20 dB or more, and leave the "
        "filter where it is.",
    ],
    hints=("Which part of the receiver still has both frequencies apart?",
           "Turn the beat oscillator in the figure and listen."),
    options=(
        Option("slope", "Put the beat oscillator on a slope of the filter",
               "Then one side of zero beat falls outside the pass band."),
        Option("audio", "A narrower filter behind the detector",
               "Behind the detector both sides have one and the same pitch: no audio filter can part "
               "them."),
        Option("volume", "More gain before the detector",
               "Both sides get it alike."),
    ),
)


CHOICES = (ALIKE, VOICE, RIPPLE, SINGLE)
"""In the order of the lesson."""

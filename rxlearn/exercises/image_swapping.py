"""Questions on image swapping: meeting frequency, dial share, recentring; the rest beside it."""

from __future__ import annotations

import math

from rxlearn.compute.image_swapping import meeting_intermediate_frequency, swap_bands, tuned_pair
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.recentring import recentre
from rxlearn.compute.tank import capacitance_for
from rxlearn.compute.tuning import HIGH, LOW
from rxlearn.exercises.image_swapping_predictions import LESSON, PREDICTIONS
from rxlearn.exercises.image_swapping_rejection import QUESTIONS as REJECTION_QUESTIONS
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance
from rxlearn.exercises.receiver_numbers import demo_instead, dial_frequency, receiver
from rxlearn.exercises.wording import hz, khz, whose

__all__ = ["LESSON", "PREDICTIONS", "QUESTIONS"]

KILOHERTZ = Tolerance("Dial and crystal are read to a kilohertz, so come as near as that.",
                      absolute=1e3)

_PAIRS = (
    (3.5e6, 4.0e6, 10.1e6, 10.15e6, 3.2768e6),
    (14.0e6, 14.35e6, 18.068e6, 18.168e6, 2.0e6),
    (10.1e6, 10.15e6, 14.0e6, 14.35e6, 2.048e6),
    (1.8e6, 2.0e6, 10.1e6, 10.15e6, 4.096e6),
    (7.0e6, 7.3e6, 14.0e6, 14.35e6, 3.579545e6),
    (3.5e6, 4.0e6, 24.89e6, 24.99e6, 10.7e6),
)
"""Pairs of bands with a crystal that can be bought, to practise on (arithmetic, not praise)."""


def _draw_pair(rng, plan):
    low, high, upper_low, upper_high, crystal = _PAIRS[int(rng.integers(len(_PAIRS)))]
    return {"low": low, "high": high, "upper_low": upper_low, "upper_high": upper_high,
            "intermediate_frequency": crystal}


def _edges(n):
    return (n["low"], n["high"], n["upper_low"], n["upper_high"], n["intermediate_frequency"])


def _scheme(n):
    return swap_bands(*_edges(n))


def _pair_of(numbers):
    return {"own": numbers["own"], "why": numbers["why"], "low": numbers["lower_band.low"],
            "high": numbers["lower_band.high"], "upper_low": numbers["upper_band.low"],
            "upper_high": numbers["upper_band.high"],
            "intermediate_frequency": numbers["intermediate_frequency"],
            "inductance": numbers["oscillator.inductance"]}


def _draw_swapping(rng, plan):
    """The plan's pair if it swaps images and can be recentred, else the demo's."""
    numbers = receiver(plan)
    pair = _pair_of(numbers)
    sides = numbers["lower_band.injection"], numbers["upper_band.injection"]
    try:
        if sides != (HIGH, LOW):
            why = " ".join(swap_bands(
                *_edges(pair), lower_injection=sides[0], upper_injection=sides[1]).reasons)
        elif recentre(_scheme(pair), pair["inductance"]).switched_on:
            return pair
        else:
            why = "The middles of your two bands meet exactly, so there is nothing to recentre."
    except Unclear as reason:
        why = str(reason)
    return _pair_of(demo_instead(why))


def _bands(n):
    return (f"{hz(n['low'])} to {hz(n['high'])}, high-side, and {hz(n['upper_low'])} to "
            f"{hz(n['upper_high'])}, low-side")


# The intermediate frequency at which two bands meet, and what a crystal makes of it.

def _meeting(n):
    return meeting_intermediate_frequency((n["low"], n["high"]), (n["upper_low"], n["upper_high"]))


def _middles(n):
    return (n["low"] + n["high"]) / 2, (n["upper_low"] + n["upper_high"]) / 2


MEETING = Question(
    key="swap.meeting",
    lesson=LESSON,
    prompt=lambda n: f"One oscillator range is to serve {_bands(n)}. Which intermediate frequency "
                     "puts the middles of both bands on the same oscillator frequency?",
    draw=_draw_pair,
    answer=_meeting,
    working=lambda n: [
        f"The middles are {hz(_middles(n)[0])} and {hz(_middles(n)[1])}.",
        "The oscillator stands half-way, one intermediate frequency from each.",
        f"Half their distance is ({hz(_middles(n)[1])} - {hz(_middles(n)[0])}) / 2 = "
        f"{hz(_meeting(n))}.",
    ],
    hints=("Find the middle of each band.",
           "The oscillator lies above one by the intermediate frequency, below the other by as "
           "much."),
    unit="Hz",
    tolerance=KILOHERTZ,
    misconceptions=(
        Misconception("whole", lambda n: 2 * _meeting(n),
                      "That is the whole distance: two signals that are each other's image lie "
                      "twice the intermediate frequency apart."),
        Misconception("oscillator", lambda n: sum(_middles(n)) / 2,
                      "That is where the oscillator stands: the intermediate frequency is how far "
                      "either band is from there."),
        Misconception("gap", lambda n: (n["upper_low"] - n["high"]) / 2,
                      "You took the gap between the bands: take the distance of their middles."),
        Misconception("crystal", lambda n: n["intermediate_frequency"],
                      "That crystal can be bought, but it misses: work out where they meet."),
    ),
)


def _shift(n):
    return abs(_scheme(n).centre_shift)


def _ranges(n):
    scheme = _scheme(n)
    return (scheme.lower.oscillator_low, scheme.lower.oscillator_high,
            scheme.upper.oscillator_low, scheme.upper.oscillator_high)


MISS = Question(
    key="swap.miss",
    lesson=LESSON,
    prompt=lambda n: f"A crystal of {hz(n['intermediate_frequency'])} serves {_bands(n)}. How far "
                     "apart do the middles of the two oscillator ranges lie?",
    draw=_draw_pair,
    answer=_shift,
    working=lambda n: [
        f"The bands would meet at {hz(_meeting(n))}; the crystal misses that by "
        f"{khz(abs(_scheme(n).miss))}.",
        f"One oscillator range runs {hz(_ranges(n)[0])} to {hz(_ranges(n)[1])}, the other "
        f"{hz(_ranges(n)[2])} to {hz(_ranges(n)[3])}.",
        "The miss counts on both bands, once up and once down, so the middles lie twice as far "
        f"apart: {hz(_shift(n))}.",
    ],
    hints=("Work out both oscillator ranges first.",
           "Add the crystal to the middle of the lower band, and take it from that of the upper."),
    unit="Hz",
    tolerance=KILOHERTZ,
    misconceptions=(
        Misconception("once", lambda n: _shift(n) / 2,
                      "That is how far the crystal misses: it counts on both bands, so the middles "
                      "lie twice as far apart."),
        Misconception("low_ends", lambda n: abs(_ranges(n)[2] - _ranges(n)[0]),
                      "That is how far the low ends lie apart: take the middles."),
        Misconception("high_ends", lambda n: abs(_ranges(n)[3] - _ranges(n)[1]),
                      "That is how far the high ends lie apart: take the middles."),
    ),
)


# What share of the dial, and which capacitor brings it to the middle?

def _share(n):
    scheme = _scheme(n)
    return 100 * min(scheme.lower_share, scheme.upper_share)


def _spans(n):
    scheme = _scheme(n)
    return sorted((scheme.lower.oscillator_span, scheme.upper.oscillator_span))


def _percent(value):
    return show(value, "%", digits=3)


SHARE = Question(
    key="swap.dial_share",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} tunes {_bands(n)}, with one oscillator. The dial is laid out "
                     "for the wider band. What percentage of it does the narrower band fill?",
    draw=_draw_swapping,
    answer=_share,
    working=lambda n: [
        f"An oscillator moves as far as the signal does: {khz(_spans(n)[1])} on one band, "
        f"{khz(_spans(n)[0])} on the other.",
        f"{khz(_spans(n)[0])} of {khz(_spans(n)[1])} is {_percent(_share(n))}.",
    ],
    hints=("How wide is each band, in kHz?",
           "The intermediate frequency shifts a range but does not stretch it."),
    unit="%",
    tolerance=Tolerance("Nobody reads a dial's share closer than one part in fifty.",
                        relative=0.02),
    digits=3,
    uses_plan=True,
    misconceptions=(
        Misconception("rest", lambda n: 100 - _share(n),
                      "That is the part that stays empty: the rest is what the band fills."),
        Misconception("upside_down", lambda n: 1e4 / _share(n),
                      "You divided the wider by the narrower: turn it round."),
        Misconception("relative", lambda n: 100 * _spans(n)[0] / _middles(n)[1],
                      "You compared the band's width with its frequency: compare it with the "
                      "dial's width."),
    ),
)


def _recentring(n):
    return recentre(_scheme(n), n["inductance"]).capacitance


def _centres(n):
    """Middles of the two oscillator ranges, the higher first."""
    scheme = _scheme(n)
    return sorted((scheme.lower.oscillator_centre, scheme.upper.oscillator_centre), reverse=True)


def _farad(value):
    return show(value, "F", digits=3)


def _tank(n):
    return [capacitance_for(frequency, n["inductance"]) for frequency in _centres(n)]


RECENTRING = Question(
    key="swap.recentring",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} has an oscillator coil of {show(n['inductance'], 'H')}. The "
                     f"middles of its two oscillator ranges are {hz(_centres(n)[0])} and "
                     f"{hz(_centres(n)[1])}. Which capacitor, switched across the tank, brings "
                     "the first down to the second?",
    draw=_draw_swapping,
    answer=_recentring,
    working=lambda n: [
        f"To resonate at {hz(_centres(n)[0])} the coil needs {show(_tank(n)[0], 'F', digits=5)}.",
        f"At {hz(_centres(n)[1])} it needs {show(_tank(n)[1], 'F', digits=5)}.",
        "The capacitor makes up the difference, the switch's own 1 pF to 3 pF included: "
        f"{_farad(_recentring(n))}.",
    ],
    hints=("Work out the whole capacitance that the coil needs at either frequency.",
           "C = 1 / ((2 π f)² L), and capacitances in parallel add."),
    unit="F",
    tolerance=Tolerance("A trimmer sets the last five percent, so that is allowed.", relative=0.05),
    digits=3,
    uses_plan=True,
    misconceptions=(
        Misconception("whole", lambda n: _tank(n)[1],
                      "That is the tank's whole capacitance: most of it is there already."),
        Misconception("square_forgotten",
                      lambda n: _tank(n)[0] * (_centres(n)[0] / _centres(n)[1] - 1),
                      "You let capacitance go as the frequency: it goes as its square, which takes "
                      "about twice as much."),
        Misconception("two_pi_forgotten", lambda n: _recentring(n) * (2 * math.pi) ** 2,
                      "You left out the 2 π that belongs to every f in the formula."),
    ),
)


# Two signals on one oscillator; the preselector chooses.

def _draw_other(rng, plan):
    pair = _draw_swapping(rng, plan)
    band = str(rng.choice(["lower", "upper"]))
    own_range = getattr(_scheme(pair), band)
    oscillator = dial_frequency(rng, own_range.oscillator_low, own_range.oscillator_high)
    return {"own": pair["own"], "why": pair["why"], "oscillator": oscillator, "band": band,
            "intermediate_frequency": pair["intermediate_frequency"]}


def _heard(n):
    pair = tuned_pair(n["oscillator"], n["intermediate_frequency"])
    return pair.upper_signal if n["band"] == "upper" else pair.lower_signal


def _other(n):
    pair = tuned_pair(n["oscillator"], n["intermediate_frequency"])
    return pair.lower_signal if n["band"] == "upper" else pair.upper_signal


OTHER = Question(
    key="swap.heard",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} has its oscillator on {hz(n['oscillator'])} and its intermediate "
                     f"frequency on {hz(n['intermediate_frequency'])}. The preselector is switched "
                     f"to the {n['band']} band. Which frequency do you hear?",
    draw=_draw_other,
    answer=_heard,
    working=lambda n: [
        f"The oscillator brings two signals to the filter, {hz(n['intermediate_frequency'])} below "
        "and above itself.",
        f"The preselector lets the one in the {n['band']} band through: {hz(n['oscillator'])} "
        f"{'+' if n['band'] == 'upper' else '-'} {hz(n['intermediate_frequency'])} = "
        f"{hz(_heard(n))}.",
    ],
    hints=("Two signals differ from the oscillator by the intermediate frequency: which are they?",
           lambda n: f"The {n['band']} band lies {'above' if n['band'] == 'upper' else 'below'} "
                     "the oscillator."),
    unit="Hz",
    tolerance=KILOHERTZ,
    uses_plan=True,
    misconceptions=(
        Misconception("other_band", _other,
                      "That is the image, in the other band: the preselector keeps it out."),
        Misconception("oscillator", lambda n: n["oscillator"],
                      "That is the oscillator itself: the signal differs from it by the "
                      "intermediate frequency."),
        Misconception("twice", lambda n: 2 * _heard(n) - n["oscillator"],
                      "You went twice the intermediate frequency: from the oscillator it is once."),
    ),
)

CHOOSER = Question(
    key="swap.chooser",
    lesson=LESSON,
    prompt=lambda n: "In an image-swapping receiver both bands reach the intermediate frequency at "
                     "the same oscillator setting. What decides which band you hear?",
    draw=lambda rng, plan: {},
    answer=lambda n: "preselector",
    working=lambda n: [
        "Both signals arrive at the filter on the same frequency, so nothing after the mixer can "
        "tell them apart.",
        "What is before the mixer must decide: the preselector.",
    ],
    hints=("After the mixer both are on one frequency: what can still tell them apart?",),
    options=(
        Option("oscillator", "The oscillator's frequency",
               "At any oscillator setting both bands come through, so it cannot decide."),
        Option("filter", "The intermediate-frequency filter",
               "Both have become the same frequency there, so the filter cannot tell them apart."),
        Option("preselector", "The preselector", "It stands before the mixer, and decides."),
        Option("beat", "The beat oscillator",
               "It decides which sideband sounds right, not which band you hear."),
    ),
)

QUESTIONS = (MEETING, MISS, SHARE, RECENTRING, OTHER, CHOOSER, *REJECTION_QUESTIONS)

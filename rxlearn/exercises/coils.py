"""Questions on coils: turns, wire, Q, taps; those on pairs and on winding are in their own modules.

Numbers follow the learner's plan where the question is about its coils.
"""

from __future__ import annotations

import math

from rxlearn.compute.coil_q import coil_loss
from rxlearn.compute.coils import turns_wanted, wheeler_inductance
from rxlearn.compute.image_swapping import swap_bands
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.toroid import ring_core, ring_turns
from rxlearn.compute.wire import skin_depth, wire_called
from rxlearn.exercises.coils_bench import BENCH_QUESTIONS
from rxlearn.exercises.coils_pairs import PAIR_QUESTIONS
from rxlearn.exercises.coils_predictions import LESSON, PREDICTIONS
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance
from rxlearn.exercises.receiver_numbers import receiver
from rxlearn.exercises.wording import hz, whose

__all__ = ["LESSON", "PREDICTIONS", "QUESTIONS"]

CORES = ("T37-2", "T50-2", "T50-6", "T68-2", "T68-6")
MM = 1e-3

TURN = Tolerance("Only whole turns go through a ring, so half a turn either way is allowed.",
                 absolute=0.5)
FORMULA = Tolerance("The rule itself is good to a percent, so two are allowed.", relative=0.02)


def _factor(n):
    return ring_core(n["core"]).inductance_factor


# Turns on a ring -------------------------------------------------------------------------


def _draw_ring(rng, plan):
    numbers = receiver(plan)
    inductance = numbers["oscillator.inductance"]
    own, why = numbers["own"], numbers["why"]
    if not 0.3e-6 <= inductance <= 30e-6:
        own, why = False, (f"Your oscillator's {show(inductance, 'H', digits=3)} is no coil for a small "
                           "ring.")
    if not own:
        inductance = receiver(None)["oscillator.inductance"]
    return {"own": own, "why": why, "inductance": inductance, "core": str(rng.choice(CORES))}


def _turns(n):
    return ring_turns(n["inductance"], _factor(n))


RING = Question(
    key="coils.ring",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} wants {show(n['inductance'], 'H', digits=4)} for its oscillator. "
                     f"A ring core has an inductance factor of {show(_factor(n), 'H', digits=3)}. "
                     "How many turns?",
    draw=_draw_ring,
    answer=_turns,
    working=lambda n: [
        "The inductance goes with the square of the turns: L = A × N².",
        f"N² = {show(n['inductance'], 'H', digits=4)} / {show(_factor(n), 'H', digits=3)} = "
        f"{n['inductance'] / _factor(n):.4g}.",
        f"The root of that, before rounding to whole turns: {show(_turns(n), '', digits=4)}.",
    ],
    hints=("How does the inductance grow with the turns?", "Divide, then take the root."),
    unit="", tolerance=TURN, digits=4, uses_plan=True,
    misconceptions=(
        Misconception("no_root", lambda n: n["inductance"] / _factor(n),
                      "That is the square of the turns: take its root."),
        Misconception("hundred", lambda n: math.sqrt(10) * _turns(n),
                      "That takes the factor's number for µH a hundred turns: it is nH for one turn, "
                      "and 4 nH make 40 µH with a hundred."),
        Misconception("ten", lambda n: 10 * _turns(n),
                      "That reckons with a factor for ten turns: here it is for one."),
        Misconception("doubled", lambda n: 2 * _turns(n),
                      "A wire through the hole is one turn already, not half of one."),
    ),
)


# A coil by Wheeler's rule ----------------------------------------------------------------


def _draw_wheeler(rng, plan):
    return {"turns": int(rng.integers(10, 31)),
            "diameter": float(rng.choice([8, 10, 12, 16, 20, 25])) * MM,
            "length": float(rng.choice([10, 15, 20, 30, 40])) * MM}


def _wheeler(n, **other):
    at = {**n, **other}
    return wheeler_inductance(at["turns"], at["diameter"], at["length"])


def _mm(value):
    return show(value, "m", prefix="m")


WHEELER = Question(
    key="coils.wheeler",
    lesson=LESSON,
    prompt=lambda n: f"A coil of {n['turns']} turns has a mean diameter of "
                     f"{_mm(n['diameter'])} and is {_mm(n['length'])} long. What inductance does Wheeler's "
                     "rule give?",
    draw=_draw_wheeler,
    answer=_wheeler,
    working=lambda n: [
        "In millimetres the rule reads L = D²N² / (457 D + 1016 l), in µH.",
        f"Above: {1e3 * n['diameter']:g}² × {n['turns']}² = "
        f"{(1e3 * n['diameter'] * n['turns']) ** 2:.5g}.",
        f"Below: 457 × {1e3 * n['diameter']:g} + 1016 × {1e3 * n['length']:g} = "
        f"{457.2e3 * n['diameter'] + 1016e3 * n['length']:.5g}.",
        f"Divided: {show(_wheeler(n), 'H', digits=3)}.",
    ],
    hints=("Turns and diameter count squared.", "Below the line stand diameter and length, added."),
    unit="H", tolerance=FORMULA, digits=3,
    misconceptions=(
        Misconception("radius", lambda n: _wheeler(n, diameter=n["diameter"] / 2),
                      "You took the radius for the diameter: this form of the rule wants the "
                      "diameter."),
        Misconception("not_squared", lambda n: _wheeler(n) / n["turns"],
                      "The turns count squared: each of them catches the field of all."),
        Misconception("doubled", lambda n: _wheeler(n, diameter=2 * n["diameter"]),
                      "You doubled the diameter: it is measured across, middle of wire to middle."),
    ),
)


# Skin effect -----------------------------------------------------------------------------


def _draw_skin(rng, plan):
    low = float(rng.choice([1.8, 3.5, 5.0, 7.0])) * 1e6
    return {"low": low, "high": low * float(rng.choice([3, 4, 5, 9]))}


def _rise(n):
    return float(skin_depth(n["low"]) / skin_depth(n["high"]))


SKIN = Question(
    key="coils.skin",
    lesson=LESSON,
    prompt=lambda n: "The same coil of thick wire works once at "
                     f"{hz(n['low'])} and once at {hz(n['high'])}. By which factor is the resistance "
                     "of its wire larger at the higher one?",
    draw=_draw_skin,
    answer=_rise,
    working=lambda n: [
        "The current keeps to a skin whose depth goes with one over the root of the frequency.",
        f"The frequency is {n['high'] / n['low']:.3g} times as high, and the resistance rises with "
        f"its root: {show(_rise(n), '', digits=3)}.",
    ],
    hints=("In which part of the wire does the current flow?",
           "The depth of that skin goes with the root of the frequency."),
    unit="", tolerance=Tolerance("Reading a root from the figure is near enough within five percent.",
                                 relative=0.05), digits=3,
    misconceptions=(
        Misconception("proportional", lambda n: n["high"] / n["low"],
                      "That is the frequency's ratio: the skin goes with its root."),
        Misconception("squared", lambda n: (n["high"] / n["low"]) ** 2,
                      "That is the square: the skin goes with the root."),
        Misconception("falls", lambda n: 1 / _rise(n),
                      "That is what is left of the skin: less skin means more resistance."),
    ),
)


# Read off the figure ---------------------------------------------------------------------

_SPACINGS = {"touching": 1.0, "double": 2.0, "wide": 4.0}
_AS_WORDS = {"touching": "touching", "double": "a wire apart", "wide": "far apart"}


def _draw_spacing(rng, plan):
    numbers = receiver(plan)
    scheme = swap_bands(
        numbers["lower_band.low"], numbers["lower_band.high"], numbers["upper_band.low"],
        numbers["upper_band.high"], numbers["intermediate_frequency"],
        lower_injection=numbers["lower_band.injection"],
        upper_injection=numbers["upper_band.injection"])
    drawn = {"own": numbers["own"], "why": numbers["why"], "inductance": numbers["oscillator.inductance"],
             "frequency": (scheme.dial_low + scheme.dial_high) / 2 if scheme.works else 0.0}
    try:
        doubts = _wound(drawn, _SPACINGS[_best_spacing(drawn)]).doubts
    except Unclear as reason:  # no such coil can be wound: the figure stands in with the demo's, too
        doubts = (str(reason).rstrip("."),)
    if doubts and plan is not None:
        why = f"On your plan's oscillator coil the figure cannot be relied on: {'; '.join(doubts)}."
        return _draw_spacing(rng, None) | {"own": False, "why": why}
    return drawn


def _wound(n, spacing):
    """The oscillator coil in 1 mm wire on 20 mm, and what it loses."""
    coil = turns_wanted(n["inductance"], 20 * MM, wire_called("1 mm"), spacing=spacing,
                        frequency=n["frequency"])
    return coil_loss(coil, n["frequency"])


def _best_spacing(n):
    """Which winding has the highest Q."""
    return max(_SPACINGS, key=lambda key: _wound(n, _SPACINGS[key]).q)


def _far_apart(n):
    """What is said of wide spacing, which is best only for a coil of few turns."""
    if _best_spacing(n) == "wide":
        return ("Far apart the neighbours no longer matter, and a coil of so few turns is still short "
                "then.")
    return ("Far apart the neighbours no longer matter, but the coil has become long and needs more "
            "wire for the same inductance.")


READ_Q = Question(
    key="coils.read_spacing",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} wants {show(n['inductance'], 'H', digits=3)} for its oscillator. "
                     "Read it off “What a coil loses”: former 20 mm, wire 1 mm, air. Of these three, "
                     "which spacing gives the highest Q?",
    draw=_draw_spacing,
    answer=_best_spacing,
    working=lambda n: [
        "Touching turns idle most of each other's copper; room gives it back.",
        _far_apart(n),
        "In the figure Q rises quickly at first and falls slowly later; of these three it is highest "
        f"with the turns {_AS_WORDS[_best_spacing(n)]}.",
    ],
    uses_plan=True,
    hints=("Turn the spacing knob and watch the number above the curve.",
           "Write down three numbers, one for each spacing."),
    options=(
        Option("touching", "Turns that touch (apart by 1 wire)",
               "They need least wire, but push each other's current aside so that most copper idles."),
        Option("double", "A wire's room between them (apart by 2 wires)",
               "Some room helps, but read the figure once more with the others."),
        Option("wide", "Wide apart (apart by 4 wires)",
               "The neighbours are gone, but the coil is long and takes more wire: read it again."),
    ),
)


# A tap -----------------------------------------------------------------------------------


def _draw_tap(rng, plan):
    return {"turns": int(rng.choice([12, 15, 20, 24, 30])), "tap": int(rng.integers(2, 6)),
            "top": float(rng.choice([8, 10, 12, 15, 20])) * 1e3}


def _tapped(n):
    return n["top"] * (n["tap"] / n["turns"]) ** 2


TAP = Question(
    key="coils.tap",
    lesson=LESSON,
    prompt=lambda n: f"A circuit has {show(n['top'], 'Ω')} at its top. Its coil is wound on a ring "
                     f"and tapped: {show(100 * n['tap'] / n['turns'], '%', digits=4)} of the turns "
                     "lie below the tap. What impedance does the tap have?",
    draw=_draw_tap,
    answer=_tapped,
    working=lambda n: [
        "On a ring every turn catches the same flux, so the rule of turns holds.",
        f"The voltage at the tap is {n['tap'] / n['turns']:.4g} of the whole, the current so many "
        "times larger.",
        f"Impedance goes with the square: {show(n['top'], 'Ω')} × {n['tap'] / n['turns']:.4g}² = "
        f"{show(_tapped(n), 'Ω', digits=3)}.",
    ],
    hints=("Voltage goes with the turns. And current?", "Impedance is voltage over current."),
    unit="Ω", tolerance=Tolerance("Turns and Q are known to a few percent, so three are allowed.",
                                  relative=0.03), digits=3,
    misconceptions=(
        Misconception("not_squared", lambda n: n["top"] * n["tap"] / n["turns"],
                      "That is the share of the voltage: impedance goes with its square."),
        Misconception("rest", lambda n: n["top"] * (1 - n["tap"] / n["turns"]) ** 2,
                      "That is seen from the other end of the coil: count from the earthed one."),
        Misconception("up", lambda n: n["top"] * (n["turns"] / n["tap"]) ** 2,
                      "That goes up: a tap has less impedance than the top."),
    ),
)


QUESTIONS = (RING, WHEELER, SKIN, READ_Q, TAP, *PAIR_QUESTIONS, *BENCH_QUESTIONS)
"""In the order of the lesson."""

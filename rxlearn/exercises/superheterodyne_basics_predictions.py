"""Predictions on the basics: what a mixer makes, and what a simple set lacks."""

from __future__ import annotations

from rxlearn.compute.mixing import mix
from rxlearn.compute.simple_set import SimpleSet, judge, straight_set_bandwidth
from rxlearn.compute.tuning import mixer_products
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Tolerance
from rxlearn.exercises.wording import hz, number

LESSON = "superheterodyne_basics"

HEARD_DB = -60.0
"""A product this far below the incoming signal (dB) counts as there (a choice, no source)."""


def lines(kind: str, *, leak: float) -> set[str]:
    """Names of the lines that leave a mixer of 1 MHz and 1.455 MHz with both leaks at ``leak``."""
    mixing = mix(1e6, 1.455e6, kind=kind, signal_leak=leak, oscillator_leak=leak)
    return {product.name for product in mixing.products if product.level_db > HEARD_DB}


def what_leaves(leak: float) -> str:
    """Which of the answers about a mixer's output fits what the transform shows."""
    found = lines("multiply", leak=leak)
    made = {"sum", "difference"}
    leaked = {"signal leak", "oscillator leak"}
    if made <= found:
        return "all" if leaked <= found else "both"
    return "difference" if "difference" in found else "inputs"


def _following():
    """What becomes of the difference when signal and oscillator both rise by 100 kHz."""
    before, after = mixer_products(1.455e6, 1e6), mixer_products(1.555e6, 1.1e6)
    if after.difference == before.difference:
        return "stays"
    return "up" if after.difference > before.difference else "down"


def _simple():
    return judge(SimpleSet(plate_law="frequency"), 10e6)


_LEAVES = (
    ("both", "The sum and the difference, nothing else."),
    ("difference", "The difference, nothing else."),
    ("all", "The sum, the difference and both inputs."),
    ("inputs", "The two inputs, nothing else."),
)

PREDICTIONS = (
    Prediction(
        key="basics.predict_products",
        lesson=LESSON,
        prompt="A signal of 1 MHz and an oscillator of 1.455 MHz are multiplied, perfectly "
               "balanced. What comes out?",
        options=_LEAVES,
        truth=lambda: what_leaves(0.0),
        because=lambda: f"They are at {hz(mixer_products(1.455e6, 1e6).sum)} and "
                        f"{hz(mixer_products(1.455e6, 1e6).difference)}, and neither input is "
                        "left.",
    ),
    Prediction(
        key="basics.predict_leak",
        lesson=LESSON,
        prompt="Now the mixer is a plain valve, not balanced at all. A signal of 1 MHz and an "
               "oscillator of 1.455 MHz go in. What comes out?",
        options=_LEAVES,
        truth=lambda: what_leaves(1.0),
        because=lambda: "An unbalanced mixer lets both inputs through, the strong oscillator too, "
                        "so the filter behind it must hold them back.",
    ),
    Prediction(
        key="basics.predict_following",
        lesson=LESSON,
        prompt="You tune from 1 MHz to 1.1 MHz, and the oscillator goes from 1.455 MHz to "
               "1.555 MHz. What does the difference do?",
        options=(("stays", "It stays."), ("up", "It goes up."), ("down", "It goes down.")),
        truth=_following,
        because=lambda: "So the filter and its amplifier are tuned once and never touched again.",
    ),
    Prediction(
        key="basics.predict_width",
        lesson=LESSON,
        prompt="A straight set's tuned circuit has a loaded Q of 100. At 1 MHz it is 10 kHz wide. "
               "How wide is it at 10 MHz with the same Q?",
        unit="Hz",
        truth=lambda: straight_set_bandwidth(10e6, 100, 1, down_db=3.0103),
        near=Tolerance("A guess within a fifth is a good one.", relative=0.2),
        because=lambda: "The width is the frequency over Q, so it grows as you tune up: a reason "
                        "to filter at one low frequency.",
    ),
    Prediction(
        key="basics.predict_hand",
        lesson=LESSON,
        prompt="A five-valve set's dial runs evenly from 5.9 MHz to 18 MHz over 180 °. Its knob "
               "is geared down 6-fold. By how much does it tune when the knob turns by 1 °?",
        unit="Hz",
        digits=3,
        truth=lambda: _simple().hand_step,
        near=Tolerance("A guess within a third is a good one.", relative=0.34),
        because=lambda: f"Code wants a setting to {hz(_simple().setting_needed)}, so that is "
                        f"{number(_simple().times_too_coarse, 2)} times too coarse.",
    ),
)

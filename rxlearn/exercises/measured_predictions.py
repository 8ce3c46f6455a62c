"""Predictions on readings at the bench, about the practice receiver."""

from __future__ import annotations

from rxlearn.compute.practice_bench import practise, practise_coil
from rxlearn.compute.quantities import show
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Tolerance
from rxlearn.plan.band_spread import solved
from rxlearn.plan.document import Plan

LESSON = "measured_at_the_bench"


def _coil(**setting):
    return practise(solved(Plan.demo(), "lower_band"), **setting).fit.estimates["coil"]


def _closeness():
    """The 95 % half-width of the practice receiver's coil from seven readings, per cent."""
    found = _coil(count=7, step=1.0)
    return 100 * found.half_width / found.value


_FAR = (47e-12, 330e-12)
_NEAR = (47e-12, 68e-12)


def _spread(pair):
    """Half-width of the coil's interval with two capacitors good to 1 %, per cent."""
    inductance = Plan.demo().value("oscillator.inductance")
    coil = practise_coil(inductance, 9e-12, *pair, 0.01).fit.estimates["coil"]
    return 100 * coil.half_width / coil.value


def _lever():
    times = _spread(_NEAR) / _spread(_FAR)
    return "same" if times < 1.2 else "some" if times < 2 else "more"


PREDICTIONS = (
    Prediction(
        key="measured.predict_capacitors",
        lesson=LESSON,
        prompt="A coil is measured with two capacitors known to 1 %: first 47 pF and 330 pF, then "
               "47 pF and 68 pF. How much worse is it known the second time?",
        options=(("same", "The same: both times two readings."),
                 ("some", "A little worse, up to twice."),
                 ("more", "More than twice as badly.")),
        truth=_lever,
        because=lambda: f"To ± {_spread(_FAR):.2g} % the first time, to ± {_spread(_NEAR):.2g} % the "
                        "second: a slope wants its two points far apart.",
    ),
    Prediction(
        key="measured.predict_readings",
        lesson=LESSON,
        prompt="Seven readings of a dial, each to the nearest degree of its half turn, with a "
               "counter beside it. To how many per cent do they tell the coil's inductance?",
        unit="%",
        digits=2,
        truth=_closeness,
        near=Tolerance("A guess within a half is a good one.", relative=0.5),
        because=lambda: f"To ± {_closeness():.2g} %, that is ± "
                        f"{show(_coil(count=7, step=1.0).half_width, 'H', digits=2)}. Each reading "
                        "alone is worth far less; together, and with the resonance formula, they "
                        "settle it.",
    ),
)

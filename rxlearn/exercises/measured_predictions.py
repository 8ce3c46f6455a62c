"""Predictions on readings at the bench, about the practice receiver."""

from __future__ import annotations

from rxlearn.compute.practice_bench import practise
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


PREDICTIONS = (
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

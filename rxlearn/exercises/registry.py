"""Find a question or a prediction by its key, or all those of a lesson.

A bank is a module with the constants ``LESSON`` (its name), ``QUESTIONS`` and
``PREDICTIONS``; a new bank is added to ``BANKS``.
"""

from __future__ import annotations

from rxlearn.exercises import (
    band_spread,
    build_sheet,
    coils,
    crystal_filter,
    frequency_choice,
    image_swapping,
    injection_side,
    measured,
    parts,
    power_supply,
    spurious_responses,
    stage_by_stage,
    start_here,
    superheterodyne_basics,
    third_band,
    tolerances,
)
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Question

BANKS = (start_here, superheterodyne_basics, injection_side, image_swapping, band_spread,
         power_supply, frequency_choice, spurious_responses,
         third_band, tolerances, coils, crystal_filter, stage_by_stage, parts, measured, build_sheet)
"""The banks in the order of the lessons."""


def lessons() -> tuple[str, ...]:
    """Return the names of the lessons that have a bank, in reading order."""
    return tuple(bank.LESSON for bank in BANKS)


def for_lesson(lesson: str) -> tuple[Question, ...]:
    """Return the questions of ``lesson`` in order; raises KeyError if there is no such lesson."""
    return _bank(lesson).QUESTIONS


def predictions_for(lesson: str) -> tuple[Prediction, ...]:
    """Return the predictions of ``lesson`` in order; raises KeyError for an unknown lesson."""
    return _bank(lesson).PREDICTIONS


def find(key: str) -> Question:
    """Return the question with this ``key``; raises KeyError that names what there is."""
    return _find(key, "question", (bank.QUESTIONS for bank in BANKS))


def find_prediction(key: str) -> Prediction:
    """Return the prediction with this ``key``; raises KeyError that names what there is."""
    return _find(key, "prediction", (bank.PREDICTIONS for bank in BANKS))


def _bank(lesson):
    """Return the bank of ``lesson``."""
    for bank in BANKS:
        if bank.LESSON == lesson:
            return bank
    raise KeyError(f"There is no lesson {lesson!r}; choose one of {', '.join(lessons())}.")


def _find(key, what, groups):
    """Return the item with this ``key`` from ``groups`` of items."""
    items = [item for group in groups for item in group]
    for item in items:
        if item.key == key:
            return item
    known = ", ".join(item.key for item in items)
    raise KeyError(f"There is no {what} {key!r}; choose one of {known}.")

"""Short texts for a table of a frequency choice: one cell of one scheme, a few words at most.

The long texts, for a sentence, are in :mod:`~rxlearn.compute.frequency_choice_texts`.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from rxlearn.compute.frequency_choice import FrequencyChoice
from rxlearn.compute.frequency_choice_texts import INAUDIBLE_DB
from rxlearn.compute.frequency_choice_verdicts import VERDICTS
from rxlearn.compute.quantities import show, show_span

Cell = Callable[[FrequencyChoice, int], str]


def cell(choice: FrequencyChoice, row: int, key: str) -> str:
    """What column ``key`` says of one row in a few words, without its verdict."""
    return _CELLS[key](choice, row)


def verdict_of(choice: FrequencyChoice, row: int, key: str) -> str:
    """The verdict of column ``key`` on one row: good, fair or poor."""
    return VERDICTS[choice.verdicts[key][row]]


def _value(choice: FrequencyChoice, row: int, key: str) -> float:
    return float(choice.values[key][row])


def _kilo(frequency: float) -> str:
    return show(frequency, "Hz", digits=4)


def _decibels(key: str) -> Cell:
    return lambda choice, row: show(_value(choice, row, key), "dB", digits=3)


def _capacitor(choice: FrequencyChoice, row: int) -> str:
    size = show(_value(choice, row, "capacitor"), "F", digits=2)
    return f"{size}, {100 * choice.costs['capacitor'][row]:.1f} %"


def _range(choice: FrequencyChoice, row: int) -> str:
    low, high = choice.layout.wide
    return show_span(float(low[row]), float(high[row]), "Hz", digits=5, prefix="M")


def _radiation(choice: FrequencyChoice, row: int) -> str:
    return _kilo(met) if (met := _value(choice, row, "radiation")) else "none"


def _if_place(choice: FrequencyChoice, row: int) -> str:
    there = choice.neighbours[choice.found["neighbour"][row]]
    distance = _value(choice, row, "if_place")
    if not distance:
        return f"on {there.name}"
    return f"{_kilo(abs(distance))} {'below' if distance > 0 else 'above'} {there.name}"


def _medium_wave(choice: FrequencyChoice, row: int) -> str:
    return _kilo(away) if (away := _value(choice, row, "medium_wave")) else "in it"


def _numbered(key: str, words: str) -> Cell:
    def text(choice: FrequencyChoice, row: int) -> str:
        number = int(_value(choice, row, key))
        return f"{words} {number}" if number else "none"
    return text


def _whistles(choice: FrequencyChoice, row: int) -> str:
    if not choice.found["whistle_count"][row]:
        return "none"
    level = _value(choice, row, "whistles")
    return "too weak to hear" if level <= INAUDIBLE_DB else f"{-level:.0f} dB down"


_CELLS: dict[str, Cell] = {
    "miss": lambda choice, row: _kilo(abs(_value(choice, row, "miss"))),
    "capacitor": _capacitor,
    "coil": lambda choice, row: show(_value(choice, row, "coil"), "H", digits=3),
    "share": lambda choice, row: f"{100 * _value(choice, row, 'share'):.0f} %",
    "oscillator": _range,
    "radiation": _radiation,
    "radiated_harmonic": _numbered("radiated_harmonic", "harmonic"),
    "image_lower": _decibels("image_lower"),
    "image_upper": _decibels("image_upper"),
    "breakthrough": _decibels("breakthrough"),
    "if_place": _if_place,
    "medium_wave": _medium_wave,
    "beat_harmonic": _numbered("beat_harmonic", "harmonic"),
    "whistles": _whistles,
    "self_made": _numbered("self_made", "order"),
    "sideband": lambda choice, row: (
        "changes sides" if _value(choice, row, "sideband") else "keeps its side"),
    "direction": lambda choice, row: (
        "runs backwards" if _value(choice, row, "direction") else "same way"),
}
"""Column key to the function that words its cell."""


def sorting_values(choice: FrequencyChoice, key: str) -> np.ndarray:
    """The numbers by which column ``key`` is sorted, shape (N,): those that its cells show.

    Where a cell says that there is none, the number is infinite: farther off than any.
    """
    values = np.asarray(choice.values[key], dtype=float)
    if key in ("miss", "if_place"):
        return np.abs(values)
    if key == "whistles":
        return np.where(choice.found["whistle_count"] > 0, -values, np.inf)
    if key in ("beat_harmonic", "self_made", "radiated_harmonic"):
        return np.where(values > 0, values, np.inf)
    return values


BEST_LAST = frozenset({
    "share", "image_lower", "image_upper", "breakthrough", "if_place", "medium_wave",
    "beat_harmonic", "self_made", "radiated_harmonic", "whistles",
})
"""Columns in which more is better."""

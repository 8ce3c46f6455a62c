"""Slips of the hand in readings, told by what the plan expects: a sentence each, or none.

A reading is held against the plan's own frequency at that place.  Where it is far off, and another
way of reading what was typed brings it near, that other way is named.  The limits are
choices, no source: a coil that one has wound seldom tunes a dial more than a twentieth off.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.tank import resonant_frequency
from rxlearn.plan.band_spread import offset_of, shape
from rxlearn.plan.document import Plan
from rxlearn.plan.measured_fields import BAND_OF, OSCILLATOR

FAR = 0.05
"""A frequency so far (as a ratio) from what the plan expects is looked at."""

CLEARLY, NEAR = 4.0, 0.15
"""Another way of reading must come so many times nearer, and as near as that (as a ratio)."""

TENTH = 0.3
"""So near (as a ratio) to ten times or a tenth counts as that."""

STRAYS = 10e-12
"""Strays (F) of a coil on short leads, to expect a resonance by."""


def slip_in_dial(plan: Plan, band: str) -> str:
    """What looks like a slip among ``band``'s readings, in one sentence; empty if nothing does."""
    rows = [(number, shaft, heard, frequency)
            for number, (name, shaft, heard, frequency, _) in enumerate(
                plan.value("measured.dial"), start=1) if BAND_OF[name] == band]
    degrees, offset = plan.value("dial.degrees"), offset_of(plan, band)
    places = np.array([row[1] for row in rows])
    oscillator = np.array([f if heard == OSCILLATOR else f - offset for _, _, heard, f in rows])
    try:
        network = shape(plan, band)
    except Unclear:
        return ""
    expected = network.frequency_at(np.clip(places, 0.0, degrees))
    signals, tens = [], []
    for (number, _, heard, typed), read, wanted in zip(rows, oscillator, expected, strict=True):
        far = _apart(read, wanted)
        if far <= FAR:
            continue
        power = _power_of_ten(typed / (wanted if heard == OSCILLATOR else wanted + offset))
        other = typed - offset if heard == OSCILLATOR else typed
        if _apart(other, wanted) < min(far / CLEARLY, NEAR):
            signals.append((number, heard))
        elif power:
            tens.append((number, power))
    if signals and len(signals) >= len(rows) / 2:
        was, meant = (OSCILLATOR, "signal") if signals[0][1] == OSCILLATOR else ("signal", OSCILLATOR)
        return (f"{_rows(signals)}: entered as {was}, but near what the {meant} should be: "
                f"write “{meant}” in the third cell, if that is what you read.")
    if tens:
        times = "ten times too high" if tens[0][1] > 0 else "a tenth of what it should be"
        return (f"{_rows(tens)}: about {times}; look for a digit too many or too few, "
                "or kHz for MHz.")
    if signals:
        return (f"{_rows(signals)}: near what the other of oscillator and signal should be; "
                "look at the third cell.")
    if len(rows) > 2 and np.ptp(places) and np.polyfit(places, oscillator, 1)[0] < 0:
        return ("The frequency falls as the angle grows, so these angles seem counted from the open "
                f"end: enter {show(degrees, '°')} less each.")
    return ""


def slip_in_coil(plan: Plan) -> str:
    """What looks like a slip among the coil's readings, in one sentence; empty if nothing does."""
    coil = plan.value("oscillator.inductance")
    rows = [(number, capacitance, frequency,
             frequency / float(resonant_frequency(coil, capacitance + STRAYS)))
            for number, (capacitance, frequency, *_) in enumerate(plan.value("measured.coil"), start=1)]
    for number, capacitance, frequency, ratio in rows:
        power = _power_of_ten(ratio)
        if power:
            wanted = float(resonant_frequency(coil, capacitance + STRAYS))
            return (f"Row {number}: {show(frequency, 'Hz', digits=4)} with {show(capacitance, 'F')} is "
                    f"about {'ten times' if power > 0 else 'a tenth of'} the "
                    f"{show(wanted, 'Hz', digits=3)} that your plan's coil would give: look for a wrong "
                    "digit or prefix.")
    ratios = [row[3] for row in rows]
    if len(rows) > 1 and max(ratios) / min(ratios) > 2:
        number, capacitance, *_ = max(rows, key=lambda row: _apart(row[3], float(np.median(ratios)))
                                      if len(rows) > 2 else _apart(row[3], 1.0))
        return (f"Row {number}, {show(capacitance, 'F')}, does not go with the others: look for a "
                "wrong digit or prefix in its capacitor or frequency, or two rows exchanged.")
    return ""


def _apart(one: float, other: float) -> float:
    """How far two frequencies are apart, as the logarithm of their ratio; negative ones infinitely."""
    return abs(math.log(one / other)) if one > 0 and other > 0 else math.inf


def _power_of_ten(ratio: float) -> int:
    """1, 2, 3 or their negatives where ``ratio`` is near such a power of ten, else 0."""
    power = round(math.log10(ratio)) if ratio > 0 else 0
    near = power and abs(ratio / 10.0**power - 1) <= TENTH
    return power if near and abs(power) <= 3 else 0


def _rows(found: Sequence[tuple[int, object]]) -> str:
    """``Row 4``, ``Rows 2, 5 and 9`` or, where none is left out, ``Rows 1 to 9``."""
    numbers = [number for number, _ in found]
    if len(numbers) == 1:
        return f"Row {numbers[0]}"
    if numbers == list(range(numbers[0], numbers[-1] + 1)):
        return f"Rows {numbers[0]} to {numbers[-1]}"
    return f"Rows {', '.join(map(str, numbers[:-1]))} and {numbers[-1]}"

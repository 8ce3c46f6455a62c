"""What a supply would do if its capacitors were endless: no ripple, so a few lines of algebra.

SI units.  Starts for the steady state, and the bound of what can be drawn.
"""

from __future__ import annotations

import math

import numpy as np

from rxlearn.compute.supply_network import Ladder, Source


def without_ripple(source: Source, filter_: Ladder, share: float) -> tuple[float, float, float]:
    """(output V, first capacitor V, part of time with current) with endless capacitors.

    Each leg then passes the tip of a sine, θ to each side of its peak: a mean of
    E·(sin θ − θ·cos θ)/(πR) over the mains period (DERIVED).  A valve counts as
    the resistance that it shows at the peak current.  Between zero and the peak
    the mean current only falls and the filter's demand only rises, so Newton's
    steps, or halving where they leave the bracket, find where they meet; a
    tenth of the drop from the peak is near enough to start from.  ``share`` scales a
    valve's perveance.
    """
    rectifier, first, pulses = source.rectifier, filter_.series[0][1], 1 + source.rectified
    threshold, behind = source.count * rectifier.threshold, filter_.resistance - first
    scale = 1 + filter_.conductance * behind
    low, high = 0.0, source.highest
    resistances = [leg.resistance + first for leg in source.legs]
    wanted = (filter_.conductance * high + filter_.current) / scale / pulses / len(source.legs)
    at = high * math.cos(min(1.4, math.cbrt(3 * math.pi * wanted * resistances[0] / high)))
    for _ in range(12):
        mean = slope = conducting = 0.0
        for number, leg in enumerate(source.legs):
            forward = leg.emf - threshold - at
            if forward > 0:
                flow = forward / resistances[number]
                own = source.count * rectifier.resistance_at(flow, share)
                resistances[number] = leg.resistance + first + own
                part = pulses / math.pi / resistances[number]
                angle = math.acos((at + threshold) / leg.emf)
                mean += part * leg.emf * (math.sin(angle) - angle * math.cos(angle))
                slope += part * angle
                conducting += pulses * angle / math.pi
        more = mean * scale - filter_.current - filter_.conductance * at
        low, high = (at, high) if more > 0 else (low, at)
        step = more / (slope * scale + filter_.conductance + 1e-15)
        if mean > 0 and abs(step) < 0.1 * (source.highest - at):
            break
        at = at + step if low < at + step < high else (low + high) / 2
    return at - behind * mean, at, conducting


def most_current(source: Source, resistance: float) -> float:
    """Mean current (A) into a short circuit behind ``resistance`` (Ω) of filter, no ripple.

    An upper bound of what a constant-current load can draw; half wave into a
    choke passes far less.
    """
    emfs = source.emfs(np.sin(2 * np.pi / 128 * np.arange(128)))
    low, high, before, mean = 0.0, source.highest, 0.0, 0.0
    for _ in range(24):
        current, slope = source.total(emfs, np.full(128, before))
        mean = float(current.sum()) / 128
        surplus = mean * resistance - before
        if abs(surplus) < 1e-3 * source.highest:
            break
        low, high = (before, high) if surplus > 0 else (low, before)
        aim = before + surplus / (float(slope.sum()) / 128 * resistance + 1)
        before = aim if low < aim < high else (low + high) / 2
    return mean

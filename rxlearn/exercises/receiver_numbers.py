"""The receiver a question is about: the learner's plan where it can work, else the demo.

A plan may hold a scheme that cannot be built (a wish is allowed to be wrong);
a question on it would have no answer, so the demo receiver steps in, the
prompt says so, and the reason goes along with the numbers as ``why``.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tuning import plan_band
from rxlearn.exercises.questions import planned

DEMO: Mapping[str, Any] = MappingProxyType({
    "lower_band.low": 3.5e6,
    "lower_band.high": 4.0e6,
    "lower_band.injection": "high",
    "upper_band.low": 10.1e6,
    "upper_band.high": 10.15e6,
    "upper_band.injection": "low",
    "intermediate_frequency": 3.2768e6,
    "oscillator.inductance": 1.83e-6,
    "preselector.loaded_q": 50.0,
    "preselector.circuits": 1,
})
"""The club-bench two-band receiver of the first lesson, SI."""


def receiver(plan: Any = None) -> dict[str, Any]:
    """Return the receiver's numbers by plan key (SI), with ``own``: whether they are the plan's.

    ``plan`` is anything with ``value(key)``, or None.  A plan whose bands cannot
    work gives way to :data:`DEMO` as a whole, so that no question mixes the two;
    ``why`` then is the reason in words, else an empty text.
    """
    if plan is None:
        return demo_instead("")
    own = {key: planned(plan, key, demo) for key, demo in DEMO.items()}
    against = _against(own)
    return demo_instead(against) if against else dict(own, own=True, why="")


def demo_instead(why: str) -> dict[str, Any]:
    """The demo's numbers, with the reason ``why`` they stand in for the plan's."""
    return dict(DEMO, own=False, why=why)


def _against(numbers: Mapping[str, Any]) -> str:
    """Why not both bands can be received as planned; empty where they can."""
    try:
        plans = [
            plan_band(numbers[f"{band}.low"], numbers[f"{band}.high"],
                      numbers["intermediate_frequency"], numbers[f"{band}.injection"])
            for band in ("lower_band", "upper_band")
        ]
    except Unclear as reason:
        return str(reason)
    reasons = [reason for one in plans for reason in one.reasons]
    if not reasons and plans[1].band_low <= plans[0].band_high:
        return "Your two bands do not lie apart, the lower one below."
    return " ".join(dict.fromkeys(reasons))


def one_band(rng: Any, plan: Any = None) -> dict[str, Any]:
    """Return one band of the receiver, either with equal chance, and a signal in it.

    Keys: ``own``, ``why``, ``band`` ("lower" or "upper"), ``low``, ``high``,
    ``injection``, ``intermediate_frequency`` and ``signal`` (Hz), the signal on
    a step that a dial would show, never on the band's edge.
    """
    numbers = receiver(plan)
    band = "lower" if rng.integers(2) == 0 else "upper"
    low, high = numbers[f"{band}_band.low"], numbers[f"{band}_band.high"]
    return {
        "own": numbers["own"],
        "why": numbers["why"],
        "band": band,
        "low": low,
        "high": high,
        "injection": numbers[f"{band}_band.injection"],
        "intermediate_frequency": numbers["intermediate_frequency"],
        "signal": dial_frequency(rng, low, high),
    }


def dial_frequency(rng: Any, low: float, high: float) -> float:
    """Return a frequency between two edges (Hz), on a whole 5 kHz, or finer where it must be."""
    for step in (5e3, 1e3, 100.0):
        first, last = int(low // step) + 1, int(-(-high // step)) - 1
        if last - first >= 5:
            return float(rng.integers(first, last + 1)) * step
    return (low + high) / 2

"""Output transformers: which turns ratio lets a loudspeaker look like the load a valve wants.

An ideal transformer multiplies impedances by the square of its turns ratio:
voltages go with the turns, currents against them (DERIVED from these two; T. R.
Kuphaldt, *Lessons in Electric Circuits*, vol. II, ch. 9).  Winding
resistances are taken into account where given; inductance and leakage, which
set the lowest and highest notes, are not.  A loudspeaker's impedance is taken
as a resistance although it changes with pitch.  SI units.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.quantities import Range, Unclear, show

ANODE_LOAD = Range("The valve's load", "Ω", 1.0, 1e6)
SPEAKER = Range("The loudspeaker's impedance", "Ω", 0.5, 10e3)
TURNS_RATIO = Range("The turns ratio", "", 1e-3, 1e4)
WINDING = Range("The winding resistance", "Ω", 0.0, 1e6)
SOURCE_RESISTANCE = Range("The valve's own resistance", "Ω", 1.0, 1e7)
AUDIO_POWER = Range("The power", "W", 0.0, 1000.0)


def turns_ratio(anode_load: float, speaker: float) -> float:
    """Primary turns for each secondary turn so that ``speaker`` (Ω) looks like ``anode_load`` (Ω).

    n = √(Z_primary/Z_secondary).  Raises :class:`Unclear` outside 1 Ω to
    1 MΩ and 0.5 Ω to 10 kΩ.
    """
    return math.sqrt(ANODE_LOAD.check(anode_load) / SPEAKER.check(speaker))


def reflected_impedance(speaker: float, ratio: float) -> float:
    """What ``speaker`` (Ω) looks like (Ω) through a transformer of this turns ratio: n²·Z."""
    return SPEAKER.check(speaker) * TURNS_RATIO.check(ratio) ** 2


@dataclass(frozen=True, eq=False)
class AudioMatch:
    """A valve, an output transformer and a loudspeaker.  Ω, W.

    ``wanted_ratio`` is the exact one for ``anode_load``; ``ratio`` the
    transformer's own.  ``seen`` (Ω) is the load that the valve really meets,
    windings included.  ``relative_power``: power into the loudspeaker as a
    share of the most that this valve model can give (source of
    ``source_resistance`` with a fixed e.m.f.); ``efficiency`` is the share of
    the power into the transformer that reaches the loudspeaker.
    ``loads`` (Ω) and ``powers`` (shares) draw the whole curve.
    """

    anode_load: float
    speaker: float
    source_resistance: float
    ratio: float
    wanted_ratio: float
    seen: float
    mismatch: float
    relative_power: float
    efficiency: float
    loads: np.ndarray
    powers: np.ndarray


def match_output(
    anode_load: float, speaker: float, *, ratio: float | None = None,
    source_resistance: float | None = None, primary_resistance: float = 0.0,
    secondary_resistance: float = 0.0, points: int = 121,
) -> AudioMatch:
    """Match ``speaker`` (Ω) to a valve that wants ``anode_load`` (Ω).

    ``ratio`` None takes the exact one.  ``source_resistance`` (Ω) is the
    valve's internal resistance, None: equal to its load.  A valve's best load
    is set by its largest voltage and current, not by its internal resistance, so the
    curve says how power falls off in *small* signals only.  Raises
    :class:`Unclear` for values outside their ranges.
    """
    wanted = turns_ratio(anode_load, speaker)
    ratio = wanted if ratio is None else TURNS_RATIO.check(ratio)
    WINDING.check(primary_resistance)
    WINDING.check(secondary_resistance)
    source = SOURCE_RESISTANCE.check(anode_load if source_resistance is None
                                     else source_resistance)
    useful = ratio**2 * speaker
    seen = primary_resistance + ratio**2 * (speaker + secondary_resistance)
    loads = anode_load * np.logspace(-1, 1, int(Range("The number of points", "", 3, 10_001).check(
        points)))
    return AudioMatch(
        anode_load, speaker, source, ratio, wanted, seen, seen / anode_load,
        float(4 * source * useful / (source + seen) ** 2), useful / seen,
        loads, 4 * source * loads / (source + loads) ** 2,
    )


@dataclass(frozen=True)
class TapChoice:
    """One secondary tap: its rated impedance (Ω), and the load (Ω) the valve meets with it."""

    tap: float
    seen: float
    mismatch: float


def best_tap(anode_load: float, rated_primary: float, taps: tuple[float, ...],
             speaker: float) -> TapChoice:
    """The tap of a bought transformer that brings ``speaker`` (Ω) nearest to ``anode_load`` (Ω).

    A transformer marked ``rated_primary`` (Ω) to each tap's impedance has
    n² = primary/tap, so the valve meets speaker·primary/tap.  Nearest as a
    ratio.  Raises :class:`Unclear` without taps.
    """
    ANODE_LOAD.check(anode_load)
    ANODE_LOAD.check(rated_primary)
    SPEAKER.check(speaker)
    if not taps:
        raise Unclear("No secondary taps were given: name at least one, such as 8 Ω.")
    choices = [
        TapChoice(tap, speaker * rated_primary / SPEAKER.check(tap),
                  speaker * rated_primary / tap / anode_load)
        for tap in taps
    ]
    return min(choices, key=lambda choice: abs(math.log(choice.mismatch)))


def peak_swing(power: float, anode_load: float) -> tuple[float, float]:
    """Peak voltage (V) and peak current (A) at the primary for a sine of ``power`` (W).

    √(2PR) and √(2P/R): what the insulation and the valve must bear on top of
    the direct values.  Without a loudspeaker the voltage may rise far above:
    an output stage must not be driven with its secondary open.
    """
    power, anode_load = AUDIO_POWER.check(power), ANODE_LOAD.check(anode_load)
    return math.sqrt(2 * power * anode_load), math.sqrt(2 * power / anode_load)


def says(match: AudioMatch) -> str:
    """One sentence about what the valve meets."""
    word = "as wanted" if abs(match.mismatch - 1) < 0.05 else (
        "too little" if match.mismatch < 1 else "too much"
    )
    return (
        f"Through {match.ratio:.3g} to 1 the loudspeaker of {show(match.speaker, 'Ω')} looks like "
        f"{show(match.seen, 'Ω', digits=3)} where {show(match.anode_load, 'Ω')} are wanted: {word}."
    )

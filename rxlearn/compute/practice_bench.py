"""A bench to practise on: readings of a dial whose truth is known, with honest scatter.

The scatter is drawn from a stated seed, uniform within the dial's step and
normal for the counter, so that the same setting always gives the same readings
(numpy's default generator).  Invented for the workbook; real readings go into
the plan.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from rxlearn.compute.band_spread import Network
from rxlearn.compute.bench_fit import COUNTER, BenchFit, Reading, fit_coil, fit_dial
from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.tank import resonant_frequency

COUNT = Range("Number of readings", "", 5, 40)
STEP = Range("Smallest step you can read", "°", 0.01, 20.0)
WRONG = Range("One reading wrong by", "Hz", -10e6, 10e6)
SEED = Range("Seed", "", 0, 2**32 - 1)

COIL_OFF, STRAYS_OFF = -0.018, 4e-12
"""How the practice receiver's coil (a share) and strays (F) differ from the plan: invented."""


@dataclass(frozen=True, eq=False)
class PracticeBench:
    """The ``fit`` of practice readings, beside the ``truth``; ``wrong_one`` is the false reading."""

    fit: BenchFit
    truth: Network
    wrong_one: int | None

    @property
    def coil_held(self) -> bool:
        """Whether the stated interval holds the true coil."""
        coil = self.fit.estimates["coil"]
        return abs(coil.value - self.truth.inductance) <= coil.half_width


def practise(network: Network, *, count: int, step: float, wrong: float = 0.0,
             seed: int = 1) -> PracticeBench:
    """``count`` readings of a receiver built like ``network`` (of the plan), and what they say.

    ``step`` (degrees) is how finely the dial is read; ``wrong`` (Hz) is added to one reading.
    Raises :class:`Unclear` for values out of range.
    """
    count = int(COUNT.check(count))
    step, wrong = STEP.check(step), WRONG.check(wrong)
    draw = np.random.default_rng(int(SEED.check(seed)))
    truth = replace(network, inductance=network.inductance * (1 + COIL_OFF),
                    strays=network.strays + STRAYS_OFF)
    degrees = network.variable.degrees
    places = np.linspace(0.02, 0.98, count) * degrees
    # Read to the nearest step: the true angle lies anywhere within it.
    real = np.clip(places + step * (draw.random(count) - 0.5), 0.0, degrees)
    frequencies = truth.frequency_at(real) * (1 + COUNTER * draw.standard_normal(count))
    wrong_one = count // 2 if wrong else None
    if wrong_one is not None:
        frequencies[wrong_one] += wrong
    readings = [
        Reading(float(angle), float(frequency), COUNTER * float(frequency), step / math.sqrt(12))
        for angle, frequency in zip(places, frequencies, strict=True)
    ]
    return PracticeBench(fit_dial(readings, network, law=network.variable.law), truth, wrong_one)


SMALL = Range("Smaller capacitor", "F", 10e-12, 1e-9)
LARGE = Range("Larger capacitor", "F", 10e-12, 1e-9)
SURE = Range("Capacitors known to", "", 1e-4, 0.2)


@dataclass(frozen=True, eq=False)
class CoilBench:
    """A coil (``inductance`` H, ``strays`` F) measured with two capacitors, and the ``fit``."""

    fit: BenchFit
    inductance: float
    strays: float
    small: float
    large: float


def practise_coil(inductance: float, strays: float, small: float, large: float,
                  sure: float) -> CoilBench:
    """Measure a coil of ``inductance`` (H) and ``strays`` (F) with ``small`` and ``large`` (F).

    ``sure`` is the capacitors' standard uncertainty as a share.  The readings fall on the truth,
    so that what is shown is the uncertainty alone.  Raises :class:`Unclear` for values out of
    range and for a larger capacitor that is not the larger one.
    """
    small, large, sure = SMALL.check(small), LARGE.check(large), SURE.check(sure)
    if not large > small * 1.02:
        raise Unclear(f"Two capacitors of {show(small, 'F')} and {show(large, 'F')} are hardly two: "
                      "make the larger one larger.")
    readings = []
    for capacitance in (small, large):
        frequency = float(resonant_frequency(inductance, capacitance + strays))
        readings.append(Reading(capacitance, frequency, COUNTER * frequency, sure * capacitance))
    return CoilBench(fit_coil(readings), inductance, strays, small, large)

"""One signal of the third band on its way down: crystal, main dial, main oscillator, IF.  Hz.

f goes to |f − X| on the main dial and from there as the main receiver tunes.  DERIVED from the
definitions; what else arrives is the list of :mod:`~rxlearn.compute.converter_plan`, worked out
for this one signal.

Model and limits as there: one resonator law for the front end, difference products alone.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.converter_plan import ConverterPlan
from rxlearn.compute.preselector import RESPONSE_FREQUENCY, response_db
from rxlearn.compute.tuning import HIGH, LOW, SIGNAL


@dataclass(frozen=True)
class AlsoHeard:
    """What else ends on the main receiver's IF: its ``frequency`` (Hz) and how far down it is.

    ``rejection_db`` is positive, infinite where the frequency is zero; ``there`` names what the
    spectrum table holds where it lies while the band is tuned.
    """

    name: str
    frequency: float
    rejection_db: float
    there: tuple[str, ...]


@dataclass(frozen=True)
class ConverterSetting:
    """The converter ``plan`` tuned to ``signal`` (Hz).

    ``reading`` is what the main dial shows (Hz), ``place`` its share of that dial (below 0 or
    above 1 where it lies beyond), ``oscillator`` the main oscillator (Hz; zero or below where
    there is none).  ``also_heard`` is empty where the plan reaches nothing.
    """

    plan: ConverterPlan
    signal: float
    reading: float
    place: float
    oscillator: float
    also_heard: tuple[AlsoHeard, ...]

    @property
    def on_dial(self) -> bool:
        """Whether the main dial has this reading; half a hertz is rounding."""
        main = self.plan.main
        return main.band_low - 0.5 <= self.reading <= main.band_high + 0.5


def tune_converter(plan: ConverterPlan, signal: float) -> ConverterSetting:
    """Tune ``plan`` to ``signal`` (Hz, 1 kHz to 1 GHz); raises :class:`Unclear` out of range.

    A signal that lands beyond the main dial comes back with ``on_dial`` False.
    """
    signal = SIGNAL.check(signal)
    main, crystal = plan.main, plan.converted.crystal
    reading = abs(signal - crystal)
    intermediate = main.intermediate_frequency
    oscillator = {HIGH: reading + intermediate, LOW: reading - intermediate}.get(
        main.injection, intermediate - reading)
    place = (reading - main.band_low) / (main.band_high - main.band_low)
    return ConverterSetting(plan, signal, reading, place, oscillator,
                            _also_heard(plan, signal, reading))


def _also_heard(plan: ConverterPlan, signal: float, reading: float) -> tuple[AlsoHeard, ...]:
    """The rows of ``plan.rejects`` for one signal, in their order."""
    main, crystal = plan.main, plan.converted.crystal
    side = -1 if plan.converted.inverted else 1
    twice = 2 * main.intermediate_frequency
    other = abs(reading + twice if main.injection == HIGH else twice - reading)
    frequencies = (
        abs(crystal - side * reading), reading, abs(crystal + side * other),
        abs(crystal - side * other), other, main.intermediate_frequency,
    )
    return tuple(
        AlsoHeard(row.name, frequency, _rejection_db(plan, frequency, signal), row.there)
        for row, frequency in zip(plan.rejects, frequencies)
    )


def _rejection_db(plan: ConverterPlan, frequency: float, signal: float) -> float:
    """How far (dB) the front end, tuned to ``signal``, holds ``frequency`` down."""
    if frequency < RESPONSE_FREQUENCY.low:
        return float("inf")
    return 0.0 - response_db(frequency, signal, plan.loaded_q, plan.circuits)

"""Predictions on a receiver's stages: what rules the noise, what stays put, what a dark valve does.

The truth comes from the demo receiver.  No prompt names a voltage.
"""

from __future__ import annotations

from rxlearn.compute.quantities import show
from rxlearn.compute.stage_voltages import stage_voltages
from rxlearn.compute.stages import FollowedSignal
from rxlearn.exercises.predictions import Prediction
from rxlearn.plan.circuits import supply_voltage, valve_of
from rxlearn.plan.document import Plan
from rxlearn.plan.stages import currents_of, followed, stages_of

LESSON = "stage_by_stage"


def _lower(signal: float | None = None) -> FollowedSignal:
    return followed(Plan.demo(), "lower_band", signal=signal)


def _noise() -> str:
    found = _lower()
    return "outside" if found.external_dbm > found.own_noise_dbm else "mixer"


def _noise_words() -> str:
    found = _lower()
    return (f"Outside {found.external_dbm:.0f} dBm, the demo's own stages {found.own_noise_dbm:.0f} dBm: "
            "on the lower bands the world is louder than any valve.")


def _open_heater() -> str:
    """Which part of the heater current is left when one bulb of the demo goes dark."""
    plan = Plan.demo()
    bulbs = {stage.bulb for stage in stages_of(plan) if stage.heater_current}
    left = currents_of(plan).heaters - next(
        stage.heater_current for stage in stages_of(plan) if stage.heater_current)
    return "others" if left > 0 and len(bulbs) > 1 else "all"


def _stays() -> str:
    """What differs between both ends of the demo's lower band."""
    low, high = (_lower(Plan.demo().value(f"lower_band.{edge}")) for edge in ("low", "high"))
    if low.levels[-1].output_frequency != high.levels[-1].output_frequency:
        return "tone"
    behind = [row.output_frequency for row in low.levels][1:]
    moved = behind != [row.output_frequency for row in high.levels][1:]
    return "behind" if moved else "before"


def _stays_words() -> str:
    low, high = (_lower(Plan.demo().value(f"lower_band.{edge}")) for edge in ("low", "high"))
    return (f"The oscillator goes from {show(low.oscillator, 'Hz', digits=6)} to "
            f"{show(high.oscillator, 'Hz', digits=6)} with the signal, so the difference stays "
            f"{show(low.intermediate_frequency, 'Hz', digits=6)}.")


def _dark() -> str:
    plan = Plan.demo()
    row = stage_voltages("audio_amplifier", valve_of(plan, "audio_amplifier"),
                         supply=supply_voltage(plan), fault="heater").reading("anode")
    return "rises" if row.found > row.sound else ("falls" if row.found < row.sound else "stays")


PREDICTIONS = (
    Prediction(
        key="stages.predict_open_heater", lesson=LESSON,
        prompt="Five heaters are in parallel on one winding. One of them fails open. What do the "
               "others do?",
        options=(("all", "All go dark."), ("others", "The others go on glowing."),
                 ("bright", "The others burn out.")),
        truth=_open_heater,
        because=lambda: "In parallel each has the whole winding to itself. In series, as in sets "
                        "without a transformer, all would be dark.",
    ),
    Prediction(
        key="stages.predict_noise", lesson=LESSON,
        prompt="Your aerial is up, on the lower band, in a residential street. What decides how faint "
               "a station you can hear?",
        options=(("outside", "The noise from outside."), ("mixer", "The noise of the first valve."),
                 ("audio", "How loud the output stage can be.")),
        truth=_noise, because=_noise_words,
    ),
    Prediction(
        key="stages.predict_frequency", lesson=LESSON,
        prompt="You tune from one end of the lower band to the other. Which frequencies change?",
        options=(("before", "Only the signal's and the oscillator's."),
                 ("behind", "Those behind the mixer, too."), ("tone", "All, down to the tone.")),
        truth=_stays, because=_stays_words,
    ),
    Prediction(
        key="stages.predict_dark_valve", lesson=LESSON,
        prompt="The heater of the audio amplifier fails open. What does the voltage at its anode do?",
        options=(("rises", "It rises."), ("stays", "It stays."), ("falls", "It falls.")),
        truth=_dark,
        because=lambda: "A cold valve draws nothing, so its load drops nothing, and the anode stands at "
                        "the full supply: a dead stage can be the more dangerous one.",
    ),
)

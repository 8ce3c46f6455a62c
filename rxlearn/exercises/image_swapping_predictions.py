"""Predictions on image swapping, about the demo receiver on its 3.2768 MHz crystal."""

from __future__ import annotations

from rxlearn.compute.image_swapping import swap_bands, tuned_pair
from rxlearn.compute.preselector import preselect
from rxlearn.compute.quantities import show
from rxlearn.compute.recentring import recentre
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Tolerance
from rxlearn.exercises.receiver_numbers import DEMO
from rxlearn.exercises.wording import decibels, hz

LESSON = "image_swapping"

_INTERMEDIATE = DEMO["intermediate_frequency"]


def _scheme():
    return swap_bands(
        DEMO["lower_band.low"], DEMO["lower_band.high"],
        DEMO["upper_band.low"], DEMO["upper_band.high"], _INTERMEDIATE,
    )


def _drag():
    """How the two signals move when the oscillator goes up by 100 kHz."""
    before, after = (tuned_pair(oscillator, _INTERMEDIATE) for oscillator in (6.9e6, 7.0e6))
    moves = [after.lower_signal > before.lower_signal, after.upper_signal > before.upper_signal]
    if moves[0] == moves[1]:
        return "together"
    return "apart" if moves[1] else "closer"


def _circuits(signal, circuits):
    return preselect(signal, _INTERMEDIATE, "high", DEMO["preselector.loaded_q"], circuits)


def _recentred():
    return recentre(_scheme(), DEMO["oscillator.inductance"])


def _span():
    """What recentring does to the stretch that the dial covers."""
    change = _recentred().span_change
    if abs(change) < 0.005:
        return "same"
    return "less" if change < 0 else "more"


def _beside():
    found = _circuits(3.5e6, 1)
    image, beside = found.image_rejection_db, found.intermediate_frequency_rejection_db
    if abs(image - beside) < 1:
        return "same"
    return "better" if beside > image else "worse"


PREDICTIONS = (
    Prediction(
        key="swap.predict_drag",
        lesson=LESSON,
        prompt="The intermediate frequency is 3.2768 MHz. One oscillator receives a signal below "
               "it and another above it. You raise the oscillator by 100 kHz. How do the two move?",
        options=(("together", "Both go up together."), ("apart", "They move apart."),
                 ("closer", "They move closer.")),
        truth=_drag,
        because=lambda: "Each keeps its distance of one intermediate frequency from the "
                        "oscillator, so they move with it.",
    ),
    Prediction(
        key="swap.predict_share",
        lesson=LESSON,
        prompt="The dial is laid out for 3.5 MHz to 4 MHz. The same oscillator also serves "
               "10.1 MHz to 10.15 MHz. What percentage of the dial does that band fill?",
        unit="%",
        truth=lambda: 100 * _scheme().upper_share,
        near=Tolerance("A guess within a fifth is a good one.", relative=0.2),
        because=lambda: f"The dial spans {hz(_scheme().lower.oscillator_span)} and the band only "
                        f"{hz(_scheme().upper.oscillator_span)}: a reason to spread it.",
    ),
    Prediction(
        key="swap.predict_recentring",
        lesson=LESSON,
        prompt="On the upper band a capacitor is switched across the oscillator tank, so that the "
               "middle of the band comes to the middle of the dial. The tuning capacitor stays the "
               "same. What becomes of the stretch that the whole dial covers?",
        options=(("less", "It gets narrower."), ("same", "It stays as wide."),
                 ("more", "It gets wider.")),
        truth=_span,
        because=lambda: "The tank holds more capacitance, so the same swing moves it less: "
                        f"{show(_recentred().span, 'Hz', digits=3)} instead of "
                        f"{hz(_scheme().lower.oscillator_span)}.",
    ),
    Prediction(
        key="swap.predict_beside",
        lesson=LESSON,
        prompt="The circuit of loaded Q 50 is tuned to 3.5 MHz. A strong station sits on the "
               "intermediate frequency itself, 3.2768 MHz. Is it held down better than the image, "
               "as well, or worse?",
        options=(("better", "Better."), ("same", "As well."), ("worse", "Worse.")),
        truth=_beside,
        because=lambda: "It lies close by: "
                        f"{decibels(_circuits(3.5e6, 1).intermediate_frequency_rejection_db)} "
                        f"against {decibels(_circuits(3.5e6, 1).image_rejection_db)}; a trap for "
                        "the intermediate frequency helps.",
    ),
    Prediction(
        key="swap.predict_beat",
        lesson=LESSON,
        prompt="You change from the lower band (high-side) to the upper band (low-side) and want "
               "the same sideband as before. What must the beat oscillator do?",
        options=(("stay", "Stay where it is."), ("change", "Move to the other side of the filter."),
                 ("double", "Move by twice the intermediate frequency.")),
        truth=lambda: "change" if _scheme().beat_oscillator_changes_sides else "stay",
        because=lambda: "High-side injection turns the sideband over and low-side does not, so the "
                        "missing carrier lands on the other side.",
    ),
)

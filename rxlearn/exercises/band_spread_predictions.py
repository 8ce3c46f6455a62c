"""Predictions on band spread, about the demo receiver and its dial."""

from __future__ import annotations

from rxlearn.compute.band_spread import Network, cover, solve_network
from rxlearn.compute.dial import Drive, rate_dial
from rxlearn.compute.drift import Drift
from rxlearn.compute.preferred_values import nearest_preferred
from rxlearn.compute.quantities import show
from rxlearn.compute.switched_dial import pulling_capacitor
from rxlearn.compute.tracking import track
from rxlearn.compute.variable_capacitor import VariableCapacitor, turn_capacitor
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Tolerance
from rxlearn.exercises.wording import khz

LESSON = "band_spread"

_PF = 1e-12
_COIL = 1.83e-6
_VARIABLE = VariableCapacitor(10 * _PF, 50 * _PF)


def _wide():
    return solve_network(6.7768e6, 7.2768e6, _COIL, _VARIABLE)


def _narrow():
    return solve_network(6.8232e6, 6.8732e6, _COIL, _VARIABLE)


def _half_turn():
    return 100 * turn_capacitor(_VARIABLE, 90.0).place


def _ends(series):
    """How the two ends move when ``series`` is put in: up or down."""
    plain, behind = cover(_wide()), cover(Network(_COIL, _VARIABLE, series, _wide().parallel))
    moves = behind.low > plain.low, behind.high > plain.high
    return {(True, True): "up", (False, False): "down"}.get(moves, "apart")


def _rounded():
    """How far the dial's low end goes when the parallel capacitor is rounded to E6."""
    exact = _narrow()
    rounded = Network(_COIL, _VARIABLE, exact.series, nearest_preferred(exact.parallel, "E6"))
    return abs(cover(rounded).low - cover(exact).low)


def _hand():
    return rate_dial(_wide(), Drive(8, 100), 90.0).hand_step


def _switched():
    return pulling_capacitor(_wide(), 6.7232e6, 0.0)


def _worst_place():
    """Where the medium-wave band's error is largest."""
    found = track(540e3, 1600e3, 455e3, 15 * _PF, 365 * _PF)
    place = abs(found.errors / found.half_width).argmax() / (len(found.errors) - 1)
    return "low" if place < 1 / 3 else "high" if place > 2 / 3 else "middle"


def _drift():
    return -Drift(float(_wide().frequency_at(90.0)), 50.0, 30.0).moved_by(15.0)


PREDICTIONS = (
    Prediction(
        key="spread.predict_half_turn",
        lesson=LESSON,
        prompt="A capacitor of 10 pF to 50 pF has plates whose capacitance falls evenly as it "
               "opens. It stands half open, alone across a coil. How much of the frequency range "
               "lies below that setting?",
        unit="%",
        digits=2,
        truth=_half_turn,
        near=Tolerance("A guess within a fifth is a good one.", relative=0.2),
        because=lambda: "Frequency goes with the inverse square root of the capacitance, so it "
                        "gains slowly at first and rushes at the open end.",
    ),
    Prediction(
        key="spread.predict_series",
        lesson=LESSON,
        prompt="A capacitor of 12 pF is put in series with the tuning capacitor; nothing else "
               "changes. Where do the two ends of the dial go?",
        options=(("up", "Both go up in frequency."), ("down", "Both go down."),
                 ("apart", "One goes up and the other down.")),
        truth=lambda: _ends(12 * _PF),
        because=lambda: "A series capacitor leaves less capacitance at both ends, and takes most "
                        "where there was most: the dial moves up and becomes narrower. The "
                        "parallel capacitor brings it back down.",
    ),
    Prediction(
        key="spread.predict_rounding",
        lesson=LESSON,
        prompt="The 30 m dial, 50 kHz wide, wants 287 pF across its tank. You fit 330 pF, the "
               "nearest in E6 steps. How far does the dial move?",
        unit="Hz",
        digits=3,
        truth=_rounded,
        near=Tolerance("A guess within a third is a good one.", relative=1 / 3),
        because=lambda: "The change is a seventh of the capacitance and so a fourteenth of the "
                        "frequency: many times the band.",
    ),
    Prediction(
        key="spread.predict_hand",
        lesson=LESSON,
        prompt="A dial of 500 kHz over 180 ° sits behind an 8-fold reduction. How much does 1 ° of "
               "the knob tune in the middle?",
        unit="Hz",
        digits=3,
        truth=_hand,
        near=Tolerance("A guess within a fifth is a good one.", relative=0.2),
        because=lambda: f"{khz(500e3)} over 180 ° is 2.8 kHz to a degree of the shaft, and an "
                        "eighth of that to a degree of the knob. Code wants 50 Hz.",
    ),
    Prediction(
        key="spread.predict_switched",
        lesson=LESSON,
        prompt="The tank holds 301 pF at the dial's low end, 6.7768 MHz. A time station needs "
               "6.7232 MHz there. Which capacitor must be switched across the tank?",
        unit="F",
        digits=2,
        truth=_switched,
        near=Tolerance("A guess within a quarter is a good one.", relative=0.25),
        because=lambda: "The frequency must fall by 0.8 %, so the capacitance must rise by twice "
                        "that share.",
    ),
    Prediction(
        key="spread.predict_tracking",
        lesson=LESSON,
        prompt="One gang tunes aerial circuit and oscillator over 540 kHz to 1600 kHz, exact at "
               "three places. Where does the error hurt the aerial circuit most?",
        options=(("low", "At the low end."), ("middle", "In the middle."),
                 ("high", "At the high end.")),
        truth=_worst_place,
        because=lambda: "At the low end the gang's capacitance changes the frequency most, and the "
                        "aerial circuit is narrowest there.",
    ),
    Prediction(
        key="spread.predict_drift",
        lesson=LESSON,
        prompt="A coil grows by 50 ppm and its capacitors by 30 ppm for each °C. The oscillator "
               "runs near 7 MHz and warms by 15 °C. How far does it drift?",
        unit="Hz",
        digits=3,
        truth=_drift,
        near=Tolerance("A guess within a fifth is a good one.", relative=0.2),
        because=lambda: "Half of 80 ppm for each degree, downwards: "
                        f"{show(_drift() / 15, 'Hz', digits=3)} to a degree.",
    ),
)

"""Predictions on coils.  What a prompt names is given in it, so that any plan may be on screen."""

from __future__ import annotations

from rxlearn.compute.coaxial import coupling_between
from rxlearn.compute.coil_q import coil_loss
from rxlearn.compute.coil_taps import all_feeds, feed
from rxlearn.compute.coil_ways import three_ways
from rxlearn.compute.coils import Coil, turns_wanted
from rxlearn.compute.coupled_circuits import CoupledPair
from rxlearn.compute.wire import wire_called
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Tolerance

LESSON = "coils"

_MM = 1e-3
_WANTED, _FREQUENCY = 1.83e-6, 7.0268e6


def _coil(turns):
    return Coil(turns=turns, former=20 * _MM, length=18.3 * _MM, wire=wire_called("0.5 mm"))


def _twice():
    """How many times the inductance grows when the turns double on the same length."""
    return _coil(22.0).inductance / _coil(11.0).inductance


def _loosened():
    """What Q does when a close-wound coil's turns are given room, the inductance kept."""
    wire = wire_called("0.8 mm")
    tight, loose = (
        coil_loss(turns_wanted(_WANTED, 20 * _MM, wire, spacing=spacing, frequency=_FREQUENCY),
                  _FREQUENCY).q
        for spacing in (1.0, 1.8))
    return "up" if loose > 1.05 * tight else "down" if loose < 0.95 * tight else "same"


def _least_wire():
    """Which of the three ways takes least wire."""
    wire = wire_called("0.315 mm")
    found = three_ways(_WANTED, _FREQUENCY, former=20 * _MM, air_wire=wire, spacing=1.0,
                       core="T50-6", ring_wire=wire, slug_former=7 * _MM, slug_wire=wire)
    return min(found.all, key=lambda way: way.wire_length).kind


def _fed():
    """A preselector coil tapped four turns up, source 50 Ω, Q 150, at 3.74 MHz."""
    coil = Coil(turns=39.0, former=12 * _MM, length=20 * _MM, wire=wire_called("0.4 mm"))
    return feed(all_feeds(coil, "tap"), 4.0, 50.0, 3.74e6, 150.0)


def _tapped():
    """Power that gets in there: percent."""
    return 100 * _fed().taken


def _tapped_words():
    fed = _fed()
    return (f"There the circuit looks like {fed.match:.2g} times the source's 50 Ω; by the rule of turns "
            f"it would be {fed.by_turns:.2g} times. Most gets in {fed.best:g} turns up.")


def _middle():
    """What the middle of the response does when the coupling is doubled beyond critical."""
    change = (CoupledPair(3.2768e6, 100, 100, 0.02).centre_db
              - CoupledPair(3.2768e6, 100, 100, 0.01).centre_db)
    return "falls" if change < -0.5 else "rises" if change > 0.5 else "same"


def _twice_the_gap():
    """By which factor the coupling falls when 8 mm between two coils become 16 mm."""
    coil = turns_wanted(10.72e-6, 7 * _MM, wire_called("0.16 mm"))
    return coupling_between(coil, coil, 8 * _MM) / coupling_between(coil, coil, 16 * _MM)


PREDICTIONS = (
    Prediction(
        key="coils.predict_turns",
        lesson=LESSON,
        prompt="A coil keeps its former and its length, but gets twice the turns, of thinner wire "
               "if need be. How many times its inductance will it have?",
        unit="", digits=3,
        truth=_twice,
        near=Tolerance("A guess within a tenth is a good one.", relative=0.1),
        because=lambda: "Twice the turns make twice the field, and each of twice as many turns "
                        "catches it: four times, a little more or less with the wire (here 0.5 mm).",
    ),
    Prediction(
        key="coils.predict_wire",
        lesson=LESSON,
        prompt="A coil of 0.8 mm wire is wound with its turns touching. You wind it again with room "
               "between the turns, and a few turns more, for the same inductance. What does Q do?",
        options=(("up", "It rises."), ("same", "It stays nearly the same."),
                 ("down", "It falls, since there is more wire.")),
        truth=_loosened,
        because=lambda: "Turns that touch push each other's current aside, so that most of the "
                        "copper is idle. Room costs a little more wire and gives far more copper "
                        "that works.",
    ),
    Prediction(
        key="coils.predict_ring",
        lesson=LESSON,
        prompt="1.83 µH in 0.315 mm wire, once on a 20 mm air former, once on the ring core T50-6, "
               "once on a 7 mm former with an adjusting core. Which takes the least wire?",
        options=(("air", "The air coil."), ("ring", "The ring core."),
                 ("slug", "The adjusting core.")),
        truth=_least_wire,
        because=lambda: "Iron gathers the field, so few turns of a short circumference do. That ring "
                        "has many turns around its section; on a smaller ring, or for another "
                        "inductance, the two change places.",
    ),
    Prediction(
        key="coils.predict_tap",
        lesson=LESSON,
        prompt="A preselector coil for 80 m has 39 turns of 0.4 mm, 20 mm long, on a 12 mm former, "
               "Q 150. It is fed from 50 Ω at a tap four turns up. What percentage of the power that "
               "the source could give gets in?",
        unit="%", digits=2,
        truth=_tapped,
        near=Tolerance("A guess within a third is a good one.", relative=1 / 3),
        because=_tapped_words,
    ),
    Prediction(
        key="coils.predict_coupling",
        lesson=LESSON,
        prompt="Two equal circuits are critically coupled. You couple them twice as tightly. What "
               "does the level in the middle do?",
        options=(("rises", "It rises: more is coupled over."), ("same", "It stays as it is."),
                 ("falls", "It falls.")),
        truth=_middle,
        because=lambda: "Beyond critical each circuit loads the other more than its own loss does. "
                        "The middle sinks by 2 dB, and two humps stand at its sides.",
    ),
    Prediction(
        key="coils.predict_gap",
        lesson=LESSON,
        prompt="Two small coils sit on one former of 7 mm, 8 mm apart. You slide them to 16 mm. By "
               "which factor does the coupling fall?",
        unit="", digits=2,
        truth=_twice_the_gap,
        near=Tolerance("A guess within a fifth is a good one.", relative=0.2),
        because=lambda: "From the middles of the coils the distance grows by half only. The field "
                        "of a small coil falls with the third power of that.",
    ),
)
"""One for each live figure of the lesson."""

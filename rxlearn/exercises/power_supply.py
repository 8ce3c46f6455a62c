"""Questions on the power supply: hands first, then numbers.

Those that name high voltages are ``gated``: covered until the safety list is
ticked.  The safety questions are in
:mod:`rxlearn.exercises.power_supply_safety`, the predictions in
:mod:`rxlearn.exercises.power_supply_predictions`.
"""

from __future__ import annotations

import math

from rxlearn.compute.audio_matching import turns_ratio
from rxlearn.compute.power_supply import critical_inductance, solve
from rxlearn.compute.quantities import show
from rxlearn.compute.rectifiers import SiliconRectifier
from rxlearn.compute.supply_parts import BRIDGE, FULL_WAVE, Section, Supply, Transformer, peak
from rxlearn.compute.supply_rules import capacitor_ripple
from rxlearn.compute.supply_switch_off import discharge_time
from rxlearn.data.cautions import LIMIT
from rxlearn.exercises.power_supply_predictions import PREDICTIONS
from rxlearn.exercises.power_supply_safety import LESSON, SAFETY_QUESTIONS
from rxlearn.exercises.questions import Misconception, Question, Tolerance

__all__ = ["LESSON", "PREDICTIONS", "QUESTIONS"]

PARTS = Tolerance("Parts are within five percent at best, so that is near enough.", relative=0.03)
MAINS = Tolerance("The mains are known to a percent or two at best.", relative=0.01)

HIGH_MAINS = 1.1
"""Mains a tenth above nominal: the tolerance that the lesson reckons with."""


def _no_load(n) -> Supply:
    """The supply that a question is about, with nothing drawing current and ideal rectifiers."""
    return Supply(
        Transformer(n["winding"], 100.0), SiliconRectifier(drop=0.0), n["connection"],
        (Section(n["capacitance"]),))


def _volts(value: float) -> str:
    return show(value, "V", digits=4, prefix="")


# The highest voltage ---------------------------------------------------------------------


def _draw_winding(rng, plan):
    return {"winding": float(rng.integers(18, 33)) * 10.0, "connection": FULL_WAVE,
            "capacitance": float(rng.choice([22, 33, 47])) * 1e-6}


NO_LOAD = Question(
    key="supply.no_load",
    lesson=LESSON,
    prompt=lambda n: f"A winding gives {_volts(n['winding'])} r.m.s. each half with nothing drawn, "
                     "at nominal mains. The mains may be a tenth higher. To what voltage do the "
                     "capacitors charge, valves pulled out, bleeder open?",
    draw=_draw_winding,
    answer=lambda n: solve(_no_load(n), mains=HIGH_MAINS).output_voltage,
    working=lambda n: [
        "Without current nothing is lost, so the capacitors charge to the peak.",
        f"Peak at nominal mains: √2 × {_volts(n['winding'])} = {_volts(peak(n['winding']))}.",
        "A tenth more, and the capacitors' rating must lie above that: "
        f"{_volts(HIGH_MAINS * peak(n['winding']))}.",
    ],
    hints=("What does a capacitor charge to when nothing empties it?",
           "The peak is √2 times the r.m.s. value; then think of the mains."),
    unit="V", tolerance=MAINS, digits=4, gated=True,
    misconceptions=(
        Misconception("rms", lambda n: HIGH_MAINS * n["winding"],
                      "That is the r.m.s. value: a capacitor charges to the peak."),
        Misconception("nominal", lambda n: peak(n["winding"]),
                      "That is the peak at nominal mains: they may be a tenth higher."),
        Misconception("whole_winding", lambda n: 2 * HIGH_MAINS * peak(n["winding"]),
                      "That is the peak of the whole winding: with a centre tap only one half "
                      "charges at a time."),
        Misconception("average", lambda n: HIGH_MAINS * 2 / math.pi * peak(n["winding"]),
                      "That is the average of the wave, what choke input gives under load."),
    ),
)


def _draw_inverse(rng, plan):
    return _draw_winding(rng, plan) | {"connection": (FULL_WAVE, BRIDGE)[int(rng.integers(2))]}


def _inverse(n) -> float:
    return solve(_no_load(n), mains=HIGH_MAINS).peak_inverse_voltage


def _other_inverse(n) -> float:
    return _inverse(n | {"connection": BRIDGE if n["connection"] == FULL_WAVE else FULL_WAVE})


def _connection(n) -> str:
    if n["connection"] == BRIDGE:
        return f"A bridge works from a winding of {_volts(n['winding'])} r.m.s."
    return f"A full-wave rectifier works from {_volts(n['winding'])} r.m.s. each side of a centre tap."


def _inverse_working(n) -> list[str]:
    top = HIGH_MAINS * peak(n["winding"])
    if n["connection"] == BRIDGE:
        return [f"Peak at high mains: {_volts(top)}.",
                "A resting diode of a bridge hangs across the output, since its neighbour conducts: "
                f"{_volts(top)}."]
    return [
        f"Peak at high mains: {_volts(top)}. The capacitor holds it at the cathode.",
        "Half a period later the resting rectifier's own end stands at minus the peak.",
        f"It bears both: {_volts(top)} + {_volts(top)} = {_volts(_inverse(n))}.",
    ]


INVERSE = Question(
    key="supply.inverse",
    lesson=LESSON,
    prompt=lambda n: f"{_connection(n)} The capacitor is charged, nothing is drawn, the mains are a "
                     "tenth high. What must each rectifier bear in reverse?",
    draw=_draw_inverse,
    answer=_inverse,
    working=_inverse_working,
    hints=("At what voltage does the capacitor hold the cathode?",
           "And where is the other end of the resting rectifier half a period later?"),
    unit="V", tolerance=MAINS, digits=4, gated=True,
    misconceptions=(
        Misconception("other_connection", _other_inverse, lambda n: (
            "A bridge has two rectifiers in series for each way: each bears the peak once."
            if n["connection"] == BRIDGE else
            "That is the capacitor's voltage alone: the winding's other peak comes on top of it.")),
        Misconception("nominal", lambda n: _inverse(n) / HIGH_MAINS,
                      "That is for nominal mains: they may be a tenth higher."),
        Misconception("rms", lambda n: HIGH_MAINS * n["winding"] * (
            1 if n["connection"] == BRIDGE else 2),
                      "That reckons with r.m.s. values: in reverse it is the peak that counts."),
    ),
)


# What is left ------------------------------------------------------------------------------


def _draw_stored(rng, plan):
    return {"capacitance": float(rng.choice([22, 33, 47, 68, 100])) * 1e-6,
            "voltage": float(rng.integers(22, 41)) * 10.0,
            "bleeder": float(rng.choice([47, 68, 100, 150, 220])) * 1e3}


def _energy(n) -> float:
    winding = n["voltage"] / math.sqrt(2)
    supply = _no_load({"winding": winding, "connection": FULL_WAVE, "capacitance": n["capacitance"]})
    return solve(supply).capacitors[0].energy


ENERGY = Question(
    key="supply.energy",
    lesson=LESSON,
    prompt=lambda n: f"A capacitor of {show(n['capacitance'], 'F', prefix='µ')} stands at "
                     f"{_volts(n['voltage'])}. How much energy does it hold?",
    draw=_draw_stored,
    answer=_energy,
    working=lambda n: [
        "The energy is half the capacitance times the voltage squared, so twice the voltage is four "
        "times the energy.",
        f"½ × {show(n['capacitance'], 'F', prefix='µ')} × ({_volts(n['voltage'])})² = "
        f"{show(_energy(n), 'J', digits=3)}.",
    ],
    hints=("The voltage counts squared.", "And there is a half in front."),
    unit="J", tolerance=PARTS, digits=3, gated=True,
    misconceptions=(
        Misconception("no_half", lambda n: 2 * _energy(n),
                      "The half is missing: on the way up the voltage is half as much on average."),
        Misconception("charge", lambda n: n["capacitance"] * n["voltage"],
                      "That is the charge in coulomb: the energy has the voltage squared."),
        Misconception("half_charge", lambda n: n["capacitance"] * n["voltage"] / 2,
                      "The voltage counts squared."),
    ),
)


def _decay(n) -> float:
    return discharge_time(n["capacitance"], n["bleeder"], n["voltage"], LIMIT.volts)


DECAY = Question(
    key="supply.decay",
    lesson=LESSON,
    prompt=lambda n: f"The plug is out and the valves draw nothing. "
                     f"{show(n['capacitance'], 'F', prefix='µ')} stand at {_volts(n['voltage'])}, with a "
                     f"sound bleeder of {show(n['bleeder'], 'Ω')}. After how long are they down to "
                     f"{LIMIT.name}?",
    draw=_draw_stored,
    answer=_decay,
    working=lambda n: [
        "What is reckoned here is what to wait for at least. Then discharge through the lead and "
        "measure: a bleeder can be open.",
        f"Time constant: {show(n['bleeder'], 'Ω')} × {show(n['capacitance'], 'F', prefix='µ')} = "
        f"{show(n['bleeder'] * n['capacitance'], 's', digits=3)}.",
        f"It takes ln({_volts(n['voltage'])} / {_volts(LIMIT.volts)}) = "
        f"{math.log(n['voltage'] / LIMIT.volts):.3f} of them: {show(_decay(n), 's', digits=3)}.",
    ],
    hints=("First the time constant, R times C.",
           "Then how many of them: the natural logarithm of the two voltages' ratio."),
    unit="s", tolerance=PARTS, digits=3, gated=True,
    misconceptions=(
        Misconception("one", lambda n: n["bleeder"] * n["capacitance"],
                      "That is one time constant: it still stands at 37 % then."),
        Misconception("five", lambda n: 5 * n["bleeder"] * n["capacitance"],
                      "Five time constants are a habit: here a threshold is named, so reckon with "
                      "it."),
        Misconception("log_ten", lambda n: n["bleeder"] * n["capacitance"]
                      * math.log10(n["voltage"] / LIMIT.volts),
                      "That is the logarithm to base ten: the natural one is wanted."),
        Misconception("straight", lambda n: n["bleeder"] * n["capacitance"]
                      * (1 - LIMIT.volts / n["voltage"]),
                      "That lets it fall in a straight line: it falls ever more slowly."),
    ),
)


# Ripple, choke, loudspeaker: nothing here lies above the limit -------------------------------


def _draw_ripple(rng, plan):
    return {"current": float(rng.integers(4, 9)) * 10e-3,
            "frequency": (50.0, 60.0)[int(rng.integers(2))],
            "capacitance": float(rng.choice([33, 40, 47])) * 1e-6}


def _ripple(n) -> float:
    # The rule as a factor, r.m.s. of a sawtooth over 1 V, back to peak to peak.
    load = 1 / n["current"]
    return 2 * math.sqrt(3) * capacitor_ripple(load, n["capacitance"], 2 * n["frequency"])


RIPPLE = Question(
    key="supply.ripple",
    lesson=LESSON,
    prompt=lambda n: f"A full-wave supply delivers {show(n['current'], 'A')} from mains of "
                     f"{show(n['frequency'], 'Hz')}. Its first capacitor has "
                     f"{show(n['capacitance'], 'F', prefix='µ')}. What ripple, peak to peak, does the "
                     "rule of thumb give?",
    draw=_draw_ripple,
    answer=_ripple,
    working=lambda n: [
        "The rule lets it discharge all the time, so the true ripple is somewhat less.",
        f"Full wave: the capacitor is filled {2 * n['frequency']:.0f} times a second.",
        f"In between it loses {show(n['current'], 'A')} / {show(2 * n['frequency'], 'Hz')} of charge: "
        f"divided by {show(n['capacitance'], 'F', prefix='µ')} that is {show(_ripple(n), 'V', digits=3)}.",
    ],
    hints=("How often in a second is the capacitor filled?", "Charge is current times time."),
    unit="V", tolerance=PARTS, digits=3,
    misconceptions=(
        Misconception("mains_frequency", lambda n: 2 * _ripple(n),
                      "That is for half wave: full wave fills the capacitor twice in a period."),
        Misconception("rms", lambda n: _ripple(n) / (2 * math.sqrt(3)),
                      "That is the r.m.s. value of the sawtooth: peak to peak was asked."),
        Misconception("amplitude", lambda n: _ripple(n) / 2,
                      "That is from the middle to the top: peak to peak was asked."),
        Misconception("reactance", lambda n: _ripple(n) / (2 * math.pi),
                      "That uses the capacitor's reactance: the ripple is no sine, and the charge "
                      "tells."),
    ),
)


def _draw_critical(rng, plan):
    return {"load": float(rng.integers(3, 13)) * 1e3,
            "frequency": (50.0, 60.0)[int(rng.integers(2))]}


def _critical(n) -> float:
    return critical_inductance(n["load"], 1.0, n["frequency"])


CRITICAL = Question(
    key="supply.critical",
    lesson=LESSON,
    prompt=lambda n: f"A full-wave choke-input supply, mains of {show(n['frequency'], 'Hz')}, feeds "
                     f"{show(n['load'], 'Ω')}, bleeder included. How large must the choke be, by the "
                     "rule, for its current never to stop?",
    draw=_draw_critical,
    answer=_critical,
    working=lambda n: [
        "The rule: L = R / (6π f), with the mains frequency: about a henry for each kilohm.",
        f"{show(n['load'], 'Ω')} / (6π × {show(n['frequency'], 'Hz')}) = "
        f"{show(_critical(n), 'H', digits=3)}.",
    ],
    hints=("The rule has 6π and a frequency below the load.", "It is the mains frequency."),
    unit="H", tolerance=Tolerance("The handbooks round the rule to a henry for each kilohm, so a "
                                  "tenth off is near enough.", relative=0.08), digits=3,
    misconceptions=(
        Misconception("ripple_frequency", lambda n: _critical(n) / 2,
                      "That puts the ripple's frequency in: the 6 holds that already."),
        Misconception("reactance", lambda n: 3 * _critical(n),
                      "That makes the reactance at the mains frequency equal to the load: the ripple "
                      "is twice as fast, and only two thirds of the direct part."),
        Misconception("four_pi", lambda n: 1.5 * _critical(n),
                      "Nearly: the ripple's peak is only two thirds of the direct part, so two "
                      "thirds of that are enough."),
    ),
)


def _draw_turns(rng, plan):
    return {"anode": float(rng.choice([2500, 4500, 5000, 7000, 8000, 10000])),
            "speaker": float(rng.choice([3.2, 4, 8, 16]))}


def _turns(n) -> float:
    return turns_ratio(n["anode"], n["speaker"])


TURNS = Question(
    key="supply.turns",
    lesson=LESSON,
    prompt=lambda n: f"An output valve wants a load of {show(n['anode'], 'Ω')}. The loudspeaker has "
                     f"{show(n['speaker'], 'Ω')}. How many primary turns to one secondary turn must "
                     "the output transformer have?",
    draw=_draw_turns,
    answer=_turns,
    working=lambda n: [
        f"Ratio of impedances: {show(n['anode'], 'Ω')} / {show(n['speaker'], 'Ω')} = "
        f"{n['anode'] / n['speaker']:.4g}.",
        f"The turns go with its root, to one secondary turn: {_turns(n):.3g}.",
    ],
    hints=("Voltages go with the turns, currents against them.",
           "So impedances go with the turns squared."),
    unit="", tolerance=PARTS, digits=3,
    misconceptions=(
        Misconception("impedances", lambda n: n["anode"] / n["speaker"],
                      "That is the ratio of the impedances: the turns go with its root."),
        Misconception("upside_down", lambda n: 1 / _turns(n),
                      "That is secondary to primary: primary to secondary was asked."),
        Misconception("half", lambda n: _turns(n) / 2,
                      "That is half of it: the square of the ratio must give the impedances."),
    ),
)

QUESTIONS = (*SAFETY_QUESTIONS, RIPPLE, CRITICAL, TURNS, NO_LOAD, INVERSE, ENERGY, DECAY)
"""Hands first; then what needs no list; then what does."""

"""Questions on the printed sheet: true size, hold points, and what agreement proves."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rxlearn.compute.dial_scale import draw_scale
from rxlearn.compute.printed_dial import RULER, place_of, place_on_paper
from rxlearn.compute.quantities import show
from rxlearn.compute.tuning import oscillator_frequency
from rxlearn.exercises.predictions import Prediction
from rxlearn.exercises.questions import Misconception, Option, Question, Tolerance
from rxlearn.plan.band_spread import OTHER, band_of, narrow_band, offset_of
from rxlearn.plan.document import Plan
from rxlearn.plan.measured import dial_network

LESSON = "build_sheet"

_MM = 1e-3


def _apart():
    """How far apart 10 kHz stand in the middle of the demo's wider dial on 70 mm, m."""
    plan = Plan.demo()
    found = band_of(plan, "lower_band")
    scale = draw_scale(dial_network(plan, "lower_band"), offset_of(plan, "lower_band"),
                       found.band_low, found.band_high)
    return place_on_paper(scale, 70e-3, 90.0).apart


PREDICTIONS = (
    Prediction(
        key="sheet.predict_radius",
        lesson=LESSON,
        prompt="The demo receiver's 80 m dial covers 500 kHz in half a turn, on a scale of 70 mm "
               "radius. How far apart are two marks of 10 kHz in its middle?",
        unit="m",
        digits=2,
        truth=_apart,
        near=Tolerance("A guess within a third is a good one.", relative=1 / 3),
        because=lambda: f"Half a circle of 70 mm radius is 220 mm long, for 500 kHz: "
                        f"{show(_apart(), 'm', prefix='m', digits=2)} for 10 kHz.",
    ),
)

_PAPER = Tolerance("A rule on paper is read to a third of a millimetre.", absolute=0.35 * _MM)


def _mm(value):
    return show(value, "m", prefix="m", digits=4)


def _draw_ruler(rng, plan):
    return {"ruler": float(rng.choice([94, 95, 96, 97])) * _MM,
            "radius": float(rng.choice([60, 70, 80])) * _MM}


def _shrunk(n):
    return n["radius"] * n["ruler"] / (RULER * _MM)


SCALE = Question(
    key="sheet.ruler",
    lesson=LESSON,
    prompt=lambda n: f"The ruler of {RULER:.0f} mm on your sheet measures {_mm(n['ruler'])}. The "
                     f"dial was to have a radius of {_mm(n['radius'])}. What radius has it on this "
                     "paper?",
    draw=_draw_ruler,
    answer=_shrunk,
    working=lambda n: [
        f"Everything on the page shrank to {_mm(n['ruler'])} / {RULER:.0f} mm = "
        f"{n['ruler'] / (RULER * _MM):.2f} of its size.",
        f"{_mm(n['radius'])} × {n['ruler'] / (RULER * _MM):.2f} = {_mm(_shrunk(n))}.",
    ],
    hints=("The printer shrinks everything by the same share.",),
    unit="m",
    tolerance=_PAPER,
    digits=4,
    misconceptions=(
        Misconception("grown", lambda n: n["radius"] * RULER * _MM / n["ruler"],
                      "You let it grow: what should be 100 mm came out shorter, so all did."),
        Misconception("same_difference", lambda n: n["radius"] - (RULER * _MM - n["ruler"]),
                      "The same number of millimetres is not the same share: take the ratio."),
    ),
)


def _draw_arc(rng, plan):
    return {"radius": float(rng.choice([50, 60, 70, 80])) * _MM,
            "width": float(rng.choice([100, 200, 350, 500])) * 1e3}


def _arc(n):
    return math.pi * n["radius"] / n["width"] * 10e3


ARC = Question(
    key="sheet.arc",
    lesson=LESSON,
    prompt=lambda n: f"A dial of half a turn has a radius of {_mm(n['radius'])}, and its band of "
                     f"{show(n['width'], 'Hz')} is spread evenly. How far apart along the arc are "
                     "two marks of 10 kHz?",
    draw=_draw_arc,
    answer=_arc,
    working=lambda n: [
        f"Half a circle is π·r = {_mm(math.pi * n['radius'])} long.",
        f"10 kHz is 10 kHz / {show(n['width'], 'Hz')} of it: {_mm(_arc(n))}.",
    ],
    hints=("How long is half a circle of that radius?",
           "Which share of it do 10 kHz take?"),
    unit="m",
    tolerance=Tolerance("A pencil line is a fifth of a millimetre wide.", absolute=0.2 * _MM,
                        relative=0.02),
    digits=4,
    misconceptions=(
        Misconception("whole", lambda n: 2 * _arc(n),
                      "That is a whole circle: the pointer goes over half of it."),
        Misconception("straight", lambda n: _arc(n) * 2 / math.pi,
                      "That is straight across, from end to end. The marks stand along the arc."),
    ),
)


def _draw_hold(rng, plan):
    return {"case": str(rng.choice(["low", "high"]))}


_READ = {"low": "a third below", "high": "a fifth above"}

HOLD = Question(
    key="sheet.hold",
    lesson=LESSON,
    prompt=lambda n: f"At a hold point the meter, clipped on, reads {_READ[n['case']]} what the "
                     "sheet expects. What do you do?",
    draw=_draw_hold,
    answer=lambda n: "out",
    working=lambda n: [
        "A hold point is there so that a fault is met while little has happened.",
        "Plug out, wait, discharge through the lead, measure each capacitor; only then look for "
        "the cause, with your mentor.",
    ],
    hints=("What is the one thing that must not happen with a hand in the set?",),
    options=(
        Option("out", "Plug out, wait, discharge, measure, then look for the cause.",
               "Everything else comes after the plug is out."),
        Option("on", "Go on: later steps will show what it is.",
               "Later steps add valves and current to a fault that you know of already."),
        Option("probe", "Leave it on and look at other places with the meter.",
               "Nobody moves a probe in a live set: it is clipped on unplugged and discharged."),
        Option("quick", "Switch off and quickly change the part that you suspect.",
               "A switch is not a plug, and a capacitor is not empty because a switch is off."),
    ),
)


def _nothing(rng, plan):
    return {}


UNFINISHED = Question(
    key="sheet.unfinished",
    lesson=LESSON,
    prompt=lambda n: "Your sheet says UNFINISHED: with mains high and no load a capacitor would "
                     "stand above its rating. All other lines are fine. May you build in the "
                     "meantime?",
    draw=_nothing,
    answer=lambda n: "mend",
    working=lambda n: [
        "With no load is what happens at every switching on, before the valves draw current.",
        "So change the plan first: a capacitor of a higher rating, or a lower winding. The sheet "
        "then says so itself.",
    ],
    hints=("When does a receiver with cold valves draw its current?",),
    options=(
        Option("mend", "No: change the plan first, then print again.",
               "The plan comes first; a sheet is only its picture."),
        Option("rare", "Yes: high mains and no load never come together.",
               "No load comes at every switching on, and mains are high somewhere every day."),
        Option("margin", "Yes: makers leave a margin above what is printed.",
               "That margin is for what they did not foresee, not for you to plan with."),
        Option("strike", "Yes, if the line is struck out by hand.",
               "The line is not the fault. The capacitor is."),
    ),
)

AGREE = Question(
    key="sheet.agree",
    lesson=LESSON,
    prompt=lambda n: "A circuit simulator runs your netlist and finds the same frequencies as this "
                     "workbook. What does that not tell you?",
    draw=_nothing,
    answer=lambda n: "parts",
    working=lambda n: [
        "Both compute from the same values: those of your plan.",
        "Whether your coil has that inductance, only a measurement tells.",
    ],
    hints=("Where do both programs have their values from?",),
    options=(
        Option("parts", "Whether your real parts have the values in the plan.",
               "Neither program has seen your parts."),
        Option("formula", "Whether the workbook's formulas are right.",
               "That is just what it makes likely: another program, another way, the same answer."),
        Option("netlist", "Whether the netlist can be read.",
               "It ran, so it could be read."),
    ),
)

QUESTIONS = (SCALE, HOLD, ARC, UNFINISHED, AGREE)


def build_sheet_steps(plan: Plan) -> Iterator[str]:
    """One mark of the printed dial, from frequency to paper; raises Unclear where it stops."""
    band = OTHER[narrow_band(plan)]
    found, network = band_of(plan, band), dial_network(plan, band)
    name, degrees = plan.value(f"{band}.name"), network.variable.degrees
    signal = (found.band_low + found.band_high) / 2
    oscillator = oscillator_frequency(signal, found.intermediate_frequency, found.injection)
    yield (f"Where does {show(signal, 'Hz', digits=6)}, the middle of {name}, stand on the printed "
           f"scale? The oscillator is then at {show(oscillator, 'Hz', digits=7)}.")
    angle = network.angle_for(signal - offset_of(plan, band))
    if angle is None:
        yield "That is not on the dial: the coil or its capacitors must change first."
        return
    yield (f"The tank gives that at {show(round(angle, 2), '°', digits=5)} of the shaft's "
           f"{show(degrees, '°')}, counted from fully meshed.")
    radius = 1000 * plan.value("dial.scale_radius")
    x, y = place_of(angle, degrees, radius, plan.value("dial.sense"))
    side = "right" if x > 0 else "left"
    yield (f"The scale's middle points straight up, so on a radius of {radius:.0f} mm the mark "
           f"stands {abs(x):.1f} mm to the {side} of the shaft and {abs(y):.1f} mm "
           f"{'above' if y > 0 else 'below'} it.")

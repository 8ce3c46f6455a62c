"""Questions on a third band, continued: which crystal, how much of the band, whistles."""

from __future__ import annotations

from rxlearn.compute.converter_plan import plan_converter
from rxlearn.compute.quantities import show_span
from rxlearn.compute.tuning import HIGH, plan_band
from rxlearn.exercises.questions import Misconception, Question, Tolerance
from rxlearn.exercises.third_band_numbers import KILOHERTZ, LESSON
from rxlearn.exercises.wording import hz

# Published edges of amateur bands (ITU Radio Regulations, Article 5) and dials to read them on.
_BANDS = ((14.0e6, 14.35e6), (21.0e6, 21.45e6), (18.068e6, 18.168e6), (24.89e6, 24.99e6))
_DIALS = ((3.5e6, 4.0e6), (1.8e6, 2.0e6), (7.0e6, 7.3e6), (5.0e6, 5.5e6))


def _span(low, high):
    return show_span(low, high, "Hz", digits=7)


# Cut a crystal.

def _draw_crystal(rng, plan):
    low, high = _BANDS[int(rng.integers(len(_BANDS)))]
    bottom, top = _DIALS[int(rng.integers(len(_DIALS)))]
    return {"low": low, "high": high, "main_low": bottom, "main_high": top}


CRYSTAL = Question(
    key="third.crystal",
    lesson=LESSON,
    prompt=lambda n: f"A converter is to lay the band from {_span(n['low'], n['high'])} upright on "
                     f"a dial of {_span(n['main_low'], n['main_high'])}, so that its low edge is "
                     "read at the dial's low end. Which crystal must be cut?",
    draw=_draw_crystal,
    answer=lambda n: n["low"] - n["main_low"],
    working=lambda n: [
        "Upright means that the crystal stands below the band.",
        f"What lies between them is what is read: {hz(n['low'])} - {hz(n['main_low'])} = "
        f"{hz(n['low'] - n['main_low'])}.",
    ],
    hints=("On which side of the band does an upright converter's crystal stand?",
           "Signal less crystal is what the dial reads."),
    unit="Hz",
    tolerance=KILOHERTZ,
    misconceptions=(
        Misconception("above", lambda n: n["low"] + n["main_low"],
                      "With that one above the band the dial runs backwards."),
        Misconception("high_end", lambda n: n["low"] - n["main_high"],
                      "You put the low edge at the dial's high end: the rest of the band is off "
                      "the dial."),
        Misconception("other_edge", lambda n: n["high"] - n["main_low"],
                      "You took the band's high edge: it is the low one that is to be read there."),
    ),
)


# A dial that is too short.

# Band edges and a crystal above it, for a dial of 3.5 to 4 MHz or of 1.8 to 2 MHz.
_SHORT = ((28.0e6, 29.7e6, 32.0e6, 3.5e6, 4.0e6), (28.0e6, 29.7e6, 32.5e6, 3.5e6, 4.0e6),
          (21.0e6, 21.45e6, 23.0e6, 1.8e6, 2.0e6), (14.0e6, 14.35e6, 16.1e6, 1.8e6, 2.0e6))


def _draw_short(rng, plan):
    names = ("low", "high", "crystal", "main_low", "main_high")
    return dict(zip(names, _SHORT[int(rng.integers(len(_SHORT)))]))


def _top(n):
    main = plan_band(n["main_low"], n["main_high"], 455e3, HIGH)
    return plan_converter(n["low"], n["high"], n["crystal"], main).converted.covered_high


REACH = Question(
    key="third.reach",
    lesson=LESSON,
    prompt=lambda n: f"A converter with a crystal on {hz(n['crystal'])} is to bring the band from "
                     f"{_span(n['low'], n['high'])} to a dial of "
                     f"{_span(n['main_low'], n['main_high'])}. Up to which frequency of the band "
                     "can you listen?",
    draw=_draw_short,
    answer=_top,
    working=lambda n: [
        "The crystal stands above the band, so the highest frequency is read lowest.",
        f"The dial's low end is {hz(n['main_low'])}: {hz(n['crystal'])} - {hz(n['main_low'])} = "
        f"{hz(_top(n))}.",
    ],
    hints=("Which end of the dial does the band's upper part come to?",
           "Take the dial's low end off the crystal."),
    unit="Hz",
    tolerance=KILOHERTZ,
    misconceptions=(
        Misconception("whole", lambda n: n["high"],
                      "The band is wider than the dial: what lands beyond its end is not heard."),
        Misconception("other_end", lambda n: n["crystal"] - n["main_high"],
                      "That is the lowest you can hear: the dial runs backwards."),
        Misconception("landing", lambda n: n["crystal"] - n["high"],
                      "That is where the band's high edge would be read, if the dial went there."),
    ),
)


# A crystal that is off.

def _draw_off(rng, plan):
    return {"crystal": float(rng.choice([22.1184, 25.0, 28.63636, 32.0])) * 1e6,
            "reading": float(rng.choice([3.6, 3.7, 3.8, 3.9])) * 1e6,
            "parts": float(rng.choice([60, 75, 80, 100]))}


OFF = Question(
    key="third.off",
    lesson=LESSON,
    prompt=lambda n: f"A converter's crystal stamped {hz(n['crystal'])} runs "
                     f"{n['parts']:.0f} ppm too high. The main dial, which is right, reads "
                     f"{hz(n['reading'])}. By how much is the third band's scale off?",
    draw=_draw_off,
    answer=lambda n: n["crystal"] * n["parts"] * 1e-6,
    working=lambda n: [
        "The scale is drawn for the stamped frequency, and every mark goes with the crystal.",
        f"{n['parts']:.0f} ppm of {hz(n['crystal'])} is {hz(n['crystal'] * n['parts'] * 1e-6)}.",
    ],
    hints=("What does a kilohertz more of crystal do to every mark?",
           "A part in a million of a megahertz is one hertz."),
    unit="Hz",
    tolerance=Tolerance("A drifting crystal is not worth a finer figure, so two percent are "
                        "allowed.", relative=0.02),
    misconceptions=(
        Misconception("of_the_reading", lambda n: n["reading"] * n["parts"] * 1e-6,
                      "You took the share of the reading: it is the crystal that is off."),
        Misconception("of_the_signal",
                      lambda n: (n["crystal"] - n["reading"]) * n["parts"] * 1e-6,
                      "You took the share of the station's frequency: it is the crystal that is "
                      "off."),
        Misconception("twice", lambda n: 2 * n["crystal"] * n["parts"] * 1e-6,
                      "You counted it twice: the main dial is right and adds nothing."),
    ),
)


# Where two oscillators whistle.

_MEETINGS = ((25.0e6, 3), (24.0e6, 3), (24.576e6, 3), (17.734475e6, 2))


def _draw_whistle(rng, plan):
    crystal, harmonic = _MEETINGS[int(rng.integers(len(_MEETINGS)))]
    return {"crystal": crystal, "harmonic": harmonic, "intermediate_frequency": 3.2768e6}


def _meets_at(n):
    return (n["crystal"] - n["intermediate_frequency"]) / n["harmonic"]


_TIMES = {2: "second", 3: "third"}

WHISTLE = Question(
    key="third.whistle",
    lesson=LESSON,
    prompt=lambda n: "A receiver has its intermediate frequency on "
                     f"{hz(n['intermediate_frequency'])} and its oscillator on the high side. A converter's crystal on "
                     f"{hz(n['crystal'])}, less the oscillator's {_TIMES[n['harmonic']]} harmonic, "
                     "lands on the intermediate frequency. What does the dial read there?",
    draw=_draw_whistle,
    answer=lambda n: _meets_at(n) - n["intermediate_frequency"],
    working=lambda n: [
        f"The harmonic must lie {hz(n['intermediate_frequency'])} below the crystal, on "
        f"{hz(n['crystal'] - n['intermediate_frequency'])}.",
        f"So the oscillator runs on {hz(_meets_at(n))}.",
        f"High side: the dial reads that less the intermediate frequency, "
        f"{hz(_meets_at(n) - n['intermediate_frequency'])}.",
    ],
    hints=("On which frequency must the harmonic lie?",
           "Divide by the harmonic, then go from the oscillator to the dial."),
    unit="Hz",
    tolerance=KILOHERTZ,
    misconceptions=(
        Misconception("oscillator", _meets_at,
                      "That is the oscillator: the dial reads one intermediate frequency less."),
        Misconception("crystal_alone",
                      lambda n: n["crystal"] / n["harmonic"] - n["intermediate_frequency"],
                      "You made the harmonic meet the crystal itself: their difference is to be "
                      "the intermediate frequency."),
        Misconception("other_side", lambda n: (n["crystal"] + n["intermediate_frequency"])
                      / n["harmonic"] - n["intermediate_frequency"],
                      "You put the harmonic above the crystal: the crystal less the harmonic was "
                      "asked for."),
    ),
)

QUESTIONS = (CRYSTAL, REACH, OFF, WHISTLE)

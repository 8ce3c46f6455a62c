"""Questions of words on the stages: what a symptom says, in which order to measure, what is safe."""

from __future__ import annotations

from rxlearn.data.cautions import CAUTIONS
from rxlearn.exercises.questions import Option, Question
from rxlearn.exercises.stage_by_stage_predictions import LESSON


def _nothing(rng, plan):
    """A question of words: nothing is drawn."""
    return {}


def _choice(key: str, prompt: str, answer: str, why: tuple[str, ...], hint: str,
            options: tuple[Option, ...]) -> Question:
    return Question(
        key=f"stages.{key}", lesson=LESSON, prompt=lambda n: prompt, draw=_nothing,
        answer=lambda n: answer, working=lambda n: list(why), hints=(hint,), options=options)


SAME_ON_BOTH = _choice(
    "same_on_both",
    "Look at the block diagram and turn the band switch to and fro. Between which blocks is the "
    "frequency the same on both bands?",
    "behind",
    ("The signal and the oscillator change with the band.",
     "From the mixer on, everything is the intermediate frequency and then the tone, on either band."),
    "Read the two rows of frequencies, arrow by arrow.",
    (
        Option("before", "From the aerial to the mixer",
               "Those are the two signals themselves, and they are bands apart."),
        Option("behind", "From the mixer to the loudspeaker",
               "From there on both rows agree."),
        Option("feeds", "From the oscillator to the mixer",
               "The oscillator covers one range, but at a given place of the dial it is not the same "
               "on both bands."),
        Option("beat", "From the beat oscillator to the detector",
               "It changes sides when one band has the oscillator above and the other below."),
    ))

ORDER = _choice(
    "order",
    "You want the cathode's voltage of a stage under power. Which order is right?",
    "clip",
    (CAUTIONS["meter"].short,
     "So: plug out, discharge, clip on, stand back, power up, read, power down, discharge, take off."),
    "When may a hand be near?",
    (
        Option("probe", "Power up, hold the probe to the pin, read, power down",
               "A probe slips, and beside that pin is the anode. Nobody holds a probe in a set that has "
               "power."),
        Option("clip", "Plug out, discharge, clip on, stand back, power up, read, power down, "
                       "discharge, take off",
               "That is the order."),
        Option("late", "Plug out, clip on, power up, read, take the clip off, plug out",
               "The clip comes off after the power and after the discharge, and the discharge comes "
               "before the first touch as well."),
        Option("low", "It is only a volt or two, so as you like",
               "The cathode has a volt or two; its neighbour a centimetre away has the high tension."),
    ))

HISS = _choice(
    "hiss",
    "No station anywhere, on both bands, but a faint hiss is left when the volume is full. All valves "
    "glow. Where do you look first?",
    "oscillator",
    ("The hiss comes from the stages behind the mixer, so these work.",
     "Without the oscillator nothing is brought to the intermediate frequency: a second receiver tells "
     "in a minute whether it runs."),
    "Which stages make the hiss that is left?",
    (
        Option("oscillator", "At the oscillator, with a second receiver beside the set",
               "If it is silent there, the oscillator has stopped."),
        Option("output", "At the output stage, with a meter",
               "It passes the hiss on, so it works."),
        Option("detector", "At the detector, with a new diode",
               "The hiss passes it. Parts are changed when a measurement says which."),
        Option("bleeder", "At the bleeder",
               "The bleeder has no part in what you hear. Measure it all the same, before any hand goes "
               "in."),
    ))

GRID = _choice(
    "hot_output",
    "Sound is rough, the output valve gets very hot, and its cathode stands at twice its planned "
    "voltage. What is it?",
    "leak",
    ("Twice the voltage across the same cathode resistor is twice the current.",
     "Something pulls the grid up, and the one part between it and a high voltage is the coupling "
     "capacitor: it leaks."),
    "What sets the current of a valve?",
    (
        Option("heater", "Its heater is open",
               "Then it would draw nothing, and the cathode would stand at nothing."),
        Option("leak", "The coupling capacitor at its grid leaks",
               "Plug out, before the valve and its transformer are ruined."),
        Option("cathode", "Its cathode resistor is open",
               "Then the cathode would rise until the valve cuts off: no heat, hardly any sound."),
        Option("speaker", "The loudspeaker has come off",
               "That does harm, too, but it leaves the direct current as it was."),
    ))

WORD_QUESTIONS = (SAME_ON_BOTH, HISS, GRID, ORDER)
"""In the order of the lesson."""

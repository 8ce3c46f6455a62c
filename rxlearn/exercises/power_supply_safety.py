"""Safety questions on the power supply: what to do, and why, at each place where a hand would go.

No prompt, option or answer names a high voltage, so these can be asked before
the safety list is ticked.  What is right is common practice, said in the words
of :mod:`rxlearn.data.cautions`; local codes and licensed practice come first.
"""

from __future__ import annotations

from rxlearn.data.cautions import CAUTIONS
from rxlearn.exercises.questions import Option, Question

LESSON = "power_supply"


def _nothing(rng, plan):
    """A question of words: nothing is drawn."""
    return {}


def _choice(key: str, prompt: str, answer: str, caution: str, why: tuple[str, ...],
            hint: str, options: tuple[Option, ...]) -> Question:
    """A question of words whose working begins with the caution that it is about."""
    return Question(
        key=f"supply.{key}", lesson=LESSON, prompt=lambda n: prompt, draw=_nothing,
        answer=lambda n: answer, working=lambda n: [CAUTIONS[caution].short, *why],
        hints=(hint,), options=options,
    )


BLEEDER = _choice(
    "bleeder_open",
    "You pulled the plug five minutes ago. By your plan the bleeder needs half a minute. What do "
    "you know about the capacitors?",
    "nothing", "bleeder",
    ("The plan reckons with a bleeder that conducts.",
     "One that has failed open leaves the set playing as ever, and the charge where it was."),
    "What would you notice while the set plays, if the bleeder were open?",
    (
        Option("empty", "They are empty: ten times the time has passed",
               "Only if the bleeder conducts, and an open one shows nothing while the set plays: "
               "discharge, then measure each one."),
        Option("nothing", "Nothing, until each one is discharged and measured",
               "Only the meter tells."),
        Option("valves", "They are empty: the warm valves have used the charge up",
               "Valves cool within seconds and then draw nothing; and with a valve out, nothing "
               "ever drew it. Discharge, then measure each one."),
        Option("one", "The first is empty if the second measures nothing",
               "A broken wire or choke parts them: each capacitor is measured for itself."),
    ))

CREEPING = _choice(
    "creeping_back",
    "You discharged the capacitors, measured them, took the discharge lead off and went away for "
    "ten minutes. The plug stayed out. What now?",
    "again", "creeping_back",
    ("The insulation of a capacitor gives its charge back slowly (dielectric absorption).",
     "So a capacitor that was empty need not be empty ten minutes later."),
    "Where was the last of the charge when you took the lead off?",
    (
        Option("work", "Work on: the plug was out all the time",
               "The plug has no part in it: a capacitor gains voltage by itself. Discharge and "
               "measure again, and leave the lead on."),
        Option("again", "Discharge and measure again, then leave the lead clipped on",
               "The lead stays on for as long as hands are near."),
        Option("touch", "Touch the chassis first to take any charge off",
               "You would be the discharge resistor. Discharge with the lead, then measure."),
    ))

METER = _choice(
    "meter",
    "You want to know the high tension of your new supply under load. How do you go about it?",
    "clips", "meter",
    ("A probe held by hand can slip, and the hand is near what kills.",
     "Clips hold by themselves, so nobody is near when the power comes on."),
    "Where are your hands while there is power?",
    (
        Option("probe", "Switch on, hold the probe in one hand, the other in the pocket",
               "One hand helps, but it is still in a chassis with power. Clip the meter on with "
               "the plug out."),
        Option("clips", "Plug out, discharge, clip the meter on, stand back, power up, read, power "
                        "down, discharge, take it off",
               "That is the order."),
        Option("gloves", "Switch on and use rubber household gloves",
               "No glove of that kind is rated for it, and a slip still makes an arc. Clip the "
               "meter on with the plug out."),
        Option("range", "Begin with the lowest range and go up",
               "That harms the meter, and says nothing about your hands. Clip it on with the plug "
               "out, on a range above what can be there."),
    ))

FUSE = _choice(
    "fuse",
    "Somebody bridges the high-tension winding with a hand and a few hundredths of an ampere "
    "flow. What does the line fuse do?",
    "nothing", "fuse_and_earth",
    ("A few hundredths of an ampere are what a receiver draws all day.",
     "A fuse carries half as much again as its rating for an hour; for the fuse this is a load "
     "like any other."),
    "What does the set itself draw?",
    (
        Option("blows", "It blows at once",
               "It carries the set's own current all day, and that is as much. A fuse guards the "
               "transformer and the house, not you."),
        Option("nothing", "Nothing: it cannot tell a hand from a receiver",
               "It guards the transformer and the house."),
        Option("late", "It blows, but some seconds too late",
               "It would not blow at all: the current is that of a receiver."),
    ))

LIVE_CHASSIS = _choice(
    "live_chassis",
    "You are given an old set to learn on. It has five valves and no mains transformer: the "
    "heaters are in one chain. What do you do?",
    "leave", "live_chassis",
    ("Without a transformer one side of the mains goes to the chassis.",
     "Which side, depends on how the plug went in, and the switch may stand in the other."),
    "To what is the chassis joined, if nothing isolates it?",
    (
        Option("earth", "Fit an earth wire to the chassis first",
               "Earth on a chassis that is one side of the mains is a short, or worse. Such a set "
               "stays closed."),
        Option("reverse", "Turn the plug until a tester stays dark",
               "The next plugging-in, or a switch in the other conductor, undoes it. Such a set "
               "stays closed."),
        Option("leave", "Leave it closed and ask the mentor for another",
               "It is not for beginners."),
        Option("residual", "Use it behind a residual-current device",
               "You would be what makes it trip, if it does. Such a set stays closed."),
    ))

LAMP = _choice(
    "lamp",
    "First power, valves out, through a current-limiting lamp. The lamp lights up brightly and "
    "stays so. What do you do?",
    "out", "first_power",
    ("A good supply without load lets the lamp flash up while the capacitors charge, and go dark.",
     "A lamp that stays bright has most of the mains across itself, so the set is nearly a short."),
    "Where is the voltage, if the lamp is bright?",
    (
        Option("wait", "Wait: it charges the capacitors",
               "They charge within a second or so; a lamp that stays bright feeds a fault."),
        Option("bypass", "Take the lamp out, so that the set gets its full voltage",
               "Then the fault gets the full current. The plug comes out first."),
        Option("out", "Pull the plug, discharge, measure, and only then look for the short",
               "The lamp has done its work."),
        Option("feel", "Feel which part gets warm",
               "Nobody's hand goes into a chassis with its plug in. The plug comes out first."),
    ))

RESIDUAL = _choice(
    "residual_current",
    "The bench has a residual-current device. One of your hands rests on the chassis, the other "
    "touches the high tension. What does the device do?",
    "nothing", "residual_current",
    ("It compares what goes out in the line with what comes back in the neutral, on the mains side.",
     "The current through you comes from the secondary and goes back to it, so those two stay "
     "equal and nothing trips."),
    "Where does the current through you begin, and where does it end?",
    (
        Option("trips", "It trips as soon as enough flows to harm you",
               "Nothing of that current is missing on the mains side: it goes round on the far side "
               "of the transformer, where the device does not look."),
        Option("earth", "It trips, since the chassis is earthed",
               "The earth joins one end of the secondary to the ground, and still what comes out of "
               "the secondary returns to it. Line and neutral stay equal."),
        Option("nothing", "Nothing", "It guards the mains side."),
        Option("late", "It trips, though only after a second",
               "It would not trip at all: it sees no difference, however long it lasts."),
    ))

SCREWDRIVER = _choice(
    "screwdriver",
    "The plug is out. Why is each capacitor discharged through a resistor on an insulated lead, and "
    "not with a screwdriver laid across it?",
    "limit", "charged_capacitor",
    ("Nothing limits the current of a dead short: it throws molten metal and can burst the part.",
     "The resistor lets the same charge go in a second or so. Then each capacitor is measured, "
     "since neither way tells by itself what is left."),
    "What limits the current in either case?",
    (
        Option("tip", "It spares the screwdriver's tip",
               "It spares your eyes and hands: a dead short throws molten metal and can burst the "
               "capacitor."),
        Option("spark", "It need not be, if the second touch of the screwdriver makes no spark",
               "No spark tells nothing of what is left, and the first one throws metal. Through the "
               "resistor, then measure."),
        Option("good", "The resistor empties it for good",
               "Nothing does: the insulation gives some of its charge back, so the lead stays clipped "
               "on. The resistor limits the current."),
        Option("limit", "It limits the current; a dead short throws metal and can burst the part",
               "And then each one is measured."),
    ))

ISOLATION = _choice(
    "isolation",
    "The transformer isolates your supply from the mains. The high tension's minus goes to the "
    "chassis, and the chassis to protective earth. What follows for somebody who touches the high "
    "tension with one hand only?",
    "circuit", "fuse_and_earth",
    ("The transformer keeps the mains off the chassis, and that is all it isolates.",
     "The chassis is earthed, and so is much that one stands on or leans on: that closes the circuit "
     "back to the winding."),
    "To what is the chassis joined, and to what are your feet?",
    (
        Option("nothing", "Nothing flows: the transformer isolates",
               "It isolates from the mains. The winding's other end stands on the chassis, the "
               "chassis on earth, and you perhaps as well."),
        Option("circuit", "The circuit can close through feet, elbow or bench, back to the earthed "
                          "chassis",
               "One hand lowers the risk; it does not remove it."),
        Option("chassis", "Only who touches the chassis as well is in danger",
               "Earth is the chassis by another way: a floor, a pipe, the case of another set."),
    ))

SAFETY_QUESTIONS = (BLEEDER, CREEPING, SCREWDRIVER, METER, FUSE, RESIDUAL, ISOLATION, LIVE_CHASSIS,
                    LAMP)
"""In the order of the lesson."""

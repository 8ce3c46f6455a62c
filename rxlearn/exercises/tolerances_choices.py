"""Questions on tolerances, continued: what decides, what cancels, what comes first."""

from __future__ import annotations

from rxlearn.compute.adding_tolerances import add_up
from rxlearn.compute.build_from_parts import Quality
from rxlearn.compute.influence import DIAL_WIDTH, TRIMMER_SETTING, influences
from rxlearn.compute.quantities import show
from rxlearn.compute.receiver_parts import COIL, FIXED, MINIMUM, SWING
from rxlearn.exercises.questions import Option, Question
from rxlearn.exercises.tolerances_numbers import (
    PF,
    build_with_room,
    farad,
    parts,
    percent,
)
from rxlearn.exercises.tolerances_predictions import LESSON
from rxlearn.exercises.tolerances_worked import room_for
from rxlearn.exercises.wording import hz, whose
from rxlearn.plan.document import Plan
from rxlearn.plan.tolerances import many_times

# Where the money goes.

_ASKED = {DIAL_WIDTH: "Once trimmed at the low end, many of the dials are still too narrow.",
          TRIMMER_SETTING: "In many receivers the trimmer does not reach far enough."}
_PART = {COIL: "coil", FIXED: "fixed", SWING: "variable", MINIMUM: "variable"}


def _draw_money(rng, plan):
    coil, output = ((1, DIAL_WIDTH), (2, DIAL_WIDTH), (1, TRIMMER_SETTING), (2, TRIMMER_SETTING),
                    (5, TRIMMER_SETTING))[int(rng.integers(5))]
    return {"coil": coil / 100, "parts": 0.05, "output": output}


def _shares(n):
    many = many_times(Plan.demo())
    quality = Quality(coil=n["coil"], capacitors=n["parts"], variable=n["parts"])
    return influences(many.build(quality=quality), power=8)[n["output"]]


def _money(n):
    shares = _shares(n)
    return _PART[max(_PART, key=shares.get)]


MONEY = Question(
    key="tolerance.money",
    lesson=LESSON,
    prompt=lambda n: f"The demo receiver's coil is good to ± {percent(n['coil'])}, its capacitors to "
                     f"± {percent(n['parts'])}. {_ASKED[n['output']]} Which single part, bought "
                     "better, helps most?",
    draw=_draw_money,
    answer=_money,
    working=lambda n: [
        "Each part's share of the scatter is its square over the sum of squares; only the largest "
        "is worth money.",
        f"By the figure: coil {100 * _shares(n)[COIL]:.0f} %, fixed capacitor "
        f"{100 * _shares(n)[FIXED]:.0f} %, the tuning capacitor's swing "
        f"{100 * _shares(n)[SWING]:.0f} %.",
    ],
    hints=("Is it the trimmer's setting that is asked about, or the width of the dial?",
           "Set the figure “Which part to pay for” to that question."),
    options=(
        Option("coil", "The coil.",
               "The coil's percentage is small, and the trimmer takes most of what is left of it."),
        Option("fixed", "The fixed capacitor.",
               lambda n: "Its error goes into the trimmer in full; the width of the dial hardly feels "
                         "it." if n["output"] == DIAL_WIDTH else
                         "Its picofarads are fewer than those that such a coil asks for."),
        Option("variable", "The tuning capacitor.",
               "It sets the width; for the trimmer's setting its few picofarads count little."),
    ),
)


# One reel.

def _draw_reel(rng, plan):
    count, each = ((3, 110), (2, 100), (4, 56))[int(rng.integers(3))]
    return {"count": float(count), "each": each * PF, "tolerance": 0.05,
            "origin": str(rng.choice(["reel", "apart", "large"]))}


_ORIGINS = {"reel": "all from one reel", "apart": "each from another maker",
            "large": "each from another maker, with one that makes nearly all of the sum"}


def _gain(n):
    found = add_up(int(n["count"]), n["tolerance"], one_reel=n["origin"] == "reel",
                   largest=0.95 if n["origin"] == "large" else 0.0)
    return found.likely / found.worst


def _reel(n):
    return "cancels" if _gain(n) < 0.93 else "same" if n["origin"] == "reel" else "one"


REEL = Question(
    key="tolerance.reel",
    lesson=LESSON,
    prompt=lambda n: f"A fixed capacitor of {farad(n['count'] * n['each'])} is put together of several "
                     f"of ± {percent(n['tolerance'])}, {_ORIGINS[n['origin']]}. Is the sum likely to "
                     "be nearer to what is printed than one alone?",
    draw=_draw_reel,
    answer=_reel,
    working=lambda n: [
        "Errors cancel where parts are independent and none outweighs the others.",
        f"Here ninety-nine of a hundred sums lie within {100 * _gain(n):.0f} % of the worst case.",
    ],
    hints=("Do they know of each other?", "Does one of them make nearly all of the sum?"),
    options=(
        Option("cancels", "Yes: their errors partly cancel.",
               "Only independent parts of like size cancel; here that is not so."),
        Option("same", "No: they are all off the same way.",
               "That would be so if they came from one reel, and these do not."),
        Option("one", "No: one of them decides alone.",
               "That would be so if one made nearly all of the sum; here they are alike."),
    ),
)


# Read it off the figure.

_PERCENT_OF_ROOM = 90


def _draw_room(rng, plan):
    return {**parts(plan), "tolerance.variable": float(rng.choice([2, 3, 5, 8]))}


def _room(n):
    return room_for(lambda room: build_with_room(n, room), _PERCENT_OF_ROOM / 100)


def _room_key(n):
    room = _room(n)
    return "none" if room is None else "little" if room < 0.08 else "some" if room < 0.14 else "much"


ROOM = Question(
    key="tolerance.room",
    lesson=LESSON,
    prompt=lambda n: f"{whose(n)} has an intermediate frequency of {hz(n['intermediate_frequency'])}. "
                     "All parts are as planned, "
                     f"but the tuning capacitor is good to ± {n['tolerance.variable']:g} %. How much "
                     f"room must the wider band's dial have, so that {_PERCENT_OF_ROOM} % of all "
                     "receivers have the whole band?",
    draw=_draw_room,
    answer=_room_key,
    working=lambda n: [
        "Turn up the room until the trimmed row of the figure says so; the half above the band is "
        "what takes up the tolerance.",
        ("No room is enough: the trimmer's reach fails first." if _room(n) is None else
         f"It takes {show(100 * _room(n), '%', digits=2)}."),
    ],
    hints=("Set the tuning capacitor's tolerance in the figure of the ten thousand receivers.",
           "The room at the low end stays: only the half above the band helps."),
    uses_plan=True,
    options=(
        Option("little", "Less than 8 %.",
               "Half of the room lies below the band and does not help: look again."),
        Option("some", "From 8 % to less than 14 %.",
               "Read it off the figure again, at the tolerance that is asked about."),
        Option("much", "14 % or more.",
               "Look again: not all parts are at their worst at once, and the trimmer must reach."),
        Option("none", "No room is enough.",
               "Some is: room takes up what the swing is off, and the trimmer reaches nearly all."),
    ),
)


# The order of work.

ORDER = Question(
    key="tolerance.order",
    lesson=LESSON,
    prompt=lambda n: f"A new oscillator on {show(n['frequency'], 'Hz')} is to be trimmed and to be "
                     "compensated for warmth. In which order?",
    draw=lambda rng, plan: {"frequency": float(rng.choice([5.2, 6.8, 7.0, 9.0])) * 1e6},
    answer=lambda n: "measure",
    working=lambda n: [
        "Coefficients have tolerances of their own, so the drift must be measured first, and every "
        "new part changes the sum.",
        "Trim cold, warm it up and measure, then exchange a part of the fixed capacitor, and trim "
        "again cold.",
    ],
    hints=("Can you know beforehand how far yours will drift?",
           "What does a compensating capacitor do to the frequency, cold?"),
    options=(
        Option("measure", "Trim cold; measure the drift; fit the compensating part; trim again.",
               "That is the right order."),
        Option("computed", "Fit the computed compensating part; trim cold; done.",
               "Computed is the middle of many receivers; yours is one of them, and only "
               "measuring says which."),
        Option("warm", "Fit the parts; trim warm, so that it is right when it matters.",
               "Then it is right at one temperature and wrong on the way there: a trimmer does not "
               "change a coefficient."),
        Option("last", "Trim cold; measure the drift; fit the compensating part; done.",
               "The new part is off by its own tolerance, so the dial is off again: trim once "
               "more."),
    ),
)

QUESTIONS = (MONEY, REEL, ROOM, ORDER)

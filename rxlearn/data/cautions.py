"""Every caution of the workbook, once: lessons, figures and printed sheets use these words.

A caution stands where a hand would go.  None of them allows anything: local
electrical codes and licensed practice decide what may be done, and nothing
here asks anybody to work on a set while it is connected.  A voltage is only
ever called "below the named threshold", and the threshold is named.

Sources are given for each row.  "Common practice, no source" and "from
memory" say so where nothing better was to hand.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

COMMON_PRACTICE = "Common practice, no source"

LOCAL_CODE = (
    "Your local electrical code and licensed practice decide what you may do; this workbook does "
    "not."
)
"""The sentence that every group of cautions ends with."""


@dataclass(frozen=True)
class Caution:
    """One caution: ``short`` for the place where the hand goes, ``text`` for the reason.

    ``sources`` holds a citation for each claim, or :data:`COMMON_PRACTICE`.
    """

    key: str
    title: str
    short: str
    text: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Threshold:
    """A voltage that a rule names: ``volts`` (V), what it is called, and where it stands."""

    key: str
    name: str
    volts: float
    source: str


@dataclass(frozen=True)
class Effect:
    """What a current through the body does: ``amperes`` at mains frequency unless it says d.c."""

    amperes: float
    effect: str
    source: str


@dataclass(frozen=True)
class Statement:
    """One line of the list that is ticked before high voltages are shown."""

    key: str
    text: str


_GUARDING = (
    "29 CFR 1910.303(g)(2)(i), US workplaces: live parts at 50 V or more, a.c. or d.c., are guarded"
)
_NIOSH = "NIOSH Publication 98-131, Worker Deaths by Electrocution (1998), table of effects"
_LET_GO = "C. F. Dalziel and W. R. Lee, Reevaluation of Lethal Electric Currents (1968)"
_KUPHALDT = "T. R. Kuphaldt, Lessons in Electric Circuits, vol. I, chapter on electrical safety"
_IEC_BODY = "IEC TS 60479-1, effects of current on human beings, zones for 15 Hz to 100 Hz"
_RESIDUAL = "IEC 60364-4-41, additional protection by a device of 30 mA (from memory)"
_STORED = "29 CFR 1910.333(b)(2)(ii)(C), stored energy is released before work (from memory)"
_PCB = "40 CFR 761.2(a)(4), unmarked capacitors made before 2 July 1979"

LIMIT = Threshold(
    "guarding", "the guarding threshold of 50 V", 50.0,
    f"{_GUARDING}; IEC 61140 ends extra-low voltage at 50 V a.c. but 120 V d.c. (from memory), so "
    "this workbook takes the lower for both",
)
"""Above this, figures and numbers stay covered until the list is ticked."""

THRESHOLDS: Mapping[str, Threshold] = MappingProxyType({
    LIMIT.key: LIMIT,
    "instruments": Threshold(
        "instruments", "the d.c. limit of 60 V for measuring equipment", 60.0,
        "IEC/EN 61010-1, 6.3.1, normal condition"),
    "cautious": Threshold(
        "cautious", "the cautious 30 V of industry practice", 30.0, _KUPHALDT),
})
"""Thresholds that a capacitor's voltage can be counted down to, by key."""

EFFECTS: tuple[Effect, ...] = (
    Effect(0.001, "is felt as a tingle", _NIOSH),
    Effect(0.006, "99.5 % of women can still let go", _LET_GO),
    Effect(0.009, "99.5 % of men can still let go", _LET_GO),
    Effect(0.010, "the standard's limit of letting go, about", _IEC_BODY),
    Effect(0.016, "the most that an average man can let go of", _NIOSH),
    Effect(0.020, "the muscles that breathe are paralysed", _NIOSH),
    Effect(0.100, "the heart can go into fibrillation", _NIOSH),
    Effect(2.0, "the heart stands still; organs are burnt", _NIOSH),
)
"""What 50 Hz and 60 Hz currents do, from hand to hand or hand to foot, smallest first."""

_ROWS = (
    Caution(
        "body", "It takes very little",
        "A receiver's high-tension supply can drive many times the current that stops a heart.",
        "Twenty thousandths of an ampere can stop the breathing, a tenth of an ampere the heart. "
        "A small receiver runs on more than half of that tenth, and its capacitors give more "
        "for a moment. What skin lets through differs from person to person and hour to hour; "
        "sweat, rain or a scratch lower it tenfold. No figure here tells how much you can bear.",
        (_NIOSH, _LET_GO, _IEC_BODY, _KUPHALDT)),
    Caution(
        "mains", "Mains",
        "Pull the plug and keep it where you can see it. A switch that is off is not a plug that "
        "is out.",
        "A switch may open one conductor only, and in a wrongly wired outlet the wrong one. Mains "
        "stay on the inlet, the fuse holder and the switch. Nobody's hand goes into a chassis whose "
        "plug is in. Work on the mains side is for people whom your local code allows to do it.",
        ("29 CFR 1910.333(b)(2), circuits are de-energised before work (from memory)",
         COMMON_PRACTICE)),
    Caution(
        "charged_capacitor", "Charged capacitors",
        "After the plug is out: wait, discharge each large capacitor through a resistor on an "
        "insulated lead, then measure each one. Every time.",
        "A capacitor keeps its charge when the mains are gone, for minutes or for days. A "
        "discharge lead has an insulated probe, a resistor of some kilohms and several watts rated "
        "for the voltage, and a clip that goes to the chassis first. A screwdriver is no discharge "
        "lead: a dead short throws molten metal and can burst the part. Then measure, with a meter "
        "that you have just tried on something known, and go on only when each capacitor is below "
        "the named threshold.",
        (_STORED, "NFPA 70 (National Electrical Code) 460.6, capacitors to 50 V or less within "
                  "1 minute of disconnection", COMMON_PRACTICE)),
    Caution(
        "bleeder", "A bleeder can fail open",
        "A bleeder resistor that has failed open looks like any other. Measure; don't count on it.",
        "The bleeder empties the capacitors after switching off. It runs warm all its life, and "
        "when it fails it mostly fails open: the set plays on, and the capacitors stay charged. "
        "Only a measurement on every capacitor tells.",
        (COMMON_PRACTICE,)),
    Caution(
        "creeping_back", "Voltage creeps back",
        "Leave the shorting lead clipped on while you work.",
        "A capacitor that was shorted for a moment gains voltage again by itself, because its "
        "insulation lets the charge go only slowly (dielectric absorption). A large one can come "
        "back above the named threshold.",
        ("29 CFR 1910.333(b)(2)(ii)(C), high-capacitance parts are shorted and grounded (from "
         "memory)", COMMON_PRACTICE)),
    Caution(
        "one_hand", "One hand",
        "One hand near the chassis, the other in your pocket, even when everything is discharged.",
        "From hand to hand a current crosses the chest. One hand keeps that path open, should you "
        "have missed something. Take off rings and watch; stand on something dry; lean on nothing "
        "that is earthed.",
        (_KUPHALDT, COMMON_PRACTICE)),
    Caution(
        "not_alone", "Not alone",
        "Someone within call knows where the mains switch is and what to do.",
        "Who is held by a current cannot let go, and who has no pulse has minutes. The helper cuts "
        "the mains before touching anybody, calls the emergency number, and begins resuscitation. "
        "Learn it together before the first power-up. Not tired, not in a hurry, not after a drink.",
        (_NIOSH, COMMON_PRACTICE)),
    Caution(
        "meter", "Measuring",
        "Connect the meter with the plug out and everything discharged. Then stand back, power up, "
        "read, power down, discharge, and only then take it off.",
        "Clip the leads on: nobody holds a probe in a chassis that has power. Meter, leads and "
        "clips are rated for more than the voltage and for the category of the circuit. Try the "
        "meter on something known before and after, or its zero means nothing.",
        ("IEC 61010-031, hand-held probes and their measurement categories (from memory)",
         COMMON_PRACTICE)),
    Caution(
        "residual_current", "A residual-current device does not see the secondary",
        "It does not protect you on the far side of a transformer.",
        "It compares what goes out in the line with what comes back in the neutral. A current from "
        "the high-tension winding through you returns to that winding: on the mains side line and "
        "neutral stay equal, and nothing trips. Have one on the bench all the same: it protects on "
        "the mains side.",
        ("DERIVED: the winding's current forms a loop of its own", _RESIDUAL)),
    Caution(
        "fuse_and_earth", "Fuse and earth",
        "Line fuse and protective earth first, before anything else is wired.",
        "The fuse stands in the line conductor, ahead of the switch, and is the kind and rating "
        "that the supply asks for. It is slow, and it guards the transformer and the house, not you. "
        "All metal that can be touched is bonded to protective earth, so that a fault blows the "
        "fuse. An isolating transformer takes that path away; it is a tool for the mentor.",
        ("IEC 60127-2: a fuse link carries 1.5 times its rating for an hour and more",
         "UL 248-14: it opens at 1.35 times its rating, but may take an hour", "IEC 61140, protective equipotential bonding (from memory)")),
    Caution(
        "first_power", "First power",
        "Bring it up on a current limit, in steps, with a stop and a measurement at each.",
        "A lamp or an electronic limiter in the line, with the valves out, shows a short before it "
        "burns. Every step has a value that must be reached and one that must not be passed. If "
        "anything hums, smells, smokes or gets warm, the plug comes out, and nobody looks for the "
        "fault until all is discharged. Wear eye protection: electrolytic capacitors can burst.",
        (COMMON_PRACTICE,)),
    Caution(
        "old_parts", "Old capacitors and old insulation",
        "Replace old paper and electrolytic capacitors before first power. Touch no perished wire.",
        "Old paper capacitors leak and put the high tension where it does not belong. Old "
        "electrolytics draw current, heat and burst. Rubber insulation crumbles when it is bent, "
        "and what it covered is bare. Some old insulation and heat shields hold asbestos: leave "
        "those alone.",
        (COMMON_PRACTICE,)),
    Caution(
        "line_cord", "Line cords",
        "A cord without earth, or with cracked insulation, is replaced before the set is plugged in.",
        "Old sets came with two-wire cords, some with a resistance wire that ran hot by design. A "
        "metal chassis on such a cord has nothing to blow the fuse when the insulation fails. "
        "Fitting a new cord is work on the mains side.",
        (COMMON_PRACTICE,)),
    Caution(
        "pcb", "PCB",
        "Don't open, drill or heat old oil-filled capacitors and transformers.",
        "Until 1979 many were filled with polychlorinated biphenyls (PCB), which are poisonous and "
        "stay so. One without a mark counts as filled with it. A leaking one is not wiped up with "
        "bare hands; ask your local waste authority.",
        (_PCB, "40 CFR 761.2(a)(1), small fluid-filled items")),
    Caution(
        "live_chassis", "Sets with heaters in series",
        "A set without a mains transformer can have a live chassis. It is not for beginners: leave "
        "it closed.",
        "To save the transformer, such sets put all heaters in one chain across the mains and "
        "joined the chassis to one side of it. Which side depends on how the plug went in. Screws, "
        "shafts and aerial sockets can be at mains voltage, with the set switched off, too. "
        "Whatever you see in such a set, close it and ask your mentor.",
        (COMMON_PRACTICE,)),
    Caution(
        "hot_parts", "Hot parts",
        "Valves, rectifiers and bleeders burn skin long after switching off; a valve can implode.",
        "Give them a quarter of an hour. Pull valves cold, by the base, with a cloth, and wear eye "
        "protection.",
        (COMMON_PRACTICE,)),
    Caution(
        "solder", "Soldering and lead",
        "Air the room, wear eye protection, wash your hands, and no food on the bench.",
        "Old joints, and much solder still sold, hold lead. It gets into the body from fingers "
        "and dust rather than from the iron. Only a discharged, unplugged set is soldered.",
        ("29 CFR 1910.1025, lead at the workplace: 50 µg in a cubic metre of air over 8 hours",)),
    Caution(
        "radiating", "A receiver can transmit",
        "Its oscillator reaches the aerial. Keep its leads short and its stages screened.",
        "What leaves by the aerial may fall into somebody's band. Your licence and your local rules "
        "decide what may be radiated, by a receiver too.",
        ("ITU Radio Regulations, Article 15, interference (from memory)",)),
)

CAUTIONS: Mapping[str, Caution] = MappingProxyType({row.key: row for row in _ROWS})
"""Every caution by its key."""

GROUPS: Mapping[str, tuple[str, ...]] = MappingProxyType({
    "open_chassis": (
        "not_alone", "mains", "charged_capacitor", "creeping_back", "bleeder", "one_hand", "meter",
        "residual_current", "fuse_and_earth", "old_parts", "line_cord", "live_chassis", "pcb"),
    "power_supply": (
        "body", "mains", "charged_capacitor", "bleeder", "creeping_back", "one_hand", "not_alone",
        "meter", "residual_current"),
    "old_set": ("old_parts", "line_cord", "live_chassis", "pcb", "hot_parts", "solder"),
})
"""Cautions that belong together, by the name of the occasion."""

TITLES: Mapping[str, str] = MappingProxyType({
    "open_chassis": "Before a hand goes near an open chassis",
    "power_supply": "Why this part can kill",
    "old_set": "What an old set brings along",
})
"""The heading of each group."""

SAFETY_LIST: tuple[Statement, ...] = (
    Statement("company", "Someone within call knows where the mains switch is and what to do."),
    Statement("unplugged", "Every set on my bench is unplugged, and I can see the plug."),
    Statement("lead", "My discharge lead, with its resistor and its clip, lies here."),
    Statement("meter", "My meter and its leads are rated for this voltage, and I have tried them "
                       "on something known."),
    Statement("one_hand", "I keep one hand away from any chassis, and I connect a meter only to "
                          "what is unplugged and discharged."),
    Statement("fuse", "The supply I plan has a line fuse, protective earth and a transformer that "
                      "isolates it; it is not a set with its heaters in series."),
    Statement("code", "I have read what my local electrical code and licensed practice leave to "
                      "me, and I keep to it."),
)
"""What must be true before a figure or a number above :data:`LIMIT` is shown."""

COVERED = (
    f"This part names voltages above {LIMIT.volts:.0f} V. It stays covered until every line of the "
    "list “Before any high voltage” is ticked; the ticks end with the session."
)
"""What stands in place of a covered figure, question, example or form."""


def cautions(group: str) -> tuple[Caution, ...]:
    """Return the cautions of ``group`` in order; KeyError that names what there is."""
    if group not in GROUPS:
        raise KeyError(f"There are no cautions {group!r}; choose one of {', '.join(GROUPS)}.")
    return tuple(CAUTIONS[key] for key in GROUPS[group])


def caution(key: str) -> Caution:
    """Return the caution with this ``key``; KeyError that names what there is."""
    if key not in CAUTIONS:
        raise KeyError(f"There is no caution {key!r}; choose one of {', '.join(CAUTIONS)}.")
    return CAUTIONS[key]

"""How parts are made and sold: ratings in steps, what is easy, hard or no longer made, and why.

Standard ratings and margins are common practice, no source, unless a row says otherwise; how
easily a part is found is a judgement of the trade in general, from memory, and changes with the
years and the place.  No shops, no prices: those are the learner's own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

RESISTOR_WATTS: tuple[float, ...] = (0.25, 0.5, 1.0, 2.0, 5.0, 10.0)
"""Ratings in which resistors are sold, W (common practice, no source)."""

RESISTOR_VOLTS: Mapping[float, float] = MappingProxyType(
    {0.25: 250.0, 0.5: 350.0, 1.0: 500.0, 2.0: 500.0, 5.0: 750.0, 10.0: 750.0})
"""Rating (W) to the voltage that such a resistor stands along its body, V (makers' sheets of
leaded film and wire-wound types, from memory)."""

POWER_MARGIN = 2.0
"""A resistor is rated for so many times what it turns into heat (common practice, no source)."""

FILM_VOLTS: tuple[float, ...] = (50.0, 100.0, 250.0, 400.0, 630.0, 1000.0, 1600.0, 2000.0)
"""Ratings of ceramic, mica and film capacitors, V of direct voltage (common practice)."""

ELECTROLYTIC_VOLTS: tuple[float, ...] = (
    16.0, 25.0, 35.0, 50.0, 63.0, 100.0, 160.0, 250.0, 350.0, 400.0, 450.0, 500.0)
"""Ratings of electrolytic capacitors, V (common practice)."""

ELECTROLYTIC_FROM, ELECTROLYTIC_STEPS = 1e-6, (1.0, 2.2, 4.7)
"""From this value (F) on a bypass is an electrolytic, and the steps of a decade in which those are
sold (common practice)."""

FILM_MARGIN = 1.25
ELECTROLYTIC_MARGIN = 1.1
"""Rating over the highest voltage that the part meets (common practice, no source)."""

LARGE_VARIABLES: tuple[tuple[float, float], ...] = (
    (10e-12, 100e-12), (11e-12, 365e-12), (12e-12, 500e-12))
"""Variable capacitors that old broadcast receivers and stalls still give, least to most, F (common
practice, no source)."""

REVERSED_SECONDARIES: tuple[float, ...] = (5.0, 6.3, 9.0, 12.0, 15.0, 18.0, 24.0)
"""Low windings of small mains transformers, V r.m.s. (common practice)."""

SOCKETS: Mapping[str, str] = MappingProxyType({
    **dict.fromkeys(("6BE6", "6BA6", "6AU6", "6AK5", "6C4", "6AK6", "6AQ5", "6X4",
                     "6CB6"), "miniature, 7 pins"),
    **dict.fromkeys(("12AU7", "12AT7", "12AX7", "EF80", "EF85", "EF89", "EF183", "ECH81", "EL84"),
                    "miniature, 9 pins"),
    **dict.fromkeys(("6SA7", "6SK7", "6SN7", "6V6", "5Y3-GT", "5V4-G", "6X5-GT"), "octal, 8 pins"),
})
"""Valve type to its socket (receiving-tube manuals, from memory)."""

STILL_MADE: frozenset[str] = frozenset({"12AX7", "12AU7", "12AT7", "6SN7", "6V6", "EL84"})
"""Valve types that are made new (from memory; it changes)."""

EASY, HARD, GONE = "easy", "hard", "no longer made"
EASE: tuple[str, ...] = (EASY, HARD, GONE)
"""How a part is found, from the easiest."""


@dataclass(frozen=True)
class Trade:
    """How a kind of part is found: ``ease`` (one of :data:`EASE`), the ``reason``, and what
    ``removes`` the obstacle when it is missing (empty for what is easy)."""

    ease: str
    reason: str
    removes: str = ""


_BOUGHT = Trade(EASY, "Every electronics counter has it.")

TRADE: Mapping[str, Trade] = MappingProxyType({
    "resistor": _BOUGHT,
    "capacitor": Trade(EASY, "Ceramic and film types are sold in every preferred value; for tuned "
                             "circuits ask for C0G (NP0)."),
    "electrolytic": Trade(EASY, "Made in quantity; an old one is not to be trusted, so buy new."),
    "potentiometer": _BOUGHT,
    "diode": _BOUGHT,
    "rectifier": _BOUGHT,
    "variable capacitor": Trade(
        GONE, "Air-spaced ones with a long shaft are hardly made any more; old receivers give them.",
        "Look through broken receivers and club drawers; any larger one serves with a series "
        "capacitor."),
    "trimmer": Trade(EASY, "Foil and ceramic trimmers are still made."),
    "coil": Trade(EASY, "You wind it yourself: a former or core, and wire from a reel."),
    "aerial winding": Trade(EASY, "A few turns of the same wire."),
    "wire": Trade(EASY, "Enamelled wire is sold by the reel."),
    "radio choke": Trade(EASY, "Small moulded chokes are still made."),
    "crystal": Trade(EASY, "A stock frequency costs little; buy a dozen of one lot and choose four "
                           "alike."),
    "cut crystal": Trade(
        HARD, "This frequency is not one that stock has: it would be cut to order, at many times "
              "the price.",
        "Order it cut, or change the intermediate frequency to a stock one in lesson 6."),
    "valve": Trade(
        GONE, "Most types are no longer made; many millions were, and unused ones still turn up.",
        "Ask in the club, and take another type of the same kind, with its heater and currents "
        "added up anew."),
    "audio valve": Trade(EASY, "Still made new, for audio amplifiers."),
    "socket": Trade(EASY, "Still made, of ceramic or plastic; count the pins."),
    "mains transformer": Trade(
        HARD, "High-tension transformers are wound in small numbers, and old ones must be tested.",
        "Order one with these windings from a maker, or take one out of an old receiver that your "
        "mentor has tested for insulation."),
    "choke": Trade(
        HARD, "Chokes for direct current are wound in small numbers.",
        "A resistor and more capacitance do the same work where voltage can be spared."),
    "output transformer": Trade(
        HARD, "Wound in small numbers; old table receivers have one.",
        "A small mains transformer turned round does for speech."),
    "loudspeaker": _BOUGHT,
    "fuse": Trade(EASY, "Time-lag fuses of every rating are sold; take the holder with them."),
    "mains inlet": Trade(EASY, "Cord, plug and strain relief come new, with the mark of your "
                               "country's approval."),
    "switch": Trade(EASY, "Take a double-pole one rated for the mains."),
    "band switch": Trade(EASY, "Small rotary and toggle switches are still made; for a tuned circuit "
                               "the leads must be short."),
    "dial drive": Trade(
        HARD, "Reduction drives without backlash are made in small numbers and cost accordingly.",
        "A cord over two drums does the same; so does a large knob and patience."),
    "lamp": _BOUGHT,
    "safety": Trade(EASY, "Made up in an evening; it comes before the receiver, not after it."),
})
"""Kind of part to how it is found."""


MADE = ("coil", "aerial winding", "safety")
"""Kinds that one makes and does not buy."""


@dataclass(frozen=True)
class SafetyItem:
    """What stands on the list of every receiver with a high voltage: ``what``, ``value``, ``why``."""

    what: str
    value: str
    why: str


SAFETY_ITEMS: tuple[SafetyItem, ...] = (
    SafetyItem("discharge lead with resistor", "insulated probe, clip to the chassis",
               "to empty what the bleeder has left, before any hand goes in"),
    SafetyItem("shorting lead", "insulated, two clips",
               "stays across the emptied capacitors while a hand is inside"),
    SafetyItem("guard over the supply", "insulating, fixed by tools", "keeps a hand off by itself"),
    SafetyItem("current-limiting lamp", "filament lamp in series with the mains",
               "for the first power: it lights up where a fuse would blow"),
)
"""On every list, whatever the plan holds (common practice, no source)."""

ONLY_NEW = ("fuse", "mains inlet", "switch", "safety")
"""Kinds that are bought new and nothing else: a substitute would be a danger."""

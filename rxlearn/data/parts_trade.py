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

EASY, HARD, GONE, NOT_YET = "easy", "hard", "no longer made", "not yet"
EASE: tuple[str, ...] = (EASY, HARD, GONE, NOT_YET)
"""How a part is found, from the easiest; what is not yet to be bought is last."""


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
    "converter": Trade(NOT_YET, "Nothing of it is to be bought while it cannot work.",
                       "Settle the third band in lesson 8, or do without it."),
    "safety": Trade(EASY, "Made up in an evening; it comes before the receiver, not after it."),
    "chassis": Trade(
        HARD, "Blank chassis are made in few sizes; sheet aluminium is cut by any metal dealer.",
        "Lay the parts out on paper first; then have a sheet cut and bend it yourself."),
    "front panel": Trade(EASY, "Sheet aluminium, cut to size by any metal dealer."),
    "dial window": Trade(EASY, "Clear plastic is sold in sheets; you cut it yourself."),
    "knob": Trade(EASY, "Still made for both common shafts, 6 mm and a quarter of an inch: measure yours."),
    "terminal": Trade(EASY, "Insulated sockets and binding posts are still made."),
    "loudspeaker socket": Trade(EASY, "Still made, with two poles."),
    "earth bolt": Trade(EASY, "A screw, two nuts, a toothed washer and a ring lug, all new."),
    "sleeve": Trade(EASY, "Heat-shrink sleeve is sold as an assortment."),
    "tag strip": Trade(HARD, "Made in small numbers; old sets give them.",
                       "Cut them out of a broken receiver, with their insulation unburnt."),
    "hook-up wire": Trade(EASY, "Sold by the metre; ask for the voltage that its insulation stands."),
    "screened wire": Trade(EASY, "Thin coaxial wire is sold by the metre."),
    "screen": Trade(EASY, "Tinned or brass sheet from a model shop's rack; you bend and solder it."),
    "crystal socket": Trade(EASY, "Still made, for each kind of crystal holder: take the crystal along."),
    "lamp holder": Trade(EASY, "Still made, for screw and bayonet lamps: take the lamp along."),
    "grommet": Trade(EASY, "Sold by the dozen; the hole is 2 mm to 3 mm wider than the wires."),
    "screw": Trade(EASY, "Sold by the hundred."),
    "foot": Trade(EASY, "Rubber feet with a screw are still made; glued ones come off."),
})
"""Kind of part to how it is found."""

HOLDING: tuple[str, ...] = (
    "chassis", "front panel", "dial window", "knob", "terminal", "loudspeaker socket", "earth bolt",
    "sleeve", "tag strip", "hook-up wire", "screened wire", "screen", "crystal socket", "lamp holder",
    "grommet", "screw", "foot")
"""Kinds that hold a set together: no circuit shows them."""

INSTEAD: Mapping[str, tuple[str, str]] = MappingProxyType({
    "chassis": ("a sheet of aluminium on two angles",
                "1.5 mm sheet on two angles of 20 mm carries the transformers; all of it is metal, "
                "bolted together, and joined to protective earth."),
    "front panel": ("thin sheet steel, painted",
                    "It is as stiff at half the thickness, but drills harder; scrape the paint where "
                    "it meets the chassis."),
    "dial window": ("the clear lid of a box, with a line scratched into it",
                    "The line is the pointer; plastic of 1 mm keeps flat over a dial of this size."),
    "knob": ("knobs from an old set",
             "They fit a 6 mm shaft or one of a quarter of an inch, 6.35 mm: measure. No bare grub "
             "screw may be touched on a shaft that is not earthed."),
    "terminal": ("screws with two nuts in insulating washers",
                 "The aerial's one must not touch the panel; the earth's one may."),
    "loudspeaker socket": ("the loudspeaker soldered on",
                           "Then nobody can pull it out while the set plays, which a loaded output "
                           "transformer likes; it moves with the chassis."),
    "tag strip": ("solder tags on a strip of insulating board",
                  "Rivets in 2 mm board of glass fibre, 10 mm apart, hold the same parts; none nearer "
                  "than 5 mm to the chassis."),
    "hook-up wire": ("strands out of a new mains cord",
                     "Each core is insulated for the mains and more: look the marking up, and take no "
                     "bell or telephone wire for high tension."),
    "screened wire": ("thin coaxial cable for aerials",
                      "It is stiffer and does the same; earth its braid at both ends."),
    "screen": ("offcuts of copper-clad board",
               "Two edges soldered along their length make a corner; copper of 0.035 mm is enough at "
               "these frequencies."),
    "crystal socket": ("two contacts out of a valve socket",
                       "Soldered a pin's distance apart they let the crystal come out as well."),
    "lamp holder": ("wires soldered to the lamp",
                    "It then has to be held by its wires' sleeve, and changed with the iron."),
    "grommet": ("edge trim or a plastic bush",
                "Any that covers the sheet's edge all round keeps the wires whole; bare holes do not."),
    "screw": ("screws from old sets", "Of one thread, so that each nut fits each screw."),
    "foot": ("large grommets under a screw's head",
             "Four of them hold the set off the bench, so that air gets in from below."),
})
"""Kind to what serves in its place, and the sentence why (common practice, no source)."""

WIRE_VOLTS: tuple[float, ...] = (300.0, 600.0, 1000.0)
"""Voltages for which hook-up wire is insulated, V (common practice, no source)."""

WIRE_AMPERES: Mapping[float, float] = MappingProxyType({3.0: 0.5, 6.0: 0.75, 10.0: 1.0, 20.0: 2.5})
"""Current (A) of the heaters to the copper that carries it, mm² (common practice, no source)."""


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

ONLY_NEW = ("fuse", "mains inlet", "switch", "safety", "earth bolt", "sleeve")
"""Kinds that are bought new and nothing else: a substitute would be a danger."""

"""What holds the set together: chassis, knobs, sockets, wire and screws, counted from all other parts.

No circuit shows these.  Each count follows from what the plan has; the rules by which it does are
common practice, no source, and stand beside their numbers here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from types import MappingProxyType

from rxlearn.compute.circuits import POWER_SUPPLY
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.stages import CONVERTER_STAGES
from rxlearn.data.parts_trade import WIRE_AMPERES, WIRE_VOLTS
from rxlearn.plan.circuits import circuit_name, circuits_in
from rxlearn.plan.coils import transformer_gap
from rxlearn.plan.document import Plan
from rxlearn.plan.parts_uses import PartUse
from rxlearn.plan.stages import currents_of, stages_of

TURNED: Mapping[str, str] = MappingProxyType({
    "variable capacitor, preselector": "preselector capacitor",
    "volume control, logarithmic": "volume control", "band switch": "band switch",
    "trimmer with a shaft, pitch": "pitch trimmer", "converter switch": "converter switch",
})
"""Parts with a shaft that takes a knob, by their words: the tuning capacitor is turned by its drive,
trimmers by a tool, and the mains switch has a lever."""

SCREWS: Mapping[str, int] = MappingProxyType({
    "socket": 2, "coil": 1, "variable capacitor": 3, "dial drive": 2, "choke": 2,
    "output transformer": 2, "loudspeaker socket": 2, "tag strip": 1, "screen": 2,
    "crystal socket": 2, "lamp holder": 1, "front panel": 4, "foot": 1,
})
"""Small screws that a part of each kind is held by; switches and terminals have a nut of their own."""

TRANSFORMER_SCREWS = 4
"""Larger screws that the mains transformer is held by."""

GROMMETS: Mapping[str, int] = MappingProxyType({
    "mains transformer": 2, "choke": 1, "output transformer": 1, "variable capacitor": 1, "lamp": 1,
})
"""Bundles of wire that go through the chassis from a part above it: the mains transformer's mains
side by a hole of its own."""

SCREENED: Mapping[str, str] = MappingProxyType({
    "oscillator": "box", "crystal_oscillator": "box", "filter": "plate between in and out",
})
"""Stages for which the sheet or its cautions ask for a screen."""

FEET = 4
SUPPLY_STRIPS = 2
"""Tag strips of the supply: one for the mains, one for the high tension, well apart."""

CIRCUIT_WIRE, SUPPLY_WIRE, HEATER_WIRE, CONVERTER_LEADS = 1.0, 2.0, 0.5, 1.0
"""Metres of hook-up wire for each circuit, for the supply, of heater wire (both leads of a twisted
pair) for each bulb and lamp, and of screened wire for a converter's way through its switch."""


def hardware_uses(plan: Plan, others: tuple[PartUse, ...], worst: float | None) -> Iterator[PartUse]:
    """What holds the ``others`` together; ``worst`` (V) is the highest high tension, None if not known."""
    made = (*_metal(plan), *_knobs(plan, others), *_sockets(others), *_screens(plan),
            *_strips(plan), *_wire(plan, others, worst))
    yield from made
    yield from _fastened((*others, *made))


def _metal(plan: Plan) -> Iterator[PartUse]:
    """One chassis on four feet behind one panel that has room for the dial's half circle."""
    radius = plan.value("dial.scale_radius")
    across = show(2 * radius, "m", prefix="m", digits=3)
    yield _one("chassis", "chassis", "aluminium, 1.5 mm, drilled after a layout on paper", "all stages")
    yield _one("front panel", "front panel", f"aluminium, room for a dial {across} across", "front")
    yield _one("dial window", "dial window with a pointer",
               f"clear, for a scale of {show(radius, 'm', prefix='m', digits=3)} radius", "dial")
    yield _one("foot", "rubber foot", "with its screw", "chassis", FEET)


def _knobs(plan: Plan, others: tuple[PartUse, ...]) -> Iterator[PartUse]:
    """A knob for each shaft in the list: the drive's with the plan's divisions, the rest plain."""
    for use in others:
        if use.kind == "dial drive":
            yield _one("knob", "knob, tuning", f"large, {plan.value('dial.divisions')} marks round it",
                       "dial drive", use.count)
        elif use.what in TURNED:
            yield _one("knob", "knob", "to fit the shaft, with a pointer", TURNED[use.what], use.count)


def _sockets(others: tuple[PartUse, ...]) -> Iterator[PartUse]:
    """Aerial and earth, a socket for each loudspeaker, a holder for each lamp; what mains ask for."""
    yield _one("terminal", "aerial socket", "insulated", "rear")
    yield _one("terminal", "earth terminal", "bare, on the chassis", "rear")
    yield PartUse(kind="earth bolt", what="protective-earth bolt", where="power supply W1",
                  value="M4 with ring lug, toothed washer and two nuts",
                  note="The protective-earth bolt holds that one lug and nothing else.")
    yield _one("sleeve", "insulating sleeve", "heat-shrink, an assortment",
               "power supply: fuse, mains switch, mains winding")
    for use in others:
        if use.kind == "loudspeaker":
            yield _one("loudspeaker socket", "loudspeaker socket", "two poles", use.where, use.count)
        elif use.kind == "lamp":
            yield _one("lamp holder", "lamp holder", "for the dial lamp", use.where, use.count)
        elif use.kind in ("crystal", "cut crystal") and use.where.startswith("converter"):
            yield _one("crystal socket", "crystal socket", "for the crystal's pins", use.where, use.count)


def _screens(plan: Plan) -> Iterator[PartUse]:
    """A screen where the sheet or its cautions ask for one, and between coils that must not couple."""
    listed = [stage.function for stage in stages_of(plan)]
    drawn = circuits_in(plan)
    for stage, value in SCREENED.items():
        if stage in drawn:
            yield _one("screen", "screen", value, circuit_name(stage), listed.count(stage))
    amplifiers = listed.count("intermediate_amplifier")
    if amplifiers and not _on_one_axis(plan):
        yield _one("screen", "screen", "plate between the coils", "intermediate-frequency transformer",
                   amplifiers)


def _on_one_axis(plan: Plan) -> bool:
    """Whether the transformer's coils couple by their distance, as its card says."""
    try:
        transformer_gap(plan)
    except Unclear:
        return False
    return True


def _strips(plan: Plan) -> Iterator[PartUse]:
    """A strip for each circuit but the supply's, which has two."""
    for stage, count in _circuits(plan).items():
        yield _one("tag strip", "tag strip", "five tags, one of them its foot", circuit_name(stage),
                   SUPPLY_STRIPS if stage == POWER_SUPPLY else count)


def _circuits(plan: Plan) -> dict[str, int]:
    """How often the plan has each circuit that is drawn."""
    listed = [stage.function for stage in stages_of(plan)]
    return {stage: max(1, listed.count(stage)) for stage in circuits_in(plan)}


def _wire(plan: Plan, others: tuple[PartUse, ...], worst: float | None) -> Iterator[PartUse]:
    """Metres by circuits and bulbs; insulation by the highest voltage, heater wire by its current."""
    circuits = _circuits(plan)
    stages = sum(count for stage, count in circuits.items() if stage != POWER_SUPPLY)
    enough = next((volts for volts in WIRE_VOLTS if worst is not None and volts >= worst), None)
    beyond = "not known" if worst is None else f"above {show(WIRE_VOLTS[-1], 'V', prefix='')}"
    yield PartUse(kind="hook-up wire", what="hook-up wire", where="all circuits", volts=enough,
                  value="0.5 mm², stranded, several colours, by the metre",
                  rating="" if enough else beyond,
                  count=math.ceil(stages * CIRCUIT_WIRE + SUPPLY_WIRE),
                  why="Its insulation must stand the high tension with mains high and nothing drawn.")
    heated = sum(use.count for use in others if use.kind in ("socket", "lamp"))
    current = currents_of(plan).heaters
    copper = next((area for most, area in WIRE_AMPERES.items() if most >= current), None)
    area = f"{copper:g} mm²" if copper else "a pair for each few bulbs"
    if heated:
        yield _one("hook-up wire", "heater wire", f"{area}, two colours to twist, by the metre",
                   "all heaters", math.ceil(heated * HEATER_WIRE))
    if any(stage in circuits for stage in CONVERTER_STAGES):
        yield _one("screened wire", "screened wire", "thin coaxial, by the metre",
                   "converter: aerial, switch, main receiver", math.ceil(CONVERTER_LEADS))


def _fastened(parts: tuple[PartUse, ...]) -> Iterator[PartUse]:
    """Screws and grommets by what they hold and pass."""
    small = sum(SCREWS.get(use.kind, 0) * use.count for use in parts)
    large = sum(TRANSFORMER_SCREWS * use.count for use in parts if use.kind == "mains transformer")
    holes = sum(GROMMETS.get(use.kind, 0) * use.count for use in parts)
    yield _one("screw", "screw, M3", "with nut and toothed washer", "all that is bolted down", small)
    yield _one("screw", "screw, M4", "with nut and toothed washer", "mains transformer", large)
    yield _one("grommet", "rubber grommet", "for the chassis' holes",
               "wires through the chassis", holes)


def _one(kind: str, what: str, value: str, where: str, count: int = 1) -> PartUse:
    return PartUse(kind=kind, what=what, value=value, where=where, count=count)

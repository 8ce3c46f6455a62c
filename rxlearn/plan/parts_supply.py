"""Parts of the plan outside the circuits of its stages: coils, valves, power supply, mechanics."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from rxlearn.compute.part_ratings import rate_capacitor
from rxlearn.compute.power_supply import highest_voltage, solve
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.supply_parts import BRIDGE, FULL_WAVE, HALF_WAVE
from rxlearn.data.parts_trade import ELECTROLYTIC_VOLTS, SAFETY_ITEMS, SOCKETS, STILL_MADE
from rxlearn.plan.coils import ADJUSTED, coil_cards
from rxlearn.plan.document import Plan
from rxlearn.plan.parts_uses import TRIMMER, PartUse, crystal_use, resistor_use
from rxlearn.plan.power_supply import HIGH_MAINS, supply_of
from rxlearn.plan.stages import stages_of, valve_in
from rxlearn.plan.third_band import is_wanted

DIODES = {FULL_WAVE: 2, BRIDGE: 4, HALF_WAVE: 1}
"""How many elements rectify in each connection."""

POWER = "power supply"


def worst_voltage(plan: Plan) -> float | None:
    """The high tension (V) with mains a tenth high and nothing drawn; None where it has no answer."""
    try:
        return highest_voltage(supply_of(plan), HIGH_MAINS)
    except Unclear:
        return None


def coil_uses(plan: Plan) -> Iterator[PartUse]:
    """A former or core for each coil, wire by the gauge, and the trimmers that go with them."""
    circuits = plan.value("preselector.circuits")
    amplifiers = [s.function for s in stages_of(plan)].count("intermediate_amplifier")
    number = {"oscillator_coil": 1, "lower_coil": circuits, "upper_coil": circuits,
              "transformer_coil": 2 * amplifiers}
    lengths: Counter[str] = Counter()
    for card in coil_cards(plan):
        count = number[card.key]
        if not count:
            continue
        note = f"{card.name}: {card.problem}" if card.problem else ""
        yield PartUse(kind="coil", what="former or core", value=card.on.removeprefix("air coil on a "), where=card.name.lower(),
                      count=count, note=note)
        lengths[plan.value(f"{card.key}.wire")] += count * card.cut
    for gauge, length in lengths.items():
        yield PartUse(kind="wire", what="enamelled wire", value=f"{gauge}, a reel",
                      where="coils", note=f"In all {show(length, 'm', digits=2)} of {gauge}."
                      if length else "")
    yield PartUse(kind="trimmer", what="trimmer", value=f"up to {show(TRIMMER, 'F')}",
                  where="preselector, each band", count=2 * circuits)
    if amplifiers and plan.value("transformer_coil.kind") not in ADJUSTED:
        yield PartUse(kind="trimmer", what="trimmer", value=f"up to {show(TRIMMER, 'F')}",
                      where="intermediate-frequency transformer", count=2 * amplifiers)


def tuning_uses(plan: Plan) -> Iterator[PartUse]:
    """Variable capacitors, switch, drive, and fixed capacitors of the tank beside the circuit's."""
    least, most = (plan.value(f"tuning_capacitor.{end}") for end in ("minimum", "maximum"))
    yield PartUse(kind="variable capacitor", what="variable capacitor, tuning",
                  value=f"{_pico(least)} to {_pico(most)}", where="oscillator C1", amount=most)
    circuits = plan.value("preselector.circuits")
    peak = max(plan.value("lower_coil.capacitance"), plan.value("upper_coil.capacitance"))
    gangs = "" if circuits == 1 else f", {circuits} sections on one shaft"
    yield PartUse(kind="variable capacitor", what="variable capacitor, preselector",
                  value=f"up to {_pico(1.5 * peak)}{gangs}", where="preselector C1", amount=1.5 * peak)
    yield PartUse(kind="band switch", what="band switch", where="oscillator S1, preselector",
                  value=f"two positions, {1 + 2 * circuits} poles")
    yield PartUse(kind="dial drive", what="dial drive",
                  value=f"{show(plan.value('dial.reduction'), '', digits=3)} to 1", where="dial",
                  amount=plan.value("dial.reduction"))
    if is_wanted(plan):
        yield crystal_use(plan.value("converter.crystal"), "converter")


def valve_uses(plan: Plan) -> Iterator[PartUse]:
    """Each bulb once, however many stages share it, with its socket; lamps; the rectifier valve."""
    seen: set[str] = set()
    for stage in stages_of(plan):
        if stage.function == "lamp":
            yield PartUse(kind="lamp", what="dial lamp", value=_heater(stage.heater_current),
                          where="dial")
            continue
        valve = valve_in(stage.device)
        shared = stage.bulb in seen and stage.bulb != stage.device
        if shared or not (valve or stage.heater_current):
            continue
        seen.add(stage.bulb)
        yield from _with_socket(valve.name if valve else stage.device, stage.bulb)
    kind = plan.value("supply.rectifier")
    if kind != "silicon":
        yield from _with_socket(kind, "rectifier")


def _with_socket(name: str, where: str) -> Iterator[PartUse]:
    kind = "audio valve" if name in STILL_MADE else "valve"
    yield PartUse(kind=kind, what="valve", value=name, where=where)
    yield PartUse(kind="socket", what="valve socket", where=where,
                  value=SOCKETS.get(name, "as the valve's sheet says"))


def supply_uses(plan: Plan, worst: float | None) -> Iterator[PartUse]:
    """From the plug to the second capacitor, with what the output valve feeds."""
    yield PartUse(kind="mains inlet", what="mains cord with earth, and strain relief",
                  value="as your local code asks", where=POWER)
    yield PartUse(kind="switch", what="mains switch", value="double pole", where=POWER)
    yield PartUse(kind="fuse", what="fuse with holder", where=f"{POWER} F1",
                  value=f"{show(plan.value('supply.fuse'), 'A')}, time-lag")
    heater, winding = (plan.value(f"supply.{k}_rating") for k in ("heater", "winding"))
    halves = "each half" if plan.value("supply.connection") == FULL_WAVE else "one winding"
    yield PartUse(kind="mains transformer", what="mains transformer", where=POWER,
                  value=f"high tension {show(winding, 'A')}, heaters {show(heater, 'A')}",
                  rating=f"{plan.shown('supply.winding_voltage')} {halves}")
    if plan.value("supply.rectifier") == "silicon":
        yield PartUse(kind="rectifier", what="rectifier diode", value="silicon, 1 A", where=POWER,
                      count=DIODES[plan.value("supply.connection")],
                      rating=plan.shown("supply.inverse_rating"))
    yield from _surge_resistors(plan)
    for place, ref in (("first", "C1"), ("second", "C2")):
        yield _reservoir(plan, place, ref, worst)
    yield PartUse(kind="choke", what="filter choke", value=show(plan.value("supply.choke"), "H"),
                  rating=f"{plan.shown('supply.choke_rating')}, "
                         f"{plan.shown('supply.choke_resistance')}", where=f"{POWER} L4")
    bleeder = plan.value("supply.bleeder")
    yield resistor_use(bleeder, (worst or 0.0) / bleeder, f"{POWER} R1, bleeder")
    yield PartUse(kind="output transformer", what="output transformer", where="output stage",
                  value=f"{plan.shown('output.turns_ratio')} to 1",
                  rating=f"{plan.shown('output.anode_load')} to {plan.shown('output.loudspeaker')}")
    yield PartUse(kind="loudspeaker", what="loudspeaker", where="output stage",
                  value=plan.shown("output.loudspeaker"))
    for item in SAFETY_ITEMS:
        yield PartUse(kind="safety", what=item.what, value=item.value, where="bench",
                      note=f"{item.what[0].upper()}{item.what[1:]}: {item.why}.")


def _surge_resistors(plan: Plan) -> Iterator[PartUse]:
    ohms = plan.value("supply.series_resistance")
    if not ohms:
        return
    try:
        current = max(e.rms for e in solve(supply_of(plan), mains=HIGH_MAINS).elements)
    except Unclear:
        current = plan.value("supply.winding_rating")
    bridge = plan.value("supply.connection") in (BRIDGE, HALF_WAVE)
    yield resistor_use(ohms, current, f"{POWER}, rectifier lead", 1 if bridge else 2)


def _reservoir(plan: Plan, place: str, ref: str, worst: float | None) -> PartUse:
    """A filter capacitor with the rating that the worst voltage asks for."""
    farads, planned = plan.value(f"supply.{place}_capacitor"), plan.value(f"supply.{place}_rating")
    rating, words, note = None, "not known", ""
    if worst is not None:
        try:
            rating = rate_capacitor(worst, electrolytic=True)
        except Unclear as reason:
            words = f"above {show(ELECTROLYTIC_VOLTS[-1], 'V')}"
            note = f"{POWER} {ref}: {reason}"
        else:
            if planned < worst:
                note = (f"{POWER} {ref}: your plan has {show(planned, 'V', prefix='')}, but "
                        f"{show(worst, 'V', digits=3, prefix='')} can be met.")
    return PartUse(kind="electrolytic", what="electrolytic capacitor, power supply",
                   value=show(farads, "F", digits=3), where=f"{POWER} {ref}", volts=rating,
                   rating="" if rating else words, amount=farads, note=note)


def _heater(current: float) -> str:
    return f"6.3 V, {show(current, 'A')}" if current else "6.3 V"


def _pico(value: float) -> str:
    return show(value, "F", prefix="p", digits=3)

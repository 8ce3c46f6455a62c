"""Parts of the plan outside the circuits of its stages: coils, valves, power supply, mechanics."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from rxlearn.compute import supply_circuit as circuit
from rxlearn.compute.circuits import BAND_SWITCH, POWER_SUPPLY, Part, oscillator_poles
from rxlearn.compute.part_ratings import rate_capacitor
from rxlearn.compute.power_supply import highest_voltage, solve
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.stages import CONVERTER_STAGES
from rxlearn.compute.supply_parts import BRIDGE, FULL_WAVE, Section, Supply
from rxlearn.data.parts_trade import (
    ELECTROLYTIC_FROM,
    ELECTROLYTIC_VOLTS,
    FILM_VOLTS,
    POWER_MARGIN,
    SAFETY_ITEMS,
    SOCKETS,
    STILL_MADE,
)
from rxlearn.plan.circuits import stand_in, tank_of
from rxlearn.plan.coil_cards import coil_cards
from rxlearn.plan.coils import ADJUSTED, preselector_variable
from rxlearn.plan.converter_coils import converter_cards
from rxlearn.plan.converter_stages import has_converter
from rxlearn.plan.document import Plan
from rxlearn.plan.filter_coils import WINDINGS, filter_cards, transformed_ends
from rxlearn.plan.parts_uses import TRIMMER, PartUse, crystal_use, resistor_use
from rxlearn.plan.power_supply import HIGH_MAINS, supply_of
from rxlearn.plan.stages import stages_of, valve_in
from rxlearn.plan.third_band import converter_of, is_wanted

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
    beats = [s.function for s in stages_of(plan)].count("beat_oscillator")
    number = {"oscillator_coil": 1, "lower_coil": circuits, "upper_coil": circuits,
              "transformer_coil": 2 * amplifiers, "beat_coil": beats}
    lengths: Counter[str] = Counter()
    for card in coil_cards(plan):
        count = number[card.key]
        if not count:
            continue
        note = f"{card.name}: {card.problem}" if card.problem else ""
        yield PartUse(kind="coil", what="former or core", value=card.on.removeprefix("air coil on a "), where=card.name.lower(),
                      count=count, note=note)
        lengths[plan.value(f"{card.key}.wire")] += count * card.cut
    for card, count in zip(converter_cards(plan), (plan.value("converter.circuits"), 1)):
        note = f"{card.name}: {card.problem}" if card.problem else ""
        if not card.problem:
            lengths[card.wire.partition(",")[0]] += count * card.cut
        yield PartUse(kind="coil", what="former or core", value=card.on or "to be chosen",
                      where=card.name.lower(), count=count, note=note)
    for card, winding in zip(filter_cards(plan), transformed_ends(plan)):
        lengths[card.wire.partition(",")[0]] += card.cut
        yield PartUse(kind="coil", what="former or core", value=card.on,
                      where=f"crystal filter {' and '.join(WINDINGS[winding][:2])}")
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
    most = preselector_variable(plan)
    gangs = "" if circuits == 1 else f", {circuits} sections on one shaft"
    yield PartUse(kind="variable capacitor", what="variable capacitor, preselector",
                  value=f"up to {_pico(most)}{gangs}", where="preselector C1, both bands", amount=most)
    yield PartUse(kind="band switch", what="band switch", where=f"oscillator {BAND_SWITCH}, preselector",
                  value=f"two positions, {switch_poles(plan)} poles")
    yield PartUse(kind="dial drive", what="dial drive",
                  value=f"{show(plan.value('dial.reduction'), '', digits=3)} to 1", where="dial",
                  amount=plan.value("dial.reduction"))
    if has_converter(plan) and all(s.function != "crystal_oscillator" for s in stages_of(plan)):
        # Else the converter's own circuits have the crystal; one that cannot work wants none yet.
        yield crystal_use(plan.value("converter.crystal"), "converter")


def converter_uses(plan: Plan) -> Iterator[PartUse]:
    """In the place of a converter's parts, while it cannot work: none of a line that says why."""
    listed = any(stage.function in CONVERTER_STAGES for stage in stages_of(plan))
    if has_converter(plan) or not (is_wanted(plan) or listed):
        return
    why = "your plan lists its stages, but wants no third band."
    if is_wanted(plan):
        try:
            converter_of(plan)
        except Unclear as reason:
            why = str(reason)
    yield PartUse(kind="converter", what="converter", value="nothing of it to buy yet",
                  where=f"third band: {why}", count=0)


def switch_poles(plan: Plan) -> int:
    """Poles of the band switch: the oscillator's, one for the aerial, and one for each tuned circuit."""
    amplified = any(stage.function == "signal_amplifier" for stage in stages_of(plan))
    return (oscillator_poles(tank_of(plan)) + 1 + plan.value("preselector.circuits")
            + int(amplified))


def valve_uses(plan: Plan) -> Iterator[PartUse]:
    """Each bulb once, however many stages share it, with its socket; lamps."""
    seen: set[str] = set()
    converts = has_converter(plan)
    for stage in stages_of(plan):
        if stage.function == "lamp":
            yield PartUse(kind="lamp", what="dial lamp", value=_heater(stage.heater_current),
                          where="dial")
            continue
        if stage.function == POWER_SUPPLY or stage.function in CONVERTER_STAGES and not converts:
            continue  # the supply's own circuit has it; a converter that cannot work has none
        valve = valve_in(stage.device)
        shared = stage.bulb in seen and stage.bulb != stage.device
        if shared or not (valve or stage.heater_current):
            continue
        seen.add(stage.bulb)
        odd = (stand_in(plan, one.function) for one in stages_of(plan) if one.bulb == stage.bulb)
        note = " ".join(words for words in odd if words)
        name = valve.name.removesuffix(" triode") if valve else stage.device
        yield from _with_socket(name, stage.bulb, note)


def _with_socket(name: str, where: str, note: str = "") -> Iterator[PartUse]:
    kind = "audio valve" if name in STILL_MADE else "valve"
    yield PartUse(kind=kind, what="valve", value=name, where=where, note=note)
    yield PartUse(kind="socket", what="valve socket", where=where,
                  value=SOCKETS.get(name, "as the valve's sheet says"))


def supply_uses(plan: Plan, worst: float | None) -> Iterator[PartUse]:
    """From the plug to the last capacitor, as the circuit is drawn, with what the output valve feeds."""
    try:
        supply, note = supply_of(plan), ""
    except Unclear as reason:
        # Something has to change; the list is what it would be with silicon, capacitor first.
        first = plan.value("supply.first_capacitor")
        supply, note = supply_of(plan, rectifier="silicon", first=first), f"{POWER}: {reason}"
    for part in circuit.supply_circuit(supply, plan.value("supply.fuse")).parts:
        for use in _supply_part(plan, supply, part, worst):
            yield replace(use, note=note) if use.kind == "rectifier" else use
    yield _transformer(plan, supply)
    yield PartUse(kind="output transformer", what="output transformer", where="output stage",
                  value=f"{plan.shown('output.turns_ratio')} to 1",
                  rating=f"{plan.shown('output.anode_load')} to {plan.shown('output.loudspeaker')}")
    yield PartUse(kind="loudspeaker", what="loudspeaker", where="output stage",
                  value=plan.shown("output.loudspeaker"))
    for item in SAFETY_ITEMS:
        yield PartUse(kind="safety", what=item.what, value=item.value, where="bench",
                      note=f"{item.what[0].upper()}{item.what[1:]}: {item.why}.")


def _supply_part(plan: Plan, supply: Supply, part: Part, worst: float | None) -> Iterator[PartUse]:
    """One part of the drawing as it is bought; windings come with the transformer."""
    where = f"{POWER} {part.ref}"
    match part.kind:
        case circuit.CORD:
            yield PartUse(kind="mains inlet", what="mains cord with earth, and strain relief",
                          value="as your local code asks", where=where)
        case circuit.SWITCH:
            yield PartUse(kind="switch", what="mains switch", value="double pole", where=where)
        case circuit.FUSE:
            yield PartUse(kind="fuse", what="fuse with holder", where=where,
                          value=f"{part.value}, time-lag")
        case circuit.DIODE:
            yield PartUse(kind="rectifier", what="rectifier diode", value=f"silicon, {part.value}",
                          where=where, rating=plan.shown("supply.inverse_rating"),
                          why=_inverse(plan, supply))
        case circuit.DOUBLE_DIODE | circuit.FILAMENT_DIODE:
            yield from _with_socket(part.value, where)
        case circuit.SURGE:
            yield resistor_use(supply.series_resistance, _lead_current(plan, supply),
                               f"{where}, rectifier lead")
        case circuit.CHOKE:
            yield PartUse(kind="choke", what="filter choke", value=part.value, where=where,
                          rating=f"{plan.shown('supply.choke_rating')}, "
                                 f"{plan.shown('supply.choke_resistance')}",
                          why="Load and bleeder flow through it together; above its current the core "
                              "saturates, and above its resistance voltage is lost.")
        case circuit.BLEEDER:
            yield _bleeder(supply, f"{where}, bleeder", worst or 0.0)
        case _ if part.ref[0] == "C":
            yield _reservoir(supply.sections[int(part.ref[1:]) - 1], part.ref, worst)


def _bleeder(supply: Supply, where: str, worst: float) -> PartUse:
    """The bleeder with the rating that it needs, and whether the plan's own is smaller."""
    use = resistor_use(supply.bleeder, worst / supply.bleeder, where)
    planned = supply.bleeder_rating
    if planned is None or planned >= POWER_MARGIN * worst**2 / supply.bleeder:
        return use
    return replace(use, note=f"{use.note} Your plan has {show(planned, 'W', prefix='')}, which is too small.".strip())


def _inverse(plan: Plan, supply: Supply) -> str:
    """Why a diode is rated so: the peak of a winding, twice but in a bridge; DERIVED."""
    times, where = (1, "peak") if supply.arrangement == BRIDGE else (2, "twice the peak")
    met = times * math.sqrt(2) * HIGH_MAINS * plan.value("supply.winding_voltage")
    return (f"While it does not conduct it meets {where} of {plan.shown('supply.winding_voltage')}, mains a "
            f"tenth high: {show(met, 'V', digits=3, prefix='')}, and more before the valves are warm.")


def _transformer(plan: Plan, supply: Supply) -> PartUse:
    """The mains transformer with every winding that is drawn."""
    heater, winding = (plan.value(f"supply.{k}_rating") for k in ("heater", "winding"))
    halves = "each half" if supply.arrangement == FULL_WAVE else "one winding"
    words = f"high tension {show(winding, 'A')}, heaters {show(heater, 'A')}"
    published = getattr(supply.rectifier, "published", None)
    if published:
        words += (f", rectifier {show(published.heater_voltage, 'V')} "
                  f"{show(published.heater_current, 'A')}")
    return PartUse(kind="mains transformer", what="mains transformer", where=POWER, value=words,
                   rating=f"{plan.shown('supply.winding_voltage')} {halves}")


def _lead_current(plan: Plan, supply: Supply) -> float:
    """The r.m.s. current (A) in a rectifier's lead at high mains; a bridge's lead carries both ways."""
    try:
        found = solve(supply, mains=HIGH_MAINS)
    except Unclear:
        return plan.value("supply.winding_rating")
    if supply.arrangement == BRIDGE:
        return max(found.winding_rms)
    return max(element.rms for element in found.elements)


def _reservoir(section: Section, ref: str, worst: float | None) -> PartUse:
    """A filter capacitor with the rating that the worst voltage asks for."""
    farads, planned = section.capacitance, section.rated_voltage
    electrolytic = farads >= ELECTROLYTIC_FROM
    rating, words, note = None, "not known", ""
    if worst is not None:
        try:
            rating = rate_capacitor(worst, electrolytic=electrolytic)
        except Unclear as reason:
            steps = ELECTROLYTIC_VOLTS if electrolytic else FILM_VOLTS
            words = f"above {show(steps[-1], 'V', prefix='')}"
            note = f"{POWER} {ref}: {reason}"
        else:
            if planned < worst:
                note = (f"{POWER} {ref}: your plan has {show(planned, 'V', prefix='')}, but "
                        f"{show(worst, 'V', digits=3, prefix='')} can be met.")
    kind, what = (("electrolytic", "electrolytic capacitor") if electrolytic
                  else ("capacitor", "capacitor"))
    return PartUse(kind=kind, what=f"{what}, power supply",
                   value=show(farads, "F", digits=3), where=f"{POWER} {ref}", volts=rating,
                   rating="" if rating else words, amount=farads, note=note, met=worst)


def _heater(current: float) -> str:
    return f"6.3 V, {show(current, 'A')}" if current else "6.3 V"


def _pico(value: float) -> str:
    return show(value, "F", prefix="p", digits=3)

"""What serves in a part's place, with the sum that shows it; and which missing part stops the build.

Each substitute is computed from the plan: it ``serves`` or it does not, and the sentence says by
which numbers.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from rxlearn.compute.audio_matching import match_output
from rxlearn.compute.band_spread import stand_in
from rxlearn.compute.filter_choice import FilterChoice, resistor_for_choke
from rxlearn.compute.image_swapping import SwapScheme, swap_bands
from rxlearn.compute.part_ratings import (
    electrolytics_in_series,
    is_preferred,
    preferred_pair,
    rate_resistor,
)
from rxlearn.compute.power_supply import solve
from rxlearn.compute.preferred_values import nearest_preferred
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.supply_parts import BRIDGE
from rxlearn.compute.variable_capacitor import VariableCapacitor
from rxlearn.data.crystals import STOCK_CRYSTALS
from rxlearn.data.parts_trade import (
    ELECTROLYTIC_MARGIN,
    ELECTROLYTIC_VOLTS,
    INSTEAD,
    LARGE_VARIABLES,
    REVERSED_SECONDARIES,
    SOCKETS,
)
from rxlearn.data.rectifier_valves import RECTIFIER_VALVES
from rxlearn.data.valves import VALVES
from rxlearn.plan.coil_cards import coil_card
from rxlearn.plan.coils import transformer_gap
from rxlearn.plan.document import Plan
from rxlearn.plan.parts import PlannedPart, hard_to_find
from rxlearn.plan.parts_supply import worst_voltage
from rxlearn.plan.power_supply import supply_of
from rxlearn.plan.stages import currents_of, valve_in

RIPPLE_ALLOWED = 0.1
"""Ripple at the load that speech on a loudspeaker stands, V r.m.s. (common practice, no source)."""

VOLTAGE_LEFT = 0.8
"""A supply that still gives this part of what was planned serves (a choice, no source)."""

LOAD_OFF = 0.35
"""How far the load of the output valve may be off, as a ratio (a choice: a third costs little)."""

MOST_CRYSTALS = 4
"""So many other crystals are named, the best first."""

BACK_TO_BACK = 0.9
"""Output over input of two alike small transformers, one turned round (common practice)."""


@dataclass(frozen=True)
class Substitute:
    """One way to do without a part: ``what`` to take, the ``sentence`` with the sum, and whether it
    ``serves``."""

    what: str
    sentence: str
    serves: bool


@dataclass(frozen=True)
class Obstacle:
    """A missing ``part`` that nothing replaces, what was ``tried``, and what ``removes`` it."""

    part: PlannedPart
    tried: tuple[Substitute, ...]
    removes: str

    @property
    def words(self) -> str:
        """The part and what removes the obstacle, with what stands against the part as planned."""
        against = f" {self.part.limits}." if self.part.limits else ""
        return f"{self.part.name}. {self.removes}{against}"


def substitutes_for(plan: Plan, part: PlannedPart) -> tuple[Substitute, ...]:
    """Every way to do without ``part`` that the workbook can work out, whether it serves or not."""
    find = _FINDERS.get(part.kind)
    if find is None:
        return ()
    try:
        return tuple(find(plan, part))
    except Unclear as reason:
        return (Substitute("none worked out", str(reason), False),)


def obstacles(plan: Plan, parts: tuple[PlannedPart, ...]) -> tuple[Obstacle, ...]:
    """What stops the build: not at hand, not easily bought, and nothing serves in its place."""
    found = []
    for part in hard_to_find(parts):
        tried = substitutes_for(plan, part)
        if not any(way.serves for way in tried):
            found.append(Obstacle(part, tried, part.removes))
    return tuple(found)


def _choke(plan: Plan, part: PlannedPart) -> Iterator[Substitute]:
    """A resistor alone, and, if that leaves too much ripple, the least change that serves."""
    supply = supply_of(plan)
    planned, farads = solve(supply), supply.sections[-1].capacitance
    first = True
    for share in (0.05, 0.1, 0.15):
        ohms = nearest_preferred(
            max(share * planned.output_voltage / max(planned.branches[-1].direct, 1e-4), 10.0), "E12")
        for times in (1, 2, 4):
            much = nearest_preferred(times * farads, "E6") if times > 1 else farads
            way = _resistor_way(resistor_for_choke(supply, ohms, capacitance=much), much)
            if way.serves or first:
                yield way
            if way.serves:
                return
            first = False


def _resistor_way(found: FilterChoice, farads: float) -> Substitute:
    ripple, rating = found.resistor.capacitors[-1].ripple_rms, found.rating.rating
    serves = (ripple <= RIPPLE_ALLOWED and rating is not None and
              found.resistor.output_voltage >= VOLTAGE_LEFT * found.choke.output_voltage)
    watts = show(rating, "W", prefix="") if rating else "more heat than one resistor stands"
    ohms = show(found.resistance, "Ω")
    return Substitute(
        f"resistor of {ohms}, {watts}, then {_farad(farads)}",
        f"{_amperes(found.rating.current)} through {ohms}: the load gets "
        f"{_volts(found.resistor.output_voltage)} instead of {_volts(found.choke.output_voltage)}, "
        f"with a ripple of {show(ripple, 'V', digits=2)} r.m.s. instead of "
        f"{show(found.choke.capacitors[-1].ripple_rms, 'V', digits=2)}; "
        f"{show(RIPPLE_ALLOWED, 'V')} is allowed here.", serves)


def _variable(plan: Plan, part: PlannedPart) -> Iterator[Substitute]:
    """A larger variable with a series capacitor that leaves the same ends."""
    degrees = plan.value("dial.degrees")
    least = plan.value("tuning_capacitor.minimum")
    if "tuning" not in part.what:
        least = part.amount / 10
    wanted = VariableCapacitor(least, part.amount, degrees=degrees)
    for low, high in LARGE_VARIABLES:
        if high <= part.amount:
            continue
        name = f"{_farad(low)} to {_farad(high)}"
        try:
            found = stand_in(wanted, VariableCapacitor(low, high, degrees=degrees))
        except Unclear as reason:
            yield Substitute(f"variable of {name}", str(reason), False)
            continue
        series = "nothing" if found.series is None else _farad(found.series)
        fixed = ("strays for the rest" if abs(found.parallel) < 1e-12 else
                 f"{_farad(found.parallel)} across both" if found.parallel >= 0 else
                 f"{_farad(-found.parallel)} less in the rest of the tank")
        yield Substitute(
            f"variable of {name}, {series} in series",
            f"With {series} in series and {fixed}, {name} runs from {_farad(least)} to "
            f"{_farad(part.amount)} as wanted; the dial crowds otherwise, so print it anew.", True)


def _output_transformer(plan: Plan, part: PlannedPart) -> Iterator[Substitute]:
    """The small mains transformer whose ratio shows the valve a load nearest to what it wants."""
    load, speaker = plan.value("output.anode_load"), plan.value("output.loudspeaker")
    mains = plan.value("supply.mains_voltage")
    tried = [(volts, match_output(load, speaker, ratio=mains / volts))
             for volts in REVERSED_SECONDARIES]
    volts, found = min(tried, key=lambda row: abs(math.log(row[1].mismatch)))
    serves = abs(found.mismatch - 1) <= LOAD_OFF
    yield Substitute(
        f"mains transformer {_volts(mains)} to {volts:g} V, turned round",
        f"{_volts(mains)} over {volts:g} V is {found.ratio:.3g} to 1, so {show(speaker, 'Ω')} looks "
        f"like {show(found.seen, 'Ω', digits=3)} where {show(load, 'Ω')} is wanted: "
        f"{_off(found.mismatch)}. Its core has no gap, so the valve's direct current takes the bass "
        "away, which speech can spare.", serves)


def _valve(plan: Plan, part: PlannedPart) -> Iterator[Substitute]:
    """Other types of the same kind, with both sums made again."""
    if part.value in RECTIFIER_VALVES:
        yield from _silicon(plan, part)
        return
    own = valve_in(part.value)
    if own is None:
        return
    drawn = currents_of(plan)
    rating, load = plan.value("supply.heater_rating"), plan.value("supply.load")
    for other in VALVES.values():
        if other.kind != own.kind or other.name == own.name:
            continue
        heaters = drawn.heaters + part.quantity * (other.heater_current - own.heater_current)
        supply = drawn.supply + part.quantity * own.sections * (
            other.supply_current - own.supply_current)
        serves = heaters <= rating * (1 + 1e-9) and supply <= 1.15 * load
        socket = SOCKETS.get(other.name, "its own socket")
        same = socket == SOCKETS.get(own.name)
        yield Substitute(
            other.name,
            f"{other.name} for {own.name}: heaters then {_amperes(heaters)} of {_amperes(rating)}, "
            f"anodes and screens {_amperes(supply)} where the supply reckons with {_amperes(load)}; "
            f"{show(other.transconductance * 1e3, '', digits=2)} mA/V instead of "
            f"{show(own.transconductance * 1e3, '', digits=2)}; "
            f"{'same kind of socket, but compare the pins' if same else f'socket: {socket}'}.",
            serves)


def _silicon(plan: Plan, part: PlannedPart) -> Iterator[Substitute]:
    """Silicon diodes for a rectifier valve: more voltage, a surge, and no warm-up."""
    valve, silicon = (solve(supply_of(plan, rectifier=kind)) for kind in (part.value, "silicon"))
    capacitors = supply_of(plan).sections
    stands = all(silicon.unloaded_voltage <= (section.rated_voltage or 0.0)
                 for section in capacitors)
    yield Substitute(
        "silicon diodes, with a resistor in each lead",
        f"The load gets {_volts(silicon.output_voltage)} instead of {_volts(valve.output_voltage)}, "
        f"and {_volts(silicon.unloaded_voltage)} before the valves are warm: the planned capacitors "
        f"{'stand' if stands else 'do not stand'} that.", stands)


def _crystal(plan: Plan, part: PlannedPart) -> Iterator[Substitute]:
    """Stock and drawer crystals that work for the same two bands on one oscillator range."""
    if not math.isclose(part.amount, plan.value("intermediate_frequency"), rel_tol=1e-6):
        return
    drawer = {row[0] for row in plan.value("crystals.drawer")}
    found = []
    for frequency in sorted({row.frequency for row in STOCK_CRYSTALS} | drawer):
        if math.isclose(frequency, part.amount, rel_tol=1e-5):
            continue
        try:
            scheme = _scheme(plan, frequency)
        except Unclear:
            continue
        if scheme.works and scheme.gap <= 0:
            found.append((abs(scheme.centre_shift), frequency, scheme))
    for shift, frequency, scheme in sorted(found)[:MOST_CRYSTALS]:
        own = ", in your drawer" if frequency in drawer else ""
        yield Substitute(
            f"crystals on {show(frequency, 'Hz', digits=9)}{own}",
            f"On {show(frequency, 'Hz', digits=9)} both bands share {_mhz(scheme.dial_low)} to "
            f"{_mhz(scheme.dial_high)}, their middles {show(shift, 'Hz', digits=4)} apart; coils and "
            "beat oscillator follow, so settle it in lesson 6 before you wind.", True)


def _scheme(plan: Plan, frequency: float) -> SwapScheme:
    edges = [(plan.value(f"{band}.low"), plan.value(f"{band}.high"))
             for band in ("lower_band", "upper_band")]
    return swap_bands(*edges[0], *edges[1], frequency,
                      lower_injection=plan.value("lower_band.injection"),
                      upper_injection=plan.value("upper_band.injection"),
                      region=plan.value("region"))


def _capacitor(plan: Plan, part: PlannedPart) -> Iterator[Substitute]:
    """Two preferred values in parallel."""
    if part.amount is None:
        return
    half = preferred_pair(part.amount, "E12")
    if is_preferred(half.made, "E12") and half.first == half.made:
        return
    yield Substitute(
        f"{_farad(half.first)} and {_farad(half.second)} in parallel",
        f"{_farad(half.first)} + {_farad(half.second)} = {_farad(half.made)}, "
        f"{_percent(half.error)} of {_farad(part.amount)}; each with the full rating.", True)


def _electrolytic(plan: Plan, part: PlannedPart) -> Iterator[Substitute]:
    """Two in parallel of the same rating; two in series with balancing resistors."""
    half = nearest_preferred(part.amount / 2, "E6")
    more = 2 * half / part.amount
    yield Substitute(
        f"two of {_farad(half)} in parallel", f"2 × {_farad(half)} = {_farad(2 * half)}, "
        f"{more:.3g} times what is planned, both with the full rating.", more >= 0.8)
    worst = worst_voltage(plan)
    if "power supply" not in part.what or worst is None:
        return
    rated = next((volts for volts in ELECTROLYTIC_VOLTS
                  if volts >= 250.0 and 2 * volts / ELECTROLYTIC_MARGIN > 1.1 * worst), 500.0)
    found = electrolytics_in_series(nearest_preferred(2 * part.amount, "E6"), worst, rated)
    watts = rate_resistor(found.balance, found.highest / found.balance).rating or 10.0
    yield Substitute(
        f"two of {_farad(found.each)}, {_volts(found.rated)} in series",
        f"Two of {_farad(found.each)} in series are {_farad(found.capacitance)}; with "
        f"{show(found.balance, 'Ω')} across each, {show(watts, 'W', prefix='')}, and leakages that differ by "
        f"{show(found.leakage, 'A', digits=2)}, the higher stands at {_volts(found.highest)} of its "
        f"{_volts(found.rated)}. Its can is not at chassis: insulate it.", True)


def _transformer(plan: Plan, part: PlannedPart) -> Iterator[Substitute]:
    """Two small mains transformers back to back, behind a bridge."""
    planned = solve(supply_of(plan))
    mains = plan.value("supply.mains_voltage")
    winding = BACK_TO_BACK * mains
    supply = supply_of(plan, rectifier="silicon", arrangement=BRIDGE)
    found = solve(replace(supply, transformer=replace(supply.transformer, voltage=winding)))
    serves = found.output_voltage >= VOLTAGE_LEFT * planned.output_voltage
    yield Substitute(
        "two alike mains transformers, low windings joined, and a bridge",
        f"The second turned round gives back about {100 * BACK_TO_BACK:.0f} % of the mains, "
        f"{_volts(winding)}; through a bridge the load gets {_volts(found.output_voltage)} where "
        f"{_volts(planned.output_voltage)} is planned: {'enough' if serves else 'too little'}. Each "
        "needs the current's rating, and one of them feeds the heaters as well.", serves)


def _loudspeaker(plan: Plan, part: PlannedPart) -> Iterator[Substitute]:
    """One of half or twice the impedance on the same transformer."""
    load, speaker = plan.value("output.anode_load"), plan.value("output.loudspeaker")
    found = match_output(load, speaker / 2, ratio=plan.value("output.turns_ratio"))
    yield Substitute(
        f"two of {show(speaker / 2, 'Ω')} in series",
        f"2 × {show(speaker / 2, 'Ω')} = {show(speaker, 'Ω')}, so the valve meets the same load; one "
        f"of them alone would look like {show(found.seen, 'Ω', digits=3)}.", True)


def _dial_drive(plan: Plan, part: PlannedPart) -> Iterator[Substitute]:
    """A cord from the knob's spindle to a drum."""
    spindle, ratio = 6e-3, part.amount
    drum = spindle * ratio
    yield Substitute(
        f"cord from a spindle to a drum of {show(drum, 'm', digits=2)}",
        f"A spindle of {show(spindle, 'm')} and a drum of {ratio:.3g} × {show(spindle, 'm')} = "
        f"{show(drum, 'm', digits=2)} turn {ratio:.3g} to 1"
        + (": it fits behind a panel." if drum <= 0.15 else ": too large for most panels; use two "
           "stages."), drum <= 0.15)


def _coil(plan: Plan, part: PlannedPart) -> Iterator[Substitute]:
    """For the intermediate-frequency transformer: two coils that are wound."""
    if not any("intermediate-frequency" in place for place in part.where):
        return
    card = coil_card(plan, "transformer_coil")
    try:
        how = f"{show(transformer_gap(plan), 'm', digits=2)} between the windings"
    except Unclear:
        how = "coupled by a small capacitor at the top"
    yield Substitute(
        "a bought intermediate-frequency transformer is not needed",
        f"Two coils of {card.winding or 'the card'}, {how}, give {card.verdict}.",
        not card.problem)


def _holding(plan: Plan, part: PlannedPart) -> Iterator[Substitute]:
    """What serves by the trade's table for a part that no circuit shows."""
    yield Substitute(*INSTEAD[part.kind], True)


def _volts(value: float) -> str:
    return show(value, "V", prefix="", digits=3)


def _amperes(value: float) -> str:
    return show(value, "A", digits=3)


def _farad(value: float) -> str:
    return show(value, "F", digits=3)


def _mhz(value: float) -> str:
    return show(value, "Hz", prefix="M", digits=6)


def _percent(error: float) -> str:
    return "within a thousandth" if abs(error) < 1e-3 else f"{100 * error:+.2g} %"


def _off(mismatch: float) -> str:
    if abs(mismatch - 1) < 0.05:
        return "as wanted"
    return f"{mismatch:.2g} times that"


_FINDERS: Mapping[str, Callable[[Plan, PlannedPart], Iterator[Substitute]]] = MappingProxyType({
    "choke": _choke, "variable capacitor": _variable, "output transformer": _output_transformer,
    "valve": _valve, "audio valve": _valve, "crystal": _crystal, "cut crystal": _crystal, "capacitor": _capacitor,
    "electrolytic": _electrolytic, "mains transformer": _transformer, "loudspeaker": _loudspeaker,
    "dial drive": _dial_drive, "coil": _coil, **dict.fromkeys(INSTEAD, _holding),
})
"""Kind of part to what looks for substitutes."""

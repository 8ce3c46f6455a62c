"""The plan's numbers for the circuit of each stage."""

from __future__ import annotations

from dataclasses import replace

from rxlearn.compute.circuits import (
    BAND_SWITCH,
    CIRCUITS,
    CONVERTER_SWITCH,
    HEPTODE,
    POWER_SUPPLY,
    BandCapacitors,
    Circuit,
    CircuitNumbers,
    Part,
    TankNumbers,
    ValveFigures,
    bias_at,
    circuit_of,
)
from rxlearn.compute.converter_circuit import converter_circuit
from rxlearn.compute.drift import decode_class_one
from rxlearn.compute.ladder_build import BuiltLadder
from rxlearn.compute.power_supply import solve
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.stages import CONVERTER_STAGES, FUNCTIONS, ReceiverStage
from rxlearn.compute.supply_circuit import supply_circuit
from rxlearn.data.valves import VALVES, Valve
from rxlearn.plan.band_spread import (
    OTHER,
    SWITCHED_WAY,
    narrow_band,
    shape,
    switched_on,
    way_of,
)
from rxlearn.plan.coils import TRIMMED, drawn_link, drawn_tap, preselector_variable, wanted_of
from rxlearn.plan.converter_stages import MIXER, OSCILLATOR, converter_numbers, has_converter
from rxlearn.plan.crystal_filter import filter_of
from rxlearn.plan.document import Plan
from rxlearn.plan.power_supply import supply_of
from rxlearn.plan.stages import BANDS, match_of, middle_of, sections_used, stages_of, valve_in

TYPICAL = {
    "signal_amplifier": "6BA6", "mixer": "6BE6", "oscillator": "6AU6",
    "intermediate_amplifier": "6BA6", "beat_oscillator": "12AX7", "audio_amplifier": "12AX7",
    "output": "12AU7", "converter": MIXER, "crystal_oscillator": OSCILLATOR,
}
"""The valve that a circuit is worked out with where the plan's is not known, or is of a kind that
the circuit is not made for; :func:`stand_in` says so."""

SAME_PARTS = {("mixer", "C1"): ("oscillator", "C7"), ("detector", "C1"): ("beat_oscillator", "C6"),
              ("audio_amplifier", "C1"): ("detector", "C3"),
              ("converter", "C1"): ("crystal_oscillator", "C4"),
              ("converter", CONVERTER_SWITCH): ("converter_input", CONVERTER_SWITCH)}
"""A part between two stages is drawn in both circuits: here, and in the other one, where it counts."""

_KINDS = {
    "signal_amplifier": ("pentode",), "mixer": ("pentagrid", HEPTODE),
    "oscillator": ("triode", "pentode"), "intermediate_amplifier": ("pentode",),
    "beat_oscillator": ("triode",), "audio_amplifier": ("triode",), "output": ("triode", "output"),
    "converter": ("pentagrid",), "crystal_oscillator": ("triode",),
}
"""Words of a valve's kind that a stage's circuit is made for."""


def circuits_in(plan: Plan) -> tuple[str, ...]:
    """Functions of the plan's stages that have a circuit, in their order, the power supply last."""
    listed = {stage.function for stage in stages_of(plan)}
    if not has_converter(plan):
        listed -= set(CONVERTER_STAGES)
    return tuple(name for name in CIRCUITS if name in listed or name == POWER_SUPPLY)


def circuit_name(stage: str) -> str:
    """What the circuit of ``stage`` is called."""
    return "power supply" if stage == POWER_SUPPLY else FUNCTIONS[stage]


def circuit_in(plan: Plan, stage: str, band: str, signal: float | None = None) -> Circuit:
    """The circuit of ``stage`` with ``plan``'s values, tuned to ``signal`` (Hz) on ``band``."""
    if stage == POWER_SUPPLY:
        return supply_circuit(supply_of(plan), plan.value("supply.fuse"))
    if stage in CONVERTER_STAGES:
        numbers = converter_numbers(plan, supply_voltage(plan))
        if numbers is None:
            raise Unclear("The plan has no converter that works: settle its third band first.")
        circuit = converter_circuit(stage, numbers, valve_of(plan, stage))
    else:
        circuit = circuit_of(stage, numbers_of(plan, band, signal), valve_of(plan, stage))
    note = " ".join(words for words in (
        circuit.note, _switched_note(plan, stage, band), stand_in(plan, stage)) if words)
    listed = {row.function for row in stages_of(plan)}
    return replace(circuit, note=note, parts=tuple(_same(stage, part, listed) for part in circuit.parts))


def _switched_note(plan: Plan, stage: str, band: str) -> str:
    """What of a circuit before the mixer is not drawn: the other band's."""
    other = plan.value(f"{OTHER[band]}.name")
    return {
        "preselector": f"{BAND_SWITCH} is the oscillator's switch; at its contacts for {other} hang that "
                       "band's coils, each with a trimmer of its own.",
        "signal_amplifier": f"{BAND_SWITCH} is the oscillator's switch; at its contact for {other} hang that "
                            "band's L1 and C4. The high tension stands at both.",
    }.get(stage, "")


def _same(stage: str, part: Part, listed: set[str]) -> Part:
    """``part``, said to be the same as in another circuit where it is drawn twice."""
    other, ref = SAME_PARTS.get((stage, part.ref), ("", ""))
    if other not in listed:
        return part
    return replace(part, kind=f"{part.kind}; the same part as {ref} of the {circuit_name(other)}")


def numbers_of(plan: Plan, band: str, signal: float | None = None) -> CircuitNumbers:
    """What the circuits need of the plan; raises Unclear where its scheme gives no answer."""
    intermediate = plan.value("intermediate_frequency")
    return CircuitNumbers(
        bands=tuple(plan.value(f"{one}.name") for one in BANDS), band=BANDS.index(band),
        variable=preselector_variable(plan), trimmer=2 * TRIMMED,
        signal=middle_of(plan, band) if signal is None else signal, intermediate=intermediate,
        beat_offset=plan.value("beat_oscillator.offset"),
        supply=supply_voltage(plan), step_up=match_of(plan, band).turns,
        aerial=drawn_link(plan, band.replace("_band", "_coil")),
        circuits=plan.value("preselector.circuits"),
        signal_coil=wanted_of(plan, band.replace("_band", "_coil")),
        intermediate_coil=wanted_of(plan, "transformer_coil"),
        tank=tank_of(plan),
        turns_ratio=plan.value("output.turns_ratio"), loudspeaker=plan.value("output.loudspeaker"),
        crystals=plan.value("crystal_filter.crystals"), **_filter(plan))


def _filter(plan: Plan) -> dict[str, BuiltLadder | str]:
    """The crystal filter as it is built, or the reason why it cannot be."""
    try:
        return {"filter": filter_of(plan)}
    except Unclear as reason:
        return {"filter_problem": f"No values yet: {reason}"}


def tank_of(plan: Plan) -> TankNumbers:
    """The oscillator's coil and capacitors on both bands; Unclear where a band cannot work."""
    narrow = narrow_band(plan)
    wide = OTHER[narrow]
    switched = way_of(plan) == SWITCHED_WAY
    bands = []
    for band in (wide,) if switched else (wide, narrow):
        bands.append(_band_capacitors(plan, band, band == narrow))
    recentring = plan.value("recentring.capacitance") if switched else 0.0
    on = switched_on(plan) if switched else narrow
    if switched and on == wide:
        # What the wider band has in all is then the trimmer's and the recentring capacitor's.
        bands[0] = replace(bands[0], parallel=max(0.0, bands[0].parallel - recentring))
    return TankNumbers(
        coil=plan.value("oscillator.inductance"), least=plan.value("tuning_capacitor.minimum"),
        most=plan.value("tuning_capacitor.maximum"), bands=tuple(bands),
        compensating=plan.value("drift.compensating_capacitance"), kind=_compensator(plan),
        tap=drawn_tap(plan), recentring=recentring,
        recentred=plan.value(f"{on}.name"))


def _compensator(plan: Plan) -> str:
    """The compensating capacitor's kind, with its other name where it has one."""
    found = decode_class_one(plan.value("drift.compensator"))
    return f"{found.code} ({found.trade_name})" if found.trade_name else found.code


def _band_capacitors(plan: Plan, band: str, narrow: bool) -> BandCapacitors:
    """What ``band`` has; what the plan holds of it where no variable capacitor would do."""
    name = plan.value(f"{band}.name")
    try:
        network = shape(plan, band)
    except Unclear:
        return BandCapacitors(name, plan.value("band_spread.series") or None if narrow else None,
                              plan.value("band_spread.parallel") if narrow else 0.0)
    return BandCapacitors(name, network.series, network.parallel, network.across)


def supply_voltage(plan: Plan) -> float:
    """The high tension at the load, V; the valves' usual 250 V where the supply cannot work."""
    try:
        return solve(supply_of(plan)).output_voltage
    except Unclear:
        return 250.0


def valve_of(plan: Plan, stage: str) -> ValveFigures | None:
    """The valve of ``stage`` as a circuit wants it: the plan's if it suits, else a typical one."""
    if stage not in TYPICAL:
        return None
    found, valve = _listed(plan, stage)
    if valve is None:
        valve, found = VALVES[TYPICAL[stage]], None
    current = found.supply_current if found and found.supply_current else valve.supply_current
    halves = sections_used(valve, current)
    anode = current * valve.anode_current / valve.supply_current
    return ValveFigures(
        name=found.device if found else f"{valve.name} (typical)",
        bias=bias_at(valve.bias, valve.anode_current, anode / halves, valve.transconductance),
        current=current, anode_current=anode, conductance=halves * valve.transconductance,
        screen=valve.screen_voltage,
        screen_current=current * valve.screen_current / valve.supply_current,
        mu=valve.amplification, anode=valve.anode_voltage, form=HEPTODE if HEPTODE in valve.kind else "",
        **_three_halves(stage, valve, halves))


def _three_halves(stage: str, valve: Valve, halves: int) -> dict[str, float]:
    """What the 3/2 law needs of a triode, and of a pentode in the output stage.

    The slope of such a curve is 3/2 of current over driving voltage; so the latter follows from the
    published current and transconductance, and the screen's amplification from it and the bias.
    DERIVED; 18 for a type of which makers print 19 (from memory).
    """
    if valve.amplification:
        return {"perveance": halves * _perveance(valve)}
    if stage != "output" or not valve.screen_voltage:
        return {}
    driving = 1.5 * valve.anode_current / valve.transconductance
    return {"perveance": halves * valve.supply_current / driving**1.5,
            "screen_mu": valve.screen_voltage / (driving + valve.bias)}


def _perveance(valve: Valve) -> float:
    """A triode's current over the 3/2 power of its driving voltage, at the published point."""
    driving = valve.anode_voltage / valve.amplification - valve.bias
    return valve.anode_current / driving**1.5


def _listed(plan: Plan, stage: str) -> tuple[ReceiverStage | None, Valve | None]:
    """The plan's row of ``stage``, and its valve if the stage's circuit is made for it."""
    found = next((s for s in stages_of(plan) if s.function == stage), None)
    valve = valve_in(found.device) if found else None
    if valve is None:
        return found, None
    for one in (valve, VALVES.get(f"{valve.name} triode")):
        if one and any(word in one.kind for word in _KINDS[stage]):
            return found, one
    return found, None


def stand_in(plan: Plan, stage: str) -> str:
    """A sentence where the circuit of ``stage`` is drawn for another valve than the plan's, else empty."""
    if stage not in TYPICAL:
        return ""
    found, suits = _listed(plan, stage)
    if found is None or suits:
        return ""
    name, valve = circuit_name(stage), valve_in(found.device)
    cause = (f"is not made for a {valve.kind} such as {valve.name}" if valve
             else f"is not made for “{found.device}”, which the workbook does not know")
    return (f"The circuit of the {name} {cause}: it is drawn for a typical {TYPICAL[stage]}. Choose a "
            "valve of that kind, or work the stage out from the maker's sheet.")

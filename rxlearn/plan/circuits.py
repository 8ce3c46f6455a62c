"""The plan's numbers for the circuit of each stage."""

from __future__ import annotations

from rxlearn.compute.beat import UPPER, beat_oscillator_frequency
from rxlearn.compute.circuits import (
    CIRCUITS,
    POWER_SUPPLY,
    Circuit,
    CircuitNumbers,
    ValveFigures,
    bias_at,
    circuit_of,
)
from rxlearn.compute.ladder_build import BuiltLadder
from rxlearn.compute.power_supply import solve
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.stages import FUNCTIONS
from rxlearn.compute.supply_circuit import supply_circuit
from rxlearn.compute.tuning import is_sideband_inverted
from rxlearn.data.valves import VALVES
from rxlearn.plan.coils import wanted_of
from rxlearn.plan.crystal_filter import filter_of
from rxlearn.plan.document import Plan
from rxlearn.plan.power_supply import supply_of
from rxlearn.plan.stages import middle_of, sections_used, stages_of, valve_in

TYPICAL = {
    "signal_amplifier": "6BA6", "mixer": "6BE6", "oscillator": "6AU6",
    "intermediate_amplifier": "6BA6", "beat_oscillator": "12AX7", "audio_amplifier": "12AX7",
    "output": "12AU7",
}
"""The valve that a circuit is worked out with where the plan's is not known, or is of a kind that
the circuit is not made for."""

_KINDS = {
    "signal_amplifier": "pentode", "mixer": "pentagrid", "intermediate_amplifier": "pentode",
    "beat_oscillator": "triode", "audio_amplifier": "triode", "output": "triode",
}


def circuits_in(plan: Plan) -> tuple[str, ...]:
    """Functions of the plan's stages that have a circuit, in their order, the power supply last."""
    listed = {stage.function for stage in stages_of(plan)}
    return tuple(name for name in CIRCUITS if name in listed or name == POWER_SUPPLY)


def circuit_name(stage: str) -> str:
    """What the circuit of ``stage`` is called."""
    return "power supply" if stage == POWER_SUPPLY else FUNCTIONS[stage]


def circuit_in(plan: Plan, stage: str, band: str, signal: float | None = None) -> Circuit:
    """The circuit of ``stage`` with ``plan``'s values, tuned to ``signal`` (Hz) on ``band``."""
    if stage == POWER_SUPPLY:
        return supply_circuit(supply_of(plan), plan.value("supply.fuse"))
    return circuit_of(stage, numbers_of(plan, band, signal), valve_of(plan, stage))


def numbers_of(plan: Plan, band: str, signal: float | None = None) -> CircuitNumbers:
    """What the circuits need of the plan; raises Unclear where its scheme gives no answer."""
    intermediate = plan.value("intermediate_frequency")
    first = next((s for s in stages_of(plan) if s.function == "preselector"), None)
    return CircuitNumbers(
        signal=middle_of(plan, band) if signal is None else signal, intermediate=intermediate,
        beat=beat_oscillator_frequency(
            intermediate, UPPER, is_sideband_inverted(plan.value(f"{band}.injection")),
            plan.value("beat_oscillator.offset")),
        supply=supply_voltage(plan), step_up=first.ratio if first else 1.0,
        circuits=plan.value("preselector.circuits"),
        signal_coil=wanted_of(plan, band.replace("_band", "_coil")),
        intermediate_coil=wanted_of(plan, "transformer_coil"),
        tank={"coil": plan.value("oscillator.inductance"),
              "least": plan.value("tuning_capacitor.minimum"),
              "most": plan.value("tuning_capacitor.maximum"),
              "series": plan.value("band_spread.series"),
              "parallel": plan.value("band_spread.parallel"),
              "recentring": plan.value("recentring.capacitance")},
        turns_ratio=plan.value("output.turns_ratio"), loudspeaker=plan.value("output.loudspeaker"),
        crystals=plan.value("crystal_filter.crystals"), **_filter(plan))


def _filter(plan: Plan) -> dict[str, BuiltLadder | str]:
    """The crystal filter as it is built, or the reason why it cannot be."""
    try:
        return {"filter": filter_of(plan)}
    except Unclear as reason:
        return {"filter_problem": f"No values yet: {reason}"}


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
    found = next((s for s in stages_of(plan) if s.function == stage), None)
    valve = valve_in(found.device) if found else None
    wanted = _KINDS.get(stage, "")
    if valve is None or wanted not in valve.kind:
        valve, found = VALVES[TYPICAL[stage]], None
    current = found.supply_current if found and found.supply_current else valve.supply_current
    halves = sections_used(valve, current)
    anode = current * valve.anode_current / valve.supply_current
    return ValveFigures(
        name=found.device if found else f"{valve.name} (typical)",
        bias=bias_at(valve.bias, valve.anode_current, anode / halves, valve.transconductance),
        current=current, anode_current=anode, conductance=halves * valve.transconductance,
        screen=valve.screen_voltage,
        screen_current=current * valve.screen_current / valve.supply_current, mu=valve.amplification)

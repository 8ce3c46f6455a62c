"""What a meter shows at a stage's electrodes; names high voltages, so it waits for the list."""

from __future__ import annotations

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.stage_voltages import ANODE_LOADS, FAULTS, StageVoltages, stage_voltages
from rxlearn.figures.stage_voltages import StageVoltagesFigure
from rxlearn.plan.circuits import circuit_name, supply_voltage, valve_of
from rxlearn.plan.document import Plan
from rxlearn.plan.stages import stages_of

FIRST = "audio_amplifier"
LEAST_LEAK, MOST_LEAK = 1e6, 50e6
"""Ends of the knob for a capacitor's leakage, ohm."""


def meter_readings() -> LiveBench:
    """See what a meter shows at a valve's electrodes, sound and with one fault."""
    plan, note = _usable_plan()
    full = supply_voltage(plan)
    listed = {stage.function for stage in stages_of(plan)}
    stages = {name: circuit_name(name) for name in ANODE_LOADS if name in listed}
    valves = {name: valve_of(plan, name) for name in stages}

    def compute(stage: str, fault: str, supply: float, leakage: float) -> StageVoltages:
        return stage_voltages(stage, valves[stage], supply=full * supply / 100, fault=fault,
                              leakage=leakage)

    low = 1.3 * max(
        row.found for name in stages for fault in ("none", "cathode", "leak")
        for row in stage_voltages(name, valves[name], supply=1.2 * full, fault=fault,
                                  leakage=LEAST_LEAK).readings[-2:])
    return live(
        "What a meter shows",
        [
            Choice(key="stage", label="Stage", options=stages,
                   start=FIRST if FIRST in stages else next(iter(stages))),
            Choice(key="fault", label="Fault", options=dict(FAULTS), start="none"),
            Knob(key="supply", label="High tension, of nominal", unit="%", low=80, high=120,
                 start=100, fine=1, coarse=5),
            Knob(key="leakage", label="Leakage of the capacitor, when it is that", unit="Ω",
                 low=LEAST_LEAK, high=MOST_LEAK, start=5e6, fine=0.5e6, coarse=5e6, prefix="M",
                 decimals=1),
        ],
        compute,
        lambda: StageVoltagesFigure(1.35 * full, low, note),
        predict="stages.predict_dark_valve", gated=True,
    )


def _usable_plan() -> tuple[Plan, str]:
    """The learner's plan if it lists a stage with a valve whose voltages can be worked out."""
    plan = the_desk().plan()
    try:
        supply = supply_voltage(plan)
        names = [stage.function for stage in stages_of(plan) if stage.function in ANODE_LOADS]
        if not names:
            raise Unclear("It lists no stage with a valve.")
        for name in names:
            for percent in (0.8, 1.2):
                stage_voltages(name, valve_of(plan, name), supply=percent * supply)
    except Unclear as reason:
        return Plan.demo(), f"Your plan gives no readings. {reason} The demo stands in."
    return plan, ""

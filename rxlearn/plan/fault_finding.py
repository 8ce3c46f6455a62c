"""The plan's receiver as the fault-finding exercise breaks it."""

from __future__ import annotations

from rxlearn.compute.faults import Patient
from rxlearn.compute.stage_voltages import ANODE_LOADS
from rxlearn.compute.tuning import is_sideband_inverted
from rxlearn.plan.circuits import supply_voltage, valve_of
from rxlearn.plan.document import Plan
from rxlearn.plan.stages import BANDS, followed, receiver_of, stages_of


def patient_of(plan: Plan) -> Patient:
    """The plan's receiver to break; Unclear where it cannot work."""
    found = followed(plan, "upper_band")
    stages = stages_of(plan)
    listed = {stage.function for stage in stages}
    return Patient(
        stages=stages, followed=found,
        valves={name: valve_of(plan, name) for name in ANODE_LOADS if name in listed},
        supply=supply_voltage(plan), bleeder=plan.value("supply.bleeder"),
        beat_offset=receiver_of(plan).beat_offset,
        beat_moves=len({is_sideband_inverted(plan.value(f"{band}.injection")) for band in BANDS}) > 1)

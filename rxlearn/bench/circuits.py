"""The circuit of each stage of the plan, as a live figure."""

from __future__ import annotations

from functools import lru_cache

from rxlearn.bench.block_diagram import LEAST_AERIAL, MOST_AERIAL, S9
from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.block_diagram import follow_blocks
from rxlearn.compute.circuits import CircuitInUse
from rxlearn.compute.quantities import Unclear
from rxlearn.figures.circuit_diagram import CircuitDiagramFigure
from rxlearn.plan.circuits import circuit_in, circuit_name, circuits_in
from rxlearn.plan.document import Plan
from rxlearn.plan.stages import BANDS, receiver_of

FIRST = "mixer"
"""The circuit that is shown first."""


def circuit_diagrams() -> LiveBench:
    """See the circuit of each stage with the plan's values, and what runs in and out of it."""
    plan, note = _usable_plan()
    receiver = receiver_of(plan)
    circuit = lru_cache(maxsize=64)(lambda stage, band: circuit_in(plan, stage, band))

    def compute(stage: str, band: str, share: float, aerial: float) -> CircuitInUse:
        found = follow_blocks(receiver, band=BANDS.index(band), share=share, aerial_dbm=aerial,
                              place="residential").received
        return CircuitInUse(circuit(stage, band), None if stage == "rectifier" else found)

    stages = {stage: circuit_name(stage) for stage in circuits_in(plan)}
    return live(
        "Circuit of a stage",
        [
            Choice(key="stage", label="Stage", start=FIRST, options=stages),
            Choice(key="band", label="Band switch", start=BANDS[0],
                   options=dict(zip(BANDS, receiver.names, strict=True))),
            Knob(key="share", label="Place on the dial (0 % is the band's low edge)", unit="%",
                 low=0, high=100, start=50, fine=0.5, coarse=5, decimals=1),
            Knob(key="aerial", label="Signal at the aerial", unit="dBm", low=LEAST_AERIAL,
                 high=MOST_AERIAL, start=S9, fine=1, coarse=6),
        ],
        compute,
        lambda: CircuitDiagramFigure(note),
        predict="stages.predict_frequency",
    )


def _usable_plan() -> tuple[Plan, str]:
    """The learner's plan if a signal can be followed and drawn on both bands; else the demo."""
    plan = the_desk().plan()
    try:
        for share in (0.0, 100.0):
            follow_blocks(receiver_of(plan), band=0, share=share, aerial_dbm=S9, place="rural")
        for band in BANDS:
            for stage in circuits_in(plan):
                circuit_in(plan, stage, band)
    except Unclear as reason:
        return Plan.demo(), f"Your plan cannot be drawn. {reason} The demo stands in."
    return plan, ""

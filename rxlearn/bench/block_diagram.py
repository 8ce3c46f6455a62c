"""Live figures on the stages: what they draw together, and the block diagram."""

from __future__ import annotations

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.block_diagram import BlockDiagram, TwoBandSet, follow_blocks
from rxlearn.compute.noise import PLACES
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.stage_currents import DrawnCurrents, draw_currents
from rxlearn.figures.block_diagram import BlockDiagramFigure
from rxlearn.figures.stage_currents import StageCurrentsFigure
from rxlearn.plan.document import Plan
from rxlearn.plan.stage_reach import short_of
from rxlearn.plan.stages import BANDS, receiver_of, stages_of

S9 = -73.0
LEAST_AERIAL, MOST_AERIAL = -130.0, -10.0
"""Ends of the aerial's knob, dBm: half a microvolt's tenth, and a neighbour's transmitter."""


MOST_LAMP, MOST_OUTPUT = 0.6, 0.1
"""Ends of the knobs for the dial lamp and the output stage, A."""


def block_diagram() -> LiveBench:
    """See the receiver as blocks: frequencies on both bands, and a signal's level on its way."""
    receiver, note = usable_set()

    def compute(band: str, share: float, aerial: float, place: str) -> BlockDiagram:
        return follow_blocks(receiver, band=BANDS.index(band), share=share, aerial_dbm=aerial,
                             place=place)

    return live(
        "The receiver as blocks",
        [
            Choice(key="band", label="Band switch", start=BANDS[0],
                   options=dict(zip(BANDS, receiver.names, strict=True))),
            Knob(key="share", label="Place on the dial (0 % is the band's low edge)", unit="%",
                 low=0, high=100, start=50, fine=0.5, coarse=5, decimals=1),
            Knob(key="aerial", label="Signal at the aerial", unit="dBm", low=LEAST_AERIAL,
                 high=MOST_AERIAL, start=S9, fine=1, coarse=6),
            Choice(key="place", label="You live in this place", start="residential",
                   options={place: place for place in PLACES if place != "galactic"}),
        ],
        compute,
        lambda: BlockDiagramFigure(receiver, note),
        predict="stages.predict_noise",
    )


def stage_currents() -> LiveBench:
    """Add up what the plan's stages draw from heater winding and high tension."""
    plan, note = the_desk().plan(), ""
    stages = stages_of(plan)
    if not any(stage.heater_current or stage.supply_current for stage in stages):
        plan, note = Plan.demo(), "Your plan lists no currents yet: the demo's stages stand in."
        stages = stages_of(plan)
    lamp = sum(stage.heater_current for stage in stages if stage.function == "lamp")
    output = sum(stage.supply_current for stage in stages if stage.function == "output")
    bulbs = dict.fromkeys(stage.bulb for stage in stages
                          if stage.heater_current and stage.function != "lamp")
    names = {bulb: next(s.device for s in stages if s.bulb == bulb) for bulb in bulbs}

    def compute(opened: str, lamp: float, output: float) -> DrawnCurrents:
        return draw_currents(
            stages, lamp=lamp, output=output, heater_rating=plan.value("supply.heater_rating"),
            load=plan.value("supply.load"), open_bulb="" if opened == "none" else opened)

    return live(
        "Currents that add up",
        [
            Choice(key="opened", label="Heater failed open", start="none",
                   options={"none": "none: every heater glows", **names}),
            Knob(key="lamp", label="Dial lamp", unit="A", low=0.0, high=MOST_LAMP,
                 start=min(lamp, MOST_LAMP), fine=0.01, coarse=0.1, decimals=2),
            Knob(key="output", label="Output stage, anode and screen", unit="A", low=0.0,
                 high=MOST_OUTPUT, start=min(output, MOST_OUTPUT), fine=0.5e-3, coarse=5e-3,
                 prefix="m", decimals=1),
        ],
        compute,
        lambda: StageCurrentsFigure(
            stages,
            1.25 * max(MOST_LAMP, *(stage.heater_current for stage in stages)),
            1.25 * max(MOST_OUTPUT, *(stage.supply_current for stage in stages)), note),
        predict="stages.predict_open_heater",
    )


def usable_set() -> tuple[TwoBandSet, str]:
    """The learner's receiver if a signal can be followed on both bands; else the demo, and why."""
    plan = the_desk().plan()
    receiver = receiver_of(plan)
    try:
        for share in (0.0, 100.0):
            follow_blocks(receiver, band=0, share=share, aerial_dbm=S9, place="rural")
    except Unclear as reason:
        return receiver_of(Plan.demo()), f"Your plan cannot be followed. {reason} The demo stands in."
    return receiver, " ".join(short_of(plan))

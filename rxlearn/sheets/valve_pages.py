"""The build sheet's pages on valves and the band switch: pins, voltages to expect, what joins what."""

from __future__ import annotations

from rxlearn.compute.circuits import (
    AERIAL_POLE,
    ANODE_POLE,
    BAND_SWITCH,
    COIL_POLES,
    POLE,
    short_name,
)
from rxlearn.compute.quantities import show
from rxlearn.data.cautions import caution
from rxlearn.figures.circuits import connections
from rxlearn.plan.circuits import circuit_in, circuit_name, circuits_in, supply_voltage
from rxlearn.plan.document import Plan
from rxlearn.plan.valve_limits import WITHIN, pin_rows, stage_readings
from rxlearn.sheets.pages import Block, Paragraph, Table, Warned

BANDS = ("lower_band", "upper_band")

BEFORE_THE_MIXER = ("preselector", "signal_amplifier")
"""Stages with a drawing for each band."""

AT_BAND = {band: "".join(pole[place] for pole in (AERIAL_POLE, *COIL_POLES, ANODE_POLE))
           for place, band in enumerate(BANDS)}
"""Letters of the contacts in those drawings that are closed on a band."""


def valve_blocks(plan: Plan) -> list[Block]:
    """Each valve's pins, and what a meter should show at them with room for what it does show.

    Raises Unclear with the reason where the plan's supply is out of all range.
    """
    supply = show(supply_voltage(plan), "V", digits=3)
    rows = tuple((row.stage, row.device, row.electrode, row.pin or "see its sheet", row.expected, "")
                 for row in stage_readings(plan))
    return [
        Paragraph("Pins are counted from below, where you solder: clockwise from the wide gap of a "
                  "miniature base, from the key of an octal one. Compare each with the maker's sheet "
                  "before a wire goes on; a twelve-volt heater with a middle has pins 4 and 5 joined "
                  "for six volts, against pin 9."),
        Table("Valves and their pins", ("valve", "type", "pins"), pin_rows(plan), (1, 1.4, 8)),
        Warned(caution("charged_capacitor")), Warned(caution("one_hand")), Warned(caution("meter")),
        Paragraph(f"To the chassis, with {supply} of high tension, all warm, no signal, the oscillators "
                  f"running, a meter of 10 MΩ or so. Drops may lie {show(100 * WITHIN, '%')} to either "
                  "side, and the high tension a tenth. A cathode outside its range says first what "
                  "is wrong: its voltage over its resistor is the valve's current."),
        Table("Voltages at the valves", ("stage", "valve", "electrode", "pin", "expected", "yours"),
              rows, (2.6, 2.4, 1.6, 1.2, 2.4, 1.6)),
    ]


def switch_blocks(plan: Plan) -> list[Block]:
    """The wiring of the band switch, a row for each contact."""
    return [Table(f"Band switch {BAND_SWITCH}", ("pole", "at", "joins", "to"), tuple(_contacts(plan)),
                  (0.8, 2, 4, 4))]


def _contacts(plan: Plan) -> list[tuple[str, str, str, str]]:
    """Every contact as it is drawn, by its pole: of both bands where each has a drawing."""
    listed, rows = circuits_in(plan), []
    for stage in ("oscillator", *(one for one in BEFORE_THE_MIXER if one in listed)):
        for band in BANDS if stage != "oscillator" else BANDS[:1]:
            name = short_name(plan.value(f"{band}.name"))
            for row in connections(circuit_in(plan, stage, band)):
                if not row.ref.startswith(BAND_SWITCH):
                    continue
                own = row.ref[len(BAND_SWITCH):] in AT_BAND[band]
                if stage != "oscillator" and not own:
                    continue  # the other band's drawing has it, with what hangs there
                joins, to = (_without_switch(end) for end in row.ends[:2])
                more = "" if stage == "oscillator" else f" for {name}"
                rows.append((row.kind.removeprefix(POLE), row.value.removeprefix("on "),
                             f"{circuit_name(stage)}: {joins}", f"{to}{more}"))
    return sorted(rows, key=lambda row: int(row[0]))


def _without_switch(end: str) -> str:
    """The parts on a net but for the switch's other contacts."""
    kept = [part for part in end.split(", ") if not part.startswith(BAND_SWITCH)]
    return ", ".join(kept) or "the contacts beside it"

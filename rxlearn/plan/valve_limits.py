"""What each valve stands against what its stage gives it, and what a meter should show there."""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.circuits import HEPTODE, POWER_SUPPLY, ValveFigures
from rxlearn.compute.quantities import Unclear, parse, show
from rxlearn.compute.stage_voltages import ANODE_LOADS, stage_voltages
from rxlearn.compute.stages import CONVERTER_STAGES, ReceiverStage
from rxlearn.compute.supply_circuit import RECTIFIER_MARK
from rxlearn.data.valve_pins import PINS
from rxlearn.data.valves import Valve
from rxlearn.plan.circuits import circuit_in, circuit_name, stand_in, supply_voltage, valve_of
from rxlearn.plan.converter_stages import has_converter
from rxlearn.plan.document import Plan
from rxlearn.plan.stages import sections_used, stages_of, valve_in

ROOM = 0.02
"""A limit is exceeded beyond this share of it: makers' figures are rounded (a choice)."""

WITHIN = 0.2
"""So far may a reading lie from what is expected: valves differ by a third in their current, and
the cathode's resistor takes half of that back (common practice, no source)."""

SELF_BIASED = {"oscillator": ("anode load", 5.0, 15.0), "beat_oscillator": ("anode resistor", 1.0, 10.0),
               "crystal_oscillator": ("anode resistor", 1.0, 10.0)}
"""Stages whose grid makes its own bias, by the words of what feeds the anode, and how many volts
below the cathode the grid stands while they run, least and most (common practice, no source)."""

INJECTED = ("mixer", "converter")
"""Stages one grid of which an oscillator drives."""

DRIVEN = (-15.0, -1.0)
"""Where that grid stands while the oscillator runs, V (common practice, no source)."""


SWITCHED_IN = ", converter switched in"
"""What stands behind the name of a converter's stage: else it has no high tension."""

IN_THE_SUPPLY = ("each pin but those not connected carries the high tension, or alternating voltage as "
                 "high: only unplugged, discharged and measured")
"""Caution beside a rectifier valve's pins."""


@dataclass(frozen=True)
class StageReading:
    """One electrode of a ``stage``'s valve: the pin, ``least`` and ``most`` to chassis, V.

    ``pin`` is empty where the base is not in the workbook's table.
    """

    stage: str
    device: str
    electrode: str
    pin: str
    least: float
    most: float

    @property
    def expected(self) -> str:
        """The reading in words."""
        if self.least == self.most == 0.0:
            return "next to nothing"
        return f"{_volts(self.least)} to {_volts(self.most)}"


@dataclass(frozen=True)
class ValveBeyond:
    """A limit that the valve in ``bulb`` does not keep: ``what`` of it ``needs`` how much, in a ``sentence``."""

    bulb: str
    what: str
    needs: str
    sentence: str


def beyond_limits(plan: Plan) -> tuple[str, ...]:
    """A sentence for each limit of a valve that its stage exceeds; see :func:`valves_beyond`."""
    return tuple(found.sentence for found in valves_beyond(plan))


def valves_beyond(plan: Plan) -> tuple[ValveBeyond, ...]:
    """Each limit of a valve that its stage exceeds, at nominal mains.

    Makers' design-centre ratings allow for mains a tenth high by themselves.
    """
    found: list[ValveBeyond] = []
    for stage in stages_of(plan):
        valve = valve_in(stage.device)
        if stage.function in ANODE_LOADS and valve and not stand_in(plan, stage.function):
            found += _beyond(plan, stage, valve, valve_of(plan, stage.function))
    return tuple(dict.fromkeys(found))


def _beyond(plan: Plan, listed: ReceiverStage, valve: Valve, figures: ValveFigures) -> list[ValveBeyond]:
    stage = listed.function
    readings = stage_voltages(stage, figures, supply=supply_voltage(plan))
    at = {row.electrode: row.sound - readings.reading("cathode").sound for row in readings.readings}
    sections = sections_used(valve, figures.current)
    anode = readings.current_sound * figures.anode_current / figures.current / sections
    each = " in each half" if sections > 1 else ""
    rows = (
        ("anode", at["anode"], valve.most_anode_voltage, "V", "a lower high tension"),
        (f"anode{each}", at["anode"] * anode, valve.most_anode_power, "W",
         "less current, by a larger cathode resistor, or a lower high tension"),
        ("screen", at.get("screen", 0.0), valve.most_screen_voltage, "V", "a lower high tension"),
    )
    return [
        ValveBeyond(
            listed.bulb, what, show(value, unit, digits=3),
            f"Valve of the {circuit_name(stage)}, {valve.name}: its {what} has {show(value, unit, digits=3)}, "
            f"and its maker allows {show(limit, unit, digits=3)}. Choose {cure}, or another valve.")
        for what, value, limit, unit, cure in rows if limit and value > limit * (1 + ROOM)
    ]


def stage_readings(plan: Plan) -> tuple[StageReading, ...]:
    """What a meter of high resistance should show at each valve, all sound, in the list's order."""
    supply, converts = supply_voltage(plan), has_converter(plan)
    found: list[StageReading] = []
    for stage in stages_of(plan):
        if stage.function in CONVERTER_STAGES and not converts:
            continue  # it has no circuit, either
        if stage.function in ANODE_LOADS:
            sound = stage_voltages(stage.function, valve_of(plan, stage.function), supply=supply)
            volts = {row.electrode: _around(row.sound, supply) for row in sound.readings}
            if stage.function in INJECTED:
                del volts["grid"]
                volts |= _injected(valve_of(plan, stage.function))
        elif stage.function in SELF_BIASED:
            volts = _self_biased(plan, stage.function, supply)
        else:
            continue
        name = circuit_name(stage.function) + (SWITCHED_IN if stage.function in CONVERTER_STAGES else "")
        found += [StageReading(name, stage.device, electrode,
                               pin_of(stage.device, electrode), *ends) for electrode, ends in volts.items()]
    return tuple(found)


def _injected(valve: ValveFigures) -> dict[str, tuple[float, float]]:
    """A mixer's two grids: the oscillator drives one of them negative."""
    driven, quiet = ("grid 3", "grid 1") if valve.form == HEPTODE else ("grid 1", "grid 3")
    return {driven: DRIVEN, quiet: (0.0, 0.0)}


def _around(volts: float, supply: float) -> tuple[float, float]:
    """The ends between which a reading near ``volts`` is as it should be.

    Near the supply it is the drop that varies, and then the supply's own tenth.
    """
    if volts > supply / 2:
        drop = supply - volts
        return 0.9 * (supply - (1 + WITHIN) * drop), 1.1 * (supply - (1 - WITHIN) * drop)
    return (1 - WITHIN) * volts, (1 + WITHIN) * volts


def _self_biased(plan: Plan, stage: str, supply: float) -> dict[str, tuple[float, float]]:
    """An oscillator runs at about its listed current; its grid says that it runs."""
    words, *below = SELF_BIASED[stage]
    valve = valve_of(plan, stage)
    circuit = circuit_in(plan, stage, "lower_band")
    load = next(parse(part.value, "Ω") for part in circuit.parts if part.kind == words)
    volts = {"anode": _around(max(0.0, supply - load * valve.anode_current), supply)}
    if valve.screen:
        volts["screen"] = _around(valve.screen, supply)
    return volts | {"grid": (-below[1], -below[0]), "cathode": (0.0, 0.0)}


def pin_of(device: str, electrode: str) -> str:
    """The number of the pin for the circuit's ``electrode``; empty if the base is not in the table."""
    valve = valve_in(device)
    pins = PINS.get(valve.name.removesuffix(" triode"), ()) if valve else ()
    if valve and valve.name.endswith(" triode"):
        words = {"anode": "triode's anode", "grid": "triode's grid"}.get(electrode, electrode)
    else:
        words = {"screen": "grid 2"}.get(electrode, electrode)
    found = [str(n) for n, pin in enumerate(pins, start=1) if _is(pin, words, device)]
    return ", ".join(found)


def _is(pin: str, words: str, device: str) -> bool:
    """Whether a base's ``pin`` is the electrode meant, in the half of the bulb that ``device`` names."""
    if words == "grid 2":
        return pin in ("grid 2", "grids 2 and 4")
    if words == "grid" and pin == "grid 1":
        return True
    half = pin.rpartition(" ")[2]
    if half in ("a", "b") and "both" not in device and half != _half(device):
        return False
    return pin == words or pin.startswith((f"{words} a", f"{words} b"))


def _half(device: str) -> str:
    """``a`` or ``b`` as the device's name has it (V4a); ``a`` where it does not say."""
    first = device.split(" ")[0].lower()
    return first[-1] if first[-1:] in ("a", "b") else "a"


def pin_rows(plan: Plan) -> tuple[tuple[str, str, str], ...]:
    """For each bulb of the plan its name, its type and its pins in words, each bulb once."""
    rows: dict[str, tuple[str, str, str]] = {}
    for stage in stages_of(plan):
        valve = valve_in(stage.device)
        if (not (valve or stage.heater_current) or stage.function in ("lamp", POWER_SUPPLY)
                or stage.bulb in rows):
            continue
        name = valve.name.removesuffix(" triode") if valve else stage.device
        rows[stage.bulb] = (stage.bulb, name, _counted(PINS.get(name)))
    return (*rows.values(), *_rectifier_pins(plan))


def _rectifier_pins(plan: Plan) -> tuple[tuple[str, str, str], ...]:
    """The rectifier valve's row, by the mark that it has in the supply's drawing; none for silicon."""
    try:
        parts = circuit_in(plan, POWER_SUPPLY, "lower_band").parts
    except Unclear:
        return ()  # the supply's own section says why there is none
    return tuple((part.ref, part.value, f"{_counted(PINS.get(part.value))}. CAUTION: {IN_THE_SUPPLY}")
                 for part in parts if part.ref == RECTIFIER_MARK)


def _counted(pins: tuple[str, ...] | None) -> str:
    """A base's ``pins`` in words, each with its number."""
    if not pins:
        return "not in the workbook's table: take them from the maker's sheet"
    return "; ".join(f"{n} {what}" for n, what in enumerate(pins, start=1))


def _volts(value: float) -> str:
    return show(value, "V", digits=2 if abs(value) < 100 else 3, prefix="")

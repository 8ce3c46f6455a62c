"""What a receiver plan holds: one row for each field.

A field added here is at once in the file format, in validation, in the
demo plan and in every list that a lesson makes of the plan.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from rxlearn.compute.printed_dial import RADIUS, SENSES
from rxlearn.compute.supply_parts import (
    BRIDGE,
    CAPACITOR_INPUT,
    CHOKE_INPUT,
    FULL_WAVE,
    HALF_WAVE,
)
from rxlearn.compute.variable_capacitor import PLATE_LAWS
from rxlearn.data.rectifier_valves import RECTIFIER_VALVES
from rxlearn.plan.coil_fields import COIL_FIELDS
from rxlearn.plan.crystal_filter_fields import CRYSTAL_FILTER_FIELDS
from rxlearn.plan.field import Field, choice, count, quantity, table, text
from rxlearn.plan.measured_fields import MEASURED_ROWS
from rxlearn.plan.parts_fields import PARTS_FIELDS
from rxlearn.plan.stage_fields import STAGE_ROWS
from rxlearn.plan.third_band_fields import THIRD_BAND_FIELDS
from rxlearn.plan.tolerance_fields import TOLERANCE_FIELDS

# Article 5 of the ITU Radio Regulations (nos. 5.2 to 5.9) draws the three regions.
_REGIONS = {
    1: "Region 1: Europe, Africa, the Middle East and northern Asia",
    2: "Region 2: the Americas and Greenland",
    3: "Region 3: the rest of Asia, and Oceania",
}
_SIDES = {"high": "high side", "low": "low side"}
_COMPENSATORS = {
    "P2G": "P2G (N150)", "S2H": "S2H (N330)", "T2H": "T2H (N470)", "U2J": "U2J (N750)",
    "P3K": "P3K (N1500)",
}
_CONNECTIONS = {
    FULL_WAVE: "full wave, centre tap", BRIDGE: "bridge, four diodes",
    HALF_WAVE: "half wave, one diode",
}
_INPUTS = {CAPACITOR_INPUT: "capacitor first", CHOKE_INPUT: "choke first, no capacitor before it"}
_RECTIFIERS = {"silicon": "silicon"} | {
    name: f"valve, {name}" for name in RECTIFIER_VALVES
}
_MAINS_FREQUENCIES = {50: "50 Hz", 60: "60 Hz"}
_CHECKED = {"open": "not yet", "passed": "passed"}
_BAND = (100e3, 60e6)
_HIGH_VOLTAGE = (10.0, 1000.0)

_ROWS = (
    text("receiver.name", "Receiver name", "Club-bench two-band receiver", section="receiver",
          why="A name on the sheet tells your receiver from the next one on the bench."),
    choice("region", "ITU region", _REGIONS, 2, section="receiver",
            why="Band edges differ from region to region; your licence has the last word."),
    text("lower_band.name", "Lower band, name", "80 m", section="lower band",
          why="The lower of the two bands that share one oscillator range."),
    quantity("lower_band.low", "Lower band, low edge", "Hz", *_BAND, 3.5e6, section="lower band",
              why="The lowest frequency that the lower band must reach."),
    quantity("lower_band.high", "Lower band, high edge", "Hz", *_BAND, 4.0e6,
              section="lower band", why="The highest frequency that the lower band must reach."),
    choice("lower_band.injection", "Lower band, injection", _SIDES, "high",
            section="lower band",
            why="The oscillator's side decides where the image lies and which sideband comes out inverted."),
    text("upper_band.name", "Upper band, name", "30 m", section="upper band",
          why="The upper of the two bands that share one oscillator range."),
    quantity("upper_band.low", "Upper band, low edge", "Hz", *_BAND, 10.1e6,
              section="upper band", why="The lowest frequency that the upper band must reach."),
    quantity("upper_band.high", "Upper band, high edge", "Hz", *_BAND, 10.15e6,
              section="upper band", why="The highest frequency that the upper band must reach."),
    choice("upper_band.injection", "Upper band, injection", _SIDES, "low", section="upper band",
            why="With the other side than on the lower band, one oscillator range serves both."),
    quantity("intermediate_frequency", "Intermediate frequency", "Hz", 50e3, 30e6, 3.2768e6,
              section="intermediate frequency",
              why="Every signal is brought here to be filtered and amplified."),
    table("crystals.drawer", "Crystals in your drawer",
          (quantity("frequency", "Frequency", "Hz", 100e3, 60e6),
           text("note", "Note", optional=True)),
          section="intermediate frequency",
          why="A crystal that you have already costs nothing and is at hand today."),
    quantity("oscillator.inductance", "Oscillator coil", "H", 10e-9, 10e-3, 1.83e-6,
              demo_status="computed", section="oscillator",
              why="With the capacitance it sets where the oscillator lies."),
    quantity("oscillator.capacitance_swing", "Tuning capacitor, swing", "F", 0.5e-12, 2e-9,
              40e-12, section="oscillator",
              why="How much the capacitance changes from one end of the dial to the other."),
    quantity("recentring.capacitance", "Recentring capacitor", "F", 0.0, 1e-9, 0.0,
              section="oscillator",
              why="Switched across the tank it moves one band to the middle of the dial; "
                  "zero is none fitted."),
    quantity("oscillator.stray_capacitance", "Oscillator, strays", "F", 0.0, 200e-12, 8e-12,
              section="oscillator",
              why="Wiring, sockets, switch and the coil itself put this across the tank."),
    quantity("oscillator.valve_capacitance", "Oscillator, valve's share", "F", 0.0, 200e-12,
              6e-12, section="oscillator",
              why="What the valve puts across the tank, as far as it is tapped down."),
    quantity("tuning_capacitor.minimum", "Tuning capacitor, minimum", "F", 0.5e-12, 500e-12,
              10e-12, section="tuning capacitor",
              why="What it still has with its plates fully open."),
    quantity("tuning_capacitor.maximum", "Tuning capacitor, maximum", "F", 1e-12, 2e-9, 50e-12,
              section="tuning capacitor",
              why="What it has with its plates fully meshed."),
    choice("tuning_capacitor.law", "Tuning capacitor, plate law", PLATE_LAWS, "capacitance",
            section="tuning capacitor",
            why="How its plates are cut decides what changes evenly as it turns."),
    quantity("band_spread.across", "Band spread, capacitor across the variable", "F", 0.0, 1e-9,
              0.0, section="band spread",
              why="It evens the dial out; zero is none fitted."),
    quantity("band_spread.series", "Band spread, series capacitor", "F", 0.0, 100e-9, 0.0,
              section="band spread",
              why="It leaves only a part of the swing, so that the narrower band fills the dial; "
                  "zero is none fitted."),
    quantity("band_spread.parallel", "Band spread, parallel capacitor", "F", 0.0, 10e-9, 0.0,
              section="band spread",
              why="Fixed capacitor and trimmer across the tank put the dial where the band is; "
                  "zero is none fitted."),
    quantity("dial.degrees", "Dial, rotation", "°", 30.0, 360.0, 180.0, section="dial",
              why="How far the capacitor's shaft turns from end to end."),
    quantity("dial.reduction", "Dial, reduction", "", 1.0, 200.0, 8.0, section="dial",
              why="Turns of the knob to one turn of the shaft."),
    count("dial.divisions", "Dial, divisions per turn", 1, 1000, 100, section="dial",
           why="The marks around the knob, by which a setting is read."),
    quantity("dial.scale_radius", "Dial, radius of the scale", "m", RADIUS.low, RADIUS.high, 70e-3,
             section="dial", why="From the shaft's centre to the outer line of the printed scale."),
    choice("dial.sense", "Dial, pointer as the frequency rises", SENSES, "clockwise",
           section="dial",
           why="Most variable capacitors open as the shaft turns clockwise; look at yours."),
    quantity("drift.coil", "Coil, growth per °C", "ppm", 0.0, 500.0, 50.0, section="drift",
              why="How much the inductance grows with each degree."),
    quantity("drift.capacitors", "Capacitors, growth per °C", "ppm", 0.0, 500.0, 30.0,
              section="drift",
              why="The same for the tank's capacitors, all taken together."),
    choice("drift.compensator", "Compensating capacitor, kind", _COMPENSATORS, "U2J",
            section="drift", why="A capacitor that shrinks as it warms makes up for a coil that grows."),
    quantity("drift.compensating_capacitance", "Compensating capacitor", "F", 0.0, 10e-9, 0.0,
              section="drift",
              why="So much of the tank's capacitance is of that kind; zero is none fitted."),
    *TOLERANCE_FIELDS,
    quantity("preselector.loaded_q", "Preselector, loaded Q", "", 2.0, 1000.0, 50.0,
              section="preselector",
              why="How sharply each tuned circuit before the mixer picks the wanted signal."),
    count("preselector.circuits", "Preselector, tuned circuits", 1, 2, 1, section="preselector",
           why="A second circuit rejects the image twice as many decibels, and must be tuned too."),
    *COIL_FIELDS,
    *CRYSTAL_FILTER_FIELDS,
    quantity("beat_oscillator.offset", "Beat oscillator, offset", "Hz", 100.0, 10e3, 1.5e3,
              section="beat oscillator",
              why="How far from the middle of the filter the missing carrier is put back."),
    *THIRD_BAND_FIELDS,
    choice("supply.mains_frequency", "Mains frequency", _MAINS_FREQUENCIES, 60,
            section="power supply", why="It is your country's; the ripple is a multiple of it."),
    quantity("supply.mains_voltage", "Mains voltage, r.m.s.", "V", 100.0, 250.0, 120.0,
              section="power supply", high_voltage=True,
              why="Your country's nominal value; it may be a tenth higher."),
    quantity("supply.winding_voltage", "High-tension winding, r.m.s. each half", "V",
              *_HIGH_VOLTAGE, 230.0, section="power supply", high_voltage=True,
              why="At the rated load; with no load it gives more."),
    quantity("supply.winding_resistance", "High-tension winding, resistance each half", "Ω",
              1.0, 5000.0, 150.0, section="power supply",
              why="Measured, with the primary's share added; it limits the surge."),
    quantity("supply.winding_rating", "High-tension winding, rated current", "A", 1e-3, 5.0,
              55e-3, section="power supply",
              why="The current, r.m.s., at which it gives that voltage and that it may carry."),
    choice("supply.connection", "Rectifier, connection", _CONNECTIONS, FULL_WAVE,
            section="power supply", why="It sets the ripple's frequency and the inverse voltage."),
    choice("supply.rectifier", "Rectifier, kind", _RECTIFIERS, "silicon", section="power supply",
            why="Silicon conducts at once; a valve warms up with the rest of the set."),
    quantity("supply.series_resistance", "Resistor in each rectifier lead", "Ω", 0.0, 5000.0,
              0.0, section="power supply",
              why="It limits surge and peaks, and a valve may need it; zero is none fitted."),
    quantity("supply.inverse_rating", "Rectifier, peak inverse rating", "V", 50.0, 5000.0, 1000.0,
              section="power supply", high_voltage=True,
              why="What each rectifier must hold back, mains high and no load."),
    # A plan from before always had the capacitor first, and a field that a file lacks gets this.
    choice("supply.input", "Filter, what comes first", _INPUTS, CAPACITOR_INPUT,
           section="power supply",
           why="A choke first gives less voltage and steadier; it needs full wave and a bleeder."),
    quantity("supply.first_capacitor", "Capacitor before the choke", "F", 0.1e-6, 1e-3, 22e-6,
              section="power supply",
              why="Larger: less ripple, more peak current; a valve rectifier sets its limit."),
    quantity("supply.first_rating", "Capacitor before the choke, rating", "V", *_HIGH_VOLTAGE,
              450.0, section="power supply", high_voltage=True,
              why="It must stand the peak at high mains with no load."),
    quantity("supply.choke", "Choke", "H", 0.1, 100.0, 3.0, section="power supply",
              why="It passes direct current and holds the ripple back."),
    quantity("supply.choke_resistance", "Choke, resistance", "Ω", 1.0, 5000.0, 120.0,
              section="power supply", why="It costs voltage and makes heat."),
    quantity("supply.choke_rating", "Choke, rated current", "A", 1e-3, 5.0, 80e-3,
              section="power supply",
              why="With more its iron saturates, and its inductance falls."),
    quantity("supply.second_capacitor", "Capacitor after the choke", "F", 0.1e-6, 1e-3, 47e-6,
              section="power supply", why="With the choke it decides what ripple is left."),
    quantity("supply.second_rating", "Capacitor after the choke, rating", "V", *_HIGH_VOLTAGE,
              450.0, section="power supply", high_voltage=True,
              why="With no load it stands at the same voltage as the first."),
    quantity("supply.bleeder", "Bleeder", "Ω", 100.0, 10e6, 47e3, section="power supply",
              why="It empties the capacitors after switching off, unless it has failed open."),
    quantity("supply.bleeder_rating", "Bleeder, power rating", "W", 0.1, 200.0, 3.0,
              section="power supply",
              why="Twice what it takes at high mains, or it will be the part that fails."),
    quantity("supply.load", "Load, bleeder left out", "A", 0.0, 1.0, 49e-3,
              section="power supply", why="What all valves together draw."),
    quantity("supply.heater_current", "Heaters, all together", "A", 0.0, 20.0, 1.8,
              section="power supply", why="The heater winding is rated for so much and no more."),
    quantity("supply.heater_rating", "Heater winding, rating", "A", 0.1, 20.0, 2.0,
              section="power supply", why="It stands on the transformer."),
    quantity("supply.fuse", "Line fuse", "A", 20e-3, 10.0, 0.5, demo_status="computed",
              section="power supply",
              why="It guards the transformer and the house, not you."),
    quantity("output.anode_load", "Output valve, load wanted", "Ω", 100.0, 100e3, 5000.0,
              section="output stage", why="The published data of the valve name it."),
    quantity("output.loudspeaker", "Loudspeaker, impedance", "Ω", 1.0, 2000.0, 8.0,
              section="output stage", why="It stands on the loudspeaker, and holds near 400 Hz."),
    quantity("output.turns_ratio", "Output transformer, turns ratio", "", 0.5, 200.0, 25.0,
              demo_status="computed", section="output stage",
              why="It makes the loudspeaker look like the load that the valve wants."),
    *STAGE_ROWS,
    *PARTS_FIELDS,
    *MEASURED_ROWS,
    *(
        choice(f"check.{key}", label, _CHECKED, "open", section="before first power", why=why)
        for key, label, why in (
            ("cord", "Check: line cord, earth and fuse",
             "Done on the unplugged set by somebody whom your local code allows."),
            ("insulation", "Check: nothing from line to chassis",
             "Both pins of the plug are apart from the chassis, measured with the switch closed."),
            ("polarity", "Check: polarity of rectifiers and capacitors",
             "One the wrong way round bursts."),
            ("ratings", "Check: every rating above what it meets",
             "This lesson's figure and your plan must say so."),
            ("bleeder", "Check: bleeder measured across each capacitor",
             "It is the only thing that empties them when you forget."),
            ("no_short", "Check: no short from high tension to chassis",
             "What is shorted shows now, and not with smoke."),
            ("discharge", "Check: discharge lead and helper at hand",
             "Both are needed from the first second on."),
        )
    ),
)

FIELDS: Mapping[str, Field] = MappingProxyType({row.key: row for row in _ROWS})
"""Every field of the plan by its key, in the order in which the plan is shown and written."""

SECTIONS: tuple[str, ...] = tuple(dict.fromkeys(row.section for row in _ROWS))
"""The sections of the plan in order."""


def field_of(key: str) -> Field:
    """Return the field with this ``key``; KeyError with a sentence if there is none."""
    try:
        return FIELDS[key]
    except (KeyError, TypeError):
        raise KeyError(f"The plan has no field “{str(key)[:60]}”.") from None

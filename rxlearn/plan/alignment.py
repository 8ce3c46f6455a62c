"""First power and alignment, in order, with what the plan expects to be read at each step.

The lesson at the bench and the printed sheet both take their steps from here.
The order is common practice, no source: what later steps build on comes first.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.beat import UPPER, beat_oscillator_frequency
from rxlearn.compute.preselector import bandwidth, preselect
from rxlearn.compute.quantities import Unclear, show
from rxlearn.data.cautions import LIMIT
from rxlearn.plan.band_spread import OTHER, band_of, built, narrow_band
from rxlearn.plan.circuits import supply_voltage
from rxlearn.plan.converter_stages import converter_numbers, has_converter
from rxlearn.plan.document import Plan
from rxlearn.plan.power_supply import supply_of
from rxlearn.plan.power_supply_rows import PlannedSupply
from rxlearn.plan.third_band import converter_of

WITHIN = 0.1
"""How far a voltage may lie from what the plan expects: a tenth (common practice, no source)."""


@dataclass(frozen=True)
class BenchStep:
    """One step: what to do, what to ``expect`` on the meter or counter, whether to ``hold``."""

    text: str
    expect: str = ""
    hold: bool = False


def first_power_steps(plan: Plan) -> tuple[BenchStep, ...]:
    """Steps from the unplugged set to a quarter of an hour under load.

    Raises :class:`Unclear` where the plan's supply cannot work.
    """
    supply = PlannedSupply(plan)
    idle = show(supply.worst.unloaded_voltage, "V", digits=3)
    loaded = supply.loaded.output_voltage
    low, high = (show((1 + sign * WITHIN) * loaded, "V", digits=3) for sign in (-1, 1))
    rating = show(min(section.rated_voltage for section in supply_of(plan).sections), "V")
    bleeder = show(plan.value("supply.bleeder"), "Ω")
    time = supply.off.time_to_threshold
    decay = f"{show(time, 's', digits=2)} or less" if time < 1e4 else "no bleeder: never"
    rows = (
        ("Plug out, valves out. Compare each part with the parts list: value, rating, polarity.",
         "as listed", False),
        ("Discharge each capacitor through the resistor lead, then measure it. New ones too.",
         f"below {LIMIT.volts:g} V, or stop", True),
        ("Plug out: resistance from either line pin to chassis, switch off and on.",
         "open", True),
        ("Plug out: resistance from earth pin to chassis.", "next to nothing", True),
        ("Plug out: resistance from high tension to chassis; it rises as capacitors charge.",
         f"about {bleeder}, and it stays", True),
        (f"Clip the meter on, range above {idle}; guard on; everybody stands back. Through the "
         "current limit, valves out: plug in.", "lamp flashes, then dark", True),
        ("Plug out. Time the fall of high tension to the named threshold; measure each "
         "capacitor.", decay, True),
        ("Plug out, discharged: clip the meter to the heater winding, put valves in. Plug in, "
         "read, plug out.", "6.3 V, within a tenth", False),
        ("Plug out, valves out, meter clipped to high tension. Without the limit: plug in, read, "
         "plug out, time the fall again.", f"below {rating}; up to {idle} with mains high", True),
        ("Plug out, valves in, meter clipped to high tension. Plug in and watch it fall as they "
         "warm up.", f"{low} to {high}", True),
        ("A quarter of an hour, guarded and watched. Plug out, wait, discharge, measure each "
         "capacitor, clip the shorting lead on; then feel the transformer.", "no smell, no smoke",
         False),
    )
    return tuple(BenchStep(*row) for row in rows)


def alignment_steps(plan: Plan) -> tuple[BenchStep, ...]:
    """Steps from the beat oscillator to the preselector.

    Raises :class:`Unclear` with the reasons where the plan cannot work.
    """
    narrow = narrow_band(plan)
    return (
        *_beat_steps(plan), *_oscillator_steps(plan, OTHER[narrow], first=True),
        *_oscillator_steps(plan, narrow, first=False),
        *_preselector_steps(plan, "lower_band"), *_preselector_steps(plan, "upper_band"),
        *_converter_steps(plan),
        BenchStep("Write down at least five places of the dial with their frequencies on each "
                  "band, and bring them to the lesson “Measured at the bench”.", "your own scale"),
    )


def _beat_steps(plan: Plan) -> tuple[BenchStep, ...]:
    steps = []
    for band in OTHER:
        found = band_of(plan, band)
        frequency = beat_oscillator_frequency(
            found.intermediate_frequency, UPPER, found.sideband_inverted,
            plan.value("beat_oscillator.offset"),
        )
        steps.append(BenchStep(
            f"Counter loosely coupled to the beat oscillator; sideband switch for an upper "
            f"sideband on {plan.value(f'{band}.name')}: set the beat oscillator.",
            show(frequency, "Hz", digits=7),
        ))
    return tuple(steps)


def _oscillator_steps(plan: Plan, band: str, *, first: bool) -> tuple[BenchStep, ...]:
    network = built(plan, band)
    degrees = plan.value("dial.degrees")
    meshed, opened = (float(network.frequency_at(angle)) for angle in (0.0, degrees))
    name = plan.value(f"{band}.name")
    if first:
        how_low, how_high = "turn the coil's core", "turn the trimmer across the coil"
    else:
        how_low = "turn this band's parallel trimmer; leave the core alone"
        how_high = ("check only: a span too wide or too narrow wants another series capacitor")
    return (
        BenchStep(f"Band switch at {name}, capacitor fully meshed, counter loosely coupled to the "
                  f"oscillator: {how_low}.", show(meshed, "Hz", digits=7)),
        BenchStep(f"{name}, capacitor fully open: {how_high}. Then back to the step before, until "
                  "both hold.", show(opened, "Hz", digits=7), True),
    )


def _preselector_steps(plan: Plan, band: str) -> tuple[BenchStep, ...]:
    found = band_of(plan, band)
    name = plan.value(f"{band}.name")
    q, circuits = plan.value("preselector.loaded_q"), plan.value("preselector.circuits")
    middle = (found.band_low * found.band_high) ** 0.5
    wide = show(bandwidth(middle, q, circuits), "Hz", digits=2)
    image = preselect(middle, found.intermediate_frequency, found.injection, q, circuits)
    return (
        BenchStep(f"{name}: peak the preselector's coil near {show(found.band_low, 'Hz')} and its "
                  f"trimmer near {show(found.band_high, 'Hz')}, by ear on noise or a weak signal; "
                  "repeat.", f"a peak about {wide} wide"),
        BenchStep(f"{name}: tune to {show(middle, 'Hz', digits=5)} and put a strong signal on "
                  f"{show(image.image_frequency, 'Hz', digits=6)}. This is the image.",
                  f"about {image.image_rejection_db:.0f} dB weaker than on the band"),
    )


def _converter_steps(plan: Plan) -> tuple[BenchStep, ...]:
    """The third band, behind an aligned main receiver; none where no converter is to be built."""
    if not has_converter(plan):
        return ()
    found = converter_of(plan)
    converted, name = found.converted, plan.value("third_band.name")
    main = plan.value(f"{plan.value('converter.main_band')}.name")
    low, high = (show(f, "Hz", digits=7) for f in (converted.covered_low, converted.covered_high))
    readings = [show(abs(f - converted.crystal), "Hz", digits=7)
                for f in (converted.covered_low, converted.covered_high)]
    numbers = converter_numbers(plan, supply_voltage(plan))
    middle = show(numbers.signal, "Hz", digits=7)
    wide = show(bandwidth(numbers.signal, found.loaded_q, found.circuits), "Hz", digits=2)
    image = show(abs(2 * converted.crystal - numbers.signal), "Hz", digits=7)
    reading = show(abs(numbers.signal - converted.crystal), "Hz", digits=7)
    return (
        BenchStep(f"Converter switch in, band switch at {main}, counter loosely coupled to the "
                  "crystal oscillator.", show(converted.crystal, "Hz", digits=8), True),
        BenchStep(f"{name}: tune the main dial to {reading} and feed a weak signal on {middle} to the "
                  "aerial; turn the trimmer at the converter's mixer for the most, then those of its "
                  "input.",
                  f"a peak; the input's is about {wide} wide"),
        BenchStep(f"{name}: put the signal on {low}, then on {high}, and tune to each.",
                  f"{readings[0]} and {readings[1]} on the main dial"),
        BenchStep(f"{name}, main dial back in the middle: put a strong signal on {image}. This is "
                  "the converter's image.",
                  f"about {found.image.rejection_db:.0f} dB weaker or more"),
        BenchStep(f"Converter switch out: {main} is heard again. Plug out, discharged, meter clipped to "
                  "the converter's high tension behind its switch; plug in, read, plug out.",
                  "nothing, while its heaters glow"),
    )


def can_be_aligned(plan: Plan) -> str:
    """An empty text, or why the plan cannot be aligned."""
    try:
        alignment_steps(plan)
    except Unclear as reason:
        return str(reason)
    return ""

"""First power and alignment, in order, with what the plan expects to be read at each step.

The lesson at the bench and the printed sheet both take their steps from here.
The order is common practice, no source: what later steps build on comes first.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.band_spread import Network
from rxlearn.compute.beat import ABOVE, BELOW, LOWER, UPPER, beat_side
from rxlearn.compute.coil_ways import AIR
from rxlearn.compute.preselector import bandwidth, preselect
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.tank import capacitance_for, resonant_frequency
from rxlearn.data.cautions import LIMIT
from rxlearn.plan.band_spread import OTHER, SWITCHED_WAY, band_of, built, narrow_band, way_of
from rxlearn.plan.circuits import supply_voltage
from rxlearn.plan.coils import ADJUSTED, TRIMMED, preselector_variable, wanted_of
from rxlearn.plan.converter_stages import converter_numbers, has_converter
from rxlearn.plan.document import Plan
from rxlearn.plan.filter_coils import WINDINGS, transformed_ends
from rxlearn.plan.measured import coil_says
from rxlearn.plan.power_supply import supply_of
from rxlearn.plan.power_supply_rows import PlannedSupply
from rxlearn.plan.stages import filter_in, passed_middle, stages_of
from rxlearn.plan.third_band import converter_of

WITHIN = 0.1
"""How far a voltage may lie from what the plan expects: a tenth (common practice, no source)."""


REST, PITCH = 500.0, 50.0
"""How near the beat oscillator is set by its coil, and to its marks, Hz (common practice)."""

EDGE = 0.1
"""How far the filter's edges may lie off, as a share of its width (common practice, no source)."""

SPAN, BOUGHT = 0.01, 0.1
"""How near the dial's ends are set, as a share of its span, and how near what a part of 5 % leaves
them: the span goes with about the square of a series capacitor (choices, no source)."""

EMPTY = "Plug out; wait, discharge and measure each capacitor; then"
"""How each step begins that follows one under power and asks for hands inside."""

LAMP = (25.0, 60.0)
"""What the lamp of a current limit is made for, least and most, W (common practice, no source)."""

STRAYS, LEAST = 15e-12, 0.05
"""What wiring and grid lay across the preselector's coil, F, and what its variable has fully open,
as a share of its most; both are guesses (common practice, no source)."""

PLACES = 5
"""Places of the dial that are read on each band."""


@dataclass(frozen=True)
class BenchStep:
    """One step: what to do, what to ``expect`` on the meter or counter, whether to ``hold``.

    ``near`` says how near is near enough (``± 5 kHz``, or empty) and ``why`` in a sentence.
    """

    text: str
    expect: str = ""
    hold: bool = False
    near: str = ""
    why: str = ""

    @property
    def told(self) -> str:
        """What to do, and why so near."""
        return f"{self.text} {self.why}".strip()

    @property
    def wanted(self) -> str:
        """What to expect, and how near to it."""
        return f"{self.expect} {self.near}".strip()


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
         f"current limit ({_limit(plan)}), valves out: plug in.", "lamp flashes, then dark", True),
        (f"Plug out. Time the fall of high tension to {LIMIT.volts:g} V; measure each capacitor.",
         decay, True),
        (f"{EMPTY} put the valves in; guard on. Through the limit: plug in, look, plug out.",
         "lamp dimmer than alone on the mains, heaters dull: the lamp keeps part of the mains", True),
        (f"{EMPTY} take the valves out, clip the meter to high tension; guard on. Without the limit: "
         "plug in, read, plug out, time the fall again.",
         f"below {rating}; up to {idle} with mains high", True),
        (f"{EMPTY} put the valves in, clip the meter to the heater winding; guard on. Plug in, read, "
         "plug out.", "6.3 V, within a tenth", True),
        (f"{EMPTY} clip the meter to high tension, valves stay in; guard on. Plug in and watch it "
         "fall as they warm up.", f"{low} to {high}", True),
        ("A quarter of an hour, guarded and watched. Plug out, wait, discharge, measure each "
         "capacitor, clip the shorting lead on; then feel the transformer.", "no smell, no smoke",
         False),
    )
    return tuple(BenchStep(*row) for row in rows)


def _limit(plan: Plan) -> str:
    """The lamp in series, and what it lets through where the set is a short."""
    mains = plan.value("supply.mains_voltage")
    least, most = (show(watts / mains, "A", digits=2) for watts in LAMP)
    return (f"an incandescent lamp for {show(mains, 'V')}, {LAMP[0]:g} W to {LAMP[1]:g} W, in series: "
            f"{least} to {most} at the most")


def alignment_steps(plan: Plan) -> tuple[BenchStep, ...]:
    """Steps from the stages' voltages to the dial: what later steps build on comes first.

    Raises :class:`Unclear` with the reasons where the plan cannot work.
    """
    narrow = narrow_band(plan)
    return (
        BenchStep("Read every voltage of the printed sheet's table “Voltages at the valves”, one "
                  "stage at a time: clip the meter on while the plug is out and the capacitors are "
                  "discharged, then plug in, hands off, read, plug out.",
                  "all inside their ranges", True),
        *_beat_steps(plan), *_intermediate_steps(plan),
        *_oscillator_steps(plan, OTHER[narrow], first=True),
        *_oscillator_steps(plan, narrow, first=False),
        *_preselector_steps(plan, "lower_band"), *_preselector_steps(plan, "upper_band"),
        *_converter_steps(plan),
        *_dial_steps(plan, "lower_band"), *_dial_steps(plan, "upper_band"),
    )


def _has(plan: Plan, function: str) -> bool:
    return any(stage.function == function for stage in stages_of(plan))


def turned(kind: str, what: str) -> str:
    """How a coil of this ``kind`` is brought to its inductance: by what it has to turn or move.

    A core is turned with a tool through the guard; turns are moved by fingers, inside.
    """
    if kind in ADJUSTED:
        return f"turn the core of {what}"
    if kind == AIR:
        return (f"plug out, discharged: spread or squeeze the end turns of {what}, and glue them "
                "when all is done")
    return (f"plug out, discharged: spread or squeeze the turns on the ring of {what}; if that is "
            "not enough, take one off or put one on")


def _beat_steps(plan: Plan) -> tuple[BenchStep, ...]:
    """One trimmer on the panel, and two marks at its knob: there is no switch to forget."""
    if not _has(plan, "beat_oscillator"):
        return ()
    middle, offset = passed_middle(plan), plan.value("beat_oscillator.offset")
    how = turned(plan.value("beat_coil.kind"), "the beat oscillator's coil")
    steps = [BenchStep(
        f"Counter loosely coupled to the beat oscillator, pitch trimmer half-way: {how}.",
        show(middle, "Hz", digits=7), near=_within(REST),
        why="The trimmer makes up the rest.")]
    for mark, side, sign in (("+", ABOVE, 1), ("−", BELOW, -1)):
        names = ", ".join(
            f"{sideband} sideband on {plan.value(f'{band}.name')}"
            for band in OTHER for sideband in (UPPER, LOWER)
            if beat_side(sideband, band_of(plan, band).sideband_inverted) == side)
        steps.append(BenchStep(
            f"Turn the pitch trimmer until the counter shows it, and mark the knob's place “{mark}”: "
            f"{names}.", show(middle + sign * offset, "Hz", digits=7),
            near=_within(PITCH), why="A voice is natural as near as that."))
    return tuple(steps)


def _intermediate_steps(plan: Plan) -> tuple[BenchStep, ...]:
    """The transformer's circuits through the filter, then what the filter passes."""
    middle = show(passed_middle(plan), "Hz", digits=7)
    steps = []
    if _has(plan, "intermediate_amplifier"):
        kind = plan.value("transformer_coil.kind")
        how = ("turn the core of each of the transformer's coils" if kind in ADJUSTED
               else "turn the trimmer across each of the transformer's coils")
        steps.append(BenchStep(
            f"Meter for alternating voltage across the loudspeaker, knob at “+”, a weak steady signal "
            f"on {middle} at the mixer's signal grid, heard as a tone: {how} for the most, one after "
            "the other, and all of them once more.", "a peak at each, at neither end of its travel",
            why="They pull each other: go on until once more brings less than a tenth."))
    found, ends = filter_in(plan), transformed_ends(plan)
    if ends:
        windings = " and then ".join(WINDINGS[end][0] for end in ends)
        steps.append(BenchStep(
            f"The same signal and meter: turn the trimmer across {windings} of the crystal filter's "
            f"transformer{'s' if len(ends) > 1 else ''} for the most, and once more.",
            "a peak, broad, at neither end of its travel",
            why="At its end it wants another capacitor beside it."))
    if found is not None:
        low, high = (show(edges[1], "Hz", digits=7) for edges in (
            found.measures.low, found.measures.high))
        width = found.measures.high[1] - found.measures.low[1]
        steps.append(BenchStep(
            "Move that signal slowly, its strength kept, until the reading has halved: downwards with "
            "the knob at “+”, from the middle upwards with it at “−”, so that either tone stays high "
            "enough to be heard.", f"{low} and {high}",
            near=_within(EDGE * width), why="Capacitors are 5 % parts; set both marks anew if the middle "
                                            "has moved."))
    return tuple(steps)


def _within(hertz: float) -> str:
    return f"± {show(hertz, 'Hz', digits=2)}"


def _oscillator_steps(plan: Plan, band: str, *, first: bool) -> tuple[BenchStep, ...]:
    network = built(plan, band)
    degrees = plan.value("dial.degrees")
    meshed, opened = (float(network.frequency_at(angle)) for angle in (0.0, degrees))
    span, name = abs(opened - meshed), plan.value(f"{band}.name")
    drawn = "The scale is drawn from your own readings"
    near, near_high = _within(SPAN * span), _within(BOUGHT * span)
    if first:
        how_low = turned(plan.value("oscillator_coil.kind"), "the oscillator's coil")
        how_high = "turn this band's parallel trimmer"
        near_high = near
        why, why_high = (f"{drawn}; rather {way}, so that the band's edge stays on it."
                         for way in ("lower", "higher"))
    elif way_of(plan) == SWITCHED_WAY:
        how_low = ("check only, and leave coil and trimmer alone: too far off wants another "
                   "recentring capacitor")
        how_high = "check only, as before"
        near = near_high
        why = why_high = "The recentring capacitor is a 5 % part."
    else:
        return _narrow_steps(plan, band)
    # Coil and trimmer do nearly the same here: each round leaves most of the error standing.
    rise = show(rise_for_one_per_cent(network), "Hz", digits=2)
    again = (" If the meshed end is off then, do not go back and forth: each turn undoes most of the "
             "other. With the open end right, read the meshed end too; the span is the difference. For "
             f"each {show(span / 100, 'Hz', digits=2)} (1 %) that it is above {show(span, 'Hz', digits=4)}: by "
             f"the coil bring the meshed end up by {rise}, then by the trimmer to its own frequency; "
             "if it is below, down by as much. Then check both ends once. The lesson “Measured at the "
             "bench” says it from five places." if first else "")
    measured = coil_says(plan) if first else ""
    return (
        BenchStep(f"Band switch at {name}, capacitor fully meshed, counter loosely coupled to the "
                  f"oscillator: {how_low}. {measured}".rstrip(), show(meshed, "Hz", digits=7), near=near, why=why),
        BenchStep(f"{name}, capacitor fully open: {how_high}.{again}", show(opened, "Hz", digits=7),
                  True, near=near_high, why=why_high),
    )


def _narrow_steps(plan: Plan, band: str) -> tuple[BenchStep, ...]:
    """The narrower band with capacitors of its own: its span is what they make it, and has to do."""
    found, name = band_of(plan, band), plan.value(f"{band}.name")
    low, high = found.oscillator_low, found.oscillator_high
    span, edges = show(high - low, "Hz", digits=4), [show(f, "Hz", digits=7) for f in (low, high)]
    network = built(plan, band)
    meshed = float(network.frequency_at(0.0))
    more = "larger series capacitor" if network.series else "variable with more swing"
    return (
        BenchStep(f"Band switch at {name}, capacitor fully meshed, counter loosely coupled to the "
                  "oscillator: turn this band's parallel trimmer; leave the coil alone.",
                  show(meshed, "Hz", digits=7), near=_within(BOUGHT / 2 * (high - low)),
                  why="The next step sets it finally."),
        BenchStep(f"{name}, capacitor fully open: read. The span is this less the meshed end. Then turn "
                  f"the trimmer until the meshed end lies below {edges[0]} and the open end above "
                  f"{edges[1]}, each by about as much.",
                  f"span at least {span}; {edges[0]} and {edges[1]} both on the dial", True,
                  why=f"The fixed capacitors are 5 % parts: less span wants a {more}, and a tenth "
                      "more does no harm."),
    )


def rise_for_one_per_cent(network: Network) -> float:
    """How far (Hz) the coil lifts the meshed end where the span is 1 % too wide, open end right.

    The trimmer then brings the meshed end back.  At one frequency a circuit's capacitance goes with
    one over the inductance, and the share of it that the variable adds goes with the inductance.
    """
    meshed, opened = (float(network.frequency_at(angle)) for angle in (0.0, network.variable.degrees))
    tried = 1e-3
    larger = network.inductance * (1 + tried)
    swing = capacitance_for(meshed, network.inductance) - capacitance_for(opened, network.inductance)
    lower = float(resonant_frequency(larger, capacitance_for(opened, larger) + swing))
    wider = (meshed - lower) / (opened - meshed)
    return meshed * tried / 2 * 0.01 / wider


def _dial_steps(plan: Plan, band: str) -> tuple[BenchStep, ...]:
    """Five places of the dial to be read: what a scale is drawn from."""
    network, name = built(plan, band), plan.value(f"{band}.name")
    degrees = plan.value("dial.degrees")
    span = abs(float(network.frequency_at(degrees)) - float(network.frequency_at(0.0)))
    near = _within((BOUGHT if band == narrow_band(plan) else SPAN) * span)
    angles = [share * degrees / (PLACES - 1) for share in range(PLACES)]
    first = ("Calibrate the dial, warm, a quarter of an hour on: counter at the oscillator, for the "
             "lesson “Measured at the bench”. ")
    return tuple(
        BenchStep(f"{first if number == 0 else ''}{name}, shaft {show(round(angle, 1), '°')} from fully "
                  "meshed.", show(float(network.frequency_at(angle)), "Hz", digits=7), near=near,
                  why="" if number else "Write down what it is, not what it should be.")
        for number, angle in enumerate(angles))


def _meshed(plan: Plan, band: str) -> tuple[str, bool]:
    """Where the preselector's variable peaks at the band's edges, and whether both are on its travel."""
    coil, found, most = band.replace("_band", "_coil"), band_of(plan, band), preselector_variable(plan)
    least = LEAST * most
    inductance, places, on = wanted_of(plan, coil), [], True
    for edge in (found.band_low, found.band_high):
        # The circuit's capacitance goes with one over the frequency squared; what is beside it stays.
        own = capacitance_for(edge, inductance) - TRIMMED - STRAYS
        share = (own - least) / (most - least)
        on = on and 0 <= share <= 1
        places.append((show(max(0.0, own), "F", digits=3), f"{100 * share:.0f} %"))
    (low, low_share), (high, high_share) = places
    return f"at about {low} and {high}, {low_share} and {high_share} meshed", on


def _preselector_steps(plan: Plan, band: str) -> tuple[BenchStep, ...]:
    found = band_of(plan, band)
    name = plan.value(f"{band}.name")
    q, circuits = plan.value("preselector.loaded_q"), plan.value("preselector.circuits")
    middle = (found.band_low * found.band_high) ** 0.5
    wide = show(bandwidth(middle, q, circuits), "Hz", digits=2)
    how = turned(plan.value(f"{band.replace('_band', '_coil')}.kind"), "this band's coil")
    places, on = _meshed(plan, band)
    second = (f" At {show(middle, 'Hz', digits=4)} turn the second circuit's trimmer for the most."
              if circuits > 1 else "")
    off = ("" if on else " As planned an edge lies beyond its travel: change the capacitance in "
           "mid-band, or take another variable, before you wind.")
    image = preselect(middle, found.intermediate_frequency, found.injection, q, circuits)
    return (
        BenchStep(f"{name}, by ear on noise or a weak signal, this band's trimmer half in: find the "
                  f"peak with the preselector's capacitor near {show(found.band_low, 'Hz')}, then near "
                  f"{show(found.band_high, 'Hz')}.{second} Only if a peak lies beyond an end of its "
                  f"travel: {how}.{off}",
                  f"peaks about {wide} wide: {places}, if it has up to "
                  f"{show(preselector_variable(plan), 'F')}",
                  why="Where they lie matters little: you tune by this knob, on both bands."),
        BenchStep(f"{name}: tune to {show(middle, 'Hz', digits=5)} and put a strong signal on "
                  f"{show(image.image_frequency, 'Hz', digits=6)}. This is the image.",
                  f"about {image.image_rejection_db:.0f} dB weaker than on the band",
                  near="± 6 dB", why="Q is what varies."),
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

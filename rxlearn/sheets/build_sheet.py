"""The build sheet: everything that is needed at the bench, from the one receiver plan.

``build_sheet`` gathers the sections; each is a function of the plan, and of what
follows from it, that returns its blocks and raises :class:`Unclear` where the
plan holds no such thing: the sheet then says so at that place and is marked
unfinished.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from rxlearn.compute.band_spread import cover
from rxlearn.compute.block_diagram import follow_blocks
from rxlearn.compute.circuits import POWER_SUPPLY
from rxlearn.compute.dial_scale import draw_scale
from rxlearn.compute.printed_dial import print_dial
from rxlearn.compute.quantities import Unclear, show, show_span
from rxlearn.compute.stages import FUNCTIONS
from rxlearn.compute.supply_ratings import exceeded
from rxlearn.compute.tuning import image_frequency, oscillator_frequency
from rxlearn.data.cautions import LOCAL_CODE, caution, cautions
from rxlearn.figures.block_diagram import BlockDiagramFigure
from rxlearn.figures.circuits import cautioned, circuit_svg, connections
from rxlearn.plan.alignment import BenchStep, alignment_steps, first_power_steps
from rxlearn.plan.band_spread import (
    OTHER,
    SWITCHED_WAY,
    WAYS,
    band_of,
    built,
    narrow_band,
    offset_of,
    way_of,
)
from rxlearn.plan.circuits import circuit_in, circuit_name, circuits_in, stand_in
from rxlearn.plan.coil_cards import coil_cards
from rxlearn.plan.converter_coils import converter_cards
from rxlearn.plan.consequences import Consequence, derive
from rxlearn.plan.crystal_filter_fields import (
    CRYSTAL_FIGURES,
    CRYSTAL_FILTER_FIELDS,
    MEASURED,
)
from rxlearn.plan.document import DEMO_ORIGIN, Plan
from rxlearn.plan.fields import FIELDS
from rxlearn.plan.filter_coils import filter_cards
from rxlearn.plan.measured import coil_says, dial_network, dial_readings
from rxlearn.plan.oscillator_start import slow_to_start
from rxlearn.plan.part_limits import broken_ratings, fuse_words, ratings_of, to_weigh
from rxlearn.plan.power_supply import marks_of, open_checks
from rxlearn.plan.stage_reach import short_of
from rxlearn.plan.stages import BANDS, receiver_of, stages_of
from rxlearn.plan.third_band_fields import THIRD_BAND_FIELDS
from rxlearn.plan.valve_limits import beyond_limits
from rxlearn.sheets.crystal_pages import filter_blocks
from rxlearn.sheets.pages import (
    TURNED,
    Block,
    Heading,
    Paragraph,
    Picture,
    Scale,
    Sheet,
    Step,
    Steps,
    Table,
    Warned,
)
from rxlearn.sheets.parts_pages import parts_blocks
from rxlearn.sheets.valve_pages import switch_blocks, valve_blocks

_HERTZ = 7
READINGS = 5
"""Blank lines for readings of each band; five can tell a slip, four cannot."""

SHOWN_DBM = -73.0
"""Level at the aerial for which the block diagram is printed, dBm: S9 (IARU Region 1, R.1)."""

_BOTH = ("lower_band", "upper_band")

Follows = Mapping[str, Consequence]
"""What follows from the plan, worked out once for the whole sheet."""

_TANK = (
    "oscillator.inductance", "tuning_capacitor.minimum", "tuning_capacitor.maximum",
    "tuning_capacitor.law", "oscillator.stray_capacitance", "oscillator.valve_capacitance",
    "band_spread.across", "band_spread.series", "band_spread.parallel",
    "recentring.capacitance", "drift.compensator", "drift.compensating_capacitance",
)
TUNED_TO_THE_BAND = ("preselector", "signal_amplifier")
"""Stages whose circuit differs from band to band."""

_PRESELECTOR = ("preselector.loaded_q", "preselector.circuits")


def build_sheet(plan: Plan) -> Sheet:
    """The build sheet of ``plan``; never raises for a plan that cannot work."""
    blocks: list[Block] = []
    reasons: list[tuple[str, str]] = []
    follows = derive(plan)
    for title, section in SECTIONS.items():
        blocks.append(Heading(title))
        try:
            blocks += section(plan, follows)
        except Unclear as reason:
            blocks.append(Paragraph(f"Nothing to print here yet. {reason}", strong=True))
            reasons.append((title, str(reason)))
    reasons += [(card.name, card.problem) for card in (*coil_cards(plan), *converter_cards(plan))
                if card.problem]
    reasons += [(found.label, found.text) for found in follows.values() if not found.possible]
    missing = (*_not_kept(plan), *_beyond_supply(plan), *_beyond_valves(plan),
               *short_of(plan), *slow_to_start(plan), *_merged(reasons))
    return Sheet(f"Build sheet: {plan.value('receiver.name')}", missing, tuple(blocks))


WAITING = "No answer while"
"""How a reason begins that only points to another one."""

_NAMED = 2
"""So many places are named of those that one reason stops."""


def _merged(reasons: list[tuple[str, str]]) -> list[str]:
    """Each reason of (place, reason) once with its places, causes before what only waits for them.

    Of a place “Crystal filter, loss” only what stands before the comma is named, and once.
    """
    places: dict[str, list[str]] = {}
    for place, reason in reasons:
        # A reason that another one holds in full is said by it.
        fuller = next((known for known in places if reason in known), reason)
        named = places.setdefault(fuller, [])
        if (head := place.split(",")[0]) not in named:
            named.append(head)
    causes = {reason: found for reason, found in places.items() if not reason.startswith(WAITING)}
    waiting = {reason: found for reason, found in places.items() if reason not in causes}
    lines = []
    for reason, found in (*causes.items(), *waiting.items()):
        more = f" and {len(found) - _NAMED} more" if len(found) > _NAMED else ""
        lines.append(f"{'; '.join(found[:_NAMED])}{more}: {reason}")
    return lines


def _not_kept(plan: Plan) -> list[str]:
    """Sections of the plan in which nothing is the learner's own yet."""
    own: dict[str, bool] = {}
    for key, row in FIELDS.items():
        own[row.section] = own.get(row.section, False) or plan.entry(key).origin != DEMO_ORIGIN
    # Readings come after building.
    demo = [section for section, kept in own.items() if not kept and section != "measured"]
    if not demo:
        return []
    return [f"Still the demo receiver's values: {', '.join(demo)}. Keep your own in the lessons."]


HEATERS_OFF = ("Nothing breaks at once, but valves age sooner; it is reckoned, so measure the heaters "
               "with all valves in before you change anything.")
"""What heaters some percent off their voltage mean (common practice, no source)."""


def _beyond_supply(plan: Plan) -> list[str]:
    """Limits of the supply that are broken, and its fuse if it is another than it asks for."""
    return [*exceeded(broken_ratings(plan)), *filter(None, (fuse_words(plan),))]


def _beyond_valves(plan: Plan) -> list[str]:
    """Valves that another stands in for in the drawings, and limits that a valve's stage exceeds."""
    found = [stand_in(plan, stage) for stage in circuits_in(plan)]
    try:
        found += beyond_limits(plan)
    except Unclear:
        pass  # a supply out of all range is said in its own section
    return [words for words in found if words]


def _safety(plan: Plan, follows: Follows) -> list[Block]:
    return [*map(Warned, cautions("open_chassis")), Paragraph(LOCAL_CODE)]


def _frequencies(plan: Plan, follows: Follows) -> list[Block]:
    rows = []
    for band in _BOTH:
        found, name = band_of(plan, band), plan.value(f"{band}.name")
        network, offset = dial_network(plan, band), offset_of(plan, band)
        middle = (found.band_low + found.band_high) / 2
        for place, signal in (("low edge", found.band_low), ("middle", middle),
                              ("high edge", found.band_high)):
            given = (signal, found.intermediate_frequency, found.injection)
            angle = network.angle_for(signal - offset)
            rows.append((
                f"{name}, {place}",
                *(show(f, "Hz", digits=_HERTZ) for f in (
                    signal, oscillator_frequency(*given), image_frequency(*given))),
                "off the dial" if angle is None else show(round(angle, 2) + 0.0, "°", digits=5),
            ))
    head = ("where", "signal", "oscillator", "image", "shaft, from meshed")
    labels = [label for label in follows if label.endswith(("sideband", "upper sideband"))]
    return [
        Paragraph(f"Intermediate frequency {plan.shown('intermediate_frequency')}."),
        Table("Frequencies on both bands", head, tuple(rows), (3, 2.4, 2.4, 2.4, 2.4)),
        Table("Sidebands", ("what", "value"), tuple((k, follows[k].text) for k in labels)),
    ]


def _gains(*each: float | None) -> str:
    """A stage's gain, or those on either band where they differ."""
    return "; ".join(dict.fromkeys(show(gain, "dB", digits=3) for gain in each if gain is not None))


def _values(plan: Plan, keys, caption: str) -> Table:
    rows = tuple((FIELDS[key].label, plan.shown(key), plan.entry(key).status) for key in keys)
    return Table(caption, ("part", "value", "status"), rows, (4, 3, 1.5))


def _follow(follows: Follows, caption: str, wanted: Callable[[str], bool]) -> Table:
    rows = tuple((label, found.text) for label, found in follows.items() if wanted(label))
    return Table(caption, ("what", "value"), rows, (2, 3))


def _blocks(plan: Plan, follows: Follows) -> list[Block]:
    """The receiver as blocks: frequencies at each arrow for both bands, a middling signal's levels."""
    receiver = receiver_of(plan)
    found = follow_blocks(receiver, band=0, share=50.0, aerial_dbm=SHOWN_DBM, place="residential")
    figure = BlockDiagramFigure(receiver)
    figure.update(found)
    rows = tuple(
        (FUNCTIONS[stage.function], stage.device,
         show(stage.heater_current, "A", digits=3) if stage.heater_current else "",
         show(stage.supply_current, "A", digits=3) if stage.supply_current else "",
         _gains(stage.gain_db, other.gain_db), stage.source)
        for stage, other in zip(*(stages_of(plan, band) for band in BANDS), strict=True)
    )
    return [
        Picture(figure.still(), figure.describe(found), TURNED),
        Table("Stages", ("stage", "device", "heater", "anode and screen", "gain", "source"), rows,
              (2.6, 2.6, 1.4, 1.5, 1.3, 4)),
    ]


def _circuits(plan: Plan, follows: Follows) -> list[Block]:
    """The circuit of each stage with the plan's values, and what connects to what."""
    blocks: list[Block] = [Warned(caution("charged_capacitor")), Warned(caution("one_hand"))]
    bands = {stage: _BOTH if stage in TUNED_TO_THE_BAND else _BOTH[:1] for stage in circuits_in(plan)}
    for stage, band in ((stage, band) for stage in bands for band in bands[stage]):
        name = circuit_name(stage)
        if stage in TUNED_TO_THE_BAND:
            name += f", {plan.value(f'{band}.name')}"
        try:
            circuit = circuit_in(plan, stage, band)
        except Unclear as reason:
            if stage != POWER_SUPPLY:
                raise
            # What stands against the supply must not keep the other circuits from the bench.
            blocks.append(Paragraph(f"No circuit of the {name} yet. {reason}", strong=True))
            continue
        rows = tuple((c.ref, c.kind, c.value, "; ".join(c.ends)) for c in connections(circuit))
        made = f" {circuit.note}" if circuit.note else ""
        says = (f"Circuit of the {name}; the table below says what connects to what.{made}"
                f"{cautioned(circuit)}")
        blocks += [
            Picture(circuit_svg(circuit), says, TURNED),
            Table(f"Parts of the {name}", ("part", "what", "value", "goes to"), rows, (1, 3, 3, 6)),
        ]
    return [*blocks, *switch_blocks(plan)]


def _oscillator(plan: Plan, follows: Follows) -> list[Block]:
    # Where each band has capacitors of its own no recentring one is drawn, listed or bought.
    switched = way_of(plan) == SWITCHED_WAY
    return [
        Warned(caution("radiating")),
        _values(plan, [key for key in _TANK if switched or key != "recentring.capacitance"],
                "Oscillator tank"),
        Paragraph(f"The narrower band comes onto the dial by {WAYS[way_of(plan)]}."),
        *(Paragraph(_fitted(plan, band)) for band in _BOTH),
        *([Paragraph(coil_says(plan))] if coil_says(plan) else []),
        _follow(follows, "What follows", lambda label: label.startswith(("Coil that", "Tank",
                "Oscillator with", *(("Recentring",) if switched else ())))),
    ]


def _fitted(plan: Plan, band: str) -> str:
    """The capacitors that the band has in the oscillator, and what the dial then covers."""
    network = built(plan, band)
    series = f", {show(network.series, 'F', digits=4)} in series with the variable" \
        if network.series else ""
    across = f", {show(network.across, 'F', digits=4)} across the variable" if network.across else ""
    ends = cover(network)
    return (
        f"{plan.value(f'{band}.name')}: {show(network.parallel, 'F', digits=4)} across the coil "
        f"besides strays and valve, the compensating capacitor counted in{series}{across}; the dial "
        f"covers {show_span(ends.low, ends.high, 'Hz', digits=_HERTZ)}."
    )


def _preselector(plan: Plan, follows: Follows) -> list[Block]:
    return [
        _values(plan, _PRESELECTOR, "Preselector"),
        _follow(follows, "What it does", lambda label: "rejection" in label),
    ]


def _crystal_filter(plan: Plan, follows: Follows) -> list[Block]:
    if all(stage.function != "filter" for stage in stages_of(plan)):
        return [Paragraph("The plan's stages list no crystal filter.")]
    measured = plan.value("crystal_filter.figures") == MEASURED
    keys = tuple(row.key for row in CRYSTAL_FILTER_FIELDS if row.kind != "table"
                 and (measured or not row.key.startswith(CRYSTAL_FIGURES)))
    return [
        _values(plan, keys, "Wanted of the crystal filter"),
        *filter_blocks(plan),
        _follow(follows, "What follows", lambda label: label.startswith("Crystal filter")),
    ]


def _coils(plan: Plan, follows: Follows) -> list[Block]:
    blocks: list[Block] = [Warned(caution("solder"))]
    for card in (*coil_cards(plan), *filter_cards(plan), *converter_cards(plan)):
        rows = (*card.lines, *(("note", note) for note in card.notes))
        blocks.append(Table(f"Coil card: {card.name}", ("what", "value"), tuple(rows), (1, 3)))
    return blocks


def _third_band(plan: Plan, follows: Follows) -> list[Block]:
    if plan.value("third_band.wanted") != "yes":
        return [Paragraph("The plan wants no third band.")]
    keys = tuple(row.key for row in THIRD_BAND_FIELDS if row.key != "third_band.wanted")
    return [
        Warned(caution("radiating")),
        _values(plan, keys, "Converter"),
        *_arrows(plan),
        _follow(follows, "What follows", lambda label: label.startswith("Third band")),
    ]


def _arrows(plan: Plan) -> list[Block]:
    """The third band at each arrow, from the aerial to the intermediate frequency."""
    third = receiver_of(plan).third
    if third is None:
        return []
    main = band_of(plan, str(plan.value("converter.main_band")))
    rows = []
    for place, share in (("low edge", 0.0), ("middle", 50.0), ("high edge", 100.0)):
        signal, reading = third.at(share)
        oscillator = oscillator_frequency(reading, main.intermediate_frequency, main.injection)
        rows.append((f"{third.name}, {place}", *(show(f, "Hz", digits=_HERTZ) for f in (
            signal, third.crystal, reading, oscillator, main.intermediate_frequency))))
    head = ("where", "at the aerial", "crystal", f"on {third.main}", "oscillator", "intermediate")
    return [
        Paragraph("The converter's switch takes it in and out: aerial, main receiver's input and its "
                  "high tension change over together, and its heaters stay on. Its stages stand in "
                  "the list of stages, its circuits and coils among the others."),
        Table("The third band at each arrow", head, tuple(rows), (2.4, 2, 2, 2, 2, 2)),
    ]


def _whistles(plan: Plan, follows: Follows) -> list[Block]:
    return [_follow(follows, "What is heard besides", lambda label: not label.startswith("Third")
                    and ("whistles" in label or "unwanted" in label))]


def _fitted_supply(plan: Plan) -> Table:
    """What the supply is made of, each part with its mark in the drawing."""
    rows = tuple((mark, FIELDS[key].label, plan.shown(key), plan.entry(key).status)
                 for key, mark in marks_of(plan).items())
    return Table("Parts of the supply", ("mark", "part", "value", "status"), rows, (1, 4, 3, 1.5))


def _supply(plan: Plan, follows: Follows) -> list[Block]:
    found = ratings_of(plan)
    ratings = tuple(
        (f.part, f.quantity, show(f.value, f.unit, digits=3), show(f.limit, f.unit, digits=3),
         "weigh it" if to_weigh(f) else "EXCEEDED" if f.exceeded else "kept")
        for f in found
    )
    weighed = [Paragraph(f"To weigh: {f.sentence} {HEATERS_OFF}") for f in found if to_weigh(f)]
    return [
        *map(Warned, cautions("power_supply")),
        _fitted_supply(plan),
        _follow(follows, "What follows", lambda label: label.startswith(("Supply", "Line fuse",
                "Load that"))),
        Table("Ratings with mains a tenth high", ("part", "what", "meets", "allowed", "verdict"),
              ratings, (3, 3, 1.6, 1.6, 1.6)),
        *weighed,
        Paragraph(LOCAL_CODE),
    ]


def _steps(caption: str, steps: tuple[BenchStep, ...]) -> Steps:
    return Steps(caption, tuple(Step(s.told, s.wanted, s.hold) for s in steps))


def _first_power(plan: Plan, follows: Follows) -> list[Block]:
    left = open_checks(plan)
    words = (
        f"Not yet. Open in the plan: {'; '.join(label.removeprefix('Check: ') for label in left)}."
        if left
        else "All checks of the plan have passed."
    )
    return [
        Warned(caution("first_power")), Warned(caution("meter")), Warned(caution("creeping_back")),
        Paragraph(words, strong=bool(left)),
        _steps("First power, with your mentor", first_power_steps(plan)),
        Paragraph("At a hum, a smell, smoke or anything unforeseen: plug out, wait, discharge, "
                  "measure, and only then look.", strong=True),
    ]


def _alignment(plan: Plan, follows: Follows) -> list[Block]:
    return [
        Warned(caution("one_hand")), Warned(caution("meter")),
        Paragraph("Trimmers are turned with an insulated tool through the guard's holes; clips go "
                  "on while the set is unplugged and discharged."),
        _steps("Alignment", alignment_steps(plan)),
    ]


def _dial(plan: Plan, follows: Follows) -> list[Block]:
    scales = []
    for band in (OTHER[narrow_band(plan)], narrow_band(plan)):
        found = band_of(plan, band)
        scales.append((plan.value(f"{band}.name"), draw_scale(
            dial_network(plan, band), offset_of(plan, band), found.band_low, found.band_high)))
    dial = print_dial(scales, plan.value("dial.scale_radius"), sense=plan.value("dial.sense"))
    says = (
        "Dial scale at true size for " + " and ".join(
            f"{name}, {show(s.low, 'Hz', digits=5)} to {show(s.high, 'Hz', digits=5)}"
            for name, s in scales)
        + f"; outer radius {plan.shown('dial.scale_radius')}; a ruler of 100 mm stands below it."
    )
    own = [plan.value(f"{band}.name") for band in _BOTH if dial_readings(plan, band)]
    words = f"Drawn from your own readings: {' and '.join(own)}." if own else \
        "Drawn from the plan's values: true only as far as your parts are. Calibrate it."
    inner = ("The inner ring is the shaft's angle from fully meshed." if dial.ring else
             "The scale is too small for a ring of the shaft's degrees: make it larger to have one.")
    return [
        Paragraph(f"{words} {inner}"),
        *(Table(f"Your readings: {name}", ("dial says", "shaft, °", "frequency heard", "off by"),
                (("",) * 4,) * READINGS) for name, _ in scales),
        Paragraph("Print without scaling (100 %). If the ruler does not measure 100 mm, your "
                  "printer shrinks the page, and the scale with it."),
        Scale(dial, says),
    ]


SECTIONS: Mapping[str, Callable[[Plan, Follows], list[Block]]] = {
    "Before a hand goes near it": _safety,
    "Block diagram and stages": _blocks,
    "Frequencies": _frequencies,
    "Whistles and unwanted responses": _whistles,
    "Oscillator": _oscillator,
    "Preselector": _preselector,
    "Crystal filter": _crystal_filter,
    "Third band": _third_band,
    "Coils": _coils,
    "Circuits": _circuits,
    "Power supply": _supply,
    "Parts list": lambda plan, follows: parts_blocks(plan),
    "Valves": lambda plan, follows: valve_blocks(plan),
    "First power": _first_power,
    "Alignment": _alignment,
    "Dial scale": _dial,
}
"""Title to section, in the order in which they are printed."""

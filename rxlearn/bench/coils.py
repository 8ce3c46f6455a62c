"""Live figures on coils: winding, Q, three ways to one inductance, taps and links, coupled pairs."""

from __future__ import annotations

import math

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.coil_pairs import CoilPair, pair_on_former
from rxlearn.compute.coil_q import QCurve, q_curve
from rxlearn.compute.coil_taps import Fed, all_feeds, feed
from rxlearn.compute.coil_ways import ThreeWays, three_ways
from rxlearn.compute.coils import Coil, WoundCoil, turns_wanted, wind
from rxlearn.compute.coupled_circuits import CoupledPair, CoupledSweep, sweep_pair
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.wire import wire_called
from rxlearn.data.cores import FORMERS
from rxlearn.figures.coil_feed import CoilFeedFigure
from rxlearn.figures.coil_pair import CoilPairFigure
from rxlearn.figures.coil_q import CoilQFigure
from rxlearn.figures.double_tuned import DoubleTunedFigure
from rxlearn.figures.three_ways import ThreeWaysFigure
from rxlearn.figures.wind_coil import LONGEST, WindCoilFigure
from rxlearn.plan.coil_fields import OWN_RING, REELS
from rxlearn.plan.coils import cores_of, frequency_of, wanted_of, wire_of
from rxlearn.plan.document import Plan
from rxlearn.plan.scheme import scheme_of

MM = 1e-3
LEAST_FORMER, MOST_FORMER = 4 * MM, 30 * MM
LEAST_LENGTH, MOST_LENGTH = 2 * MM, LONGEST * MM
MOST_TURNS = 60
"""Ends of the knobs for a coil in one's hand."""

LEAST_WANTED, MOST_WANTED = 0.1e-6, 40e-6
"""Ends of the inductance knob, H."""

SPAN_IN_WIDTHS = 8.0
"""The response's picture, in bandwidths of a circuit of Q 100."""


def wind_coil() -> LiveBench:
    """Wind the plan's oscillator coil: diameter, turns, length, wire; see if it fits and is right."""
    plan, note = _usable_plan()
    wanted, frequency = wanted_of(plan, OSCILLATOR), frequency_of(plan, OSCILLATOR)

    def compute(former: float, turns: float, length: float, wire: str) -> WoundCoil:
        return wind(Coil(turns=turns, former=former, length=length, wire=wire_called(wire)),
                    wanted, frequency)

    start = _air_coil(plan)
    return live(
        "Wind the oscillator coil",
        [
            Knob(key="former", label="Former, diameter", unit="m", low=LEAST_FORMER,
                 high=MOST_FORMER, start=_to(start.former, LEAST_FORMER, MOST_FORMER, 0.1 * MM),
                 fine=0.1 * MM, coarse=2 * MM, prefix="m", decimals=1),
            Knob(key="turns", label="Turns", unit="", low=2, high=MOST_TURNS,
                 start=_to(start.turns, 2, MOST_TURNS, 1), fine=0.5, coarse=5, decimals=1),
            Knob(key="length", label="Winding length", unit="m", low=LEAST_LENGTH,
                 high=MOST_LENGTH, start=_to(start.length, LEAST_LENGTH, MOST_LENGTH, 0.1 * MM),
                 fine=0.1 * MM, coarse=2 * MM, prefix="m", decimals=1),
            _wire(plan),
        ],
        compute, lambda: WindCoilFigure(note), predict="coils.predict_turns",
    )


def coil_q() -> LiveBench:
    """See what wire, spacing and former make of a coil's Q, and how far the number can be trusted."""
    plan, note = _usable_plan()
    wanted, frequency = wanted_of(plan, OSCILLATOR), frequency_of(plan, OSCILLATOR)
    low, high = max(20e3, frequency / 10), min(290e6, frequency * 12)

    def compute(former: float, wire: str, spacing: float, material: str) -> QCurve:
        coil = turns_wanted(wanted, former, wire_called(wire), spacing=spacing, frequency=frequency)
        return q_curve(coil, frequency, low, high, material=material)

    former = plan.value("oscillator_coil.diameter")
    words = {"none": "air, a thin skeleton"} | {name: name for name in FORMERS if name != "none"}
    return live(
        "What a coil loses",
        [
            Knob(key="former", label="Former, diameter", unit="m", low=LEAST_FORMER,
                 high=MOST_FORMER, start=_to(former, LEAST_FORMER, MOST_FORMER, 0.1 * MM),
                 fine=0.1 * MM, coarse=2 * MM, prefix="m", decimals=1),
            _wire(plan),
            Knob(key="spacing", label="Turns, apart by so many wires", unit="", low=1, high=4,
                 start=1.5, fine=0.05, coarse=0.5, decimals=2),
            Choice(key="material", label="Former of", options=words, start="none"),
        ],
        compute, lambda: CoilQFigure(low, high, note), predict="coils.predict_wire",
    )


def same_inductance() -> LiveBench:
    """Wind one inductance as an air coil, on a ring and with an adjusting core, side by side."""
    plan, note = _usable_plan()
    frequency = frequency_of(plan, OSCILLATOR)

    cores = cores_of(plan)

    def compute(wanted: float, former: float, wire: str, core: str) -> ThreeWays:
        reel = wire_called(wire)
        return three_ways(wanted, frequency, former=former, air_wire=reel, spacing=1.0, core=core,
                          ring_wire=reel, slug_former=7 * MM, slug_wire=reel, cores=cores)

    wanted = _to(wanted_of(plan, OSCILLATOR), LEAST_WANTED, MOST_WANTED, 0.01e-6)
    former = plan.value("oscillator_coil.diameter")
    return live(
        "Three ways to one inductance",
        [
            Knob(key="wanted", label="Inductance wanted", unit="H", low=LEAST_WANTED,
                 high=MOST_WANTED, start=wanted, fine=0.01e-6, coarse=1e-6, prefix="µ", decimals=2),
            Knob(key="former", label="Air coil's former, diameter", unit="m", low=LEAST_FORMER,
                 high=MOST_FORMER, start=_to(former, LEAST_FORMER, MOST_FORMER, 0.1 * MM),
                 fine=0.1 * MM, coarse=2 * MM, prefix="m", decimals=1),
            Choice(key="wire", label="Wire of all three", options=dict(REELS),
                   start="0.315 mm"),
            Choice(key="core", label="Ring core",
                   options={name: "your own ring" if name == OWN_RING else name for name in cores},
                   start="T50-6" if frequency > 5e6 else "T50-2"),
        ],
        compute, lambda: ThreeWaysFigure(note), predict="coils.predict_ring",
    )


def coil_feed() -> LiveBench:
    """Feed the lower band's preselector by a tap or a link, and compare with the rule of turns."""
    plan, note = _usable_plan(PRESELECTOR)
    frequency = frequency_of(plan, PRESELECTOR)
    coil = _air_coil(plan, PRESELECTOR)
    kinds = {how: all_feeds(coil, how) for how in ("tap", "over", "beside")}
    most = max(float(feeds.turns[-1]) for feeds in kinds.values())

    def compute(how: str, turns: float, source: float, q: float) -> Fed:
        return feed(kinds[how], turns, source, frequency, q)

    return live(
        "A tap, or a link",
        [
            Choice(key="how", label="Fed by", start="tap", options={
                "tap": "a tap", "over": "a link wound over the earthed end",
                "beside": "a link beside the earthed end"}),
            Knob(key="turns", label="Turns of it", unit="", low=1, high=most, start=1, fine=0.5,
                 coarse=1, decimals=1),
            Knob(key="source", label="Source", unit="Ω", low=10, high=2000, start=50, fine=10,
                 coarse=100),
            Knob(key="q", label="Coil's own Q", unit="", low=30, high=400, start=150, fine=1,
                 coarse=20),
        ],
        compute, lambda: CoilFeedFigure(coil, note), predict="coils.predict_tap",
    )


def double_tuned() -> LiveBench:
    """Couple two circuits on the plan's intermediate frequency, from under to over critical."""
    centre = the_desk().plan().value("intermediate_frequency")
    span = SPAN_IN_WIDTHS * centre / 100

    def compute(index: float, first: float, second: float) -> CoupledSweep:
        other = max(2.0, first * second / 100)
        return sweep_pair(CoupledPair(centre, first, other, index / math.sqrt(first * other)), span)

    return live(
        "Two circuits, coupled",
        [
            Knob(key="index", label="Coupling, times critical", unit="", low=0.2, high=4, start=1,
                 fine=0.02, coarse=0.2, decimals=2),
            Knob(key="first", label="Q of the first circuit", unit="", low=20, high=300, start=100,
                 fine=1, coarse=10),
            Knob(key="second", label="Q of the second, of the first", unit="%", low=20, high=100,
                 start=100, fine=1, coarse=10),
        ],
        compute, lambda: DoubleTunedFigure(centre, span), predict="coils.predict_coupling",
    )


def coil_pair() -> LiveBench:
    """Slide two coils along one former, and see what their coupling makes of the response."""
    plan, note = _pair_plan()
    centre = plan.value("intermediate_frequency")
    span = SPAN_IN_WIDTHS * centre / 60
    wire = wire_of(plan, TRANSFORMER)

    def compute(gap: float, former: float, capacitance: float, loaded_q: float) -> CoilPair:
        return pair_on_former(centre, capacitance, former, wire, gap, loaded_q, span=span)

    return live(
        "A transformer for the intermediate frequency",
        [
            Knob(key="gap", label="Gap between the windings", unit="m", low=0, high=40 * MM,
                 start=8 * MM, fine=0.1 * MM, coarse=1 * MM, prefix="m", decimals=1),
            Knob(key="former", label="Former, diameter", unit="m", low=LEAST_FORMER,
                 high=MOST_FORMER, start=_former_of_pair(plan), fine=0.1 * MM, coarse=2 * MM,
                 prefix="m", decimals=1),
            Knob(key="capacitance", label="Capacitor across each", unit="F", low=20e-12,
                 high=1000e-12, start=_capacitor_of_pair(plan), fine=1e-12, coarse=20e-12,
                 prefix="p"),
            Knob(key="loaded_q", label="Q of either circuit", unit="", low=20, high=200, start=60,
                 fine=1, coarse=10),
        ],
        compute, lambda: CoilPairFigure(centre, span, note), predict="coils.predict_gap",
    )


OSCILLATOR, PRESELECTOR, TRANSFORMER = "oscillator_coil", "lower_coil", "transformer_coil"


def _wire(plan: Plan) -> Choice:
    return Choice(key="wire", label="Wire", options=dict(REELS),
                  start=plan.value(f"{OSCILLATOR}.wire"))


def _air_coil(plan: Plan, coil: str = OSCILLATOR) -> Coil:
    """The plan's ``coil`` as an air coil with whole turns, as far as the knobs reach."""
    wire, former = wire_of(plan, coil), plan.value(f"{coil}.diameter")
    former = _to(former, LEAST_FORMER, MOST_FORMER, 0.1 * MM)
    wanted, frequency = wanted_of(plan, coil), frequency_of(plan, coil)
    tight = turns_wanted(wanted, former, wire, frequency=frequency)
    length = max(plan.value(f"{coil}.length"), 1.1 * tight.length, 3 * wire.overall)
    length = _to(length, LEAST_LENGTH, max(MOST_LENGTH, 1.1 * tight.length), 0.1 * MM)
    turns = turns_wanted(wanted, former, wire, length=length, frequency=frequency).turns
    return Coil(turns=max(3.0, float(round(turns))), former=former, length=length, wire=wire)


def _usable_plan(coil: str = OSCILLATOR) -> tuple[Plan, str]:
    """The learner's plan if its ``coil`` can be wound as an air coil; else the demo, and why."""
    plan = the_desk().plan()
    try:
        scheme = scheme_of(plan)
        if not scheme.works:
            raise Unclear(" ".join(scheme.reasons))
        for spacing in (1.0, 1.5):
            turns_wanted(
                wanted_of(plan, coil), plan.value(f"{coil}.diameter"), wire_of(plan, coil),
                spacing=spacing, frequency=frequency_of(plan, coil))
        _air_coil(plan, coil)
    except Unclear as reason:
        return Plan.demo(), f"Your plan gives no coil to draw. {reason} The demo receiver stands in."
    return plan, ""


def _pair_plan() -> tuple[Plan, str]:
    """The learner's plan if its transformer can be wound as the knobs start; else the demo, and why."""
    plan = the_desk().plan()
    try:
        pair_on_former(
            plan.value("intermediate_frequency"), _capacitor_of_pair(plan), _former_of_pair(plan),
            wire_of(plan, TRANSFORMER), 8 * MM, 60.0, span=plan.value("intermediate_frequency") / 10)
    except Unclear as reason:
        return Plan.demo(), f"Your plan gives no coils to draw. {reason} The demo receiver stands in."
    return plan, ""


def _former_of_pair(plan: Plan) -> float:
    return _to(plan.value(f"{TRANSFORMER}.diameter"), LEAST_FORMER, MOST_FORMER, 0.1 * MM)


def _capacitor_of_pair(plan: Plan) -> float:
    return _to(plan.value(f"{TRANSFORMER}.capacitance"), 20e-12, 1000e-12, 1e-12)


def _to(value: float, low: float, high: float, step: float) -> float:
    """``value`` between the ends, on a whole number of steps from the lower one."""
    stops = round((min(high, max(low, value)) - low) / step)
    return float(f"{low + stops * step:.12g}")

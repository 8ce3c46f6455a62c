"""Live figures on band spread: plates, network, parts, knob, switching, tracking, drift."""

from __future__ import annotations

import math
from dataclasses import replace

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.band_spread import Network, cover
from rxlearn.compute.dial import Drive, rate_dial
from rxlearn.compute.dial_scale import draw_scale
from rxlearn.compute.drift import compensate
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.spread_parts import spread_with_parts
from rxlearn.compute.switched_dial import switch_in
from rxlearn.compute.tracking import track
from rxlearn.compute.variable_capacitor import PLATE_LAWS, VariableCapacitor, turn_capacitor
from rxlearn.data.spectrum import TIME_STATIONS
from rxlearn.figures.band_spread import BandSpreadFigure
from rxlearn.figures.dial import DialFigure
from rxlearn.figures.drift import DriftFigure
from rxlearn.figures.names import cut
from rxlearn.figures.spread_parts import SpreadPartsFigure
from rxlearn.figures.switched_dial import SwitchedDialFigure
from rxlearn.figures.tracking import TrackingFigure
from rxlearn.figures.variable_capacitor import VariableCapacitorFigure
from rxlearn.plan.band_spread import (
    OTHER,
    band_of,
    drive_of,
    fixed_parts,
    narrow_band,
    offset_of,
    solved,
    variable_of,
)
from rxlearn.plan.document import Plan
from rxlearn.plan.scheme import scheme_of

PF = 1e-12

IN_HAND = {"10-50": (10 * PF, 50 * PF), "10-100": (10 * PF, 100 * PF),
           "12-140": (12 * PF, 140 * PF), "15-365": (15 * PF, 365 * PF)}
"""Variable capacitors that one finds: trade sizes, F (common practice, no source)."""

SIGNALS = {"code": "Morse code (CW)", "single sideband": "single sideband"}

MEDIUM_WAVE = (540e3, 1600e3, 455e3)
SHORT_WAVE = (5.9e6, 18e6, 455e3)
"""Two ranges of broadcast sets with their intermediate frequency, Hz (common practice)."""

BROADCAST_GANG = (15 * PF, 365 * PF)

LONGEST_NAME = 16
"""Longest name of a band, in characters, that a picture has room for."""


def plate_laws() -> LiveBench:
    """Turn the plan's variable capacitor and compare the laws by which plates are cut."""
    plan = the_desk().plan()
    try:
        start, note = variable_of(plan), ""
    except Unclear as reason:
        start, note = variable_of(Plan.demo()), _stands_in(reason)

    def compute(angle: float, law: str, added: float):
        return turn_capacitor(replace(start, law=law), angle, added=added)

    return live(
        "How a variable capacitor turns",
        [
            Knob(key="angle", label="Plates opened by", unit="°", low=0, high=start.degrees,
                 start=start.degrees / 2, fine=start.degrees / 180, coarse=start.degrees / 12),
            _law(start.law),
            Knob(key="added", label="Fixed capacitance across it", unit="F", low=0,
                 high=300 * PF, start=0, fine=1 * PF, coarse=20 * PF, prefix="p"),
        ],
        compute,
        lambda: VariableCapacitorFigure(start.minimum, start.maximum, start.degrees, note),
        predict="spread.predict_half_turn",
    )


def spread_network() -> LiveBench:
    """Turn series and parallel capacitor, and watch the narrower band spread over the dial."""
    plan, note = _usable_plan(on_one_dial=True)
    band = narrow_band(plan)
    to_signal, variable = offset_of(plan, band), variable_of(plan)
    wide = solved(plan, OTHER[band])
    edges = plan.value(f"{band}.low"), plan.value(f"{band}.high")
    most = 50 * PF * math.ceil(1.3 * float(wide.total_at(0.0)) / (50 * PF))

    def compute(series: float, parallel: float, across: float, law: str):
        return draw_scale(
            Network(wide.inductance, replace(variable, law=law), series, parallel, across,
                    **fixed_parts(plan)),
            to_signal, *edges,
        )

    return live(
        "A dial and the network behind it",
        [
            Knob(key="series", label="Series capacitor", unit="F", low=2 * PF, high=500 * PF,
                 start=min(500 * PF, max(2 * PF, round(wide.series or 500 * PF, 13))),
                 fine=0.1 * PF,
                 coarse=2 * PF, prefix="p", decimals=1),
            Knob(key="parallel", label="Parallel capacitor (with its trimmer)", unit="F", low=0,
                 high=most, start=round(wide.parallel, 13), fine=0.1 * PF, coarse=5 * PF,
                 prefix="p", decimals=1),
            Knob(key="across", label="Capacitor across the variable", unit="F", low=0,
                 high=200 * PF, start=0, fine=1 * PF, coarse=10 * PF, prefix="p"),
            _law(variable.law),
        ],
        compute,
        lambda: BandSpreadFigure(_name(plan, band), note),
        predict="spread.predict_series",
    )


def spread_parts() -> LiveBench:
    """Solve for the series and parallel capacitor of the narrower band, and round them."""
    plan, note = _usable_plan()
    band = narrow_band(plan)
    found, own = band_of(plan, band), variable_of(plan)
    held = {"planned": (own.minimum, own.maximum), **IN_HAND}
    words = {key: f"{low / PF:.3g} to {high / PF:.3g} pF" for key, (low, high) in held.items()}
    words["planned"] = f"yours, {words['planned']}"

    def compute(variable: str, across: float, margin: float, preferred: str):
        return spread_with_parts(
            found.oscillator_low, found.oscillator_high, plan.value("oscillator.inductance"),
            VariableCapacitor(*held[variable], own.law, own.degrees), preferred=preferred,
            margin=margin, across=across, **fixed_parts(plan),
        )

    across = plan.value("band_spread.across")
    try:
        compute("planned", across, 0.0, "E12")
    except Unclear:
        across = 0.0
    return live(
        "Which capacitors fill the dial with the band",
        [
            Choice(key="variable", label="Variable capacitor in your hand", options=words,
                   start="planned"),
            Knob(key="across", label="Capacitor across it", unit="F", low=0, high=300 * PF,
                 start=min(300 * PF, across), fine=1 * PF, coarse=10 * PF, prefix="p"),
            Knob(key="margin", label="Room beyond each end of the band", unit="Hz", low=0,
                 high=50e3, start=0, fine=500, coarse=5e3, prefix="k", decimals=1),
            Choice(key="preferred", label="Parts come in", start="E12",
                   options={"E6": "E6 steps", "E12": "E12 steps", "E24": "E24 steps"}),
        ],
        compute,
        lambda: SpreadPartsFigure(
            found.band_low, found.band_high, offset_of(plan, band), _name(plan, band), note),
        predict="spread.predict_rounding",
    )


def dial_rates() -> LiveBench:
    """Tune along the dial and see what a hand can set, with and without band spread."""
    plan, note = _usable_plan()
    narrow = narrow_band(plan)
    dials = {"whole": cover(solved(plan, OTHER[narrow])), "spread": cover(solved(plan, narrow))}
    degrees, drive = plan.value("dial.degrees"), drive_of(plan)

    def compute(dial: str, angle: float, reduction: float, signal: str):
        return rate_dial(dials[dial], Drive(reduction, drive.divisions), angle, signal=signal)

    return live(
        "What a hand can set",
        [
            Choice(key="dial", label="The dial is laid out for", start="whole", options={
                "whole": f"{_name(plan, OTHER[narrow])}, the wider band",
                "spread": f"{_name(plan, narrow)}, spread over the whole turn"}),
            Knob(key="angle", label="Shaft opened by", unit="°", low=0, high=degrees,
                 start=degrees / 2, fine=degrees / 180, coarse=degrees / 12),
            Knob(key="reduction", label="Turns of the knob to one of the shaft", unit="", low=1,
                 high=200, start=drive.reduction, fine=1, coarse=10),
            Choice(key="signal", label="You listen to", options=SIGNALS, start="code"),
        ],
        compute,
        lambda: DialFigure(degrees, note),
        predict="spread.predict_hand",
    )


def switched_capacitor() -> LiveBench:
    """Switch a capacitor across the tank and pull the dial to a time station or the other band."""
    plan, note = _usable_plan(on_one_dial=True)
    narrow = narrow_band(plan)
    to_signal = offset_of(plan, narrow)
    dials = {"whole": solved(plan, OTHER[narrow]), "spread": solved(plan, narrow)}
    targets = _targets(plan, narrow, dials["whole"])

    def compute(dial: str, switched: float, target: str):
        frequency, where = targets[target][1:]
        if dial == "spread" and target == "band":
            where = plan.value("dial.degrees") / 2
        return switch_in(dials[dial], switched, frequency, where)

    whole = cover(dials["whole"])
    edges = [whole.low, whole.high, *(target[1] for target in targets.values())]
    low, high = min(edges) + to_signal, max(edges) + to_signal
    room = 0.12 * (high - low)
    return live(
        "A capacitor switched in",
        [
            Choice(key="dial", label="The dial", start="whole", options={
                "whole": f"as laid out for {_name(plan, OTHER[narrow])}",
                "spread": f"spread for {_name(plan, narrow)}"}),
            Knob(key="switched", label="Switched capacitor", unit="F", low=0, high=50 * PF,
                 start=0, fine=0.1 * PF, coarse=1 * PF, prefix="p", decimals=1),
            Choice(key="target", label="You want", start=next(iter(targets)),
                   options={key: target[0] for key, target in targets.items()}),
        ],
        compute,
        lambda: SwitchedDialFigure(low - room, high + room, to_signal, note),
        predict="spread.predict_switched",
    )


def _targets(plan: Plan, narrow: str, whole: Network) -> dict[str, tuple[str, float, float]]:
    """What to pull to on the narrower band: words, oscillator (Hz), place on the turn (°)."""
    to_signal = offset_of(plan, narrow)
    middle = (plan.value(f"{narrow}.low") + plan.value(f"{narrow}.high")) / 2
    station = min((row.low for row in TIME_STATIONS), key=lambda f: abs(f - middle))
    targets = {}
    if abs(station - middle) <= 0.05 * middle:
        targets["station"] = (
            f"the time station on {show(station, 'Hz')} at the low end", station - to_signal, 0.0)
    wide = cover(whole)
    centre = whole.angle_for((wide.low + wide.high) / 2)
    targets["band"] = (
        f"the middle of {_name(plan, narrow)} at the middle of the dial",
        middle - to_signal, centre)
    return targets


def tracking() -> LiveBench:
    """Track oscillator and signal circuit on one gang: three points, and the best there is."""
    plan = the_desk().plan()
    bands = {"medium": ("medium wave on 455 kHz", *MEDIUM_WAVE, BROADCAST_GANG),
             "short": ("5.9 to 18 MHz on 455 kHz", *SHORT_WAVE, BROADCAST_GANG)}
    left_out = []
    for band in OTHER:
        ends = plan.value("tuning_capacitor.minimum"), plan.value("tuning_capacitor.maximum")
        if plan.value(f"{band}.injection") == "high":
            bands[band] = (f"your {_name(plan, band)}", plan.value(f"{band}.low"),
                           plan.value(f"{band}.high"), plan.value("intermediate_frequency"), ends)
        else:
            left_out.append(_name(plan, band))
    # A padder makes the oscillator's range the smaller ratio: it must run above the signal.
    without = f" ({' and '.join(left_out)} left out: low side)" if left_out else ""

    def compute(band: str, inset: float, loaded_q: float, padder: float):
        _, low, high, intermediate, ends = bands[band]
        return track(low, high, intermediate, *ends, inset=inset / 100, loaded_q=loaded_q,
                     padder_off=padder / 100)

    return live(
        "One gang for both circuits",
        [
            Choice(key="band", label=f"Band{without}", start="medium",
                   options={key: row[0] for key, row in bands.items()}),
            Knob(key="inset", label="Outer tracking points, inside the ends by", unit="%", low=0,
                 high=40, start=7, fine=0.5, coarse=5, decimals=1),
            Knob(key="loaded_q", label="Loaded Q of the signal circuit", unit="", low=10, high=200,
                 start=50, fine=1, coarse=10),
            Knob(key="padder", label="Padder off by", unit="%", low=-10, high=10, start=0,
                 fine=0.5, coarse=2, decimals=1),
        ],
        compute,
        TrackingFigure,
        predict="spread.predict_tracking",
    )


def drift() -> LiveBench:
    """Warm the oscillator up, and make up for its coil with a capacitor that shrinks."""
    plan, note = _usable_plan()
    whole = cover(solved(plan, OTHER[narrow_band(plan)]))
    middle = plan.value("dial.degrees") / 2
    total = float(whole.network.total_at(middle))
    frequency, rate = (float(f(middle)) for f in (whole.network.frequency_at,
                                                  whole.network.rate_at))
    rest = plan.value("drift.capacitors")

    def compute(coil: float, kind: str, fitted: float, rise: float):
        return compensate(frequency, total, coil, rest, kind, fitted, rise=rise, rate=rate)

    most = min(60 * PF, PF * math.floor(total / PF))
    return live(
        "Warming up",
        [
            Knob(key="coil", label="Coil grows by, each °C", unit="ppm", low=0, high=200,
                 start=min(200.0, plan.value("drift.coil")), fine=1, coarse=10),
            Choice(key="kind", label="Compensating capacitor",
                   start=plan.value("drift.compensator"),
                   options={"P2G": "N150", "S2H": "N330", "T2H": "N470", "U2J": "N750",
                            "P3K": "N1500"}),
            Knob(key="fitted", label="So much of the tank is of that kind", unit="F", low=0,
                 high=most, start=0, fine=most / 120, coarse=most / 12, prefix="p", decimals=1),
            Knob(key="rise", label="Warmer by", unit="°C", low=1, high=30, start=15, fine=1,
                 coarse=5),
        ],
        compute,
        lambda: DriftFigure(note),
        predict="spread.predict_drift",
    )


def _name(plan: Plan, band: str) -> str:
    """The band's name, cut off where it would not fit a picture."""
    return cut(plan.shown(f"{band}.name"), LONGEST_NAME)


def _law(start: str) -> Choice:
    return Choice(key="law", label="Plates cut for", options=dict(PLATE_LAWS), start=start)


def _usable_plan(*, on_one_dial: bool = False) -> tuple[Plan, str]:
    """The learner's plan if it gives a dial for both bands; else the demo, and why.

    ``on_one_dial``: what is shown is one band on the other's dial, so say why where that fails.
    """
    plan = the_desk().plan()
    try:
        for band in OTHER:
            cover(solved(plan, band))
    except Unclear as reason:
        return Plan.demo(), _stands_in(reason)
    scheme = scheme_of(plan)
    if not on_one_dial or scheme.works and not scheme.gap:
        return plan, ""
    why = scheme.reasons or (f"On your intermediate frequency {show(scheme.gap, 'Hz')} lie between "
                             "the oscillator's ranges for your two bands.",)
    return plan, f"{' '.join(why)} So each of your bands needs a dial of its own."


def _stands_in(reason: Unclear) -> str:
    return f"Your plan gives no dial to draw. {reason} The demo receiver stands in."

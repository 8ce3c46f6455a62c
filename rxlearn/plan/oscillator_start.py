"""Whether the plan's oscillator starts on its bands, in numbers and in words."""

from __future__ import annotations

import math

from rxlearn.compute.coil_taps import tap
from rxlearn.compute.coil_ways import AIR
from rxlearn.compute.oscillator_start import SURE, OscillatorStart, oscillator_start
from rxlearn.compute.quantities import Unclear, show
from rxlearn.plan.band_spread import band_of
from rxlearn.plan.circuits import valve_of
from rxlearn.plan.coils import tap_turns, way_of, winding_of
from rxlearn.plan.document import Plan
from rxlearn.plan.fields import FIELDS
from rxlearn.plan.stages import BANDS

COIL = "oscillator_coil"


def starts_of(plan: Plan) -> dict[str, OscillatorStart]:
    """The oscillator's loop at the low end of each band, where a tank of one Q has least resistance.

    Raises Unclear where a band or the coil cannot work.
    """
    way, valve = way_of(plan, COIL), valve_of(plan, "oscillator")
    return {band: oscillator_start(
        plan.value("oscillator.inductance"), band_of(plan, band).oscillator_low,
        max(10.0, min(way.middling_q, 1000.0)), tap_share(plan), valve) for band in BANDS}


def tap_share(plan: Plan) -> float:
    """The share of the coil's voltage at its tap, a ratio: the turns' but for an air coil.

    There not all turns see one field, so that a tap near the end has less.
    """
    way = way_of(plan, COIL)
    turns = tap_turns(way)
    if way.kind == AIR:
        try:
            return tap(winding_of(plan, COIL), turns, 1.0).true
        except Unclear:
            pass  # less than a turn from an end: too short a coil for the finer answer
    return min(0.9, turns / way.turns)


def start_words(plan: Plan) -> str:
    """How much comes back round the loop on each band; raises Unclear."""
    each = ", ".join(f"{show(start.gain, '', digits=2)} on {plan.value(f'{band}.name')}"
                     for band, start in starts_of(plan).items())
    return f"gain round its loop {each}, at the low end of each; above 1 it starts, {SURE:g} is sure"


def slow_to_start(plan: Plan) -> tuple[str, ...]:
    """A sentence for each band on which the oscillator may not start; none where nothing can be said."""
    try:
        found = starts_of(plan)
    except Unclear:
        return ()  # said where the band or the coil stands
    return tuple(_sentence(plan, band, start) for band, start in found.items() if not start.sure)


def _sentence(plan: Plan, band: str, start: OscillatorStart) -> str:
    way = way_of(plan, COIL)
    at = show(start.frequency, "Hz", digits=4)
    larger = start.inductance_wanted
    coil, wound = FIELDS["oscillator.inductance"].label, FIELDS[f"{COIL}.kind"].label
    size = f", {show(larger, 'H', digits=2)} or more" if math.isfinite(larger) else ""
    cure = (f"a larger coil (“{coil}”{size}) with less capacitance "
            f"(“{FIELDS['band_spread.parallel'].label}” is then to be worked out anew)")
    return (f"Oscillator: may not start on {plan.value(f'{band}.name')}. The gain round its loop is "
            f"{show(start.gain, '', digits=2)}, and only {SURE:g} is sure: the tap at turn {tap_turns(way):.3g} of "
            f"{show(way.turns, '', digits=4)} has {100 * start.share:.0f} % of the voltage, the valve gives "
            f"{show(start.current, 'S', digits=2)} from the tank's top, and the tank has "
            f"{show(start.resistance, 'Ω', digits=2)} at {at} with a Q of {start.q:.0f}. Choose {cure}, a coil of "
            f"higher Q (“{wound}”), or a valve of more transconductance.")

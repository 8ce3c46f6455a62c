"""The worked example on coils: the plan's oscillator coil, wound."""

from __future__ import annotations

from collections.abc import Iterator

from rxlearn.compute.coil_q import coil_loss
from rxlearn.compute.coil_ways import AIR, LAYERS, SLUG
from rxlearn.compute.coils import Coil, coil_uncertainty, turns_wanted, wheeler_inductance
from rxlearn.compute.quantities import show
from rxlearn.compute.tank import capacitance_for, resonant_frequency
from rxlearn.compute.toroid import ring_turns, wind_layers, wind_ring, wind_slug
from rxlearn.plan.coil_fields import KINDS
from rxlearn.plan.coils import LEADS, core_of, frequency_of, turns_and_length, wanted_of, wire_of
from rxlearn.plan.document import Plan

OSCILLATOR = "oscillator_coil"


def coil_steps(plan: Plan) -> Iterator[str]:
    """From the wanted inductance to wire, turns, length, uncertainty and what that means.

    Raises :class:`~rxlearn.compute.quantities.Unclear` at the step that the plan cannot take.
    """
    wanted, frequency = wanted_of(plan, OSCILLATOR), frequency_of(plan, OSCILLATOR)
    yield (f"The plan wants {_henry(wanted)} for the oscillator, which works near "
           f"{show(frequency, 'Hz', digits=5)}.")
    kind = plan.value(f"{OSCILLATOR}.kind")
    if kind == AIR:
        yield from _air(plan, wanted, frequency)
    elif kind in (SLUG, LAYERS):
        yield from _slug(plan, wanted, frequency, kind)
    else:
        yield from _ring(plan, wanted, kind)


def _air(plan: Plan, wanted: float, frequency: float) -> Iterator[str]:
    wire, former = wire_of(plan, OSCILLATOR), plan.value(f"{OSCILLATOR}.diameter")
    diameter, length = former + wire.overall, plan.value(f"{OSCILLATOR}.length")
    exact = turns_wanted(wanted, former, wire, frequency=frequency)
    yield (f"The former is {_mm(former)}; the wire's middle lies half its thickness further out, so "
           f"the mean diameter is {_mm(diameter)}.")
    yield (f"Wound tightly it would take {exact.turns:.3g} turns on {_mm(exact.length)}. Spread, it "
           "has a better Q and can be adjusted.")
    turns, length = turns_and_length(plan, OSCILLATOR)
    coil = Coil(turns=turns, former=former, length=length, wire=wire)
    rule = wheeler_inductance(turns, diameter, length)
    yield (f"With {turns:.0f} turns over {_mm(length)} Wheeler's rule gives D²N²/(457D + 1016l) = "
           f"{1e3 * diameter:.3g}² × {turns:.0f}² / (457 × {1e3 * diameter:.3g} + 1016 × "
           f"{1e3 * length:.3g}) = {_henry(rule)}.")
    found = coil.inductance_at(frequency)
    yield (f"Round wire with gaps, at that frequency: {_henry(found)}, "
           f"{100 * (found / rule - 1):+.1f} % from the rule.")
    fits = "they fit" if coil.fits else "they do not fit: take thinner wire"
    yield (f"{turns:.0f} turns of {wire.name} need {_mm(turns * wire.overall)} side by side of the "
           f"{_mm(length)} there are: {fits}. One every {_mm(coil.pitch)}.")
    yield (f"Wire: {turns:.0f} times the circumference makes {show(coil.wire_length, 'm', digits=3)}; "
           f"with two leads of {_mm(LEADS / 2)} cut {show(coil.wire_length + LEADS, 'm', digits=3)}.")
    loss = coil_loss(coil, frequency)
    yield (f"Q: the skin is {show(loss.depth, 'm', digits=2)} deep, resistance {loss.skin:.2g} times "
           f"up, neighbours {loss.proximity:.2g} times more: {loss.q:.0f} by the wire; expect half "
           "to nine tenths of it.")
    yield _uncertain(frequency, found, coil_uncertainty(coil))


def _uncertain(frequency: float, inductance: float, share: float) -> str:
    """What is left uncertain, as a frequency."""
    across = capacitance_for(frequency, inductance)
    moved = resonant_frequency(inductance * (1 + share), across) - frequency
    return (f"What the hand leaves uncertain is {100 * share:.1f} %, half of that in frequency: "
            f"{show(abs(moved), 'Hz', digits=2)}. So wind, measure, and spread the ends.")


def _ring(plan: Plan, wanted: float, name: str) -> Iterator[str]:
    wire, core = wire_of(plan, OSCILLATOR), core_of(plan, name)
    called = KINDS[name][0].upper() + KINDS[name][1:]
    exact = ring_turns(wanted, core.inductance_factor)
    ring = wind_ring(wanted, name, wire, {name: core})
    yield (f"{called} has {show(core.inductance_factor, 'H', digits=3)} to the turn, squared: N = "
           f"√({_henry(wanted)} / {show(core.inductance_factor, 'H', digits=3)}) = {exact:.4g}.")
    yield (f"There are only whole turns: {ring.turns} give {_henry(ring.inductance)}, "
           f"{100 * (ring.inductance / wanted - 1):+.1f} % off, and the core may be "
           f"{100 * ring.uncertainty:.0f} % off on top.")
    room = "they fit in one layer" if ring.fits else "they do not fit: take thinner wire"
    yield (f"Side by side {ring.most_turns} turns of {wire.name} have room inside the ring: {room}.")
    yield (f"Wire: {show(ring.wire_length, 'm', digits=3)}; with leads cut "
           f"{show(ring.wire_length + LEADS, 'm', digits=3)}.")
    yield (f"Such iron drifts by {core.drift:.0f} ppm a degree. Its Q is usually 150 to 250; measure "
           "yours. A trimmer across the tank takes up the rest.")


def _slug(plan: Plan, wanted: float, frequency: float, kind: str) -> Iterator[str]:
    wire, former = wire_of(plan, OSCILLATOR), plan.value(f"{OSCILLATOR}.diameter")
    if kind == LAYERS:
        found = wind_layers(wanted, former, plan.value(f"{OSCILLATOR}.length"), wire)
        laid = f"in {found.coil.layers:.0f} layers"
    else:
        found, laid = wind_slug(wanted, former, wire, frequency), "side by side"
    yield (f"On {_mm(former)} with a core of iron dust the inductance grows up to {found.gain:.2g} "
           "times, by estimate, when the core goes all the way in.")
    yield (f"{found.coil.turns:.0f} turns {laid}, {_mm(found.coil.length)} long, have "
           f"{_henry(found.out)} without the core and about {_henry(found.fully_in)} with it.")
    place = (wanted - found.out) / (found.fully_in - found.out)
    yield (f"What is wanted lies {100 * place:.0f} % of the way, so that a third less from the core "
           "would still reach it.")
    yield (f"Wire: {show(found.coil.wire_length, 'm', digits=3)}; with leads cut "
           f"{show(found.coil.wire_length + LEADS, 'm', digits=3)}. Set it on the counter, and lock "
           "the core.")


def _henry(value: float) -> str:
    return show(value, "H", digits=4)


def _mm(length: float) -> str:
    return show(length, "m", prefix="m", digits=3)

"""The worked example on the crystal filter: the plan's ladder, from one crystal to the beat oscillator."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rxlearn.compute.beat import ABOVE, UPPER, beat_side
from rxlearn.compute.crystal import Crystal
from rxlearn.compute.crystal_ladder import LadderDesign
from rxlearn.compute.ladder_build import BuiltLadder
from rxlearn.compute.filter_transformer import TransformedEnd, said
from rxlearn.compute.ladder_matching import NONE, SERIES, EndMatch
from rxlearn.compute.ladder_measures import opposite_sideband_db
from rxlearn.compute.quantities import show, show_span
from rxlearn.compute.tuning import is_sideband_inverted
from rxlearn.plan.crystal_filter import TONE, beat_of, crystal_of, filter_of
from rxlearn.plan.document import Plan


def crystal_filter_steps(plan: Plan) -> Iterator[str]:
    """Crystal, room, capacitors, ends, what comes of it, and the beat oscillator of either band.

    Raises :class:`~rxlearn.compute.quantities.Unclear` at the step that the plan cannot take.
    """
    crystal = crystal_of(plan)
    yield from _crystal(plan, crystal)
    built = filter_of(plan)
    yield from _parts(built)
    yield from _as_built(built)
    for band in ("lower_band", "upper_band"):
        yield _beat(plan, band, built)


def _crystal(plan: Plan, crystal: Crystal) -> Iterator[str]:
    measured = plan.value("crystal_filter.figures") == "measured"
    yield (f"{'Your' if measured else 'Usual'} crystals for "
           f"{show(plan.value('intermediate_frequency'), 'Hz')} have "
           f"{show(crystal.motional_inductance, 'H', digits=3)} in series with "
           f"{_farad(crystal.motional_capacitance)} and {show(crystal.resistance, 'Ω', digits=3)}, and "
           f"{_farad(crystal.parallel_capacitance)} across.")
    yield (f"Room: {show(crystal.frequency, 'Hz')} × {_farad(crystal.motional_capacitance)} / (2 × "
           f"{_farad(crystal.parallel_capacitance)}) = {_hz(crystal.spacing)} from the series to the "
           "parallel resonance.")


def _parts(built: BuiltLadder) -> Iterator[str]:
    design, count = built.design, len(built.ladder.crystals)
    share = 100 * design.room
    yield (f"{count} crystals of that room make at most {_hz(design.widest)}; the {_hz(design.wanted)} "
           f"wanted take {share:.0f} % of it.")
    yield (f"The width asks for a reactance of {show(_scale(design), 'Ω', digits=3)}, and the "
           "couplings of the prototype for " + ", ".join(map(_farad, design.ladder.couplings))
           + " between the crystals; bought: " + ", ".join(map(_farad, built.ladder.couplings)) + ".")
    series = [f"{_farad(c)} at crystal {place}"
              for place, c in enumerate(built.ladder.series, start=1) if c]
    if series:
        yield (f"In series, so that every crystal with its neighbours resonates on one frequency: "
               f"{', '.join(series)}.")
    yield (f"Either end must see {show(design.termination, 'Ω', digits=3)}: "
           f"{_end(built.source)} at the mixer, {_end(built.load)} at the amplifier's grid.")


def _scale(design: LadderDesign) -> float:
    """The design width's reactance of the motional inductance, Ω."""
    return 2 * math.pi * design.stretched * design.crystal.motional_inductance


def _end(end: EndMatch) -> str:
    if isinstance(end, TransformedEnd):
        return said(end)
    if end.way == NONE:
        return "nothing is needed"
    where = "in series" if end.way == SERIES else "across it"
    return f"{show(end.resistor, 'Ω')} {where}"


def _as_built(built: BuiltLadder) -> Iterator[str]:
    found = built.measures
    yield (f"Built so, it passes {show_span(found.low[1], found.high[1], 'Hz', digits=8)} (6 dB), "
           f"{_hz(found.width_6)}, with {_db(found.ripple_db)} of ripple and a loss of "
           f"{_db(found.insertion_loss_db)} in itself.")
    if math.isnan(found.shape_factor):
        yield (f"60 dB down it never is on both sides: ten widths off, {_db(found.ultimate_db)} are "
               "all. More crystals would be steeper.")
    else:
        yield f"60 dB down it is {_hz(found.width_60)} wide: shape factor {found.shape_factor:.2f}."
    yield (f"Its crystals must agree to about a tenth of the width, {_hz(built.design.wanted / 10)}: "
           "measure a handful, take those closest together.")


def _beat(plan: Plan, band: str, built: BuiltLadder) -> str:
    side = beat_side(UPPER, is_sideband_inverted(plan.value(f"{band}.injection")))
    place = beat_of(plan, side)
    offset = plan.value("beat_oscillator.offset")
    sign = "+" if side == ABOVE else "-"
    down = float(opposite_sideband_db(built.ladder, place, TONE, side)[0])
    return (f"{plan.shown(f'{band}.name')}, upper sideband: the beat oscillator belongs {side} the "
            f"pass band, on {_mhz(built.measures.centre)} {sign} {_hz(offset)} = {_mhz(place)}. There "
            f"a tone of {_hz(TONE)} from the other sideband is {_db(down)} weaker.")


def _farad(value: float) -> str:
    return show(value, "F", digits=3)


def _db(value: float) -> str:
    return show(value, "dB", decimals=1)


def _hz(value: float) -> str:
    return show(value, "Hz", digits=4)


def _mhz(value: float) -> str:
    return show(value, "Hz", prefix="M", digits=7)

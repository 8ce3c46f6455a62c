"""The worked example on spurious responses, recomputed from whatever plan is in use."""

from __future__ import annotations

from collections.abc import Iterator

from rxlearn.compute.mixer_levels import LIMITS
from rxlearn.compute.quantities import show
from rxlearn.compute.spurs import (
    BREAKTHROUGH, HALF_IF, IMAGE, WANTED, Response, Spurious, spurious_responses,
)
from rxlearn.compute.tuning import HIGH
from rxlearn.compute.whistles import whistles
from rxlearn.plan.document import Plan
from rxlearn.plan.spurious import BANDS, band_plan
from rxlearn.plan.spurious_rows import ORDER


def spurious_steps(plan: Plan) -> Iterator[str]:
    """Both bands: oscillator, the named responses with their levels, and the whistles.

    Raises :class:`~rxlearn.compute.quantities.Unclear` at the step that the plan cannot take.
    """
    for band in BANDS:
        found = band_plan(plan, band)
        middle = (found.band_low + found.band_high) / 2
        heard = spurious_responses(
            found, middle, order=ORDER, loaded_q=plan.value("preselector.loaded_q"),
            circuits=plan.value("preselector.circuits"), region=plan.value("region"))
        sign = "+" if found.injection == HIGH else "-"
        intermediate = found.intermediate_frequency
        yield (f"{plan.shown(f'{band}.name')}, middle: {_mhz(middle)} {sign} {_mhz(intermediate)} "
               f"= {_mhz(heard.oscillator)} for the oscillator.")
        yield _named(heard, IMAGE, "Image")
        yield _named(heard, BREAKTHROUGH, "Breakthrough")
        yield _half(heard)
        yield _strongest(heard)
        yield _whistling(found)
    yield LIMITS


def _named(heard: Spurious, kind: str, name: str) -> str:
    """The response of a kind that has one of them."""
    found = heard.of_kind(kind)
    if not found:
        return f"{name}: it falls on zero, where nothing transmits."
    row = found[0]
    return f"{name}: {row.name} = IF, on {_mhz(row.frequency)}; {_level(row)}."


def _half(heard: Spurious) -> str:
    """The nearer of the half-IF responses."""
    found = heard.of_kind(HALF_IF)
    row = min(found, key=lambda row: abs(row.frequency - heard.signal))
    half = _mhz(heard.plan.intermediate_frequency / 2)
    return (f"Half-IF response: {row.name} = IF, half an IF ({half}) from the oscillator, on "
            f"{_mhz(row.frequency)}; {_level(row)}.")


def _strongest(heard: Spurious) -> str:
    """What comes through best, and who is there."""
    row = next(row for row in heard.responses if row.kind != WANTED)
    there = f", where the table holds {row.there[0]}" if row.there else ""
    return (f"The strongest of all up to order {heard.order} is {row.name} on "
            f"{_mhz(row.frequency)}{there}, at {_db(row.level_db)}.")


def _whistling(plan) -> str:
    """The whistles of a band, and how fast they run."""
    found = whistles(plan, order=ORDER)
    if not found:
        return f"No product up to order {ORDER} crosses this band: no whistle."
    words = "; ".join(
        f"{show(w.signal, 'Hz', prefix='k', decimals=1)} by {w.name}, pitch {w.pitch_slope} kHz for "
        "each kHz tuned" for w in found[:4])
    return f"Whistles up to order {ORDER}: {words}."


def _level(row: Response) -> str:
    return (f"the preselector takes {_db(row.attenuation_db)}, and with the mixer it comes to "
            f"{_db(row.level_db)}")


def _db(value: float) -> str:
    return show(value, "dB", decimals=1)


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", digits=8)

"""The worked example on the stages: currents, frequencies, levels, noise, with the plan's numbers."""

from __future__ import annotations

from collections.abc import Iterator

from rxlearn.compute.noise import dbm_to_volts, say_s_units
from rxlearn.compute.quantities import show
from rxlearn.compute.stages import FollowedSignal
from rxlearn.plan.document import Plan
from rxlearn.plan.stages import BANDS, currents_of, followed, stages_of


def stage_by_stage_steps(plan: Plan) -> Iterator[str]:
    """Sums first, then the signal on each band, then noise and overload."""
    yield from _sums(plan)
    found = [followed(plan, band) for band in BANDS]
    for band, one in zip(BANDS, found, strict=True):
        yield _frequencies(plan.shown(f"{band}.name"), one)
    yield _levels(found[0])
    yield from _noise(found[0])
    yield _overload(found[0])


def _sums(plan: Plan) -> Iterator[str]:
    currents, stages = currents_of(plan), stages_of(plan)
    heaters = " + ".join(show(s.heater_current, "A") for s in stages if s.heater_current)
    yield f"Heaters: {heaters} = {show(currents.heaters, 'A')}."
    drawn = " + ".join(show(s.supply_current, "A") for s in stages if s.supply_current)
    yield f"High tension: {drawn} = {show(currents.supply, 'A')}, the supply's load without bleeder."


def _frequencies(name: str, found: FollowedSignal) -> str:
    sign = "+" if found.oscillator > found.signal else "-"
    words = (f"{name}, middle: {_mhz(found.signal)} {sign} {_mhz(found.intermediate_frequency)} puts the "
             f"oscillator on {_mhz(found.oscillator)}; behind the mixer all is "
             f"{_mhz(found.intermediate_frequency)}")
    if found.beat is None:
        return f"{words}."
    return (f"{words}; the beat oscillator, for the upper sideband on {_mhz(found.beat)}, makes "
            f"a tone of {show(found.tone, 'Hz', digits=3)}.")


def _levels(found: FollowedSignal) -> str:
    gains = " ".join(f"{row.stage.gain_db or 0.0:+g}" for row in found.levels)
    return (f"{say_s_units(found.aerial_dbm)}, {show(found.aerial, 'V', digits=3)} at the aerial: "
            f"{gains} = {found.gain_db:+g} dB to the output valve's anode.")


def _noise(found: FollowedSignal) -> Iterator[str]:
    if found.own_noise_dbm is None:
        yield "The workbook knows the noise of none of your valves."
        return
    yield (f"Own noise figure {show(found.noise_figure_db, 'dB', digits=3)}: "
           f"{found.own_noise_dbm:.0f} dBm in {found.bandwidth / 1e3:g} kHz. From outside "
           f"({found.place}) come {found.external_dbm:.0f} dBm. The larger rules.")


def _overload(found: FollowedSignal) -> str:
    if found.overload_dbm is None:
        return "The workbook knows the bias of none of your valves."
    words = ("The first grid to be driven positive at full volume is the "
             f"{found.first_overloaded.name}'s, from {found.overload_dbm:.0f} dBm ({say_s_units(found.overload_dbm)})")
    if found.signal_overload_dbm is None or found.signal_overload_dbm == found.overload_dbm:
        return f"{words}."
    volts = show(dbm_to_volts(found.signal_overload_dbm), "V", digits=3)
    return (f"{words}; turn the volume down. Before the detector it is "
            f"{found.signal_overload_dbm:.0f} dBm, {volts} at the aerial.")


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)

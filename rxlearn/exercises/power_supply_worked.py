"""The worked example of the power supply: from the winding to the wait before a hand goes near."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rxlearn.compute.audio_matching import turns_ratio
from rxlearn.compute.power_supply import highest_voltage, solve
from rxlearn.compute.quantities import show
from rxlearn.compute.supply_parts import CHOKE_INPUT, HALF_WAVE, Supply, peak
from rxlearn.compute.supply_ratings import check_ratings, exceeded, highest_inverse, primary_fuse
from rxlearn.compute.supply_result import SupplyResult
from rxlearn.compute.supply_rules import rules_for
from rxlearn.compute.supply_switch_off import switch_off
from rxlearn.data.cautions import LIMIT
from rxlearn.plan.document import Plan
from rxlearn.plan.power_supply import open_checks, supply_of


def power_supply_steps(plan: Plan) -> Iterator[str]:
    """Each number of the plan's supply, the rule of thumb first and the computed one beside it."""
    supply = supply_of(plan)
    found = solve(supply)
    yield from _at_load(supply, found)
    yield from _worst(supply)
    yield from _switched_off(supply)
    yield _matched(plan)
    left = open_checks(plan)
    yield ("Before first power: " + (f"{len(left)} checks are open, so not yet." if left else
                                     "all checks have passed. In steps, with your mentor."))


def _at_load(supply: Supply, found: SupplyResult) -> Iterator[str]:
    rules = {rule.key: rule.estimate for rule in rules_for(found)}
    winding = supply.transformer.voltage
    gets = ("the load, behind the choke, gets" if supply.input == CHOKE_INPUT else
            f"the first capacitor gets {_volts(found.capacitors[0].direct)}, and the load")
    yield (f"Peak of the winding: √2 × {_volts(winding)} = {_volts(peak(winding))}. With "
           f"{_milliamperes(found.direct_current)} drawn {gets} {_volts(found.output_voltage)}.")
    times = 1 if supply.arrangement == HALF_WAVE else 2
    if "sawtooth" in rules:
        yield (f"Ripple there by the rule: {_milliamperes(found.direct_current)} / "
               f"({times} × {supply.transformer.frequency:.0f} Hz × "
               f"{show(supply.sections[0].capacitance, 'F', prefix='µ')}) = "
               f"{_volts(rules['sawtooth'], 1)} peak to peak; computed "
               f"{_volts(found.capacitors[0].ripple_peak_to_peak, 1)}. Choke and second capacitor leave "
               f"{show(found.capacitors[-1].ripple_rms, 'V', digits=3)} r.m.s.")
    yield (f"Each rectifier carries peaks of {_milliamperes(found.elements[0].peak)}; each half of the "
           f"winding is heated by {_milliamperes(max(found.winding_rms))} r.m.s.")


def _worst(supply: Supply) -> Iterator[str]:
    high = 1 + supply.transformer.mains_tolerance
    top = highest_voltage(supply, high)
    yield (f"The worst hour: mains {100 * (high - 1):.0f} % high, nothing drawn. The capacitors stand at "
           f"{_volts(top)}, and a rectifier bears {_volts(highest_inverse(supply))} in reverse.")
    worst = solve(supply, mains=high)
    broken = exceeded(check_ratings(worst))
    yield ("Ratings: " + (" ".join(broken) if broken else "all that the plan names are kept."))
    yield f"Fuse: {primary_fuse(worst).sentence}"


def _switched_off(supply: Supply) -> Iterator[str]:
    off = switch_off(supply)
    total = sum(section.capacitance for section in supply.sections)
    start = max(off.start)
    yield (f"The plug is out: {show(total, 'F', prefix='µ', digits=3)} at {_volts(start)} hold "
           f"½ × {show(total, 'F', prefix='µ', digits=3)} × ({_volts(start)})² = "
           f"{show(off.energy, 'J', digits=3)}.")
    constant = supply.bleeder * total
    yield (f"With a sound bleeder: {show(supply.bleeder, 'Ω')} × "
           f"{show(total, 'F', prefix='µ', digits=3)} = {show(constant, 's', digits=3)}, times "
           f"ln({_volts(start)} / {_volts(LIMIT.volts)}) = {math.log(start / LIMIT.volts):.2f}: "
           f"{show(off.time_to_threshold, 's', digits=3)} to {LIMIT.name}. Wait longer, discharge "
           "through the lead, then measure each capacitor.")


def _matched(plan: Plan) -> str:
    load, speaker = plan.value("output.anode_load"), plan.value("output.loudspeaker")
    return (f"Output transformer: √({show(load, 'Ω')} / {show(speaker, 'Ω')}) = "
            f"{turns_ratio(load, speaker):.3g} primary turns to one secondary turn.")


def _volts(value: float, decimals: int = 0) -> str:
    return show(value, "V", prefix="", decimals=decimals)


def _milliamperes(value: float) -> str:
    return show(value, "A", prefix="m", decimals=0)

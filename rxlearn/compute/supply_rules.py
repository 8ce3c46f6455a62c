"""Rules of thumb about power supplies, beside what the supply does, and where each fails.

SI units.  Each rule is a common engineering formula; DERIVED ones follow from
the definition named.  The computed number is
:func:`rxlearn.compute.power_supply.solve`'s.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rxlearn.compute.supply_parts import (
    BRIDGE,
    CAPACITOR_INPUT,
    FULL_WAVE,
    HALF_WAVE,
    Supply,
    capacitor_name,
    peak,
)
from rxlearn.compute.supply_result import SupplyResult


@dataclass(frozen=True)
class Rule:
    """A rule about ``quantity``: its ``formula`` in words.

    ``estimate`` by the rule and ``computed``, both in ``unit``; ``fails`` says
    where the rule stops being true.
    """

    key: str
    quantity: str
    formula: str
    estimate: float
    computed: float
    unit: str
    fails: str

    @property
    def error(self) -> float:
        """How far the rule lies above (+) or below the computed number, as a ratio."""
        return self.estimate / self.computed - 1 if self.computed else math.inf


def rules_for(result: SupplyResult) -> tuple[Rule, ...]:
    """The rules that the trade would apply to this supply."""
    if result.direct_current == 0:
        return (_unloaded(result), _inverse(result))
    if result.supply.input == CAPACITOR_INPUT:
        found = [_peak(result), _sawtooth(result), _winding(result)]
    else:
        found = [_average(result)]
        if result.critical_inductance is not None:
            found += [_critical(result), _first_section(result)]
    return (*found, *_sections(result), _inverse(result), _unloaded(result))


def l_section_ripple(inductance: float, capacitance: float, frequency: float) -> float:
    """Ripple factor (r.m.s. over direct) of choke input: (√2/3)/(4ω²LC), ω of the mains.

    Second harmonic alone, X_L much greater than X_C, current never stopping
    (Millman and Halkias; DERIVED from the Fourier series): 0.8292/(LC) at
    60 Hz and 1.1941/(LC) at 50 Hz with H and µF.
    """
    omega = 2 * math.pi * frequency
    return math.sqrt(2) / 3 / (4 * omega**2 * inductance * capacitance)


def capacitor_ripple(load: float, capacitance: float, ripple_frequency: float) -> float:
    """Ripple factor of capacitor input into ``load`` (Ω): 1/(2√3·f_r·C·R), f_r of the ripple.

    A sawtooth: the capacitor discharges in a straight line all the time
    (Millman and Halkias, from memory; DERIVED).
    """
    return 1 / (2 * math.sqrt(3) * ripple_frequency * capacitance * load)


def _driving(supply: Supply) -> float:
    return supply.transformer.emf


def _peak(result: SupplyResult) -> Rule:
    return Rule(
        "peak", f"direct voltage at {capacitor_name(1)}", "√2 × winding voltage",
        peak(result.supply.transformer.voltage * result.mains), result.capacitors[0].direct, "V",
        "true without load only: winding resistance and short conduction take the rest, the more "
        "the larger the load",
    )


def _sawtooth(result: SupplyResult) -> Rule:
    supply = result.supply
    capacitance = supply.sections[0].capacitance
    return Rule(
        "sawtooth", f"ripple at {capacitor_name(1)}, peak to peak", "current / (f × C)",
        result.direct_current / (supply.ripple_frequency * capacitance),
        result.capacitors[0].ripple_peak_to_peak, "V",
        "too high where the rectifier conducts for a good part of the time (small capacitor, high "
        "resistance), too low where unequal halves leave ripple at the mains frequency",
    )


def _winding(result: SupplyResult) -> Rule:
    share = {FULL_WAVE: 1.1, BRIDGE: 1.6, HALF_WAVE: 2.2}[result.supply.arrangement]
    return Rule(
        "winding", "r.m.s. current of the winding", f"{share} × direct current",
        share * result.direct_current, max(result.winding_rms), "A",
        "too low for low winding resistance and large first capacitors, whose pulses are short and "
        "tall (common practice, no source)",
    )


def _average(result: SupplyResult) -> Rule:
    half = 0.5 if result.supply.arrangement == HALF_WAVE else 1.0
    return Rule(
        "average", "direct voltage after a first choke", f"{0.9 * half:g} × winding voltage",
        half * 2 * math.sqrt(2) / math.pi * _driving(result.supply) * result.mains,
        result.capacitors[0].direct, "V",
        "the average of the sine, less every resistance's drop; below the critical inductance, and "
        "for half wave, the voltage does not follow it at all",
    )


def _critical(result: SupplyResult) -> Rule:
    load = result.capacitors[0].direct / result.branches[0].direct
    hertz = result.supply.transformer.frequency
    return Rule(
        "critical", "least choke for a current that never stops",
        "load resistance / 1000 (for 60 Hz)", load / 1000 * 60 / hertz, result.critical_inductance,
        "H", "the exact formula is R/(6πf): R/1131 at 60 Hz, so the rule leaves an eighth to "
        "spare; chokes lose inductance with current and load falls when valves are cold",
    )


def _first_section(result: SupplyResult) -> Rule:
    section, state = result.supply.sections[0], result.capacitors[0]
    factor = l_section_ripple(section.inductance, section.capacitance,
                              result.supply.transformer.frequency)
    return Rule(
        "choke input", f"ripple at {capacitor_name(1)}, r.m.s.",
        "0.47 / (4 ω² L C) × direct voltage", factor * state.direct, state.ripple_rms, "V",
        "wrong once the choke's current stops in each half period, or near resonance",
    )


def _sections(result: SupplyResult) -> list[Rule]:
    """Each further section as a voltage divider at the ripple frequency."""
    supply, found = result.supply, []
    omega = 2 * math.pi * supply.ripple_frequency
    for number in range(1, len(supply.sections)):
        section, before = supply.sections[number], result.capacitors[number - 1]
        if section.inductance > 0:
            divides, formula = omega**2 * section.inductance * section.capacitance - 1, "ω²LC − 1"
        else:
            divides, formula = omega * section.resistance * section.capacitance, "ω × R × C"
        if divides <= 1:
            continue
        found.append(Rule(
            f"section {number + 1}", f"ripple at {capacitor_name(number + 1)}, r.m.s.",
            f"ripple before / ({formula})", before.ripple_rms / divides,
            result.capacitors[number].ripple_rms, "V",
            "counts all ripple as its lowest harmonic, so it is too high by a little; far too low "
            "where unequal halves leave ripple at the mains frequency, useless near resonance",
        ))
    return found


def _inverse(result: SupplyResult) -> Rule:
    times = 1 if result.supply.arrangement == BRIDGE else 2
    return Rule(
        "inverse", "peak inverse voltage", f"{times * math.sqrt(2):.2f} × winding voltage",
        times * peak(result.supply.transformer.voltage * result.mains),
        result.peak_inverse_voltage, "V",
        "counts the rated winding voltage: high mains and the rise without load come on top",
    )


def _unloaded(result: SupplyResult) -> Rule:
    return Rule(
        "unloaded", "voltage with high mains and no load", "√2 × winding voltage",
        peak(result.supply.transformer.voltage), result.unloaded_voltage, "V",
        "leaves out high mains and the winding's rise without load: choose capacitors by the "
        "computed number",
    )

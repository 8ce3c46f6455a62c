"""Every place of the plan's circuits where a part goes, and what the part has to stand there.

One :class:`PartUse` for each place; :mod:`rxlearn.plan.parts` merges equal ones into lines.  What
a part must stand follows from the words by which its circuit calls it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from rxlearn.compute.circuits import (
    PARALLEL_CAPACITOR,
    POWER_SUPPLY,
    TRIMMER_ACROSS,
    CircuitNumbers,
    Part,
    ValveFigures,
    circuit_of,
    fed_current,
)
from rxlearn.compute.converter_circuit import SWITCH as CONVERTER_SWITCHING
from rxlearn.compute.part_ratings import (
    ResistorRating,
    is_preferred,
    preferred_pair,
    rate_capacitor,
    rate_resistor,
)
from rxlearn.compute.preferred_values import electrolytic_above, nearest_preferred, preferred_below
from rxlearn.compute.quantities import Unclear, parse, show
from rxlearn.compute.stages import CONVERTER_STAGES
from rxlearn.data.crystals import STOCK_CRYSTALS
from rxlearn.data.parts_trade import ELECTROLYTIC_FROM
from rxlearn.plan.circuits import (
    SAME_PARTS,
    circuit_in,
    circuit_name,
    circuits_in,
    numbers_of,
    valve_of,
)
from rxlearn.plan.document import Plan
from rxlearn.plan.power_supply import HIGH_MAINS
from rxlearn.plan.stages import stages_of

SERIES = "E12"
"""The series that capacitors are taken from; resistors come from E24."""

SPARE_CRYSTALS = 6
"""So many more crystals than the filter has leave a choice (common practice, no source)."""

IN_STOCK = 1e-5
"""A crystal within this part of a stock frequency is that one."""

_ANODE_COUPLINGS = {("signal_amplifier", "C5"), ("audio_amplifier", "C3")}
"""Plain “coupling” capacitors that hang at an anode; the others see no direct voltage."""

_AT_HIGH_TENSION = ("screen bypass", "anode bypass", "coupling to the filter",
                    "coupling to the mixer", "capacitor across it", "feed decoupling",
                    "high-tension bypass", "trimmer and capacitor across it")
"""Capacitors that stand at the high tension, by their words."""


COMPENSATING = "compensating capacitor"
"""What the oscillator's circuit calls it: only its own temperature kind will do."""

_IN_TANK = ("series capacitor", "capacitor across the variable", "recentring capacitor")
"""The other capacitors of the oscillator's tank besides those with a trimmer, by their words."""

_SIGNAL_ONLY = ("grid leak", "return for both", "load", "termination")


@dataclass(frozen=True, kw_only=True)
class PartUse:
    """One part at one place: ``kind`` (a key of the trade's table), ``what`` and ``value`` in words.

    ``where`` names stage and drawing's mark.  ``watts`` (W) or ``volts`` (V) is the rating that it
    needs, ``met`` (V) what lies across a capacitor, ``amount`` its SI value where it has one,
    ``current`` (A) what a resistor carries, ``note`` a sentence, ``why`` one on its rating.
    """

    kind: str
    what: str
    value: str
    where: str
    count: int = 1
    watts: float | None = None
    volts: float | None = None
    rating: str = ""
    amount: float | None = None
    met: float | None = None
    current: float = 0.0
    note: str = ""
    why: str = ""


def circuit_uses(plan: Plan, worst: float | None) -> Iterator[PartUse]:
    """The parts of all circuits but the power supply; ``worst`` (V) is the highest high tension."""
    listed = [stage.function for stage in stages_of(plan)]
    numbers = numbers_of(plan, "lower_band")
    for stage in circuits_in(plan):
        if stage == POWER_SUPPLY:
            continue
        valve = valve_of(plan, stage)
        place = _Place(plan, stage, numbers, valve, worst, listed.count(stage))
        drawn = (circuit_in(plan, stage, "lower_band") if stage in CONVERTER_STAGES
                 else circuit_of(stage, numbers, valve))
        for part in drawn.parts:
            if SAME_PARTS.get((stage, part.ref), ("", ""))[0] not in listed:
                yield from place.uses(part)
        if stage == "signal_amplifier":
            # The band switch gives it another tuned circuit on the other band.
            upper = replace(place, numbers=numbers_of(plan, "upper_band"))
            for part in circuit_of(stage, upper.numbers, valve).parts:
                if part.ref in ("L1", "C4"):
                    yield from upper.uses(part)


@dataclass(frozen=True)
class _Place:
    """One stage and what its parts meet."""

    plan: Plan
    stage: str
    numbers: CircuitNumbers
    valve: ValveFigures | None
    worst: float | None
    count: int

    def uses(self, part: Part) -> Iterator[PartUse]:
        """The uses that ``part`` of the circuit stands for; none for what is not fitted."""
        if part.value.startswith(("not fitted", "none")) or part.kind.startswith(TRIMMER_ACROSS):
            return  # the latter are counted with both bands' coils
        kind = part.kind
        if kind == "volume control":
            yield self._use("potentiometer", "volume control, logarithmic", part)
        elif part.ref[0] == "R":
            yield self._resistor(part)
        elif self.stage == "crystal_oscillator" and part.ref[0] == "Y":
            yield crystal_use(self.plan.value("converter.crystal"), self._where(part), self.count)
        elif part.ref[0] == "Y":
            yield replace(crystal_use(self.numbers.intermediate, self._where(part), self.count),
                          note=_handful(self.numbers.crystals))
        elif part.ref[0] == "D":
            yield PartUse(kind="diode", what="diode", value="small signal, two alike",
                          where=self._where(part), count=self.count)
        elif part.ref[0] == "C" and "tuning" not in kind and "pitch" not in kind:
            yield from self._capacitors(part)
        elif kind == "pitch trimmer":
            yield self._use("trimmer", "trimmer with a shaft, pitch", part)
        elif kind == CONVERTER_SWITCHING:
            yield PartUse(kind="band switch", what="converter switch", where=self._where(part),
                          value=f"two positions, {part.value}", count=self.count)
        elif kind == "coil, cathode":
            yield self._use("coil", "coil, crystal oscillator", part)
        elif kind == "choke, cathode":
            yield self._use("radio choke", "radio-frequency choke", part)
        elif kind == "coil" and self.stage == "signal_amplifier":
            yield self._use("coil", f"coil, {circuit_name(self.stage)}", part)

    def _where(self, part: Part) -> str:
        return f"{circuit_name(self.stage)} {part.ref}"

    def _use(self, kind: str, what: str, part: Part) -> PartUse:
        return PartUse(kind=kind, what=what, value=part.value, where=self._where(part),
                       count=self.count)

    def _resistor(self, part: Part) -> PartUse:
        ohms = _read(part.value, "Ω")
        if ohms is None:
            return PartUse(kind="resistor", what="resistor", value=part.value,
                           where=self._where(part), count=self.count, watts=0.25)
        return resistor_use(ohms, self._current(part), self._where(part), self.count)

    def _current(self, part: Part) -> float:
        """The direct current (A) through a resistor of this circuit, mains high."""
        if part.kind.startswith(_SIGNAL_ONLY) or self.valve is None:
            return 0.0
        found = {"feed": fed_current(self.stage, self.valve), "cathode": self.valve.current, "screen": self.valve.screen_current,
                 "anode": self.valve.anode_current}
        return HIGH_MAINS * found.get(part.kind.partition(" ")[0], 0.0)

    def _capacitors(self, part: Part) -> Iterator[PartUse]:
        # Behind the second word stands the temperature's kind, where it matters.
        words = part.value.split()
        farads, where = _read(" ".join(words[:2]), "F"), self._where(part)
        volts = self._meets(part)
        if farads is None:
            yield PartUse(kind="capacitor", what="capacitor", value=part.value, where=where,
                          count=self.count, volts=rated(volts))
        elif part.kind.startswith((PARALLEL_CAPACITOR, "trimmer and capacitor")):
            together = _together(farads, where)
            for fixed in fixed_beside_trimmer(farads):
                yield self._tank(replace(capacitor_use(fixed, volts, where, self.count),
                                         note=together))
                together = ""
            yield PartUse(kind="trimmer", what="trimmer", value=f"up to {_farad(TRIMMER)}",
                          where=where, count=self.count)
        elif part.kind == COMPENSATING:
            use = capacitor_use(farads, volts, where, self.count)
            yield replace(use, value=" ".join((use.value, *words[2:])))
        elif self.stage == "oscillator" and _needs_two(farads):
            # In the tank each picofarad moves the dial, so the nearest value will not do.
            pair = preferred_pair(farads, SERIES)
            words = f"{where} ({_farad(farads)} of two in parallel)"
            yield self._tank(capacitor_use(pair.first, volts, words, self.count))
            yield self._tank(capacitor_use(pair.second, volts, words, self.count))
        else:
            use = capacitor_use(farads, volts, where, self.count)
            yield self._tank(use) if part.kind.startswith(_IN_TANK) else use

    def _tank(self, use: PartUse) -> PartUse:
        """``use`` in the oscillator's tank, where a capacitor must not drift."""
        return replace(use, value=f"{use.value} C0G") if self.stage == "oscillator" else use

    def _meets(self, part: Part) -> float | None:
        """The highest direct voltage (V) that a capacitor of this circuit meets; None: not known."""
        if part.kind in _AT_HIGH_TENSION or (self.stage, part.ref) in _ANODE_COUPLINGS:
            return self.worst
        if part.kind == "cathode bypass":
            return HIGH_MAINS * self.valve.bias
        return 0.0


TRIMMER = 30e-12
"""The largest capacitance of the trimmers on the list, F (a choice, no source)."""

LEFT_TO_TRIMMER = (5e-12, 25e-12)
"""What a trimmer should be left with, F, so that it can go either way (a choice, no source)."""


def fixed_beside_trimmer(farads: float) -> tuple[float, ...]:
    """Preferred capacitors (F), in parallel, that leave a trimmer the rest of ``farads``.

    As few as leave the trimmer well inside its reach; none where it can do all by itself.
    """
    least, most = LEFT_TO_TRIMMER
    found: list[float] = []
    while farads - sum(found) > most:
        found.append(preferred_below(farads - least - sum(found), SERIES))
    return tuple(found)


def fixed_span(farads: float) -> str:
    """What the fixed capacitors may measure together, so that the trimmer makes up ``farads``."""
    least, most = LEFT_TO_TRIMMER
    return f"{_farad(farads - most)} to {_farad(farads - least)}"


def _together(farads: float, where: str) -> str:
    """What to ask of the capacitors beside a trimmer: 5 % of them may be more than it reaches."""
    return (f"{where}: the fixed ones together must measure {fixed_span(farads)}; take 1 % or 2 % parts, "
            "or measure and choose, since 5 % may be more than the trimmer makes up.")


def resistor_use(ohms: float, current: float, where: str, count: int = 1) -> PartUse:
    """A fixed resistor of about ``ohms`` that carries ``current`` (A), to the nearest E24 value."""
    value = nearest_preferred(ohms, "E24")
    found = rate_resistor(value, current)
    if found.rating is None:
        note = (f"{where}: {show(found.power, 'W', digits=2, prefix='')} of heat asks for more than one "
                "resistor on this list; share it among several.")
        return PartUse(kind="resistor", what="resistor", value=show(value, "Ω"), where=where,
                       count=count, rating=f"above {show(10.0, 'W')}", amount=value, current=current,
                       note=note)
    return PartUse(kind="resistor", what="resistor", value=show(value, "Ω"), where=where,
                   count=count, watts=found.rating, amount=value, current=current,
                   note=_heat(found, where))


def _heat(found: ResistorRating, where: str) -> str:
    """The sum behind a rating above the smallest."""
    if found.rating == 0.25:
        return ""
    why = (f"{show(found.current, 'A', digits=3)} makes {show(found.power, 'W', digits=2, prefix='')} of "
           f"heat, twice that is {show(found.wanted, 'W', digits=2, prefix='')}")
    if found.by_voltage:
        why += "; the voltage along its body decides"
    return f"{where}: {why}."


def capacitor_use(farads: float, volts: float | None, where: str, count: int = 1) -> PartUse:
    """A fixed capacitor of about ``farads`` that meets ``volts``, to the nearest value sold."""
    electrolytic = farads >= ELECTROLYTIC_FROM
    value = electrolytic_above(farads) if electrolytic else nearest_preferred(farads, SERIES)
    kind = "electrolytic" if electrolytic else "capacitor"
    what = "electrolytic capacitor" if electrolytic else "capacitor"
    try:
        rating, note = rated(volts, electrolytic=electrolytic), ""
    except Unclear as reason:
        rating, note = None, f"{where}: {reason}"
    return PartUse(kind=kind, what=what, value=show(value, "F", digits=3), where=where, count=count,
                   volts=rating, rating="" if rating else "not known", amount=value, note=note,
                   met=volts)


def rated(volts: float | None, *, electrolytic: bool = False) -> float | None:
    """The rating (V) for a capacitor that meets ``volts``; None where that is not known."""
    return None if volts is None else rate_capacitor(volts, electrolytic=electrolytic)


def crystal_use(frequency: float, where: str, count: int = 1) -> PartUse:
    """A crystal on ``frequency`` (Hz): from stock if stock has it, else cut to order."""
    stock = any(abs(row.frequency / frequency - 1) <= IN_STOCK for row in STOCK_CRYSTALS)
    return PartUse(kind="crystal" if stock else "cut crystal", what="crystal",
                   value=show(frequency, "Hz", digits=9), where=where, count=count,
                   amount=frequency)


def _handful(crystals: int) -> str:
    """Why more crystals are bought than the filter has."""
    return (f"Buy at least {crystals + SPARE_CRYSTALS} of one lot, measure them all, and take the "
            f"{crystals} that lie closest together.")


def _needs_two(farads: float) -> bool:
    """Whether two preferred values in parallel come nearer than one, which is off by over 1 %."""
    pair = preferred_pair(farads, SERIES)
    return not is_preferred(farads, SERIES) and abs(pair.error) < abs(pair.single_error)


def _read(words: str, unit: str) -> float | None:
    try:
        return parse(words, unit)
    except Unclear:
        return None


def _farad(value: float) -> str:
    return show(value, "F", digits=3)

"""The parts of a mains power supply, each checked when it is made.  SI units, r.m.s. where said.

A supply is a :class:`Transformer`, a rectifier (:mod:`rxlearn.compute.rectifiers`)
in an arrangement, one to four filter :class:`Section` s, and a :class:`Load`
with a bleeder and perhaps a :class:`Regulator`.  Ratings are ``None`` where
they are not known; they are then not judged.

Limits of the models: transformer without magnetising current, leakage
inductance or saturation, e.m.f. a pure sine; chokes whose inductance does not
fall with current; capacitors without series resistance or leakage.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.rectifiers import Rectifier, SiliconRectifier, ValveRectifier

FULL_WAVE = "full wave"
BRIDGE = "bridge"
HALF_WAVE = "half wave"
ARRANGEMENTS = (FULL_WAVE, BRIDGE, HALF_WAVE)
"""Centre-tapped full wave (two elements), bridge (four, silicon), half wave (one)."""

CAPACITOR_INPUT = "capacitor input"
CHOKE_INPUT = "choke input"

WINDING_VOLTAGE = Range("The winding voltage", "V", 1.0, 2000.0)
WINDING_RESISTANCE = Range("The winding resistance", "Ω", 0.1, 20e3)
WINDING_CURRENT = Range("The winding's rated current", "A", 0.0, 50.0)
MAINS_FREQUENCY = Range("The mains frequency", "Hz", 10.0, 1000.0)
MAINS_VOLTAGE = Range("The mains voltage", "V", 10.0, 500.0)
MAINS_TOLERANCE = Range("The mains tolerance as a ratio", "", 0.0, 0.5)
SERIES_RESISTANCE = Range("The series resistance", "Ω", 0.0, 20e3)
CAPACITANCE = Range("The filter capacitance", "F", 1e-8, 0.1)
INDUCTANCE = Range("The choke's inductance", "H", 0.0, 1000.0)
CHOKE_RESISTANCE = Range("The choke's resistance", "Ω", 0.0, 100e3)
RATED_VOLTAGE = Range("The capacitor's rated voltage", "V", 1.0, 10e3)
RATED_CURRENT = Range("The rated current", "A", 0.0, 100.0)
RATED_POWER = Range("The rated dissipation", "W", 0.01, 1000.0)
LOAD_CURRENT = Range("The load current", "A", 0.0, 20.0)
LOAD_RESISTANCE = Range("The load resistance", "Ω", 1.0, 1e12)
BLEEDER = Range("The bleeder", "Ω", 100.0, 1e9)
REGULATOR_VOLTAGE = Range("The regulator's voltage", "V", 1.0, 1000.0)
REGULATOR_CURRENT = Range("The regulator's current", "A", 0.0, 10.0)
DROPPER = Range("The regulator's series resistor", "Ω", 1.0, 1e6)
SLOPE_RESISTANCE = Range("The regulator's slope resistance", "Ω", 0.0, 1e5)


def _check_fields(part: object, **limits: Range) -> None:
    """Check the named attributes of a part; ``None`` passes (not known)."""
    for name, limit in limits.items():
        value = getattr(part, name)
        if value is not None:
            limit.check(value)


@dataclass(frozen=True)
class Transformer:
    """The high-voltage winding, seen from its own side.

    ``voltage`` (V r.m.s., each half of a centre tap) is measured at
    ``rated_current`` (A r.m.s. into a resistor) and nominal mains.
    ``resistance`` (Ω, each half) includes the primary's share:
    R = R_secondary + R_primary·(turns ratio)².  ``second_voltage`` and
    ``second_resistance`` describe an unequal other half; ``None`` means equal.
    ``mains_tolerance`` 0.1 is ±10 %.  ``magnetising_current`` (A r.m.s.) is
    added to the primary current as a quadrature sine.
    """

    voltage: float
    resistance: float
    rated_current: float = 0.0
    frequency: float = 50.0
    mains_voltage: float = 230.0
    mains_tolerance: float = 0.1
    second_voltage: float | None = None
    second_resistance: float | None = None
    magnetising_current: float = 0.0

    def __post_init__(self) -> None:
        _check_fields(
            self, voltage=WINDING_VOLTAGE, resistance=WINDING_RESISTANCE,
            rated_current=WINDING_CURRENT, frequency=MAINS_FREQUENCY,
            mains_voltage=MAINS_VOLTAGE, mains_tolerance=MAINS_TOLERANCE,
            second_voltage=WINDING_VOLTAGE, second_resistance=WINDING_RESISTANCE,
            magnetising_current=WINDING_CURRENT,
        )

    @property
    def emf(self) -> float:
        """E.m.f. (V r.m.s.) of the first half at nominal mains: V + I_rated·R.  DERIVED (Ohm)."""
        return self.voltage + self.rated_current * self.resistance

    @property
    def halves(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """(e.m.f. V r.m.s., resistance Ω) of both halves at nominal mains."""
        resistance = self.resistance if self.second_resistance is None else self.second_resistance
        voltage = self.voltage if self.second_voltage is None else self.second_voltage
        return (self.emf, self.resistance), (voltage + self.rated_current * resistance, resistance)

    @property
    def balanced(self) -> bool:
        """Whether both halves are equal."""
        first, second = self.halves
        return first == second

    @property
    def regulation(self) -> float:
        """Rise from rated load to no load, as a ratio of the rated voltage."""
        return self.emf / self.voltage - 1


@dataclass(frozen=True)
class HeaterWinding:
    """A heater winding: ``voltage`` (V r.m.s.) at ``rated_current`` (A), ``regulation`` a ratio.

    ``load_current`` (A) is what the heaters and dial lamps take.
    """

    voltage: float = 6.3
    rated_current: float = 2.0
    load_current: float = 2.0
    regulation: float = 0.1

    def __post_init__(self) -> None:
        _check_fields(
            self, voltage=Range("The heater voltage", "V", 1.0, 150.0),
            rated_current=Range("The heater winding's rated current", "A", 0.01, 50.0),
            load_current=Range("The heater current", "A", 0.0, 50.0),
            regulation=Range("The heater winding's regulation as a ratio", "", 0.0, 1.0),
        )

    def terminal_voltage(self, mains: float = 1.0) -> float:
        """Voltage (V r.m.s.) at the load's current, ``mains`` as a ratio of nominal.

        E.m.f. V·(1 + regulation) less the fall along a straight line.  The
        load's current is taken as given: a cold or hot heater is not modelled.
        """
        fall = self.regulation * self.load_current / self.rated_current
        return self.voltage * ((1 + self.regulation) * mains - fall)


@dataclass(frozen=True)
class Section:
    """One filter section: a choke (or resistor) in series, then a capacitor to the negative line.

    ``capacitance`` (F), ``inductance`` (H, 0 for none), ``resistance`` (Ω of
    the choke, or the resistor itself).  Ratings: ``rated_voltage`` (V) of the
    capacitor, ``rated_current`` (A d.c.) of the choke, ``ripple_current``
    (A r.m.s.) of the capacitor.  A first section without inductance is
    capacitor input.
    """

    capacitance: float
    inductance: float = 0.0
    resistance: float = 0.0
    rated_voltage: float | None = None
    rated_current: float | None = None
    ripple_current: float | None = None

    def __post_init__(self) -> None:
        _check_fields(
            self, capacitance=CAPACITANCE, inductance=INDUCTANCE, resistance=CHOKE_RESISTANCE,
            rated_voltage=RATED_VOLTAGE, rated_current=RATED_CURRENT,
            ripple_current=RATED_CURRENT,
        )


@dataclass(frozen=True)
class Load:
    """What draws current: a constant ``current`` (A) and a ``resistance`` (Ω), in parallel.

    Valves draw nearly constant current over the ripple; a resistor does not.
    ``resistance`` ``None`` means none.
    """

    current: float = 0.0
    resistance: float | None = None

    def __post_init__(self) -> None:
        _check_fields(self, current=LOAD_CURRENT, resistance=LOAD_RESISTANCE)

    @property
    def conductance(self) -> float:
        """1/resistance in S; 0 for none."""
        return 0.0 if self.resistance is None else 1.0 / self.resistance

    def at(self, voltage: float) -> float:
        """Current (A) at ``voltage`` (V)."""
        return self.current + self.conductance * voltage


@dataclass(frozen=True)
class Regulator:
    """A glow tube or zener behind a series resistor at the last capacitor, with a load of its own.

    ``voltage`` (V) and ``slope_resistance`` (Ω) make its law: no current
    below ``voltage``, then (V − voltage)/slope.  It regulates properly between
    ``least_current`` and ``most_current`` (A).  ``striking_voltage`` (V,
    glow tube) is what it needs to light; it is then taken as lit.  A tube that
    goes out within a ripple and must strike again is not modelled.
    """

    voltage: float
    series_resistance: float
    load: Load = field(default_factory=Load)
    slope_resistance: float = 0.0
    least_current: float = 0.005
    most_current: float = 0.030
    striking_voltage: float | None = None

    def __post_init__(self) -> None:
        _check_fields(
            self, voltage=REGULATOR_VOLTAGE, series_resistance=DROPPER,
            slope_resistance=SLOPE_RESISTANCE, least_current=REGULATOR_CURRENT,
            most_current=REGULATOR_CURRENT, striking_voltage=REGULATOR_VOLTAGE,
        )
        if not self.least_current < self.most_current:
            raise Unclear(
                f"The regulator's least current of {show(self.least_current, 'A')} must lie below "
                f"its largest of {show(self.most_current, 'A')}."
            )


@dataclass(frozen=True)
class Supply:
    """A whole supply.  See the module's other classes for the parts.

    ``series_resistance`` (Ω) stands in each plate's or diode's lead (full wave
    and half wave) or in the winding's lead (bridge).  ``bleeder`` (Ω) lies
    across the last capacitor; ``None``: there is none, or it has failed open.
    ``bleeder_rating`` in W.  ``load`` too is across the last capacitor.
    """

    transformer: Transformer
    rectifier: Rectifier
    arrangement: str
    sections: tuple[Section, ...]
    load: Load = field(default_factory=Load)
    bleeder: float | None = None
    series_resistance: float = 0.0
    regulator: Regulator | None = None
    heater: HeaterWinding | None = None
    bleeder_rating: float | None = None

    def __post_init__(self) -> None:
        _check_fields(
            self, bleeder=BLEEDER, series_resistance=SERIES_RESISTANCE, bleeder_rating=RATED_POWER
        )
        if self.arrangement not in ARRANGEMENTS:
            raise Unclear(
                f"Arrangement “{self.arrangement}” is not known: choose one of "
                f"{', '.join(ARRANGEMENTS)}."
            )
        if self.arrangement == BRIDGE and isinstance(self.rectifier, ValveRectifier):
            raise Unclear(
                "A bridge of valves needs several heater windings, because their cathodes stand "
                "at different voltages: choose silicon for a bridge, or full wave."
            )
        if not isinstance(self.rectifier, SiliconRectifier | ValveRectifier):
            raise Unclear("The rectifier must be a SiliconRectifier or a ValveRectifier.")
        object.__setattr__(self, "sections", tuple(self.sections))
        self._check_sections()

    def _check_sections(self) -> None:
        if not 1 <= len(self.sections) <= 4:
            raise Unclear(
                f"A filter of {len(self.sections)} sections is not computed here: give 1 to 4."
            )
        for number, section in enumerate(self.sections[1:], start=2):
            if section.inductance == 0 and section.resistance == 0:
                raise Unclear(
                    f"Filter section {number} has neither choke nor resistor, so its capacitor "
                    "lies across the one before: add the two capacitances instead."
                )

    @property
    def input(self) -> str:
        """:data:`CAPACITOR_INPUT` or :data:`CHOKE_INPUT`."""
        return CHOKE_INPUT if self.sections[0].inductance > 0 else CAPACITOR_INPUT

    @property
    def ripple_frequency(self) -> float:
        """Hz: twice the mains for full wave and bridge, the mains for half wave.

        Unbalanced halves leave some ripple at the mains frequency as well.
        """
        frequency = self.transformer.frequency
        return frequency if self.arrangement == HALF_WAVE else 2 * frequency

    @property
    def symmetrical(self) -> bool:
        """Whether both halves of the mains period are alike."""
        return self.arrangement == BRIDGE or (
            self.arrangement == FULL_WAVE and self.transformer.balanced
        )

    def series_mark(self, number: int) -> str:
        """The drawing's mark of what lies in series before capacitor ``number`` (from 1).

        Chokes are L4, L7, L8 …; resistors R4, R5 …; empty where nothing lies there.
        """
        section, before = self.sections[number - 1], self.sections[:number - 1]
        if section.inductance > 0:
            place = sum(other.inductance > 0 for other in before)
            return f"L{6 + place}" if place else "L4"
        if section.resistance > 0:
            return f"R{4 + sum(not other.inductance and other.resistance > 0 for other in before)}"
        return ""

    def series_name(self, number: int) -> str:
        """What lies in series before capacitor ``number`` (from 1), with its mark: “choke L4”."""
        kind = "choke" if self.sections[number - 1].inductance > 0 else "filter resistor"
        return f"{kind} {self.series_mark(number)}".rstrip()

    @property
    def lead_marks(self) -> tuple[str, ...]:
        """The drawing's marks of the resistors in the rectifier's leads; empty where none is fitted."""
        if not self.series_resistance:
            return ()
        return ("R2", "R3") if self.arrangement == FULL_WAVE else ("R2",)


def series_resistors(supply: Supply) -> str:
    """The resistors in the rectifier's leads, with their marks in the drawing."""
    return f"series resistor {' and '.join(supply.lead_marks)}".rstrip()


BLEEDER_NAME = "bleeder R1"
"""The bleeder with its mark in the drawing."""


def capacitor_name(number: int) -> str:
    """Filter capacitor ``number`` (from 1) with its mark in the drawing: “capacitor C1”."""
    return f"capacitor C{number}"


def peak(rms: float) -> float:
    """Peak of a sine of this r.m.s. value: √2 times.  DERIVED from the definition."""
    return math.sqrt(2) * rms

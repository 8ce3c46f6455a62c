"""Values for the circuit of each stage: our own choices, worked out from a receiver's numbers.

Each circuit is the plainest that does its stage's work; values come to the nearest preferred
one.  Rules used: a cathode resistor is bias over cathode current; a screen resistor drops the
rest of the supply; a bypass capacitor has a tenth of its resistor's reactance at the lowest
frequency that passes; a tank resonates with the capacitance chosen (all DERIVED from Ohm's law
and resonance).  Limits: typical valves, no feedback through strays, a supply that stands still.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from rxlearn.compute.beat_tank import LEAST, MOST, beat_tank
from rxlearn.compute.filter_transformer import TransformedEnd, turns_words
from rxlearn.compute.ladder_build import BuiltLadder
from rxlearn.compute.ladder_matching import NONE, SERIES, EndMatch
from rxlearn.compute.preferred_values import electrolytic_above, nearest_preferred, preferred_below
from rxlearn.compute.quantities import Range, show
from rxlearn.compute.stages import CONVERTER_STAGES, FollowedSignal
from rxlearn.compute.tank import capacitance_for
from rxlearn.data.parts_trade import ELECTROLYTIC_FROM

E12 = "E12"
LOWEST_TONE = 300.0
"""Lowest tone that speech needs, Hz (common practice)."""

SUPPLY = Range("The direct voltage", "V", 20.0, 1000.0)
MIXER_LOAD, GRID_LEAK = 4.7e3, 100e3
"""What the crystal filter works between: the mixer's anode load and the amplifier's grid leak, Ω."""

OSCILLATOR_LEAK, OSCILLATOR_LOAD = 47e3, 4.7e3
"""The oscillator's grid leak, which lies across its tank, and its anode's load, Ω."""

DETECTOR_LOAD = 100e3
"""The detector's load resistor, Ω."""

SERIES_CAPACITOR, PARALLEL_CAPACITOR = "series capacitor", "parallel capacitor and trimmer"
"""Kinds of the oscillator's capacitors, before the band's name."""

BAND_SWITCH, MAINS_SWITCH, CONVERTER_SWITCH = "S1", "S2", "S3"
"""Marks of the receiver's switches, one set for all circuits: a switch has contacts in several."""

LONGEST_NAME = 12
"""Letters of a band's name in a drawing."""

POLE = "band switch, pole "
"""How a contact of the band switch is called, before its pole's number."""

TAPPED = "coil, "
"""What the oscillator's coil is called, before the words of its tap."""

TRIMMER_ACROSS = "trimmer across"
"""How a trimmer of the preselector is called, before the coil that it lies across."""

AERIAL_POLE, COIL_POLES, ANODE_POLE = "fg", ("hi", "jk"), "lm"
"""Letters of the band switch's contacts before the mixer, for the lower and the upper band: at the
aerial, at each tuned circuit, in a signal-frequency amplifier's anode; the oscillator has a to e."""

RADIO_BYPASS = 10e-9
"""Bypass for radio frequencies, F (common practice)."""

PENTODE, HEPTODE = "pentode", "heptode"
"""Forms of a valve that change a drawing."""

FED = ("signal_amplifier", "intermediate_amplifier", "output")
"""Stages whose load drops hardly any direct voltage, so that a resistor in their feed has to."""

TOO_MUCH = 0.05
"""A feed resistor is fitted where the supply has more than this share too much (a choice)."""

AUDIO_DECOUPLING = 10e-6
"""Capacitor behind the output stage's feed resistor, F (common practice)."""


@dataclass(frozen=True, kw_only=True)
class ValveFigures:
    """What a circuit needs to know of its valve: V, A, S; ``mu`` and ``screen`` where it has them.

    ``anode`` is the voltage at which its maker prints it, None where that does not matter; ``form``
    is :data:`HEPTODE` where the signal goes to grid 1.  ``perveance`` (A/V^1.5) is a triode's, or that of
    an output pentode's cathode current, and ``screen_mu`` then its screen's amplification factor.
    """

    name: str
    bias: float
    current: float
    anode_current: float
    conductance: float
    screen: float | None = None
    screen_current: float = 0.0
    mu: float | None = None
    anode: float | None = None
    form: str = ""
    perveance: float | None = None
    screen_mu: float | None = None

    @property
    def anode_resistance(self) -> float:
        """Internal resistance of a triode, ohm: ``mu`` over conductance."""
        return self.mu / self.conductance


def bias_at(bias: float, published: float, wanted: float, conductance: float) -> float:
    """Bias (V) at an anode current ``wanted`` (A) other than the ``published`` one at ``bias`` (V).

    A straight characteristic of slope ``conductance`` (S); DERIVED from the definition of
    transconductance.  Limit: near cut-off the slope falls, and more bias is needed.
    """
    return max(0.1, bias + (published - wanted) / conductance)


@dataclass(frozen=True)
class BandCapacitors:
    """What stands round the variable on the band ``name``, F: ``series`` None is a wire."""

    name: str
    series: float | None
    parallel: float
    across: float = 0.0


@dataclass(frozen=True, kw_only=True)
class TankNumbers:
    """An oscillator's tank: ``coil`` (H), the variable's ends ``least`` and ``most`` (F).

    ``bands`` are the wider and the narrower one if each has capacitors of its own, else one for
    both; then ``recentring`` (F) is switched in on the band called ``recentred``.
    ``compensating`` (F) of the temperature ``kind``, part of every ``parallel``, is across the
    coil for good.  ``tap`` says where the coil is tapped.
    """

    coil: float
    least: float
    most: float
    bands: tuple[BandCapacitors, ...]
    compensating: float = 0.0
    kind: str = ""
    recentring: float = 0.0
    recentred: str = ""
    tap: str = "tap a quarter up"


@dataclass(frozen=True, kw_only=True)
class CircuitNumbers:
    """A receiver's numbers for its circuits.  SI; ``supply`` is the high tension (V).

    ``signal``, ``intermediate`` and ``beat_offset`` in Hz.  ``signal_coil`` (H) is the
    coil of every circuit before the mixer, ``intermediate_coil`` (H) that behind it.  ``bands`` are the
    names of lower and upper band, ``band`` (0 or 1) the one that is drawn; ``variable`` (F) is the
    most of the preselector's variable capacitor, ``trimmer`` (F) of what lies across each coil there.
    ``tank`` holds the oscillator's coil (H) and its capacitors by name (F).  ``filter`` is the crystal filter as it is
    built; None where it cannot be, and then ``filter_problem`` says why, and ``crystals`` how many
    it should have had.  ``aerial`` is the aerial winding in words, by the ratio ``step_up`` if empty.
    """

    signal: float
    intermediate: float
    beat_offset: float
    supply: float
    step_up: float
    circuits: int
    signal_coil: float
    intermediate_coil: float
    bands: tuple[str, str]
    band: int
    variable: float
    trimmer: float
    tank: TankNumbers
    turns_ratio: float
    loudspeaker: float
    filter: BuiltLadder | None = None
    filter_problem: str = ""
    aerial: str = ""
    crystals: int = 4


@dataclass(frozen=True)
class Part:
    """One part: ``ref`` such as R1, what it is, and its ``value`` in words as a list has it."""

    ref: str
    kind: str
    value: str


@dataclass(frozen=True)
class Circuit:
    """The parts of one stage's circuit.  ``stage`` is its function; ``valve`` the device's name.

    ``note`` is a sentence on how it is made, where the drawing can be one of several; ``form``
    (:data:`PENTODE`, :data:`HEPTODE` or empty) the valve's, where that changes the drawing.
    """

    stage: str
    valve: str
    parts: tuple[Part, ...]
    note: str = ""
    form: str = ""

    def value(self, ref: str) -> str:
        """The value of the part ``ref``; KeyError if there is none."""
        for part in self.parts:
            if part.ref == ref:
                return part.value
        raise KeyError(f"The circuit has no part {ref}.")


def cathode_resistor(bias: float, current: float) -> float:
    """Bias (V) over cathode current (A), to a preferred value, ohm."""
    return nearest_preferred(bias / current, E12)


def bypass_for(resistance: float, lowest: float) -> float:
    """A capacitor (F) of a tenth of ``resistance`` (ohm) at ``lowest`` (Hz): to a preferred value, and
    where that is an electrolytic to the next that is sold."""
    farads = 10 / (2 * math.pi * lowest * resistance)
    return electrolytic_above(farads) if farads >= ELECTROLYTIC_FROM else nearest_preferred(farads, E12)


def screen_resistor(supply: float, valve: ValveFigures) -> float:
    """What drops ``supply`` (V) to the screen's voltage at its current, ohm.

    The next value of E24 above: many makers print a screen's operation at its very limit.
    """
    exact = max(SUPPLY.check(supply) - valve.screen, 1.0) / valve.screen_current
    below = preferred_below(exact, "E24")
    return below if below > 0.99 * exact else nearest_preferred(1.09 * below, "E24")


def feed_resistor(stage: str, supply: float, valve: ValveFigures) -> float:
    """What drops ``supply`` (V) to the voltage at which the maker prints the valve's anode, ohm.

    Ohm's law with the current that flows through it, to a preferred value; zero where none is
    fitted.  A pentode's screen in the output stage is fed behind it.
    """
    if stage not in FED or valve.anode is None:
        return 0.0
    excess = SUPPLY.check(supply) - valve.anode - valve.bias
    return nearest_preferred(excess / fed_current(stage, valve), E12) if excess > TOO_MUCH * supply else 0.0


def fed_current(stage: str, valve: ValveFigures) -> float:
    """What flows through a stage's feed resistor, A."""
    return valve.current if stage == "output" else valve.anode_current


def triode_gain_db(valve: ValveFigures, load: float) -> float:
    """Voltage gain (dB) of a triode with ``load`` (ohm): ``mu load / (r_a + load)`` (Kuphaldt;
    any text on valves)."""
    return 20 * math.log10(valve.mu * load / (valve.anode_resistance + load))


def _preselector(n: CircuitNumbers, valve: ValveFigures | None) -> list[tuple]:
    coil, tuned = _henry(n.signal_coil), _farad(capacitance_for(n.signal, n.signal_coil))
    most, trimmer, pole = _farad(n.variable), f"up to {_farad(n.trimmer)}", oscillator_poles(n.tank) + 1
    parts = [
        *_switched_pair(AERIAL_POLE, pole, n), ("L1", "aerial winding", n.aerial or f"1 turn to {n.step_up:.3g} of L2"),
        *_switched_pair(COIL_POLES[0], pole + 1, n), ("L2", "coil", coil), ("C4", f"{TRIMMER_ACROSS} L2", trimmer),
        ("C1", "tuning capacitor, the same part on both bands",
         f"up to {most} on both bands; {tuned} at {show(n.signal, 'Hz', digits=4)} with C4 and strays"),
    ]
    if n.circuits > 1:
        parts += [("C2", "coupling capacitor", "1 pF to 3 pF"), *_switched_pair(COIL_POLES[1], pole + 2, n),
                  ("L3", "coil", coil), ("C5", f"{TRIMMER_ACROSS} L3", trimmer),
                  ("C3", "tuning capacitor, ganged with C1", "as C1")]
    return parts


def _switched_pair(letters: str, pole: int, n: CircuitNumbers) -> list[tuple]:
    """The two contacts of a pole of the band switch: first that of the band that is drawn."""
    return [(f"{BAND_SWITCH}{letters[band]}", f"{POLE}{pole}", f"on {short_name(n.bands[band])}")
            for band in (n.band, 1 - n.band)]


def _mixer(n: CircuitNumbers, valve: ValveFigures) -> list[tuple]:
    return [
        ("C1", "coupling from the oscillator", "47 pF"), ("R1", "grid leak", "22 kΩ"),
        *_cathode("R2", "C2", valve, radio=True), *_screen("R3", "C3", n, valve),
        ("R4", "anode load", show(MIXER_LOAD, "Ω")), ("C4", "coupling to the filter", _farad(RADIO_BYPASS)),
    ]


def _oscillator(n: CircuitNumbers, valve: ValveFigures) -> list[tuple]:
    tank = n.tank
    own = tank.bands if len(tank.bands) > 1 else ()
    parts = [
        ("L1", f"{TAPPED}{tank.tap}", _henry(tank.coil)),
        ("C1", "tuning capacitor", f"{_pico(tank.least)} to {_pico(tank.most)}"),
    ]
    for refs, band in zip((("C2", "C3"), ("C4", "C8")), tank.bands, strict=False):
        on = f", {short_name(band.name)}" if own else ""
        if band.series is not None:
            parts.append((refs[0], f"{SERIES_CAPACITOR}{on}", _farad(band.series)))
        parts.append((refs[1], f"{PARALLEL_CAPACITOR}{on}",
                      _fitted(max(0.0, band.parallel - tank.compensating))))
    if own and own[1].across:
        parts.append(("C9", "capacitor across the variable", _farad(own[1].across)))
    if tank.compensating:
        parts.append(("C10", "compensating capacitor", f"{_farad(tank.compensating)} {tank.kind}".strip()))
    if own:
        for number, contacts in enumerate(_own_poles(tank), start=1):
            parts += [(f"{BAND_SWITCH}{letter}", f"{POLE}{number}", f"on {short_name(own[which].name)}")
                      for letter, which in contacts]
    elif tank.recentring:
        parts += [("C4", "recentring capacitor", _farad(tank.recentring)),
                  (f"{BAND_SWITCH}a", f"{POLE}1", f"on {short_name(tank.recentred)}")]
    parts += [("C5", "grid capacitor", "100 pF"), ("R1", "grid leak", show(OSCILLATOR_LEAK, "Ω")),
              ("R2", "anode load", show(OSCILLATOR_LOAD, "Ω")), ("C7", "coupling to the mixer", "47 pF")]
    return parts + (_screen("R3", "C6", n, valve) if valve.screen else [])


def _own_poles(tank: TankNumbers) -> list[tuple[tuple[str, int], ...]]:
    """Poles of the band switch where each band has capacitors of its own: letters of contacts, and which band's."""
    poles = [(("a", 0), ("b", 1))] if any(band.series for band in tank.bands) else []
    poles.append((("c", 0), ("d", 1)))
    return [*poles, (("e", 1),)] if tank.bands[1].across else poles


def oscillator_poles(tank: TankNumbers) -> int:
    """How many poles of the band switch the oscillator takes."""
    return len(_own_poles(tank)) if len(tank.bands) > 1 else int(bool(tank.recentring))


def short_name(name: str) -> str:
    """A band's name as a drawing has room for it."""
    return name if len(name) <= LONGEST_NAME else f"{name[:LONGEST_NAME - 1]}…"


def _filter(n: CircuitNumbers, valve: ValveFigures | None) -> list[tuple]:
    each = show(n.intermediate, "Hz", digits=7)
    crystals = [("Y1", "crystal", each),
                *((f"Y{i}", "crystal", "like Y1") for i in range(2, n.crystals + 1))]
    built = n.filter
    if built is None:
        return [*crystals, *((f"C{i}", "coupling capacitor", NO_VALUE) for i in range(1, n.crystals)),
                ("R1", f"termination, {ACROSS}", NO_VALUE), ("R2", f"termination, {ACROSS}", NO_VALUE)]
    couplings = [("coupling capacitor", value) for value in built.ladder.couplings]
    series = [(f"{SERIES_WITH} Y{i}", value)
              for i, value in enumerate(built.ladder.series, start=1) if value]
    tuning = [(f"{TUNING} {ref}", end.transformer.fitted) for ref, end in (
        ("L1", built.source), ("L4", built.load)) if isinstance(end, TransformedEnd)]
    return [*crystals,
            *((f"C{i}", kind, _farad(value))
              for i, (kind, value) in enumerate((*couplings, *series, *tuning), start=1)),
            *_terminated("R1", built.source, "L1", "L2"), *_terminated("R2", built.load, "L4", "L3")]


NO_VALUE = "none yet"
"""What stands at a part of a filter that cannot be made."""

ACROSS, IN_SERIES, SERIES_WITH = "across the stage", "in series", "in series with"
"""Where a termination and a series capacitor of the filter lie, by their words."""

TUNING = "trimmer and capacitor across"
TUNED_WINDING, LINK = "tuned winding on a ring", "link over"
"""What a transformer at the filter's end has, by its words."""


def _terminated(ref: str, end: EndMatch, winding: str, link: str) -> list[tuple]:
    """The resistor at an end of the filter, or the transformer there with its ``winding`` and ``link``."""
    if isinstance(end, TransformedEnd):
        made = end.transformer
        across = [(ref, f"termination, across {winding}", show(end.resistor, "Ω"))] if end.resistor else []
        return [(winding, TUNED_WINDING, f"{turns_words(made.coil.turns)} on {made.coil.name}"),
                (link, f"{LINK} {winding}", turns_words(made.link)), *across]
    if end.way == NONE:
        return []
    where = IN_SERIES if end.way == SERIES else ACROSS
    return [(ref, f"termination, {where}", show(end.resistor, "Ω"))]


def _intermediate(n: CircuitNumbers, valve: ValveFigures) -> list[tuple]:
    return [
        ("C1", "coupling", _farad(RADIO_BYPASS)), ("R1", "grid leak", show(GRID_LEAK, "Ω")),
        *_cathode("R2", "C2", valve, radio=True), *_screen("R3", "C3", n, valve),
        *_tuned(n.intermediate, n.intermediate_coil, "first coil of the transformer"),
        *_feed("R4", "C6", "intermediate_amplifier", n, valve),
    ]


def _signal(n: CircuitNumbers, valve: ValveFigures) -> list[tuple]:
    parts = dict((row[0], row) for row in _intermediate(n, valve))
    parts |= {row[0]: row for row in _tuned(n.signal, n.signal_coil)}
    parts["C4"] = ("C4", f"trimmer and {parts['C4'][1]}", parts["C4"][2])
    parts["C5"] = ("C5", "coupling", "100 pF")
    pole = oscillator_poles(n.tank) + 2 + n.circuits
    return [*parts.values(), *_switched_pair(ANODE_POLE, pole, n)[:1]]


def _tuned(frequency: float, coil: float, kind: str = "coil") -> list[tuple]:
    """The circuit in an amplifier's anode: ``coil`` (H) and what tunes it to ``frequency`` (Hz)."""
    return [("L1", kind, _henry(coil)),
            ("C4", "capacitor across it", _farad(capacitance_for(frequency, coil)))]


def _detector(n: CircuitNumbers, valve: ValveFigures | None) -> list[tuple]:
    return [
        ("L1", "second coil, half", "half its turns"), ("L2", "second coil, half", "half its turns"),
        ("C4", "capacitor across both", _farad(capacitance_for(n.intermediate, n.intermediate_coil))),
        ("C1", "coupling from the beat oscillator", "100 pF"), ("R1", "return for both", "47 kΩ"),
        ("D1", "diode", "small signal"), ("D2", "diode", "like D1"),
        ("R2", "load", show(DETECTOR_LOAD, "Ω")), ("C2", "radio-frequency bypass", "470 pF"),
        ("C3", "coupling", _farad(RADIO_BYPASS)),
    ]


def _beat(n: CircuitNumbers, valve: ValveFigures) -> list[tuple]:
    tank = beat_tank(n.intermediate, n.beat_offset)
    return [
        ("L1", "coil with an adjusting core", _henry(tank.coil)),
        ("C1", "divider", _farad(tank.divider)), ("C2", "divider", _farad(tank.divider)),
        ("C3", "pitch trimmer", f"{_pico(LEAST)} to {_pico(MOST)}"),
        *([("C7", "in series with the trimmer", _farad(tank.series))] if tank.series else []),
        ("C4", "grid capacitor", "100 pF"),
        ("R1", "grid leak", "100 kΩ"), ("R2", "anode resistor", "47 kΩ"),
        ("C5", "anode bypass", _farad(RADIO_BYPASS)),
        ("L2", "choke, cathode", "1 mH"), ("C6", "coupling to the detector", "100 pF"),
    ]


def _audio(n: CircuitNumbers, valve: ValveFigures) -> list[tuple]:
    return [
        ("C1", "coupling", _farad(RADIO_BYPASS)), ("R1", "volume control", "470 kΩ"),
        *_cathode("R2", "C2", valve, radio=False), ("R3", "anode load", "100 kΩ"),
        ("C3", "coupling", _farad(nearest_preferred(10 / (2 * math.pi * LOWEST_TONE * 470e3), E12))),
    ]


def _output(n: CircuitNumbers, valve: ValveFigures) -> list[tuple]:
    return [
        ("R1", "grid leak", "470 kΩ"), *_cathode("R2", "C1", valve, radio=False),
        *_feed("R3", "C2", "output", n, valve),
        ("L1", "output transformer, primary", f"{n.turns_ratio:.4g} turns to 1"),
        ("L2", "output transformer, secondary", "1 turn"),
        ("LS", "loudspeaker", show(n.loudspeaker, "Ω")),
    ]


def _cathode(resistor: str, capacitor: str, valve: ValveFigures, *, radio: bool) -> list[tuple]:
    ohms = cathode_resistor(valve.bias, valve.current)
    size = RADIO_BYPASS if radio else bypass_for(ohms, LOWEST_TONE)
    return [(resistor, "cathode resistor", show(ohms, "Ω")),
            (capacitor, "cathode bypass", _farad(size))]


def _screen(resistor: str, capacitor: str, n: CircuitNumbers, valve: ValveFigures) -> list[tuple]:
    if not valve.screen:
        return []
    return [(resistor, "screen resistor", show(screen_resistor(n.supply, valve), "Ω")),
            (capacitor, "screen bypass", _farad(RADIO_BYPASS))]


def _feed(resistor: str, capacitor: str, stage: str, n: CircuitNumbers,
          valve: ValveFigures) -> list[tuple]:
    ohms = feed_resistor(stage, n.supply, valve)
    if not ohms:
        return []
    size = AUDIO_DECOUPLING if stage == "output" else RADIO_BYPASS
    return [(resistor, "feed resistor", show(ohms, "Ω")), (capacitor, "feed decoupling", _farad(size))]


_Maker = Callable[[CircuitNumbers, ValveFigures | None], list[tuple]]

_MAKERS: Mapping[str, _Maker] = MappingProxyType({
    "preselector": _preselector, "signal_amplifier": _signal, "mixer": _mixer,
    "oscillator": _oscillator, "filter": _filter, "intermediate_amplifier": _intermediate,
    "detector": _detector, "beat_oscillator": _beat, "audio_amplifier": _audio, "output": _output,
})

POWER_SUPPLY = "rectifier"
"""Stands for the whole power supply; see :mod:`rxlearn.compute.supply_circuit`."""

CIRCUITS = (*_MAKERS, *CONVERTER_STAGES, POWER_SUPPLY)
"""Functions for which there is a circuit; the converter's are in
:mod:`rxlearn.compute.converter_circuit`."""


def circuit_of(stage: str, numbers: CircuitNumbers, valve: ValveFigures | None) -> Circuit:
    """The circuit of a ``stage`` (one of :data:`CIRCUITS`, converter and power supply left out) with ``valve``.

    ``valve`` may be None for stages without one.  Raises Unclear for numbers out of range.
    """
    parts = tuple(Part(*row) for row in _MAKERS[stage](numbers, valve))
    note = numbers.filter_problem if stage == "filter" else ""
    form = "" if valve is None else valve.form or (PENTODE if valve.screen else "")
    return Circuit(stage, valve.name if valve else "", parts, note, form)


def _henry(value: float) -> str:
    return show(value, "H", digits=3)


def _farad(value: float) -> str:
    return show(value, "F", digits=3)


def _pico(value: float) -> str:
    return show(value, "F", prefix="p", digits=3)


def _fitted(value: float) -> str:
    return _farad(value) if value else "not fitted"


@dataclass(frozen=True)
class CircuitInUse:
    """A circuit, with the signal that passes it (None for what no signal passes)."""

    circuit: Circuit
    followed: FollowedSignal | None

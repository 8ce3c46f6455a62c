"""Circuits of a crystal-controlled converter: input circuits, mixer, crystal oscillator.

Our own choice of the plainest that work, in the manner of :mod:`rxlearn.compute.circuits` and by
its rules.  Besides: an input circuit has a reactance of :data:`INPUT_REACTANCE` and is matched to
the aerial; the mixer's tuned circuit is damped by the main receiver's aerial input through its
link until it is wide enough for the stretch of the main dial in use; the crystal oscillator is of
the Colpitts kind with the crystal in place of the coil.  A crystal above :data:`OVERTONE_FROM` is
taken as one for its third overtone: the cathode's coil and divider then resonate at f/√3, between
overtone and fundamental, so that only the overtone finds two capacitors and oscillates (DERIVED
from the three-point rule).

Limits: strays are left to the trimmers; the valves are taken to give their published conductance.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from rxlearn.compute.circuits import (
    CONVERTER_SWITCH,
    E12,
    RADIO_BYPASS,
    Circuit,
    Part,
    ValveFigures,
    cathode_resistor,
    screen_resistor,
)
from rxlearn.compute.preferred_values import nearest_preferred
from rxlearn.compute.quantities import show
from rxlearn.compute.stages import AERIAL_RESISTANCE, CONVERTER_STAGES
from rxlearn.compute.tank import inductance_for

INPUT_REACTANCE, OUTPUT_REACTANCE, DIVIDER_REACTANCE = 150.0, 400.0, 330.0
"""Reactances of the tuned circuits and of the oscillator's divider, ohm (a choice, no source)."""

OVERTONE_FROM = 25e6
"""Crystals above this (Hz) are made for an overtone (common practice, no source)."""

NARROWEST_Q, WIDEST_Q = 40.0, 3.0
"""Ends of the loaded Q of the mixer's tuned circuit."""

EDGE = 0.5
"""Width over the 3 dB bandwidth: the edges then lie 1 dB down, 10 lg(1 + 0.5²) (DERIVED)."""

CRYSTAL_ANODE = 100.0
"""Anode voltage of the crystal oscillator, V: a crystal is driven gently (a choice, no source)."""

SWITCH = "converter switch"
"""What its switch is called: aerial, main receiver's input and high tension, one pole each."""


@dataclass(frozen=True, kw_only=True)
class ConverterNumbers:
    """What the converter's circuits are worked out from.  Hz, V.

    ``signal`` and ``reading`` are the middles of the third band and of the stretch of the main
    dial where it is read, ``width`` is that of both.  ``loaded_q`` and ``circuits`` are the input's.
    """

    signal: float
    reading: float
    width: float
    crystal: float
    loaded_q: float
    circuits: int
    supply: float

    @property
    def input_capacitance(self) -> float:
        """Across each input coil, F, strays included."""
        return _near(self.signal, INPUT_REACTANCE)

    @property
    def input_coil(self) -> float:
        """Inductance of each input coil, H."""
        return inductance_for(self.signal, self.input_capacitance)

    @property
    def input_ratio(self) -> float:
        """Turns of the input coil to one of the aerial's, which is also its step-up in voltage.

        Matched: the coil's own loss is twice the loaded resistance Q·X, and the aerial shows the
        same again through the turns.
        """
        loaded = self.loaded_q / (2 * math.pi * self.signal * self.input_capacitance)
        return math.sqrt(2 * loaded / AERIAL_RESISTANCE)

    @property
    def output_capacitance(self) -> float:
        """Across the mixer's coil, F, strays included."""
        return _near(self.reading, OUTPUT_REACTANCE)

    @property
    def output_coil(self) -> float:
        """Inductance of the mixer's coil, H."""
        return inductance_for(self.reading, self.output_capacitance)

    @property
    def output_q(self) -> float:
        """Loaded Q of the mixer's tuned circuit: wide enough for the stretch in use."""
        return min(NARROWEST_Q, max(WIDEST_Q, EDGE * self.reading / self.width))

    @property
    def output_ratio(self) -> float:
        """Turns of the mixer's coil to one of its link: the main receiver's input damps it."""
        damping = self.output_q / (2 * math.pi * self.reading * self.output_capacitance)
        return math.sqrt(damping / AERIAL_RESISTANCE)

    @property
    def overtone(self) -> bool:
        """Whether the crystal is one for its third overtone."""
        return self.crystal > OVERTONE_FROM

    @property
    def divider(self) -> float:
        """Each capacitor of the crystal oscillator's divider, F."""
        return _near(self.crystal, DIVIDER_REACTANCE)

    @property
    def cathode_coil(self) -> float | None:
        """What keeps a fundamental from starting, H; None where a plain choke does."""
        return inductance_for(self.crystal / math.sqrt(3), self.divider) if self.overtone else None

    def gain_db(self, conversion: float) -> float:
        """Voltage gain (dB) from the mixer's grid to the main receiver's input.

        ``conversion`` (S) into the damped circuit, stepped down by the link: g·n·50 Ω.  DERIVED.
        """
        return 20 * math.log10(conversion * self.output_ratio * AERIAL_RESISTANCE)


def converter_circuit(stage: str, numbers: ConverterNumbers, valve: ValveFigures | None) -> Circuit:
    """The circuit of ``stage``, one of :data:`~rxlearn.compute.stages.CONVERTER_STAGES`."""
    rows, note = _MAKERS[stage](numbers, valve)
    return Circuit(stage, valve.name if valve else "", tuple(Part(*row) for row in rows), note)


def _input(n: ConverterNumbers, valve: ValveFigures | None) -> tuple[list[tuple], str]:
    coil, tuned = show(n.input_coil, "H", digits=3), _farad(n.input_capacitance)
    rows = [(CONVERTER_SWITCH, SWITCH, "three poles"),
            ("L1", "aerial winding", f"1 turn to {n.input_ratio:.3g} of L2")]
    for number in range(n.circuits):
        if number:
            rows.append((f"C{2 * number}", "coupling capacitor", "1 pF to 3 pF"))
        rows += [(f"L{number + 2}", "coil", coil),
                 (f"C{2 * number + 1}", "trimmer and capacitor", tuned)]
    return rows, ("One pole of the switch takes the aerial to the converter, or straight to the main "
                  "receiver.")


def _mixer(n: ConverterNumbers, valve: ValveFigures) -> tuple[list[tuple], str]:
    return [
        ("C1", "coupling from the crystal oscillator", "47 pF"), ("R1", "grid leak", "22 kΩ"),
        ("R2", "cathode resistor", show(cathode_resistor(valve.bias, valve.current), "Ω")),
        ("C2", "cathode bypass", _farad(RADIO_BYPASS)),
        ("R3", "screen resistor", show(screen_resistor(n.supply, valve), "Ω")),
        ("C3", "screen bypass", _farad(RADIO_BYPASS)),
        ("L1", "coil", show(n.output_coil, "H", digits=3)),
        ("C4", "trimmer and capacitor across it", _farad(n.output_capacitance)),
        ("L2", "link to the main receiver", f"1 : {n.output_ratio:.3g}"),
        (CONVERTER_SWITCH, SWITCH, "same switch"), ("C5", "high-tension bypass", _farad(RADIO_BYPASS)),
    ], ("Two more poles of the switch give it its high tension and its way to the main receiver's "
        "aerial input; the heaters stay on.")


def _oscillator(n: ConverterNumbers, valve: ValveFigures) -> tuple[list[tuple], str]:
    resistor = nearest_preferred(max(n.supply - CRYSTAL_ANODE, 1.0) / valve.current, E12)
    coil = n.cathode_coil
    rows = [
        ("Y1", "crystal", show(n.crystal, "Hz", digits=8)),
        ("C1", "divider", _farad(n.divider)), ("C2", "divider", _farad(n.divider)),
        ("R1", "grid leak", "100 kΩ"),
        ("L1", "choke, cathode", "1 mH") if coil is None else
        ("L1", "coil, cathode", show(coil, "H", digits=3)),
        ("R2", "anode resistor", show(resistor, "Ω")), ("C3", "anode bypass", _farad(RADIO_BYPASS)),
        ("C4", "coupling to the mixer", "47 pF"),
    ]
    if coil is None:
        return rows, "The crystal works on its fundamental."
    return rows, ("The crystal works on its third overtone: coil and divider at the cathode keep the "
                  "fundamental from starting.")


_Maker = Callable[[ConverterNumbers, ValveFigures | None], tuple[list[tuple], str]]

_MAKERS: Mapping[str, _Maker] = MappingProxyType(
    dict(zip(CONVERTER_STAGES, (_input, _mixer, _oscillator), strict=True)))


def _near(frequency: float, reactance: float) -> float:
    """The preferred capacitor (F) nearest to ``reactance`` (ohm) at ``frequency`` (Hz)."""
    return nearest_preferred(1 / (2 * math.pi * frequency * reactance), E12)


def _farad(value: float) -> str:
    return show(value, "F", digits=3)

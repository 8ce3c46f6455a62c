"""The circuit of one stage, live: its diagram, what runs in and out, and what is connected."""

from __future__ import annotations

from math import log10

from matplotlib.figure import Figure

from rxlearn.compute.circuits import CircuitInUse
from rxlearn.compute.quantities import show
from rxlearn.compute.stages import FUNCTIONS
from rxlearn.data.stage_notes import STAGE_NOTES
from rxlearn.figures.circuits import (
    HEIGHT,
    WIDTH,
    cautioned,
    circuit_shapes,
    connections,
)
from rxlearn.figures.scene import LiveFigure


BAR = 170.0
"""Longest bar of a level, pixels."""


class CircuitDiagramFigure(LiveFigure):
    """A diagram that changes with the stage; labels of frequency and level that move in all of them.

    ``note``, if there is one, opens every description.
    """

    name = "circuit-diagram"
    size = (WIDTH, HEIGHT)
    caption = "What is connected to what"
    columns = ("part", "what it is", "value", "its ends go to")

    def __init__(self, note: str = "") -> None:
        self._note, self._shapes = note, ""
        super().__init__()

    def build(self, figure: Figure) -> None:
        """A sheet in pixels with two labels and their bars; the diagram is laid over it."""
        sheet = figure.add_axes((0, 0, 1, 1))
        sheet.set(xlim=(0, WIDTH), ylim=(HEIGHT, 0))
        sheet.axis("off")
        self._in = self.label(sheet, "in", "signal", fontsize=11)
        self._out = self.label(sheet, "out", "signal", fontsize=11, ha="right")
        thick = {"linewidth": 4, "linestyle": "-", "solid_capstyle": "butt"}
        self._bars = (self.line(sheet, "bar-in", "signal", **thick),
                      self.line(sheet, "bar-out", "signal", **thick))
        self._in.set_position((8, 14))
        self._out.set_position((WIDTH - 8, 14))

    def update(self, result: CircuitInUse) -> None:
        """Change the diagram if the circuit did; word what runs in and out."""
        circuit = result.circuit
        drawing = "; ".join((circuit.stage, circuit.valve, *(p.value for p in circuit.parts)))
        if drawing != self.drawing:
            self.drawing, self._shapes = drawing, circuit_shapes(circuit)
        given, handed = _in_and_out(result)
        self._in.set_text(given and f"in: {given}")
        self._out.set_text(handed and f"out: {handed}")
        for bar, volts, edge, way in zip(self._bars, _volts(result), (8, WIDTH - 8), (1, -1),
                                         strict=True):
            bar.set_data((edge, edge + way * _length(volts)), (22, 22))

    def describe(self, result: CircuitInUse) -> str:
        """What the stage does, and what runs in and out."""
        circuit, (given, handed) = result.circuit, _in_and_out(result)
        name = "power supply" if circuit.stage == "rectifier" else FUNCTIONS[circuit.stage]
        device = f" ({circuit.valve})" if circuit.valve else ""
        passing = f" In: {given}." if given else ""
        passing += f" Out: {handed}." if handed else ""
        made = f" {circuit.note}" if circuit.note else ""
        words = (f"The {name}{device}, {len(circuit.parts)} parts: it {STAGE_NOTES[circuit.stage].does}."
                 f"{made}{passing}")
        return f"{self._note} {words}".strip()

    def explain(self, result: CircuitInUse) -> str:
        """What would be heard and seen if it failed, after the cautions of its drawing."""
        note = STAGE_NOTES[result.circuit.stage]
        return f"{cautioned(result.circuit)} {note.fails} {note.meter}".strip()

    def rows(self, result: CircuitInUse) -> list[list[str]]:
        """Each part with what its ends go to: the diagram in words."""
        return [[row.ref, row.kind, row.value or "as in the list of stages", "; ".join(row.ends)]
                for row in connections(result.circuit)]

    def _draw(self) -> str:
        drawing = super()._draw()
        end = drawing.rindex("</svg>")
        return f"{drawing[:end]}{self._shapes}{drawing[end:]}"


def _volts(result: CircuitInUse) -> tuple[float, float]:
    """What the stage gets and hands on, V; zero where no signal passes."""
    row = result.followed and result.followed.level(result.circuit.stage)
    return (row.input, row.output) if row else (0.0, 0.0)


def _length(volts: float) -> float:
    """Length of a level's bar: 20 pixels to 20 dB above 0.1 µV."""
    return min(BAR, max(0.0, 20 * log10(volts / 1e-7))) if volts > 0 else 0.0


def _in_and_out(result: CircuitInUse) -> tuple[str, str]:
    """Frequency and level before and behind the stage, in words; empty where there is none."""
    found = result.followed
    if found is None:
        return "", ""
    stage = result.circuit.stage
    if stage == "oscillator":
        return "", _mhz(found.oscillator)
    if stage == "beat_oscillator":
        return "", "" if found.beat is None else _mhz(found.beat)
    row = found.level(stage)
    if row is None:
        return "", ""
    handed = _level(row.output_frequency, row.output)
    if stage == "mixer":
        return f"{_level(row.input_frequency, row.input)} and {_mhz(found.oscillator)}", handed
    if stage == "output":
        handed = "to the loudspeaker, " + _mhz(row.output_frequency)
    return _level(row.input_frequency, row.input), handed


def _level(frequency: float | None, volts: float) -> str:
    return f"{_mhz(frequency)}, {'over 30 V' if volts > 30 else show(volts, 'V', digits=3)}"


def _mhz(frequency: float | None) -> str:
    if frequency is None:
        return "no tone"
    if frequency < 100e3:
        return show(frequency, "Hz", digits=3)
    return show(frequency, "Hz", prefix="M", decimals=4)

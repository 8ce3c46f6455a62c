"""Where each part of a converter's circuits is drawn.

Units and items are those of :mod:`rxlearn.figures.circuit_layouts`.
"""

from __future__ import annotations

from rxlearn.compute.circuits import CONVERTER_SWITCH, Circuit

Item = tuple
LINE, PAST, FLOOR = 4.4, 6.2, 0.9
"""Height of the signal's line, of the way past the converter, and of ends at the chassis."""

RAIL = 6.5
"""Height of the converter's own high-tension rail, behind its switch."""


def input_layout(circuit: Circuit) -> tuple[Item, ...]:
    """Aerial, switch, aerial winding, and as many tuned circuits as there are."""
    coils = [part.ref for part in circuit.parts if part.ref[0] == "L"][1:]
    items = [
        ("in", (2.4, LINE), "from the aerial"), ("dot", (2.4, LINE)),
        ("wire", (2.4, LINE), (2.4, PAST)), ("S", CONVERTER_SWITCH, (2.4, PAST), (4.4, PAST)),
        ("S", CONVERTER_SWITCH, (2.4, LINE), (4.4, LINE)),
        ("out", (4.4, PAST), "straight to the main receiver"),
        ("gang", (3.4, LINE + 0.12), (3.4, PAST + 0.12)),
        ("wire", (4.4, LINE), (5.0, LINE)), *_down("L", "L1", 5.0),
    ]
    x = 7.2
    for place, coil in enumerate(coils):
        if place:
            items += [("dot", (x, LINE)), ("C", f"C{2 * place}", (x, LINE), (x + 2.4, LINE)),
                      ("dot", (x + 2.4, LINE))]
            x += 2.4
        items += [*_down("L", coil, x), ("wire", (x, LINE), (x + 2.4, LINE)),
                  *_down("VC", f"C{2 * place + 1}", x + 2.4)]
        x += 2.4
    return (*items, ("dot", (x, LINE)), ("wire", (x, LINE), (x + 1.4, LINE)),
            ("out", (x + 1.4, LINE), "to its mixer"))


def mixer_layout(circuit: Circuit, at: dict[str, tuple[float, float]]) -> tuple[Item, ...]:
    """The mixer; ``at`` says where the valve's leads end."""
    signal, first, screen = (at[f"grid {number}"][1] for number in (3, 1, 2))
    x = at["cathode"][0]
    return (
        ("pentagrid",), ("in", (3.4, signal), "signal"), ("wire", (3.4, signal), "V.grid 3"),
        ("in", (3.4, 2.7), "crystal"), ("C", "C1", (3.4, 2.7), (6.0, 2.7)),
        ("wire", (6.0, 2.7), (7.6, 2.7), (9.3, 2.7), (9.3, first), "V.grid 1"),
        ("dot", (7.6, 2.7)), *_down("R", "R1", 7.6, 2.7),
        ("wire", "V.cathode", (x, 2.5)), *_down("R", "R2", x, 2.5), ("dot", (x, 2.5)),
        ("wire", (x, 2.5), (13.4, 2.5)), *_down("C", "C2", 13.4, 2.5),
        ("wire", "V.grid 4 right", (12.2, at["grid 4"][1]), (12.2, screen)), ("dot", (12.2, screen)),
        ("wire", "V.grid 2 right", (12.2, screen), (22.9, screen)), ("dot", (22.9, screen)),
        ("R", "R3", (22.9, screen), (22.9, RAIL)), *_down("C", "C3", 22.9, screen),
        ("wire", "V.anode", (11.0, 5.3), (13.1, 5.3)), ("dot", (13.1, 5.3)),
        ("L", "L1", (13.1, 5.3), (13.1, RAIL)), ("wire", (13.1, 5.3), (14.9, 5.3)),
        ("C", "C4", (14.9, 5.3), (14.9, RAIL)),
        ("L", "L2", (17.2, 6.2), (17.2, 5.1)), ("wire", (17.2, 6.2), (16.9, 6.2)),
        ("chassis", (16.9, 6.2)), ("wire", (17.2, 5.1), (18.4, 5.1)),
        ("high tension", (4.0, RAIL)), ("wire", (4.0, RAIL), (5.8, RAIL)),
        ("S", CONVERTER_SWITCH, (5.8, RAIL), (7.8, RAIL)),
        ("S", CONVERTER_SWITCH, (18.4, 5.1), (20.2, 5.1)), ("out", (20.2, 5.1), "main receiver"),
        ("wire", (7.8, RAIL), (8.9, RAIL)), ("dot", (8.9, RAIL)),
        ("C", "C5", (8.9, RAIL), (8.9, 5.4)), ("chassis", (8.9, 5.4)),
        ("wire", (8.9, RAIL), (13.1, RAIL), (14.9, RAIL), (22.9, RAIL)),
        ("dot", (13.1, RAIL)), ("dot", (14.9, RAIL)),
    )


def oscillator_layout(circuit: Circuit, at: dict[str, tuple[float, float]]) -> tuple[Item, ...]:
    """The crystal oscillator; ``at`` says where the valve's leads end."""
    y = at["grid 1"][1]
    return (
        ("triode",), ("Y", "Y1", (2.2, 5.4), (2.2, FLOOR)), ("chassis", (2.2, FLOOR)),
        ("wire", (2.2, 5.4), (5.4, 5.4)), ("dot", (5.4, 5.4)),
        ("C", "C1", (5.4, 5.4), (5.4, 2.6)), ("dot", (5.4, 2.6)), *_down("C", "C2", 5.4, 2.6),
        ("wire", (5.4, 5.4), (8.6, 5.4), (8.6, y), "V.grid 1"), ("dot", (8.6, y)),
        ("R", "R1", (8.6, y), (8.6, 2.6)), ("dot", (8.6, 2.6)),
        ("wire", (5.4, 2.6), (8.6, 2.6), (10.65, 2.6), "V.cathode"), ("dot", (10.65, 2.6)),
        *_down("L", "L1", 10.65, 2.6), ("wire", (10.65, 2.6), (14.6, 2.6)),
        ("C", "C4", (14.6, 2.6), (17.0, 2.6)), ("out", (17.0, 2.6), "to the converter's mixer"),
        ("wire", "V.anode", (11.0, 5.3), (13.4, 5.3)), ("dot", (13.4, 5.3)),
        ("R", "R2", (13.4, 5.3), (13.4, 7.0)),
        ("in right", (13.4, 7.0), "high tension, from the converter switch"),
        ("wire", (13.4, 5.3), (17.6, 5.3)), ("C", "C3", (17.6, 5.3), (17.6, 3.9)),
        ("chassis", (17.6, 3.9)),
    )


def _down(symbol: str, ref: str, x: float, top: float = LINE) -> tuple[Item, Item]:
    """A part from (x, top) down to the chassis."""
    return (symbol, ref, (x, top), (x, FLOOR)), ("chassis", (x, FLOOR))

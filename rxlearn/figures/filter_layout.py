"""Where the parts of the crystal filter are drawn: a ladder of two to eight crystals on up to three rows.

Its ends have a resistor, a transformer or nothing.  Items are those of
:mod:`rxlearn.figures.circuit_layouts`.
"""

from __future__ import annotations

from rxlearn.compute.circuits import IN_SERIES, LINK, SERIES_WITH, TUNING, Circuit

Item = tuple

_CRYSTAL, _CAPACITOR, _COLUMN, _BETWEEN = 2.0, 1.6, 1.8, 2.5
"""Widths: a crystal, what may be in series with it, a part across with its words, and a transformer."""

_ON_A_ROW, _BESIDE_TRANSFORMER, _ROOM = 4, 3, 9.4
"""Crystals on the first row, without and with a transformer, and how far from the left a transformer
may begin that is drawn from right to left."""

_ROWS = {1: ((4.4, 0.9),), 2: ((6.2, 4.6), (2.6, 0.9)), 3: ((6.75, 5.6), (3.75, 2.55), (1.3, 0.05))}
"""Height of each row, and of the chassis under what hangs there, by how many rows there are."""


class _Pen:
    """Draws along a row, and goes on below it in the other direction."""

    def __init__(self, rows: int, x: float) -> None:
        self.rows, self.row, self.x, self.way = _ROWS[rows], 0, x, 1
        self.items: list[Item] = []

    @property
    def here(self) -> tuple[float, float]:
        return self.x, self.rows[self.row][0]

    def on(self, width: float, symbol: str = "wire", ref: str = "") -> None:
        """A part or a wire along the row."""
        start = self.here
        self.x = round(self.x + self.way * width, 3)
        self.items.append((symbol, ref, start, self.here) if ref else ("wire", start, self.here))

    def across(self, symbol: str, ref: str) -> None:
        """A part from the row to the chassis."""
        foot = (self.x, self.rows[self.row][1])
        self.items += [(symbol, ref, self.here, foot), ("chassis", foot)]

    def hang(self, symbol: str, ref: str) -> None:
        """The same where the row goes on."""
        self.items.append(("dot", self.here))
        self.across(symbol, ref)

    def turn(self, width: float) -> None:
        """Down to the next row, beyond the words of the last part."""
        start = self.here
        corner = round(self.x + self.way * width, 3)
        self.x, self.row, self.way = corner, self.row + 1, -self.way
        self.items.append(("wire", start, (corner, start[1]), self.here))

    def transformer(self, first: str, second: str) -> None:
        """Two windings beside each other."""
        self.across("L", first)
        top, bottom = self.rows[self.row]
        left = self.x if self.way > 0 else self.x - _BETWEEN
        core = round(left + _BETWEEN - 0.5, 3)
        self.items.append(("core", (core, top - 0.2), (core, bottom + 0.2)))
        self.x = round(self.x + self.way * _BETWEEN, 3)
        self.across("L", second)


def filter_layout(circuit: Circuit) -> tuple[Item, ...]:
    """Every symbol, wire and mark of the crystal filter."""
    kinds = {part.kind: part.ref for part in circuit.parts}
    ends = {part.ref: part.kind for part in circuit.parts if part.ref[0] == "R"}
    count = sum(part.ref[0] == "Y" for part in circuit.parts)
    first, last = (f"{LINK} {winding}" in kinds for winding in ("L1", "L4"))
    full = _BESIDE_TRANSFORMER if first else _ON_A_ROW
    pen = _Pen(_rows(count, full, first, last), 2.6 if first else 2.8)
    pen.items.append(("in", pen.here, "from the mixer"))
    if first:
        _from_stage(pen, kinds, ends)
    else:
        _resistor(pen, "R1", ends)
    for number in range(1, count + 1):
        if number == full + 1:
            pen.turn(1.9)
        pen.on(_CRYSTAL, "Y", f"Y{number}")
        series = kinds.get(f"{SERIES_WITH} Y{number}", "")
        pen.on(_CAPACITOR, *(("C", series) if series else ()))
        if number < count:
            pen.hang("C", f"C{number}")
    if last:
        _to_stage(pen, kinds, ends)
    else:
        _resistor(pen, "R2", ends)
    pen.on(0.9 if last else 1.3)
    pen.items.append(("out" if pen.way > 0 else "in", pen.here, "to the amplifier"))
    return tuple(pen.items)


def _rows(count: int, full: int, first: bool, last: bool) -> int:
    """How many rows it takes; the last transformer never stands on the first."""
    if not last:
        return 1 if count <= full else 2
    start = (2.6 + 0.6 + 2 * _COLUMN + _BETWEEN) if first else 2.8
    left = start + (_CRYSTAL + _CAPACITOR) * (2 * full - count) + 1.9
    return 2 if count <= full or left >= _ROOM else 3


def _from_stage(pen: _Pen, kinds: dict[str, str], ends: dict[str, str]) -> None:
    """The first transformer: what lies across it, its tuned winding, and the link."""
    pen.on(0.6)
    for symbol, ref in (*((("R", "R1"),) if "R1" in ends else ()), ("VC", kinds[f"{TUNING} L1"])):
        pen.hang(symbol, ref)
        pen.on(_COLUMN)
    pen.transformer("L1", "L2")


def _to_stage(pen: _Pen, kinds: dict[str, str], ends: dict[str, str]) -> None:
    """The last transformer: the link, its tuned winding, and what lies across it."""
    if len(pen.rows) > pen.row + 1:
        # To the left there must be room for the link's words, and for the rest.
        back = 2.2 if pen.way > 0 else 0.0
        pen.turn(max(0.6, _ROOM + back - pen.x) if back else 0.6)
        if back:
            pen.on(back)
    pen.transformer("L3", "L4")
    for symbol, ref in (("VC", kinds[f"{TUNING} L4"]), *((("R", "R2"),) if "R2" in ends else ())):
        pen.on(_COLUMN if pen.way < 0 else 2.2)  # beside the words of the part before, if they are there
        pen.hang(symbol, ref)


def _resistor(pen: _Pen, ref: str, ends: dict[str, str]) -> None:
    """The resistor at one end of the ladder, if there is one."""
    if ref not in ends:
        return
    if ends[ref].endswith(IN_SERIES):
        pen.on(2.0, "R", ref)
        return
    if ref == "R1":
        pen.on(0.6)
    pen.hang("R", ref)

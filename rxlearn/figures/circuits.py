"""Circuit diagrams: a circuit's parts in, symbols as SVG out, and in words what is connected.

The symbols are drawn by the library schemdraw; words, values and colours are ours.  What connects
to what is read off the drawing itself, so words and drawing cannot differ.
"""

from __future__ import annotations

import html
import re
import textwrap
from dataclasses import dataclass

from rxlearn.compute.circuits import POWER_SUPPLY, Circuit
from rxlearn.data.cautions import caution
from rxlearn.figures import style
from rxlearn.figures.circuit_layouts import GRIDS, VALVE, Item, layout_of, leads_of
from rxlearn.figures.supply_layout import CENTRE, DIODE_ENDS

UNIT = 36.0
"""Pixels to one unit of the layout."""

WIDTH, HEIGHT = 900.0, 322.0
"""Size of a drawing, pixels; the layout's origin lies at :data:`ORIGIN`."""

ORIGIN = (24.0, 298.0)

CAUTIONED = ("body", "charged_capacitor", "bleeder")
"""Cautions whose short words stand in the drawing of the power supply."""

_WORDS_TO_GRID = {"in": (-8, 4, "end"), "in right": (8, 4, "start"), "out": (8, 4, "start"),
                  "link": (-6, 4, "end")}


_UNNAMED = ("wire", "dot", "chassis", "core", "slider", "gang", "free", "words")
"""Marks without a label of their own."""


@dataclass(frozen=True)
class Connection:
    """One part in words: its ``ref`` and kind, its value, and what its ends go to."""

    ref: str
    kind: str
    value: str
    ends: tuple[str, ...]


def circuit_svg(circuit: Circuit) -> str:
    """The diagram as a standalone SVG document on light paper, for a page or a sheet."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH:.0f}" height="{HEIGHT:.0f}" '
        f'viewBox="0 0 {WIDTH:.0f} {HEIGHT:.0f}">'
        f'<path d="M0 0H{WIDTH:.0f}V{HEIGHT:.0f}H0Z" fill="{style.LIGHT["paper"]}"/>'
        f"{circuit_shapes(circuit)}</svg>")


def circuit_shapes(circuit: Circuit) -> str:
    """The diagram as a group of SVG elements in pixels of :data:`WIDTH` by :data:`HEIGHT`."""
    items = layout_of(circuit)
    x, y = ORIGIN
    return (f'<g transform="translate({x} {y})">{_symbols(items)}</g>'
            f'<g font-family="{style.PAGE_FONTS}">{"".join(_labels(circuit, items))}</g>')


def connections(circuit: Circuit) -> tuple[Connection, ...]:
    """Each part of ``circuit`` with what its ends are connected to, valve first."""
    items = layout_of(circuit)
    nets = _Nets(items)
    found = []
    if nets.leads:
        ends = tuple(f"{name} to {net}" for name, net in nets.electrodes() if net)
        found.append(Connection("V", circuit.valve, "", ends))
    for part in circuit.parts:
        points = [point for item in items if len(item) > 2 and item[1] == part.ref
                  for point in (item[2:] if item[0] != "slider" else ())]
        valve = next((item for item in items if item[0] in DIODE_ENDS and item[1] == part.ref), None)
        if valve:
            ends = tuple(dict.fromkeys(
                f"{name} to {nets.named(point, part.ref)}"
                for name, point in zip(DIODE_ENDS[valve[0]], valve[2:], strict=True)))
        else:
            ends = tuple(dict.fromkeys(nets.named(point, part.ref) for point in points))
        if any(item[:2] == ("slider", part.ref) for item in items):
            ends = (*ends, f"slider: {nets.slider(part.ref)}")
        found.append(Connection(part.ref, part.kind, part.value, ends))
    return tuple(found)


def _point(point) -> tuple[float, float]:
    """A point of the layout; electrodes are looked up by the caller's kind of valve."""
    return round(point[0], 3), round(point[1], 3)


class _Nets:
    """Which points of a layout are joined by wires, and what each net is called."""

    def __init__(self, items: tuple[Item, ...]) -> None:
        self.leads = {f"V.{name}": _point(at) for name, at in leads_of(items).items()}
        self._parent: dict = {}
        self._names: dict = {}
        self._touching: dict = {}
        for item in items:
            if item[0] == "wire":
                points = [self.at(point) for point in item[1:]]
                for one, other in zip(points, points[1:]):
                    self._join(one, other)
        for item in items:
            self._take(item)
        for lead, point in self.leads.items():
            self._touch(point, f"the valve's {lead[2:].removesuffix(' right')}")

    def at(self, point) -> tuple[float, float]:
        """Coordinates of a point or of an electrode by name."""
        return self.leads[point] if isinstance(point, str) else _point(point)

    def electrodes(self) -> list[tuple[str, str]]:
        """Each electrode with what else its net holds; empty where it is not wired."""
        found = []
        for lead, point in self.leads.items():
            name = lead.removeprefix("V.")
            if name.endswith(" right"):
                continue
            points = [point]
            if f"V.{name} right" in self.leads:
                points.append(self.leads[f"V.{name} right"])
            others = [words for point in points for words in self._others(point, name)]
            found.append((name, ", ".join(dict.fromkeys(others))))
        return found

    def slider(self, ref: str) -> str:
        """What the slider of the control ``ref`` goes to."""
        return self.named(("slider", ref), f"{ref}'s slider")

    def named(self, point, ref: str) -> str:
        """What the net at ``point`` is called from the part ``ref``'s side."""
        root = self._root(point if point[0] == "slider" else self.at(point))
        if root in self._names:
            return self._names[root]
        others = [words for words in self._touching.get(root, ()) if words != ref]
        leads = [words for words in others if words.startswith("the valve's")]
        return leads[0] if leads else ", ".join(dict.fromkeys(others)) or "nothing"

    def _others(self, point: tuple, name: str) -> list[str]:
        root = self._root(point)
        words = [self._names[root]] if root in self._names else []
        own = f"the valve's {name}"
        return words + [w for w in self._touching.get(root, ()) if w != own]

    def _take(self, item: Item) -> None:
        match item[0]:
            case "chassis" | "high tension":
                self._names[self._root(self.at(item[1]))] = (
                    "chassis" if item[0] == "chassis" else "high tension")
            case "in" | "in right" | "out" | "link" | "free":
                self._touch(self.at(item[1]), item[2])
            case "wire" | "dot" | "core" | "words" | "gang" | "triode" | "pentode" | "pentagrid":
                pass
            case "slider":
                self._join((round(item[2][0] + 0.65, 3), round(item[2][1], 3)), ("slider", item[1]))
                self._touch(("slider", item[1]), f"{item[1]}'s slider")
            case _:
                for point in item[2:]:
                    self._touch(self.at(point), item[1])

    def _touch(self, point, words: str) -> None:
        self._touching.setdefault(self._root(point), []).append(words)

    def _join(self, one, other) -> None:
        one, other = self._root(one), self._root(other)
        if one == other:
            return
        self._parent[other] = one
        if other in self._touching:
            self._touching.setdefault(one, []).extend(self._touching.pop(other))
        if other in self._names:
            self._names[one] = self._names.pop(other)

    def _root(self, point):
        while self._parent.get(point, point) != point:
            point = self._parent[point]
        return point


def _symbols(items: tuple[Item, ...]) -> str:
    """The library's symbols and wires as SVG, in :data:`UNIT` pixels, y upwards from the origin."""
    # Only when a circuit is drawn: the library brings pyplot along and takes a second to load.
    import schemdraw
    import schemdraw.elements as elements

    schemdraw.use("svg")
    drawing = schemdraw.Drawing(show=False)
    drawing.config(inches_per_unit=UNIT / 72, lw=1.4, color=style.LIGHT["ink"])
    makers = {
        "R": elements.Resistor, "C": elements.Capacitor, "VC": elements.CapacitorVar,
        "L": elements.Inductor, "D": elements.Diode, "Y": elements.Crystal,
        "C below": elements.Capacitor, "P": elements.Potentiometer, "S": elements.Switch,
        "F": elements.Fuse,
    }
    leads = {f"V.{name}": at for name, at in leads_of(items).items()}

    def at(point):
        return leads[point] if isinstance(point, str) else point

    for item in items:
        match item[0]:
            case "triode" | "pentode" | "pentagrid":
                drawing.add(elements.VacuumTube(
                    grids=GRIDS[item[0]], heater=False, tube_lw=1.6, anode_lw=1.6, cathode_lw=1.6,
                    grid_lw=1.6).at(item[1] if len(item) > 1 else VALVE))
            case "wire":
                for start, end in zip(item[1:], item[2:]):
                    drawing.add(elements.Line().at(at(start)).to(at(end)))
            case "dot":
                drawing.add(elements.Dot(radius=0.06).at(at(item[1])))
            case "chassis":
                drawing.add(elements.GroundChassis().at(at(item[1])))
            case "core":
                for shift in (-0.07, 0.07):
                    (x, top), (_, bottom) = item[1:]
                    drawing.add(elements.Line().at((x + shift, top)).to((x + shift, bottom)))
            case "gang":
                drawing.add(elements.Line(ls="--", lw=0.9).at(item[1]).to(item[2]))
            case "cord":
                (x, top), _, (_, bottom) = item[2:]
                drawing.add(elements.Rect(corner1=(x - 0.6, bottom - 0.3), corner2=(x, top + 0.3)))
            case "double diode" | "filament diode":
                _add_double_diode(drawing, elements, item[0] == "filament diode")
            case "LS":
                (x, top), (_, bottom) = item[2:]
                middle = (top + bottom) / 2
                drawing.add(elements.Speaker().at((x, middle + 0.25)))
                drawing.add(elements.Line().at((x, top)).to((x, middle + 0.25)))
                drawing.add(elements.Line().at((x, middle - 0.25)).to((x, bottom)))
            case symbol if symbol in makers:
                part = makers[symbol]().at(at(item[2])).to(at(item[3]))
                if symbol == "S" and at(item[2])[1] > at(item[3])[1]:
                    part.flip()  # its lever would lie where its words stand
                drawing.add(part)
    drawn = drawing.get_imagedata("svg").decode()
    shapes = drawn[drawn.index(">", drawn.index("<svg")) + 1:drawn.rindex("</svg>")]
    return re.sub(r"(-?\d+\.\d{3})\d+", r"\1", shapes.replace("stroke-dasharray:-;", ""))


def _add_double_diode(drawing, elements, filament: bool) -> None:
    """Two plates that face a cathode with its heater, or a filament, in one bulb."""
    from schemdraw.segments import SegmentCircle

    x, y = CENTRE
    bulb = elements.Element()
    bulb.segments.append(SegmentCircle((0, 0), 0.95, lw=1.6))
    drawing.add(bulb.at(CENTRE))
    paths = [((-1.0, 0.4), (-0.4, 0.4)), ((-0.4, 0.15), (-0.4, 0.65)),
             ((-1.0, -0.4), (-0.4, -0.4)), ((-0.4, -0.65), (-0.4, -0.15))]
    if filament:
        paths.append(((0.1, -1.0), (0.1, 0.2), (0.3, 0.5), (0.5, 0.2), (0.5, -1.0)))
    else:
        paths += [((-0.1, -0.45), (-0.1, 0.45), (1.0, 0.45)),
                  ((0.1, -1.0), (0.1, -0.1), (0.3, 0.2), (0.5, -0.1), (0.5, -1.0))]
    for path in paths:
        for (x0, y0), (x1, y1) in zip(path, path[1:]):
            drawing.add(elements.Line(lw=1.6).at((x + x0, y + y0)).to((x + x1, y + y1)))


def _labels(circuit: Circuit, items: tuple[Item, ...]):
    """The words of a drawing: reference and value at each part, and where signals come and go."""
    values = {part.ref: part.value for part in circuit.parts}
    done = set()
    for item in items:
        if item[0] in GRIDS:
            x, y = _pixels(item[1] if len(item) > 1 else VALVE)
            yield _text(x + 34, y + 12, circuit.valve.partition(",")[0], "start", weight="bold")
        elif item[0] in _WORDS_TO_GRID:
            right, down, anchor = _WORDS_TO_GRID[item[0]]
            x, y = _pixels(item[1])
            yield _text(x + right, y + down, item[2], anchor, role="quiet")
        elif item[0] == "words":
            x, y = _pixels(item[1])
            for line, words in enumerate(_wrapped(item[2], 12)):
                yield _text(x + 15, y + 7 + 12 * line, words, "start")
        elif item[0] == "high tension":
            x, y = _pixels(item[1])
            yield _text(x, y - 6, "high tension +", "middle", role="warning")
        elif item[0] == "cord":
            yield from _cord_labels(item, values["W1"])
        elif item[0] in DIODE_ENDS:
            x, y = _pixels(CENTRE)
            yield _text(x, y - 55, item[1], "middle", weight="bold")
            yield _text(x, y - 43, values[item[1]], "middle")
        elif item[0] not in _UNNAMED and item[1] not in done:
            done.add(item[1])
            yield from _beside(item, values[item[1]])
    yield from _caution_labels(circuit)


def _cord_labels(item: Item, value: str):
    """The cord's name above it, and which of its cores is which."""
    x, y = _pixels(item[2])
    yield _text(x - 22, y - 28, item[1], "start", weight="bold")
    yield _text(x - 22, y - 16, value, "start")
    for point, words in zip(item[2:], ("line", "neutral", "earth"), strict=True):
        x, y = _pixels(point)
        yield _text(x + 5, y - 5, words, "start", role="quiet")


def cautioned(circuit: Circuit) -> str:
    """The cautions that stand in the drawing, with a space before; empty where there are none."""
    if circuit.stage != POWER_SUPPLY:
        return ""
    return " CAUTION: " + " ".join(caution(key).short for key in CAUTIONED)


def _caution_labels(circuit: Circuit):
    """The cautions at the place where a hand would go."""
    lines = textwrap.wrap(cautioned(circuit).strip(), 84)
    for line, text in enumerate(lines):
        yield _text(362, HEIGHT - 7 - 13 * (len(lines) - 1 - line), text, "start", role="warning")


def _beside(item: Item, value: str):
    """Reference and value of a part: right of an upright one, above a lying one."""
    (x0, y0), (x1, y1) = _pixels(item[2]), _pixels(item[3])
    if abs(x1 - x0) < 1:
        y, anchor = (y0 + y1) / 2, "end" if item[0] == "P" else "start"
        x = x0 + {"P": -13, "LS": 40}.get(item[0], 15)
        yield _text(x, y - 3, item[1], anchor, weight="bold")
        for line, words in enumerate(_wrapped(value, 10)):
            yield _text(x, y + 10 + 12 * line, words, anchor)
        return
    # A switch's lever needs more room.
    x, y = (x0 + x1) / 2, min(y0, y1) - (5 if item[0] == "S" else 0)
    lines = _wrapped(value, 14)
    if item[0] == "C below":
        yield _text(x, y + 21, f"{item[1]} {value}", "middle")
        return
    yield _text(x, y - 14 - 12 * len(lines), item[1], "middle", weight="bold")
    for line, words in enumerate(lines):
        yield _text(x, y - 14 - 12 * (len(lines) - 1 - line), words, "middle")


def _wrapped(words: str, longest: int) -> list[str]:
    """``words`` on lines of about ``longest`` letters."""
    lines = [""]
    for word in words.split():
        if lines[-1] and len(lines[-1]) + len(word) >= longest and not (
                lines[-1][-1].isdigit() and len(word) < 4):
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return [line for line in lines if line]


def _pixels(point: tuple[float, float]) -> tuple[float, float]:
    return ORIGIN[0] + UNIT * point[0], ORIGIN[1] - UNIT * point[1]


def _text(x: float, y: float, words: str, anchor: str, *, role: str = "ink",
          weight: str = "normal") -> str:
    return (f'<text x="{x:.1f}" y="{y:.1f}" style="font-size: 10px; text-anchor: {anchor}; '
            f'font-weight: {weight}; fill: {style.LIGHT[role]}">{html.escape(words)}</text>')

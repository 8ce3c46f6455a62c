"""A dial scale to print: where each mark and each number goes, in millimetres.

The scale is fixed and a pointer on the shaft moves over it.  Its middle stands
straight up from the shaft; the pointer goes clockwise as the frequency rises,
or the other way round where the capacitor opens anticlockwise.

Lengths in mm from the shaft's centre, x to the right and y upwards, because a
printed page is measured in them; angles in degrees.  DERIVED: a shaft angle θ
of a turn of D stands at 90° + D/2 − θ in the usual sense of a drawing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rxlearn.compute.dial_scale import DialScale
from rxlearn.compute.quantities import Range, Unclear

CLOCKWISE = "clockwise"
ANTICLOCKWISE = "anticlockwise"
SENSES = {CLOCKWISE: "goes clockwise", ANTICLOCKWISE: "goes anticlockwise"}
"""Which way the pointer goes as the frequency rises, and the words for it."""

RADIUS = Range("Dial, radius of the scale", "m", 20e-3, 90e-3)
MAJOR = 5.0
MINOR = 2.8
BAND_GAP = 16.0
"""Lengths of the marks and the distance from one band's arc to the next, mm."""

RING_GAP = 12.5
"""From the innermost band's arc to the ring of degrees, mm; it has marks outwards like a band."""

LEAST_RING = 10.0
"""Radius below which a ring of degrees would run into the shaft, mm."""

NUMBER_AWAY = 2.2
NUMBER_HEIGHT = 2.6
NEAR = 3e-4
"""A band's end that misses the dial by no more than this part of it still gets its mark: 0.1 mm."""

LETTER = 0.62
"""Width of a figure as a part of its height."""

RULER = 100.0
"""Length of the ruler that tells whether the printer keeps to size, mm."""

LEAST_RADIUS = 15.0


@dataclass(frozen=True)
class Stroke:
    """A straight line from (``x1``, ``y1``) to (``x2``, ``y2``), ``width`` thick, all mm."""

    x1: float
    y1: float
    x2: float
    y2: float
    width: float = 0.25


@dataclass(frozen=True)
class Arc:
    """Part of a circle round (``x``, ``y``), from ``start`` to ``end`` degrees, anticlockwise."""

    x: float
    y: float
    radius: float
    start: float
    end: float
    width: float = 0.35


@dataclass(frozen=True)
class Word:
    """``text`` with its middle at (``x``, ``y``) mm, turned by ``turned`` degrees anticlockwise.

    ``height`` is that of the letters' body in mm.
    """

    x: float
    y: float
    text: str
    turned: float = 0.0
    height: float = NUMBER_HEIGHT
    bold: bool = False


Mark = Stroke | Arc | Word


@dataclass(frozen=True)
class PrintedDial:
    """All ``marks`` of a scale, and the box ``left``..``right``, ``bottom``..``top`` round them.

    ``ring`` says whether it has room for a ring of the shaft's degrees inside.
    """

    marks: tuple[Mark, ...]
    left: float
    right: float
    bottom: float
    top: float
    ring: bool

    @property
    def width(self) -> float:
        """Width of the box on paper, mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Height of the box on paper, mm."""
        return self.top - self.bottom


def place_of(angle: float, degrees: float, radius: float, sense: str = CLOCKWISE) -> tuple:
    """Where a shaft ``angle`` of a turn of ``degrees`` stands at ``radius``: x and y, mm."""
    drawn = math.radians(_drawn(angle, degrees, sense))
    return radius * math.cos(drawn), radius * math.sin(drawn)


def print_dial(
    scales: Sequence[tuple[str, DialScale]], radius: float, *, sense: str = CLOCKWISE
) -> PrintedDial:
    """The scale for bands given as (name, its marks), the first outermost at ``radius`` (m).

    Raises :class:`Unclear` for a radius out of range or too small for so many
    bands, and for a sense that is not one of :data:`SENSES`.
    """
    outer = 1000 * RADIUS.check(radius)
    if sense not in SENSES:
        raise Unclear(f"The dial must open {' or '.join(SENSES)}.")
    if not scales:
        raise Unclear("There is no band whose dial could be printed.")
    if outer - BAND_GAP * (len(scales) - 1) < LEAST_RADIUS:
        raise Unclear(
            f"{len(scales)} bands need a scale of at least "
            f"{LEAST_RADIUS + BAND_GAP * (len(scales) - 1):.0f} mm radius."
        )
    marks: list[Mark] = [Stroke(-4, 0, 4, 0), Stroke(0, -4, 0, 4), Arc(0, 0, 3.2, 0, 360, 0.25)]
    for row, (name, scale) in enumerate(scales):
        marks += _band(name, scale, outer - BAND_GAP * row, sense)
    ring = outer - BAND_GAP * (len(scales) - 1) - RING_GAP
    if ring >= LEAST_RING:
        marks += _degrees(scales[0][1].coverage.network.variable.degrees, ring, sense)
    reach = outer + MAJOR + NUMBER_AWAY + 2 * NUMBER_HEIGHT
    widest = max(scale.coverage.network.variable.degrees for _, scale in scales)
    low = min(-9.0, outer * math.sin(math.radians(90 - widest / 2)) - 12.0)
    bottom = low - 12.0
    marks += _ruler(bottom + 4.0)
    side = max(reach + 4, RULER / 2 + 6)
    return PrintedDial(tuple(marks), -side, side, bottom - 6.0, reach + 2, ring >= LEAST_RING)


def _drawn(angle: float, degrees: float, sense: str) -> float:
    turned = degrees / 2 - angle
    return 90 + (turned if sense == CLOCKWISE else -turned)


def _band(name: str, scale: DialScale, radius: float, sense: str) -> list[Mark]:
    degrees = scale.coverage.network.variable.degrees
    first, last = sorted((_drawn(0, degrees, sense), _drawn(degrees, degrees, sense)))
    marks: list[Mark] = [Arc(0, 0, radius, first, last)]
    majors = list(zip(scale.major, scale.major_angles, strict=True))
    taken = {round(float(f), 3) for f in scale.major}
    for frequency, angle in zip(scale.minor, scale.minor_angles, strict=True):
        if round(float(frequency), 3) not in taken and math.isfinite(angle):
            marks.append(_stroke(angle, degrees, radius, MINOR, sense, 0.2))
    away = radius + MAJOR + NUMBER_AWAY
    for frequency, angle in majors:
        if math.isfinite(angle):
            marks.append(_stroke(angle, degrees, radius, MAJOR, sense, 0.35))
    digits = _decimals([float(f) for f, _ in majors])
    long_marks = [(float(f), float(a), f"{f / 1e6:.{digits}f}") for f, a in majors if math.isfinite(a)]
    ends = []
    for frequency, angle in zip((scale.wanted_low, scale.wanted_high), scale.wanted_angles, strict=True):
        if abs(frequency - min(max(frequency, scale.low), scale.high)) <= NEAR * scale.coverage.span:
            marks.append(_stroke(angle, degrees, radius, MAJOR, sense, 0.35))
            exact = max(digits, _decimals([frequency]))
            ends.append((frequency, angle, f"{frequency / 1e6:.{exact}f}"))
    if not ends:
        ends = [long_marks[0], long_marks[-1]] if len(long_marks) > 1 else long_marks
    for _, angle, number in _numbered(long_marks, ends, away):
        x, y = place_of(angle, degrees, away, sense)
        marks.append(Word(x, y, number, _drawn(angle, degrees, sense) - 90))
    low, high = scale.wanted_angles
    if high != low:
        # The band itself: a second, thick arc just inside.
        edges = sorted((_drawn(low, degrees, sense), _drawn(high, degrees, sense)))
        marks.append(Arc(0, 0, radius - 1.0, *edges, 0.9))
    x, y = place_of(degrees / 2, degrees, radius - 3.6, sense)
    # A straight word below the arc: as wide as the arc falls by a millimetre (DERIVED: w²/8r).
    most = int((8 * radius) ** 0.5 / (LETTER * NUMBER_HEIGHT)) - len(", MHz")
    name = name if len(name) <= most else f"{name[:most - 1].rstrip()}…"
    marks.append(Word(x, y, f"{name}, MHz", 0.0, NUMBER_HEIGHT, True))
    return marks


Numbered = tuple[float, float, str]
"""A mark's value, its angle in degrees and its number."""


def _numbered(marks: Sequence[Numbered], ends: Sequence[Numbered], away: float) -> list[Numbered]:
    """The band's ends, and every so many of the long marks that no numbers at ``away`` (mm) touch.

    So the marks between two numbers can be counted.  Only beside an end may one be left out.
    """
    step = marks[1][0] - marks[0][0] if len(marks) > 1 else 1.0

    def clear(one: Numbered, other: Numbered) -> bool:
        room = LETTER * NUMBER_HEIGHT * (len(one[2]) + len(other[2])) / 2 + 1.5
        return math.radians(abs(one[1] - other[1])) * away >= room

    def apart(chosen: Sequence[Numbered]) -> bool:
        ordered = sorted(chosen, key=lambda mark: mark[1])
        return all(map(clear, ordered, ordered[1:]))

    ends = list(ends) if apart(ends) else list(ends[:1])
    inner = [mark for mark in marks if all(abs(mark[0] - end[0]) > 1e-3 * step for end in ends)]
    for every in (1, 2, 5, 10, 20, 50):
        chosen = [mark for mark in inner if round(mark[0] / step) % every == 0]
        if apart(chosen):
            return [*(mark for mark in chosen if all(clear(mark, end) for end in ends)), *ends]
    return ends


def _degrees(degrees: float, radius: float, sense: str) -> list[Mark]:
    """A ring of the shaft's angle from fully meshed, with a mark at each degree that has room."""
    first, last = sorted((_drawn(0, degrees, sense), _drawn(degrees, degrees, sense)))
    marks: list[Mark] = [Arc(0, 0, radius, first, last, 0.25)]
    fine = next(step for step in (1, 2, 5, 10) if math.radians(step) * radius >= 0.9)
    for angle in range(0, math.floor(degrees) + 1, fine):
        if angle % 10:
            marks.append(_stroke(angle, degrees, radius, MINOR / 2, sense, 0.15))
    tens = [(float(angle), float(angle), f"{angle}") for angle in range(0, math.floor(degrees) + 1, 10)]
    for _, angle, _ in tens:
        marks.append(_stroke(angle, degrees, radius, MINOR, sense, 0.25))
    away = radius + MINOR + NUMBER_AWAY
    for _, angle, number in _numbered(tens, (), away):
        x, y = place_of(angle, degrees, away, sense)
        marks.append(Word(x, y, number, _drawn(angle, degrees, sense) - 90))
    x, y = place_of(degrees / 2, degrees, radius - 3.0, sense)
    marks.append(Word(x, y, "shaft, °", 0.0, 2.2))
    return marks


def _stroke(
    angle: float, degrees: float, radius: float, length: float, sense: str, width: float
) -> Stroke:
    return Stroke(*place_of(angle, degrees, radius, sense),
                  *place_of(angle, degrees, radius + length, sense), width)


def _decimals(frequencies: list[float]) -> int:
    """So many decimals of a MHz that neighbouring numbers differ and round ones are exact."""
    for digits in range(1, 7):
        if all(abs(round(f / 1e6, digits) * 1e6 - f) < 0.5 for f in frequencies):
            return digits
    return 6


def _ruler(y: float) -> list[Mark]:
    marks: list[Mark] = [Stroke(-RULER / 2, y, RULER / 2, y, 0.25)]
    for step in range(int(RULER) + 1):
        length = 4.0 if step % 10 == 0 else 3.0 if step % 5 == 0 else 2.0
        x = step - RULER / 2
        marks.append(Stroke(x, y, x, y + length, 0.2))
        if step % 10 == 0:
            marks.append(Word(x, y - 2.2, str(step), height=2.4))
    marks.append(Word(0, y + 7.0, "Ruler: 100 mm. Measure it before you trust the scale.",
                      height=2.6))
    return marks


PAPER_STEP = 1e3
"""What a hand sets on a dial is compared with so many Hz along its arc."""


@dataclass(frozen=True, eq=False)
class PaperPlace:
    """A pointer at ``angle`` (degrees) over ``scale`` on a ``radius`` (m).

    ``signal`` is the frequency there (Hz), ``apart`` the length along the arc, in m, of
    ``per`` (Hz) at that place.
    """

    scale: DialScale
    radius: float
    sense: str
    angle: float
    signal: float
    apart: float
    per: float


def place_on_paper(scale: DialScale, radius: float, angle: float, *, sense: str = CLOCKWISE,
                   per: float = 10 * PAPER_STEP) -> PaperPlace:
    """Where the pointer stands at ``angle`` (degrees), and how far apart marks of ``per`` (Hz) are.

    ``radius`` in m.  DERIVED: the arc of a degree is π·r/180, and a degree is so many Hz there.
    Raises :class:`Unclear` for values out of range.
    """
    radius = RADIUS.check(radius)
    network = scale.coverage.network
    signal = float(network.frequency_at(angle)) + scale.to_signal
    rate = abs(float(network.rate_at(angle)))
    return PaperPlace(scale, radius, sense, float(angle), signal,
                      math.pi * radius / 180 * per / rate, per)

"""The dial scale as SVG in millimetres and on a PDF page, both from the same marks."""

from __future__ import annotations

import math
from html import escape
from typing import TYPE_CHECKING

from rxlearn.compute.printed_dial import Arc, PrintedDial, Stroke, Word
from rxlearn.sheets.fonts import FONT
from rxlearn.sheets.letters import has_lost, shown

if TYPE_CHECKING:
    from fpdf import FPDF

INK = "#000000"
POINTS_PER_MM = 72 / 25.4
MIDDLE = 0.36
"""From a number's baseline to its middle, as a part of the letters' body."""


def dial_svg(dial: PrintedDial, says: str) -> str:
    """The scale as one SVG element at true size; ``says`` is its text alternative."""
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{escape(says)}" '
        f'width="{dial.width:.4f}mm" height="{dial.height:.4f}mm" '
        f'viewBox="0 0 {dial.width:.4f} {dial.height:.4f}" '
        f'font-family="DejaVu Sans, Verdana, sans-serif" stroke="{INK}" fill="none">'
    ]
    for mark in dial.marks:
        match mark:
            case Stroke():
                x1, y1 = _on_page(dial, mark.x1, mark.y1)
                x2, y2 = _on_page(dial, mark.x2, mark.y2)
                parts.append(f'<line x1="{x1:.4f}" y1="{y1:.4f}" x2="{x2:.4f}" y2="{y2:.4f}" '
                             f'stroke-width="{mark.width}"/>')
            case Arc():
                parts.append(f'<path d="{_arc_path(dial, mark)}" stroke-width="{mark.width}"/>')
            case Word():
                x, y = _on_page(dial, mark.x, mark.y)
                weight = ' font-weight="bold"' if mark.bold else ""
                parts.append(
                    f'<text transform="translate({x:.4f} {y:.4f}) rotate({-mark.turned:.4f})" '
                    f'y="{MIDDLE * mark.height:.3f}" font-size="{mark.height}" '
                    f'text-anchor="middle" stroke="none" fill="{INK}"{weight}>'
                    f'{escape(mark.text)}</text>'
                )
    return "".join([*parts, "</svg>"])


def dial_on_page(pdf: FPDF, dial: PrintedDial, left: float, top: float) -> None:
    """Draw the scale on the present page of ``pdf`` (unit mm), its box's corner at ``left``, ``top``.

    The font must have been added (:func:`~rxlearn.sheets.fonts.add_fonts`).
    """
    pdf.set_draw_color(0)
    pdf.set_text_color(0)
    for mark in dial.marks:
        if isinstance(mark, Word):
            _word(pdf, dial, mark, left, top)
            continue
        pdf.set_line_width(mark.width)
        if isinstance(mark, Stroke):
            x1, y1 = _on_page(dial, mark.x1, mark.y1)
            x2, y2 = _on_page(dial, mark.x2, mark.y2)
            pdf.line(left + x1, top + y1, left + x2, top + y2)
        else:
            points = [(left + x, top + y) for x, y in _arc_points(dial, mark)]
            pdf.polyline(points)


def _word(pdf: FPDF, dial: PrintedDial, mark: Word, left: float, top: float) -> None:
    x, y = _on_page(dial, mark.x, mark.y)
    x, y = left + x, top + y
    pdf.set_font(FONT, "B" if mark.bold else "", mark.height * POINTS_PER_MM)
    words = shown(mark.text)
    pdf.lost = getattr(pdf, "lost", False) or has_lost(mark.text, words)
    with pdf.rotation(mark.turned, x, y):
        pdf.text(x - pdf.get_string_width(words) / 2, y + MIDDLE * mark.height, words)


def _on_page(dial: PrintedDial, x: float, y: float) -> tuple[float, float]:
    return x - dial.left, dial.top - y


def _arc_points(dial: PrintedDial, arc: Arc) -> list[tuple[float, float]]:
    """Chords short enough that none leaves the circle by more than a hundredth of a mm."""
    longest = 2 * math.degrees(math.acos(1 - min(0.01 / arc.radius, 1.0)))
    count = max(2, math.ceil((arc.end - arc.start) / longest))
    return [
        _on_page(dial, arc.x + arc.radius * math.cos(angle), arc.y + arc.radius * math.sin(angle))
        for angle in (math.radians(arc.start + (arc.end - arc.start) * n / count)
                      for n in range(count + 1))
    ]


def _arc_path(dial: PrintedDial, arc: Arc) -> str:
    points = _arc_points(dial, arc)
    return "M" + " L".join(f"{x:.4f} {y:.4f}" for x, y in points)

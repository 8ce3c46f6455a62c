"""The font of printed sheets: DejaVu Sans, which comes with matplotlib and knows µ, Ω and °."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import matplotlib

if TYPE_CHECKING:
    from fpdf import FPDF

FONT = "DejaVu"
_FILES = {"": "DejaVuSans.ttf", "B": "DejaVuSans-Bold.ttf"}
STYLES = tuple(_FILES)


def font_file(style: str) -> Path:
    """Where the font's file lies: upright (empty) or bold (B)."""
    return Path(matplotlib.get_data_path()) / "fonts" / "ttf" / _FILES[style]


def add_fonts(pdf: FPDF) -> None:
    """Make :data:`FONT` known to ``pdf``, upright and bold."""
    for style in STYLES:
        pdf.add_font(FONT, style, font_file(style))

"""The font of printed sheets: DejaVu Sans, which comes with matplotlib and knows µ, Ω and °."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import matplotlib

if TYPE_CHECKING:
    from fpdf import FPDF

FONT = "DejaVu"
_FILES = {"": "DejaVuSans.ttf", "B": "DejaVuSans-Bold.ttf", "I": "DejaVuSans-Oblique.ttf"}


def add_fonts(pdf: FPDF) -> None:
    """Make :data:`FONT` known to ``pdf``, upright, bold and oblique."""
    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    for style, name in _FILES.items():
        pdf.add_font(FONT, style, folder / name)

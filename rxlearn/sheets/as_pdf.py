"""A sheet as PDF, drawn as vectors on A4; the dial scale stands at true size on its own page."""

from __future__ import annotations

import io
import logging
import re
from contextlib import contextmanager
from datetime import datetime, timezone

from fpdf import FPDF
from fpdf.fonts import FontFace

from rxlearn.sheets.dial_page import dial_on_page
from rxlearn.sheets.fonts import FONT, add_fonts
from rxlearn.sheets.pages import (
    HOLD,
    NOT_HERE,
    UNFINISHED,
    Block,
    Heading,
    Paragraph,
    Picture,
    Scale,
    Sheet,
    Steps,
    Table,
    Warned,
)

MARGIN = 14.0
"""mm on all sides."""

BODY, SMALL, LARGE, TITLE = 10.0, 8.6, 13.0, 17.0
LINE = 4.9
_EPOCH = datetime(2000, 1, 1, tzinfo=timezone.utc)


class _Page(FPDF):
    """A page with the sheet's title and the page's number at its foot."""

    def __init__(self, sheet: Sheet) -> None:
        super().__init__(unit="mm", format="A4")
        self.sheet = sheet
        add_fonts(self)
        self.set_margins(MARGIN, MARGIN)
        self.set_auto_page_break(True, margin=MARGIN + 4)
        self.set_title(sheet.title)
        self.str_alias_nb_pages = None  # a name may hold what would be replaced
        # The same plan prints the same file.
        self.set_creation_date(_EPOCH)

    def footer(self) -> None:
        self.set_y(-MARGIN)
        self.set_font(FONT, "", 7.5)
        unfinished = f"{UNFINISHED} · " if self.sheet.unfinished else ""
        self.cell(0, 5, f"{unfinished}{self.sheet.title} · page {self.page_no()}")


def as_pdf(sheet: Sheet) -> bytes:
    """The whole sheet as the bytes of a PDF file."""
    pdf = _Page(sheet)
    pdf.add_page()
    pdf.set_font(FONT, "B", TITLE)
    _lines(pdf, sheet.title, 8.0)
    if sheet.unfinished:
        _boxed(pdf, UNFINISHED, f"{NOT_HERE}:\n" + "\n".join(f"– {m}" for m in sheet.missing), 1.2)
    with _quiet_reader():
        for block in sheet.blocks:
            _draw(pdf, block)
        return bytes(pdf.output())


def _draw(pdf: FPDF, block: Block) -> None:
    match block:
        case Heading():
            _heading(pdf, block.text)
        case Paragraph():
            pdf.set_font(FONT, "B" if block.strong else "", BODY)
            _lines(pdf, block.text, LINE)
            pdf.ln(1.5)
        case Table():
            _table(pdf, block.caption, block.head, block.rows, block.widths)
        case Warned():
            _boxed(pdf, f"⚠ Caution: {block.caution.title}.", block.caution.short, 0.6)
        case Steps():
            rows = tuple(
                ("☐", step.text + (f"\n{HOLD}" if step.hold else ""), step.expected, "")
                for step in block.steps
            )
            _table(pdf, block.caption, ("done", "what to do", "expected", "measured"), rows,
                   (13, 99, 40, 30))
        case Picture():
            _picture(pdf, block)
        case Scale():
            pdf.add_page()
            dial_on_page(pdf, block.dial, (pdf.w - block.dial.width) / 2, MARGIN)
            pdf.set_y(MARGIN + block.dial.height)


def _heading(pdf: FPDF, text: str) -> None:
    if pdf.will_page_break(28) or _is_turned(pdf):
        pdf.add_page(orientation="portrait")
    pdf.ln(4)
    pdf.set_font(FONT, "B", LARGE)
    _lines(pdf, text, 6.5)
    pdf.set_line_width(0.3)
    pdf.line(pdf.l_margin, pdf.get_y(), pdf.w - pdf.r_margin, pdf.get_y())
    pdf.ln(2)


def _lines(pdf: FPDF, text: str, height: float) -> None:
    pdf.multi_cell(0, height, text, align="L", new_x="LMARGIN", new_y="NEXT")


def _boxed(pdf: FPDF, title: str, text: str, width: float) -> None:
    """A title and its text in a frame, never torn by a page's end."""
    inner = pdf.epw - 6
    pdf.set_font(FONT, "B", BODY)
    head = pdf.multi_cell(inner, LINE, title, dry_run=True, output="HEIGHT")
    pdf.set_font(FONT, "", BODY)
    rest = pdf.multi_cell(inner, LINE, text, dry_run=True, output="HEIGHT")
    height = head + rest + 3
    if pdf.will_page_break(height + 3):
        pdf.add_page()
    pdf.ln(1)
    top = pdf.get_y()
    pdf.set_line_width(width)
    if height < pdf.eph:
        pdf.rect(pdf.l_margin, top, pdf.epw, height)
    pdf.set_xy(pdf.l_margin + 3, top + 1.5)
    pdf.set_font(FONT, "B", BODY)
    pdf.multi_cell(inner, LINE, title, align="L", new_x="LEFT", new_y="NEXT")
    pdf.set_font(FONT, "", BODY)
    pdf.multi_cell(inner, LINE, text, align="L", new_x="LMARGIN", new_y="NEXT")
    pdf.set_xy(pdf.l_margin, max(pdf.get_y(), top + height) + 2)


def _table(pdf: FPDF, caption: str, head, rows, widths) -> None:
    if pdf.will_page_break(22):
        pdf.add_page()
    pdf.set_font(FONT, "B", BODY)
    _lines(pdf, caption, LINE)
    pdf.set_font(FONT, "", SMALL)
    pdf.set_line_width(0.2)
    pdf.set_draw_color(110)
    with pdf.table(col_widths=widths or None, text_align="LEFT", line_height=4.2,
                   padding=0.8, headings_style=FontFace(emphasis="BOLD")) as table:
        for cells in (head, *rows):
            row = table.row()
            for cell in cells:
                row.cell(cell)
    pdf.set_draw_color(0)
    pdf.ln(3)


def _is_turned(pdf: FPDF) -> bool:
    return pdf.w > pdf.h


def _picture(pdf: FPDF, block: Picture) -> None:
    if block.turned:
        pdf.add_page(orientation="landscape")
    # No alternative text on the picture: the words stand under it, where all can read them.
    svg = block.svg[block.svg.index("<svg"):]
    # The page's own font, which has every sign that a drawing uses.
    svg = re.sub(r'font-family="[^"]*"', f'font-family="{FONT}"', svg)
    svg = re.sub(r"font-family: [^;\"]+", f"font-family: {FONT}", svg)
    # It takes a length in px as three quarters of the drawing's own unit, which it is not.
    svg = re.sub(r"(font-size: *[\d.]+)px", r"\1", svg)
    # The PDF library knows only letters, digits and underlines in a name.
    svg = re.sub(r'\bid="[^"]*"|href="#[^"]*"|url\(#[^)]*\)',
                 lambda name: name[0].replace("-", "_").replace(".", "_"), svg)
    width = min(block.width, pdf.epw)
    if pdf.will_page_break(width * _height_over_width(svg) + 8):
        pdf.add_page()
    pdf.image(io.BytesIO(svg.encode()), w=width)
    pdf.set_font(FONT, "I", SMALL)
    _lines(pdf, block.says, 4.2)
    pdf.ln(2)


def _height_over_width(svg: str) -> float:
    box = re.search(r'viewBox="([-\d.eE ]+)"', svg)
    _, _, width, height = map(float, box[1].split())
    return height / width


@contextmanager
def _quiet_reader():
    """The PDF library remarks on SVG members that it leaves out; none of them is drawn."""
    logger = logging.getLogger("fpdf.svg")
    before = logger.level
    logger.setLevel(logging.ERROR)
    try:
        yield
    finally:
        logger.setLevel(before)

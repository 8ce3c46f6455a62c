"""A sheet as PDF, drawn as vectors; the dial scale stands at true size on its own page.

What belongs together stays on a page: a heading with what it heads, a caption with its table, a
drawing with its words.
"""

from __future__ import annotations

import html
import io
import logging
import re
from collections.abc import Sequence
from contextlib import contextmanager

from rxlearn.sheets.dial_page import dial_on_page
from rxlearn.sheets.fonts import FONT
from rxlearn.sheets.letters import has_lost, shown
from rxlearn.sheets.pages import (
    HOLD,
    MARGIN,
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
    is_turned,
)
from rxlearn.sheets.pdf_page import BODY, LARGE, SMALL, TITLE, Page
from rxlearn.sheets.pdf_table import SetTable, draw_table, set_table

LINE, SMALL_LINE, HEAD_LINE = 4.9, 4.2, 6.5
"""Heights of a line of text, of small text and of a heading, mm."""

FRAME = 3.0
"""From a frame to the words in it, mm."""

LEAST_SHARE = 0.89
"""A drawing may shrink to this part of its width; its words of 10 units of 900 keep 7 points then."""

STEPS_HEAD, STEPS_SHARES = ("done", "what to do", "expected", "measured"), (13, 99, 40, 30)


def as_pdf(sheet: Sheet) -> bytes:
    """The whole sheet as the bytes of a PDF file."""
    page = Page(sheet)
    page.add_page()
    page.write_lines(page.lines(sheet.title, page.epw, "B", TITLE), 8.0, "B", TITLE)
    if sheet.unfinished:
        _boxed(page, UNFINISHED, f"{NOT_HERE}:\n" + "\n".join(f"– {m}" for m in sheet.missing), 1.2)
    with _quiet_reader():
        for place, block in enumerate(sheet.blocks):
            # A drawing on its side has its heading with it on the page.
            headed = place > 0 and isinstance(sheet.blocks[place - 1], Heading)
            _draw(page, block, sheet.blocks[place + 1:], headed)
        return bytes(page.output())


def _draw(page: Page, block: Block, following: Sequence[Block], headed: bool) -> None:
    match block:
        case Heading():
            _heading(page, block.text, following)
        case Paragraph():
            page.keep(_least(page, (block, *following)))
            _paragraph(page, block)
        case Table() | Steps():
            draw_table(page, _set(page, block))
        case Warned():
            _boxed(page, f"⚠ Caution: {block.caution.title}.", block.caution.short, 0.6)
        case Picture():
            if block.turned != page.is_turned or block.turned and not headed:
                page.add_page(orientation="landscape" if block.turned else "portrait")
            _picture(page, block, following)
        case Scale():
            _scale(page, block)


def _set(page: Page, block: Table | Steps) -> SetTable:
    """The table of ``block`` with its cells broken into lines."""
    if isinstance(block, Table):
        return set_table(page, block.caption, block.head, block.rows, block.widths)
    rows = [("☐", step.text + (f"\n{HOLD}" if step.hold else ""), step.expected, "")
            for step in block.steps]
    return set_table(page, block.caption, STEPS_HEAD, rows, STEPS_SHARES)


def _least(page: Page, blocks: Sequence[Block]) -> float:
    """Height, mm, that the first of ``blocks`` needs on a page with what must not leave it."""
    if not blocks:
        return 0.0
    block, following = blocks[0], blocks[1:]
    match block:
        case Paragraph():
            height = LINE * len(_of_paragraph(page, block)) + 1.5
            # Words before a table say what it is.
            tied = following and isinstance(following[0], Table | Steps)
            return height + (_least(page, following) if tied else 0.0)
        case Table() | Steps():
            return _set(page, block).least
        case Warned():
            return _frame(page, f"⚠ Caution: {block.caution.title}.", block.caution.short)[2] + 3
        case Picture():
            return 0.0 if block.turned else _picture_height(page, block)
        case _:
            return 0.0


def _heading(page: Page, text: str, following: Sequence[Block]) -> None:
    lines = page.lines(text, page.epw, "B", LARGE)
    turned = bool(following) and is_turned(following[0])
    if turned or page.is_turned:
        page.add_page(orientation="landscape" if turned else "portrait")
    page.keep(6 + HEAD_LINE * len(lines) + _least(page, following))
    if not page.fresh:
        page.set_y(page.get_y() + 4)
    page.write_lines(lines, HEAD_LINE, "B", LARGE)
    page.set_line_width(0.3)
    page.line(page.l_margin, page.get_y(), page.w - page.r_margin, page.get_y())
    page.set_y(page.get_y() + 2)


def _of_paragraph(page: Page, block: Paragraph) -> list[str]:
    return page.lines(block.text, page.epw, "B" if block.strong else "", BODY)


def _paragraph(page: Page, block: Paragraph) -> None:
    page.write_lines(_of_paragraph(page, block), LINE, "B" if block.strong else "", BODY)
    page.set_y(page.get_y() + 1.5)


def _frame(page: Page, title: str, text: str) -> tuple[list[str], list[str], float]:
    """Lines of a frame's title and text, and the frame's height, mm."""
    inner = page.epw - 2 * FRAME
    head, rest = page.lines(title, inner, "B", BODY), page.lines(text, inner, "", BODY)
    return head, rest, LINE * (len(head) + len(rest)) + FRAME


def _boxed(page: Page, title: str, text: str, width: float) -> None:
    """A title and its text in a frame, never torn by a page's end if a page holds it at all."""
    head, rest, height = _frame(page, title, text)
    page.keep(height + 3)
    page.set_y(page.get_y() + 1)
    top = page.get_y()
    page.set_line_width(width)
    framed = height <= page.room
    if framed:
        page.rect(page.l_margin, top, page.epw, height)
    page.set_y(top + FRAME / 2)
    page.write_lines(head, LINE, "B", BODY, indent=FRAME)
    page.write_lines(rest, LINE, "", BODY, indent=FRAME)
    page.set_y(max(page.get_y(), top + height if framed else 0.0) + 2)


def _scale(page: Page, block: Scale) -> None:
    page.add_page(orientation="portrait")
    dial_on_page(page, block.dial, (page.w - block.dial.width) / 2, MARGIN)
    page.set_y(MARGIN + block.dial.height)


def _picture(page: Page, block: Picture, following: Sequence[Block]) -> None:
    page.keep(_picture_height(page, block))
    svg, lost = _for_the_reader(block.svg)
    page.lost = page.lost or lost
    width, top = _picture_width(page, block, following), page.get_y()
    # No alternative text on the picture: the words stand under it, where all can read them.
    page.image(io.BytesIO(svg.encode()), x=page.l_margin, y=top, w=width)
    page.set_y(top + width * _height_over_width(svg) + 1)
    page.write_lines(page.lines(block.says, page.epw, "", SMALL), SMALL_LINE, "", SMALL)
    page.set_y(page.get_y() + 2)


def _picture_width(page: Page, block: Picture, following: Sequence[Block]) -> float:
    """Width of a drawing, mm: a little less than its own if its table then stays on the page."""
    width = min(block.width, page.epw)
    if not (block.turned and following and isinstance(following[0], Table)):
        return width
    over = _picture_height(page, block) + _set(page, following[0]).height - page.room
    smaller = width - max(0.0, over + 2) / _height_over_width(block.svg)
    return smaller if smaller >= LEAST_SHARE * width else width


def _picture_height(page: Page, block: Picture) -> float:
    lines = len(page.lines(block.says, page.epw, "", SMALL))
    return min(block.width, page.epw) * _height_over_width(block.svg) + SMALL_LINE * lines + 3


def _for_the_reader(svg: str) -> tuple[str, bool]:
    """A drawing as the PDF library reads it, and whether the font lacks a letter of its words."""
    svg = svg[svg.index("<svg"):]
    # The page's own font, which has every sign that a drawing uses.
    svg = re.sub(r'font-family="[^"]*"', f'font-family="{FONT}"', svg)
    svg = re.sub(r"font-family: [^;\"]+", f"font-family: {FONT}", svg)
    # It takes a length in px as three quarters of the drawing's own unit, which it is not.
    svg = re.sub(r"(font-size: *[\d.]+)px", r"\1", svg)
    # The PDF library knows only letters, digits and underlines in a name.
    svg = re.sub(r'\bid="[^"]*"|href="#[^"]*"|url\(#[^)]*\)',
                 lambda name: name[0].replace("-", "_").replace(".", "_"), svg)
    lost = False

    def words(found: re.Match) -> str:
        nonlocal lost
        text = html.unescape(found[1])
        lost = lost or has_lost(text, shown(text))
        return f">{html.escape(shown(text))}<"

    return re.sub(r">([^<>]*[^<>\x00-\x7f][^<>]*)<", words, svg), lost


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

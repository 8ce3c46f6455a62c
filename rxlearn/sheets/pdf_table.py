"""A table on the pages of a PDF: columns wide enough for their words, rows that no page tears.

At least two rows stay together on either side of a page's end, and the head comes again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rxlearn.sheets.pdf_page import BODY, SMALL, Page

LINE, PAD, CAPTION = 4.2, 0.7, 5.4
"""Height of a line, room within a cell, and height of the caption's line, mm."""

TOGETHER = 2
"""So many rows stay together."""

WHOLE = 5
"""A table of at most so many rows is not broken at all."""

CONTINUED = " (continued)"


@dataclass(frozen=True)
class SetTable:
    """A table whose cells are broken into lines: ``head`` and ``rows`` hold cells of lines."""

    caption: str
    columns: tuple[float, ...]
    head: tuple[list[str], ...]
    rows: tuple[tuple[list[str], ...], ...]

    @property
    def height(self) -> float:
        """Height of the whole table on one page, mm."""
        return CAPTION + _height(self.head) + sum(map(_height, self.rows))

    @property
    def least(self) -> float:
        """Height that a page must have left to begin it, mm: caption, head and the first rows."""
        first = self.rows if len(self.rows) <= WHOLE else self.rows[:TOGETHER]
        return CAPTION + _height(self.head) + sum(map(_height, first))


def set_table(page: Page, caption: str, head: Sequence[str], rows: Sequence[Sequence[str]],
              shares: Sequence[float]) -> SetTable:
    """Break the cells of a table for the present page; ``shares`` are its columns' shares, if any."""
    shares = tuple(shares) or (1.0,) * len(head)
    words = [[(cell, "B") for cell in head], *([(cell, "") for cell in row] for row in rows)]
    least = [max(_longest(page, *cells[n]) for cells in words) + 2 * PAD + 0.2
             for n in range(len(head))]
    columns = _columns(page.epw, shares, least)

    def broken(cells, style):
        return tuple(page.lines(cell, width - 2 * PAD, style, SMALL)
                     for cell, width in zip(cells, columns, strict=True))

    top = broken(head, "B")
    most = int((page.floor - page.t_margin - CAPTION - _height(top) - 2 * PAD) / LINE)
    return SetTable(caption, columns, top, tuple(
        part for row in rows for part in _parts(broken(row, ""), most)))


def _parts(cells: tuple[list[str], ...], most: int) -> list[tuple[list[str], ...]]:
    """A row of cells as rows of at most ``most`` lines: one, unless it is higher than a page."""
    highest = max(map(len, cells))
    return [tuple(cell[first:first + most] for cell in cells)
            for first in range(0, highest, most)]


def _longest(page: Page, text: str, style: str) -> float:
    """Width of the longest word, but of none that should be torn: a third of the page is enough."""
    return max((min(page.width_of(word, style, SMALL), page.epw / 3) for word in text.split()),
               default=0.0)


def _columns(total: float, shares: Sequence[float], least: Sequence[float]) -> tuple[float, ...]:
    """Widths in proportion to ``shares``, but none below its ``least`` while there is room for all."""
    if sum(least) >= total:
        return tuple(width * total / sum(least) for width in least)
    narrow: set[int] = set()
    while True:
        left = total - sum(least[n] for n in narrow)
        unit = left / sum(share for n, share in enumerate(shares) if n not in narrow)
        more = {n for n, share in enumerate(shares) if n not in narrow and share * unit < least[n]}
        if not more:
            return tuple(least[n] if n in narrow else share * unit for n, share in enumerate(shares))
        narrow |= more


def draw_table(page: Page, table: SetTable) -> None:
    """Draw ``table`` from the present place on, on as many pages as it takes."""
    page.keep(table.least)
    caption, rows = table.caption, list(table.rows)
    page.set_line_width(0.2)
    page.set_draw_color(110)
    while True:
        _caption(page, caption)
        _row(page, table.columns, table.head, "B")
        count = _fitting(page, rows)
        for row in rows[:count]:
            _row(page, table.columns, row, "")
        rows = rows[count:]
        if not rows:
            break
        page.turn()
        caption = table.caption + CONTINUED
    page.set_draw_color(0)
    page.set_y(page.get_y() + 4)


def _fitting(page: Page, rows: list) -> int:
    """How many of ``rows`` come onto this page; two stay together at either side."""
    count, used = 0, 0.0
    for row in rows:
        used += _height(row)
        if used > page.room:
            break
        count += 1
    if count == len(rows):
        return count
    return max(1, min(count, len(rows) - TOGETHER))


def _caption(page: Page, words: str) -> None:
    line = page.cut(words, page.epw, "B", BODY)
    page.put(line, page.l_margin, page.get_y(), CAPTION, "B", BODY)
    page.set_y(page.get_y() + CAPTION)


def _height(cells: Sequence[list[str]]) -> float:
    return LINE * max(map(len, cells)) + 2 * PAD


def _row(page: Page, columns: Sequence[float], cells: Sequence[list[str]], style: str) -> None:
    x, top, height = page.l_margin, page.get_y(), _height(cells)
    for width, lines in zip(columns, cells, strict=True):
        page.rect(x, top, width, height)
        for number, line in enumerate(lines):
            page.put(line, x + PAD, top + PAD + LINE * number, LINE, style, SMALL)
        x += width
    page.set_y(top + height)

"""Pages of a PDF on which text is set line by line, as wide as the font says it is.

Lines are broken here, not by the PDF library: a table has each cell measured before a page is
turned, and that has to be quick.
"""

from __future__ import annotations

from datetime import datetime, timezone
from functools import cached_property

from fpdf import FPDF

from rxlearn.sheets.dial_page import POINTS_PER_MM
from rxlearn.sheets.fonts import FONT, STYLES, add_fonts
from rxlearn.sheets.letters import LOST_WORDS, has_lost, shown
from rxlearn.sheets.pages import MARGIN, PAPER, UNFINISHED, Sheet

FOOT = 5.0
"""Height of the footer's line, mm."""

BODY, SMALL, LARGE, TITLE, FOOTER = 10.0, 8.6, 13.0, 17.0, 7.5
"""Sizes of letters, points."""

_EPOCH = datetime(2000, 1, 1, tzinfo=timezone.utc)
_BASELINE = 0.75
"""Where letters stand in their line, as a part of its height."""


class Page(FPDF):
    """Pages with the sheet's title and their number at the foot; breaks are the writer's own."""

    def __init__(self, sheet: Sheet) -> None:
        super().__init__(unit="mm", format=PAPER)
        self.sheet, self.lost = sheet, False
        add_fonts(self)
        self.set_margins(MARGIN, MARGIN)
        self.set_auto_page_break(False)
        self.set_title(sheet.title)
        self.str_alias_nb_pages = None  # a name may hold what would be replaced
        # The same plan prints the same file.
        self.set_creation_date(_EPOCH)

    def footer(self) -> None:
        """Whether the sheet is unfinished, its title as far as there is room, the page's number."""
        unfinished = f"{UNFINISHED} · " if self.sheet.unfinished else ""
        number = f" · page {self.page_no()}"
        foot = self.h - MARGIN
        self.set_text_color(0)
        room = self.epw - self.width_of(unfinished + number, "", FOOTER)
        title = self.cut(self.sheet.title, room, "", FOOTER)
        lost, self.lost = self.lost, False
        self._say(f"{unfinished}{title}{number}", foot)
        if lost or self.lost:
            self._say(LOST_WORDS, foot - FOOT + 1)
        self.lost = False

    def _say(self, words: str, top: float) -> None:
        self.put(words, self.l_margin, top, FOOT, "", FOOTER)

    # -- room ---------------------------------------------------------------------------
    @property
    def is_turned(self) -> bool:
        """Whether the present page lies on its side."""
        return self.w > self.h

    @property
    def floor(self) -> float:
        """Down to here a page is written, mm from its top."""
        return self.h - MARGIN - FOOT

    @property
    def room(self) -> float:
        """What is left of the present page, mm."""
        return self.floor - self.get_y()

    @property
    def fresh(self) -> bool:
        """Whether nothing is on the present page yet."""
        return self.get_y() <= self.t_margin

    def turn(self) -> None:
        """Go on at the top of a new page like the present one."""
        self.add_page(orientation="landscape" if self.is_turned else "portrait")

    def keep(self, height: float) -> None:
        """Turn the page unless ``height`` mm are left, or nothing is on it yet."""
        if height > self.room and not self.fresh:
            self.turn()

    # -- words --------------------------------------------------------------------------
    @cached_property
    def _advances(self) -> dict[str, dict[str, float]]:
        return {style: {} for style in STYLES}

    def width_of(self, text: str, style: str, size: float) -> float:
        """Width of ``text`` on one line, mm."""
        known = self._advances[style]
        total = 0.0
        for letter in text:
            if letter not in known:
                font = self.fonts[f"{FONT.lower()}{style}"]
                known[letter] = font.get_text_width(shown(letter), 1000, None)[1] / 1000
            total += known[letter]
        return total * size / POINTS_PER_MM

    def cut(self, text: str, width: float, style: str, size: float) -> str:
        """``text``, or as much of its beginning as fits ``width`` with a sign that it goes on."""
        if self.width_of(text, style, size) <= width:
            return text
        while text and self.width_of(text + "…", style, size) > width:
            text = text[:-1]
        return text.rstrip() + "…"

    def lines(self, text: str, width: float, style: str, size: float) -> list[str]:
        """``text`` on lines of at most ``width`` mm; only what is longer than a line is torn."""
        found = []
        for paragraph in text.split("\n"):
            line = ""
            for word in paragraph.split(" "):
                tried = f"{line} {word}" if line else word
                if self.width_of(tried, style, size) <= width:
                    line = tried
                    continue
                if line:
                    found.append(line)
                *torn, line = self._torn(word, width, style, size)
                found += torn
            found.append(line)
        return found

    def _torn(self, word: str, width: float, style: str, size: float) -> list[str]:
        pieces = [""]
        for letter in word:
            if pieces[-1] and self.width_of(pieces[-1] + letter, style, size) > width:
                pieces.append("")
            pieces[-1] += letter
        return pieces

    def put(self, line: str, x: float, top: float, height: float, style: str, size: float) -> None:
        """Write one line whose box of ``height`` mm begins at ``x`` and ``top``."""
        written = shown(line)
        self.lost = self.lost or has_lost(line, written)
        self.set_font(FONT, style, size)
        if written:
            self.text(x, top + _BASELINE * height, written)

    def write_lines(self, lines: list[str], height: float, style: str, size: float,
                    *, indent: float = 0.0) -> None:
        """Write ``lines`` one below the other from the present place on, turning the page at its end."""
        for line in lines:
            self.keep(height)
            self.put(line, self.l_margin + indent, self.get_y(), height, style, size)
            self.set_y(self.get_y() + height)

"""Pages of the PDF: room on A4 and Letter, letters that can be read, nothing left alone or lost."""

import io
import re

import pdfplumber
import pytest

from rxlearn.plan.document import Change, Plan
from rxlearn.sheets.as_pdf import as_pdf
from rxlearn.sheets.build_sheet import build_sheet
from rxlearn.sheets.letters import LOST, LOST_WORDS, shown
from rxlearn.sheets.pages import Heading, Paragraph, Sheet, Table
from tests.any_plans import WORKING

POINTS = 72 / 25.4
PAPERS = ((210.0, 297.0), (215.9, 279.4))
"""A4 (ISO 216) and Letter (ANSI), mm."""

UNPRINTABLE = 6.4
"""A border, mm, that no common printer needs more of (a quarter of an inch; from memory)."""

LEAST = 7.0
"""Letters of a drawing, points."""


@pytest.fixture(scope="module")
def crowded():
    """The sheet of a plan with three bands and names as long as a plan takes."""
    values = {**WORKING["long names"], "third_band.wanted": "yes"}
    plan = Plan.demo().changed({key: Change(value=value, status="wished", origin="test")
                                for key, value in values.items()})
    return opened(build_sheet(plan))


def opened(sheet):
    return pdfplumber.open(io.BytesIO(as_pdf(sheet))).pages


def test_every_page_can_be_printed_whole_on_both_papers(crowded):
    for page in crowded:
        width, height = sorted((page.width / POINTS, page.height / POINTS))
        assert all(width <= wide + 0.01 and height <= high + 0.01 for wide, high in PAPERS)
        for char in page.chars:
            assert char["x0"] / POINTS > UNPRINTABLE and char["top"] / POINTS > UNPRINTABLE
            assert (page.width - char["x1"]) / POINTS > UNPRINTABLE, page.page_number
            assert (page.height - char["bottom"]) / POINTS > UNPRINTABLE


def test_every_page_has_its_number_however_long_the_name(crowded):
    for number, page in enumerate(crowded, start=1):
        assert page.extract_text().endswith(f"page {number}")


def test_words_of_drawings_can_be_read_at_a_bench(crowded):
    # The last page is the dial, whose letters are as high as its marks allow.
    for page in crowded[:-1]:
        small = [char["text"] for char in page.chars if char["size"] < LEAST - 0.05]
        assert not small, (page.page_number, "".join(small))


def table(count):
    return Table("Caption", ("left", "right"), tuple((f"row{n}", "x") for n in range(count)))


@pytest.mark.parametrize(("before", "count"), [
    *((before, 6) for before in range(29, 36)), *((0, count) for count in range(36, 46)), (30, 3),
])
def test_no_head_caption_or_row_is_left_alone(before, count):
    lines = tuple(Paragraph("line") for _ in range(before))
    pages = opened(Sheet("Title", (), (*lines, Heading("Section"), table(count))))
    seen = 0
    for page in pages:
        words = page.extract_text().split("\n")[:-1]
        rows = [n for n, line in enumerate(words) if line.startswith("row")]
        assert not rows or len(rows) >= 2
        # The head comes again with its rows, and caption and heading only with both.
        assert [line for line in words if line == "left right"] == ["left right"] * bool(rows)
        assert any(line.startswith("Caption") for line in words) == bool(rows)
        assert "Section" not in words or rows
        seen += len(rows)
    assert seen == count


def test_words_are_not_torn_while_there_is_room():
    rows = (("1", "intermediate-frequency amplifier", "no longer made"),) * 3
    page, = opened(Sheet("T", (), (Table("C", ("number", "where", "found"), rows, (1, 1, 30)),)))
    text = page.extract_text()
    assert "number" in text and "intermediate-frequency" in text and "amplifier" in text


def test_scripts_from_the_right_stand_in_their_order_and_join():
    # The Unicode Bidirectional Algorithm (UAX 9), rules L2 and L4, by hand: from the left.
    assert shown("a \u05d0\u05d1 (1)") == "a (1) \u05d1\u05d0"
    # The Unicode Standard, chapter 9.2: seen begins, lam with alef ends, meem stands alone.
    assert shown("\u0633\u0644\u0627\u0645") == "\ufee1\ufefc\ufeb3"
    assert shown("80 m, µΩ") == "80 m, µΩ"


def test_a_letter_that_the_font_lacks_is_seen_to_be_missing():
    page, = opened(Sheet("Radio \U0001f4fb\ufe0f one", (), (Paragraph("plain"),)))
    text = page.extract_text()
    assert f"Radio {LOST} one" in text and LOST_WORDS in text
    page, = opened(Sheet("Radio one", (), (Paragraph("plain"),)))
    assert not re.search(LOST, page.extract_text())

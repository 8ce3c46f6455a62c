"""What a printed sheet is made of, whether it becomes HTML or PDF.

Every text here is plain text.  Whoever writes it out escapes it.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.printed_dial import PrintedDial
from rxlearn.data.cautions import Caution


@dataclass(frozen=True)
class Heading:
    """The heading of a section."""

    text: str


@dataclass(frozen=True)
class Paragraph:
    """Running text; ``strong`` marks what must not be missed."""

    text: str
    strong: bool = False


@dataclass(frozen=True)
class Table:
    """Rows of cells under ``head``; ``widths`` are the columns' shares of the page."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...] = ()


@dataclass(frozen=True)
class Warned:
    """A caution at the place where a hand would go."""

    caution: Caution


@dataclass(frozen=True)
class Step:
    """One thing to do: ``text``, the ``expected`` reading, and whether to ``hold`` after it.

    A step with an expected reading has room for the measured one.
    """

    text: str
    expected: str = ""
    hold: bool = False


@dataclass(frozen=True)
class Steps:
    """Steps in order, each with a box to tick."""

    caption: str
    steps: tuple[Step, ...]


PAPER = (210.0, 279.4)
"""Width and height of a page, mm: what A4 (ISO 216) and Letter (ANSI/ASME Y14.1) have in common.

So nothing is cut off on either when it is printed at 100 %.
"""

MARGIN = 14.0
"""mm on all sides of a page."""

UPRIGHT, TURNED = (side - 2 * MARGIN for side in PAPER)
"""Width that a page has for blocks, and that one turned on its side has, mm."""


@dataclass(frozen=True)
class Picture:
    """A drawing as SVG, its letters drawn as outlines; ``says`` is its text alternative.

    One wider than :data:`UPRIGHT` stands on a page turned on its side, with the table after it.
    """

    svg: str
    says: str
    width: float
    """Width on paper, mm."""

    @property
    def turned(self) -> bool:
        """Whether it needs a page turned on its side."""
        return self.width > UPRIGHT


@dataclass(frozen=True)
class Scale:
    """The dial scale, printed at true size on a page of its own."""

    dial: PrintedDial
    says: str


def is_turned(block: object) -> bool:
    """Whether ``block`` is a drawing that needs a page turned on its side."""
    return isinstance(block, Picture) and block.turned


Block = Heading | Paragraph | Table | Warned | Steps | Picture | Scale


@dataclass(frozen=True)
class Sheet:
    """A printed sheet: ``title``, what is ``missing`` before it can be built from, and blocks."""

    title: str
    missing: tuple[str, ...]
    blocks: tuple[Block, ...]

    @property
    def unfinished(self) -> bool:
        """Whether anything is missing."""
        return bool(self.missing)


UNFINISHED = "UNFINISHED: do not build from this sheet yet"
"""What stands across the top of a sheet whose plan lacks something."""

NOT_HERE = "What is missing"
"""Heading of the list of what a plan lacks."""

HOLD = "HOLD: go on only if this is as expected."
"""What stands beside a step that must not be passed over."""

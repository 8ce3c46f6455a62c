"""Names that a learner gave, cut to the room that a picture has for them; and where no name is."""

from __future__ import annotations

import unicodedata

from rxlearn.compute.quantities import show
from rxlearn.data.spectrum import SHORT_WAVES_END, TABLE_END

_NARROW = frozenset(" .,:;'|!()[]Iijltfr1")
_WIDE = frozenset("MWmw@%&—œæ")


def cut(name: str, most: int) -> str:
    """``name`` where it is no wider than ``most`` ordinary letters; else its start and a “…”.

    Wide letters count for one and a half, narrow ones for a half; so do ideographs for one
    and a half.  Estimated, since the browser's letters are not known here.
    """
    widths = [_width(letter) for letter in name]
    if sum(widths) <= most:
        return name
    room, kept = most - 1.0, 0
    while kept < len(name) and widths[kept] <= room:
        room -= widths[kept]
        kept += 1
    return f"{name[:kept].rstrip()}…"


def _width(letter: str) -> float:
    """Width of ``letter`` in ordinary ones."""
    if letter in _NARROW:
        return 0.5
    return 1.5 if letter in _WIDE or unicodedata.east_asian_width(letter) in "WF" else 1.0


def nobody(frequency: float) -> str:
    """What is said of a ``frequency`` (Hz) on which the table of occupants holds nobody."""
    if frequency <= SHORT_WAVES_END:
        return "nobody in the table"
    if frequency <= TABLE_END:
        return f"nobody in the table, thin above {show(SHORT_WAVES_END, 'Hz')}"
    return f"beyond the table's end, {show(TABLE_END, 'Hz')}"

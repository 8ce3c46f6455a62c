"""Names that a learner gave, cut to the room that a picture has for them."""

from __future__ import annotations

import unicodedata

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

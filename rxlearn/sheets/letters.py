"""Letters as a PDF can show them: scripts from the right, letters that join, and those the font lacks.

A page of paper knows nothing of writing direction: it gets each line's letters in the order in
which they stand, from the left.  A letter that the font lacks becomes :data:`LOST`, so that nobody
misses it unknowingly.
"""

from __future__ import annotations

import unicodedata
from functools import cache

LOST = "\N{WHITE SQUARE}"
"""What stands for a letter that the font of printed sheets lacks."""

LOST_WORDS = f"{LOST} stands for a letter that the font lacks; the sheet as a web page shows it."


def shown(text: str) -> str:
    """``text``, one line, with the font's letters in the order in which they stand on paper."""
    if text.isascii():
        return text
    return _in_order("".join(_known(_joined(unicodedata.normalize("NFC", text)))))


def has_lost(text: str, written: str) -> bool:
    """Whether something of ``text`` is lost in what was ``written`` for it."""
    return written.count(LOST) > text.count(LOST)


@cache
def _charmap() -> frozenset[int]:
    from matplotlib.ft2font import FT2Font

    from rxlearn.sheets.fonts import STYLES, font_file

    return frozenset.intersection(*(
        frozenset(FT2Font(str(font_file(style))).get_charmap()) for style in STYLES))


def _known(text: str):
    """Each letter, or :data:`LOST`; joiners and accents of a lost letter go with it."""
    lost = False
    for letter in text:
        if ord(letter) in _charmap() and not (lost and _belongs(letter)):
            lost = False
            yield letter
        elif not (_belongs(letter) or lost and _is_modifier(letter)):
            lost = True
            yield LOST


def _belongs(letter: str) -> bool:
    """Whether ``letter`` shows nothing without the one before it: an accent, a joiner, a selector."""
    return unicodedata.category(letter) in ("Mn", "Me", "Cf")


def _is_modifier(letter: str) -> bool:
    return unicodedata.category(letter) == "Sk"


# -- letters that join (Unicode Standard, chapter 9.2, “Arabic Cursive Joining”) -----------------
@cache
def _forms() -> dict[tuple[str, str], str]:
    """(kind of form, letters) to the letter's form, as Unicode's compatibility forms list them."""
    found = {}
    for code in range(0xFE80, 0xFEFD):
        kind, *letters = unicodedata.decomposition(chr(code)).split() or [""]
        if kind:
            found[kind, "".join(chr(int(letter, 16)) for letter in letters)] = chr(code)
    return found


def _joined(text: str) -> str:
    """Arabic letters in the form that their neighbours ask for."""
    forms = _forms()
    if not any(("<isolated>", letter) in forms for letter in text):
        return text
    units: list[str] = []
    for letter in text:
        # Lam and alef are written as one.
        if units and ("<isolated>", units[-1] + letter) in forms:
            units[-1] += letter
        else:
            units.append(letter)
    bones = [n for n, unit in enumerate(units) if not _belongs(unit[-1])]
    plain = {n: units[n] for n in bones}
    for before, n, after in zip([None, *bones], bones, [*bones[1:], None], strict=False):
        tied = ("<initial>", plain.get(before, "")) in forms and ("<final>", units[n]) in forms
        ties = ("<initial>", units[n]) in forms and ("<final>", plain.get(after, "")) in forms
        units[n] = forms.get((_KINDS[tied, ties], units[n]), units[n])
    return "".join(units)


_KINDS = {(False, False): "<isolated>", (False, True): "<initial>", (True, True): "<medial>",
          (True, False): "<final>"}
"""The form of a letter that is tied to the one before it, and ties the one behind it."""


# -- scripts from the right -----------------------------------------------------------------------
def _in_order(text: str) -> str:
    if not any(unicodedata.bidirectional(letter) in ("R", "AL", "AN") for letter in text):
        return text
    from fpdf.bidi import BidiParagraph
    from fpdf.enums import TextDirection

    # The line as a whole runs from the left, as the sheet's own words do.
    order = BidiParagraph(text, base_direction=TextDirection.LTR).get_reordered_characters()
    return "".join(_mirrored(c.character) if c.embedding_level % 2 else c.character for c in order)


_PAIRS = "()[]{}<>«»"


def _mirrored(letter: str) -> str:
    place = _PAIRS.find(letter)
    return letter if place < 0 else _PAIRS[place ^ 1]

"""The list that is ticked before any high voltage is shown, and what it covers.

A :class:`Gate` belongs to one desk, and so to one kernel: it begins unticked
and nothing of it is ever stored.  Panels that name voltages above
``cautions.LIMIT`` are made with the gate; while a line is unticked they send
:func:`cover_parts` to the page in place of what they hold, and what a saved
lesson keeps of them is the cover, ticked or not.
"""

from __future__ import annotations

import html
from collections.abc import Callable

from rxlearn.data.cautions import CAUTIONS, COVERED, SAFETY_LIST, Caution

COVER_CAUTION = CAUTIONS["charged_capacitor"]
"""The caution that a covered part shows."""


class Gate:
    """Which statements of :data:`SAFETY_LIST` are ticked, and who is told when that changes."""

    def __init__(self) -> None:
        self._ticked: set[str] = set()
        self._watchers: list[Callable[[], None]] = []

    @property
    def ticked(self) -> tuple[str, ...]:
        """Keys of the ticked statements, in the list's order."""
        return tuple(s.key for s in SAFETY_LIST if s.key in self._ticked)

    @property
    def cleared(self) -> bool:
        """Whether every statement is ticked."""
        return len(self._ticked) == len(SAFETY_LIST)

    def tick(self, statement: str, on: bool = True) -> None:
        """Tick ``statement`` (its key), or untick it; KeyError that names what there is."""
        known = [s.key for s in SAFETY_LIST]
        if statement not in known:
            raise KeyError(f"There is no statement {statement!r}; choose one of {', '.join(known)}.")
        before = set(self._ticked)
        (self._ticked.add if on else self._ticked.discard)(statement)
        if self._ticked != before:
            for told in tuple(self._watchers):
                told()

    def watch(self, told: Callable[[], None]) -> None:
        """Call ``told()`` after every change."""
        self._watchers.append(told)

    def unwatch(self, told: Callable[[], None]) -> None:
        """Stop calling ``told``."""
        self._watchers = [watcher for watcher in self._watchers if watcher != told]


def cover_parts(label: str) -> list[dict]:
    """The parts that the page is sent in place of a covered panel called ``label``."""
    return [
        {"kind": "heading", "text": label},
        {"kind": "verdict", "text": COVERED, "tone": "ask"},
        caution_part(COVER_CAUTION),
    ]


def cover_text(label: str) -> str:
    """A covered panel in plain words."""
    end = "" if label.endswith(("?", ".")) else "."
    return f"{label}{end} {COVERED}\n{caution_line(COVER_CAUTION)}"


def cover_html(label: str) -> str:
    """A covered panel for a saved lesson."""
    return (
        f"<p><strong>{html.escape(label)}</strong></p><p>{html.escape(COVERED)}</p>"
        + caution_html(COVER_CAUTION, whole=False)
    )


def caution_part(caution: Caution) -> dict:
    """``caution`` as a part of a panel."""
    return {"kind": "caution", "title": caution.title, "short": caution.short,
            "text": caution.text, "sources": list(caution.sources)}


def caution_line(caution: Caution) -> str:
    """``caution`` in one line of plain text."""
    return f"Caution: {caution.title}. {caution.short}"


def caution_html(caution: Caution, *, whole: bool = True) -> str:
    """``caution`` for a saved lesson or a sheet; ``whole`` adds the reason and the sources."""
    more = ""
    if whole:
        sources = "; ".join(caution.sources)
        more = (f"<br>{html.escape(caution.text)}<br><small>Sources: {html.escape(sources)}.</small>")
    return (
        '<p style="border-left: 4px solid #8a5a01; padding-left: 10px">'
        f"<strong>⚠ Caution: {html.escape(caution.title)}.</strong> "
        f"{html.escape(caution.short)}{more}</p>"
    )

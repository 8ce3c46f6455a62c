"""Cautions in the page, and the list that must be ticked before any high voltage is shown."""

from __future__ import annotations

import html

from rxlearn.bench.desk import Desk, the_desk
from rxlearn.bench.gate import caution_html, caution_line, caution_part
from rxlearn.bench.panel import Panel, Stray
from rxlearn.bench.shown import Shown
from rxlearn.compute.quantities import show
from rxlearn.data import cautions as data

LIST_TITLE = "Before any high voltage"
"""The heading of the list, and the panel's name."""


def caution(key: str) -> Panel:
    """Show the caution ``key`` in the running cell."""
    rows = (data.caution(key),)
    return the_desk().place(f"caution {key}", lambda: _panel(f"Caution: {rows[0].title}", "", rows))


def cautions(group: str) -> Panel:
    """Show all cautions of ``group`` in the running cell, for instance ``open_chassis``."""
    rows, title = data.cautions(group), data.TITLES[group]
    return the_desk().place(f"cautions {group}", lambda: _panel(title, title, rows))


def current_through_a_body() -> Panel:
    """Show what currents do to a body, each with its source."""
    return the_desk().place("effects", _effects)


def safety_list() -> SafetyPanel:
    """Show the list that must be ticked before any high voltage is shown, in the running cell."""
    desk = the_desk()
    return desk.place("safety list", lambda: SafetyPanel(desk))


def _panel(label: str, title: str, rows: tuple[data.Caution, ...]) -> Panel:
    panel = Panel(label, _nothing_to_turn)
    panel.landmark = False
    panel.parts = [
        *([{"kind": "heading", "text": title}] if title else []),
        *map(caution_part, rows),
        {"kind": "text", "text": data.LOCAL_CODE, "tone": "quiet"},
    ]
    panel.plain_text = "\n".join([*map(caution_line, rows), data.LOCAL_CODE])
    panel.printed = (
        (f"<p><strong>{html.escape(title)}</strong></p>" if title else "")
        + "".join(map(caution_html, rows)) + f"<p>{html.escape(data.LOCAL_CODE)}</p>"
    )
    return panel


def _effects() -> Panel:
    """A table of currents; the plain text has a line for each."""
    panel = Panel("What a current does to a body", _nothing_to_turn)
    head = ["current", "what it does", "source"]
    rows = [[show(e.amperes, "A"), e.effect, e.source] for e in data.EFFECTS]
    panel.parts = [{"kind": "table", "caption": panel.label, "head": head, "rows": rows}]
    panel.plain_text = "\n".join(f"{amperes}: {effect}" for amperes, effect, _ in rows)
    panel.printed = _table(panel.label, head, rows)
    return panel


def _table(caption: str, head: list[str], rows: list[list[str]]) -> str:
    def line(cells: list[str], tag: str) -> str:
        return "<tr>" + "".join(f"<{tag}>{html.escape(cell)}</{tag}>" for cell in cells) + "</tr>"

    return (f"<table><caption>{html.escape(caption)}</caption>{line(head, 'th')}"
            + "".join(line(row, "td") for row in rows) + "</table>")


def _nothing_to_turn(event: str, key: str, value: object) -> None:
    raise Stray("a caution has nothing to turn")


class SafetyPanel(Shown):
    """The list as checkboxes; made by :func:`safety_list`.

    Ticks are the desk's, so two copies of the list agree, and they end with the kernel.
    """

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.panel = Panel(LIST_TITLE, self._hear)
        lines = [statement.text for statement in data.SAFETY_LIST]
        self.panel.plain_text = "\n".join([LIST_TITLE, *lines])
        self.panel.printed = (
            f"<p><strong>{LIST_TITLE}</strong> (run the lesson to tick)</p><ul>"
            + "".join(f"<li>{html.escape(line)}</li>" for line in lines) + "</ul>"
        )
        self.panel.parts = [
            {"kind": "heading", "text": LIST_TITLE},
            {"kind": "text", "text": "Tick what is true now, on your bench. Below, everything that "
                f"names more than {data.LIMIT.volts:.0f} V stays covered until all are ticked."},
            {"kind": "ticks", "key": "list", "label": "True at this moment", "items": lines},
            {"kind": "text", "key": "state", "text": ""},
            {"kind": "text", "tone": "quiet",
             "text": f"The limit is {data.LIMIT.name} ({data.LIMIT.source})."},
            {"kind": "text", "tone": "quiet", "text": data.LOCAL_CODE},
        ]
        desk.gate.watch(self._show)
        self._show()

    def tick(self, number: int, on: bool = True) -> None:
        """Tick or untick line ``number`` (from 0), as the page does."""
        self._hear("tick", "list", {"number": number, "on": on})

    def close(self) -> None:
        """Take the panel out of the page; the ticks stay the desk's."""
        self.desk.gate.unwatch(self._show)
        super().close()

    def __repr__(self) -> str:
        return self.panel.plain_text

    def _hear(self, event: str, key: str, value: object) -> None:
        if event != "tick" or key != "list" or value["number"] >= len(data.SAFETY_LIST):
            raise Stray(f"there is nothing called {key[:40]!r} to {event}")
        self.desk.tick(data.SAFETY_LIST[value["number"]].key, value["on"])

    def _show(self) -> None:
        ticked = self.desk.gate.ticked
        state = (
            "All ticked: what was covered is open now. Untick a line as soon as it is no longer "
            "true." if self.desk.cleared else
            f"{len(ticked)} of {len(data.SAFETY_LIST)} ticked: high voltages are covered."
        )
        self.panel.texts = {
            **self.panel.texts, "state": state,
            "list": [statement.key in ticked for statement in data.SAFETY_LIST],
        }

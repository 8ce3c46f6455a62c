"""The parts list in the page: sorted, searched for obstacles, priced, taken out and in as CSV.

It names high voltages in its ratings, so all of it stays covered until the safety list is ticked.
"""

from __future__ import annotations

from collections.abc import Callable

from rxlearn.bench.desk import Desk, the_desk
from rxlearn.bench.panel import Panel, Stray
from rxlearn.bench.shown import FollowsPlan
from rxlearn.compute.quantities import Unclear
from rxlearn.data.parts_trade import EASE, EASY, MADE
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.field import Rows
from rxlearn.plan.fields import FIELDS
from rxlearn.plan.parts import HOLDS, ORDER, PlannedPart, budget_of, parts_of, strangers
from rxlearn.plan.parts_fields import HAVE, NO, OWNED, YES
from rxlearn.plan.parts_rows import cost_words, missing_words, money
from rxlearn.plan.parts_substitutes import obstacles, substitutes_for
from rxlearn.sheets.parts_csv import read_csv, write_csv
from rxlearn.sheets.parts_pages import shorter

TITLE = "Your parts list"
FILE = "parts-list.csv"
LESSON = "parts_and_budget"

VIEWS: dict[str, tuple[str, Callable[[PlannedPart], bool]]] = {
    "all": ("Whole list", lambda part: True),
    "missing": ("Still to find", lambda part: part.quantity > 0 and not part.have),
    "hard": ("Hard, or no longer made", lambda part: part.quantity > 0 and part.ease != EASY),
    "holds": ("What holds it together", lambda part: part.group == HOLDS),
}

COLUMNS: dict[str, tuple[str, Callable[[PlannedPart], object]]] = {
    "part": ("part", lambda part: (ORDER.index(part.kind), part.what, part.amount or 0.0, part.key)),
    "rating": ("rating", lambda part: (part.volts or 0.0, part.rating)),
    "quantity": ("number", lambda part: -part.quantity),
    "where": ("where", lambda part: part.where),
    "ease": ("how found", lambda part: -EASE.index(part.ease)),
    "have": ("at hand", lambda part: part.have),
    "cost": ("price of all", lambda part: -(part.cost or 0.0)),
}
"""Column to its heading and what it sorts by: what wants most attention first."""


class PartsPanel(FollowsPlan):
    """The list with its sums; made by :func:`parts_list`.

    A row that is pressed shows why the part is rated so, how it is found and what serves in its
    place, with a form for what is at hand, its price and a note.
    """

    def __init__(self, desk: Desk) -> None:
        self.panel = Panel(TITLE, self._hear, gate=desk.gate)
        self._view, self._sort, self._turned = "all", "part", False
        self._picked, self._pasting = "", False
        self._word = ("", "plain")
        self._follow(desk)

    def press(self, key: str) -> None:
        """Press ``view:…``, ``sort:…``, ``row:…``, ``csv`` or ``bring``."""
        self._hear("press", key, None)

    def submit(self, form: str, **typed: str) -> None:
        """Fill in the form ``part`` (have, price, note) or ``paste`` (text)."""
        self._hear("type", form, typed)

    # -- what is heard ------------------------------------------------------
    def _hear(self, event: str, key: str, value: object) -> None:
        self._word = ("", "plain")
        name, _, rest = key.partition(":")
        if event == "press" and name == "view" and rest in VIEWS:
            self._view = rest
        elif event == "press" and name == "sort" and rest in COLUMNS:
            self._turned = not self._turned if rest == self._sort else False
            self._sort = rest
        elif event == "press" and name == "row":
            self._pick(rest)
        elif event == "press" and key == "csv":
            content = write_csv(parts_of(self.desk.plan()))
            self._word = (self.panel.hand_over(FILE, "text/csv", content), "good")
        elif event == "press" and key == "bring":
            self._pasting, self._picked = not self._pasting, ""
        elif event == "type" and key == "part" and isinstance(value, dict) and self._picked:
            self._keep(value)
        elif event == "type" and key == "paste" and self._pasting and isinstance(value, dict):
            self._read(value.get("text", ""))
        else:
            raise Stray(f"there is nothing called {key[:40]!r} to {event}")
        self._lay_out()

    def _pick(self, number: str) -> None:
        parts = parts_of(self.desk.plan())
        if not number.isdecimal() or int(number) >= len(parts):
            raise Stray(f"there is no row {number[:20]!r}")
        key = parts[int(number)].key
        self._picked, self._pasting = "" if key == self._picked else key, False

    def _keep(self, typed: dict[str, str]) -> None:
        """Put what is typed about the picked part into the plan."""
        plan = self.desk.plan()
        columns = {column.key: column for column in FIELDS[OWNED].columns}
        try:
            cells = [None if column.optional and not typed.get(key, "").strip()
                     else column.read(typed.get(key, ""))
                     for key, column in columns.items() if key != "key"]
        except Unclear as reason:
            self._word = (str(reason), "ask")
            return
        rows = [row for row in plan.value(OWNED) if row[0] != self._picked]
        if tuple(cells) != (NO, None, None):
            rows.append((self._picked, *cells))
        self._save(plan, tuple(rows))

    def _read(self, text: str) -> None:
        plan = self.desk.plan()
        try:
            rows = read_csv(text, plan)
        except Unclear as reason:
            self._word = (str(reason), "ask")
            return
        self._save(plan, rows)

    def _save(self, plan: Plan, rows: Rows) -> None:
        changed = len(set(rows) ^ set(plan.value(OWNED)))
        if not changed:
            self._word = ("Your plan holds this already: there is nothing to save.", "plain")
            return
        change = Change(value=rows, status="wished", origin=LESSON)
        _, self._word = self.desk.save({OWNED: change}, seen=plan, by=self,
                                       said="Saved to your plan.")

    # -- what is shown ------------------------------------------------------
    def _lay_out(self) -> None:
        plan = self.desk.plan()
        try:
            parts = parts_of(plan)
        except Unclear as reason:
            self.panel.parts = [{"kind": "heading", "text": TITLE},
                                {"kind": "verdict", "text": str(reason), "tone": "ask"}]
            return
        words, tone = self._word
        shown = [{"kind": "heading", "text": TITLE}, *_sums(plan, parts), self._views(),
                 self._table(parts, budget_of(plan, parts).currency), *self._detail(plan, parts),
                 *self._files()]
        if words:
            shown.append({"kind": "verdict", "text": words, "tone": tone})
        self.panel.parts = shown

    def _views(self) -> dict:
        return {"kind": "buttons", "items": [
            {"key": f"view:{key}", "label": label, "pressed": key == self._view}
            for key, (label, _) in VIEWS.items()]}

    def _table(self, parts: tuple[PlannedPart, ...], currency: str) -> dict:
        belongs = VIEWS[self._view][1]
        rows = [(number, part) for number, part in enumerate(parts) if belongs(part)]
        rows.sort(key=lambda row: COLUMNS[self._sort][1](row[1]), reverse=self._turned)
        direction = "descending" if self._turned else "ascending"
        return {
            "kind": "table", "tall": True,
            "caption": f"{VIEWS[self._view][0]}: {len(rows)} lines",
            "head": [{"key": f"sort:{key}", "text": head,
                      "sort": direction if key == self._sort else "none"}
                     for key, (head, _) in COLUMNS.items()],
            "rows": [{"key": f"row:{number}", "picked": part.key == self._picked,
                      "cells": _cells(part, currency)} for number, part in rows],
        }

    def _detail(self, plan: Plan, parts: tuple[PlannedPart, ...]) -> list[dict]:
        part = next((part for part in parts if part.key == self._picked), None)
        if part is None:
            return [{"kind": "text", "tone": "quiet", "text": "Press a part to see why it is rated so, "
                     "what serves in its place, and to mark it as at hand."}]
        if not part.quantity:
            return [{"kind": "heading", "text": part.name},
                    {"kind": "list", "items": [part.reason, *part.where, part.removes]}]
        ways = [f"{'Serves' if way.serves else 'Does not serve'}: {way.what}. {way.sentence}"
                for way in substitutes_for(plan, part)]
        lines = [f"{part.ease[0].upper()}{part.ease[1:]}. {part.reason} (Common practice, from memory.)",
                 *([part.why] if part.why else []),
                 *(one.sentence for one in part.unfit), *part.notes, *(ways or [_alone(part)])]
        price = "" if part.price is None else f"{part.price:g}"
        return [
            {"kind": "heading", "text": part.name}, {"kind": "list", "items": lines},
            {"kind": "form", "key": "part", "label": f"At hand: {part.name}",
             "action": "Keep this in my plan", "fields": [
                 {"key": "have", "label": "At hand", "value": YES if part.have else NO,
                  "options": list(HAVE.items()), "why": f"Needed: {part.quantity}."},
                 {"key": "price", "label": "Price of one", "value": price, "why": "May be blank."},
                 {"key": "note", "label": "Note", "value": part.remark, "why": "May be blank."}]},
        ]

    def _files(self) -> list[dict]:
        shown = [{"kind": "buttons", "items": [
            {"key": "csv", "label": f"Take the list away: {FILE}"},
            {"key": "bring", "label": "Bring a list back", "pressed": self._pasting}]}]
        if self._pasting:
            shown.append({
                "kind": "form", "key": "paste", "label": "Bring a list back",
                "action": "Read this list", "fields": [{
                    "key": "text", "label": "The file, its first line too", "value": "", "lines": True,
                    "why": "What it says of have, price and note goes into your plan; a damaged file "
                           "changes nothing."}]})
        return shown


def _sums(plan: Plan, parts: tuple[PlannedPart, ...]) -> list[dict]:
    """What is still to find, what it costs, and what stops the build."""
    budget = budget_of(plan, parts)
    found = obstacles(plan, parts)
    shown = [{"kind": "text", "text": f"Still to find: {missing_words(budget)}. {cost_words(budget)}."}]
    if found:
        shown += [
            {"kind": "verdict", "tone": "ask", "text": "What stops the build while it is missing:"},
            {"kind": "list", "items": [one.words for one in found]}]
    else:
        shown.append({"kind": "verdict", "tone": "good", "text": "No missing part stops the build: "
                      "each is easily had, or something serves in its place."})
    if lost := strangers(plan, parts):
        shown.append({"kind": "text", "tone": "ask", "text": "At hand in your plan, but no longer on "
                      f"the list, since the plan has changed: {', '.join(lost)}."})
    return shown


def _cells(part: PlannedPart, currency: str) -> list[str]:
    cost = "" if part.cost is None else money(part.cost, currency)
    return [part.name, part.rated, str(part.quantity), shorter(part.where), part.ease,
            "yes" if part.have else "", cost]


def _alone(part: PlannedPart) -> str:
    """What is said of a part for which no substitute is worked out."""
    if part.kind in MADE:
        return "Nothing needs to serve in its place: you make it."
    if part.ease == EASY:
        return "Nothing needs to serve in its place: buy it."
    return f"Nothing that the workbook can work out serves in its place. {part.removes}"


def parts_list() -> PartsPanel:
    """Show the plan's parts list in the running cell; covered until the safety list is ticked."""
    desk = the_desk()
    return desk.place("parts list", lambda: PartsPanel(desk))

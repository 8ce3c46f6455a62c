"""The receiver plan in the page: a lesson proposes, shows what else changes, asks, saves."""

from __future__ import annotations

from rxlearn.bench.desk import Desk, the_desk
from rxlearn.bench.panel import Panel, Stray
from rxlearn.bench.shown import Shown
from rxlearn.compute.quantities import Unclear, show
from rxlearn.plan.consequences import compare
from rxlearn.plan.document import DEMO_ORIGIN, Change, Plan, PlanFault
from rxlearn.plan.field import STATUSES
from rxlearn.plan.fields import FIELDS
from rxlearn.plan.measured import as_entered
from rxlearn.plan.proposals import computed_keys, proposal

TITLE = "Into your plan"
TITLES = {"supply_measured": "Supply voltages into your plan"}
"""What a form is called; a second one in a lesson has a name of its own."""

COVERED_VALUE = "covered (see the power supply)"
"""What stands for a high voltage until the safety list is ticked."""


class PlanPanel(Shown):
    """The fields that one lesson settles, as a form; made by :func:`keep`.

    ``plan`` is the plan that the learner was shown; saving compares with it,
    so that what another notebook saved meanwhile is neither lost nor hidden.
    """

    def __init__(self, lesson: str, desk: Desk) -> None:
        self.lesson = lesson
        self.desk = desk
        self.plan = desk.plan()
        self.typed = self._proposed = _texts(lesson, self.plan)
        self._changes: dict[str, Change] | None = None
        self._word = (desk.notice, "ask") if desk.notice else ("", "plain")
        names_high_voltage = any(FIELDS[key].high_voltage for key in self.typed)
        self.title = TITLES.get(lesson, TITLE)
        self.panel = Panel(self.title, self._hear,
                           gate=desk.gate if names_high_voltage else None)
        self.panel.plain_text = "Into your plan: " + "; ".join(
            f"{FIELDS[p.key].label} {FIELDS[p.key].show(p.value)}"
            for p in proposal(lesson, Plan.demo())
        )
        desk.watch_plan(self._saved_elsewhere)
        self._lay_out()

    def submit(self, **typed: str) -> None:
        """Ask what changes, with these texts by field key (dots written as double underscores)."""
        self._hear("type", "plan", {k.replace("__", "."): v for k, v in typed.items()})

    def press(self, key: str) -> None:
        """Press ``save`` or ``leave``."""
        self._hear("press", key, None)

    def close(self) -> None:
        """Take the panel out of the page."""
        self.desk.unwatch_plan(self._saved_elsewhere)
        super().close()

    def _saved_elsewhere(self) -> None:
        """Show the plan as another panel of this lesson has just saved it."""
        self.plan, self._changes = self.desk.plan(), None
        self.typed = self._proposed = _texts(self.lesson, self.plan)
        self._word = ("Your plan was saved above; these are its values now.", "plain")
        self._lay_out()

    def _hear(self, event: str, key: str, value: object) -> None:
        filled = event == "type" and key == "plan" and isinstance(value, dict)
        if filled and value.keys() <= self.typed.keys():
            self._consider(value)
        elif event == "press" and key == "save":
            if self._changes is not None:  # else it was pressed twice
                self._save()
        elif event == "press" and key == "leave":
            self._changes, self._word = None, ("Your plan stays as it was.", "plain")
        else:
            raise Stray(f"there is nothing called {key[:40]!r} to {event}")
        self._lay_out()

    def _consider(self, typed: dict[str, str]) -> None:
        """Read the form and try the changes on the plan; nothing is saved yet."""
        self.typed = self.typed | typed
        self._changes = None
        changes, faults = self._read(self.plan)
        if not faults:
            changes, faults = self._worked_out_anew(changes)
        if not faults:
            try:
                self.plan.changed(changes)
            except PlanFault as problem:
                faults = list(problem.sentences)
        if faults:
            self._word = (" ".join(faults), "ask")
            return
        self._changes, self._word = changes, ("", "plain")

    def _read(self, plan: Plan) -> tuple[dict[str, Change], list[str]]:
        """The changes that the form asks for, with what the lesson proposes for ``plan``; and faults.

        Only what differs is saved, so a field nobody touched can't clash with another notebook.
        What is still the demo's becomes the learner's own by being kept.
        """
        proposed = {p.key: p for p in proposal(self.lesson, plan)}
        changes, faults = {}, []
        for key, text in self.typed.items():
            try:
                change = self._change(key, text, proposed.get(key))
            except Unclear as problem:
                faults.append(str(problem))
                continue
            now = self.plan.entry(key)
            differs = (change.value, change.status) != (now.value, now.status)
            if differs or now.origin == DEMO_ORIGIN:
                changes[key] = change
        return changes, faults

    def _worked_out_anew(self, changes: dict[str, Change]) -> tuple[dict[str, Change], list[str]]:
        """``changes`` with what follows from the others in the form, where nobody typed over it."""
        follow = [key for key in computed_keys(self.lesson)
                  if self.typed[key].strip() == self._proposed[key].strip()]
        try:
            plan = self.plan.changed({k: c for k, c in changes.items() if k not in follow})
        except PlanFault:
            return changes, []  # said where all of it is tried
        anew = _texts(self.lesson, plan)
        self._proposed = self._proposed | {key: anew[key] for key in follow}
        self.typed = self.typed | {key: anew[key] for key in follow}
        return self._read(plan)

    def _change(self, key: str, text: str, proposed) -> Change:
        """The change that ``text`` asks for; what the lesson computed keeps its full digits."""
        row = FIELDS[key]
        if proposed is not None and text.strip() == row.show(proposed.value):
            now = self.plan.entry(key)
            kept = now.uncertainty if now.value == proposed.value else None
            return Change(value=proposed.value, status=proposed.status, origin=self.lesson,
                          uncertainty=kept)
        if key == "measured.dial":
            text = as_entered(self.plan, text)
        return Change(value=row.read(text), status="wished", origin=self.lesson)

    def _save(self) -> None:
        now = self.desk.plan()
        # What was only to be kept needs no keeping where another notebook has set it meanwhile.
        changes = {key: change for key, change in self._changes.items()
                   if change.value != self.plan.value(key) or now.entry(key) == self.plan.entry(key)}
        self.plan, self._word = self.desk.save(changes, seen=self.plan, by=self)
        if self._word[1] == "good":
            self._changes = None

    def _lay_out(self) -> None:
        parts: list[dict] = [{"kind": "heading", "text": self.title}]
        fields = []
        for key, text in self.typed.items():
            row = FIELDS[key]
            field = {"key": key, "label": row.label, "value": text, "why": row.why}
            if row.kind == "choice":
                field["options"] = list(row.choices.items())
                field["value"] = _choice_key(row, text)
            if row.kind == "table":
                field |= {"lines": True, "why": f"{row.why} {row.hint}."}
            fields.append(field)
        parts.append({"kind": "form", "key": "plan", "label": "Values for your plan",
                      "fields": fields, "action": "Show what changes"})
        if self._changes is not None:
            parts += self._asking()
        words, tone = self._word
        if words:
            parts.append({"kind": "verdict", "text": words, "tone": tone})
        parts.append({"kind": "text", "tone": "quiet",
                      "text": f"Your plan is kept in {self.desk.store.place}."})
        self.panel.parts = parts

    def _asking(self) -> list[dict]:
        return differences(self.plan, self._changes)


def differences(plan: Plan, changes: dict[str, Change]) -> list[dict]:
    """Parts: what would change, directly and in consequence, and the question whether to save it.

    A panel that shows them hears ``save`` or ``leave``.
    """
    found = compare(plan, plan.changed(changes))
    if not found and changes:
        return [{"kind": "verdict", "tone": "plain",
                 "text": "These are the demo receiver's values. Save them, and they are your own."},
                _BUTTONS]
    if not found:
        return [{"kind": "verdict", "tone": "plain",
                 "text": "Your plan holds these values already: there is nothing to save."}]
    rows = [
        [d.label, d.before, d.after, "you change it" if d.direct else "follows from it"]
        for d in found
    ]
    return [{"kind": "table", "caption": "What changes in your plan", "rows": rows,
             "head": ["value", "now", "then", "why"]}, _BUTTONS]


_BUTTONS = {"kind": "buttons", "items": [
    {"key": "save", "label": "Save to my plan", "main": True},
    {"key": "leave", "label": "Leave my plan as it is"},
]}


class PlanSheet(Shown):
    """The whole plan as a table, each value with its status; made by :func:`show_plan`.

    High voltages are covered in it until the safety list is ticked, and always in what a
    saved lesson keeps.
    """

    def __init__(self, desk: Desk) -> None:
        self.plan = desk.plan()
        self.desk = desk
        self._notice = desk.notice
        self.panel = Panel("Your receiver plan", lambda event, key, value: None)
        self.panel.plain_text = "\n".join(" | ".join(cells) for cells in self._rows(cover=True))
        desk.gate.watch(self._lay_out)
        self._lay_out()

    def close(self) -> None:
        """Take the panel out of the page."""
        self.desk.gate.unwatch(self._lay_out)
        super().close()

    def _rows(self, *, cover: bool) -> list[list[str]]:
        rows = []
        for key, row in FIELDS.items():
            entry = self.plan.entry(key)
            hidden = cover and row.high_voltage
            shown = row.show(entry.value)
            if entry.uncertainty:
                shown += f" ± {show(entry.uncertainty, row.unit, digits=2)}"
            rows.append([row.label, COVERED_VALUE if hidden else shown, entry.status])
        return rows

    def _lay_out(self) -> None:
        meanings = "; ".join(f"{status}: {words}" for status, words in STATUSES.items())
        parts = [
            {"kind": "table", "caption": "Your receiver plan",
             "rows": self._rows(cover=not self.desk.cleared),
             "head": ["value", "in the plan", "status"]},
            {"kind": "text", "tone": "quiet", "text": f"{meanings}."},
        ] + ([{"kind": "verdict", "text": self._notice, "tone": "ask"}] if self._notice else [])
        self.panel.gated = self.desk.cleared  # should the kernel go, so do the voltages in it
        if self.panel.parts != parts:
            self.panel.parts = parts

    def __repr__(self) -> str:
        return self.panel.plain_text


def keep(lesson: str) -> PlanPanel:
    """Open the form for what ``lesson`` puts into the plan, in the running cell."""
    desk = the_desk()
    return desk.place(f"plan {lesson}", lambda: PlanPanel(lesson, desk))


def show_plan() -> PlanSheet:
    """Show the whole plan in the running cell."""
    desk = the_desk()
    return desk.place("plan sheet", lambda: PlanSheet(desk))


def _texts(lesson: str, plan: Plan) -> dict[str, str]:
    """What ``lesson`` proposes for ``plan``, as its form shows it."""
    return {p.key: FIELDS[p.key].show(p.value) for p in proposal(lesson, plan)}


def _choice_key(row, text: str) -> str:
    """The key of the choice that ``text`` (its key or its words) names."""
    return next((key for key, words in row.choices.items() if text in (key, words)), text)

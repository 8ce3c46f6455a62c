"""Find the fault, in the page: a symptom, what to measure, what it shows, and a name for it."""

from __future__ import annotations

from rxlearn.bench.desk import Desk, the_desk
from rxlearn.bench.gate import caution_part
from rxlearn.bench.panel import Panel, Stray
from rxlearn.bench.shown import Shown
from rxlearn.compute.faults import Patient, faults_for
from rxlearn.compute.quantities import Unclear, show
from rxlearn.data.cautions import caution
from rxlearn.exercises.fault_finding import NAMES, draw_case, measurements, reading, verdict
from rxlearn.plan.document import Plan
from rxlearn.plan.fault_finding import patient_of

KEY = "stages.find_the_fault"
"""Under which named faults are kept."""

FIRST_SEED = 1


class FaultPanel(Shown):
    """One case as a panel; made by :func:`find_the_fault`.

    ``case`` is the drawn fault, ``shown`` the readings so far, ``done`` whether it is named rightly.
    """

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.patient, self.note = usable_patient(desk.plan())
        self.panel = Panel("Find the fault", self._hear)
        kept = desk.recall("answer", KEY)
        seed = kept[-1].get("seed") if kept else None
        named = bool(kept) and kept[-1].get("state") == "right"
        self._open(seed + named if type(seed) is int and 0 <= seed < 10**6 else FIRST_SEED)
        first = draw_case(self.patient, FIRST_SEED)
        self.panel.plain_text = f"Find the fault. {first.symptom}"

    def pick(self, group: str, number: int) -> None:
        """Pick option ``number`` of ``measure`` or ``name``."""
        self._hear("pick", group, number)

    def press(self, key: str) -> None:
        """Press ``take`` (the measurement), ``say`` (the fault) or ``again``."""
        self._hear("press", key, None)

    def _open(self, seed: int) -> None:
        self.case = draw_case(self.patient, seed)
        self.shown: list[str] = []
        self.done, self._word, self._not_kept = False, ("", "plain"), ""
        self._picked: dict[str, int | None] = {"measure": None, "name": None}
        self._ways = measurements(self.patient)
        self._names = {kind: NAMES[kind] for kind in faults_for(self.patient)}
        self._lay_out()

    def _hear(self, event: str, key: str, value: object) -> None:
        limits = {"measure": len(self._ways), "name": len(self._names)}
        if event == "pick" and key in limits and value < limits[key]:
            self._picked[key] = value
            return
        if event != "press" or key not in ("take", "say", "again"):
            raise Stray(f"there is nothing called {key[:40]!r} to {event}")
        if key == "again":
            self._open(self.case.seed + 1)
            return
        self._take() if key == "take" else self._say()
        self._lay_out()

    def _take(self) -> None:
        if self._picked["measure"] is None:
            self._word = ("Choose what to measure first.", "ask")
            return
        way = self._ways[self._picked["measure"]]
        words = f"{reading(self.case, way)} {way.how}"
        if words not in self.shown:
            self.shown.append(words)
        self._word = ("", "plain")

    def _say(self) -> None:
        if self._picked["name"] is None:
            self._word = ("Choose what you think it is.", "ask")
            return
        kind = list(self._names)[self._picked["name"]]
        right, words = verdict(self.case, kind)
        self.done = self.done or right
        count = len(self.shown)
        if right and count:
            words += f" You took {count} measurement{'s' if count > 1 else ''}."
        if right and not count:
            words += " You named it without measuring anything: would you have replaced a part on that?"
        self._word = (words, "good" if right else "bad")
        self._not_kept = self.desk.remember("answer", KEY, {
            "seed": self.case.seed, "text": kind, "state": "right" if right else "wrong",
            "asked": self.case.symptom})

    def _lay_out(self) -> None:
        parts: list[dict] = [
            {"kind": "heading", "text": "Find the fault"},
            *([{"kind": "text", "text": self.note, "tone": "ask"}] if self.note else []),
            {"kind": "text", "text": self.case.symptom, "tone": "prompt"},
            {"kind": "options", "key": "measure", "label": "What do you measure or look at next?",
             "options": [way.text for way in self._ways], "value": self._picked["measure"]},
            {"kind": "buttons", "items": [{"key": "take", "label": "Take this reading", "main": True}]},
        ]
        if self.shown:
            parts.append({"kind": "steps", "items": list(self.shown)})
        parts += [
            {"kind": "options", "key": "name", "label": "What is it?",
             "options": list(self._names.values()), "value": self._picked["name"]},
            {"kind": "buttons", "items": [
                {"key": "say", "label": "That is the fault", "main": True},
                {"key": "again", "label": "Another fault"}]},
        ]
        if self._word[0]:
            parts.append({"kind": "verdict", "text": self._word[0], "tone": self._word[1]})
        if self._not_kept:
            parts.append({"kind": "verdict", "text": self._not_kept, "tone": "bad"})
        parts.append(caution_part(caution("meter")))
        parts.append({"kind": "text", "tone": "quiet",
                      "text": f"Fault {self.case.seed}, in the receiver of your plan on its upper band "
                              f"at {show(self.patient.followed.signal, 'Hz', digits=6)}."})
        self.panel.parts = parts


def usable_patient(plan: Plan) -> tuple[Patient, str]:
    """The plan's receiver to break, or the demo's and why."""
    try:
        return patient_of(plan), ""
    except Unclear as reason:
        return patient_of(Plan.demo()), f"Your plan cannot be followed. {reason} The demo stands in."


def find_the_fault() -> FaultPanel:
    """Break the plan's receiver in the running cell, a fault drawn afresh each time."""
    desk = the_desk()
    return desk.place("find the fault", lambda: FaultPanel(desk))

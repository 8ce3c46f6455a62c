"""A question in the page: asked, judged, helped with, kept."""

from __future__ import annotations

from rxlearn.bench.desk import Desk, the_desk
from rxlearn.bench.panel import Panel, Stray
from rxlearn.bench.shown import Shown
from rxlearn.exercises.questions import (
    Question, Verdict, fresh_numbers, help_after, judge, worked,
)
from rxlearn.exercises.registry import find

FIRST_SEED = 1
"""The numbers that everybody meets first."""

TONES = {"right": "good", "known_slip": "bad", "wrong": "bad", "unclear": "ask", "blank": "ask"}
"""State of a verdict to the tone of its part."""


class QuestionPanel(Shown):
    """One question as a panel; made by :func:`ask`.

    ``seed`` says which numbers are asked about, ``attempts`` what was tried
    with them, ``verdict`` what came of the last attempt (None before one).
    """

    def __init__(self, question: Question, desk: Desk) -> None:
        self.question = question
        self.desk = desk
        self._plan = desk.plan() if question.uses_plan else None
        self._picked: int | None = None
        self._working_wanted = False
        self._not_kept = ""
        records = desk.recall("answer", question.key)
        self.seed = self._last_seed(records)
        self.numbers = fresh_numbers(question, self.seed, self._plan)
        self.attempts = [
            str(record.get("text", "")) for record in records if record.get("seed") == self.seed
        ]
        # A plan may have changed since: then what was tried belongs to other numbers.
        if question.uses_plan and any(
            record.get("asked") != question.prompt(self.numbers)
            for record in records if record.get("seed") == self.seed
        ):
            self.attempts = []
        self.verdict: Verdict | None = (
            judge(question, self.numbers, self.attempts[-1]) if self.attempts else None
        )
        self.panel = Panel(f"Question {question.key}", self._hear,
                           gate=desk.gate if question.gated else None)
        self.panel.plain_text = question.prompt(fresh_numbers(question, FIRST_SEED, self._plan))
        self._lay_out()

    def type(self, text: str) -> None:
        """Answer with ``text``, as the page does."""
        self._hear("type", "answer", text)

    def pick(self, number: int) -> None:
        """Choose option ``number`` and answer with it."""
        self._hear("pick", "answer", number)
        self._hear("press", "check", None)

    def press(self, key: str) -> None:
        """Press ``check``, ``working`` or ``again`` (fresh numbers)."""
        self._hear("press", key, None)

    def _last_seed(self, records: list[dict]) -> int:
        """The seed of the last attempt kept; the first one for a question never tried."""
        seed = records[-1].get("seed") if records else FIRST_SEED
        return seed if type(seed) is int and 0 <= seed < 10**6 else FIRST_SEED

    def _hear(self, event: str, key: str, value: object) -> None:
        if event == "pick" and key == "answer" and value < len(self.question.options):
            self._picked = value
            return
        typed = event == "type" and key == "answer" and isinstance(value, str)
        if typed and not self.question.options:
            self._answer(value)
        elif event == "press" and key == "check" and self.question.options:
            chosen = "" if self._picked is None else self.question.options[self._picked].key
            self._answer(chosen)
        elif event == "press" and key == "working":
            self._working_wanted = not self._working_wanted
        elif event == "press" and key == "again" and self._has_other_numbers():
            self._ask_afresh()
        else:
            raise Stray(f"there is nothing called {key[:40]!r} to {event}")
        self._lay_out()

    def _answer(self, text: str) -> None:
        self.verdict = judge(self.question, self.numbers, text)
        if self.verdict.state == "blank":
            return
        self.attempts.append(text)
        self._not_kept = self.desk.remember("answer", self.question.key, {
            "seed": self.seed, "text": text[:200], "state": self.verdict.state,
            "asked": self.question.prompt(self.numbers),
        })

    def _ask_afresh(self) -> None:
        self.seed += 1
        self.numbers = fresh_numbers(self.question, self.seed, self._plan)
        self.attempts, self.verdict, self._picked, self._working_wanted = [], None, None, False

    def _lay_out(self) -> None:
        question = self.question
        parts: list[dict] = [{"kind": "heading", "text": "Check yourself"}]
        prompt = question.prompt(self.numbers)
        last = self.attempts[-1] if self.attempts else ""
        if question.options:
            keys = [option.key for option in question.options]
            picked = self._picked if self._picked is not None else (
                keys.index(last) if last in keys else None)
            self._picked = picked
            parts.append({"kind": "options", "key": "answer", "label": prompt, "value": picked,
                          "options": [option.text for option in question.options]})
            buttons = [{"key": "check", "label": "Check", "main": True}]
        else:
            parts.append({"kind": "text", "text": prompt, "tone": "prompt"})
            parts.append({"kind": "entry", "key": "answer", "label": "Your answer",
                          "value": last, "action": "Check", "hint": self._hint_on_unit()})
            buttons = []
        parts += self._what_came_of_it()
        shown = self._working_wanted
        buttons.append({"key": "working", "label": "Hide the working" if shown else "Show the working"})
        if self._has_other_numbers():
            buttons.append({"key": "again", "label": "Other numbers"})
        parts.append({"kind": "buttons", "items": buttons})
        parts.append({"kind": "text", "tone": "quiet", "text": self._about_the_numbers()})
        if self._not_kept:
            parts.append({"kind": "verdict", "text": self._not_kept, "tone": "bad"})
        self.panel.parts = parts

    def _what_came_of_it(self) -> list[dict]:
        """Verdict, hint and working, as far as the attempts have earned them."""
        parts: list[dict] = []
        helped = help_after(self.question, self.numbers, self.attempts)
        if self.verdict is not None:
            tone = TONES[self.verdict.state]
            opening = {"known_slip": "Not yet. ", "wrong": "Not yet. "}.get(self.verdict.state, "")
            parts.append({"kind": "verdict", "text": opening + self.verdict.sentence, "tone": tone})
        if helped.hint:
            parts.append({"kind": "text", "text": f"Hint: {helped.hint}"})
        if self._working_wanted or helped.working:
            parts.append({"kind": "steps", "items": list(worked(self.question, self.numbers))})
        return parts

    def _has_other_numbers(self) -> bool:
        return not self.question.uses_plan and not self.question.options

    def _hint_on_unit(self) -> str:
        return "a value with its unit" if self.question.unit else "a plain number"

    def _about_the_numbers(self) -> str:
        if self.question.uses_plan:
            if self.numbers.get("about"):
                return self.numbers["about"]
            if self.numbers.get("own", True):
                return "The numbers are those of your plan."
            why = self.numbers.get("why", "")
            return f"{why} So the numbers are those of the demo receiver.".strip()
        if self.question.options:
            return ""
        return f"Numbers: set {self.seed}."


def ask(key: str) -> QuestionPanel:
    """Ask the question ``key`` in the running cell."""
    desk = the_desk()
    return desk.place(f"question {key}", lambda: QuestionPanel(find(key), desk))

"""Questions that are truly judged: value, unit, misconception, hint, working.

A :class:`Question` is written in a bank, one bank for each lesson; its answer
comes from ``rxlearn.compute``, so it cannot drift away from the figures.  Its
numbers are drawn from a seed that the learner sees, or taken from their plan.
:func:`judge` weighs what was typed and :func:`help_after` says how far to
help; both are pure functions, and nobody's text is ever interpreted: it is
read as a quantity, compared with an option, or quoted, at most 20 characters
of it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from rxlearn.compute.quantities import UNITS, Unclear, show
from rxlearn.exercises.reading import quote, read_quantity, tidy

MOST_DRAWS = 200
"""How often :func:`fresh_numbers` draws before it says that a question cannot be asked."""

MOST_PLAN_DRAWS = 20
"""The same for a question on the plan, where little or nothing may be left to chance."""

Numbers = Mapping[str, Any]
"""What one asking of a question is about: name to SI value (or a short word, such as a side)."""

Sentence = str | Callable[[Numbers], str]
"""A sentence, or a function of the numbers that makes one."""


@dataclass(frozen=True)
class Tolerance:
    """How far an answer may lie from the right one, and why.

    ``absolute`` is in SI units of the answer, ``relative`` a ratio; the larger
    of the two counts.  ``reason`` is one sentence that the learner is shown.
    """

    reason: str
    absolute: float = 0.0
    relative: float = 0.0

    def width(self, answer: float) -> float:
        """Return the half-width in SI units around ``answer``, rounding error included."""
        return max(self.absolute, self.relative * abs(answer), 1e-9 * abs(answer))

    def holds(self, value: float, answer: float) -> bool:
        """Whether ``value`` (SI) counts as ``answer`` (SI)."""
        return abs(value - answer) <= self.width(answer)


@dataclass(frozen=True)
class Misconception:
    """A wrong idea that gives a number of its own.

    ``name`` is a short word for it, ``wrong(numbers)`` the SI value that the
    idea leads to (NaN where it leads nowhere), ``sentence`` what to say to it.
    """

    name: str
    wrong: Callable[[Numbers], float]
    sentence: Sentence


@dataclass(frozen=True)
class Option:
    """One choice: its ``key``, the ``text`` shown, the ``sentence`` said if chosen wrongly."""

    key: str
    text: str
    sentence: Sentence


@dataclass(frozen=True, kw_only=True)
class Question:
    """One question, with all that is needed to ask, judge, help and explain.

    ``key`` names it for ever ("injection.image"); ``lesson`` is its bank.
    ``draw(rng, plan)`` returns the numbers; ``prompt``, ``answer`` and
    ``working`` are functions of them.  A quantity has ``unit`` (a key of
    ``quantities.UNITS``), ``tolerance``, ``misconceptions`` and ``digits``
    (significant digits in which its answer is shown); a choice has
    ``options``, and its answer is the key of one of them.  ``hints`` come in
    steps.  ``uses_plan`` says that the learner's own numbers are asked about,
    ``gated`` that it names voltages that are covered until the safety list is ticked.
    """

    key: str
    lesson: str
    prompt: Callable[[Numbers], str]
    draw: Callable[[np.random.Generator, Any], Numbers]
    answer: Callable[[Numbers], float | str]
    working: Callable[[Numbers], Sequence[str]]
    hints: tuple[Sentence, ...]
    unit: str = ""
    tolerance: Tolerance | None = None
    misconceptions: tuple[Misconception, ...] = ()
    options: tuple[Option, ...] = ()
    digits: int = 8
    uses_plan: bool = False
    gated: bool = False

    def __post_init__(self) -> None:
        """Refuse a question that could not be judged."""
        if self.options:
            if self.tolerance or self.misconceptions:
                raise ValueError(f"{self.key}: a choice has options and no tolerance; remove it.")
            if len({option.key for option in self.options}) < len(self.options):
                raise ValueError(f"{self.key}: two options share a key; rename one.")
        elif self.tolerance is None or self.unit not in UNITS:
            raise ValueError(f"{self.key}: a quantity needs a tolerance and a unit of UNITS.")

    @property
    def kind(self) -> str:
        """``choice`` or ``quantity``."""
        return "choice" if self.options else "quantity"

    @property
    def tolerance_reason(self) -> str:
        """Why the answer may be off by so much; empty for a choice."""
        return self.tolerance.reason if self.tolerance else ""

    @property
    def takes_prefix(self) -> bool:
        """Whether the unit takes prefixes, so that one of them can be mistaken for another."""
        return self.unit not in ("", "dB", "dBm", "%", "ppm", "°", "°C")

    def option(self, key: str) -> Option:
        """Return the option with this ``key``; raises KeyError if there is none."""
        for option in self.options:
            if option.key == key:
                return option
        raise KeyError(f"{self.key} has no option {key!r}.")

    def show_answer(self, numbers: Numbers) -> str:
        """Return the right answer in words, as the working ends with it."""
        answer = self.answer(numbers)
        if self.options:
            return self.option(answer).text
        return show(answer, self.unit, digits=self.digits)


@dataclass(frozen=True)
class Verdict:
    """What came of one attempt.

    ``state`` is ``blank``, ``unclear``, ``known_slip``, ``wrong`` or ``right``;
    ``sentence`` is for the learner, ``misconception`` the name of the idea that
    was recognised (else None), ``value`` the SI value or option key as read.
    """

    state: str
    sentence: str
    misconception: str | None = None
    value: float | str | None = None


@dataclass(frozen=True)
class Help:
    """What to add to the verdict: the next ``hint``, or the ``working``, or neither (None)."""

    hint: str | None = None
    working: tuple[str, ...] | None = None


def say(sentence: Sentence, numbers: Numbers) -> str:
    """Return ``sentence`` as text for these ``numbers``."""
    return sentence(numbers) if callable(sentence) else sentence


def fresh_numbers(question: Question, seed: int, plan: Any = None) -> Numbers:
    """Draw numbers for ``question`` from ``seed`` (whole, 0 or more) and the learner's ``plan``.

    The same seed and plan give the same numbers.  Numbers for which a wrong
    idea would give the right answer, or two wrong ideas the same one, are
    drawn again; where the plan itself leaves no others, they are asked as they are.
    Raises ValueError for a seed that will not do.
    """
    if isinstance(seed, bool) or not isinstance(seed, (int, np.integer)) or seed < 0:
        raise ValueError(f"The seed must be a whole number from 0 up, not {quote(repr(seed))}.")
    rng = np.random.default_rng(int(seed))
    for _ in range(MOST_PLAN_DRAWS if question.uses_plan else MOST_DRAWS):
        numbers = question.draw(rng, plan)
        if not collisions(question, numbers):
            return numbers
    if question.uses_plan:
        return numbers
    raise RuntimeError(f"{question.key}: no numbers tell its wrong ideas apart; widen its draw.")


def collisions(question: Question, numbers: Numbers) -> tuple[tuple[str, str], ...]:
    """Return the pairs of names (``answer`` among them) that these ``numbers`` fail to part."""
    if question.options:
        return ()
    values = {"answer": question.answer(numbers)}
    for misconception in question.misconceptions:
        value = misconception.wrong(numbers)
        if math.isfinite(value):
            values[misconception.name] = value
    names = list(values)
    return tuple(
        (one, other)
        for place, one in enumerate(names)
        for other in names[place + 1 :]
        if question.tolerance.holds(values[other], values[one])
        or question.tolerance.holds(values[one], values[other])
    )


def judge(question: Question, numbers: Numbers, text: str) -> Verdict:
    """Judge what was typed (or the key of the option chosen) against ``question``.

    A right answer is recognised before any misconception.  Nothing is raised
    for any text: text that cannot be read is ``unclear`` and the sentence says
    what to write instead.
    """
    clean = tidy(text)
    if not clean:
        wanted = "choose one" if question.options else "type a value with its unit"
        if not question.options and not question.unit:
            wanted = "type a number"
        return Verdict("blank", f"Nothing here yet: {wanted}, or ask for the working.")
    if question.options:
        return _judge_choice(question, numbers, clean)
    try:
        value = read_quantity(text, question.unit, name="Your answer")
    except Unclear as problem:
        return Verdict("unclear", str(problem))
    return _judge_value(question, numbers, clean, value)


def help_after(question: Question, numbers: Numbers, attempts: Sequence[str]) -> Help:
    """Say what help the past ``attempts`` (texts, oldest first) have earned.

    The first wrong answer gets its sentence only, the second the first hint,
    and so on; when the hints are used up, or the answer is right, the working
    is added.  Blank and unclear attempts do not count.
    """
    misses = 0
    for text in attempts:
        state = judge(question, numbers, text).state
        if state == "right":
            return Help(working=worked(question, numbers))
        misses += state in ("known_slip", "wrong")
    if misses > len(question.hints) + 1:
        return Help(working=worked(question, numbers))
    if misses > 1:
        return Help(hint=say(question.hints[misses - 2], numbers))
    return Help()


def worked(question: Question, numbers: Numbers) -> tuple[str, ...]:
    """Return the worked solution, step by step: always there for whoever asks for it."""
    return tuple(question.working(numbers))


def planned(plan: Any, key: str, demo: Any) -> Any:
    """Return ``plan.value(key)`` in SI, or ``demo`` where there is no plan or no such value yet."""
    value = None if plan is None else plan.value(key)
    return demo if value is None else value


def _judge_choice(question: Question, numbers: Numbers, clean: str) -> Verdict:
    """Judge a chosen option, named by its key or by its text."""
    for option in question.options:
        if clean in (option.key, tidy(option.text)):
            break
    else:
        return Verdict("unclear", f"{quote(clean)} is none of the choices: choose one of them.")
    if option.key == question.answer(numbers):
        why = worked(question, numbers)[-1]
        return Verdict("right", f"Right. {why}", value=option.key)
    return Verdict("known_slip", say(option.sentence, numbers), option.key, option.key)


def _judge_value(question: Question, numbers: Numbers, clean: str, value: float) -> Verdict:
    """Judge a value that was read: right first, then the known wrong ideas, then plain wrong."""
    answer, tolerance = question.answer(numbers), question.tolerance
    if tolerance.holds(value, answer):
        shown = question.show_answer(numbers)
        return Verdict("right", f"Right: {shown}. {tolerance.reason}", value=value)
    for misconception in question.misconceptions:
        wrong = misconception.wrong(numbers)
        if math.isfinite(wrong) and tolerance.holds(value, wrong):
            sentence = say(misconception.sentence, numbers)
            return Verdict("known_slip", sentence, misconception.name, value)
    for name, factor, sentence in _COMMON_SLIPS if question.takes_prefix else _COMMON_SLIPS[:1]:
        if answer and tolerance.holds(value / factor, answer):
            return Verdict("known_slip", sentence, name, value)
    if tolerance.holds((value - answer) / 5 + answer, answer):
        return Verdict("wrong", f"{quote(clean)} is near, but not near enough. {tolerance.reason}",
                       value=value)
    for misconception in question.misconceptions:
        wrong = misconception.wrong(numbers)
        if math.isfinite(wrong) and math.isclose(value, wrong, rel_tol=ROUNDED):
            return Verdict("known_slip", say(misconception.sentence, numbers), misconception.name,
                           value)
    side = "high" if value > answer else "low"
    return Verdict("wrong", f"{quote(clean)} is too {side}: look again at what is asked.",
                   value=value)


ROUNDED = 5e-4
"""A wrong idea's value typed to four digits is known even where a right answer must be nearer."""

_COMMON_SLIPS = (
    ("sign", -1.0, "The size is right but the sign is turned round: ask which way it goes."),
    ("prefix_up", 1e3, "The digits are right, but the value is a thousand times too large: "
                       "look at the unit's prefix, for example MHz for kHz."),
    ("prefix_down", 1e-3, "The digits are right, but the value is a thousand times too small: "
                          "look at the unit's prefix, for example kHz for MHz."),
    ("prefixes_up", 1e6, "The digits are right, but the value is a million times too large: "
                         "look at the unit's prefix, for example MHz for Hz."),
    ("prefixes_down", 1e-6, "The digits are right, but the value is a million times too small: "
                            "look at the unit's prefix, for example Hz for MHz."),
)
"""Slips that any quantity can meet, the sign first, then prefixes: name, factor, sentence."""

"""Predictions: what the learner commits to before a figure moves.

A :class:`Prediction` is never marked.  It is kept, and shown beside what
happened: :func:`commit` reads it, :func:`reveal` compares it with the truth,
which ``rxlearn.compute`` works out from the numbers in the prompt.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from rxlearn.compute.quantities import UNITS, Unclear, show
from rxlearn.exercises.questions import Tolerance
from rxlearn.exercises.reading import quote, read_quantity, tidy


@dataclass(frozen=True, kw_only=True)
class Prediction:
    """One commitment before the picture moves.

    ``options`` maps key to text for a choice; else ``unit`` (a key of
    ``quantities.UNITS``) says what is to be typed.  ``truth()`` returns the
    option key or the SI value; ``because()`` the sentence that explains it;
    ``near`` says when a value counts as what happened.
    """

    key: str
    lesson: str
    prompt: str
    truth: Callable[[], float | str]
    because: Callable[[], str]
    options: tuple[tuple[str, str], ...] = ()
    unit: str = ""
    near: Tolerance | None = None
    digits: int = 4

    def __post_init__(self) -> None:
        """Refuse a prediction that could not be compared with anything."""
        if not self.options and (self.near is None or self.unit not in UNITS):
            raise ValueError(f"{self.key}: a prediction needs options, or a unit and a tolerance.")

    @property
    def kind(self) -> str:
        """``choice`` or ``quantity``."""
        return "choice" if self.options else "quantity"

    def text(self, value: float | str) -> str:
        """Return an option key or an SI ``value`` as it is shown."""
        if self.options:
            return dict(self.options)[value]
        return show(value, self.unit, digits=self.digits)


@dataclass(frozen=True)
class Commitment:
    """A prediction as read: ``state`` ``blank``, ``unclear`` or ``kept``; ``value`` when kept.

    ``sentence`` says what to change, or that the prediction is kept.
    """

    state: str
    sentence: str
    value: float | str | None = None


def commit(prediction: Prediction, text: str) -> Commitment:
    """Read what the learner commits to: an option's key or text, or a value with its unit.

    Nothing is raised for any text; ``unclear`` says in one sentence what to write.
    """
    clean = tidy(text)
    if not clean:
        return Commitment("blank", "Commit yourself first: a guess is worth more than none.")
    if prediction.options:
        for key, shown in prediction.options:
            if clean in (key, tidy(shown)):
                return Commitment("kept", f"Kept: {shown}.".replace("..", "."), key)
        return Commitment("unclear", f"{quote(clean)} is none of the choices: choose one of them.")
    try:
        value = read_quantity(text, prediction.unit, name="Your prediction")
    except Unclear as problem:
        return Commitment("unclear", str(problem))
    return Commitment("kept", f"Kept: {quote(clean)}.", value)


def reveal(prediction: Prediction, text: str) -> str:
    """Compare the commitment ``text`` with the truth, kindly, in a sentence or two.

    Without a readable commitment only the truth and its reason are told.
    """
    truth, kept = prediction.truth(), commit(prediction, text)
    shown = prediction.text(truth).rstrip(".")
    because = prediction.because()
    if kept.state != "kept":
        return f"It is: {shown}. {because}"
    if prediction.options:
        if kept.value == truth:
            return f"As you said: {shown}. {because}"
        yours = prediction.text(kept.value).rstrip(".")
        return f"You said: {yours}. It is: {shown}. {because}"
    if prediction.near.holds(kept.value, truth):
        return f"You said {quote(text)} and it is {shown}: well foreseen. {because}"
    side = "less" if truth < kept.value else "more"
    return f"You said {quote(text)}; it is {side}, {shown}. {because}"

"""A live figure: controls, picture and sentence, joined by one path.

turned or typed → checked → computed → artists moved → one message to the page.
A lesson's bench function says what to turn, what to compute and which figure
shows it; everything else is here.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import Desk, the_desk
from rxlearn.bench.hearing import BEFORE, KEY, Hearing
from rxlearn.bench.panel import Panel, Stray
from rxlearn.bench.shown import Shown
from rxlearn.compute.quantities import Unclear
from rxlearn.exercises.predictions import Prediction, commit, reveal
from rxlearn.exercises.registry import find_prediction
from rxlearn.figures.scene import LiveFigure
from rxlearn.sheets.sound_file import wav

_LOG = logging.getLogger("rxlearn.bench")

POINT = "Point at a line to read its name; the table below has them too."

COVER = "Commit to a guess, or go on without one: then the picture appears and the knobs turn."

Control = Knob | Choice


@dataclass(frozen=True)
class Setting:
    """What a live figure is made of: see :func:`live`; it may change with the plan."""

    controls: Sequence[Control]
    compute: Callable[..., object]
    figure: Callable[[], LiveFigure]
    note: str = ""
    sound: Hearing | None = None


class LiveBench(Shown):
    """One live figure in the page.

    ``values`` maps control keys to the present SI values, ``result`` is what
    ``compute(**values)`` last returned, ``sentence`` what the figure says and
    ``explanation`` why.
    The controls rest until the prediction, if there is one, is committed to.
    Made by :func:`live`; tests drive it by :meth:`turn`, :meth:`type`,
    :meth:`press` and :meth:`pick`, which walk the path that the page walks.
    """

    def __init__(
        self,
        title: str,
        setting: Setting,
        *,
        prediction: Prediction | None = None,
        desk: Desk,
        gated: bool = False,
        follow: Callable[[], Setting] | None = None,
    ) -> None:
        self.title = title
        self.prediction = prediction
        self.desk = desk
        self._step = 0
        self._moved = False
        self._picked: int | None = None
        self._heard: tuple[dict, str] | None = None
        self.controls: dict[str, Control] = {}
        self.values: dict[str, float | str] = {}
        self.guess = self._kept_guess()
        self.panel = Panel(title, self._hear, gate=desk.gate if gated else None)
        self._follow = follow
        self._take(setting)
        if follow is not None:
            desk.watch_plan(self.renew)

    def _take(self, setting: Setting) -> None:
        """Open with ``setting``; what was turned stays where it stood, if it still can."""
        turned = {key: value for key, value in self.values.items()
                  if value != self.controls[key].start}
        self.controls = {control.key: control for control in setting.controls}
        self.figure, self._compute, self._note = setting.figure(), setting.compute, setting.note
        self._hearing = setting.sound
        # With another plan behind it, what was heard is of before even where no knob moved.
        self._heard = self._heard and ({}, self._heard[1])
        self.values = {key: turned[key] if key in turned and control.can_be(turned[key])
                       else control.start for key, control in self.controls.items()}
        self.result = self._compute(**self.values)
        self.figure.update(self.result)
        self.sentence = self._describe(self.result)
        self.explanation = self.figure.explain(self.result)
        self._rows = self.figure.rows(self.result)
        self.panel.plain_text = "\n".join(
            [self.sentence, self.explanation, *("; ".join(row) for row in self._rows)])
        self.panel.still = self.figure.still
        with self.panel.hold_sync():
            self._draw()
            self._lay_out()
            self._show()

    def renew(self) -> None:
        """Read the plan again, as after it was saved in another panel."""
        self._take(self._follow())

    # -- by hand, as tests and other benches do it --------------------------
    def turn(self, **values: float | str) -> None:
        """Turn controls to SI values (or option values), as a drag would.

        Until the prediction is committed to or skipped they rest, and :class:`Stray` is raised.
        """
        self._hear("turn", "", {
            "positions": {key: self.controls[key].position_of(v) for key, v in values.items()}
        })

    def type(self, key: str, text: str) -> None:
        """Type ``text`` into the exact-value field of control ``key``."""
        self._hear("type", key, text)

    def press(self, key: str) -> None:
        """Press the button ``key``."""
        self._hear("press", key, None)

    def pick(self, key: str, number: int) -> None:
        """Pick option ``number`` of the group ``key``."""
        self._hear("pick", key, number)

    def fault(self, key: str) -> str:
        """The sentence now under control ``key``; empty when all is well."""
        return self.panel.texts.get(f"{key}:fault", "")

    def close(self) -> None:
        """Take the panel out of the page and let go of the figure."""
        self.desk.unwatch_plan(self.renew)
        super().close()
        self.panel.still = None

    def __repr__(self) -> str:
        return repr(self.panel) if self.panel.gated else self.sentence

    def _describe(self, result: object) -> str:
        """What the figure says of ``result``, after the note, if there is one."""
        return f"{self._note} {self.figure.describe(result)}".strip()

    # -- the one path -------------------------------------------------------
    def _hear(self, event: str, key: str, value: object) -> None:
        if key in ("prediction", "commit", "skip"):
            self._predict(event, key, value)
            return
        if self.guess is None:
            raise Stray("the controls rest until there is a prediction")
        reset = key.removeprefix("reset:")
        if event == "turn":
            self._turned(value.get("positions", {}))
        elif event == "type" and isinstance(value, str) and self._is_knob(key):
            self._typed(key, value)
        elif event == "press" and key != reset and reset in self.controls:
            self._set(reset, self.controls[reset].start)
        elif event == "press" and key == KEY and self._hearing is not None:
            self._sound()
        else:
            raise Stray(f"there is nothing called {key[:40]!r} to {event}")

    def _sound(self) -> None:
        """Make the sound of the present picture and hand it to the page: once for each press."""
        content, words = wav(self._hearing.render(self.result)), self._hearing.say(self.result)
        self._heard = (self.values, words)
        self.panel.play(KEY, "audio/wav", content)
        self.panel.say(KEY, words)

    def _sound_words(self) -> str:
        """What the sound now in the page holds, and whether it is that of the picture."""
        if self._heard is None:
            return ""
        values, words = self._heard
        return words if values == self.values else f"{BEFORE} {words}"

    def _is_knob(self, key: str) -> bool:
        return isinstance(self.controls.get(key), Knob)

    def _turned(self, positions: dict) -> None:
        """Follow the sliders.  A control that rests at a typed value keeps it to the last digit."""
        values, last = dict(self.values), ""
        for key, position in positions.items():
            control = self.controls.get(key)
            if control is None:
                raise Stray(f"there is no control {key[:40]!r}")
            if position != control.position_of(values[key]):
                try:
                    values[key] = control.value_at(position)
                except (ValueError, IndexError) as problem:
                    raise Stray(str(problem)) from None
                last = key
        if last:
            self._recompute(values, last)

    def _typed(self, key: str, text: object) -> None:
        try:
            value = self.controls[key].read(text)
        except Unclear as problem:
            # The old value stays, in the field too, so that nothing is lost.
            with self.panel.hold_sync():
                self.panel.say(f"{key}:fault", str(problem))
            return
        self._set(key, value)

    def _set(self, key: str, value: float | str) -> None:
        self._recompute({**self.values, key: value}, key)
        # Only this knob: another may be in the learner's hand.  A fresh number each time, so
        # that a reset to where the page believes it is still counts.
        self.panel.knobs = {"step": self._step, key: self.panel.texts["at"][key]}

    def _recompute(self, values: dict, last: str) -> None:
        """Compute and show; a fault leaves the last good picture and says so under the control."""
        self.values = values
        if not self._moved:
            self._moved = True
            self._lay_out()
        try:
            result = self._compute(**values)
            self.figure.update(result)
            sentence, explanation = self._describe(result), self.figure.explain(result)
            rows = self.figure.rows(result)
        except Unclear as problem:
            self._put_back()
            self._show(**{f"{last}:fault": f"{problem} The picture shows the last setting that works."})
            return
        except Exception:
            _LOG.exception("the figure %r could not follow %r", self.figure.name, values)
            self._put_back()
            self._show(**{f"{last}:fault": "The figure could not follow this setting; it shows the "
                          "last one that works. Please tell whoever keeps this workbook."})
            return
        self.result, self.sentence, self.explanation = result, sentence, explanation
        self._rows = rows
        with self.panel.hold_sync():
            if self.figure.drawing != self._drawn:
                self._draw()
                self._lay_out()
            self._show()

    def _draw(self) -> None:
        """Send the drawing as the figure has it now."""
        figure, (width, height) = self.figure, self.figure.size
        self._drawn = figure.drawing
        self.panel.picture = {
            "svg": figure.svg(), "nodes": figure.nodes, "width": width, "height": height,
        }

    def _put_back(self) -> None:
        """Move the artists back to the last result that worked: some may have moved already."""
        self.figure.update(self.result)

    def _show(self, **faults: str) -> None:
        """Send the present state as one message."""
        self._step += 1
        texts = {key: control.shown(self.values[key]) for key, control in self.controls.items()}
        with self.panel.hold_sync():
            self.panel.texts = {
                **texts, **faults, "sentence": self.sentence, "explanation": self.explanation,
                "picture": self.figure.texts(),
                **({"names": names} if (names := self.figure.names()) else {}),
                **({"rows": self._rows} if self.figure.columns else {}),
                **({KEY: words} if (words := self._sound_words()) else {}),
                "at": {k: c.position_of(self.values[k]) for k, c in self.controls.items()},
                "step": self._step,
            }
            self.panel.frame = self.figure.frame()

    # -- the prediction -----------------------------------------------------
    def _kept_guess(self) -> str | None:
        """The guess committed to earlier (None: not yet; empty: shown without one)."""
        if self.prediction is None:
            return ""
        kept = self.desk.recall("prediction", self.prediction.key)
        return str(kept[-1].get("text", "")) if kept else None

    def _lay_out(self, complaint: str = "", typed: str = "") -> None:
        """Describe the parts for the present state: before or after the commitment."""
        waiting = self.guess is None
        parts: list[dict] = [{"kind": "heading", "text": self.title}]
        if waiting:
            parts += self._question_parts(complaint, typed)
        parts.append({"kind": "controls", "items": [
            control.part(off=waiting) for control in self.controls.values()
        ]})
        if waiting:
            # What the figure shows would answer the question: it is covered until the guess is in.
            parts.append({"kind": "picture", "cover": COVER})
        else:
            pointed = [{"kind": "pointed", "text": POINT}] if self.figure.names() else []
            # Another drawing is another part, so that the page puts it in place of the last.
            drawn = {"drawn": self._drawn} if self._drawn else {}
            parts += [{"kind": "picture", **drawn}, *pointed, {"kind": "sentence", "key": "sentence"}]
            if self._hearing is not None:
                parts.append(self._hearing.part(self.title))
        if self.prediction is not None and not waiting:
            parts.append({"kind": "verdict", "text": self._beside_the_result(), "tone": "plain"})
            if complaint:
                parts.append({"kind": "verdict", "text": complaint, "tone": "bad"})
        if not waiting:
            parts.append({"kind": "text", "key": "explanation", "text": self.explanation})
            if self.figure.columns:
                parts.append({"kind": "table", "key": "rows", "caption": self.figure.caption,
                              "head": list(self.figure.columns), "rows": []})
        self.panel.parts = parts

    def _beside_the_result(self) -> str:
        """The guess, and once the figure has moved, what came of it."""
        if self._moved:
            return reveal(self.prediction, self.guess)
        guess = commit(self.prediction, self.guess)
        words = guess.sentence if guess.state == "kept" else "No guess is kept."
        return f"{words} Now turn a knob and see."

    def _question_parts(self, complaint: str, typed: str) -> list[dict]:
        prediction = self.prediction
        parts: list[dict] = [{"kind": "text", "text": "Predict before you turn the knob."}]
        if prediction.options:
            parts.append({
                "kind": "options", "key": "prediction", "label": prediction.prompt,
                "options": [words for _, words in prediction.options], "value": self._picked,
            })
            parts.append({"kind": "buttons", "items": [
                {"key": "commit", "label": "Commit to this", "main": True},
                {"key": "skip", "label": "Go on without a guess"}]})
        else:
            parts.append({"kind": "text", "text": prediction.prompt, "tone": "prompt"})
            parts.append({"kind": "entry", "key": "prediction", "label": "Your prediction",
                          "value": typed, "action": "Commit to this",
                          "hint": "a value with its unit" if prediction.unit else "a number"})
            parts.append({"kind": "buttons", "items": [
                {"key": "skip", "label": "Go on without a guess"}]})
        if complaint:
            parts.append({"kind": "verdict", "text": complaint, "tone": "ask"})
        return parts

    def _predict(self, event: str, key: str, value: object) -> None:
        """Take a guess; once one is kept it stays, whatever a stray message says."""
        if self.prediction is None or self.guess is not None:
            return
        if event == "pick":
            if value >= len(self.prediction.options):
                raise Stray(f"there is no option {value}")
            self._picked = value
            return
        if key == "skip":
            self.guess = ""
            self._lay_out()
            return
        text = value if isinstance(value, str) else ""
        if key == "commit":
            text = "" if self._picked is None else self.prediction.options[self._picked][0]
        read = commit(self.prediction, text)
        if read.state != "kept":
            self._lay_out(read.sentence, text if event == "type" else "")
            return
        self.guess = text
        self._lay_out(self.desk.remember("prediction", self.prediction.key, {"text": text}))


def live(
    title: str,
    controls: Sequence[Control],
    compute: Callable[..., object],
    figure: Callable[[], LiveFigure],
    *,
    predict: str = "",
    gated: bool = False,
    note: str = "",
    sound: Hearing | None = None,
) -> LiveBench:
    """Open a live figure in the running cell and return its bench.

    ``title`` names it in a few words; ``controls`` are turned by the learner;
    ``compute(**values)`` takes their SI values by key and returns a result;
    ``figure()`` makes the :class:`LiveFigure` that shows such a result;
    ``predict`` is the key of the prediction that must be committed to first.
    A control setting for which ``compute`` raises ``Unclear`` is answered by
    that sentence under the control.  A ``gated`` figure names high voltages:
    it is covered until the safety list is ticked.  A ``note`` opens each of its sentences, for
    instance why the demo stands in for the plan.  A ``sound`` can be heard at the press of a
    button, once the figure is uncovered.
    """
    return _place(title, Setting(controls, compute, figure, note, sound), predict=predict,
                  gated=gated)


def live_with_plan(title: str, setting: Callable[[], Setting], *, predict: str = "") -> LiveBench:
    """Open a live figure that is made anew from ``setting()`` whenever the plan is saved here.

    For a figure below the form that feeds it; see :func:`live` for the rest.
    """
    return _place(title, setting(), predict=predict, follow=setting)


def _place(
    title: str, setting: Setting, *, predict: str, gated: bool = False,
    follow: Callable[[], Setting] | None = None,
) -> LiveBench:
    desk = the_desk()
    prediction = find_prediction(predict) if predict else None
    return desk.place(title, lambda: LiveBench(
        title, setting, prediction=prediction, desk=desk, gated=gated, follow=follow))

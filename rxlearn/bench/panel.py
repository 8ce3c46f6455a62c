"""The one widget: a panel of labelled controls, words and at most one live picture.

Everything that a lesson shows with controls is a list of *parts* that the
kernel describes and ``panel.js`` draws with the browser's own controls (they
bring accessible names, keys and focus with them).  All words travel as text
and are set as text: what a learner typed can never become markup.

Traffic is split by how often it changes: ``parts`` when the structure does,
``texts`` and ``frame`` at every step of a drag.  ``turned`` comes from the
browser, ``knobs`` goes to it, so neither overwrites the other in a drag.
"""

from __future__ import annotations

import base64
import html
import logging
from collections.abc import Callable
from pathlib import Path

import anywidget
import traitlets

from rxlearn.bench.gate import Gate, cover_html, cover_parts, cover_text

_HERE = Path(__file__).parent
_LOG = logging.getLogger("rxlearn.bench")

STRAY_NOTE = (
    "The page sent something that this panel does not know, so nothing was changed. "
    "If it comes again, press “Run this lesson”."
)

FARTHEST = 1e9
"""A slider position beyond this came from no slider."""

STILL_NOTE = "This is a still. Press “Run this lesson” above to turn the knobs."


class Stray(ValueError):
    """A message from the page that no control of this panel sends; it changes nothing."""


class Panel(anywidget.AnyWidget):
    """A list of parts in the page; see ``panel.js`` for the kinds of part.

    ``listener`` is called as ``listener(event, key, value)`` with the events
    ``turn`` (key "", value a dict of knob key to position), ``type`` (value is the text),
    ``press``, ``pick`` (value is an option's number) and ``tick`` (value has the line's
    ``number`` and whether it is ``on``).  A form's ``type`` brings a dict of texts.  What comes from the page is checked for its shape before anyone hears of it;
    a listener raises :class:`Stray` for a key or an option that it does not have.

    ``plain_text`` is what the panel says in words and ``still()`` its picture as SVG, for
    readers without a kernel; ``printed`` is HTML to use instead of both.  A panel that may
    stand several times on a page is a note and no ``landmark``, as those are listed by name.  A panel with a
    ``gate`` names high voltages: until the gate is cleared nothing of it leaves the kernel but
    its cover, and what a saved lesson keeps is always the cover.
    """

    _esm = _HERE / "panel.js"
    _css = _HERE / "panel.css"

    label = traitlets.Unicode().tag(sync=True)
    landmark = traitlets.Bool(True).tag(sync=True)
    parts = traitlets.List().tag(sync=True)
    texts = traitlets.Dict().tag(sync=True)
    knobs = traitlets.Dict().tag(sync=True)
    picture = traitlets.Dict().tag(sync=True)
    frame = traitlets.Bytes().tag(sync=True)
    gated = traitlets.Bool().tag(sync=True)
    turned = traitlets.Any({}).tag(sync=True, echo_update=False)

    def __init__(
        self,
        label: str,
        listener: Callable[[str, str, object], None],
        *,
        gate: Gate | None = None,
    ) -> None:
        self._gate = gate  # before the widget opens, since opening sends its state
        super().__init__(label=label, gated=gate is not None)
        self._listener = listener
        self.printed = ""
        if gate is not None:
            self._sent_covered = self.covered
            gate.watch(self._gate_moved)
        self.plain_text = label
        self.still: Callable[[], str] | None = None
        self.observe(lambda change: self._hear("turn", "", change["new"]), names="turned")
        self.on_msg(self._receive)

    @property
    def covered(self) -> bool:
        """Whether the page is shown the cover instead of what this panel holds."""
        return self._gate is not None and not self._gate.cleared

    def get_state(self, key=None, drop_defaults=False):
        """The traits as they go to the page: while covered, those of the cover."""
        state = super().get_state(key, drop_defaults)
        if self.covered:
            cover = {"parts": cover_parts(self.label), "texts": {}, "knobs": {}, "picture": {},
                     "frame": b"", "turned": {}}
            state.update({name: cover[name] for name in state.keys() & cover.keys()})
        return state

    def _gate_moved(self) -> None:
        """Cover or uncover in the page, in one message, once the whole list allows or forbids it."""
        if self.comm is not None and self._sent_covered != self.covered:
            self._sent_covered = self.covered
            self.send_state(["parts", "texts", "knobs", "picture", "frame"])

    def _receive(self, _widget, content, _buffers) -> None:
        if not isinstance(content, dict):
            content = {}
        self._hear(content.get("event"), content.get("key"), content.get("value"))

    def _hear(self, event: str, key: str, value: object) -> None:
        """Hand an event on.  Listeners show their own faults; what escapes them is a bug:
        it is logged, shown in one sentence, and the tests' log watch fails on it."""
        try:
            checked = _checked(event, key, value)
            if not self.covered:  # a drag may outlast an unticking
                self._listener(event, key, checked)
        except Stray as stray:
            _LOG.warning("a panel called %r left a message alone: %s", self.label, stray)
            self.say("fault", STRAY_NOTE)
        except Exception:
            _LOG.exception("a panel called %r could not answer %s %s", self.label, event, key)
            self.say("fault", "Something went wrong here; your plan and answers are untouched. "
                     "Run the lesson again, and tell whoever keeps this workbook.")
        else:
            self.say("fault", "")

    def say(self, key: str, words: str) -> None:
        """Set the words of the part ``key``."""
        if self.texts.get(key, "") != words:
            self.texts = {**self.texts, key: words}

    def hand_over(self, name: str, kind: str, content: bytes) -> str:
        """Give the browser a file to keep, of MIME type ``kind``; return what to say of it."""
        self.send({"save": name, "kind": kind}, buffers=[content])
        return f"{name} goes to where your browser keeps what it downloads."

    def play(self, key: str, kind: str, content: bytes) -> None:
        """Give the part ``key`` a sound to play, of MIME type ``kind``."""
        self.send({"play": key, "kind": kind}, buffers=[content])

    def close(self) -> None:
        """Leave the page, together with the layout widget that every widget brings along."""
        if self._gate is not None:
            self._gate.unwatch(self._gate_moved)
        super().close()
        self.layout.close()

    def __repr__(self) -> str:
        # No object address: strict notebook tests compare this text.
        return self.plain_text if self._gate is None else cover_text(self.label)

    def _repr_mimebundle_(self, **options):
        """The widget, its words, and for readers without a kernel its still."""
        bundle = super()._repr_mimebundle_(**options)
        data, metadata = bundle if isinstance(bundle, tuple) else (bundle or {}, {})
        data = {**data, "text/plain": repr(self), "text/html": self._still_html()}
        return data, {**metadata, "rxlearn": {"still": True}}

    def _still_html(self) -> str:
        if self._gate is not None:
            return cover_html(self.label)
        if self.printed:
            return self.printed
        words = html.escape(self.plain_text).replace("\n", "<br>")
        if self.still is None:
            return f"<p>{words}</p><p><em>{html.escape(STILL_NOTE)}</em></p>"
        encoded = base64.b64encode(self.still().encode()).decode()
        return (
            f'<img alt="{html.escape(self.plain_text)}" style="max-width:100%" '
            f'src="data:image/svg+xml;base64,{encoded}">'
            f"<p>{words}</p><p><em>{html.escape(STILL_NOTE)}</em></p>"
        )


def _checked(event: object, key: object, value: object) -> object:
    """``value`` as its ``event`` must bring it; raises :class:`Stray` for any other shape."""
    if not (isinstance(event, str) and isinstance(key, str)):
        raise Stray("its event and key are no words")
    if event == "press":
        return None
    if event == "pick" and type(value) is int and value >= 0:
        return value
    if event == "tick" and isinstance(value, dict) and _is_tick(value):
        return value
    if event == "type" and isinstance(value, str):
        return value
    if event == "type" and isinstance(value, dict) and _all_texts(value):
        return value
    if event == "turn" and isinstance(value, dict):
        positions = value.get("positions", {})
        if isinstance(positions, dict) and all(map(_is_finite, positions.values())):
            return value
    raise Stray(f"a {type(value).__name__} is not what {event[:20]!r} brings")


def _all_texts(value: dict) -> bool:
    return all(isinstance(text, str) for pair in value.items() for text in pair)


def _is_tick(value: dict) -> bool:
    number = value.get("number")
    return type(number) is int and number >= 0 and type(value.get("on")) is bool


def _is_finite(position: object) -> bool:
    # Not math.isfinite: a whole number may be too large for it.
    return type(position) in (int, float) and -FARTHEST <= position <= FARTHEST

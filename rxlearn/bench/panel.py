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
    ``press`` and ``pick`` (value is an option's number).  A form's ``type`` brings a dict
    of texts.  What comes from the page is checked for its shape before anyone hears of it;
    a listener raises :class:`Stray` for a key or an option that it does not have.
    """

    _esm = _HERE / "panel.js"
    _css = _HERE / "panel.css"

    label = traitlets.Unicode().tag(sync=True)
    parts = traitlets.List().tag(sync=True)
    texts = traitlets.Dict().tag(sync=True)
    knobs = traitlets.Dict().tag(sync=True)
    picture = traitlets.Dict().tag(sync=True)
    frame = traitlets.Bytes().tag(sync=True)
    turned = traitlets.Any({}).tag(sync=True, echo_update=False)

    def __init__(self, label: str, listener: Callable[[str, str, object], None]) -> None:
        super().__init__(label=label)
        self._listener = listener
        self.plain_text = label
        self.still: Callable[[], str] | None = None
        self.observe(lambda change: self._hear("turn", "", change["new"]), names="turned")
        self.on_msg(self._receive)

    def _receive(self, _widget, content, _buffers) -> None:
        if not isinstance(content, dict):
            content = {}
        self._hear(content.get("event"), content.get("key"), content.get("value"))

    def _hear(self, event: str, key: str, value: object) -> None:
        """Hand an event on.  Listeners show their own faults; what escapes them is a bug:
        it is logged, shown in one sentence, and the tests' log watch fails on it."""
        try:
            self._listener(event, key, _checked(event, key, value))
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

    def close(self) -> None:
        """Leave the page, together with the layout widget that every widget brings along."""
        super().close()
        self.layout.close()

    def __repr__(self) -> str:
        # No object address: strict notebook tests compare this text.
        return self.plain_text

    def _repr_mimebundle_(self, **options):
        """The widget, its words, and for readers without a kernel its still."""
        bundle = super()._repr_mimebundle_(**options)
        data, metadata = bundle if isinstance(bundle, tuple) else (bundle or {}, {})
        data = {**data, "text/plain": self.plain_text, "text/html": self._still_html()}
        return data, {**metadata, "rxlearn": {"still": True}}

    def _still_html(self) -> str:
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


def _is_finite(position: object) -> bool:
    # Not math.isfinite: a whole number may be too large for it.
    return type(position) in (int, float) and -FARTHEST <= position <= FARTHEST

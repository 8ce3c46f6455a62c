"""What a live figure lets one hear: a sound made at the press of a button, and words for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from rxlearn.compute.receiver_sound import Sound

BUTTON = "Hear it"
KEY = "hear"

CAUTION = "Turn the volume down first, above all with headphones; then up as far as you need."

BEFORE = f"As it was set before; for the present setting press “{BUTTON}” again."


@dataclass(frozen=True)
class Hearing:
    """``render(result)`` makes the sound of a figure's result, ``say(result)`` what is in it.

    The words stand beside the sound and are all that somebody gets who cannot hear it: they
    name what sounds, at which pitch, how loud against what.
    """

    render: Callable[[object], Sound]
    say: Callable[[object], str]

    def part(self, title: str) -> dict:
        """The button and the player as a part of the panel called ``title``."""
        return {"kind": "sound", "key": KEY, "action": BUTTON, "label": f"Sound of “{title}”",
                "caution": CAUTION}

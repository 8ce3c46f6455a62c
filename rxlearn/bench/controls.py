"""What a hand can turn: a knob over a range, or a choice.

A knob is a slider with stops one fine step apart; the kernel alone knows what
a stop means, so the page never does arithmetic or formatting.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.quantities import Range, show, show_span


@dataclass(frozen=True, kw_only=True)
class Knob:
    """A quantity that is turned from ``low`` to ``high`` (SI of ``unit``).

    ``fine`` is the step of an arrow key and of the slider's stops, ``coarse``
    that of Page keys and of arrows with Shift; ``high - low`` must be a whole
    number of fine steps.  ``prefix`` and ``decimals`` fix how it is printed,
    so that the number keeps its width while it moves.
    """

    key: str
    label: str
    unit: str
    low: float
    high: float
    start: float
    fine: float
    coarse: float
    prefix: str = ""
    decimals: int = 0

    def __post_init__(self) -> None:
        """Refuse a knob that could not be turned."""
        stops = (self.high - self.low) / self.fine
        if not (stops >= 1 and abs(stops - round(stops)) < 1e-6 * stops):
            raise ValueError(f"{self.key}: its range is not a whole number of fine steps")
        if not self.low <= self.start <= self.high:
            raise ValueError(f"{self.key}: it starts outside its range")
        if self.coarse < self.fine:
            raise ValueError(f"{self.key}: its coarse step is finer than its fine step")

    @property
    def stops(self) -> int:
        """The number of fine steps from end to end."""
        return round((self.high - self.low) / self.fine)

    @property
    def range(self) -> Range:
        """The interval that a typed value must lie in."""
        return Range(self.label, self.unit, self.low, self.high)

    def value_at(self, position: object) -> float:
        """The SI value at a slider ``position`` (0 to ``stops``), clipped to the ends.

        The page sends whole positions; anything that is no number is refused
        with ValueError, as only a fault of ours could send it.
        """
        place = float(position)
        if place != place:
            raise ValueError(f"{self.key}: the slider's position is not a number")
        place = min(float(self.stops), max(0.0, place))
        return float(f"{self.low + place * self.fine:.12g}")

    def position_of(self, value: float) -> float:
        """The slider position of an SI ``value``; a typed value may lie between two stops."""
        return float(f"{(value - self.low) / self.fine:.9g}")

    def can_be(self, value: object) -> bool:
        """Whether the knob can stand at ``value``."""
        return isinstance(value, float | int) and self.low <= value <= self.high

    def read(self, text: object) -> float:
        """The SI value typed as ``text``; raises ``Unclear`` with a sentence if it will not do."""
        return self.range.parse(text)

    def shown(self, value: float) -> str:
        """``value`` as printed beside the knob; a typed value keeps the digits it needs."""
        fixed = show(value, self.unit, prefix=self.prefix, decimals=self.decimals)
        exact = show(value, self.unit, prefix=self.prefix, digits=12)
        return fixed if _number(fixed) == _number(exact) else exact

    def part(self, *, off: bool) -> dict:
        """This knob as an item of a panel's controls."""
        # Frequencies step in the unit that suits the step; a picofarad knob never speaks of fF.
        prefix = None if self.unit == "Hz" else self.prefix
        steps = (
            f"{show_span(self.low, self.high, self.unit, prefix=self.prefix)}; steps of "
            f"{show(self.fine, self.unit, digits=3, prefix=prefix)}, "
            f"Shift {show(self.coarse, self.unit, digits=3, prefix=prefix)}"
        )
        return {
            "kind": "knob", "key": self.key, "label": self.label, "stops": self.stops,
            "coarse": round(self.coarse / self.fine), "position": self.position_of(self.start),
            "start_text": self.shown(self.start), "range_text": steps, "off": off,
        }


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One of a few settings: ``options`` maps each value to the words shown, in order."""

    key: str
    label: str
    options: dict[str, str]
    start: str

    def value_at(self, position: object) -> str:
        """The value of option number ``position``; ValueError or IndexError if there is none."""
        place = int(position)
        if place < 0:
            raise IndexError(f"{self.key}: there is no option {place}")
        return list(self.options)[place]

    def position_of(self, value: str) -> int:
        """The number of the option ``value``."""
        return list(self.options).index(value)

    def can_be(self, value: object) -> bool:
        """Whether ``value`` is one of the settings."""
        return value in self.options

    def shown(self, value: str) -> str:
        """The words of ``value``."""
        return self.options[value]

    def part(self, *, off: bool) -> dict:
        """This choice as an item of a panel's controls."""
        return {
            "kind": "choice", "key": self.key, "label": self.label, "off": off,
            "options": list(self.options.values()), "position": self.position_of(self.start),
        }


def _number(text: str) -> float:
    return float(text.split(" ")[0])

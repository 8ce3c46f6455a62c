"""One field of a receiver plan: what it accepts, how it is read and shown.

The fields themselves are the rows of :mod:`rxlearn.plan.fields`.
"""

from __future__ import annotations

import numbers
import operator
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from rxlearn.compute.quantities import Range, Unclear, parse, show

Kind = Literal["quantity", "text", "choice", "count", "table"]
Status = Literal["wished", "computed", "measured"]
Cell = float | int | str | None
Rows = tuple[tuple[Cell, ...], ...]
Value = float | int | str | Rows

STATUSES: Mapping[str, str] = MappingProxyType({
    "wished": "what you would like",
    "computed": "what the workbook worked out",
    "measured": "what your bench says",
})
"""Every status that a value can have, with its meaning."""

LONGEST_NAME = 80
"""Longest name, in characters, that a text field takes."""

MOST_ROWS = 200
"""How many rows a table field takes."""

BETWEEN_CELLS = "|"
"""What stands between the cells of a table's row where it is typed or shown."""

MOST_NAMED = 12
"""How many choices a complaint names with their words; of a longer list, such as wires, some."""

NO_ROWS = "none"
"""How a table without rows is shown; it can be typed, too."""

_SHOWN_DIGITS = {"Hz": 9}
_JOINERS = "\u200c\u200d"  # invisible, but some scripts cannot be spelled without them


@dataclass(frozen=True, kw_only=True)
class Field:
    """One entry of the plan: what it is, what it accepts and why it is there.

    ``unit`` is a key of :data:`rxlearn.compute.quantities.UNITS` (empty for
    text and choices) and ``range`` an interval in SI of that unit; ``choices``
    maps each value of a choice to the words for it.  ``demo`` is the value in
    the demo plan, ``demo_status`` what kind of value that is.  ``why`` is one
    sentence for the learner.  ``high_voltage`` marks a value that is covered
    in the page until the safety list is ticked.

    A table has ``columns``, each a field of its own whose key names the cell in
    the file; its value is a tuple of rows, each a tuple of cells in that order.
    The cell of an ``optional`` column may be blank (None).
    """

    key: str
    label: str
    kind: Kind
    section: str = ""
    why: str = ""
    demo: Value = ""
    demo_status: Status = "wished"
    unit: str = ""
    range: Range | None = None
    choices: Mapping[int | str, str] = field(default_factory=lambda: MappingProxyType({}))
    high_voltage: bool = False
    columns: tuple[Field, ...] = ()
    optional: bool = False

    def check(self, value: object) -> Value:
        """Return ``value`` (SI number, text, choice, count or rows) if this field takes it.

        Raises :class:`~rxlearn.compute.quantities.Unclear` with one sentence
        otherwise.  Text comes back trimmed and in Unicode's composed form.
        """
        match self.kind:
            case "text":
                return clean_text(value, self.label, LONGEST_NAME)
            case "choice":
                return self._check_choice(value)
            case "count":
                return self._check_count(value)
            case "table":
                return self._check_table(value)
        if isinstance(value, bool) or not isinstance(value, numbers.Real):
            raise Unclear(f"{self.label} must be a number with its unit: {self.range.says}.")
        return self.range.check(value) + 0.0  # no negative zero

    def read(self, text: str) -> Value:
        """Read what a learner typed or chose and check it.

        ``3.2768 MHz``, a count, a name; of a choice its value (``high``) or its words; of a
        table a row on each line, with ``|`` between its cells.
        """
        if self.kind == "table":
            return self._read_table(text)
        if self.kind == "quantity":
            return self.check(self.range.parse(text))
        if self.kind == "count":
            number = parse(text, "", name=self.label)
            return self.check(int(number) if number == int(number) else number)
        if self.kind == "choice" and isinstance(text, str):
            named = {
                str(name).lower(): choice for choice in self.choices
                for name in (choice, self.choices[choice])
            }
            text = named.get(text.strip().lower(), text)
        return self.check(text)

    def show(self, value: Value) -> str:
        """Print a value of this field for people: ``3.2768 MHz``, ``high side``, ``2``.

        The rows of a table stand on lines of their own.
        """
        if self.kind == "table":
            return "\n".join(self._show_row(row) for row in value) or NO_ROWS
        if self.kind == "quantity":
            return show(value, self.unit, digits=_SHOWN_DIGITS.get(self.unit, 6))
        if self.kind == "choice":
            return self.choices[value]
        return str(value)

    def _check_table(self, value: object) -> Rows:
        if not isinstance(value, list | tuple):
            raise Unclear(f"{self.label} must be a list of rows, each with {self._cells_named()}.")
        if len(value) > MOST_ROWS:
            raise Unclear(f"{self.label} must have at most {MOST_ROWS} rows.")
        return tuple(self._check_row(row, number) for number, row in enumerate(value, start=1))

    def _check_row(self, row: object, number: int) -> tuple[Cell, ...]:
        if not isinstance(row, list | tuple) or len(row) != len(self.columns):
            raise Unclear(f"{self.label}, row {number}, must have {self._cells_named()}.")
        cells = zip(self.columns, row, strict=True)
        return tuple(
            self._cell(number, column.key, cell, lambda given, column=column: column.check(given))
            if cell is not None or not column.optional else None
            for column, cell in cells
        )

    def _cell(self, number: int, key: str, given: object, take) -> Cell:
        """``given`` as ``take`` makes it, or one sentence that names the row."""
        try:
            taken = take(given)
        except Unclear as fault:
            raise Unclear(f"{self.label}, row {number}: {fault}") from None
        if isinstance(taken, str) and BETWEEN_CELLS in taken:
            raise Unclear(f"{self.label}, row {number}: leave the upright stroke out of the {key}.")
        return taken

    def _read_table(self, text: object) -> Rows:
        if not isinstance(text, str):
            raise Unclear(f"{self.label} must be typed, a row on each line: {self._cells_named()}.")
        lines = [line for line in text.splitlines() if line.strip()]
        if len(lines) == 1 and lines[0].strip().lower() == NO_ROWS:
            lines = []
        rows = []
        for number, line in enumerate(lines[:MOST_ROWS + 1], start=1):
            cells = [cell.strip() for cell in line.split(BETWEEN_CELLS)]
            cells += [""] * (len(self.columns) - len(cells))
            if len(cells) > len(self.columns):
                raise Unclear(f"{self.label}, row {number}, has {len(cells)} cells: "
                              f"type {self._cells_named()}.")
            rows.append(tuple(
                self._cell(number, column.key, cell, column.read)
                if cell or not column.optional else None
                for column, cell in zip(self.columns, cells, strict=True)
            ))
        return self.check(rows)

    def _show_row(self, row: tuple[Cell, ...]) -> str:
        cells = ["" if cell is None else column.show(cell)
                 for column, cell in zip(self.columns, row, strict=True)]
        return f" {BETWEEN_CELLS} ".join(cells).strip().removesuffix(BETWEEN_CELLS).strip()

    def _cells_named(self) -> str:
        """``frequency | note (may be blank)``, for a sentence or a hint."""
        return f" {BETWEEN_CELLS} ".join(
            column.label.lower() + (" (may be blank)" if column.optional else "")
            for column in self.columns
        )

    @property
    def hint(self) -> str:
        """How a row of a table is typed; empty for other kinds."""
        return f"A row on each line: {self._cells_named()}" if self.columns else ""

    def _check_choice(self, value: object) -> int | str:
        # Compared with its type: True is no region, though it equals 1.
        for choice in self.choices:
            if type(value) is type(choice) and value == choice:
                return choice
        listed = [f"{choice} ({words})" for choice, words in self.choices.items()]
        if len(listed) > MOST_NAMED:
            listed = [*map(str, list(self.choices)[:MOST_NAMED]), "or another size on the list"]
        raise Unclear(f"{self.label} must be one of these: {', '.join(listed)}.")

    def _check_count(self, value: object) -> int:
        low, high = int(self.range.low), int(self.range.high)
        try:
            if isinstance(value, bool):
                raise TypeError
            count = operator.index(value)
        except TypeError:
            count = None
        if count is None or not low <= count <= high:
            raise Unclear(f"{self.label} must be a whole number from {low} to {high}.")
        return count


def clean_text(value: object, label: str, longest: int) -> str:
    """Return ``value`` as one line of plain text, trimmed and composed (NFC).

    Markup is text like any other here; whoever shows it must not run it.
    Raises :class:`~rxlearn.compute.quantities.Unclear` for what is not text,
    is empty, longer than ``longest`` characters, or holds control characters,
    line breaks, marks that reverse the writing direction, or half characters.
    """
    if not isinstance(value, str):
        raise Unclear(f"{label} must be text of at most {longest} characters.")
    if len(value) > longest:
        raise Unclear(f"{label} is too long: shorten it to {longest} characters.")
    text = unicodedata.normalize("NFC", value).strip(" ")
    kinds = {unicodedata.category(letter) for letter in text if letter not in _JOINERS}
    if kinds & {"Cc", "Cf", "Cs", "Cn", "Co", "Zl", "Zp"}:
        raise Unclear(
            f"{label} holds a control character or a line break: type it afresh on one line."
        )
    if len(text) > longest:
        raise Unclear(f"{label} is too long: shorten it to {longest} characters.")
    if not kinds - {"Zs"}:
        raise Unclear(f"{label} is empty: type at least one character.")
    return text


def quantity(
    key: str, label: str, unit: str, low: float, high: float, demo: float = 0.0,
    **rest: str | bool,
) -> Field:
    """A number with a unit, in SI from ``low`` to ``high``."""
    return Field(
        key=key, label=label, kind="quantity", unit=unit, demo=demo,
        range=Range(label, unit, low, high), **rest,
    )


def text(key: str, label: str, demo: str = "", **rest: str | bool) -> Field:
    """One line of plain text."""
    return Field(key=key, label=label, kind="text", demo=demo, **rest)


def choice(
    key: str, label: str, choices: Mapping[int | str, str], demo: int | str, **rest: str | bool
) -> Field:
    """One of ``choices``, value to words."""
    return Field(
        key=key, label=label, kind="choice", demo=demo,
        choices=MappingProxyType(dict(choices)), **rest
    )


def count(key: str, label: str, low: int, high: int, demo: int, **rest: str | bool) -> Field:
    """A whole number from ``low`` to ``high``."""
    return Field(
        key=key, label=label, kind="count", demo=demo, range=Range(label, "", low, high), **rest
    )


def table(
    key: str, label: str, columns: tuple[Field, ...], demo: Rows = (), **rest: str | bool
) -> Field:
    """Rows of cells, one cell for each of ``columns``."""
    return Field(key=key, label=label, kind="table", columns=columns, demo=demo, **rest)

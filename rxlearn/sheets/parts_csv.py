"""The parts list as a CSV file: out with everything, in with what is at hand, prices and notes.

A cell that a spreadsheet would run as a formula goes out with an apostrophe before it, which
comes off again on the way in.  What comes in is text and nothing else; a damaged file is met with
the line and the reason, and changes nothing.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator

from rxlearn.compute.quantities import Unclear, show
from rxlearn.plan.document import Plan
from rxlearn.plan.field import BETWEEN_CELLS, Rows
from rxlearn.plan.fields import FIELDS
from rxlearn.plan.parts import PlannedPart, parts_of
from rxlearn.plan.parts_fields import HAVE, NO, OWNED, YES

HEAD = ("key", "group", "what", "value", "rating", "quantity", "where", "ease", "have", "price", "note")
"""Columns of the file that goes out."""

WANTED = ("key", "have")
"""Columns that a file coming in must have; ``price`` and ``note`` may be there, others are skipped."""

LARGEST = 200_000
"""Longest file, in bytes, that is looked at."""

FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What a cell begins with that a spreadsheet runs (common practice, no source)."""

APOSTROPHE = "'"

_YES = {"yes", "y", "x", "1", "true"}
_NO = {"no", "n", "", "0", "false"}


class DamagedFile(Unclear):
    """A parts list that will not do; the sentence names the line and the reason."""

    def __init__(self, line: int, reason: str) -> None:
        self.line = line
        super().__init__(f"Line {line}: {reason} Nothing was changed.")


def parts_csv(plan: Plan) -> bytes:
    """The plan's list as CSV in UTF-8, with the mark by which spreadsheets know that."""
    return write_csv(parts_of(plan))


def write_csv(parts: Iterable[PlannedPart]) -> bytes:
    """``parts`` as CSV: a line with the columns' names, then one line for each part."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEAD)
    for part in parts:
        price = "" if part.price is None else show(part.price, "", digits=12)
        writer.writerow(map(harmless, (
            part.key, part.group, part.what, part.value, part.rated, str(part.quantity), "; ".join(part.where),
            part.ease, YES if part.have else NO, price, part.remark)))
    return out.getvalue().encode("utf-8-sig")


def harmless(cell: str) -> str:
    """``cell`` as a spreadsheet shows it and does not run it."""
    return APOSTROPHE + cell if cell.startswith((*FORMULA, APOSTROPHE)) else cell


def as_written(cell: str) -> str:
    """``cell`` without the apostrophe that :func:`harmless` put before it."""
    guarded = cell[:1] == APOSTROPHE and cell[1:].startswith((*FORMULA, APOSTROPHE))
    return cell[1:] if guarded else cell


def read_csv(content: bytes | str, plan: Plan) -> Rows:
    """The rows of the plan's table of parts at hand, as the file ``content`` wants them.

    Lines replace what the plan holds of the same part; parts that the file leaves out stay as they
    are.  Raises :class:`DamagedFile` for the first thing that will not do.
    """
    known = {part.key for part in parts_of(plan)}
    rows = {row[0]: tuple(row) for row in plan.value(OWNED)}
    seen: dict[str, int] = {}
    for line, cells in _records(_decoded(content)):
        key, row = _row(line, cells, known)
        if key in seen:
            raise DamagedFile(line, f"“{_short(key)}” stands on line {seen[key]} already.")
        seen[key] = line
        rows[key] = row
    kept = [row for row in rows.values() if row[1:] != (NO, None, None)]
    try:
        return FIELDS[OWNED].check(kept)
    except Unclear as reason:
        raise DamagedFile(max(seen.values(), default=1), str(reason)) from None


def _decoded(content: bytes | str) -> str:
    """The file as text, or what is wrong with its bytes."""
    if len(content) > LARGEST:
        raise DamagedFile(1, f"the file has more than {LARGEST // 1000} kilobytes, and a parts list "
                             "never has.")
    if isinstance(content, bytes):
        try:
            content = content.decode("utf-8-sig")
        except UnicodeDecodeError as fault:
            line = content.count(b"\n", 0, fault.start) + 1
            raise DamagedFile(line, "a letter is not written in UTF-8: save the sheet as “CSV "
                                    "UTF-8”.") from None
    text = content.removeprefix("\ufeff")
    for sign, name in (("\0", "an empty byte (NUL)"), ("\ufffd", "a letter that was lost on the way")):
        if sign in text:
            line = text.count("\n", 0, text.index(sign)) + 1
            raise DamagedFile(line, f"there is {name} in it, so this is no text file as saved by a "
                                    "spreadsheet.")
    if not text.strip():
        raise DamagedFile(1, "the file is empty.")
    return text


def _records(text: str) -> Iterator[tuple[int, dict[str, str]]]:
    """Line number and cells by column of each record under the head."""
    first = text.lstrip("\r\n").splitlines()[0]
    delimiter = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    head: list[str] | None = None
    begins = 1
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            break
        except csv.Error:
            raise DamagedFile(begins, "a quotation mark is opened and not closed, or stands inside "
                                      "a cell: write it twice there.") from None
        line, begins = begins, reader.line_num + 1
        if not any(cell.strip() for cell in cells):
            continue
        if head is None:
            head = _head(line, cells)
            continue
        if len(cells) != len(head):
            raise DamagedFile(line, f"it has {len(cells)} cells where the first line has {len(head)}.")
        yield line, dict(zip(head, (as_written(cell.strip()) for cell in cells), strict=True))
    if head is None:
        raise DamagedFile(1, "the file is empty.")


def _head(line: int, cells: list[str]) -> list[str]:
    head = [cell.strip().lower() for cell in cells]
    missing = [name for name in WANTED if name not in head]
    if missing:
        raise DamagedFile(line, f"the first line must name the columns, and “{missing[0]}” is not "
                                f"among them; it begins “{_short(cells[0])}”.")
    twice = next((name for name in head if name and head.count(name) > 1), None)
    if twice:
        raise DamagedFile(line, f"the column “{_short(twice)}” is there twice.")
    return head


def _row(line: int, cells: dict[str, str], known: set[str]) -> tuple[str, tuple]:
    """One record as a row of the plan's table; DamagedFile says what is wrong with it."""
    key, columns = cells["key"], {column.key: column for column in FIELDS[OWNED].columns}
    if key not in known:
        raise DamagedFile(line, f"your plan's list has no part “{_short(key)}”: leave the first "
                                "column as it came out.")
    have = cells["have"].lower()
    if have not in _YES | _NO:
        raise DamagedFile(line, f"“have” is “{_short(have)}”: write {' or '.join(HAVE)}.")
    try:
        price = columns["price"].read(cells["price"]) if cells.get("price") else None
        note = columns["note"].read(cells["note"]) if cells.get("note") else None
    except Unclear as reason:
        raise DamagedFile(line, str(reason)) from None
    if note and BETWEEN_CELLS in note:
        raise DamagedFile(line, "leave the upright stroke out of the note.")
    return key, (key, YES if have in _YES else NO, price, note)


def _short(text: str) -> str:
    """At most 40 letters of what came in, on one line."""
    clean = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return clean if len(clean) <= 40 else clean[:39] + "…"

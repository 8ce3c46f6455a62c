"""Answers and predictions, kept between sessions in ``progress.json``."""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StrictStr, ValidationError

from rxlearn.plan import plain_json
from rxlearn.store.folder import Store, StoreFault, Unreadable

PROGRESS_NAME = "progress.json"
"""Name of the progress on the store."""

KEPT = 200
"""How many records are kept for each key, the newest."""

LARGEST_RECORD = 4_000
"""Longest record, in characters of JSON."""

LARGEST_TEXT = 3_000_000
"""Longest progress text, in characters; beyond it the older half of each key's records goes."""

FORMAT = "rxlearn progress"
VERSION = 1

_WORD = re.compile(r"[a-z0-9][a-z0-9._/-]{0,99}")


class ProgressFault(ValueError):
    """A record that cannot be kept, and why, in one sentence."""


class _Kept(BaseModel):
    """One record with the time at which it was kept."""

    model_config = ConfigDict(strict=True, extra="allow", frozen=True)

    at: StrictStr
    record: dict[str, Any]


class _Progress(BaseModel):
    """The file: kind (answer, prediction) to key (the question) to records, oldest first."""

    model_config = ConfigDict(strict=True, extra="allow")

    format: Literal["rxlearn progress"] = FORMAT
    version: Literal[1] = VERSION
    records: dict[str, dict[str, list[_Kept]]] = Field(default_factory=dict)


def remember(store: Store, kind: str, key: str, record: dict[str, Any]) -> str:
    """Keep ``record`` as the newest of its ``kind`` (``answer``, ``prediction``) and ``key``.

    ``record`` is JSON-like: text keys; text, finite numbers, truth values,
    None, lists and dicts as values.  Returns a notice, empty unless a damaged
    file had to be set aside.  Raises :class:`ProgressFault` for what cannot be
    kept and :class:`~rxlearn.store.folder.StoreFault` if it cannot be written.
    """
    _check_word(kind)
    _check_word(key)
    kept = _Kept(at=f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ}", record=_plain(record))
    notice = ""

    def add(text: str | None) -> str:
        progress = _Progress() if text is None else _read(text)
        records = progress.records.setdefault(kind, {}).setdefault(key, [])
        records.append(kept)
        del records[:-KEPT]
        return _fitting(progress)

    with store.hold():
        try:
            store.update(PROGRESS_NAME, add)
        except (_Damaged, Unreadable) as fault:
            before = _before(store)
            aside = store.set_aside(PROGRESS_NAME, str(fault))
            notice = (
                f"{PROGRESS_NAME} in {store.place} could not be used and was set aside as "
                f"{aside}; answers go on from the version before it, if there was one. {fault}"
            )
            store.update(PROGRESS_NAME, lambda _: add(before))
    return notice


def recall(store: Store, kind: str, key: str) -> list[dict[str, Any]]:
    """Return the records of this ``kind`` and ``key``, oldest first; empty if there are none.

    Reads the version before it where the file is damaged, which
    :func:`remember` then sets aside; a file that may not be read counts as none.
    """
    _check_word(kind)
    _check_word(key)
    try:
        text = store.read(PROGRESS_NAME)
        progress = _Progress() if text is None else _read(text)
    except (_Damaged, Unreadable):
        text = _before(store)
        progress = _Progress() if text is None else _read(text)
    except StoreFault:
        return []
    return [_floats(kept.record) for kept in progress.records.get(kind, {}).get(key, [])]


def _before(store: Store) -> str | None:
    """The version before a damaged one, None if that is damaged too or of another rxlearn."""
    try:
        text = store.read(f"{PROGRESS_NAME}.previous")
        if text is not None:
            _read(text)
        return text
    except (_Damaged, StoreFault):
        return None


class _Damaged(ValueError):
    """Text that is no progress of this or an earlier version."""


def _read(text: str) -> _Progress:
    try:
        document = plain_json.read(text, largest=2 * LARGEST_TEXT)
    except plain_json.NotReadable as fault:
        raise _Damaged(str(fault)) from None
    if isinstance(document, dict) and document.get("format") == FORMAT:
        version = document.get("version")
        if type(version) is not int:  # True would pass for 1
            raise _Damaged("It must give its version as a whole number.")
        if version > VERSION:
            raise StoreFault(
                f"{PROGRESS_NAME} was written by a newer rxlearn, and has been left as it is: "
                "bring rxlearn up to date to go on keeping answers."
            )
    try:
        return _Progress.model_validate(document)
    except ValidationError:
        raise _Damaged("It is not a list of answers as this workbook keeps them.") from None


def _fitting(progress: _Progress) -> str:
    """Write ``progress``, with the older half of the records gone as often as is needed."""
    while True:
        text = plain_json.write(progress.model_dump(), open_levels=4)
        longest = max(len(of) for kind in progress.records.values() for of in kind.values())
        if len(text) <= LARGEST_TEXT:
            return text
        if longest <= 1:
            raise StoreFault(
                f"{PROGRESS_NAME} has grown too large to keep more: rename it to begin afresh."
            )
        for kind in progress.records.values():
            for records in kind.values():
                del records[: len(records) // 2]


def _check_word(word: str) -> None:
    if not isinstance(word, str) or not _WORD.fullmatch(word):
        raise ProgressFault(
            "A record is kept under a kind and a key of small letters, digits, points, hyphens "
            "and slashes, such as “answer” and “basics/image”."
        )


def _plain(record: dict[str, Any]) -> dict[str, Any]:
    """Bring ``record`` through JSON and back, so that only what can be kept is kept."""
    try:
        if not isinstance(record, dict):
            raise TypeError
        text = plain_json.write(_decimals(record), open_levels=0)
        return plain_json.read(text, largest=LARGEST_RECORD)
    except plain_json.NotReadable as fault:
        raise ProgressFault(f"This record cannot be kept. {fault}") from None
    except (TypeError, ValueError, RecursionError):
        raise ProgressFault(
            "This record cannot be kept: give a dict with text keys that holds only text, finite "
            "numbers, truth values, None, lists and dicts."
        ) from None


def _decimals(node: Any) -> plain_json.Json:
    """Turn floats into decimals of the same digits; raise TypeError or ValueError for the rest."""
    if not isinstance(node, str | dict | list | tuple) and hasattr(node, "item"):
        node = node.item()  # numpy's numbers
    if isinstance(node, float):
        if not math.isfinite(node):
            raise ValueError
        return Decimal(repr(float(node)))
    if node is None or isinstance(node, str | bool | int):
        return node
    if isinstance(node, list | tuple):
        return [_decimals(member) for member in node]
    if isinstance(node, dict) and all(isinstance(name, str) for name in node):
        return {name: _decimals(member) for name, member in node.items()}
    raise TypeError


def _floats(node: Any) -> Any:
    """Turn decimals back into floats."""
    if isinstance(node, Decimal):
        return float(node)
    if isinstance(node, list):
        return [_floats(member) for member in node]
    if isinstance(node, dict):
        return {name: _floats(member) for name, member in node.items()}
    return node

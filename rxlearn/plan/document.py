"""The receiver plan: an immutable value, and the file format in which it is kept.

On disk each value is one line in engineering units::

    "intermediate_frequency": {"value": 3.2768, "unit": "MHz", "status": "wished", "origin": "…"}

In memory it is SI.  Decimal scaling makes the way there and back exact.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from types import MappingProxyType
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, StrictInt, StrictStr, ValidationError

from rxlearn.compute.quantities import PREFIXES, Unclear, parse, show
from rxlearn.plan import plain_json, rules
from rxlearn.plan.field import STATUSES, Cell, Field, Status, Value, clean_text
from rxlearn.plan.fields import FIELDS

FORMAT = "rxlearn receiver plan"
"""Name of the file format, written in every file."""

VERSION = 2
"""Version of the file format.  A new field needs no new version; a new meaning does."""

LARGEST_TEXT = 200_000
"""Longest text, in characters, that is read as a plan."""

DEMO_ORIGIN = "invented for this workbook"
"""Origin of every value of the demo plan."""

LONGEST_ORIGIN = 120


def _with_measured_coil(document: dict) -> dict:
    """Version 1 put the coil as measured in place of the one that was planned.

    Version 2 keeps both, and how well each capacitor was known, which older rows leave blank.
    """
    values = document.get("values")
    coil = values.get("oscillator.inductance") if isinstance(values, dict) else None
    if not (isinstance(coil, dict) and coil.get("status") == "measured"
            and coil.get("origin") == "measured at the bench"):
        return {**document, "version": 2}
    return {**document, "version": 2, "values": {"measured.inductance": coil, **values}}


MIGRATIONS: Mapping[int, Callable[[dict], dict]] = MappingProxyType({1: _with_measured_coil})
"""Version *n* to the function that turns a version-*n* document into version *n* + 1."""


class PlanFault(ValueError):
    """A plan or a change that will not do; ``sentences`` says each fault and its cure."""

    def __init__(self, sentences: Iterable[str]) -> None:
        self.sentences = tuple(sentences)
        super().__init__(" ".join(self.sentences))


class NewerPlan(PlanFault):
    """A plan written by a later rxlearn than this one; the file is not damaged."""


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One value of the plan with what is known about it.

    ``value`` is in SI of ``unit`` (text or int for the other kinds),
    ``origin`` says which lesson or whose hand set it, ``uncertainty`` is the
    half-width in SI of a measured quantity.  ``extra`` are members that a
    newer rxlearn wrote; they are kept as long as the value is.
    """

    value: Value
    unit: str
    status: Status
    origin: str
    uncertainty: float | None = None
    extra: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Change:
    """A new value for one field (SI): its status, its origin and, if known, its uncertainty."""

    value: Value
    status: Status
    origin: str
    uncertainty: float | None = None


@dataclass(frozen=True)
class Plan:
    """The learner's receiver.  Never changes; :meth:`changed` makes another.

    Every field of :data:`~rxlearn.plan.fields.FIELDS` has an entry, and the
    entries keep the rules of :mod:`rxlearn.plan.rules`.  Make one with
    :meth:`demo` or :meth:`from_text`.
    """

    entries: Mapping[str, Entry]
    unknown_values: Mapping[str, Any] = field(default_factory=dict)
    unknown_members: Mapping[str, Any] = field(default_factory=dict)

    __hash__ = None

    @classmethod
    def demo(cls) -> Plan:
        """Return the demo plan, a receiver invented for this workbook."""
        return cls(MappingProxyType({key: _demo_entry(row) for key, row in FIELDS.items()}))

    def entry(self, key: str) -> Entry:
        """Return what the plan holds for ``key``: value, unit, status, origin, uncertainty."""
        try:
            return self.entries[key]
        except KeyError:
            raise KeyError(f"The plan has no field “{plain_json.in_a_line(key)}”.") from None

    def value(self, key: str) -> Value:
        """Return the value for ``key``: SI float, int (a count, the region) or text."""
        return self.entry(key).value

    def shown(self, key: str) -> str:
        """Return the value for ``key`` as people read it, such as ``3.2768 MHz``."""
        return FIELDS[key].show(self.entry(key).value)

    def changed(self, changes: Mapping[str, Change]) -> Plan:
        """Return this plan with ``changes``, checked as a whole.

        Raises :class:`PlanFault` that lists every fault, each in one sentence
        that says what to change.
        """
        entries, faults = dict(self.entries), []
        for key, change in changes.items():
            try:
                entries[key] = _changed_entry(key, change)
            except PlanFault as fault:
                faults += fault.sentences
        if not faults:
            faults = rules.faults({key: entry.value for key, entry in entries.items()})
        if faults:
            raise PlanFault(faults)
        return Plan(MappingProxyType(entries), self.unknown_values, self.unknown_members)

    def to_text(self) -> str:
        """Return the plan as the text of its file."""
        values = {key: _written_entry(FIELDS[key], entry) for key, entry in self.entries.items()}
        return plain_json.write({
            "format": FORMAT, "version": VERSION, **self.unknown_members,
            "values": {**values, **self.unknown_values},
        })

    @classmethod
    def from_text(cls, text: str) -> Plan:
        """Read the text of a plan file.

        Fields that the text lacks get their demo values; members that this
        version does not know are kept and written back.  Raises
        :class:`NewerPlan` for a later version of the format and
        :class:`PlanFault`, which lists every fault, for all else that will not do.
        """
        if not isinstance(text, str):
            raise PlanFault(["A receiver plan is read from text: give the text of its file."])
        try:
            document = plain_json.read(text, largest=LARGEST_TEXT)
        except plain_json.NotReadable as fault:
            raise PlanFault([f"This is not a receiver plan. {fault}"]) from None
        file = _File.of(migrated(document))
        entries, faults = {}, []
        for key, row in FIELDS.items():
            try:
                entries[key] = (
                    _read_entry(row, file.values[key]) if key in file.values else _demo_entry(row)
                )
            except PlanFault as fault:
                faults += fault.sentences
        if not faults:
            faults = rules.faults({key: entry.value for key, entry in entries.items()})
        if faults:
            raise PlanFault(faults)
        unknown = {key: node for key, node in file.values.items() if key not in FIELDS}
        return cls(MappingProxyType(entries), unknown, file.model_extra)


def migrated(
    document: Any,
    *,
    migrations: Mapping[int, Callable[[dict], dict]] = MIGRATIONS,
    version: int = VERSION,
) -> dict:
    """Bring a parsed plan document of any older version to ``version``.

    Raises :class:`NewerPlan` for a later version, :class:`PlanFault` for what
    is no plan document or of a version that has no migration.
    """
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise PlanFault([
            f"This is not a receiver plan: it should say \"format\": \"{FORMAT}\" near the top."
        ])
    given = document.get("version")
    if isinstance(given, bool) or not isinstance(given, int):
        raise PlanFault([f"The plan must give its version as a whole number, such as {version}."])
    if given > version:
        raise NewerPlan([
            f"This plan has version {given} of the format and was written by a newer rxlearn; "
            f"this one reads up to version {version}: bring rxlearn up to date. "
            "The file has been left as it is."
        ])
    while given < version:
        if given not in migrations:
            raise PlanFault([
                f"There has never been a version {given} of the plan: write {version}."
            ])
        document = migrations[given](document)
        given += 1
    return {**document, "version": version}


class _Entry(BaseModel):
    """The members of one value in the file."""

    model_config = ConfigDict(strict=True, extra="allow", frozen=True)

    value: StrictInt | Decimal | StrictStr | list[dict[str, Any]]
    unit: StrictStr = ""
    status: Literal["wished", "computed", "measured"]
    origin: StrictStr
    uncertainty: StrictInt | Decimal | None = None


class _File(BaseModel):
    """The members of the file."""

    model_config = ConfigDict(strict=True, extra="allow", frozen=True)

    format: Literal["rxlearn receiver plan"]
    version: Literal[2]
    values: dict[str, Any]

    @classmethod
    def of(cls, document: dict) -> _File:
        """Check the outer members; raise PlanFault with a sentence for each that is wrong."""
        try:
            return cls.model_validate(document)
        except ValidationError as error:
            raise PlanFault(_sentences("The plan", error)) from None


_WANTED = {
    "value": "a number, a text or a list of rows in braces",
    "unit": "a unit in quotes, such as \"MHz\"",
    "status": "one of " + ", ".join(f"\"{status}\"" for status in STATUSES),
    "origin": "a text that says who set the value",
    "uncertainty": "a number in the unit of the value, or left out",
    "values": "a list of fields in braces",
}


def _sentences(subject: str, error: ValidationError) -> list[str]:
    """One sentence for each member that a pydantic model refused."""
    places = [fault["loc"] for fault in error.errors()]
    members = dict.fromkeys(str(place[0]) if place else "" for place in places)
    return [
        f"{subject}: “{member}” must be {_WANTED[member]}." if member in _WANTED
        else f"{subject} must be written in braces, with a value, a status and an origin."
        for member in members
    ]


def _demo_entry(row: Field) -> Entry:
    return Entry(value=row.demo, unit=row.unit, status=row.demo_status, origin=DEMO_ORIGIN)


def _changed_entry(key: str, change: Change) -> Entry:
    """Check one change; raise PlanFault with every fault of it."""
    row = FIELDS.get(key)
    if row is None:
        raise PlanFault([
            f"The plan has no field “{plain_json.in_a_line(key)}”: choose one that it has."
        ])
    if not isinstance(change, Change):
        raise PlanFault([f"{row.label}: give a Change with its value, status and origin."])
    return _checked_entry(row, change.value, change.status, change.origin, change.uncertainty)


def _checked_entry(
    row: Field, value: object, status: object, origin: object, uncertainty: object
) -> Entry:
    faults = []
    try:
        value = row.check(value)
    except Unclear as fault:
        faults.append(str(fault))
    if not isinstance(status, str) or status not in STATUSES:
        faults.append(f"{row.label}: “status” must be {_WANTED['status']}.")
    try:
        origin = clean_text(origin, f"{row.label}, origin", LONGEST_ORIGIN)
        uncertainty = _checked_uncertainty(row, uncertainty)
    except Unclear as fault:
        faults.append(str(fault))
    if faults:
        raise PlanFault(faults)
    return Entry(
        value=value, unit=row.unit, status=status, origin=origin, uncertainty=uncertainty
    )


def _checked_uncertainty(row: Field, uncertainty: object) -> float | None:
    if uncertainty is None:
        return None
    if row.kind != "quantity":
        raise Unclear(f"{row.label} is not measured on a scale: leave its uncertainty out.")
    numeric = isinstance(uncertainty, int | float) and not isinstance(uncertainty, bool)
    if not (numeric and 0 <= uncertainty <= row.range.high):
        raise Unclear(
            f"{row.label}: the uncertainty must be from 0 to {show(row.range.high, row.unit)}."
        )
    return float(uncertainty) + 0.0


def _read_entry(row: Field, node: Any) -> Entry:
    """Read one value of the file; raise PlanFault that says what is wrong with it."""
    try:
        given = _Entry.model_validate(node)
    except ValidationError as error:
        raise PlanFault(_sentences(row.label, error)) from None
    value, uncertainty = given.value, given.uncertainty
    if row.kind == "quantity":
        if isinstance(value, str):
            raise PlanFault([
                f"{row.label}: write the number without quotes and the unit beside it, "
                f"such as {_number_example(row)}."
            ])
        try:
            value = _si(row, value, given.unit)
            uncertainty = None if uncertainty is None else _si(row, uncertainty, given.unit)
        except Unclear as fault:
            raise PlanFault([str(fault)]) from None
    elif given.unit:
        raise PlanFault([f"{row.label} has no unit: leave the unit out."])
    elif row.kind == "table":
        value = _read_rows(row, value)
    entry = _checked_entry(row, value, given.status, given.origin, uncertainty)
    return replace(entry, extra=given.model_extra)


def _read_rows(row: Field, nodes: Any) -> list[tuple[Any, ...]]:
    """Read the rows of a table: each cell by its name, a quantity as text with its unit."""
    if not isinstance(nodes, list):
        raise PlanFault([f"{row.label} must be a list of rows, each in braces."])
    names = [column.key for column in row.columns]
    rows = []
    for number, node in enumerate(nodes, start=1):
        if unknown := [name for name in node if name not in names]:
            raise PlanFault([
                f"{row.label}, row {number}: “{plain_json.in_a_line(unknown[0])}” is no cell of it; "
                f"write {', '.join(names)}."
            ])
        try:
            rows.append(tuple(_read_cell(column, node.get(column.key)) for column in row.columns))
        except Unclear as fault:
            raise PlanFault([f"{row.label}, row {number}: {fault}"]) from None
    return rows


def _read_cell(column: Field, given: Any) -> Any:
    """One cell as the file has it; a number without its unit is refused."""
    if column.kind != "quantity" or given is None:
        return given
    if not isinstance(given, str):
        raise Unclear(f"{column.label} must stand in quotes with its unit: {column.range.says}.")
    return column.range.parse(given)


def _si(row: Field, number: int | Decimal, unit: str) -> float:
    """Bring a number of the file to SI, exactly."""
    return parse(f"{number} {unit}", row.unit, name=row.label)


def _number_example(row: Field) -> str:
    member = _written_entry(row, _demo_entry(row))
    return plain_json.write({name: member[name] for name in member if name in ("value", "unit")},
                            open_levels=0).strip()


def _written_entry(row: Field, entry: Entry) -> dict[str, Any]:
    """The members of one value, a quantity in the engineering unit that suits it."""
    rest = {"status": entry.status, "origin": entry.origin}
    if row.kind == "table":
        rows = [
            {column.key: _written_cell(column, cell)
             for column, cell in zip(row.columns, cells, strict=True) if cell is not None}
            for cells in entry.value
        ]
        return {"value": rows, **rest, **entry.extra}
    if row.kind != "quantity":
        return {"value": entry.value, **rest, **entry.extra}
    unit = show(entry.value, row.unit).partition(" ")[2]
    power = PREFIXES[unit.removesuffix(row.unit)] if row.unit else 0
    members = {"value": _scaled(entry.value, power)}
    if unit:
        members["unit"] = unit
    if entry.uncertainty is not None:
        members["uncertainty"] = _scaled(entry.uncertainty, power)
    return {**members, **rest, **entry.extra}


def _written_cell(column: Field, cell: Cell) -> int | str:
    """One cell of a table: a quantity as exact text with its engineering unit."""
    if column.kind != "quantity":
        return cell
    unit = show(cell, column.unit).partition(" ")[2]
    power = PREFIXES[unit.removesuffix(column.unit)] if column.unit else 0
    return f"{_scaled(cell, power):f} {unit}".strip()


def _scaled(value: float, power: int) -> int | Decimal:
    """``value`` in units of ten to the ``power``, exact and without idle zeros."""
    number = Decimal(repr(value)).scaleb(-power).normalize()
    return int(number) if number == number.to_integral_value() else number

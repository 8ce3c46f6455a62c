"""The parts list: computed from the plan, one line for each distinct part, with what is at hand.

Equal parts make one line.  Resistors are told apart by value and watts; capacitors by value
alone, bought with the highest rating that any of their places asks for, so that nobody can put
the weaker one into the wrong place.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from rxlearn.compute.quantities import show
from rxlearn.data.parts_trade import EASY, ELECTROLYTIC_MARGIN, FILM_MARGIN, HOLDING, TRADE
from rxlearn.plan.document import Plan
from rxlearn.plan.part_limits import Unfit, unfit_parts
from rxlearn.plan.parts_fields import CURRENCY, OWNED, YES
from rxlearn.plan.parts_hardware import hardware_uses
from rxlearn.plan.parts_supply import (
    coil_uses,
    converter_uses,
    supply_uses,
    tuning_uses,
    valve_uses,
    worst_voltage,
)
from rxlearn.plan.parts_uses import PartUse, circuit_uses

ORDER = tuple(TRADE)
"""Kinds in the order in which the list has them."""

ELECTRICAL, HOLDS = "circuits", "what holds it together"
"""The two groups of the list."""

LONGEST_KEY = 80


@dataclass(frozen=True, kw_only=True)
class PlannedPart:
    """One line of the list.

    ``key`` names it in the plan and in files: it holds no voltage, as it may be shown anywhere.
    ``kind`` is a key of the trade's table; ``what``, ``value`` and ``rating`` are words (``volts``
    V where it is one); ``where`` its places; ``quantity`` is zero for what is not yet to be bought, and
    then ``where`` says why; ``amount`` the SI value where there is one.  ``ease``, ``reason`` and
    ``removes`` are the trade's.  ``have``, ``price`` (of one) and ``remark`` are the
    learner's.  ``why`` is the sum behind a rating, where there is one; ``unfit`` what stands against it.
    """

    key: str
    kind: str
    what: str
    value: str
    rating: str
    quantity: int
    where: tuple[str, ...]
    amount: float | None
    volts: float | None
    notes: tuple[str, ...]
    why: str = ""
    unfit: tuple[Unfit, ...] = ()
    have: bool = False
    price: float | None = None
    remark: str = ""

    @property
    def ease(self) -> str:
        """How it is found: easy, hard, or no longer made."""
        return TRADE[self.kind].ease

    @property
    def group(self) -> str:
        """:data:`ELECTRICAL` or :data:`HOLDS`."""
        return HOLDS if self.kind in HOLDING else ELECTRICAL

    @property
    def reason(self) -> str:
        """Why it is as easy or hard as that."""
        return TRADE[self.kind].reason

    @property
    def removes(self) -> str:
        """What removes the obstacle when it is missing."""
        return TRADE[self.kind].removes

    @property
    def limits(self) -> str:
        """That it is not to be bought as it stands, and what it needs instead; empty if it will do."""
        kinds = dict.fromkeys(one.against for one in self.unfit)
        said = [f"{kind} for this plan: " + "; ".join(dict.fromkeys(
            one.words for one in self.unfit if one.against == kind)) for kind in kinds]
        return f"{'; '.join(said)}, see “What is missing” on the sheet" if said else ""

    @property
    def rated(self) -> str:
        """Its rating, and that it is too small where it is."""
        return "; ".join(filter(None, (self.rating, self.limits)))

    @property
    def name(self) -> str:
        """What it is, with its value."""
        return f"{self.what}, {self.value}"

    @property
    def cost(self) -> float | None:
        """Price of all pieces; None where no price is known."""
        return None if self.price is None else self.price * self.quantity


def uses_of(plan: Plan) -> tuple[PartUse, ...]:
    """Every place where a part goes."""
    worst = worst_voltage(plan)
    found = (*circuit_uses(plan, worst), *coil_uses(plan), *tuning_uses(plan), *valve_uses(plan),
             *supply_uses(plan, worst), *converter_uses(plan))
    return (*found, *hardware_uses(plan, found, worst))


def hot_resistors(plan: Plan) -> tuple[PartUse, ...]:
    """The resistors through which a direct current flows, the hottest first; one for each place."""
    found = (use for use in uses_of(plan) if use.kind == "resistor" and use.current)
    return tuple(sorted(found, key=lambda use: -use.current**2 * use.amount))


def parts_of(plan: Plan) -> tuple[PlannedPart, ...]:
    """The lines of the list in the order of their kinds.

    A scheme that cannot work still has parts, rated “not known” where need be; Unclear is raised
    only where a circuit's own numbers are out of all range.
    """
    grouped: dict[str, list[PartUse]] = {}
    for use in uses_of(plan):
        grouped.setdefault(_key(use), []).append(use)
    owned = {key: row for key, *row in plan.value(OWNED)}
    unfit = unfit_parts(plan)
    lines = [_with_owned(_line(key, uses, unfit), owned.get(key)) for key, uses in grouped.items()]
    return tuple(sorted(lines, key=lambda part: (
        ORDER.index(part.kind), part.what, part.amount or 0.0, part.key)))


def strangers(plan: Plan, parts: Iterable[PlannedPart]) -> tuple[str, ...]:
    """Keys in the plan's table of parts at hand that the list does not have (any more)."""
    known = {part.key for part in parts}
    return tuple(row[0] for row in plan.value(OWNED) if row[0] not in known)


def _key(use: PartUse) -> str:
    watts = f" {show(use.watts, 'W', prefix='')}" if use.watts else ""
    return f"{use.what} {use.value}{watts}".replace("|", "/")[:LONGEST_KEY].strip()


def _line(key: str, uses: list[PartUse], unfit: Mapping[str, tuple[Unfit, ...]]) -> PlannedPart:
    first, volts = uses[0], [use.volts for use in uses if use.volts]
    highest = max(volts, default=None)
    notes = [use.note for use in uses if use.note]
    if first.watts:
        rating = show(first.watts, "W", prefix="")
    elif highest and not any(use.rating for use in uses):
        rating = show(highest, "V", prefix="")
        weaker = sum(use.count for use in uses if (use.volts or 0.0) < highest)
        if weaker:
            several = sum(use.count for use in uses)
            notes.append(f"{first.value} {first.what}: {weaker} of the {several} could have a lower "
                         "rating.")
    else:
        rating = next((use.rating for use in uses if use.rating), "")
    return PlannedPart(
        key=key, kind=first.kind, what=first.what, value=first.value, rating=rating,
        quantity=sum(use.count for use in uses), where=_places(uses), amount=first.amount,
        volts=highest, notes=tuple(dict.fromkeys(notes)), why=first.why or _why(uses, highest),
        unfit=_against(uses, unfit))


def _against(uses: list[PartUse], unfit: Mapping[str, tuple[Unfit, ...]]) -> tuple[Unfit, ...]:
    """What stands against the part at any of its places, but for what only holds another one there."""
    places = [use.where for use in uses if use.kind not in ("socket", *HOLDING)]
    return tuple(dict.fromkeys(one for place in places for one in unfit.get(place, ())))


def _why(uses: list[PartUse], highest: float | None) -> str:
    """The sum behind a capacitor's rating: what it meets in the worst of its places, and the margin."""
    met = max((use.met for use in uses if use.met is not None), default=None)
    if highest is None or met is None:
        return ""
    if met < 1.0:
        return (f"No direct voltage to speak of lies across it: {show(highest, 'V', prefix='')}, the lowest "
                "rating sold, does.")
    margin = ELECTROLYTIC_MARGIN if uses[0].kind == "electrolytic" else FILM_MARGIN
    return (f"It meets up to {show(met, 'V', digits=3, prefix='')}; {margin:g} times that is "
            f"{show(margin * met, 'V', digits=3, prefix='')}, and {show(highest, 'V', prefix='')} is the next "
            "rating sold.")


def _places(uses: list[PartUse]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(use.where for use in uses))


def _with_owned(part: PlannedPart, row: list | None) -> PlannedPart:
    if row is None:
        return part
    have, price, note = row
    return replace(part, have=have == YES, price=price, remark=note or "")


@dataclass(frozen=True)
class Budget:
    """Sums over the list, in ``currency``: prices are the learner's own.

    ``spent`` is what the parts at hand cost, ``to_spend`` what the missing ones will, as far as
    prices are known; ``unpriced`` counts missing lines without a price, ``missing`` the lines and
    ``pieces`` the pieces still to find, ``lines`` all lines.
    """

    currency: str
    lines: int
    spent: float
    to_spend: float
    unpriced: int
    missing: int
    pieces: int

    @property
    def total(self) -> float:
        """What all priced lines cost, spent or not."""
        return self.spent + self.to_spend


def budget_of(plan: Plan, parts: tuple[PlannedPart, ...]) -> Budget:
    """Add up what ``parts`` cost and what is missing of them."""
    parts = tuple(part for part in parts if part.quantity)
    missing = [part for part in parts if not part.have]
    return Budget(
        plan.value(CURRENCY), len(parts), sum(part.cost or 0.0 for part in parts if part.have),
        sum(part.cost or 0.0 for part in missing), sum(part.price is None for part in missing),
        len(missing), sum(part.quantity for part in missing))


def hard_to_find(parts: Iterable[PlannedPart]) -> tuple[PlannedPart, ...]:
    """What is to be bought, not at hand and not easily found."""
    return tuple(part for part in parts if part.quantity and not part.have and part.ease != EASY)

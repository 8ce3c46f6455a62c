"""The receiver plan on the store: loaded with a word on what was found, saved by changes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rxlearn.plan.document import Change, NewerPlan, Plan, PlanFault
from rxlearn.plan.fields import FIELDS
from rxlearn.store.folder import Store, StoreFault, Unreadable

PLAN_NAME = "receiver-plan.json"
"""Name of the plan on the store."""

_PREVIOUS = f"{PLAN_NAME}.previous"
_SHOWING_DEMO = "Until then you see the demo plan, invented for this workbook."


@dataclass(frozen=True)
class Loaded:
    """The plan and a notice for the learner (empty if there is nothing to say)."""

    plan: Plan
    notice: str


@dataclass(frozen=True)
class Saved:
    """The plan as it now stands on the store, and a notice (empty if there is nothing to say)."""

    plan: Plan
    notice: str


@dataclass(frozen=True)
class Clash:
    """One field that was changed in two places, with its values as people read them."""

    key: str
    label: str
    seen: str
    elsewhere: str
    wanted: str


class Conflict(ValueError):
    """A field to be saved was changed elsewhere meanwhile; nothing was saved.

    ``clashes`` names the values; ``plan`` is what stands on the store now, to
    be shown and used as ``seen`` when the learner has chosen again.
    """

    def __init__(self, clashes: tuple[Clash, ...], plan: Plan) -> None:
        self.clashes, self.plan = clashes, plan
        super().__init__(" ".join(
            f"{clash.label} was changed in another notebook from {clash.seen} to "
            f"{clash.elsewhere} while you chose {clash.wanted}: look at both and choose again."
            for clash in clashes
        ))


@dataclass(frozen=True)
class _Found:
    """What stands on the store: the plan if there is one, and whether it may be written over."""

    plan: Plan | None
    notice: str = ""
    writable: bool = True


def load_plan(store: Store) -> Loaded:
    """Return the learner's plan, or the demo plan with a notice that says why.

    A damaged plan is set aside, and named in the notice; the version before it
    takes its place if that one is good.  A plan of a newer rxlearn is left as it is.
    """
    try:
        found = _find(store)
    except (NewerPlan, StoreFault) as fault:
        return Loaded(Plan.demo(), f"{fault} {_SHOWING_DEMO}")
    if found.plan is not None:
        return Loaded(found.plan, found.notice)
    notice = found.notice or "You have no receiver plan yet."
    return Loaded(
        Plan.demo(),
        f"{notice} You see the demo plan, invented for this workbook; what you save makes it "
        f"yours, kept in {store.place}.",
    )


def save_changes(store: Store, changes: Mapping[str, Change], seen: Plan) -> Saved:
    """Apply ``changes``, and nothing else, to the plan that stands on the store now.

    ``seen`` is the plan that the learner had before them.  Fields that another
    notebook changed meanwhile are kept.  Raises :class:`Conflict` if one of the
    same fields was changed, :class:`~rxlearn.plan.document.PlanFault` if the
    outcome will not do, :class:`~rxlearn.store.folder.StoreFault` if it cannot
    be written; the store then holds what it held.
    """
    with store.hold():
        found = _find(store)
        if not found.writable:
            raise StoreFault(f"{found.notice} Nothing was saved.")
        base = seen if found.plan is None else found.plan
        plan = base.changed(changes)
        clashes = tuple(_clashes(changes, seen, base))
        if clashes:
            raise Conflict(clashes, base)
        text = plan.to_text()
        Plan.from_text(text)  # never write what could not be read back
        store.update(PLAN_NAME, lambda _: text)
    return Saved(plan, found.notice)


def _clashes(changes: Mapping[str, Change], seen: Plan, now: Plan):
    for key, change in changes.items():
        before, elsewhere = seen.entry(key), now.entry(key)
        if (before.value, before.status) == (elsewhere.value, elsewhere.status):
            continue
        row = FIELDS[key]
        wanted = row.check(change.value)
        if (wanted, change.status) != (elsewhere.value, elsewhere.status):
            yield Clash(
                key, row.label,
                *(f"{row.show(value)} ({status})" for value, status in (
                    (before.value, before.status), (elsewhere.value, elsewhere.status),
                    (wanted, change.status),
                )),
            )


def _find(store: Store) -> _Found:
    """Read the plan; mend what can be mended.  Raises NewerPlan, and StoreFault if unreadable."""
    try:
        text = store.read(PLAN_NAME)
        if text is not None:
            return _Found(Plan.from_text(text))
        if store.read(_PREVIOUS) is None:
            return _Found(None)
    except NewerPlan:
        raise
    except (PlanFault, Unreadable):
        pass  # mended below, in turn with other writers and read afresh
    try:
        with store.hold():
            return _mend(store, writable=True)
    except StoreFault:
        return _mend(store, writable=False)


def _mend(store: Store, *, writable: bool) -> _Found:
    """Set aside what is damaged and bring back the version before it."""
    notices = []
    for name in (PLAN_NAME, _PREVIOUS):
        try:
            text = store.read(name)
            plan = None if text is None else Plan.from_text(text)
        except NewerPlan:
            if name == _PREVIOUS and writable:
                store.update(PLAN_NAME, lambda _, text=text: text)
            raise
        except (PlanFault, Unreadable) as fault:
            writable = _put_aside(store, name, fault, notices, writable)
            continue
        if plan is None:
            continue
        if name == _PREVIOUS:
            if writable:
                store.update(PLAN_NAME, lambda _, text=text: text)
            missing = "" if notices else f"{PLAN_NAME} is missing from {store.place}. "
            notices.append(
                f"{missing}The version before its last change is used instead; "
                f"to begin afresh, remove {PLAN_NAME} and {_PREVIOUS}."
            )
        return _Found(plan, " ".join(notices), writable)
    return _Found(None, " ".join(notices), writable)


def _put_aside(
    store: Store, name: str, fault: ValueError, notices: list[str], writable: bool
) -> bool:
    """Move a damaged file and note it in ``notices``; return whether the place is free now."""
    if writable:
        try:
            aside = store.set_aside(name, str(fault))
        except StoreFault as hindrance:
            notices.append(str(hindrance))
        else:
            notices.append(
                f"{name} in {store.place} could not be used and was set aside as {aside}. {fault}"
            )
            return True
    notices.append(f"{name} in {store.place} cannot be used and could not be set aside. {fault}")
    return False

"""What all panels of one kernel share: where things are kept, and which panel a cell has open.

One desk belongs to one kernel and hangs on its shell, so the library itself
holds no state.  Running a cell again closes the panel that it had opened.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from IPython import get_ipython

from rxlearn.bench.gate import Gate
from rxlearn.plan.document import Change, Plan, PlanFault
from rxlearn.store import desk as shelf
from rxlearn.store import progress
from rxlearn.store.folder import Store, StoreFault, open_store


class Desk:
    """The learner's store as the panels use it, with one sentence where it fails.

    ``notice`` is what should be said about the plan as last read (a damaged
    file set aside, for instance), or an empty text.
    """

    def __init__(self, store: Store | None = None) -> None:
        self.store = store or open_store()
        self.notice = ""
        self.gate = Gate()
        self._open: dict[tuple[str, str], Any] = {}
        self._plan_watchers: list[Callable[[], None]] = []

    def plan(self) -> Plan:
        """The receiver plan as it is on disk now."""
        loaded = shelf.load_plan(self.store)
        self.notice = loaded.notice or ""
        return loaded.plan

    def watch_plan(self, listener: Callable[[], None]) -> None:
        """Call the bound method ``listener`` whenever another panel here has saved the plan."""
        self._plan_watchers.append(listener)

    def unwatch_plan(self, listener: Callable[[], None]) -> None:
        """Call ``listener`` no more."""
        if listener in self._plan_watchers:
            self._plan_watchers.remove(listener)

    def plan_saved(self, by: object) -> None:
        """Tell all who watch, but not the panel ``by`` itself, that the plan has been saved."""
        for listener in list(self._plan_watchers):
            if getattr(listener, "__self__", None) is not by:
                listener()

    def save(
        self, changes: Mapping[str, Change], *, seen: Plan, by: object, said: str = "Saved."
    ) -> tuple[Plan, tuple[str, str]]:
        """Put ``changes`` into the plan that was ``seen``, and tell who watches, but not ``by``.

        Returns the plan to go on with, and what to say in which tone: "good" once it is saved
        (``said``), "ask" where another notebook saved meanwhile, "bad" where nothing could be.
        """
        try:
            saved = shelf.save_changes(self.store, changes, seen=seen)
        except shelf.Conflict as clash:
            return clash.plan, (str(clash), "ask")
        except (StoreFault, PlanFault) as problem:
            return seen, (f"Nothing was saved. {problem}", "bad")
        self.plan_saved(by)
        return saved.plan, (f"{said} {saved.notice}".strip(), "good")

    def recall(self, kind: str, key: str) -> list[dict]:
        """The records kept under ``kind`` and ``key``, oldest first."""
        return progress.recall(self.store, kind, key)

    def remember(self, kind: str, key: str, record: dict) -> str:
        """Keep ``record``; return an empty text, or a sentence: why it is not kept, or what befell."""
        try:
            return progress.remember(self.store, kind, key, record)
        except (OSError, ValueError) as problem:
            return f"This is not kept: {problem}"

    def tick(self, statement: str, on: bool = True) -> None:
        """Tick (or untick) a statement of the safety list by its key, for this kernel only."""
        self.gate.tick(statement, on)

    @property
    def cleared(self) -> bool:
        """Whether the whole safety list is ticked, so that high voltages may be shown."""
        return self.gate.cleared

    def place(self, name: str, make: Callable[[], Any]) -> Any:
        """Close what this cell had open under ``name``, then ``make()`` and note its successor."""
        spot = (_cell_id(), name)
        old = self._open.pop(spot, None)
        if old is not None:
            old.close()
        self._open[spot] = made = make()
        return made


def the_desk() -> Desk:
    """This kernel's desk; outside a kernel, a new one."""
    shell = get_ipython()
    if shell is None:
        return Desk()
    if not hasattr(shell, "_rxlearn_desk"):
        shell._rxlearn_desk = Desk()
    return shell._rxlearn_desk


def _cell_id() -> str:
    """The id of the cell that is running, or an empty text where there is none."""
    kernel = getattr(get_ipython(), "kernel", None)
    if kernel is None:
        return ""
    parent = kernel.get_parent("shell") or {}
    return str(parent.get("metadata", {}).get("cellId", ""))

"""What a cell shows: an object of ours with one panel in the page."""

from __future__ import annotations

from rxlearn.bench.desk import Desk
from rxlearn.bench.panel import Panel


class Shown:
    """Something that stands in a cell as its ``panel``, which a subclass makes."""

    panel: Panel

    def close(self) -> None:
        """Take the panel out of the page."""
        self.panel.close()

    def _ipython_display_(self) -> None:
        from IPython.display import display

        display(self.panel)

    def __repr__(self) -> str:
        return repr(self.panel)


class FollowsPlan(Shown):
    """One whose panel is laid out anew whenever another panel here has saved the plan.

    A subclass makes its ``panel`` in ``__init__`` and ends with :meth:`_follow`.
    """

    desk: Desk

    def _follow(self, desk: Desk) -> None:
        self.desk = desk
        self._lay_out()
        desk.watch_plan(self._lay_out)

    def _lay_out(self) -> None:
        """Put the parts for the plan as it is now into the panel."""
        raise NotImplementedError

    def close(self) -> None:
        """Take the panel out of the page."""
        self.desk.unwatch_plan(self._lay_out)
        super().close()

"""What a cell shows: an object of ours with one panel in the page."""

from __future__ import annotations

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

"""A shelf in memory, a kernel that says which cell runs, and a page that sends messages."""

from __future__ import annotations

import pytest

from rxlearn import bench
from rxlearn.bench import desk as desk_module
from rxlearn.bench.desk import Desk
from rxlearn.plan.document import Change, Plan
from rxlearn.store import desk as shelf
from rxlearn.store.folder import MemoryStore
from tests.bench.toy import Shell


@pytest.fixture
def store():
    return MemoryStore()


@pytest.fixture
def shell(store, monkeypatch):
    """A kernel whose desk uses ``store``; a new session is a new shell with a desk on it."""
    shell = Shell()
    shell._rxlearn_desk = Desk(store)
    monkeypatch.setattr(desk_module, "get_ipython", lambda: shell)
    return shell


@pytest.fixture
def desk(shell):
    return shell._rxlearn_desk


@pytest.fixture
def planned(shell):
    """A function that puts changes into the plan and opens a figure with it, controls awake."""

    def open_with(figure, changes):
        wished = {key: Change(value=value, status="wished", origin="test")
                  for key, value in changes.items()}
        shell._rxlearn_desk = Desk(MemoryStore())
        shelf.save_changes(shell._rxlearn_desk.store, wished, Plan.demo())
        opened = getattr(bench, figure)()
        if opened.guess is None:
            opened.press("skip")
        return opened

    return open_with


class Page:
    """What the browser does to a panel, and whatever else could come that way."""

    def tell(self, panel, content):
        """Send a message of our own kind."""
        panel._handle_msg({
            "content": {"data": {"method": "custom", "content": content}}, "buffers": [],
        })

    def turn(self, panel, turned):
        """Set what the sliders set."""
        panel._handle_msg({
            "content": {"data": {"method": "update", "state": {"turned": turned},
                                 "buffer_paths": []}},
            "buffers": [],
        })


@pytest.fixture
def page(caplog):
    """A page; the widget library turns what escapes our code into a warning, which fails here."""
    yield Page()
    swallowed = [record for record in caplog.get_records("call") if record.name == "traitlets"]
    assert not swallowed, swallowed[0].getMessage()

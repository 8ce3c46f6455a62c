"""The websocket setting: put in, left out on request, harmless when it cannot work."""

from __future__ import annotations

import logging
from types import SimpleNamespace

import pytest
from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection

from rxlearn import server
from rxlearn.server import websocket

SETTING = "kernel_websocket_connection_class"


class Connection:
    """A stand-in for the server's own connection class."""

    log = logging.getLogger("a server")

    def __init__(self, handler):
        self.websocket_handler = handler

    def connect(self):
        return "connected"


def serverapp(**web_settings):
    hooks = []
    return SimpleNamespace(
        web_app=SimpleNamespace(settings=web_settings),
        kernel_websocket_connection_class=ZMQChannelsWebsocketConnection,
        contents_manager=SimpleNamespace(register_pre_save_hook=hooks.append),
        log=logging.getLogger("a server"),
        hooks=hooks,
    )


def test_a_connection_switches_the_delay_off_and_then_connects():
    asked = []
    handler = SimpleNamespace(set_nodelay=asked.append)
    assert websocket.without_delay(Connection)(handler).connect() == "connected"
    assert asked == [True]


def test_a_connection_that_keeps_its_delay_still_connects(caplog):
    def refuse(_):
        raise OSError("no such option")

    handler = SimpleNamespace(set_nodelay=refuse)
    assert websocket.without_delay(Connection)(handler).connect() == "connected"
    assert "no such option" in caplog.text


@pytest.mark.parametrize("chosen", [{SETTING: Connection}, {}])
def test_the_servers_own_choice_stays_the_parent(chosen, monkeypatch):
    monkeypatch.delenv("RXLEARN_WEBSOCKET", raising=False)
    app = serverapp(**chosen)
    server._load_jupyter_server_extension(app)
    made = app.web_app.settings[SETTING]
    assert issubclass(made, chosen.get(SETTING, ZMQChannelsWebsocketConnection))
    assert made.__name__ == "PromptWebsocketConnection"
    assert len(app.hooks) == 1


def test_plain_leaves_the_servers_class(monkeypatch):
    monkeypatch.setenv("RXLEARN_WEBSOCKET", "plain")
    app = serverapp(**{SETTING: Connection})
    server._load_jupyter_server_extension(app)
    assert app.web_app.settings[SETTING] is Connection
    assert len(app.hooks) == 1


def test_a_server_of_another_make_is_only_told(caplog, monkeypatch):
    monkeypatch.delenv("RXLEARN_WEBSOCKET", raising=False)
    app = SimpleNamespace(log=logging.getLogger("a server"))
    server._load_jupyter_server_extension(app)
    assert caplog.text.count("lessons work without it") == 2


def test_jupyter_finds_the_extension():
    [point] = server._jupyter_server_extension_points()
    assert point == {"module": "rxlearn.server"}

"""Send the kernel's small messages at once.

By default the system holds a small packet back until the one before it is
acknowledged, about 40 ms in a slider drag on Linux, which caps every live
figure at some twenty pictures a second.  Switching that off is one call.
"""

from __future__ import annotations

_SETTING = "kernel_websocket_connection_class"


def send_at_once(serverapp) -> None:
    """Make ``serverapp`` open kernel websockets without the delay.

    The class that the server would use, its user's own choice included, stays
    the parent.
    """
    settings = serverapp.web_app.settings
    parent = settings.get(_SETTING) or serverapp.kernel_websocket_connection_class
    settings[_SETTING] = without_delay(parent)
    serverapp.log.info("rxlearn: kernel websockets send small messages at once.")


def without_delay(parent: type) -> type:
    """Return a subclass of the connection class ``parent`` that connects without delay."""

    class PromptWebsocketConnection(parent):
        """A kernel connection that sends small messages at once."""

        def connect(self):
            try:
                self.websocket_handler.set_nodelay(True)
            except Exception as fault:
                self.log.warning("rxlearn: the websocket keeps its delay: %s", fault)
            return super().connect()

    return PromptWebsocketConnection

"""What the workbook adds to the Jupyter server it runs under.

Two things, and the lessons work without either: the kernel's websocket sends
small messages at once, and a saved lesson keeps its stills instead of
references to widgets that died with the kernel.  The wheel enables it by
``etc/jupyter/jupyter_server_config.d/rxlearn.json``; nobody configures anything.

In the page, ``labextension/`` brings the button that runs a lesson and switches
off the browser tab's busy icon: it is fetched twice at every step of a slider.
"""

from __future__ import annotations

import os

from rxlearn.server import saving, websocket

WEBSOCKET_CHOICE = "RXLEARN_WEBSOCKET"


def _jupyter_server_extension_points() -> list[dict[str, str]]:
    """Name this package to Jupyter server as one extension."""
    return [{"module": "rxlearn.server"}]


def _load_jupyter_server_extension(serverapp) -> None:
    """Add what can be added to ``serverapp``; a failure is logged and nothing more."""
    additions = [saving.keep_stills]
    if os.environ.get(WEBSOCKET_CHOICE, "").strip().lower() != "plain":
        additions.append(websocket.send_at_once)
    for addition in additions:
        try:
            addition(serverapp)
        except Exception:
            serverapp.log.warning(
                "rxlearn: %s was not possible; lessons work without it.",
                addition.__name__,
                exc_info=True,
            )

"""Serve the web application on the loopback address until it is stopped."""

from __future__ import annotations

import socket
import threading
import webbrowser
from collections.abc import Mapping
from datetime import UTC, datetime

import uvicorn

from pointage.desk.opening import open_demonstration, open_own
from pointage.errors import InputError
from pointage.mixture.compiled import is_compiled
from pointage.mixture.warm import warm
from pointage.web.app import create_app

LOOPBACK = "127.0.0.1"
MOST_PORT = 65535


def serve(
    port: int,
    demo: bool,
    open_browser: bool,
    *,
    kitchen_text: str | None = None,
    formulas: Mapping[str, str] | None = None,
) -> None:
    """Open the desk and serve it. Raises InputError when the port is taken."""
    listening = _listen(port)
    address = f"http://{LOOPBACK}:{listening.getsockname()[1]}/"
    if not is_compiled():
        print("Compiling the fermentation engine, once, for about 20 seconds …", flush=True)
        warm()
    now = datetime.now(UTC)
    if demo:
        print("Opening Skerry Hall, the demonstration kitchen …", flush=True)
        desk = open_demonstration(now)
    else:
        desk = open_own(now, kitchen_text, formulas)
    print(f"Pointage is at {address}  (Ctrl-C ends it)", flush=True)
    if open_browser:
        threading.Timer(0.5, webbrowser.open, [address]).start()
    server = uvicorn.Server(
        uvicorn.Config(create_app(desk), log_level="warning", access_log=False, lifespan="off")
    )
    server.run(sockets=[listening])


def _listen(port: int) -> socket.socket:
    if not 0 <= port <= MOST_PORT:
        raise InputError("--port", port, f"a port from 0 to {MOST_PORT}")
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((LOOPBACK, port))
    except OSError:
        listening.close()
        raise InputError("--port", port, "a port that is free, or 0 for any") from None
    return listening

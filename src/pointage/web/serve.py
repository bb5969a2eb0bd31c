"""Serve the web application, on the loopback address unless told, until it is stopped."""

from __future__ import annotations

import errno
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime

import uvicorn

from pointage.desk.exchange import ExchangeDesk
from pointage.desk.now.jobs import Jobs
from pointage.desk.opening import open_demonstration, open_own
from pointage.errors import InputError
from pointage.mixture.compiled import is_compiled
from pointage.mixture.warm import warm
from pointage.web.app import create_app
from pointage.web.guard import LOOPBACK as OWN_NAMES

LOOPBACK = "127.0.0.1"
EVERY_ADDRESS = "0.0.0.0"
ADDRESSES = f"an address that this machine has, or {EVERY_ADDRESS} for all of them"
MOST_PORT = 65535
SWITCH_S = 0.001


def serve(
    port: int,
    demo: bool,
    open_browser: bool,
    *,
    listen: str = LOOPBACK,
    called: Sequence[str] = (),
    kitchen_text: str | None = None,
    formulas: Mapping[str, str] | None = None,
) -> None:
    """Open the desk and serve it.

    listen: the address of this machine to listen on. called: names by which it may be asked,
    besides that address and the loopback's. Raises InputError for an address that is not this
    machine's and for a port that is taken.
    """
    listening = listen_on(listen, port)
    bound, taken = listening.getsockname()
    address = f"http://{LOOPBACK if bound == EVERY_ADDRESS else bound}:{taken}/"
    if not is_compiled():
        print("Compiling the fermentation engine, once, for about 20 seconds …", flush=True)
        warm()
    now = datetime.now(UTC)
    if demo:
        print("Opening Skerry Hall, the demonstration kitchen …", flush=True)
        desk = open_demonstration(now, jobs=Jobs())
    else:
        desk = open_own(now, kitchen_text, formulas, jobs=Jobs())
    print(f"Pointage is at {address}  (Ctrl-C ends it)", flush=True)
    if bound != LOOPBACK:
        print("There is no sign-in: whoever reaches this address may read and write.", flush=True)
    if open_browser:
        threading.Timer(0.5, webbrowser.open, [address]).start()
    if not demo:
        keep_backups(desk.exchange)
    app = create_app(
        desk,
        allowed_hosts=(*OWN_NAMES, bound, *called),
        trouble=lambda: desk.exchange.trouble,
    )
    desk.work.warm_up(now)
    # What is worked out beside the pages holds the interpreter for so long at most while one waits.
    sys.setswitchinterval(SWITCH_S)
    server = uvicorn.Server(
        uvicorn.Config(app, log_level="warning", access_log=False, lifespan="off")
    )
    server.run(sockets=[listening])


def keep_backups(exchange: ExchangeDesk, every_s: float = 3600.0) -> Callable[[], None]:
    """See to the day's backup now and then, until what this gives is called.

    What goes wrong is told here once, and on every page for as long as it lasts.
    """
    stop = threading.Event()

    def mind() -> None:
        told = ""
        while True:
            exchange.back_up()
            if exchange.trouble not in {"", told}:
                print(f"pointage: {exchange.trouble}", file=sys.stderr, flush=True)
            told = exchange.trouble
            if stop.wait(every_s):
                return

    threading.Thread(target=mind, name="backups", daemon=True).start()
    return stop.set


def listen_on(address: str, port: int) -> socket.socket:
    """A socket that listens there. Raises InputError as `serve`."""
    if not 0 <= port <= MOST_PORT:
        raise InputError("--port", port, f"a port from 0 to {MOST_PORT}")
    if not address.strip():  # which a socket would take for all
        raise InputError("--listen", "nothing", ADDRESSES)
    # Only of a socket that says it is TCP does asyncio let small packets go at once; else the body
    # of an answer waits some 40 ms for the browser to acknowledge its head.
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((address, port))
    except OSError as error:
        listening.close()
        if isinstance(error, socket.gaierror) or error.errno == errno.EADDRNOTAVAIL:
            raise InputError("--listen", address, ADDRESSES) from None
        raise InputError("--port", port, "a port that is free, or 0 for any") from None
    return listening

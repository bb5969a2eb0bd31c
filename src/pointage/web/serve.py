"""Serve the web application, on the loopback address unless set otherwise, until it is stopped."""

from __future__ import annotations

import asyncio
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

import uvicorn
from starlette.applications import Starlette

from pointage.desk.desk import StoredDesk
from pointage.desk.jobs import Jobs
from pointage.desk.now.learned.kept import kept_here
from pointage.desk.opening import open_demonstration, open_own, own_folder
from pointage.desk.planner.beside import PlannerBeside
from pointage.desk.planner.planner import Planner
from pointage.desk.records.exchange import ExchangeDesk
from pointage.desk.sheets.feed import FeedKeys
from pointage.desk.work import compile_engine
from pointage.errors import InputError
from pointage.language import say
from pointage.web.app import create_app
from pointage.web.assets import prepare_fonts
from pointage.web.door.connections import serve_all, server_of
from pointage.web.door.guard import LOOPBACK as OWN_NAMES
from pointage.web.door.listening import (
    LOOPBACK,
    Sockets,
    names_of,
    own_names,
    sockets_at,
)
from pointage.web.door.outside import Outside
from pointage.web.door.tour import Tour

DAY_S = 24 * 3600.0
SWITCH_S = 0.001


def _say_it_compiles() -> None:
    print(say("Compiling the fermentation engine, once, for about 20 seconds …"), flush=True)


def _jobs(planner: Planner) -> Jobs:
    """Who works beside the pages, and keeps what was learned for the next start."""
    return Jobs(kept=kept_here(), planner=planner)


def serve(
    port: int,
    demo: bool,
    open_browser: bool,
    *,
    listen: str = LOOPBACK,
    called: Sequence[str] = (),
    join: bool = False,
    kitchen_text: str | None = None,
    formulas: Mapping[str, str] | None = None,
) -> None:
    """Open the desk and serve it.

    listen: the address of this machine to listen on. called: names by which it may be asked,
    besides the addresses it listens on and the loopback's. join: whether a device may join at once.

    Others than this machine are answered over TLS, once they have joined. Raises InputError for an
    address that is not this machine's, for a port that is taken, and for a name that is none.
    """
    names = names_of(called)
    sockets = sockets_at(listen, port)
    here = f"http://{_host_of(sockets.own)}:{sockets.port}/"
    outside = _outside(sockets, names)
    compile_engine(_say_it_compiles)
    prepare_fonts()
    now, planner = datetime.now(UTC), PlannerBeside()
    if demo:
        print(say("Opening Skerry Hall, the demonstration kitchen …"), flush=True)
        desk = open_demonstration(now, jobs=_jobs(planner))
    else:
        desk = open_own(now, kitchen_text, formulas, jobs=_jobs(planner))
    sockets.listen()  # who comes before the server has begun is only kept waiting
    print(say("Pointage is at {places}  (Ctrl-C ends it)", places=here), flush=True)
    if outside is not None:
        _say_how_to_join(outside, join)
    if open_browser:
        threading.Timer(0.5, webbrowser.open, [here]).start()
    if not demo:
        keep_backups(desk.exchange)
    answers_to = (*OWN_NAMES, _host_of(sockets.own), *names, *(outside.names if outside else ()))

    def app_on(desk: StoredDesk, **more: Any) -> Starlette:
        return create_app(desk, allowed_hosts=answers_to, outside=outside, **more)

    def show_round() -> int:
        """Serve Skerry Hall beside one's own kitchen. Gives its port once it can be asked."""
        hall = open_demonstration(datetime.now(UTC), jobs=_jobs(planner))
        there = sockets_at(listen, 0)
        hall.work.warm_up(datetime.now(UTC))
        there.listen()
        served = _served(app_on(hall, home=sockets.port), there, outside)
        threading.Thread(target=lambda: asyncio.run(serve_all(served)), daemon=True).start()
        return there.port

    tour = None if demo else Tour(show_round)
    app = app_on(desk, trouble=lambda: desk.exchange.trouble, tour=tour, feed_keys=FeedKeys())
    desk.work.warm_up(now)
    # What is worked out beside the pages holds the interpreter for so long at most while one waits.
    sys.setswitchinterval(SWITCH_S)
    try:
        asyncio.run(serve_all(_served(app, sockets, outside)))
    finally:
        planner.end()


def _host_of(bound: socket.socket) -> str:
    address = str(bound.getsockname()[0])
    return f"[{address}]" if ":" in address else address


def _outside(sockets: Sockets, names: Sequence[str]) -> Outside | None:
    """How others reach this machine, where they are listened for. Raises InputError where it cannot
    keep its certificate or who has joined."""
    if not sockets.others:
        return None
    folder, hosts = own_folder(), sockets.hosts
    try:
        named = tuple(dict.fromkeys((*hosts, *own_names(), *names)))
        return Outside.of(folder, sockets.port, hosts, named, lambda: datetime.now(UTC))
    except OSError as error:
        fault = error.strerror or str(error)
        expected = say("a folder that can be written to")
        raise InputError(str(folder), fault, expected) from None


def _say_how_to_join(outside: Outside, join: bool) -> None:
    """Where other devices find it; and a key at once where the machine has no screen of its own."""
    first, *others = outside.addresses
    print(say("For other devices in the same network: {place}", place=first), flush=True)
    for each in others:
        print(say("  or, in another network: {place}", place=each), flush=True)
    if not join:
        way = say("Kitchen, “Let another device in”, on this machine lets one in.")
        print(way, flush=True)
        return
    key = outside.devices.open_door()
    address = f"{first}join?key={key}"
    if sys.stdout.isatty():
        import segno

        segno.make_qr(address).terminal(compact=True)
    print(say("Within 10 minutes one device may join at {address}", address=address), flush=True)
    sha = outside.certificate
    print(say("SHA-256 of the certificate to install: {sha}", sha=sha.authority_print), flush=True)
    print(say("SHA-256 in the browser’s warning: {sha}", sha=sha.server_print), flush=True)


def _served(
    app: Starlette, sockets: Sockets, outside: Outside | None
) -> list[tuple[uvicorn.Server, Sequence[socket.socket]]]:
    """The servers of an application: for this machine, and over TLS for others."""
    own: tuple[uvicorn.Server, Sequence[socket.socket]] = (server_of(app), (sockets.own,))
    if outside is None:
        return [own]
    others = server_of(app, outside.certificate)
    every(DAY_S, lambda: outside.renew([others], datetime.now(UTC)), "certificate")
    return [own, (others, sockets.others)]


def keep_backups(exchange: ExchangeDesk, every_s: float = 3600.0) -> Callable[[], None]:
    """See to the day's backup now and then, until what this gives is called.

    What goes wrong is reported here once, and on every page for as long as it lasts.
    """
    logged = ""

    def mind() -> None:
        nonlocal logged
        exchange.back_up()
        if exchange.trouble not in {"", logged}:
            print(f"pointage: {exchange.trouble}", file=sys.stderr, flush=True)
        logged = exchange.trouble

    return every(every_s, mind, "backups")


def every(seconds: float, do: Callable[[], None], name: str) -> Callable[[], None]:
    """Do something now and then, beside the pages, until what this gives is called."""
    stop = threading.Event()

    def mind() -> None:
        while True:
            do()
            if stop.wait(seconds):
                return

    threading.Thread(target=mind, name=name, daemon=True).start()
    return stop.set

"""Serve the web application, on the loopback address unless set otherwise, until it is stopped."""

from __future__ import annotations

import sys
import threading
import webbrowser
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime
from ipaddress import ip_address

from pointage.desk.jobs import Jobs
from pointage.desk.opening import open_demonstration, open_own
from pointage.desk.records.exchange import ExchangeDesk
from pointage.desk.sheets.feed import FeedKeys
from pointage.language import say
from pointage.mixture.compiled import is_compiled
from pointage.mixture.warm import warm
from pointage.web.app import create_app
from pointage.web.door.connections import server_of
from pointage.web.door.guard import LOOPBACK as OWN_NAMES
from pointage.web.door.listening import (
    LOOPBACK,
    listen_on,
    names_of,
    reached_at,
)
from pointage.web.door.tour import Tour

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
    besides the addresses it listens on and the loopback's. Raises InputError for an address that is
    not this machine's, for a port that is taken, and for a name that is none.
    """
    names = names_of(called)
    listening = listen_on(listen, port)
    bound, taken = listening.getsockname()[:2]
    hosts = reached_at(bound)
    addresses = [f"http://{host}:{taken}/" for host in hosts or (LOOPBACK,)]
    if not is_compiled():
        print(say("Compiling the fermentation engine, once, for about 20 seconds …"), flush=True)
        warm()
    now = datetime.now(UTC)
    if demo:
        print(say("Opening Skerry Hall, the demonstration kitchen …"), flush=True)
        desk = open_demonstration(now, jobs=Jobs())
    else:
        desk = open_own(now, kitchen_text, formulas, jobs=Jobs())
    listening.listen()  # who comes before the server has begun is only kept waiting
    places = say(" and ").join(addresses)
    print(say("Pointage is at {places}  (Ctrl-C ends it)", places=places), flush=True)
    if not ip_address(bound).is_loopback:
        print(say("A phone on the same network opens that address in its browser."), flush=True)
        warning = say("There is no sign-in: whoever reaches this address may read and write.")
        print(warning, flush=True)
    if open_browser:
        threading.Timer(0.5, webbrowser.open, addresses[:1]).start()
    if not demo:
        keep_backups(desk.exchange)
    answers_to = (*OWN_NAMES, *hosts, *names)
    app = create_app(
        desk,
        allowed_hosts=answers_to,
        trouble=lambda: desk.exchange.trouble,
        feed_keys=FeedKeys(),
        tour=None if demo else Tour(lambda home: _show_round(home, listen, answers_to), taken),
    )
    desk.work.warm_up(now)
    # What is worked out beside the pages holds the interpreter for so long at most while one waits.
    sys.setswitchinterval(SWITCH_S)
    server_of(app).run(sockets=[listening])


def _show_round(home: str, listen: str, answers_to: Sequence[str]) -> int:
    """Serve Skerry Hall beside one's own kitchen. Gives its port once it can be asked."""
    now = datetime.now(UTC)
    desk = open_demonstration(now, jobs=Jobs())
    listening = listen_on(listen, 0)
    app = create_app(desk, allowed_hosts=answers_to, home=home)
    desk.work.warm_up(now)
    listening.listen()
    server = server_of(app)
    threading.Thread(target=lambda: server.run(sockets=[listening]), daemon=True).start()
    port: int = listening.getsockname()[1]
    return port


def keep_backups(exchange: ExchangeDesk, every_s: float = 3600.0) -> Callable[[], None]:
    """See to the day's backup now and then, until what this gives is called.

    What goes wrong is reported here once, and on every page for as long as it lasts.
    """
    stop = threading.Event()

    def mind() -> None:
        logged = ""
        while True:
            exchange.back_up()
            if exchange.trouble not in {"", logged}:
                print(f"pointage: {exchange.trouble}", file=sys.stderr, flush=True)
            logged = exchange.trouble
            if stop.wait(every_s):
                return

    threading.Thread(target=mind, name="backups", daemon=True).start()
    return stop.set

"""Contexts of Chromium, lent and taken back: to make a new one costs as much as six pages.

One that is lent again is as good as new. Its pages are closed and its cookies gone, and whatever
else a page stores is stored for an origin that comes once: no two servers here share a port.
"""

from __future__ import annotations

import socket
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page

PATIENCE_S = 60
"""What comes, comes within this on a machine that does much else; the tests wait no longer than
it takes."""
SIZES = {"phone": (390, 844), "laptop": (1280, 800)}

_idle: defaultdict[object, list[BrowserContext]] = defaultdict(list)
_ports: set[int] = set()


def new_socket() -> socket.socket:
    """Bound to a port of this machine that no server of this process had before."""
    while True:
        found = socket.socket()
        found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        found.bind(("127.0.0.1", 0))
        port = found.getsockname()[1]
        if port not in _ports:
            _ports.add(port)
            return found
        found.close()


@contextmanager
def lent(
    browser: Browser,
    size: str = "phone",
    now: datetime | None = None,
    *,
    new: bool = False,
    **options: Any,
) -> Iterator[BrowserContext]:
    """A context with these options. now: where its clock stands, if not with the machine's.

    new: it is really new, for what hears all that a browser does.
    """
    width, height = SIZES[size]
    idle = _idle[browser, size, now is None, *sorted(options.items())]
    context = (
        idle.pop()
        if idle and not new
        else browser.new_context(viewport={"width": width, "height": height}, **options)
    )
    context.set_default_timeout(PATIENCE_S * 1000)
    if now is not None:
        context.clock.set_fixed_time(now)
    try:
        yield context
    except BaseException:
        context.close()
        raise
    if new:
        context.close()
        return
    context.set_offline(False)
    for page in context.pages:
        page.close()
    context.unroute_all()
    context.clear_cookies()
    idle.append(context)


@contextmanager
def opened(browser: Browser, size: str = "phone", **options: Any) -> Iterator[Page]:
    """A page without a service worker."""
    with lent(browser, size, service_workers="block", **options) as context:
        yield context.new_page()

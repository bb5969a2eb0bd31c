"""Skerry Hall beside one's own kitchen: at a port of its own, so that what a browser keeps for one
(its outbox, its kept pages) never reaches the other.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable

from pointage.language import say

log = logging.getLogger(__name__)


class Tour:
    """The demonstration kitchen, opened when it is first asked for and open from then on.

    begin: opens it, serves it in a thread of its own and gives its port; its argument is the
    address of one's own kitchen. port: of that.
    """

    def __init__(self, begin: Callable[[str], int], port: int) -> None:
        self._begin = begin
        self._home = port
        self._lock = threading.Lock()
        self._port = 0
        self._begun = False
        self.trouble = ""

    def address(self, host: str) -> str:
        """Where it is for who calls this machine `host`; nothing while it is being opened."""
        with self._lock:
            if not self._begun:
                self._begun = True
                home = f"http://{_bracketed(host)}:{self._home}/"
                threading.Thread(target=self._open, args=(home,), daemon=True).start()
            return f"http://{_bracketed(host)}:{self._port}/" if self._port else ""

    def _open(self, home: str) -> None:
        try:
            self._port = self._begin(home)
        except Exception:
            log.exception("Skerry Hall could not be opened")
            self.trouble = say("It could not be opened; the server's window says why.")


def _bracketed(host: str) -> str:
    return f"[{host}]" if ":" in host else host

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

    begin: opens it, serves it in a thread of its own and gives its port.
    """

    def __init__(self, begin: Callable[[], int]) -> None:
        self._begin = begin
        self._lock = threading.Lock()
        self._port = 0
        self._begun = False
        self.trouble = ""

    def address(self, scheme: str, host: str) -> str:
        """Where it is for who calls this machine so; nothing while it is being opened."""
        with self._lock:
            if not self._begun:
                self._begun = True
                threading.Thread(target=self._open, daemon=True).start()
            return address_of(scheme, host, self._port) if self._port else ""

    def _open(self) -> None:
        try:
            self._port = self._begin()
        except Exception:
            log.exception("Skerry Hall could not be opened")
            self.trouble = say("It could not be opened; the server's window says why.")


def address_of(scheme: str, host: str, port: int) -> str:
    """As it is typed. host: as an address has it, without brackets."""
    return f"{scheme}://{f'[{host}]' if ':' in host else host}:{port}/"

"""The key of a kitchen's calendar feed: whoever has the address may read what is to be done.

It is kept in a file of this machine's own, and travels with no archive. A new key makes the one
before it void.
"""

from __future__ import annotations

import json
import os
import secrets
import threading
from contextlib import suppress
from hmac import compare_digest
from pathlib import Path
from uuid import uuid4

from pointage.daybook.whereabouts import data_folder
from pointage.errors import Complaint, InputError
from pointage.language import say

FILE = "calendar.json"
BYTES = 24
"""Of a key: nobody guesses it."""


class FeedKeys:
    """The keys in a folder, by the identifier of a kitchen. Safe to use from several threads."""

    def __init__(self, folder: Path | None = None) -> None:
        self._path = (data_folder() if folder is None else folder) / FILE
        self._lock = threading.Lock()

    def key(self, kitchen: str) -> str:
        """The key that opens the feed now; "" where there is none."""
        return self._read().get(kitchen, "")

    def make(self, kitchen: str) -> str:
        """A new key; the one before it opens nothing. Raises InputError where it cannot be kept."""
        key = secrets.token_urlsafe(BYTES)
        with self._lock:
            self._write({**self._read(), kitchen: key})
        return key

    def close(self, kitchen: str) -> None:
        """Nothing opens the feed any more. Raises InputError where that cannot be kept."""
        with self._lock:
            self._write({name: key for name, key in self._read().items() if name != kitchen})

    def fits(self, kitchen: str, key: str) -> bool:
        """Whether it opens the feed."""
        known = self.key(kitchen)
        return bool(known) and compare_digest(known.encode(), key.encode())

    def _read(self) -> dict[str, str]:
        try:
            found = json.loads(self._path.read_text(encoding="utf-8"))
        except (OSError, ValueError):  # a spoiled file opens nothing
            return {}
        pairs = found.items() if isinstance(found, dict) else ()
        return {name: key for name, key in pairs if isinstance(key, str) and key}

    def _write(self, keys: dict[str, str]) -> None:
        beside = self._path.with_name(f".{FILE}.{uuid4().hex}")
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            # Made for its owner alone, so that it is at no moment open to others.
            descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(descriptor, "w", encoding="utf-8") as file:
                json.dump(keys, file)
            beside.replace(self._path)
        except OSError:
            with suppress(OSError):  # the folder itself may be none
                beside.unlink()
            what = Complaint(say("it cannot be kept on this machine"))
            raise InputError("calendar", what, say("room in the data folder")) from None

"""What can go wrong with a store.

PointageError
└── StoreError          the store cannot be opened or reached
    ├── NewerStoreError      it was written by a newer Pointage
    └── EntryClashError      another entry already has that id
"""

from __future__ import annotations

from pointage.errors import PointageError


class StoreError(PointageError):
    """The store at `url` (never with its password) cannot be used, for `reason`."""

    def __init__(self, url: str, reason: str) -> None:
        self.url = url
        self.reason = reason
        super().__init__(f"the store {url} cannot be used: {reason}")


class NewerStoreError(StoreError):
    """The store has had a migration that this program does not know."""

    def __init__(self, url: str, found: str, known: str) -> None:
        self.found = found
        self.known = known
        super().__init__(
            url,
            f"a newer Pointage has written it (it is at migration {found}, this program knows "
            f"them up to {known}); update Pointage, or name another store in POINTAGE_STORE",
        )


class EntryClashError(StoreError):
    """An entry with the same id but another content is already in the daybook."""

    def __init__(self, url: str, entry: str) -> None:
        self.entry = entry
        super().__init__(url, f"entry {entry} is already there with another content")

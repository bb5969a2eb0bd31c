"""Everything out as one archive, and in again; is the store whole; and its backups."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from pointage.daybook import check
from pointage.daybook.archive import backup
from pointage.daybook.archive.export import export_to
from pointage.daybook.archive.manifest import Counts
from pointage.daybook.archive.merge import import_from
from pointage.daybook.errors import BackupError, StoreError
from pointage.daybook.store.store import Store
from pointage.desk.now.jobs import Jobs
from pointage.desk.now.keeper import Keeper


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found. counts: None where the store is too damaged to be counted.

    set_aside: what in it cannot be used and why, a line each. last_backup: when the last good one
    was made, or None.
    """

    store: str
    counts: Counts | None
    troubles: tuple[str, ...]
    set_aside: tuple[str, ...]
    last_backup: datetime | None


class ExchangeDesk:
    """A whole store: export it, merge an archive into it, check it, keep backups of it."""

    def __init__(self, store: Store, clock: Callable[[], datetime]) -> None:
        self._store = store
        self._clock = clock
        self.trouble = ""
        """Why the last backup that was due could not be made; empty when all is well."""

    def export_to(self, path: Path, replace: bool = False) -> Counts:
        """Write everything to `path`. Raises InputError, field "PATH", and StoreError."""
        return export_to(self._store, path, self._clock(), replace)

    def import_from(self, path: Path) -> tuple[Counts, Counts]:
        """Take an archive in: what it holds, and what of it was new.

        Raises ArchiveError, MergeError, StoreError; also MergeError when the store would then have
        two kitchens, for the pages can show one.
        """
        return import_from(self._store, path, one_kitchen=True)

    def checked(self) -> Checked:
        """Look whether the store is whole, and go through all of it. Changes nothing."""
        every = backup.backups(self._store.address)
        found = [*check.troubles(self._store)]
        # Else what is read here may not be what was written.
        aside = () if found else tuple(self._set_aside())
        try:
            counts = check.counts(self._store)
        except StoreError:
            counts = None
        made = every[-1].made if every else None
        return Checked(self._store.url, counts, tuple(found), aside, made)

    def back_up(self) -> None:
        """Make today's backup if there is none yet; `trouble` says what stood in the way."""
        try:
            if backup.is_due(self._store.address, self._clock()):
                backup.back_up(self._store, self._clock())
            self.trouble = ""
        except BackupError as error:
            self.trouble = str(error)

    def _set_aside(self) -> Iterator[str]:
        """What of every kitchen cannot be used, and why."""
        for kitchen in self._store.kitchens():
            keeper = Keeper(self._store, kitchen.id, self._clock(), Jobs(beside=False))
            for each in keeper.look().set_asides:
                yield f"{each.what} {each.name}: {each.reason}"

"""Everything out as one archive, and in again; is the store whole; and its backups."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from pointage.daybook import backup, check
from pointage.daybook.entry import EntryKind
from pointage.daybook.errors import BackupError, StoreError
from pointage.daybook.export import export_to
from pointage.daybook.manifest import Counts
from pointage.daybook.merge import import_from
from pointage.daybook.store import Store
from pointage.desk.plans import read_plan
from pointage.errors import PointageError
from pointage.formula.read import read_formula
from pointage.kitchen.read import read_kitchen


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found. counts: None where the store is too damaged to be counted.

    last_backup: when the last good one was made, or None.
    """

    store: str
    counts: Counts | None
    troubles: tuple[str, ...]
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
        """Look whether the store is whole and all in it can be read. Changes nothing."""
        every = backup.backups(self._store.address)
        found = [*check.troubles(self._store)]
        if not found:  # else what is read here may not be what was written
            found = self._unreadable()
        try:
            counts = check.counts(self._store)
        except StoreError:
            counts = None
        made = every[-1].made if every else None
        return Checked(self._store.url, counts, tuple(found), made)

    def back_up(self) -> None:
        """Make today's backup if there is none yet; `trouble` says what stood in the way."""
        try:
            if backup.is_due(self._store.address, self._clock()):
                backup.back_up(self._store, self._clock())
            self.trouble = ""
        except BackupError as error:
            self.trouble = str(error)

    def _unreadable(self) -> list[str]:
        """The kitchens, formulas and plans that this program cannot read."""
        found = []
        for kitchen in self._store.kitchens():
            try:
                read_kitchen(kitchen.text, self._clock(), f"kitchen {kitchen.name!r}")
            except PointageError as error:
                found.append(str(error))
            for formula in self._store.formulas(kitchen.id):
                try:
                    read_formula(formula.text, f"formula {formula.slug!r}")
                except PointageError as error:
                    found.append(str(error))
            for entry in self._store.entries(kitchen.id, (EntryKind.PLAN,)):
                try:
                    read_plan(entry.body)
                except PointageError as error:
                    found.append(f"entry {entry.id}: its plan cannot be read; {error}")
        return found

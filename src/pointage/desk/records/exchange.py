"""Everything out as one archive, and in again; is the store whole; and its backups."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from pointage.daybook import check
from pointage.daybook.archive import backup
from pointage.daybook.archive.export import export_to
from pointage.daybook.archive.manifest import ArchiveCounts
from pointage.daybook.archive.merge import Places, import_from
from pointage.daybook.entry import EntryKind
from pointage.daybook.errors import BackupError, MergeError, StoreError
from pointage.daybook.store.store import Store
from pointage.desk.jobs import Jobs
from pointage.desk.kitchen.begin import UNNAMED
from pointage.desk.now.keeper import Keeper
from pointage.desk.now.set_aside import SetAside
from pointage.errors import PointageError
from pointage.language import say


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found. counts: None where the store is too damaged to be counted.

    set_aside: what in it cannot be used and why, a line each. last_backup: when the last good one
    was made, or None.
    """

    store: str
    counts: ArchiveCounts | None
    troubles: tuple[str, ...]
    set_aside: tuple[str, ...]
    last_backup: datetime | None


@dataclass(frozen=True, slots=True)
class Aside:
    """What of a store cannot be used, and why.

    kind: of an entry, else empty. file, line: where the archive that was just imported has it;
    empty and 0 for what was in the store before.
    """

    found: SetAside
    kind: str = ""
    file: str = ""
    line: int = 0

    def __str__(self) -> str:
        return f"{self.found.what} {self.found.name}: {self.found.reason}"

    @property
    def place(self) -> str:
        """Where it stands in the archive, in words, and its kind."""
        place = (
            say("{file}, line {line}", file=self.file, line=self.line)
            if self.file
            else say("in the store before")
        )
        return f"{place} ({self.kind})" if self.kind else place


@dataclass(frozen=True, slots=True)
class Imported:
    """An archive that was taken in: what it holds, and what of that was new.

    set_aside: all that the store cannot use now, as a check names it.
    """

    found: ArchiveCounts
    new: ArchiveCounts
    set_aside: tuple[Aside, ...]


class ExchangeDesk:
    """A whole store: export it, merge an archive into it, check it, keep backups of it."""

    def __init__(self, store: Store, clock: Callable[[], datetime]) -> None:
        self._store = store
        self._clock = clock
        self.trouble = ""
        """Why the last backup that was due could not be made; empty when all is well."""

    def export_to(self, path: Path, replace: bool = False) -> ArchiveCounts:
        """Write everything to `path`. Raises InputError, field "PATH", and StoreError."""
        return export_to(self._store, path, self._clock(), replace)

    def import_from(self, path: Path) -> Imported:
        """Take an archive in, once all that the store would hold has been gone through.

        Raises ArchiveError, MergeError, StoreError; also MergeError when the store would then have
        two kitchens, for the pages can show one, or could not be gone through.
        """
        aside: list[Aside] = []

        def trial(connection: Connection, places: Places) -> None:
            try:
                for each in self._set_aside(self._store.within(connection)):
                    place = places.get((each.found.what, each.found.name), ("", 0))
                    aside.append(replace(each, file=place[0], line=place[1]))
            except (PointageError, DBAPIError):
                raise
            except Exception as error:
                reason = say(
                    "the store could not go through it ({kind}: {error})",
                    kind=type(error).__name__,
                    error=error,
                )
                raise MergeError(say("the archive"), reason) from error
            aside.sort(key=lambda each: (not each.file, each.file, each.line))

        found, new = import_from(self._store, path, one_kitchen=True, trial=trial, nobodys=UNNAMED)
        return Imported(found, new, tuple(aside))

    def checked(self) -> Checked:
        """Look whether the store is whole, and go through all of it. Changes nothing."""
        every = backup.backups(self._store.address)
        found = [*check.troubles(self._store)]
        aside: tuple[str, ...] = ()
        # Else what is read here may not be what was written.
        if all(each.endswith(check.LOST) for each in found):
            aside = tuple(str(each) for each in self._set_aside(self._store))
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

    def _set_aside(self, store: Store) -> Iterator[Aside]:
        """What of every kitchen cannot be used, and why."""
        for kitchen in store.kitchens():
            present = Keeper(store, kitchen.id, self._clock(), Jobs(beside=False)).look()
            entries = present.replayed.journal.entries
            for each in present.set_asides:
                kind = entries[each.name].kind.value if each.what == "entry" else ""
                yield Aside(each, kind)
            for entry, photo in check.lost_photos(store).items():
                line = present.replayed.journal.line(entry)
                if line is not None and line.now is not None:
                    lost = SetAside(
                        "entry", entry, "sha256", photo, say("a photograph of the store")
                    )
                    yield Aside(lost, EntryKind.PHOTO.value)

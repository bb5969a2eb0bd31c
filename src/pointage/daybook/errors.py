"""What can go wrong with a store.

PointageError
├── StoreError          the store cannot be opened or reached
│   ├── NewerStoreError      it was written by a newer Pointage
│   └── EntryClashError      another entry already has that id
├── ArchiveError        an archive is damaged, or says what cannot be
│   └── NewerArchiveError    it was written by a newer Pointage
├── MergeError          an archive says otherwise than the store it is to be merged into
├── InputError
│   └── StaleRevisionError   a document was changed from a revision that is not its last
└── BackupError         a backup could not be made
"""

from __future__ import annotations

from pathlib import Path

from pointage.errors import InputError, PointageError
from pointage.language import mark, say


class StoreError(PointageError):
    """The store at `url` (never with its password) cannot be used, for `reason`."""

    def __init__(self, url: str, reason: str) -> None:
        self.url = url
        self.reason = reason
        super().__init__(say("the store {url} cannot be used: {reason}", url=url, reason=reason))


class NewerStoreError(StoreError):
    """The store has had a migration that this program does not know."""

    def __init__(self, url: str, found: str, known: str) -> None:
        self.found = found
        self.known = known
        super().__init__(
            url,
            say(
                "a newer Pointage has written it (it is at migration {found}, this program "
                "knows them up to {known}); update Pointage, or name another store in "
                "POINTAGE_STORE",
                found=found,
                known=known,
            ),
        )


class EntryClashError(StoreError):
    """An entry with the same id but another content is already in the daybook."""

    def __init__(self, url: str, entry: str) -> None:
        self.entry = entry
        super().__init__(
            url, say("entry {entry} is already there with another content", entry=entry)
        )


class StaleRevisionError(InputError):
    """A document was changed from a revision that is no longer its last; nothing was written.

    document: the kitchen's or the formula's name; after: the revision that the change was made
    from; last: the one that stands now.
    """

    def __init__(self, document: str, after: int, last: int) -> None:
        self.document = document
        self.after = after
        self.last = last
        super().__init__(
            mark("revision"),
            say("{after} of {document}", after=after, document=document),
            say("{last}, which is the latest", last=last),
        )


class ArchiveError(PointageError):
    """An archive cannot be taken in, and nothing of it was.

    path: the archive; member: the file in it, or empty for the archive itself; line: of that file.
    """

    def __init__(self, path: Path, member: str, reason: str, line: int | None = None) -> None:
        self.path = path
        self.member = member
        self.reason = reason
        self.line = line
        where = [str(path)] + ([member] if member else [])
        where += [say("line {line}", line=line)] if line else []
        message = say(
            "{place}: {reason}; nothing was imported", place=", ".join(where), reason=reason
        )
        super().__init__(" ".join(message.splitlines()))  # a member's name may have any sign


class NewerArchiveError(ArchiveError):
    """The archive has a version that this program does not know."""

    def __init__(self, path: Path, found: int, known: int) -> None:
        self.found = found
        self.known = known
        super().__init__(
            path,
            "manifest.json",
            say(
                "a newer Pointage has written it (version {found}, this program knows them "
                "up to {known}); update Pointage",
                found=found,
                known=known,
            ),
        )


class MergeError(PointageError):
    """What an archive says of `record` is not what the store says; nothing was imported."""

    def __init__(self, record: str, reason: str) -> None:
        self.record = record
        self.reason = reason
        super().__init__(
            say("{record}: {reason}; nothing was imported", record=record, reason=reason)
        )


class BackupError(PointageError):
    """No backup could be made in `folder`, for `reason`."""

    def __init__(self, folder: Path, reason: str) -> None:
        self.folder = folder
        self.reason = reason
        super().__init__(
            say("no backup could be made in {folder}: {reason}", folder=folder, reason=reason)
        )

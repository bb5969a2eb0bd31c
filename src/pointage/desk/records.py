"""Write down what was done and seen; put it right; read it back."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from pointage.daybook.bodies import BODIES, checked, doubts_of
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.replay import AMENDMENTS, Line
from pointage.daybook.store import Store
from pointage.desk.answers import NotThere
from pointage.desk.now.present import Present
from pointage.desk.wish import AUTHOR
from pointage.errors import InputError

SKEW = timedelta(minutes=5)
"""How far another clock may be ahead of ours."""

TWICE = timedelta(minutes=10)
"""Within this a second sending of one entry means the same instant."""

LONG_AGO = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Told:
    """What became of something told. new: False when it was there already. doubts: lines to ask."""

    entry: Entry
    new: bool
    doubts: tuple[str, ...] = ()


class RecordDesk:
    """The daybook of one kitchen: append, correct, withdraw, look back. Times are aware."""

    def __init__(
        self,
        store: Store,
        kitchen_id: str,
        clock: Callable[[], datetime],
        present: Callable[[], Present],
    ) -> None:
        self._store = store
        self._kitchen = kitchen_id
        self._clock = clock
        self._present = present

    def record(
        self,
        entry: str,
        kind: EntryKind,
        happened: datetime,
        body: Mapping[str, Any],
        author: str = AUTHOR,
    ) -> Told:
        """Write an entry of any kind in `bodies.BODIES` that is no amendment, for good.

        entry: a UUID made where it was written; sent twice it is told once. Raises InputError for
        a body that will not do and for a time still to come; NotThere for a photograph that the
        store has not been given.
        """
        if kind in AMENDMENTS:
            raise InputError("kind", kind.value, "a correction or withdrawal of its own")
        if kind is EntryKind.PHOTO:
            sha256 = str(body.get("sha256"))
            if self._store.photo(self._kitchen, sha256) is None:
                raise NotThere("photograph", sha256)
        return self._write(entry, kind, happened, checked(kind, body), author=author)

    def correct(
        self,
        entry: str,
        wrong: str,
        body: Mapping[str, Any],
        *,
        happened: datetime | None = None,
        why: str = "",
        author: str = AUTHOR,
    ) -> Told:
        """Say what entry `wrong`, or the correction of that id, should have said, as a whole body.

        happened: when it really was; None leaves it. Raises NotThere, InputError.
        """
        line = self.line(wrong)
        if line.written.kind not in BODIES:
            raise InputError("entry", line.written.kind.value, "one to be withdrawn instead")
        right = checked(line.written.kind, body)
        if happened is not None:
            self._refuse_future(happened)
        said = {
            "entry": wrong,
            "body": right,
            "happened": None if happened is None else happened.astimezone(UTC).isoformat(),
            "why": why or None,
        }
        told = checked(EntryKind.CORRECTED, said)
        return self._write(
            entry,
            EntryKind.CORRECTED,
            self._clock(),
            told,
            author=author,
            asked=doubts_of(line.written.kind, right),
        )

    def withdraw(self, entry: str, wrong: str, why: str = "", author: str = AUTHOR) -> Told:
        """Say that entry `wrong` does not hold; it may be an amendment itself. Raises NotThere."""
        self.line(wrong)
        told = checked(EntryKind.WITHDRAWN, {"entry": wrong, "why": why or None})
        return self._write(entry, EntryKind.WITHDRAWN, self._clock(), told, author=author)

    def lines(
        self,
        since: datetime | None = None,
        until: datetime | None = None,
        kinds: Collection[EntryKind] | None = None,
    ) -> list[Line]:
        """What was written, with what became of it, the oldest first.

        since, until: by the time at which it happened as it now reads, `until` left out; kinds: of
        the entry as it was written.
        """
        return [
            line
            for line in self._present().replayed.journal.in_order()
            if (kinds is None or line.written.kind in kinds)
            and (since is None or (line.now or line.written).happened >= since)
            and (until is None or (line.now or line.written).happened < until)
        ]

    def keep_photo(self, content: bytes) -> str:
        """Keep a photograph, so that an entry may name it: its SHA-256. Raises InputError."""
        return self._store.put_photo(self._kitchen, content).sha256

    def photo(self, sha256: str) -> bytes | None:
        """The content of a photograph; None when it is not there."""
        return self._store.photo(self._kitchen, sha256)

    def line(self, entry: str) -> Line:
        """The line that `entry` began or amends. Raises NotThere."""
        found = self._present().replayed.journal.line(entry.lower())
        if found is None:
            raise NotThere("entry", entry)
        return found

    def _write(
        self,
        entry: str,
        kind: EntryKind,
        happened: datetime,
        body: dict[str, Any],
        *,
        author: str,
        asked: Collection[str] | None = None,
    ) -> Told:
        there = self._store.entry(self._kitchen, entry)
        same = there is not None and (there.kind, there.body) == (kind, body)
        if there is not None and same:
            # A form sent twice says "now" twice: it happened when we first heard of it.
            soon = abs(happened - there.happened) <= TWICE
            if soon or kind in AMENDMENTS:
                return Told(there, False)
        self._refuse_future(happened)
        new = Entry(entry, self._kitchen, kind, happened, self._clock(), author, body)
        questions = doubts_of(kind, body) if asked is None else asked
        return Told(new, self._store.append(new), tuple(questions))

    def _refuse_future(self, happened: datetime) -> None:
        if happened.tzinfo is None:
            raise InputError("happened", happened.isoformat(), "a time with its offset")
        if not LONG_AGO <= happened <= self._clock() + SKEW:
            raise InputError("happened", happened.isoformat(), "a time that is not still to come")

"""Write down what was done and seen; put it right; read it back."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from pointage.daybook.bodies import BODIES, checked, doubts_of
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.photos import media_type
from pointage.daybook.pictures import without_metadata
from pointage.daybook.replay import AMENDMENTS, Line
from pointage.daybook.store import Store
from pointage.desk.answers import AskFirst, NotThere
from pointage.desk.now.counts import uncounted
from pointage.desk.now.present import Present
from pointage.desk.wish import AUTHOR
from pointage.errors import InputError

SKEW = timedelta(minutes=5)
"""How far another clock may be ahead of ours."""

TWICE = timedelta(minutes=10)
"""Within this a second sending of one entry means the same instant."""

USUAL_LOSS = (0.03, 0.30)
"""Share of the dough that bakes and cools off: common practice, no source."""

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
        *,
        sure: bool = True,
    ) -> Told:
        """Write an entry of any kind in `bodies.BODIES` that is no amendment, for good.

        entry: a UUID made where it was written; sent twice it is recorded once. sure: False to be
        asked, by AskFirst, about what can be and is hardly ever meant. Raises InputError for a body
        that cannot be used, by itself or after what was recorded before, and for a time still to
        come; NotThere for a photograph that the store has not been given.
        """
        if kind in AMENDMENTS:
            raise InputError("kind", kind.value, "a correction or withdrawal of its own")
        if kind is EntryKind.PHOTO:
            sha256 = str(body.get("sha256"))
            if self._store.photo(self._kitchen, sha256) is None:
                raise NotThere("photograph", sha256)
        return self._write(entry, kind, happened, checked(kind, body), author=author, sure=sure)

    def correct(
        self,
        entry: str,
        wrong: str,
        body: Mapping[str, Any],
        *,
        happened: datetime | None = None,
        why: str = "",
        author: str = AUTHOR,
        sure: bool = True,
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
            sure=sure,
            right=(line.written, right),
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
        """Keep a photograph, so that an entry may name it: its SHA-256.

        It is kept without its metadata, but for the orientation. Raises InputError.
        """
        picture = without_metadata(content, media_type(content))
        return self._store.put_photo(self._kitchen, picture).sha256

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
        sure: bool = True,
        right: tuple[Entry, dict[str, Any]] | None = None,
    ) -> Told:
        """right: the entry that is corrected, and what it should have said."""
        there = self._store.entry(self._kitchen, entry)
        same = there is not None and (there.kind, there.body) == (kind, body)
        if there is not None and same:
            # A form sent twice says "now" twice: it happened when we first heard of it.
            soon = abs(happened - there.happened) <= TWICE
            if soon or kind in AMENDMENTS:
                return Told(there, False)
        self._refuse_future(happened)
        new = Entry(entry, self._kitchen, kind, happened, self._clock(), author, body)
        questions: list[str] = []
        if kind is not EntryKind.WITHDRAWN:
            line, said = (new, body) if right is None else right
            questions = [
                *doubts_of(line.kind, said),
                *self._doubts(said),
                *self._tried(new, line, said),
            ]
        if questions and not sure:
            raise AskFirst(questions)
        return Told(new, self._store.append(new), tuple(questions))

    def _tried(self, new: Entry, line: Entry, said: Mapping[str, Any]) -> Iterator[str]:
        """Refuse what would be set aside as soon as it was written, and say what it upsets.

        line: the entry that it is, or corrects; said: its body then. Raises InputError.
        """
        replayed = self._present().replayed
        name = said.get("culture")
        if line.kind is not EntryKind.CULTURE and name and replayed.lives.state.named(name) is None:
            raise InputError("culture", repr(name), "a culture of this kitchen")
        with uncounted():
            after = replayed.with_new([new], replayed.journal.change)
        known = {each.name for each in replayed.set_asides}
        for each in after.set_asides:
            if each.name == line.id and not each.counts:
                raise each.error()
            if each.name == line.id:
                yield f"{each.field}: {each.value}, where {each.expected}"
            elif each.name not in known:
                yield f"with it an entry that was recorded later cannot be: {each.reason}"

    def _doubts(self, body: Mapping[str, Any]) -> Iterator[str]:
        """What is odd about a weight after baking."""
        bake = self._present().every_bake.get(str(body.get("bake")))
        if bake is None or body.get("when") not in ("baked", "cooled"):
            return
        dough_g = bake.plan.piece_g * body.get("pieces", 1.0)
        lost = 1 - body.get("grams", dough_g) / dough_g if dough_g else 0.0
        low, high = USUAL_LOSS
        if not low <= lost <= high:
            yield f"a bread that weighs {lost:.0%} less than its dough"

    def _refuse_future(self, happened: datetime) -> None:
        if happened.tzinfo is None:
            raise InputError("happened", happened.isoformat(), "a time with its offset")
        if not LONG_AGO <= happened <= self._clock() + SKEW:
            raise InputError("happened", happened.isoformat(), "a time that is not still to come")

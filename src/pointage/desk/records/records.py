"""Write down what was done and seen; put it right; read it back."""

from __future__ import annotations

import logging
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Any

from pointage.daybook.bodies import BODIES, checked, doubts_of
from pointage.daybook.entry import Entry, EntryKind, says_the_same
from pointage.daybook.errors import EntryClashError, StoreError
from pointage.daybook.journal import Journal
from pointage.daybook.photograph import media_type
from pointage.daybook.replay import AMENDMENTS, Line, amended, in_order
from pointage.daybook.store.pictures import without_metadata
from pointage.daybook.store.store import Store
from pointage.desk.answers import AskFirst, NotThere, Report
from pointage.desk.bakes.wish import AUTHOR
from pointage.desk.now.bakes.at_once import part_of, said_at_once
from pointage.desk.now.counts import uncounted
from pointage.desk.now.present import Present
from pointage.errors import InputError
from pointage.language import say

log = logging.getLogger(__name__)

SKEW = timedelta(minutes=5)
"""How far another clock may be ahead of ours."""

USUAL_LOSS = (0.03, 0.30)
"""Share of the dough that bakes and cools off: common practice, no source."""

LONG_AGO = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Saved:
    """What became of a record. new: False when it was there already. doubts: lines to ask."""

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
    ) -> Saved:
        """Write an entry of any kind in `bodies.BODIES` that is no amendment, for good.

        entry: a UUID made where it was written; sent twice it is recorded once. sure: False to be
        asked, by AskFirst, about what can be and is hardly ever meant. Raises InputError for a body
        that cannot be used, by itself or after what was recorded before, and for a time still to
        come; NotThere for a photograph that the store has not been given, and for a
        reading to be confirmed that is not in the daybook.
        """
        if kind in AMENDMENTS:
            raise InputError("kind", kind.value, say("a correction or withdrawal of its own"))
        if kind is EntryKind.CONFIRMED:
            self.line(str(body.get("reading")))  # there must be something that was so
        if kind is EntryKind.PHOTO:
            sha256 = str(body.get("sha256"))
            if self._store.photo(self._kitchen, sha256) is None:
                raise NotThere("photograph", sha256)
        return self._write(entry, kind, happened, checked(kind, body), author=author, sure=sure)

    def noted(self, report: Report, text: str) -> None:
        """A note on a step of a bake. Raises as `record`."""
        self._of_step(EntryKind.NOTE, report, {"text": text})

    def smelled(self, report: Report, signs: Sequence[str]) -> None:
        """What a step of a bake smells of. Raises as `record`."""
        self._of_step(EntryKind.SMELLED, report, {"signs": list(signs)})

    def tasted(self, report: Report, said: Mapping[str, Any]) -> None:
        """How the bread of a bake came out, by field. Raises as `record`."""
        self._of_step(EntryKind.TASTED, report, said)

    def _of_step(self, kind: EntryKind, report: Report, said: Mapping[str, Any]) -> None:
        of = {"bake": report.bake} | ({"step": report.step} if report.step else {})
        self.record(report.entry, kind, report.happened, {**of, **said}, sure=report.sure)

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
    ) -> Saved:
        """Say what entry `wrong`, or the correction of that id, should have said, as a whole body.

        happened: when it really was; None leaves it. Raises NotThere, InputError.
        """
        line = self.line(wrong)
        if line.written.kind not in BODIES.keys() - AMENDMENTS:
            raise InputError("entry", line.written.kind.value, say("one to be withdrawn instead"))
        right = checked(line.written.kind, body)
        if happened is not None and happened.tzinfo is None:
            raise InputError("happened", happened.isoformat(), say("a time with its offset"))
        said = {
            "entry": wrong,
            "body": right,
            "happened": None if happened is None else happened.astimezone(UTC).isoformat(),
            "why": why or None,
            "after": _last(line, wrong),
        }
        tidied = checked(EntryKind.CORRECTED, said)
        return self._write(
            entry,
            EntryKind.CORRECTED,
            self._clock(),
            tidied,
            author=author,
            sure=sure,
            right=(line.written, right),
            really=happened,
        )

    def withdraw(self, entry: str, wrong: str, why: str = "", author: str = AUTHOR) -> Saved:
        """Say that entry `wrong` does not hold, which may be an amendment itself; nor what was
        recorded at once with it for other bakes: all or nothing. Raises NotThere."""
        first, now = self.line(wrong), self._clock()
        said = [(entry, wrong, first)]
        for each in self._at_once(first.written.id)[1:]:
            line = self.line(each.id)
            if (other := _same_of(line, wrong, first)) is not None:
                said.append((part_of(entry, str(each.body["bake"])), other, line))
        found = []
        for own, other, line in said:
            what = {"entry": other, "why": why or None, "after": _last(line, other)}
            body = checked(EntryKind.WITHDRAWN, what)
            found.append(Entry(own, self._kitchen, EntryKind.WITHDRAWN, now, now, author, body))
        there = self._store.entry(self._kitchen, entry)
        if there is not None and says_the_same(there, EntryKind.WITHDRAWN, found[0].body):
            return Saved(there, False)
        if there is not None:
            raise EntryClashError(self._store.url, entry)
        self._store.append_all(self._kitchen, found)
        return Saved(found[0], True)

    def take_back(self, entry: str, wrong: str) -> None:
        """As `withdraw`, of what may be withdrawn by then: once more changes nothing."""
        if self.line(wrong).now is not None:
            self.withdraw(entry, wrong)

    def at_once(self, entry: str) -> int:
        """For how many bakes an entry was recorded at once; 1 for its own alone, and for none."""
        return len(self._at_once(entry))

    def confirm(self, entry: str, happened: datetime, about: Mapping[str, Any]) -> None:
        """What was read and does not fit was so, for each bake for which it was recorded.

        about: the reading's entry, and the bake and step or the culture. Raises as `record`.
        """
        self.record(entry, EntryKind.CONFIRMED, happened, about)
        for each in self._at_once(str(about["reading"]))[1:]:
            of = {name: each.body[name] for name in ("bake", "step")}
            own = part_of(entry, str(of["bake"]))
            self.record(own, EntryKind.CONFIRMED, happened, {**of, "reading": each.id})

    def _at_once(self, entry: str) -> list[Entry]:
        """An entry, and those that were recorded together with it for other bakes."""
        return said_at_once(self.line(entry).written, self._journal().entries.values())

    def lines(
        self,
        since: datetime | None = None,
        until: datetime | None = None,
        kinds: Collection[EntryKind] | None = None,
    ) -> Sequence[Line]:
        """What was written, with what became of it, the oldest first.

        since, until: by the time at which it happened as it now reads, `until` left out; kinds: of
        the entry as it was written.
        """
        journal = self._journal()
        lines = journal.in_order() if since is None else journal.since(since)
        if waiting := journal.waiting():
            waiting = [each for each in waiting if since is None or each.written.happened >= since]
            lines = sorted((*lines, *waiting), key=lambda line: in_order(line.written))
        if kinds is None and until is None:
            return lines
        return [
            line
            for line in lines
            if (kinds is None or line.written.kind in kinds)
            and (until is None or (line.now or line.written).happened < until)
        ]

    def keep_photo(self, content: bytes) -> str:
        """Keep a photograph, so that an entry may name it: its SHA-256.

        It is kept without its metadata, but for the orientation. Raises InputError.
        """
        picture = without_metadata(content, media_type(content))
        return self._store.put_photo(self._kitchen, picture).sha256

    def photo(self, sha256: str) -> tuple[bytes, str] | None:
        """The content of a photograph and its media type; None when it is not there."""
        found = self._store.photo(self._kitchen, sha256)
        return None if found is None else (found, media_type(found))

    def lost_photos(self, lines: Sequence[Line]) -> frozenset[str]:
        """The SHA-256 of each photograph that these lines name and the store has not."""
        entries = [line.now or line.written for line in lines]
        names = {str(each.body.get("sha256")) for each in entries if each.kind is EntryKind.PHOTO}
        return frozenset(names - self._store.photos_of(self._kitchen, names) if names else ())

    def line(self, entry: str) -> Line:
        """The line that `entry` began or amends. Raises NotThere."""
        journal, name = self._journal(), entry.lower()
        found = journal.line(name)
        for each in () if found is not None else journal.waiting():
            if name in {said.id for said in (each.written, *each.amendments)}:
                return each
        if found is None:
            raise NotThere("entry", entry)
        return found

    def _picture(self) -> Present | None:
        """The present; None where it cannot be made: what is at fault is put right here."""
        try:
            return self._present()
        except StoreError:
            raise
        except Exception:
            log.exception("the present cannot be made")
            return None

    def _journal(self) -> Journal:
        picture = self._picture()
        if picture is not None:
            return picture.replayed.journal
        return Journal().with_new(self._store.entries(self._kitchen), 0)[0]

    def line_of(self, entry: str, kinds: Collection[EntryKind], called: str) -> Line:
        """The same of an entry of some kinds, else raises NotThere; called: what it would be."""
        line = self.line(entry)
        if line.written.kind not in kinds:
            raise NotThere(called, entry)
        return line

    def has(self, entry: str) -> bool:
        """Whether the store has an entry of this identifier: what is sent again may be so."""
        return self._store.entry(self._kitchen, entry) is not None

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
        really: datetime | None = None,
    ) -> Saved:
        """right: the entry that is corrected, and what it should have said; really: and when."""
        there = self._store.entry(self._kitchen, entry)
        if there is not None and says_the_same(there, kind, body):
            return Saved(there, False)
        self._refuse_future(happened)
        if really is not None:
            self._refuse_future(really)
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
        return Saved(new, self._store.append(new), tuple(questions))

    def _tried(self, new: Entry, line: Entry, said: Mapping[str, Any]) -> Iterator[str]:
        """Refuse what would be set aside as soon as it was written, and say what it upsets.

        line: the entry that it is, or corrects; said: its body then. Raises InputError.
        """
        picture = self._picture()
        if picture is None:
            return
        replayed = picture.replayed
        name = said.get("culture")
        if line.kind is not EntryKind.CULTURE and name and replayed.lives.state.named(name) is None:
            raise InputError("culture", repr(name), say("a culture of this kitchen"))
        number = replayed.journal.change + 1  # as the store will count it: after all that is here
        with uncounted():
            after = replayed.with_new([replace(new, number=number)], number)
        known = {each.name for each in replayed.set_asides}
        for each in after.set_asides:
            if each.name == line.id and not each.counts:
                raise each.error()
            if each.name == line.id:
                yield say(
                    "{value}, where {expected} was expected",
                    value=each.value,
                    expected=each.expected,
                )
            elif each.name not in known:
                yield say("with it, a later entry cannot be used: {reason}", reason=each.reason)

    def _doubts(self, body: Mapping[str, Any]) -> Iterator[str]:
        """What is odd about a weight after baking."""
        picture = self._picture()
        bake = None if picture is None else picture.every_bake.get(str(body.get("bake")))
        if bake is None or body.get("when") not in ("baked", "cooled"):
            return
        dough_g = bake.plan.piece_g * body.get("pieces", 1.0)
        lost = 1 - body.get("grams", dough_g) / dough_g if dough_g else 0.0
        low, high = USUAL_LOSS
        if not low <= lost <= high:
            yield say("a bread that weighs {lost:.0%} less than its dough", lost=lost)

    def _refuse_future(self, happened: datetime) -> None:
        if happened.tzinfo is None:
            raise InputError("happened", happened.isoformat(), say("a time with its offset"))
        if not LONG_AGO <= happened <= self._clock() + SKEW:
            raise InputError(
                "happened", happened.isoformat(), say("a time that is not still to come")
            )


def _same_of(line: Line, wrong: str, first: Line) -> str | None:
    """What `wrong` is in the line that was recorded at once with the first: the entry itself, or
    the amendment that was written with it; None where there is none that holds."""
    amended_by = next((each for each in first.amendments if each.id == wrong.lower()), None)
    if amended_by is None:
        return None if line.now is None else line.written.id
    alike = (amended_by.kind, amended_by.arrived)
    return next((each.id for each in line.amendments if (each.kind, each.arrived) == alike), None)


def _last(line: Line, wrong: str) -> str | None:
    """The last amendment of an entry that is here; None where it has none."""
    of = [each.id for each in line.amendments if amended(each) == wrong.lower()]
    return of[-1] if of else None

"""Take an archive into a store: all of it in one transaction, or nothing.

The archive is read through and compared with its hashes before the store is touched. What the store
has already stays as it is when the archive says the same; when it does not, all is refused.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import islice
from pathlib import Path
from typing import Any, TypeVar

from sqlalchemy import Connection, Table, insert, select, text, update

from pointage.daybook.archive import manifest as m
from pointage.daybook.archive.archive import SINGLE, ArchiveReader
from pointage.daybook.archive.merge_samples import merge_samples
from pointage.daybook.archive.untouched import take_out_untouched
from pointage.daybook.errors import MergeError
from pointage.daybook.photograph import media_type
from pointage.daybook.store import tables
from pointage.daybook.store.database import Database
from pointage.errors import InputError
from pointage.language import say

AT_ONCE = 500
"""Entries that are looked up together."""

LOCKED = ("kitchen", "kitchen_text", "formula", "entry", "photo", "sensor", "sample", "rollup")

LineOf = TypeVar("LineOf", bound=m.ArchiveLine)

Places = Mapping[tuple[str, str], tuple[str, int]]
"""Where the archive has a record, its member and line, by sort and name: an entry by its id, a
formula's last revision by its slug, a kitchen's text by its revision."""

Trial = Callable[[Connection, Places], object]
"""Looks at what the store would hold, through the transaction that is to be ended."""


def import_from(
    store: Database,
    path: Path,
    one_kitchen: bool = False,
    trial: Trial | None = None,
    *,
    nobodys: str = "",
) -> tuple[m.ArchiveCounts, m.ArchiveCounts]:
    """Take the archive at `path` into a store: what it holds, and how much of that was new.

    one_kitchen: refuse, by a MergeError, what would leave the store with more than one.
    nobodys: the name of a kitchen that is nobody's yet: where nothing was ever kept in it, the
    archive comes in its place. trial: asked before anything is on the disk; whatever it raises,
    nothing is imported.

    Raises ArchiveError for an archive that is damaged or says what cannot be, NewerArchiveError,
    MergeError for one that says otherwise than the store, StoreError. After each the store is as
    it was.
    """
    with ArchiveReader(path) as archive:
        archive.verify()
        with store.writing("archive") as connection:
            if connection.dialect.name == "postgresql":
                # So that nobody writes the same record between our looking and our writing.
                connection.execute(
                    text(f"LOCK TABLE {', '.join(LOCKED)} IN SHARE ROW EXCLUSIVE MODE")
                )
            merge = _Merge(archive, connection)
            if nobodys:
                take_out_untouched(connection, nobodys, merge.brought())
            merge.all()
            if one_kitchen:
                _refuse_two(connection)
            if trial is not None:
                trial(connection, merge.places)
            return archive.manifest.counts, m.counted(merge.new)


class _Merge:
    """One archive on its way into the store behind one connection."""

    def __init__(self, archive: ArchiveReader, connection: Connection) -> None:
        self._archive = archive
        self._connection = connection
        self._named: set[str] = set()
        self._kitchens: set[str] = set()
        self._numbers: dict[str, int] = {}
        self._found: Counter[str] = Counter()
        self.new: Counter[str] = Counter()
        self.places: dict[tuple[str, str], tuple[str, int]] = {}

    def all(self) -> None:
        """Take in everything, and see that it was all."""
        self._take_kitchens()
        self._take_formulas()
        self._take_photos()
        self._take_sensors()
        self._take_entries()
        for member in self._archive.manifest.members:
            if member.path not in self._named and member.path not in SINGLE:
                raise self._archive.error(member.path, say("no line names it"))
        for name, count in self._archive.manifest.counts:
            if self._found[name] != count:
                reason = say(
                    "it counts {count} {what}; there are {found}",
                    count=count,
                    what=name.replace("_", " "),
                    found=self._found[name],
                )
                raise self._archive.error("manifest.json", reason)

    def brought(self) -> set[str]:
        """The kitchens of the archive, by their identifiers."""
        return {line.kitchen for _, line in self._lines("kitchens.jsonl", m.KitchenLine)}

    def _take_kitchens(self) -> None:
        path, table = "kitchens.jsonl", tables.kitchen_text
        there = {(row.kitchen, row.revision): row for row in self._rows(table)}
        last: dict[str, m.KitchenLine] = {}
        for number, line in self._lines(path, m.KitchenLine):
            before = last.get(line.kitchen)
            self._next(path, number, line.revision, before.revision if before else 0)
            last[line.kitchen] = line
            self.places["kitchen", str(line.revision)] = path, number
            row = {
                "kitchen": line.kitchen,
                "revision": line.revision,
                "name": line.name,
                "zone": line.zone,
                "text": self._archive.text(self._member(path, number, line.file)),
                "kept": line.kept,
            }
            known = there.get((line.kitchen, line.revision))
            if known is None:
                kitchen = {"id": line.kitchen} | {key: row[key] for key in ("name", "zone", "text")}
                self._put_kitchen(kitchen)
                self._connection.execute(insert(table).values(row))
                self.new["kitchen_texts"] += 1
            else:
                same = all(row[key] == known._mapping[key] for key in ("name", "zone", "text"))
                self._agree(
                    same,
                    say(
                        "kitchen {name!r}, text {revision}", name=line.name, revision=line.revision
                    ),
                )
            self._found["kitchen_texts"] += 1
        self._kitchens = set(last)
        self._numbers = {each: self._counted(each) for each in last}
        self._found["kitchens"] = len(last)
        self.new["kitchens"] = len(set(last) - {kitchen for kitchen, _ in there})

    def _put_kitchen(self, kitchen: Mapping[str, Any]) -> None:
        table = tables.kitchen
        changed = self._connection.execute(
            update(table).where(table.c.id == kitchen["id"]).values(kitchen)
        )
        if not changed.rowcount:
            self._connection.execute(insert(table).values(kitchen))

    def _counted(self, kitchen: str) -> int:
        """The first number of this import among the kitchen's changes."""
        table = tables.kitchen
        count = update(table).where(table.c.id == kitchen).values(changes=table.c.changes + 1)
        return int(self._connection.execute(count.returning(table.c.changes)).scalar_one())

    def _take_formulas(self) -> None:
        path, table = "formulas.jsonl", tables.formula
        there = {(row.kitchen, row.slug, row.revision): row.text for row in self._rows(table)}
        last: dict[tuple[str, str], int] = {}
        for number, line in self._lines(path, m.FormulaLine):
            key = line.kitchen, line.slug
            self._belongs(path, number, line.kitchen)
            self._next(path, number, line.revision, last.get(key, 0))
            last[key] = line.revision
            self.places["formula", line.slug] = path, number
            words = self._archive.text(self._member(path, number, line.file))
            known = there.get((*key, line.revision))
            if known is None:
                values = {"kitchen": line.kitchen, "slug": line.slug, "revision": line.revision}
                values |= {"text": words, "kept": line.kept}
                self._connection.execute(insert(table).values(values))
                self.new["formula_texts"] += 1
            else:
                self._agree(
                    words == known,
                    say(
                        "formula {slug!r}, revision {revision}",
                        slug=line.slug,
                        revision=line.revision,
                    ),
                )
            self._found["formula_texts"] += 1
        self._found["formulas"] = len(last)
        self.new["formulas"] = len(set(last) - {key[:2] for key in there})

    def _take_photos(self) -> None:
        path, table = "photos.jsonl", tables.photo
        columns = table.c
        rows = self._connection.execute(select(columns.kitchen, columns.sha256))
        there = {(row.kitchen, row.sha256) for row in rows}
        seen = set()
        hashes = {each.path: each.sha256 for each in self._archive.manifest.members}
        for number, line in self._lines(path, m.PhotoLine):
            key = line.kitchen, line.sha256
            self._belongs(path, number, line.kitchen)
            member = self._member(path, number, line.file, shared=True)
            if key in seen:
                raise self._archive.error(path, say("the photograph was there before"), number)
            seen.add(key)
            if hashes[member] != line.sha256:
                raise self._archive.error(
                    member,
                    say("line {number} of {path} has another SHA-256", number=number, path=path),
                )
            if key not in there:
                content = self._archive.read(member)
                try:
                    media = media_type(content)
                except InputError as error:
                    raise self._archive.error(
                        member, say("it is not {expected}", expected=error.expected)
                    ) from None
                if media != line.media_type:
                    raise self._archive.error(
                        member,
                        say(
                            "it is {media}, not {media_type}",
                            media=media,
                            media_type=line.media_type,
                        ),
                    )
                values = {"kitchen": line.kitchen, "sha256": line.sha256, "media_type": media}
                self._connection.execute(
                    insert(table).values(size=len(content), content=content, **values)
                )
                self.new["photos"] += 1
            self._found["photos"] += 1

    def _take_sensors(self) -> None:
        path, table = "sensors.jsonl", tables.sensor
        there = {row.id: row for row in self._rows(table)}
        names = {(row.kitchen, row.name): row.id for row in there.values()}
        seen = set()
        for number, line in self._lines(path, m.SensorLine):
            self._belongs(path, number, line.kitchen)
            if line.id in seen:
                raise self._archive.error(path, say("the sensor was there before"), number)
            seen.add(line.id)
            known = there.get(line.id)
            if known is not None:  # where it stands today is for the store to say
                same = (known.kitchen, known.kind) == (line.kitchen, line.kind.value)
                self._agree(same, say("sensor {name!r}", name=line.name))
            else:
                twin = names.setdefault((line.kitchen, line.name), line.id)
                self._agree(
                    twin == line.id,
                    say("sensor {name!r}", name=line.name),
                    say("another one has that name"),
                )
                values = {"id": line.id, "kitchen": line.kitchen, "kind": line.kind.value}
                self._connection.execute(
                    insert(table).values(name=line.name, place=line.place, **values)
                )
                self.new["sensors"] += 1
            key = self._connection.execute(
                select(table.c.number).where(table.c.id == line.id)
            ).scalar_one()
            member = self._member(path, number, line.file)
            found, new = merge_samples(self._archive, member, line, self._connection, key)
            if found != line.samples:
                reason = say(
                    "it says {samples} samples; {member} has {found}",
                    samples=line.samples,
                    member=member,
                    found=found,
                )
                raise self._archive.error(path, reason, number)
            self._found["sensors"] += 1
            self._found["samples"] += found
            self.new["samples"] += new

    def _take_entries(self) -> None:
        path, table = "entries.jsonl", tables.entry
        last = dict(self._numbers)
        for part in _parts(self._lines(path, m.EntryLine)):
            for number, line in part:
                self._belongs(path, number, line.kitchen)
                self.places["entry", line.id] = path, number
            query = select(table).where(table.c.id.in_([line.id for _, line in part]))
            there = {row.id: _content(row) for row in self._connection.execute(query)}
            rows = []
            for _, line in part:
                known = there.get(line.id)
                if known is None:
                    # After all that is here, and among themselves as they were.
                    number = self._numbers[line.kitchen] + line.number
                    last[line.kitchen] = max(last[line.kitchen], number)
                    rows.append(line.model_dump() | {"number": number})
                    there[line.id] = _content(line)
                elif known != _content(line):
                    self._agree(False, say("entry {id}", id=line.id))
            if rows:
                self._connection.execute(insert(table), rows)
            self._found["entries"] += len(part)
            self.new["entries"] += len(rows)
        kitchen = tables.kitchen
        for name, number in last.items():
            counted = update(kitchen).where(kitchen.c.id == name).values(changes=number)
            self._connection.execute(counted)

    def _lines(self, path: str, kind: type[LineOf]) -> Iterator[tuple[int, LineOf]]:
        for number, line in self._archive.lines(path):
            try:
                yield number, m.read_line(kind, m.read_json(line))
            except m.Malformed as error:
                raise self._archive.error(path, str(error), number) from None

    def _rows(self, table: Table) -> Any:
        return self._connection.execute(select(table)).all()

    def _belongs(self, path: str, number: int, kitchen: str) -> None:
        if kitchen not in self._kitchens:
            reason = say("kitchen {kitchen!r} is not in kitchens.jsonl", kitchen=kitchen)
            raise self._archive.error(path, reason, number)

    def _next(self, path: str, number: int, revision: int, before: int) -> None:
        if revision != before + 1:
            reason = say(
                "revision {revision} does not follow {before}", revision=revision, before=before
            )
            raise self._archive.error(path, reason, number)

    def _member(self, path: str, number: int, file: str, shared: bool = False) -> str:
        """The member that a line names. shared: whether another line may name it too."""
        if not self._archive.holds(file):
            raise self._archive.error(path, say("there is no member {file}", file=file), number)
        if file in self._named and not shared:
            raise self._archive.error(path, say("another line names {file} too", file=file), number)
        self._named.add(file)
        return file

    def _agree(self, same: bool, record: str, reason: str = "") -> None:
        if not same:
            raise MergeError(record, reason or say("the store has another one"))


def _refuse_two(connection: Connection) -> None:
    names = connection.execute(select(tables.kitchen.c.name)).scalars().all()
    if len(names) > 1:
        reason = say(
            "the store has another kitchen; import into a store of its own, named by --store"
        )
        raise MergeError(say("kitchens {names}", names=say(" and ").join(map(repr, names))), reason)


def _content(entry: Any) -> tuple[object, ...]:
    """What must be the same; an entry may well arrive twice."""
    return entry.kitchen, entry.kind, entry.happened, entry.author, entry.body


def _parts(lines: Iterable[tuple[int, LineOf]]) -> Iterator[list[tuple[int, LineOf]]]:
    each = iter(lines)
    while part := list(islice(each, AT_ONCE)):
        yield part

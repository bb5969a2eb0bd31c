"""The kitchen's own file: read it by tables, change one, and keep every text it has had."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from pointage.daybook.errors import StaleRevisionError
from pointage.daybook.store.store import Store
from pointage.desk.now.present import Present
from pointage.errors import Complaint, InputError
from pointage.formula.formula import Formula
from pointage.kitchen.file.edit import changed, lists, table, values, without
from pointage.kitchen.file.merge import on_latest
from pointage.kitchen.file.read import read_kitchen
from pointage.kitchen.file.read_place import NONE_FOR_DOUGH
from pointage.language import say, say_many

SOURCE = "kitchen.toml"
NEEDED = ("place", "vessel", "scale")
"""Kinds of which a kitchen has at least one; of places, one that dough can stand in."""
TRIES = 50
"""So often a change is made anew on a text that another writer has just kept."""


@dataclass(frozen=True, slots=True)
class Hanging:
    """What hangs on a thing of the kitchen. formulas: that name it; cultures: that stand in it."""

    formulas: tuple[str, ...]
    cultures: tuple[str, ...]


def hanging(present: Present, kind: str, name: str) -> Hanging:
    """What hangs on the thing of a kind called so."""
    named = tuple(
        each.name
        for each in present.formulas.values()
        if not each.put_away and name.casefold() in _named_by(each, kind)
    )
    here = name.casefold()
    inside = [each.name for each in present.kitchen.cultures if each.place.casefold() == here]
    return Hanging(named, tuple(inside) if kind == "place" else ())


def _named_by(formula: Formula, kind: str) -> set[str]:
    process, names = formula.process, set[str | None]()
    if kind == "oven" and process is not None:
        names = {process.oven_name}
    if kind == "place":
        names = {stage.place for stage in formula.stages}
        if process is not None:
            names |= {process.bulk_place, process.proof_place, process.retard_place}
    return {each.casefold() for each in names if each}


@dataclass(frozen=True, slots=True)
class Kept:
    """A text that the file has had, and since when."""

    revision: int
    kept: datetime | None


@dataclass(frozen=True, slots=True)
class Text:
    """A text of the file and the number of its revision."""

    text: str
    revision: int

    def tables(self, kind: str) -> list[dict[str, str]]:
        """What each table of a kind says, by key."""
        return values(self.text, kind)


class KitchenFileDesk:
    """The file of one stored kitchen. Nothing is kept that could not be read as a kitchen.

    after: the revision that a change was made from, which whoever makes it has seen.
    """

    def __init__(
        self, store: Store, clock: Callable[[], datetime], present: Callable[[], Present]
    ) -> None:
        self._store = store
        self._clock = clock
        self._present = present

    @property
    def last(self) -> Text:
        """The file as it stands."""
        present = self._present()
        return Text(present.record.text, present.revision)

    @property
    def text(self) -> str:
        return self.last.text

    def sign(self) -> tuple[str, ZoneInfo]:
        """The kitchen's name and zone as they were kept beside the file, which need not be read."""
        record = self._store.kitchens()[0]  # a store takes one kitchen
        return record.name, ZoneInfo(record.zone)

    def tables(self, kind: str, revision: int | None = None) -> list[dict[str, str]]:
        """What each table of a kind says, by key: now, or in a revision. Raises InputError."""
        text = self.text if revision is None else self.text_of(revision)
        return values(text, kind)

    def add(
        self, kind: str, typed: Mapping[str, str], after: int, again: tuple[str, int] | None = None
    ) -> None:
        """Add a table. again: with the lists and inner tables of the one that was called so in a
        revision. Raises InputError; RowChangedError where another has its name meanwhile."""
        name, beside = typed.get("name", "").strip(), {}
        if again is not None:
            beside = lists(kind, table(self.text_of(again[1]), kind, again[0]))
        self.edit(kind, name, lambda text: changed(text, kind, None, typed, beside), after)

    def put(self, kind: str, name: str, typed: Mapping[str, str], after: int) -> None:
        """Change the table called so. Raises InputError; RowChangedError as `edit` does."""
        renamed = typed.get("name", "").strip()
        self.edit(kind, name, lambda text: changed(text, kind, name, typed), after, renamed=renamed)

    def remove(self, kind: str, name: str, after: int) -> None:
        """Take the table called so out. Raises InputError, also where the kitchen cannot do without
        it; RowChangedError as `edit` does."""
        self._check_free(kind, name)
        self.edit(kind, name, lambda text: without(text, kind, name), after)

    def _check_free(self, kind: str, name: str) -> None:
        """Raises InputError where it is the last of its kind, or something stands in it."""
        others = [each for each in self.tables(kind) if each.get("name") != name]
        if kind == "place":
            others = [each for each in others if each.get("kind") not in NONE_FOR_DOUGH]
            inside = hanging(self._present(), kind, name).cultures
            if inside:
                told = say_many("{names} stands there", "{names} stand there", len(inside),
                                names=", ".join(inside))  # fmt: skip
                expected = say("no culture in it: move it elsewhere, or retire it, first")
                raise InputError(name, Complaint(told), expected)
        if kind in NEEDED and not others:
            told = say("the only place for dough") if kind == "place" else say("the only one")
            expected = say("another one first, for plans need one")
            raise InputError(name, Complaint(told), expected)

    def edit(
        self,
        kind: str,
        name: str,
        change: Callable[[str], str],
        after: int,
        *,
        renamed: str | None = None,
    ) -> None:
        """Change one table on the text that stands now, whatever became of the others.

        Raises InputError, and RowChangedError where that table is another than in `after`, or there
        was never such a revision.
        """
        base = self._texts().get(after)
        for left in reversed(range(TRIES)):
            last = self.last
            text = on_latest(base, last.text, kind, name, change, renamed=renamed)
            try:
                self.put_text(text, last.revision)
                break
            except StaleRevisionError:
                if not left:
                    raise

    def put_text(self, text: str, after: int) -> None:
        """Keep a whole new text; the one before stays in the store. Raises InputError, and
        StaleRevisionError where `after` is not the last revision."""
        kitchen = read_kitchen(text, self._clock(), SOURCE)
        record = self._present().record
        if text == record.text:
            return
        new = replace(record, name=kitchen.name, zone=kitchen.zone.key, text=text)
        self._store.put_kitchen(new, self._clock(), after=after)

    def texts(self) -> list[Kept]:
        """Every text it has had, the newest first."""
        found = self._store.kitchen_texts(self._present().record.id)
        return [Kept(each.revision, each.kept) for each in reversed(found)]

    def text_of(self, revision: int) -> str:
        """An earlier text. Raises InputError where there is none."""
        text = self._texts().get(revision)
        if text is None:
            raise InputError("revision", str(revision), say("one that the file has had"))
        return text

    def _texts(self) -> dict[int, str]:
        found = self._store.kitchen_texts(self._present().record.id)
        return {each.revision: each.text for each in found}

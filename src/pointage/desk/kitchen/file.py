"""The kitchen's own file: read it by tables, change one, and keep every text it has had."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from pointage.daybook.errors import StaleRevisionError
from pointage.daybook.store.store import Store
from pointage.desk.now.present import Present
from pointage.errors import InputError
from pointage.kitchen.file.edit import changed, lists, table, values, without
from pointage.kitchen.file.merge import on_latest
from pointage.kitchen.file.read import read_kitchen
from pointage.language import say

SOURCE = "kitchen.toml"
TRIES = 50
"""So often a change is made anew on a text that another writer has just kept."""


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

    def tables(self, kind: str) -> list[dict[str, str]]:
        """What each table of a kind says, by key."""
        return self.last.tables(kind)

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
        self.edit(kind, name, lambda text: without(text, kind, name), after)

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

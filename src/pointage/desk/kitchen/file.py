"""The kitchen's own file: read it by tables, change one, and keep every text it has had."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from pointage.daybook.store.store import Store
from pointage.desk.now.present import Present
from pointage.errors import InputError
from pointage.kitchen.file.edit import changed, values, without
from pointage.kitchen.file.read import read_kitchen

SOURCE = "kitchen.toml"


@dataclass(frozen=True, slots=True)
class Kept:
    """A text that the file has had, and since when."""

    revision: int
    kept: datetime | None


class KitchenFileDesk:
    """The file of one stored kitchen. Nothing is kept that could not be read as a kitchen."""

    def __init__(
        self, store: Store, clock: Callable[[], datetime], present: Callable[[], Present]
    ) -> None:
        self._store = store
        self._clock = clock
        self._present = present

    @property
    def text(self) -> str:
        """The file as it is."""
        return self._present().record.text

    def sign(self) -> tuple[str, ZoneInfo]:
        """The kitchen's name and zone as they were kept beside the file, which need not be read."""
        record = self._store.kitchens()[0]  # a store takes one kitchen
        return record.name, ZoneInfo(record.zone)

    def tables(self, kind: str) -> list[dict[str, str]]:
        """What each table of a kind says, by key."""
        return values(self.text, kind)

    def put(self, kind: str, number: int | None, told: Mapping[str, str]) -> None:
        """Change a table, or add one where number is None. Raises InputError."""
        self.put_text(changed(self.text, kind, number, told))

    def remove(self, kind: str, number: int) -> None:
        """Take a table out. Raises InputError, also where the kitchen cannot do without it."""
        self.put_text(without(self.text, kind, number))

    def put_text(self, text: str) -> None:
        """Keep a whole new text; the one before stays in the store. Raises InputError."""
        kitchen = read_kitchen(text, self._clock(), SOURCE)
        record = self._present().record
        if text == record.text:
            return
        new = replace(record, name=kitchen.name, zone=kitchen.zone.key, text=text)
        self._store.put_kitchen(new, self._clock())

    def texts(self) -> list[Kept]:
        """Every text it has had, the newest first."""
        found = self._store.kitchen_texts(self._present().record.id)
        return [Kept(each.revision, each.kept) for each in reversed(found)]

    def text_of(self, revision: int) -> str:
        """An earlier text. Raises InputError where there is none."""
        for each in self._store.kitchen_texts(self._present().record.id):
            if each.revision == revision:
                return each.text
        raise InputError("revision", str(revision), "one that the file has had")

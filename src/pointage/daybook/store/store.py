"""The store: kitchens, formulas and the daybook, in SQLite or PostgreSQL.

Every call is one transaction; when it returns, what it wrote is on the disk.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection, bindparam, func, select

from pointage.daybook.entry import (
    FormulaRecord,
    KitchenRecord,
    KitchenText,
    Snapshot,
)
from pointage.daybook.errors import StaleRevisionError
from pointage.daybook.store import tables
from pointage.daybook.store.entries import Entries
from pointage.daybook.store.opening import open_engine
from pointage.daybook.store.photos import Photos
from pointage.daybook.store.sensors import Sensors
from pointage.errors import InputError
from pointage.language import say

_TEXT = tables.kitchen_text
_LAST_TEXT = select(func.max(_TEXT.c.revision)).where(_TEXT.c.kitchen == bindparam("of"))
_STANDS = (
    select(
        tables.kitchen,
        _TEXT.c.revision,
        _TEXT.c.kept,
        # Texts of formulas are only ever added, so their number says whether there is a new one.
        select(func.count())
        .select_from(tables.formula)
        .where(tables.formula.c.kitchen == bindparam("of"))
        .scalar_subquery()
        .label("formula_texts"),
    )
    .outerjoin(
        _TEXT,
        (_TEXT.c.kitchen == tables.kitchen.c.id)
        & (_TEXT.c.revision == _LAST_TEXT.scalar_subquery()),
    )
    .where(tables.kitchen.c.id == bindparam("of"))
)
"""A kitchen, its last text's number, and how many texts its formulas have had."""


def open_store(url: str) -> Store:
    """The store at `url`, its tables brought up to date; see `opening.open_engine` for errors."""
    return Store(open_engine(url))


class Store(Entries, Photos, Sensors):
    """An open store. Safe to share between threads. Raises StoreError when it cannot be reached."""

    def kitchens(self) -> list[KitchenRecord]:
        """Every kitchen, by name."""
        table = tables.kitchen
        with self.reading() as connection:
            rows = connection.execute(select(table).order_by(table.c.name, table.c.id))
            return [KitchenRecord(row.id, row.name, row.zone, row.text) for row in rows]

    def put_kitchen(
        self, kitchen: KitchenRecord, kept: datetime | None = None, *, after: int = 0
    ) -> int:
        """Keep this kitchen as the revision that follows `after`: the number of what stands now.

        after: the revision it was made from, 0 for a new kitchen. kept: when it was, where that is
        known. What says the same as the last revision makes no new one. Raises StaleRevisionError
        where another revision followed `after`.
        """
        said = {"name": kitchen.name, "zone": kitchen.zone, "text": kitchen.text}
        insert = self._insert(tables.kitchen).values(id=kitchen.id, changes=1, **said)
        texts = tables.kitchen_text
        last = (
            select(texts)
            .where(texts.c.kitchen == kitchen.id)
            .order_by(texts.c.revision.desc())
            .limit(1)
        )
        values = said | {"changes": tables.kitchen.c.changes + 1}
        with self.writing(kitchen.id) as connection:
            # The kitchen's row is held from here on, so two writers cannot take the same number.
            connection.execute(insert.on_conflict_do_update(index_elements=["id"], set_=values))
            there = connection.execute(last).one_or_none()
            number = 0 if there is None else int(there.revision)
            if there and all(there._mapping[name] == text for name, text in said.items()):
                return number
            if number != after:
                raise StaleRevisionError(say("kitchen {name!r}", name=kitchen.name), after, number)
            connection.execute(
                self._insert(texts).values(
                    kitchen=kitchen.id, revision=number + 1, kept=kept, **said
                )
            )
            return number + 1

    def snapshot(self, kitchen: str, known: Snapshot | None = None) -> Snapshot:
        """A kitchen's last text, its formulas, and what was written since `known`, of one moment.

        known: an earlier snapshot; None for every entry. Raises InputError for a kitchen that is
        not there.
        """
        with self.reading() as connection:
            row = connection.execute(_STANDS, {"of": kitchen}).one_or_none()
            if row is None:
                raise InputError("kitchen", repr(kitchen), say("one that is in the store"))
            if known is not None and known.formula_texts == row.formula_texts:
                formulas = known.formulas
            else:
                formulas = self._latest_formulas(connection, kitchen)
            return Snapshot(
                change=row.changes,
                kitchen=KitchenRecord(row.id, row.name, row.zone, row.text),
                revision=row.revision or 0,
                kept=row.kept,
                formula_texts=row.formula_texts,
                formulas=formulas,
                entries=self.after(connection, kitchen, None if known is None else known.change),
            )

    def kitchen_texts(self, kitchen: str) -> list[KitchenText]:
        """Every text the kitchen has had, the first first."""
        table = tables.kitchen_text
        query = select(table).where(table.c.kitchen == kitchen).order_by(table.c.revision)
        with self.reading() as connection:
            return [
                KitchenText(row.kitchen, row.revision, row.name, row.zone, row.text, row.kept)
                for row in connection.execute(query)
            ]

    def formulas(self, kitchen: str) -> list[FormulaRecord]:
        """The latest revision of every formula of a kitchen, by slug."""
        with self.reading() as connection:
            return self._latest_formulas(connection, kitchen)

    def _latest_formulas(self, connection: Connection, kitchen: str) -> list[FormulaRecord]:
        table = tables.formula
        latest = (
            select(table.c.slug, func.max(table.c.revision).label("revision"))
            .where(table.c.kitchen == kitchen)
            .group_by(table.c.slug)
            .subquery()
        )
        query = (
            select(table)
            .join(
                latest,
                (table.c.slug == latest.c.slug) & (table.c.revision == latest.c.revision),
            )
            .where(table.c.kitchen == kitchen)
            .order_by(table.c.slug)
        )
        return [
            FormulaRecord(row.kitchen, row.slug, row.revision, row.text, row.kept)
            for row in connection.execute(query)
        ]

    def formula_texts(self, kitchen: str, slug: str) -> list[FormulaRecord]:
        """Every revision of a formula, the first first."""
        table = tables.formula
        query = (
            select(table)
            .where(table.c.kitchen == kitchen, table.c.slug == slug)
            .order_by(table.c.revision)
        )
        with self.reading() as connection:
            return [
                FormulaRecord(row.kitchen, row.slug, row.revision, row.text, row.kept)
                for row in connection.execute(query)
            ]

    def put_formula(
        self, kitchen: str, slug: str, text: str, kept: datetime | None = None, *, after: int = 0
    ) -> FormulaRecord:
        """Keep this text as the formula's revision that follows `after`; earlier ones stay.

        after: the revision it was made from, 0 for a new formula. kept: when it was, where that is
        known. What says the same as the last revision makes no new one. Raises StaleRevisionError
        where another revision followed `after`.
        """
        table = tables.formula
        latest = (
            select(table)
            .where(table.c.kitchen == kitchen, table.c.slug == slug)
            .order_by(table.c.revision.desc())
            .limit(1)
        )
        with self.changing(kitchen) as (connection, _):
            there = connection.execute(latest).one_or_none()
            last = 0 if there is None else int(there.revision)
            if there and there.text == text:
                return FormulaRecord(kitchen, slug, last, text, there.kept)
            if last != after:
                raise StaleRevisionError(say("formula {slug!r}", slug=slug), after, last)
            record = FormulaRecord(kitchen, slug, last + 1, text, kept)
            connection.execute(
                self._insert(table).values(
                    kitchen=kitchen, slug=slug, revision=record.revision, text=text, kept=kept
                )
            )
        return record

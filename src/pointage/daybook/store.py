"""The store: kitchens, formulas and the daybook, in SQLite or PostgreSQL.

Every call is one transaction; when it returns, what it wrote is on the disk.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import func, select

from pointage.daybook import tables
from pointage.daybook.entries import Entries
from pointage.daybook.entry import FormulaRecord, KitchenRecord, KitchenText
from pointage.daybook.opening import open_engine
from pointage.daybook.photos import Photos
from pointage.daybook.sensors import Sensors


def open_store(url: str) -> Store:
    """The store at `url`, its tables brought up to date; see `opening.open_engine` for errors."""
    return Store(open_engine(url))


class Store(Entries, Photos, Sensors):
    """An open store. Safe to share between threads. Raises StoreError when it cannot be reached."""

    def revision(self, kitchen: str) -> int:
        """A number that grows with whatever is written of a kitchen."""
        counts = [
            select(func.count()).where(table.c.kitchen == kitchen).scalar_subquery()
            for table in (
                tables.entry,
                tables.kitchen_text,
                tables.formula,
                tables.photo,
                tables.sensor,
            )
        ]
        with self.reading() as connection:
            return sum(connection.execute(select(*counts)).one())

    def kitchens(self) -> list[KitchenRecord]:
        """Every kitchen, by name."""
        table = tables.kitchen
        with self.reading() as connection:
            rows = connection.execute(select(table).order_by(table.c.name, table.c.id))
            return [KitchenRecord(row.id, row.name, row.zone, row.text) for row in rows]

    def put_kitchen(self, kitchen: KitchenRecord, kept: datetime | None = None) -> None:
        """Keep this kitchen in the place of one with the same id, whose text stays as a revision.

        kept: when that was, if it is to be told. What is there already makes no new revision.
        """
        values = {"name": kitchen.name, "zone": kitchen.zone, "text": kitchen.text}
        insert = self._insert(tables.kitchen).values(id=kitchen.id, **values)
        texts = tables.kitchen_text
        last = (
            select(texts)
            .where(texts.c.kitchen == kitchen.id)
            .order_by(texts.c.revision.desc())
            .limit(1)
        )
        with self.writing(kitchen.id) as connection:
            # The kitchen's row is held from here on, so two writers cannot take the same number.
            connection.execute(insert.on_conflict_do_update(index_elements=["id"], set_=values))
            there = connection.execute(last).one_or_none()
            if there is None or any(there._mapping[name] != values[name] for name in values):
                number = 1 if there is None else there.revision + 1
                connection.execute(
                    self._insert(texts).values(
                        kitchen=kitchen.id, revision=number, kept=kept, **values
                    )
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
        with self.reading() as connection:
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
        self, kitchen: str, slug: str, text: str, kept: datetime | None = None
    ) -> FormulaRecord:
        """Keep this text as the formula's next revision; earlier ones stay.

        kept: when that was, if it is to be told.
        """
        table = tables.formula
        with self.writing(kitchen) as connection:
            # The kitchen's row is held so that two writers cannot take the same number.
            held = select(tables.kitchen.c.id).where(tables.kitchen.c.id == kitchen)
            connection.execute(held.with_for_update())
            last = connection.scalar(
                select(func.max(table.c.revision)).where(
                    table.c.kitchen == kitchen, table.c.slug == slug
                )
            )
            record = FormulaRecord(kitchen, slug, (last or 0) + 1, text, kept)
            connection.execute(
                self._insert(table).values(
                    kitchen=kitchen, slug=slug, revision=record.revision, text=text, kept=kept
                )
            )
        return record

"""Photographs: stored once, by the hash of their content."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from hashlib import sha256

from sqlalchemy import select

from pointage.daybook.photograph import media_type
from pointage.daybook.store import tables
from pointage.daybook.store.database import Database


@dataclass(frozen=True, slots=True)
class PhotoRecord:
    """A photograph in the store, without its content. size in bytes."""

    kitchen: str
    sha256: str
    media_type: str
    size: int


class Photos(Database):
    """The store's photographs. They have no file names: the hash of the content is the name."""

    def put_photo(self, kitchen: str, content: bytes) -> PhotoRecord:
        """Keep a JPEG, PNG or WebP as it is; one that is there already is kept once.

        Raises InputError, field "photo", for other content and for more than 8 MB.
        """
        media = media_type(content)
        photo = PhotoRecord(kitchen, sha256(content).hexdigest(), media, len(content))
        insert = self._insert(tables.photo).values(
            kitchen=kitchen,
            sha256=photo.sha256,
            media_type=photo.media_type,
            size=photo.size,
            content=content,
        )
        with self.changing(kitchen) as (connection, _):
            connection.execute(insert.on_conflict_do_nothing())
        return photo

    def photos(self, kitchen: str) -> list[PhotoRecord]:
        """Every photograph of a kitchen, without its content, by hash."""
        table = tables.photo
        query = (
            select(table.c.kitchen, table.c.sha256, table.c.media_type, table.c.size)
            .where(table.c.kitchen == kitchen)
            .order_by(table.c.sha256)
        )
        with self.reading() as connection:
            return [PhotoRecord(*row) for row in connection.execute(query)]

    def photos_of(self, kitchen: str, names: Collection[str]) -> frozenset[str]:
        """Which of these SHA-256 are there."""
        table = tables.photo
        query = select(table.c.sha256).where(table.c.kitchen == kitchen, table.c.sha256.in_(names))
        with self.reading() as connection:
            return frozenset(connection.scalars(query))

    def photo(self, kitchen: str, name: str) -> bytes | None:
        """The content of the photograph whose SHA-256 is `name`; None when it is not there."""
        table = tables.photo
        query = select(table.c.content).where(table.c.kitchen == kitchen, table.c.sha256 == name)
        with self.reading() as connection:
            return connection.scalar(query)

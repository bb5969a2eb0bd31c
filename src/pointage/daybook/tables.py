"""The tables of the store, as SQLAlchemy Core sees them. The migrations are what builds them."""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import (
    JSON,
    Column,
    DateTime,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    TypeDecorator,
)

REVISION = "0001"
"""The last migration, which these tables describe."""


class Instant(TypeDecorator[datetime]):
    """An aware datetime, kept in UTC. SQLite keeps no offsets, so it is put back on the way out."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value.isoformat()} has no offset")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


metadata = MetaData()

kitchen = Table(
    "kitchen",
    metadata,
    Column("id", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("zone", Text, nullable=False),
    Column("text", Text, nullable=False),
)

formula = Table(
    "formula",
    metadata,
    Column("kitchen", Text, ForeignKey("kitchen.id"), primary_key=True),
    Column("slug", Text, primary_key=True),
    Column("revision", Integer, primary_key=True),
    Column("text", Text, nullable=False),
)

entry = Table(
    "entry",
    metadata,
    Column("id", Text, primary_key=True),
    Column("kitchen", Text, ForeignKey("kitchen.id"), nullable=False),
    Column("kind", Text, nullable=False),
    Column("happened", Instant, nullable=False),
    Column("arrived", Instant, nullable=False),
    Column("author", Text, nullable=False),
    Column("body", JSON, nullable=False),
    Index("entry_in_order", "kitchen", "happened", "arrived", "id"),
    sqlite_with_rowid=False,
)

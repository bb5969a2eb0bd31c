"""The tables of the store, as SQLAlchemy Core sees them. The migrations are what builds them."""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import (
    JSON,
    BigInteger,
    Column,
    DateTime,
    Dialect,
    Double,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)

REVISION = "0004"
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
    Column("changes", BigInteger, nullable=False, server_default="0"),
)
"""changes: how often anything of the kitchen was written, so that one row says what is new."""

kitchen_text = Table(
    "kitchen_text",
    metadata,
    Column("kitchen", Text, ForeignKey("kitchen.id"), primary_key=True),
    Column("revision", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("zone", Text, nullable=False),
    Column("text", Text, nullable=False),
    Column("kept", Instant),
)
"""Every text a kitchen has had; the last one is the one in `kitchen`."""

formula = Table(
    "formula",
    metadata,
    Column("kitchen", Text, ForeignKey("kitchen.id"), primary_key=True),
    Column("slug", Text, primary_key=True),
    Column("revision", Integer, primary_key=True),
    Column("text", Text, nullable=False),
    Column("kept", Instant),
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
    Column("number", BigInteger, nullable=False, server_default="0"),
    Index("entry_in_order", "kitchen", "happened", "arrived", "id"),
    Index("entry_by_arrival", "kitchen", "arrived"),
    Index("entry_by_number", "kitchen", "number"),
    sqlite_with_rowid=False,
)
"""number: which change of its kitchen wrote it, in this store."""

photo = Table(
    "photo",
    metadata,
    Column("kitchen", Text, ForeignKey("kitchen.id"), primary_key=True),
    Column("sha256", Text, primary_key=True),
    Column("media_type", Text, nullable=False),
    Column("size", Integer, nullable=False),
    Column("content", LargeBinary, nullable=False),
)

sensor = Table(
    "sensor",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("id", Text, nullable=False, unique=True),
    Column("kitchen", Text, ForeignKey("kitchen.id"), nullable=False),
    Column("name", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("place", Text, nullable=False),
    Column("token_sha256", Text, unique=True),
    UniqueConstraint("kitchen", "name"),
)
"""The number is this store's own and keeps a sample small; the id is the same in every store."""

sample = Table(
    "sample",
    metadata,
    Column("sensor", Integer, ForeignKey("sensor.number"), primary_key=True),
    Column("at_ms", BigInteger, primary_key=True),
    Column("value", Double, nullable=False),
    sqlite_with_rowid=False,
)
"""Instants are milliseconds since 1970 in UTC: half the bytes, and roll-ups by plain division."""

rollup = Table(
    "rollup",
    metadata,
    Column("sensor", Integer, ForeignKey("sensor.number"), primary_key=True),
    Column("span_ms", Integer, primary_key=True),
    Column("from_ms", BigInteger, primary_key=True),
    Column("n", Integer, nullable=False),
    Column("total", Double, nullable=False),
    Column("least", Double, nullable=False),
    Column("most", Double, nullable=False),
    sqlite_with_rowid=False,
)
"""What the samples of an hour or a day come to; always to be had again from the samples."""

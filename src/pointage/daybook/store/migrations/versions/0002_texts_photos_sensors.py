"""Every text of a kitchen, photographs, and sensors with their samples and roll-ups.

A migration stands for ever, so it repeats the tables as they were and imports nothing of ours.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

REFUSED = "what was kept is kept: nothing here is changed or deleted"
KEPT = ("kitchen_text", "formula", "photo", "sample")


def upgrade() -> None:
    op.create_table(
        "kitchen_text",
        sa.Column("kitchen", sa.Text, sa.ForeignKey("kitchen.id"), primary_key=True),
        sa.Column("revision", sa.Integer, primary_key=True),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("zone", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("kept", sa.DateTime(timezone=True)),
    )
    # When a kitchen was kept before this migration is not known.
    op.execute(
        "INSERT INTO kitchen_text (kitchen, revision, name, zone, text) "
        "SELECT id, 1, name, zone, text FROM kitchen"
    )
    op.create_table(
        "photo",
        sa.Column("kitchen", sa.Text, sa.ForeignKey("kitchen.id"), primary_key=True),
        sa.Column("sha256", sa.Text, primary_key=True),
        sa.Column("media_type", sa.Text, nullable=False),
        sa.Column("size", sa.Integer, nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
    )
    op.create_table(
        "sensor",
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("id", sa.Text, nullable=False, unique=True),
        sa.Column("kitchen", sa.Text, sa.ForeignKey("kitchen.id"), nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("place", sa.Text, nullable=False),
        sa.Column("token_sha256", sa.Text, unique=True),
        sa.UniqueConstraint("kitchen", "name"),
    )
    op.create_table(
        "sample",
        sa.Column("sensor", sa.Integer, sa.ForeignKey("sensor.number"), primary_key=True),
        sa.Column("at_ms", sa.BigInteger, primary_key=True),
        sa.Column("value", sa.Double, nullable=False),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "rollup",
        sa.Column("sensor", sa.Integer, sa.ForeignKey("sensor.number"), primary_key=True),
        sa.Column("span_ms", sa.Integer, primary_key=True),
        sa.Column("from_ms", sa.BigInteger, primary_key=True),
        sa.Column("n", sa.Integer, nullable=False),
        sa.Column("total", sa.Double, nullable=False),
        sa.Column("least", sa.Double, nullable=False),
        sa.Column("most", sa.Double, nullable=False),
        sqlite_with_rowid=False,
    )
    op.create_index("entry_by_arrival", "entry", ["kitchen", "arrived"])
    on_sqlite = op.get_bind().dialect.name == "sqlite"
    if not on_sqlite:
        op.execute(
            f"CREATE FUNCTION kept_refuses() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE EXCEPTION '{REFUSED}'; END $$"
        )
    for table in KEPT:
        for trigger in (_sqlite if on_sqlite else _postgresql)(table):
            op.execute(trigger)


def _sqlite(table: str) -> tuple[str, ...]:
    return tuple(
        f"CREATE TRIGGER {table}_is_kept_from_{verb.lower()} BEFORE {verb} ON {table} "
        f"BEGIN SELECT RAISE(ABORT, '{REFUSED}'); END"
        for verb in ("UPDATE", "DELETE")
    )


def _postgresql(table: str) -> tuple[str, ...]:
    return (
        f"CREATE TRIGGER {table}_is_kept BEFORE UPDATE OR DELETE ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION kept_refuses()",
        f"CREATE TRIGGER {table}_is_not_emptied BEFORE TRUNCATE ON {table} "
        f"FOR EACH STATEMENT EXECUTE FUNCTION kept_refuses()",
    )

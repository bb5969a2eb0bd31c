"""Kitchens, formulas and the append-only daybook.

A migration stands for ever, so it repeats the tables as they were and imports nothing of ours.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

REFUSED = "the daybook is append-only: a correction is another entry"

# On SQLite, INSERT OR REPLACE deletes without asking the delete trigger; the third one stops it.
SQLITE_TRIGGERS = (
    f"CREATE TRIGGER entry_is_not_changed BEFORE UPDATE ON entry "
    f"BEGIN SELECT RAISE(ABORT, '{REFUSED}'); END",
    f"CREATE TRIGGER entry_is_not_deleted BEFORE DELETE ON entry "
    f"BEGIN SELECT RAISE(ABORT, '{REFUSED}'); END",
    "CREATE TRIGGER entry_is_not_replaced BEFORE INSERT ON entry "
    "WHEN EXISTS (SELECT 1 FROM entry WHERE id = NEW.id) "
    "BEGIN SELECT RAISE(IGNORE); END",
)
POSTGRESQL_TRIGGERS = (
    f"CREATE FUNCTION entry_refuses() RETURNS trigger LANGUAGE plpgsql AS "
    f"$$ BEGIN RAISE EXCEPTION '{REFUSED}'; END $$",
    "CREATE TRIGGER entry_is_not_changed BEFORE UPDATE OR DELETE ON entry "
    "FOR EACH ROW EXECUTE FUNCTION entry_refuses()",
    "CREATE TRIGGER entry_is_not_emptied BEFORE TRUNCATE ON entry "
    "FOR EACH STATEMENT EXECUTE FUNCTION entry_refuses()",
)


def upgrade() -> None:
    op.create_table(
        "kitchen",
        sa.Column("id", sa.Text, primary_key=True),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("zone", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
    )
    op.create_table(
        "formula",
        sa.Column("kitchen", sa.Text, sa.ForeignKey("kitchen.id"), primary_key=True),
        sa.Column("slug", sa.Text, primary_key=True),
        sa.Column("revision", sa.Integer, primary_key=True),
        sa.Column("text", sa.Text, nullable=False),
    )
    op.create_table(
        "entry",
        sa.Column("id", sa.Text, primary_key=True),
        sa.Column("kitchen", sa.Text, sa.ForeignKey("kitchen.id"), nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("happened", sa.DateTime(timezone=True), nullable=False),
        sa.Column("arrived", sa.DateTime(timezone=True), nullable=False),
        sa.Column("author", sa.Text, nullable=False),
        sa.Column("body", sa.JSON, nullable=False),
        sqlite_with_rowid=False,
    )
    op.create_index("entry_in_order", "entry", ["kitchen", "happened", "arrived", "id"])
    on_sqlite = op.get_bind().dialect.name == "sqlite"
    for trigger in SQLITE_TRIGGERS if on_sqlite else POSTGRESQL_TRIGGERS:
        op.execute(trigger)

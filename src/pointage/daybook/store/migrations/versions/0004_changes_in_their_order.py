"""A count of a kitchen's changes, and with each entry the change that wrote it.

So that whoever holds a picture of a kitchen can ask in one row whether it still holds, and fetch
what is new alone. Entries of before have the number 0: in what order they came is not known.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    op.add_column(
        "kitchen", sa.Column("changes", sa.BigInteger, nullable=False, server_default="0")
    )
    op.add_column("entry", sa.Column("number", sa.BigInteger, nullable=False, server_default="0"))
    op.create_index("entry_by_number", "entry", ["kitchen", "number"])

"""When each revision of a formula was kept; of those before this migration it is not known."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    op.add_column("formula", sa.Column("kept", sa.DateTime(timezone=True)))

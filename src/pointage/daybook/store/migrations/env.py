"""Alembic's door: it runs on the connection and in the transaction that `opening` holds."""

from __future__ import annotations

from alembic import context

context.configure(connection=context.config.attributes["connection"])
with context.begin_transaction():
    context.run_migrations()

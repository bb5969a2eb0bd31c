"""An empty SQLite store is given its tables as the migrations made them once in this process.

To go through every migration costs as much as a page does, and hundreds of tests open a store.
PostgreSQL copies a whole database instead: see `conftest.PostgreSQL.new_database`. The tests of
opening and migrating a store go the whole way.
"""

from __future__ import annotations

from functools import partial
from typing import Any

from sqlalchemy import Connection, text

from pointage.daybook.store import opening
from pointage.daybook.store.tables import REVISION


class MadeTables:
    """given: whether an empty store is given them; else each is migrated."""

    def __init__(self) -> None:
        self.given = False
        self._statements: list[str] = []

    def begin(self) -> None:
        """From now on stores ask here."""
        opening._migrate = partial(self._migrate, opening._migrate)

    def _migrate(self, really: Any, connection: Connection, shown: str) -> None:
        sqlite = connection.dialect.name == "sqlite"
        empty = sqlite and not connection.scalar(text("SELECT count(*) FROM sqlite_master"))
        if not (self.given and empty):
            really(connection, shown)
            return
        if not self._statements:
            really(connection, shown)
            made = text("SELECT sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY rowid")
            self._statements = list(connection.execute(made).scalars())
            return
        for statement in self._statements:
            connection.exec_driver_sql(statement)
        version = text("INSERT INTO alembic_version VALUES (:revision)")
        connection.execute(version, {"revision": REVISION})


made_tables = MadeTables()

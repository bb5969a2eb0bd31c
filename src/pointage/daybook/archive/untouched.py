"""A kitchen in which nobody has kept anything yet makes room for one that comes with an archive."""

from __future__ import annotations

from sqlalchemy import Connection, Table, delete, func, select, text

from pointage.daybook.store import tables

FILLED = (tables.formula, tables.entry, tables.photo, tables.sensor)


def take_out_untouched(connection: Connection, name: str, brought: set[str]) -> None:
    """Take the kitchen called so out of the store where it is the only one, its text is the first,
    nothing else was ever kept, and others are brought: within the transaction, or not at all.

    Texts are kept for ever by triggers of the database. This one is nobody's, and they are laid
    aside for it alone, until the same transaction puts them back.
    """
    found = connection.execute(select(tables.kitchen.c.id, tables.kitchen.c.name)).all()
    texts = _count(connection, tables.kitchen_text)
    if [each.name for each in found] != [name] or texts != 1 or not brought:
        return
    if found[0].id in brought:
        return
    if any(_count(connection, table) for table in FILLED):
        return
    if connection.dialect.name == "sqlite":
        triggers = connection.execute(
            text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = :of"),
            {"of": tables.kitchen_text.name},
        ).all()
        for each in triggers:
            connection.execute(text(f'DROP TRIGGER "{each.name}"'))
        _delete(connection)
        for each in triggers:
            connection.exec_driver_sql(each.sql)
        return
    alter = f"ALTER TABLE {tables.kitchen_text.name} {{}} TRIGGER USER"
    connection.execute(text(alter.format("DISABLE")))
    _delete(connection)
    connection.execute(text(alter.format("ENABLE")))


def _delete(connection: Connection) -> None:
    for table in (tables.kitchen_text, tables.kitchen):
        connection.execute(delete(table))


def _count(connection: Connection, table: Table) -> int:
    return int(connection.execute(select(func.count()).select_from(table)).scalar_one())

"""Ingredients of a formula file by the names that people give them, as those of their records."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pointage.errors import At, Complaint, Faults, InputError
from pointage.formula.ingredients import ingredient, ingredients
from pointage.formula.names import find_ingredient, resolve
from pointage.language import say
from pointage.toml import names_of, place_of, row_of, rows_of


def name_records(table: dict[str, Any], source: str) -> None:
    """Put the names of records where `table` has common names, in place.

    A file is read in every country, so only a name that means the same in all is taken. Raises
    InputError for each ingredient that there is not, that is named twice, or that is not sure.
    """
    faults, stages = Faults(), names_of(table, "stage")
    for here, amounts in _amounts(table, source):
        of_stages = stages if here.path[-1] == "percent" else ()
        renamed: dict[str, object] = {}
        for name, given in amounts.items():
            record = name
            if name not in of_stages:
                field = At(here, (*here.path, name))
                record = faults.take(_record, name, field, amounts, renamed)
            renamed[record] = given
        if list(renamed) != list(amounts) and not faults.found:
            amounts.clear()
            amounts.update(renamed)
    for number, row in enumerate(rows_of(table, "flour")):
        flour = row.get("ingredient")
        if isinstance(flour, str) and flour:
            field = place_of(row_of(source, "flour", number), "ingredient")
            row["ingredient"] = faults.take(_record, flour, field, {}, {})
    faults.check()


def _amounts(table: dict[str, Any], source: str) -> Iterator[tuple[At, dict[str, Any]]]:
    places = [(place_of(source, "total"), table.get("total"))]
    places += [
        (place_of(row_of(source, "stage", number), key), stage.get(key))
        for number, stage in enumerate(rows_of(table, "stage"))
        for key in ("flours", "takes", "grams", "percent")
    ]
    for here, amounts in places:
        if isinstance(amounts, dict):
            yield here, amounts


def _record(name: str, field: At, amounts: dict[str, Any], before: dict[str, Any]) -> str:
    if name in ingredients():
        return name
    found = resolve(name)
    if found is None:
        return find_ingredient(name, field).name
    if not found.sure:
        it = ingredient(found.name)
        expected = say("which one, such as {name} ({label})", name=it.name, label=say(it.label))
        raise InputError(field, repr(name), expected)
    if found.name in amounts or found.name in before:
        twice = Complaint(
            say("{name!r} is {record}, which is there already", name=name, record=found.name)
        )
        raise InputError(field, twice, say("each ingredient once"))
    return found.name

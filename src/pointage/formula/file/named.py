"""Ingredients of a formula file by the names that people give them, as those of their records.

The file's own ones are made known first; one that is known here already stays as it is known here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from typing import Any

from pointage.errors import At, Complaint, Faults, InputError
from pointage.formula.ingredients import ingredient, ingredients
from pointage.formula.names import NamedIngredient, find_ingredient, resolve
from pointage.formula.own.ingredient import keep_own, of_table, own_ingredient
from pointage.language import say
from pointage.toml import names_of, place_of, row_of, rows_of


def name_records(table: dict[str, Any], source: str) -> None:
    """Put the names of records where `table` has common names, in place.

    A file is read in every country, so only a name that means the same in all is taken. Raises
    InputError for each ingredient that there is not, that is named twice, or that is not sure.
    """
    carried = _carried(table, source)
    faults, stages = Faults(), names_of(table, "stage")
    for here, amounts in _amounts(table, source):
        of_stages = stages if here.path[-1] == "percent" else ()
        renamed: dict[str, object] = {}
        for name, given in amounts.items():
            record = name
            if name not in of_stages:
                field = At(here, (*here.path, name))
                record = faults.take(_record, name, field, amounts, renamed, carried)
            renamed[record] = given
        if list(renamed) != list(amounts) and not faults.found:
            amounts.clear()
            amounts.update(renamed)
    for number, row in enumerate(rows_of(table, "flour")):
        flour = row.get("ingredient")
        if isinstance(flour, str) and flour:
            field = place_of(row_of(source, "flour", number), "ingredient")
            row["ingredient"] = faults.take(_record, flour, field, {}, {}, carried)
    faults.check()


def _carried(table: dict[str, Any], source: str) -> dict[str, str]:
    """By its name, and by the name in the file, the record of each of the file's own."""
    faults, found = Faults(), dict[str, str]()
    for number, row in enumerate(rows_of(table, "ingredient")):
        here = row_of(source, "ingredient", number, row.get("name"))
        try:
            said = of_table(row)
        except InputError as error:
            faults.found += error.at(partial(_within, here)).faults
            continue
        own = own_ingredient(said.id) or said
        if own is said:
            keep_own(replace(said, gone=True))  # until it is recorded here it is this file's alone
        found |= {said.name.casefold(): own.id, said.id: own.id}
    faults.check()
    return found


def _within(here: At, fault: InputError) -> At:
    return place_of(here, fault.field)


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


def _record(
    name: str,
    field: At,
    amounts: dict[str, Any],
    before: dict[str, Any],
    carried: dict[str, str],
) -> str:
    if name in ingredients():
        return name
    record = carried.get(name.casefold())
    found = resolve(name) if record is None else NamedIngredient(record, True)
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

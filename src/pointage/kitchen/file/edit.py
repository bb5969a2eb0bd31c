"""Change one table of a kitchen file's text; every other line and comment stays as it was written.

What may be said in a table, and what of it is a plain value, follows from the file's own shapes.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args, get_origin

import tomlkit
from pydantic.fields import FieldInfo
from tomlkit import TOMLDocument
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, InlineTable

from pointage.errors import InputError
from pointage.kitchen.file import shape
from pointage.toml import Shape

ROWS: Mapping[str, type[Shape]] = {
    "place": shape.PlaceTable,
    "vessel": shape.VesselTable,
    "scale": shape.ScaleTable,
    "mixer": shape.MixerTable,
    "oven": shape.OvenTable,
}
"""Tables of which there may be several, by the word for one."""
SINGLE: Mapping[str, type[Shape]] = {"energy": shape.EnergyTable}
NAMES = ("name", "mixed_in")
TOP = ("name", "zone", "tap", "friction", "mixed_in", "altitude", "currency")


@dataclass(frozen=True, slots=True)
class Key:
    """A plain value of a table. choices: where only these will do. expected: what would be right.

    needed: whether the file must have it.
    """

    name: str
    expected: str
    choices: tuple[str, ...]
    needed: bool


def keys(kind: str) -> tuple[Key, ...]:
    """The plain values that a table of this kind may have; lists and inner tables are left out."""
    if kind == "kitchen":
        fields = shape.KitchenTable.model_fields
        return tuple(_key(name, fields[name]) for name in TOP if name in fields)
    if kind == "hours":
        sleep = shape.HoursTable.model_fields["sleep"]
        return (Key("sleep", sleep.description or "", (), needed=False),)
    known = {**ROWS, **SINGLE}
    if kind not in known:
        raise InputError("table", repr(kind), f"one of kitchen, hours, {', '.join(known)}")
    return tuple(
        _key(name, field) for name, field in known[kind].model_fields.items() if _is_plain(field)
    )


def values(text: str, kind: str) -> list[dict[str, str]]:
    """What each table of this kind says, by key, as it is written; keys not there are left out."""
    document = _parsed(text).unwrap()
    if kind == "kitchen":
        tables = [document]
    else:
        found = document.get(kind, [])
        tables = found if isinstance(found, list) else [found]
    plain = [key.name for key in keys(kind)]
    return [{name: _said(table[name]) for name in plain if name in table} for table in tables]


def table(text: str, kind: str, name: str = "") -> dict[str, Any] | None:
    """All that one table says, lists and inner tables too; None where the file has none such.

    name: of its row, where there may be several. Raises InputError where two are called so.
    """
    document = _parsed(text).unwrap()
    if kind == "kitchen":
        return {key: document[key] for key in TOP if key in document}
    found = document.get(kind)
    if kind not in ROWS:
        return found
    rows = found if isinstance(found, list) else [] if found is None else [found]
    numbers = _called(rows, kind, name)
    return rows[numbers[0]] if numbers else None


def changed(text: str, kind: str, name: str | None, told: Mapping[str, str]) -> str:
    """The text with these values in the table of a kind called `name`, or in a new one (None).

    A key told as nothing is taken out. Raises InputError where no table, or two, are called so.
    """
    document = _with_rows(text, kind) if name is None else _parsed(text)
    table: Any
    apart = False
    if kind == "kitchen":
        table = document
    elif kind not in ROWS:
        table = document.setdefault(kind, tomlkit.table())
    elif name is None:
        rows: AoT | Array = document.setdefault(kind, tomlkit.aot())
        apart = isinstance(rows, AoT)
        rows.append(tomlkit.table() if apart else tomlkit.inline_table())
        table = rows[-1]
    else:
        there = document.get(kind, [])
        named = [there] if isinstance(there, dict) else there
        table = named[_place_of(named, kind, name)]
    for key in keys(kind):
        value = told.get(key.name, "").strip()
        if value:
            if _said(table.get(key.name, "")) != value:
                table[key.name] = _written(key.name, value)
        elif key.name in table:
            table.remove(key.name)
    if apart:
        table.add(tomlkit.nl())
    return tomlkit.dumps(document)


def without(text: str, kind: str, name: str) -> str:
    """The text without the table of a kind called `name`. Raises InputError as `changed` does."""
    document = _with_rows(text, kind)
    rows: AoT | Array = document.get(kind, tomlkit.aot())
    del rows[_place_of(rows, kind, name)]
    return tomlkit.dumps(document)


def _parsed(text: str) -> TOMLDocument:
    try:
        return tomlkit.parse(text)
    except TOMLKitError as error:
        raise InputError("file", f"its text ({error})", "TOML that can be read") from None


def _with_rows(text: str, kind: str) -> TOMLDocument:
    """The file with a single table of a kind, such as [oven], as the first of its rows."""
    document = _parsed(text)
    alone = document.get(kind)
    if kind not in ROWS or not isinstance(alone, dict):
        return document
    if isinstance(alone, InlineTable):
        rows = tomlkit.array()
        rows.append(alone)
        document[kind] = rows
        return document
    header = re.compile(rf"^([ \t]*)\[[ \t]*{kind}[ \t]*\]", re.MULTILINE)
    return tomlkit.parse(header.sub(rf"\1[[{kind}]]", text, count=1))


def _called(rows: Sequence[Any], kind: str, name: str) -> list[int]:
    numbers = [i for i, row in enumerate(rows) if str(row.get("name", "")) == name]
    if len(numbers) > 1:
        raise InputError(kind, repr(name), "a name that one alone has, in the whole file")
    return numbers


def _place_of(rows: Sequence[Any], kind: str, name: str) -> int:
    numbers = _called(rows, kind, name)
    if not numbers:
        raise InputError(kind, repr(name), "the name of one that the file has")
    return numbers[0]


def _key(name: str, field: FieldInfo) -> Key:
    options = [
        a for a in (field.annotation, *get_args(field.annotation)) if get_origin(a) is Literal
    ]
    choices = tuple(str(each) for each in get_args(options[0])) if options else ()
    return Key(name, field.description or "", choices, needed=field.is_required())


def _is_plain(field: FieldInfo) -> bool:
    inner = [field.annotation, *get_args(field.annotation)]
    deep = inner + [each for part in inner for each in get_args(part)]
    tables = [each for each in deep if isinstance(each, type) and issubclass(each, Shape)]
    return not tables and get_origin(field.annotation) is not list


def _said(value: object) -> str:
    if isinstance(value, list):
        return ", ".join(str(each) for each in value)
    return str(value)


def _written(name: str, value: str) -> object:
    """Whole numbers as such where they are no names, spans of sleep as a list, else text."""
    if name == "sleep":
        spans = [each.strip() for each in value.split(",") if each.strip()]
        return spans[0] if len(spans) == 1 else spans
    is_number = value.isdecimal() and len(value) < 6 and name not in NAMES
    return int(value) if is_number else value

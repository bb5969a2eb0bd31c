"""Change one table of a kitchen file's text; every other line and comment stays as it was written.

What may be said in a table, and what of it is a plain value, follows from the file's own shapes.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
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


def changed(text: str, kind: str, number: int | None, told: Mapping[str, str]) -> str:
    """The text with these values in table `number` (from 0) of a kind, or in a new one (None).

    A key told as nothing is taken out. Raises InputError where there is no such table.
    """
    document = _parsed(text) if number == 0 else _with_rows(text, kind)
    table: Any
    apart = False
    if kind == "kitchen":
        table = document
    elif number == 0 and isinstance(document.get(kind), dict):
        table = document[kind]
    elif kind in ROWS:
        rows: AoT | Array = document.setdefault(kind, tomlkit.aot())
        if number is None:
            apart = isinstance(rows, AoT)
            rows.append(tomlkit.table() if apart else tomlkit.inline_table())
            number = len(rows) - 1
        table = _row(rows, kind, number)
    else:
        table = document.setdefault(kind, tomlkit.table())
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


def without(text: str, kind: str, number: int) -> str:
    """The text without table `number` of a kind. Raises InputError where there is none."""
    document = _with_rows(text, kind)
    rows: AoT | Array = document.get(kind, tomlkit.aot())
    _row(rows, kind, number)
    del rows[number]
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


def _row(rows: AoT | Array, kind: str, number: int) -> Any:
    if not 0 <= number < len(rows):
        raise InputError(kind, str(number + 1), f"one of the {len(rows)} there are")
    return rows[number]


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
    """Whole numbers as such, spans of sleep as a list, all else as text."""
    if name == "sleep":
        spans = [each.strip() for each in value.split(",") if each.strip()]
        return spans[0] if len(spans) == 1 else spans
    return int(value) if value.isdecimal() and len(value) < 6 else value
